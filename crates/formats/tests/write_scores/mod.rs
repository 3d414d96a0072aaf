//! Invented scores for the tests of the writers: a row of dice becomes a score that has some of everything, so that a failing test shrinks to
//! a short row.

use music::*;
use proptest::prelude::*;

/// Scores of one to six measures.
pub fn scores() -> impl Strategy<Value = Score> {
    proptest::collection::vec(any::<u32>(), 1..1500).prop_map(|dice| score(&dice))
}

/// The score that a row of dice stands for; a row that is used up goes on with zeros.
pub fn score(dice: &[u32]) -> Score {
    let mut dice = Dice { dice: dice.iter().copied() };
    let meters = meters();
    let (mut meter, mut key) = (dice.pick(&meters).clone(), dice.key());
    let mut measures: Vec<ScoreMeasure> = Vec::new();
    for index in 0..1 + dice.below(6) as usize {
        if dice.below(4) == 0 {
            meter = dice.pick(&meters).clone();
        }
        if dice.below(4) == 0 {
            key = dice.key();
        }
        measures.push(dice.measure(index, &meter, &key));
    }
    end_ties(&mut measures);
    let words = Words {
        title: "Regatta & <Rain>".into(),
        subtitles: vec!["for two hands".into()],
        composer: Some("the harbour master".into()),
        lyricist: dice.maybe(|_| "the baker".to_owned()),
        tempo_words: dice.maybe(|_| "slow and free".to_owned()),
        verses: vec!["One line".into(), String::new(), "Another".into()],
        ..Words::default()
    };
    let tempo = dice.tempo();
    Score { words, tempo, preparation: dice.preparation(), measures }
}

/// Every meter the writers treat in a way of its own, and some they do not.
fn meters() -> Vec<Meter> {
    let plain = [
        (4, 4),
        (3, 4),
        (2, 4),
        (6, 8),
        (9, 8),
        (12, 8),
        (3, 8),
        (2, 2),
        (3, 2),
        (5, 4),
        (7, 8),
        (5, 8),
        (6, 4),
        (4, 8),
        (1, 4),
        (4, 2),
        (7, 4),
        (10, 8),
    ];
    let mut meters: Vec<Meter> = plain.iter().map(|(n, u)| Meter::simple(*n, *u)).collect();
    let more = [
        (vec![2, 3], 8, MeterSign::Numbers),
        (vec![3, 2, 2], 8, MeterSign::Numbers),
        (vec![3, 2], 4, MeterSign::Numbers),
        (vec![4], 4, MeterSign::Common),
        (vec![2], 2, MeterSign::Cut),
        (vec![4], 4, MeterSign::Free),
    ];
    meters.extend(more.into_iter().filter_map(|(groups, unit, sign)| Meter::new(groups, unit, sign)));
    meters
}

/// A tie needs both its ends.
fn end_ties(measures: &mut [ScoreMeasure]) {
    for hand in [Hand::Right, Hand::Left] {
        let mut notes: Vec<&mut Note> = measures
            .iter_mut()
            .flat_map(|m| match hand {
                Hand::Right => &mut m.right,
                Hand::Left => &mut m.left,
            })
            .collect();
        for i in 0..notes.len() {
            let next = notes.get(i + 1).map(|n| n.pitches.clone());
            let shares = next.is_some_and(|next| notes[i].pitches.iter().any(|p| next.contains(p)));
            let ties = notes[i].tie.to_next && shares;
            notes[i].tie.to_next = ties;
            if let Some(next) = notes.get_mut(i + 1) {
                next.tie.from_before = ties;
            }
        }
    }
}

struct Dice<I> {
    dice: I,
}

impl<I: Iterator<Item = u32>> Dice<I> {
    fn below(&mut self, sides: u32) -> u32 {
        self.dice.next().unwrap_or(0) % sides
    }

    fn pick<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len() as u32) as usize]
    }

    /// One time in four.
    fn maybe<T>(&mut self, make: impl FnOnce(&mut Self) -> T) -> Option<T> {
        (self.below(4) == 3).then(|| make(self))
    }

    fn key(&mut self) -> Key {
        let modes = [Mode::Major, Mode::Minor, Mode::Dorian, Mode::Mixolydian, Mode::Other];
        let explicit = self.maybe(|_| vec![(Step::B, -1), (Step::F, 1)]).unwrap_or_default();
        let fifths = self.below(15) as i32 - 7;
        Key { explicit, ..Key::new(fifths, *self.pick(&modes)) }
    }

    fn tempo(&mut self) -> Tempo {
        let units = [(1, 1), (3, 2), (2, 1), (1, 2), (3, 1), (5, 2)];
        let (n, d) = *self.pick(&units);
        let unit = Beats::quarters(n, d).expect("exact");
        Tempo::new(unit, 40_000 + i64::from(self.below(100)) * 1_250).expect("in range")
    }

    fn measure(&mut self, index: usize, meter: &Meter, key: &Key) -> ScoreMeasure {
        let mut frame = Frame::plain(index as u32 + 1, meter.clone(), key.clone());
        if index == 0 && self.below(3) == 1 && frame.length > Beats::QUARTER {
            frame.number = 0.into();
            frame.length = Beats::EIGHTH;
        }
        self.bars(&mut frame);
        for _ in 0..self.below(3) {
            let at = self.place(frame.length);
            let symbol = self.symbol();
            frame.chords.push(PlacedChord::new(at, symbol));
        }
        frame.chords.sort_by_key(|c| c.at);
        let (right, left) = (self.line(frame.length, 4), self.line(frame.length, 2));
        let marks = self.marks(&right, frame.length);
        let heading = self.maybe(|_| format!("Verse {index}"));
        ScoreMeasure { frame, right, left, heading, marks, source: Some(index), melody: Hand::Right }
    }

    fn bars(&mut self, frame: &mut Frame) {
        frame.repeat_start = self.below(5) == 4;
        frame.repeat_end = self.maybe(|dice| 2 + dice.below(2));
        frame.right = *self.pick(&[Barline::Plain, Barline::Plain, Barline::Double, Barline::Dotted, Barline::None, Barline::Final]);
        frame.ending = self.maybe(|_| Ending { passes: vec![1], starts: true, stops: true });
        frame.section = self.maybe(|_| "A".to_owned());
        let jumps = [Jump::Segno, Jump::Coda, Jump::ToCoda, Jump::Fine, Jump::DaCapo, Jump::DalSegno];
        frame.jumps.extend(self.maybe(|dice| *dice.pick(&jumps)));
        let at = self.place(frame.length);
        frame.tempos.extend(self.maybe(|dice| (at, dice.tempo())));
        frame.words.extend(self.maybe(|_| (at, "like the tide".to_owned())));
    }

    fn place(&mut self, length: Beats) -> Beats {
        let place = Beats::EIGHTH * i64::from(self.below(16));
        if place < length { place } else { Beats::ZERO }
    }

    fn symbol(&mut self) -> ChordSymbol {
        let kinds: Vec<ChordKind> = ChordKind::all().filter(|k| *k != ChordKind::None).collect();
        if self.below(10) == 9 {
            return ChordSymbol { harmony: Harmony::NoChord, source: "N.C.".into() };
        }
        let name = PitchName::from_fifths(self.below(15) as i32 - 7);
        let degree = self.maybe(|dice| Degree { change: DegreeChange::Add, value: 9, alter: dice.below(2) as i32 - 1 });
        let bass = self.maybe(|dice| PitchName::from_fifths(dice.below(12) as i32 - 5));
        let chord = Chord { degrees: degree.into_iter().collect(), bass, ..Chord::new(name, *self.pick(&kinds)) };
        ChordSymbol { source: chord.to_string(), harmony: Harmony::Chord(chord) }
    }

    fn preparation(&mut self) -> Preparation {
        let levers = |dice: &mut Self| {
            let string = |position: i32| {
                let lever = if dice.below(2) == 0 { Lever::Up } else { Lever::Down };
                LeverString { sounds: Pitch::at_position(position, dice.below(3) as i32 - 1), lever }
            };
            (20..30).map(string).collect()
        };
        let setting = match self.below(3) {
            0 => None,
            1 => Some(Setting::Levers(levers(self))),
            _ => Some(Setting::Pedals([0, -1, 1, 0, 0, -1, self.below(3) as i32 - 1])),
        };
        Preparation { lines: vec!["34 strings".into(), "tuned in E\u{266d}".into()], setting }
    }

    fn marks(&mut self, notes: &[Note], length: Beats) -> Vec<PlacedMark> {
        let (low, high) = (Pitch::new(Step::B, -1, 2), Pitch::new(Step::F, 1, 4));
        let marks = [
            Mark::MuffleAll,
            Mark::Muffle(vec![high]),
            Mark::Muffle(vec![low, Pitch::new(Step::C, 0, 3), high]),
            Mark::Muffle(Vec::new()),
            Mark::LetRing,
            Mark::Lever(high),
            Mark::Lever(low),
            Mark::Pedal(high.name()),
            Mark::Pedal(PitchName::new(Step::C, 0)),
            Mark::Pedals([0, -1, 1, 0, 0, -1, 1]),
            Mark::Words("r.h.".into()),
        ];
        let mut placed = Vec::new();
        while self.below(3) == 2 && placed.len() < 5 {
            let hand = *self.pick(&[None, Some(Hand::Right), Some(Hand::Left)]);
            let at = if self.below(2) == 0 { notes.last().map_or(Beats::ZERO, |n| n.at) } else { self.place(length) };
            let mut mark = PlacedMark::new(at, hand, self.pick(&marks).clone());
            if matches!(mark.mark, Mark::Lever(_) | Mark::Pedal(_)) {
                mark.first_pass = 1 + self.below(3);
            }
            placed.push(mark);
        }
        placed
    }

    /// A line that fills a measure: lengths in 32nds, tuplets among them.
    fn line(&mut self, length: Beats, octave: i32) -> Vec<Note> {
        let shortest = Beats::quarters(1, 8).expect("exact");
        let mut notes: Vec<Note> = Vec::new();
        let mut at = Beats::ZERO;
        while at < length {
            let room = length - at;
            let whole = [8, 4, 4, 12, 16, 2, 6, 24, 32, 1, 3, 5, 7, 10, 20, 64];
            let part = shortest * i64::from(*self.pick(&whole));
            let tuplet = *self.pick(&[(1, 1), (1, 1), (1, 1), (1, 1), (1, 1), (3, 2), (5, 4), (7, 8), (2, 3)]);
            let ratio = (i64::from(tuplet.0), i64::from(tuplet.1));
            let group = Beats::EIGHTH * ratio.1;
            if tuplet.0 > 1 && group <= room {
                let each = group.scaled(1, ratio.0).expect("tuplets of up to 25 are exact");
                for i in 0..tuplet.0 {
                    let edge = if i == 0 {
                        TupletEdge::Start
                    } else if i + 1 == tuplet.0 {
                        TupletEdge::Stop
                    } else {
                        TupletEdge::Inside
                    };
                    let note = self.note(at + each * i64::from(i), each, octave);
                    notes.push(Note { tuplet: Some(Tuplet { actual: tuplet.0, normal: tuplet.1, edge }), ..note });
                }
                at += group;
            } else {
                let part = if part < room { part } else { room };
                notes.push(self.note(at, part, octave));
                at += part;
            }
        }
        notes
    }

    fn note(&mut self, at: Beats, length: Beats, octave: i32) -> Note {
        if self.below(6) == 5 {
            return Note::rest(at, length);
        }
        let mut pitches: Vec<Pitch> = (0..1 + self.below(6).saturating_sub(3)).map(|_| self.pitch(octave)).collect();
        pitches.sort_by_key(|p| (p.position(), p.alter));
        pitches.dedup_by_key(|p| p.position());
        let grace = self.maybe(|dice| {
            let value = *dice.pick(&[8, 16, 4, 32]);
            (0..1 + dice.below(3)).map(|_| Grace { pitches: vec![dice.pitch(octave)], value, slashed: dice.below(2) == 0 }).collect()
        });
        let tie = Tie { from_before: false, to_next: self.below(3) == 2 };
        let decorations = self.maybe(|dice| vec![dice.pick(&decorations()).clone()]).unwrap_or_default();
        let bracket = *self.pick(&[Bracket::None, Bracket::None, Bracket::Begins, Bracket::Ends]);
        let fingers = self.maybe(|dice| pitches.iter().map(|_| 1 + dice.below(4) as u8).collect()).unwrap_or_default();
        let hyphens = [Hyphen::Single, Hyphen::Begin, Hyphen::Middle, Hyphen::End];
        let syllable = self.maybe(|dice| Syllable {
            verse: 1 + dice.below(2),
            text: "fer".into(),
            hyphen: *dice.pick(&hyphens),
            held: dice.below(2) == 0,
        });
        Note {
            tie,
            grace: grace.unwrap_or_default(),
            decorations,
            fingers,
            bracket,
            syllables: syllable.into_iter().collect(),
            rolled: self.below(4) == 3,
            slurs_start: u8::from(self.below(6) == 5),
            slurs_stop: u8::from(self.below(6) == 5),
            ..Note::of(at, length, pitches)
        }
    }

    fn pitch(&mut self, octave: i32) -> Pitch {
        let step = *self.pick(&Step::ALL);
        let alter = *self.pick(&[0, 0, 0, 1, -1, 0, 2, -2]);
        Pitch::new(step, alter, octave + self.below(2) as i32)
    }
}

fn decorations() -> Vec<Decoration> {
    use Decoration::*;
    let plain = [Fermata, Breath, Staccato, Tenuto, Accent, Marcato, Trill, Turn, Mordent, InvertedMordent, UpBow, DownBow, Arpeggio];
    let mut all = plain.to_vec();
    all.extend([Dynamic("mf".into()), Dynamic("softer".into()), Other("swell".into())]);
    all
}
