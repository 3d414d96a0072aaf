//! The laws of the whole: whatever is added, the tune's own measures stay as they are, every added measure is full, and everything is played in its order.

use arrange::form::{Added, Ending, Form, Highest, Length, Repeats, WaysOut, make};
use arrange::measures::{LaidMeasure, SourceMeasure};
use arrange::tune::{Layout, Origin, Tune};
use arrange::ways_out::{MOST, Way};
use arrange::{Arrangement, Figures, Wishes, arrange};
use harmony::kind::KindOfTune;
use harp::{Instrument, Player};
use music::order::playing_order;
use music::{Barline, Beats, Frame, Harmony, Jump, LeadSheet, Note, Part, Tempo};
use proptest::prelude::*;

/// How the measures of a tune are repeated.
#[derive(Clone, Copy, Debug)]
enum Signs {
    None,
    BackToTheStart,
    Endings,
    DaCapoAlFine,
    DaCapoAlCoda,
    DalSegno,
}

const SIGNS: [Signs; 6] = [Signs::None, Signs::BackToTheStart, Signs::Endings, Signs::DaCapoAlFine, Signs::DaCapoAlCoda, Signs::DalSegno];

/// A tune of eight measures or ten, with a pickup or without, and the signs put on it.
fn tunes() -> impl Strategy<Value = LeadSheet> {
    let note = prop::sample::select(vec!["D4", "G4", "A4", "B4", "C5", "D5", "E5", "F#5", "G5"]);
    let chord = prop::sample::select(vec!["G", "C", "D7", "Em", "Am"]);
    let rhythm = prop::sample::select(vec!["3", "2 1", "1 1 1", "1.5 0.5 1"]);
    let measures = prop::collection::vec((rhythm, prop::collection::vec(note, 3), chord, any::<bool>()), 8..=10);
    (measures, any::<bool>(), prop::sample::select(SIGNS.to_vec())).prop_map(|(measures, pickup, signs)| {
        let mut text = if pickup { "3/4 G | ( D4:1 |" } else { "3/4 G |" }.to_owned();
        let last = measures.len() - 1;
        for (at, (rhythm, notes, chord, silent)) in measures.into_iter().enumerate() {
            let rhythm = if pickup && at == last { "2" } else { rhythm };
            text += &if silent && at > 0 { String::new() } else { format!(" \"{chord}\"@0") };
            for (length, note) in rhythm.split(' ').zip(notes) {
                text += &format!(" {note}:{length}");
            }
            text += " |";
        }
        let mut sheet = music::text::sheet(&text);
        put(&mut sheet, signs);
        sheet
    })
}

fn put(sheet: &mut LeadSheet, signs: Signs) {
    let last = sheet.measures.len() - 1;
    let frames = &mut sheet.measures;
    let ending = |pass: u32| Some(music::Ending { passes: vec![pass], starts: true, stops: true });
    match signs {
        Signs::None => frames[last].frame.right = Barline::Final,
        Signs::BackToTheStart => {
            frames[3].frame.repeat_end = Some(2);
            frames[4].frame.repeat_start = true;
            frames[last].frame.repeat_end = Some(2);
        }
        Signs::Endings => {
            frames[last - 1].frame.ending = ending(1);
            frames[last - 1].frame.repeat_end = Some(2);
            frames[last].frame.ending = ending(2);
        }
        Signs::DaCapoAlFine => {
            frames[4].frame.jumps.push(Jump::Fine);
            frames[last].frame.jumps.push(Jump::DaCapo);
        }
        Signs::DaCapoAlCoda => {
            frames[3].frame.jumps.push(Jump::ToCoda);
            frames[6].frame.jumps.push(Jump::DaCapo);
            frames[7].frame.jumps.push(Jump::Coda);
        }
        Signs::DalSegno => {
            frames[2].frame.jumps.push(Jump::Segno);
            frames[last].frame.jumps.push(Jump::DalSegno);
        }
    }
}

fn forms() -> impl Strategy<Value = Form> {
    let length = || prop::sample::select(vec![None, Some(Length::Two), Some(Length::Four)]);
    let ending = prop::sample::select(vec![None, Some(Ending::Short), Some(Ending::Usual), Some(Ending::Fading)]);
    let repeats = prop::sample::select(vec![Repeats::Kept, Repeats::WrittenOut]);
    (length(), length(), length(), ending, repeats).prop_map(|(introduction, vamp, interlude, ending, repeats)| Form {
        introduction,
        vamp,
        interlude,
        ending,
        repeats,
        ways_out: WaysOut::Known,
    })
}

fn tempo() -> Tempo {
    Tempo::of(Beats::QUARTER, 80).expect("in range")
}

fn laid_out(sheet: &LeadSheet, form: &Form, kind: KindOfTune, verses: usize) -> (Added, Tune) {
    let added = make(sheet, form, kind, verses, Highest(47));
    let tune =
        Tune::lay_out_whole(sheet, Layout { verses, below: &arrange::tune::NONE_BELOW, repeats: form.repeats, added: &added }, tempo());
    (added, tune)
}

fn played(sheet: &LeadSheet) -> Vec<usize> {
    let frames: Vec<&Frame> = sheet.measures.iter().map(|m| &m.frame).collect();
    playing_order(&frames).measures
}

/// The tune's own measures in the order in which they are played, by their place in the source.
fn own_order(tune: &Tune) -> Vec<usize> {
    played(&tune.sheet).into_iter().filter_map(|m| tune.origin[LaidMeasure::at(m)].source()).map(SourceMeasure::index).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, failure_persistence: None, ..ProptestConfig::default() })]

    /// The walk is over: the music ends within eight measures.
    #[test]
    fn no_way_out_is_longer_than_eight_measures(sheet in tunes(), form in forms()) {
        let wishes = Wishes { form, fullness: vec![2], ..Wishes::default() };
        let made = arrange(&sheet, &Figures::own(), &Instrument::lever_34(), &Player::default(), &wishes).expect("an arrangement");
        let ways = made.ways_out();
        prop_assert_eq!(ways.len(), made.tune.origin.iter().filter(|o| o.part() == Part::Tune).count());
        prop_assert!(ways.iter().all(|o| o.measures <= MOST));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, failure_persistence: None, ..ProptestConfig::default() })]

    /// The printed levers and pedals give every written pitch, with whatever was added and with the melody in either hand: the marks are played from the opening
    /// through every repeat, and what does not sound as written is what the arrangement says cannot be played.
    #[test]
    fn printed_marks_hold_in_the_whole(sheet in tunes(), form in forms(), by in -1i32..=1, pedals in any::<bool>(), below in any::<bool>()) {
        let harp = if pedals { pedal_harp() } else { Instrument::lever_34() };
        let melody_below = if below { [1].into() } else { Default::default() };
        let wishes = Wishes { form, fullness: vec![2, 3], transpose: Some(music::Interval::new(by.signum(), by)), melody_below, ..Wishes::default() };
        let made = arrange(&sheet, &Figures::own(), &harp, &Player::default(), &wishes).expect("an arrangement");
        let page = &made.plan.settled.page;
        let told = |h: &harp::page::Heard| page.missing.iter().any(|m| (m.measure, m.at, m.hand) == (h.measure, h.at, h.hand));
        let wrong: Vec<_> = harp::page::replay(&made.score, &page.opening, &harp).into_iter().filter(|h| !told(h)).collect();
        prop_assert!(wrong.is_empty(), "{wrong:?}");
    }
}

/// 47 strings from C1 without fixed ones (harp facts 1.1).
fn pedal_harp() -> Instrument {
    let flat = harp::Tuning::of_major(music::PitchName::new(music::Step::C, -1));
    let low = music::Pitch::new(music::Step::C, 0, 1);
    Instrument::new("pedal-47".into(), low, 47, flat, harp::Mechanism::Pedals { fixed: Vec::new() }).expect("a harp")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_tune_stays_as_it_is(sheet in tunes(), form in forms(), dance in any::<bool>(), verses in 1usize..=3) {
        let kind = if dance { KindOfTune::Reel } else { KindOfTune::Song };
        let (_, tune) = laid_out(&sheet, &form, kind, verses);
        let alone = Tune::lay_out_whole(&sheet, Layout { verses, below: &arrange::tune::NONE_BELOW, repeats: form.repeats, added: &Added::default() }, tempo());
        for (here, origin) in tune.sheet.measures.iter().zip(&tune.origin) {
            let Origin::Tune { source, .. } = origin else { continue };
            prop_assert_eq!(&here.notes, &sheet.measures[source.index()].notes);
            let spoken = |f: &Frame| f.chords.iter().filter(|c| c.symbol.harmony != Harmony::NoChord).cloned().collect::<Vec<_>>();
            prop_assert_eq!(spoken(&here.frame), spoken(&sheet.measures[source.index()].frame));
        }
        let numbers = |t: &Tune| -> Vec<u32> { t.sheet.measures.iter().filter_map(|m| m.frame.number.in_the_tune()).collect() };
        // Where signs had to give way to written-out measures, those are counted on.
        if tune.origin.iter().filter(|o| o.part() == Part::Tune).count() == alone.sheet.measures.len() {
            prop_assert_eq!(numbers(&tune), numbers(&alone));
        }
    }

    #[test]
    fn added_measures_are_full(sheet in tunes(), form in forms(), dance in any::<bool>(), verses in 1usize..=3) {
        let kind = if dance { KindOfTune::Reel } else { KindOfTune::Song };
        let (added, tune) = laid_out(&sheet, &form, kind, verses);
        for measure in added.all().flat_map(|made| &made.measures) {
            let frame = &measure.frame;
            let mut at = Beats::ZERO;
            for note in &measure.notes {
                prop_assert_eq!(note.at, at);
                prop_assert!(note.length > Beats::ZERO);
                at = note.end();
            }
            prop_assert_eq!(at, frame.length);
            prop_assert!(frame.length <= frame.meter.length());
            prop_assert!(frame.chords.iter().all(|c| c.at < frame.length));
        }
        // A short measure is made full by the one that is played after it: the pickup, or a part that begins inside the measure.
        let order = played(&tune.sheet);
        let short = |m: &usize| !tune.sheet.measures[*m].frame.is_full();
        let added_to = |m: usize| tune.origin[LaidMeasure::at(m)].part() != Part::Tune;
        for pair in order.windows(2).filter(|p| short(&p[0]) && (added_to(p[0]) || added_to(p[1]))) {
            let frame = |m: usize| &tune.sheet.measures[m].frame;
            let whole = frame(pair[0]).length + frame(pair[1]).length == frame(pair[0]).meter.length();
            // The first measure of all, and the second half of a measure, stand alone.
            let second_half = frame(pair[0]).length + frame(pair[1]).length > frame(pair[0]).meter.length();
            prop_assert!(whole || second_half, "{pair:?}");
        }
    }

    #[test]
    fn everything_is_played_in_its_order(sheet in tunes(), form in forms(), verses in 1usize..=3) {
        let (added, tune) = laid_out(&sheet, &form, KindOfTune::Song, verses);
        let order = played(&tune.sheet);
        let once = played(&sheet);
        prop_assert_eq!(own_order(&tune), once.repeat(verses));
        let times = |m: usize| order.iter().filter(|o| **o == m).count();
        for (measure, origin) in tune.origin.iter().enumerate() {
            match origin.part() {
                Part::Introduction | Part::Interlude | Part::Ending => prop_assert_eq!(times(measure), 1),
                Part::Vamp => prop_assert_eq!(times(measure), 2),
                Part::Tune => {}
            }
        }
        let parts: Vec<Part> = order.iter().map(|m| tune.origin[LaidMeasure::at(*m)].part()).collect();
        if let Some(made) = &added.introduction {
            prop_assert!(parts[..made.measures.len()].iter().all(|p| *p == Part::Introduction));
        }
        if let Some(made) = &added.ending {
            prop_assert!(parts[parts.len() - made.measures.len()..].iter().all(|p| *p == Part::Ending));
        }
        let interludes = added.interlude.as_ref().map_or(0, |made| made.measures.len() * (verses - 1));
        prop_assert_eq!(parts.iter().filter(|p| **p == Part::Interlude).count(), interludes);
        for measure in tune.measures() {
            prop_assert_eq!(tune.named(&tune.name(measure)), Some(measure));
        }
    }
}

fn arranged(text: &str, form: Form, fullness: Vec<u8>) -> Arrangement {
    let wishes = Wishes { form, fullness, ..Wishes::default() };
    arrange(&music::text::sheet(text), &Figures::own(), &Instrument::lever_34(), &Player::default(), &wishes).expect("an arrangement")
}

const SONG: &str = r#"3/4 G |( D4:1 | "G" G4:1 B4:1 D5:1 | "Em" E5:2 D5:1 | "C" C5:1 B4:1 A4:1 | "D7" A4:2 D4:1 | "G" G4:1 B4:1 D5:1 | "C" E5:2 C5:1 | "D7" B4:1 A4:1 F#4:1 | "G" G4:2 |"#;

fn top(notes: &[Note]) -> Vec<String> {
    notes.iter().map(|n| n.top().map_or("-".into(), |p| p.to_string())).collect()
}

/// Common practice: a song is introduced by its last line, which turns to the dominant; the note beside the first one shows where it begins. A hold on a measure
/// of the tune means the same measure.
#[test]
fn a_song_is_introduced_by_its_last_line() {
    let form = Form { introduction: Some(Length::Four), ending: Some(Ending::Usual), ..Form::default() };
    let made = arranged(SONG, form, vec![3]);
    let right: Vec<Vec<String>> = made.score.measures.iter().map(|m| top(&m.right)).collect();
    assert_eq!(right[0], ["D4"]);
    assert_eq!(right[1], ["G4", "B4", "D5"]);
    assert_eq!(right[4], ["G4", "D4"]);
    let headings: Vec<(usize, &str)> =
        made.score.measures.iter().enumerate().filter_map(|(i, m)| Some((i, m.heading.as_deref()?))).collect();
    assert_eq!(headings, [(0, "Introduction"), (5, "Tune"), (14, "Ending")]);
    assert_eq!(made.score.measures[6].frame.number, 1);
    let mut wishes = Wishes { form, fullness: vec![3], ..Wishes::default() };
    wishes.holds.insert(2.into(), "open-fifth".into());
    wishes.holds.insert("introduction 2".parse().expect("a number"), "open-fifth".into());
    let sheet = music::text::sheet(SONG);
    let held = arrange(&sheet, &Figures::own(), &Instrument::lever_34(), &Player::default(), &wishes).expect("an arrangement");
    let decisions = held.decisions(&Figures::own(), &Instrument::lever_34(), &Player::default(), &wishes);
    let of = |number: &str| decisions.iter().find(|d| d.number.to_string() == number).map(|d| (d.measure, d.held));
    assert_eq!((of("2"), of("introduction 2"), of("3")), (Some((7, true)), Some((2, true)), Some((8, false))));
}

/// The melody alone has no left hand beside it either; a vamp is the left hand's.
#[test]
fn beside_the_melody_alone_the_left_hand_is_silent() {
    let form = Form { introduction: Some(Length::Two), vamp: Some(Length::Two), ending: Some(Ending::Short), ..Form::default() };
    let made = arranged(SONG, form, vec![0]);
    let plucks = |part: Part| {
        let of = made.score.measures.iter().filter(|m| m.frame.number.part == part);
        of.flat_map(|m| &m.left).filter(|n| n.is_plucked()).count()
    };
    assert_eq!((plucks(Part::Introduction), plucks(Part::Tune), plucks(Part::Ending)), (0, 0, 0));
    assert!(plucks(Part::Vamp) >= 2);
}

/// By hand: the last line of the song is measures 5-8, its close 7-8; after 4, a half close, two measures are shortest; the line before it has other chords
/// at measure 2 but the same at 1.
#[test]
fn there_is_a_way_out_of_every_measure() {
    let made = arranged(SONG, Form::default(), vec![3]);
    let ways: Vec<String> = made.ways_out().iter().map(|o| format!("{} {} ({})", o.measure, o.way, o.measures)).collect();
    expect_test::expect![[r#"
        0 D7, then G (2)
        1 go to 6-8 (3)
        2 D7, then G (2)
        3 on to the end of 8 (5)
        4 go to 7-8 (2)
        5 on to the end of 8 (3)
        6 on to the end of 8 (2)
        7 on to the end of 8 (1)
        8 stop (0)"#]]
    .assert_eq(&ways.join("\n"));
    let with_ending = arranged(SONG, Form { ending: Some(Ending::Short), ways_out: WaysOut::Printed, ..Form::default() }, vec![3]);
    let four = with_ending.ways_out().into_iter().find(|o| o.measure == 4).expect("measure 4");
    assert_eq!((four.way, four.measures), (Way::Ending, 1));
    let printed: Vec<&str> = with_ending.score.measures[4].frame.words.iter().map(|w| w.1.as_str()).collect();
    assert_eq!(printed, ["out: go to the ending"]);
}

/// An interlude without a second verse is said; a chord that the pickup has already goes on in the first measure.
#[test]
fn what_is_said_and_what_goes_on() {
    let form = Form { introduction: Some(Length::Two), interlude: Some(Length::Two), ..Form::default() };
    let made = arranged(&SONG.replace("( D4:1 | \"G\" G4:1", "( \"G\" D4:1 | G4:1"), form, vec![3]);
    assert!(made.remarks.contains(&arrange::Remark::NoInterlude));
    let first = made.score.measures.iter().find(|m| m.frame.number == 1).expect("measure 1");
    assert!(first.frame.chords.is_empty(), "{:?}", first.frame.chords);
}

/// Word for word: an octave is seven strings; the verse below is where it was.
#[test]
fn a_verse_may_have_its_left_hand_higher() {
    let sheet = music::text::sheet(&SONG.replace('5', "6").replace("4:", "5:"));
    let wishes = |high: &[usize]| Wishes { fullness: vec![3, 3], high: high.iter().copied().collect(), ..Wishes::default() };
    let lowest = |wishes: &Wishes| -> [i32; 2] {
        let made = arrange(&sheet, &Figures::own(), &Instrument::lever_34(), &Player::default(), wishes).expect("an arrangement");
        [0, 1].map(|verse| {
            let of = made.tune.measures().filter(|m| made.tune.origin[*m].verse() == verse);
            of.flat_map(|m| made.score.measures[m.index()].left.clone())
                .filter_map(|n| n.bottom())
                .map(|p| p.position())
                .min()
                .expect("a left hand")
        })
    };
    let (low, high) = (lowest(&wishes(&[])), lowest(&wishes(&[1])));
    assert!((low[0] - high[0]).abs() <= 2 && high[1] >= low[1] + 5, "{low:?} {high:?}");
}

/// The added measures of a demo tune with everything on: heading, number, chords and right hand of each, and the reasons; the left hand is the planner's.
#[test]
fn everything_on() {
    let text = include_str!("../../../data/tunes/lighthouse-in-mist.abc");
    let sheet = formats::read(text.as_bytes(), &formats::ReadOptions::default()).expect("a demo tune").sheet;
    let [introduction, vamp, interlude] = [Some(Length::Four), Some(Length::Two), Some(Length::Two)];
    let form = Form { introduction, vamp, interlude, ending: Some(Ending::Fading), ..Form::default() };
    let (added, tune) = laid_out(&sheet, &form, KindOfTune::Air, 2);
    let mut text = String::new();
    let headings = tune.headings(2, &added);
    for (index, measure) in tune.sheet.measures.iter().enumerate() {
        let heading = headings.iter().find(|(at, _)| at.index() == index).map(|(_, heading)| heading.as_str());
        text += &heading.map(|h| format!("{h}\n")).unwrap_or_default();
        if measure.frame.number.part != Part::Tune {
            let chords: Vec<&str> = measure.frame.chords.iter().map(|c| c.symbol.source.as_str()).collect();
            text += &format!("  {}: {} | {}\n", measure.frame.number, chords.join(" "), music::text::show(&measure.notes));
        }
    }
    for made in added.all() {
        text += &format!("{}\n", made.part.name());
        made.why.iter().for_each(|why| text += &format!("  {why}\n"));
    }
    expect_test::expect![[r#"
        Introduction
          introduction 0:  | E5:1/2 F#5:1/2
          introduction 1: C | G5:3/2 E5:1 D5:1/2
          introduction 2: D | F#5:1 E5:1/2 D5:1 A4:1/2
          introduction 3: Em G | B4:1 C5:1/2 D5:1 B4:1/2
          introduction 4: Am | A4:3/2 A4:1/2
        Vamp: round and round until ready
          vamp 0:  | r:1
          vamp 1: Am | r:3
          vamp 2: G | r:2
        Verse 1
        Interlude
          interlude 0:  | r:1
          interlude 1: Em G | B4:1 C5:1/2 D5:1 B4:1/2
          interlude 2: Am | A4:3/2 A4:1/2
        Verse 2
        Ending
          ending 0:  | r:1
          ending 1: Am | C5:3
          ending 2: Am | E5:3
          ending 3: Am | A5:3
          ending 4: Am | A5:3
        introduction
          the last four measures of the tune: its key and its pace are heard, and how it closes
          the pickup of that line comes with it
          its last measure leaves the pickup its room
        vamp
          Am G in the left hand say that it is A dorian, and give the pace
          G at the end leads into the tune
          it goes round as often as you wish, and the tune may follow each time
        interlude
          the last two measures of the tune once more, to breathe between the verses
          its last measure leaves the pickup its room
        ending
          the right hand climbs the chord in long notes while the left hand thins out
          Am at the end, wide and left to ring
    "#]]
    .assert_eq(&text);
}
