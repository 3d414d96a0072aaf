//! What the writers write is valid MusicXML 4.0 and reads back as the same notes in music21, and as the same sounds in mido.

use formats::{ReadOptions, read};
use music::{
    Barline, Beats, Bracket, Decoration, Ending, Grace, Hand, Harmony, Hyphen, Jump, Key, LeadSheet, Mark, Meter, MeterSign, Mode, Note,
    Pitch, PitchName, PlacedMark, Preparation, Score, ScoreMeasure, SheetMeasure, Step, Syllable, Tempo, Tie, text,
};
use outside::facts::{self, Facts};
use outside::written;

/// The melody in the right hand; in the left the root of the chord that holds at the start of each measure, or a rest.
fn with_roots(sheet: &LeadSheet) -> Score {
    let mut root = None;
    let measures = sheet.measures.iter().enumerate().map(|(source, m)| {
        let first = m.frame.chords.iter().find(|c| c.at.is_zero());
        root = match first.map(|c| &c.symbol.harmony) {
            Some(Harmony::Chord(chord)) => Some(chord.root.at_octave(3)),
            Some(Harmony::NoChord) => None,
            None => root,
        };
        ScoreMeasure {
            frame: m.frame.clone(),
            right: m.notes.clone(),
            left: left(m, root),
            heading: None,
            marks: Vec::new(),
            source: Some(source),
            melody: music::Hand::Right,
        }
    });
    let tempo = sheet.tempo.or(Tempo::of(Beats::QUARTER, 96)).expect("a tempo in range");
    Score { words: sheet.words.clone(), tempo, preparation: Preparation::default(), measures: measures.collect() }
}

fn left(measure: &SheetMeasure, root: Option<Pitch>) -> Vec<Note> {
    vec![Note::of(Beats::ZERO, measure.frame.length, root.into_iter().collect())]
}

/// A tune in the short form of the model, with a left hand a measure in the same form.
fn written_out(tune: &str, left: &[&str]) -> Score {
    let mut score = with_roots(&text::sheet(tune));
    assert_eq!(score.measures.len(), left.len(), "a left hand for every measure of {tune}");
    for (measure, hand) in score.measures.iter_mut().zip(left) {
        measure.left = text::notes(hand);
    }
    score
}

/// Ours: broken chords, rolls, a pickup, repeats, ties over the bar, triplets, values that need two notes, chromatic spellings.
#[test]
fn scores_of_our_own_are_written_and_read_back() {
    let ferry = written_out(
        r#"6/8 D |: ( A4:1/2 | "D"D5:3/2 A4:3/2 | "Em7"G4:1/2 A4:1/2 B4:1/2 "A7"C#5:3/2 | "Bm/F#"D5:5/2 C#5:1/2 | "G"B4:3 :| "D"D5:3 |"#,
        &["r:1/2", "D3:1/2 A3:1/2 D4:1/2 ~[D3+A3+F#4]:3/2", "E3:1/2 B3:1/2 E4:1/2 A2:3/2", "[B2+F#3+D4]:5/2 r:1/2", "G2:3", "~[D2+D3]:3"],
    );
    let mut tied = written_out(
        r#"4/4 Ebm | "Ebm"Gb4:5/2 Ab4:1/2 Bb4:1 | Bb4:4 | "Abm"Cb5:1/3 Bb4:1/3 Ab4:1/3 Gb4:2/3 F4:1/3 "Bb7"D5:7/4 D4:1/4 | "N.C."r:4 |"#,
        &["[Eb3+Bb3]:4", "[Eb3+Bb3]:3 Eb3:1", "Ab2:1/5 Cb3:1/5 Eb3:1/5 Ab3:1/5 Cb4:1/5 Eb3:1 Bb2:2", "r:4"],
    );
    tied.measures[0].right[2].tie.to_next = true;
    tied.measures[1].right[0].tie.from_before = true;
    tied.measures[0].left[0].tie.to_next = true;
    tied.measures[1].left[0].tie = Tie { from_before: true, to_next: true };
    tied.measures[1].left[1].tie.from_before = true;
    written::validate(&[("The Ferry at Noon".to_owned(), ferry), ("Fog at the Lighthouse".to_owned(), tied)]);
}

/// Ours: everything the model can put on a page at once.
#[test]
fn a_score_with_every_sign_is_valid() {
    let tune =
        r#"2/4 G | "G"G4:1 B4:1 | "C"E5:1/2 C5:1/2 "G7"D5:1 | "Am"E5:2 | "D7"D5:1 C5:1 | "G"B4:2 | "Em"G5:1 E5:1 | "D"D5:2 | "G"G4:2 |"#;
    let rests = ["r:2"; 8];
    let mut score = written_out(tune, &rests);
    score.words.title = "Regatta <& \"Prizes\">".into();
    score.words.subtitles = vec!["for two hands".into()];
    score.words.composer = Some("the harbour master".into());
    score.words.lyricist = Some("the baker".into());
    score.words.rights = Some("free to play".into());
    score.words.verses = vec!["The boats are out".into(), String::new(), "the boats are in".into()];
    let strings = ["F#4", "B4"].map(|p| music::LeverString { sounds: Pitch::parse(p).expect("a pitch"), lever: music::Lever::Up });
    score.preparation = Preparation { lines: vec!["strings C2 to G5".into()], setting: Some(music::Setting::Levers(strings.to_vec())) };
    signs_of_the_frames(&mut score);
    signs_of_the_notes(&mut score);
    written::validate(&[("every sign".to_owned(), score)]);
}

fn signs_of_the_frames(score: &mut Score) {
    let frames = &mut score.measures;
    frames[0].frame.repeat_start = true;
    frames[0].frame.section = Some("A".into());
    frames[0].heading = Some("Verse 1".into());
    frames[1].frame.ending = Some(Ending { passes: vec![1], starts: true, stops: true });
    frames[1].frame.repeat_end = Some(2);
    frames[2].frame.ending = Some(Ending { passes: vec![2], starts: true, stops: true });
    frames[2].frame.right = Barline::Double;
    frames[3].frame.jumps = vec![Jump::Segno];
    frames[4].frame.jumps = vec![Jump::ToCoda];
    frames[4].frame.key = Key::new(-2, Mode::Dorian);
    frames[4].frame.meter = Meter::new(vec![2], 4, MeterSign::Numbers).expect("in range");
    frames[5].frame.key = Key::new(-2, Mode::Dorian);
    frames[5].frame.tempos = vec![(Beats::QUARTER, Tempo::of(Beats::EIGHTH, 132).expect("in range"))];
    frames[5].frame.words = vec![(Beats::ZERO, "slower".into())];
    frames[5].frame.left = Barline::Dotted;
    frames[6].frame.jumps = vec![Jump::DalSegno];
    frames[7].frame.jumps = vec![Jump::Coda];
    frames[7].frame.right = Barline::Final;
}

fn signs_of_the_notes(score: &mut Score) {
    use Decoration::*;
    let signs = [Fermata, Breath, Staccato, Tenuto, Accent, Marcato, Trill, Turn, Mordent, InvertedMordent, UpBow, DownBow];
    let signs = signs.into_iter().chain([Dynamic("mf".into()), Dynamic("not a dynamic".into()), Other("!shake!".into())]);
    let pitch = |text| Pitch::parse(text).expect("a pitch");
    let first = &mut score.measures[0].right[0];
    first.decorations = signs.collect();
    first.grace = vec![Grace { pitches: vec![pitch("F#4"), pitch("A4")], value: 16, slashed: true }];
    first.slurs_start = 1;
    first.fingers = vec![2];
    let syllable = |verse, text: &str, hyphen, held| Syllable { verse, text: text.into(), hyphen, held };
    first.syllables = vec![syllable(1, "Boats", Hyphen::Begin, false), syllable(2, "Wind", Hyphen::Single, true)];
    score.measures[0].right[1].slurs_stop = 1;
    score.measures[0].right[1].syllables = vec![syllable(1, "men", Hyphen::End, false)];
    score.measures[2].left = text::notes("~[C3+E3+A3]:2");
    score.measures[2].left[0].fingers = vec![4, 3, 1];
    let marks = [
        (0, Mark::MuffleAll),
        (1, Mark::Muffle(vec![pitch("C3"), pitch("Bb2")])),
        (1, Mark::Muffle(Vec::new())),
        (0, Mark::Pedals([0, 0, -1, 0, 0, -1, -1])),
        (0, Mark::LetRing),
        (1, Mark::Lever(pitch("F#4"))),
        (0, Mark::Pedal(PitchName::new(Step::B, -1))),
        (1, Mark::Words("près de la table".into())),
    ];
    for (quarter, mark) in marks {
        for hand in [None, Some(Hand::Right), Some(Hand::Left)] {
            score.measures[3].marks.push(PlacedMark::new(Beats::QUARTER * quarter, hand, mark.clone()));
        }
    }
    score.measures[3].right[0].bracket = Bracket::Begins;
    score.measures[3].right[1].bracket = Bracket::Ends;
    score.measures[2].left[0].bracket = Bracket::Begins;
    score.measures[5].left[0].bracket = Bracket::Ends;
}

/// Every how manieth tune of the corpus is written: all would take four minutes.
const EVERY: usize = 10;

#[test]
fn tunes_of_the_corpus_are_written_and_read_back() {
    let mut scores = Vec::new();
    for format in ["abc", "musicxml"] {
        let facts: Facts = facts::load(format);
        for tune in facts.tunes.iter().filter(|t| t.error.is_none()).step_by(EVERY) {
            let path = facts.root.join(&tune.file);
            let bytes = std::fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
            if let Ok(imported) = read(&bytes, &ReadOptions { tune: tune.tune, part: None }) {
                scores.push((format!("{} {}", tune.file, tune.tune.unwrap_or(1)), with_roots(&imported.sheet)));
            }
        }
    }
    assert!(scores.len() >= 100, "{} scores written, expected at least 100", scores.len());
    written::validate(&scores);
}
