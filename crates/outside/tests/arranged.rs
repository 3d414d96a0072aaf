//! Everything the arranger makes of our demo tunes and of tunes of the corpus with chord symbols is valid and reads back the same.

use arrange::form::{Ending, Form, Length};
use arrange::{Figures, Wishes, arrange};
use formats::{ReadOptions, read};
use harp::page::{Heard, Opening, replay};
use harp::{Instrument, Mechanism, Player, Tuning};
use music::{Beats, Hand, LeadSheet, Mark, Pitch, PitchName, Score, Step};
use outside::facts::{self, Facts};
use outside::written;
use std::path::Path;

fn arranged(sheet: &LeadSheet, fullness: Vec<u8>) -> Score {
    let wishes = Wishes { fullness, ..Wishes::default() };
    let made = arrange(sheet, &Figures::own(), &Instrument::lever_34(), &Player::default(), &wishes);
    made.unwrap_or_else(|e| panic!("{}: {e}", sheet.words.title)).score
}

#[test]
fn demo_tunes_arranged_are_valid() {
    let folder = Path::new("../../data/tunes");
    let mut files: Vec<_> = std::fs::read_dir(folder).expect("the demo tunes").map(|f| f.expect("a file").path()).collect();
    files.sort();
    let mut scores = Vec::new();
    for (index, file) in files.iter().filter(|f| f.extension().is_some_and(|e| e == "abc")).enumerate() {
        let bytes = std::fs::read(file).expect("a demo tune");
        let sheet = read(&bytes, &ReadOptions::default()).unwrap_or_else(|e| panic!("{}: {e}", file.display())).sheet;
        // The even levels of one tune, the odd ones of the next.
        for level in (0..=6).filter(|level| usize::from(*level) % 2 == index % 2) {
            scores.push((format!("{} {level}", sheet.words.title), arranged(&sheet, vec![level])));
        }
        scores.push((format!("{} verses", sheet.words.title), arranged(&sheet, vec![1, 3, 5])));
        for fullness in [vec![3], vec![2, 4]] {
            let form = Form {
                introduction: Some(Length::Four),
                vamp: Some(Length::Two),
                interlude: Some(Length::Two),
                ending: Some(Ending::Usual),
                ..Form::default()
            };
            let wishes = Wishes { form, fullness, ..Wishes::default() };
            let made = arrange(&sheet, &Figures::own(), &Instrument::lever_34(), &Player::default(), &wishes);
            scores.push((format!("{} with a beginning and an end", sheet.words.title), made.expect("an arrangement").score));
        }
    }
    assert!(scores.len() >= 24, "{} arrangements, expected six of each of four demo tunes", scores.len());
    written::validate(&scores);
}

#[test]
fn tunes_of_the_corpus_arranged_are_valid() {
    let (mut scores, mut below, mut refused) = (Vec::new(), Vec::new(), 0);
    for format in ["abc", "musicxml"] {
        let facts: Facts = facts::load(format);
        for tune in facts.enough().filter(|t| t.parts.iter().any(|p| p.measures.iter().any(|m| !m.chords.is_empty()))) {
            let bytes = std::fs::read(facts.root.join(&tune.file)).expect("a file of the corpus");
            let imported = read(&bytes, &ReadOptions { tune: tune.tune, part: None }).unwrap_or_else(|e| panic!("{}: {e}", tune.file));
            if imported.sheet.has_chords() {
                let name = format!("{} {}", tune.file, tune.tune.unwrap_or(1));
                scores.push((name.clone(), arranged(&imported.sheet, Vec::new())));
                // Every other tune is enough to meet all that two verses and a melody below can bring.
                if scores.len() % 2 == 0 {
                    match with_the_melody_below(&imported.sheet) {
                        Some(score) => below.push((format!("{name} below"), score)),
                        None => refused += 1,
                    }
                }
            }
        }
    }
    assert!(scores.len() >= 20, "{} tunes arranged, expected at least 20", scores.len());
    assert!(below.len() >= 8, "{} tunes with the melody in the left hand, {refused} refused: too few to show anything", below.len());
    scores.extend(below);
    written::validate(&scores);
}

/// The second verse of a tune with its melody in the left hand, where that can play it: no chord crosses the melody or takes its string.
fn with_the_melody_below(sheet: &LeadSheet) -> Option<Score> {
    let wishes = Wishes { fullness: vec![3, 4], melody_below: [1].into(), ..Wishes::default() };
    let made = arrange(sheet, &Figures::own(), &Instrument::lever_34(), &Player::default(), &wishes).expect("arranged before");
    let below: Vec<_> = made.score.measures.iter().filter(|m| m.melody == Hand::Left).collect();
    for measure in &below {
        for chord in measure.right.iter().filter(|n| !n.is_rest()) {
            let under = measure.left.iter().filter(|n| n.at < chord.end() && n.end() > chord.at).filter_map(music::Note::top);
            let low = chord.bottom().expect("a string");
            assert!(under.into_iter().all(|top| top.position() < low.position()), "{}: {low}", sheet.words.title);
        }
    }
    (!below.is_empty()).then_some(made.score)
}

/// The two harps on which the printed marks are played through: the commonest lever harp and a pedal harp without fixed strings (harp facts 1.1 and 2.1).
fn harps() -> [Instrument; 2] {
    let flat = Tuning::of_major(PitchName::new(Step::C, -1));
    let low = Pitch::new(Step::C, 0, 1);
    let pedals = Instrument::new("pedal-47".into(), low, 47, flat, Mechanism::Pedals { fixed: Vec::new() });
    [Instrument::lever_34(), pedals.expect("47 strings from C1 are a harp")]
}

/// Writes a page, reads it back, and plays its printed marks from its printed opening, every repeat, ending and jump taken.
fn played_as_printed(name: &str, sheet: &LeadSheet, harp: &Instrument) -> usize {
    let made = arrange(sheet, &Figures::own(), harp, &Player::default(), &Wishes::default());
    let made = made.unwrap_or_else(|e| panic!("{name}: {e}"));
    let text = formats::musicxml::write::write(&made.score);
    let page = formats::musicxml::read_score(text.as_bytes(), &Default::default()).unwrap_or_else(|e| panic!("{name}: {e}")).score;
    let setting = page.preparation.setting.as_ref().and_then(|setting| Opening::read(setting, harp));
    let opening = setting.unwrap_or_else(|| panic!("{name}: nothing says how to set the harp: {:?}", page.preparation));
    let missing = &made.plan.settled.page.missing;
    let expected = |h: &Heard| missing.iter().any(|m| (m.measure, m.at, m.hand) == (h.measure, h.at, h.hand));
    let wrong: Vec<Heard> = replay(&page, &opening, harp).into_iter().filter(|h| !expected(h)).collect();
    assert_eq!(wrong, [], "{name} on {}", harp.name);
    page.measures.iter().flat_map(|m| &m.marks).filter(|m| matches!(m.mark, Mark::Lever(_) | Mark::Pedal(_))).count()
}

#[test]
fn printed_levers_and_pedals_give_every_written_pitch() {
    let mut moves = 0;
    for format in ["abc", "musicxml"] {
        let facts: Facts = facts::load(format);
        for tune in facts.enough().filter(|t| t.error.is_none()) {
            let path = facts.root.join(&tune.file);
            let bytes = std::fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
            let Ok(imported) = read(&bytes, &ReadOptions { tune: tune.tune, part: None }) else { continue };
            // A file without bar lines is one measure, longer than the reader of pages takes.
            let long = imported.sheet.measures.iter().any(|m| m.frame.length > Beats::WHOLE * 64);
            if imported.sheet.has_chords() && !long {
                for harp in harps() {
                    moves += played_as_printed(&format!("{} {}", tune.file, tune.tune.unwrap_or(1)), &imported.sheet, &harp);
                }
            }
        }
    }
    assert!(moves > 50, "only {moves} printed moves were played: too few to show anything");
}
