//! The cue sheet as one page of paper: a heading, a block for each phrase ([`super::blocks`]), a legend. It is as large as one page lets it be.
//!
//! What cannot stand at the usual size is first told once: a figure that was pictured before has its name alone, a phrase that comes back has its chords without
//! its melody; then everything shrinks.

use super::blocks::{Block, LEFT, RIGHT};
use super::pen::{Hand, Pen};
use super::{lesson, snippet};
use crate::drawing::Sheet;
use crate::job::{Job, Setup};
use crate::wishes::tempo;
use practice::CueSheet;
use std::collections::BTreeSet;

/// A4.
const PAPER: (f64, f64) = (210.0, 297.0);
const TOP: f64 = 12.0;
const BOTTOM: f64 = 11.0;
/// What the heading takes, its lines of preparation not counted, and one of them.
const HEAD: f64 = 21.0;
const PREPARATION: f64 = 5.2;
const LEGEND: f64 = 17.0;

/// The sizes that are tried, the largest first: large print, where there is room for it.
const SIZES: [f64; 16] = [1.45, 1.35, 1.25, 1.15, 1.05, 1.0, 0.95, 0.9, 0.85, 0.8, 0.75, 0.7, 0.65, 0.6, 0.55, 0.5];
/// From here down a page says less rather than shrinking further.
const READABLE: f64 = 0.8;

/// Smaller than this the melody would touch the chords.
const ROOM_FOR_MELODY: f64 = 0.72;

/// How much is told more than once.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Told {
    All,
    /// A figure's picture only where it comes for the first time.
    PicturesOnce,
    /// The melody's beginning only where a phrase comes for the first time.
    PhrasesOnce,
    /// No melody.
    ChordsOnly,
}

/// The sheet of a job as a page.
pub fn page(setup: &Setup, job: &Job) -> Sheet {
    let cues = CueSheet::of(&lesson(setup, job));
    let title = job.title();
    let mut pen = Pen::default();
    let first = heading(&mut pen, &cues, &title);
    let room = PAPER.1 - BOTTOM - LEGEND - first;
    let (told, size) = fitted(&cues, job, room);
    let mut blocks = blocks(&cues, job, told);
    if size >= ROOM_FOR_MELODY {
        blocks.iter_mut().for_each(with_incipit_for_nothing);
    }
    let used: f64 = blocks.iter().map(|b| b.height() * size).sum();
    // What is left is shared out between the phrases.
    let gap = if blocks.len() > 1 { ((room - used) / (blocks.len() - 1) as f64).clamp(0.0, 7.0) } else { 0.0 };
    let mut top = first;
    for block in &blocks {
        block.draw(&mut pen, top, size);
        top += block.height() * size + gap;
    }
    legend(&mut pen, &cues);
    Sheet { author: cues.composer.clone().unwrap_or_default(), title, paper: PAPER, items: pen.items }
}

/// How much is told, and how large, so that it stands in the room.
fn fitted(cues: &CueSheet, job: &Job, room: f64) -> (Told, f64) {
    let whole = |told| blocks(cues, job, told).iter().map(Block::height).sum::<f64>();
    let size = |told| SIZES.into_iter().find(|size| whole(told) * size <= room);
    let all = [Told::All, Told::PicturesOnce, Told::PhrasesOnce, Told::ChordsOnly];
    let readable = all.into_iter().find_map(|told| size(told).filter(|s| *s >= READABLE).map(|s| (told, s)));
    readable.unwrap_or_else(|| (Told::ChordsOnly, size(Told::ChordsOnly).unwrap_or(room / whole(Told::ChordsOnly))))
}

fn blocks<'a>(cues: &'a CueSheet, job: &'a Job, told: Told) -> Vec<Block<'a>> {
    let mut pictured: BTreeSet<&str> = BTreeSet::new();
    let mut blocks = Vec::new();
    for (index, phrase) in cues.phrases.iter().enumerate() {
        let figure = phrase.verses.first().map_or("", |v| v.figure.as_str());
        let has = phrase.verses.first().is_some_and(|v| v.picture.is_some());
        blocks.push(Block {
            phrase,
            sheet: &job.arrangement.tune.sheet,
            tempo: job.arrangement.score.tempo,
            incipit: told <= Told::PicturesOnce || told == Told::PhrasesOnce && phrase.like.is_none(),
            picture: has && (pictured.insert(figure) || told == Told::All),
            meter: if index == 0 { snippet::Meter::Shown } else { snippet::Meter::Known },
        });
    }
    blocks
}

/// Beside a picture there is often room for the melody that a crowded sheet leaves out.
fn with_incipit_for_nothing(block: &mut Block) {
    let with = Block { incipit: true, ..*block };
    if block.phrase.like.is_none() && with.height() <= block.height() + 0.01 {
        *block = with;
    }
}

/// The title and what is done before the first note; gives back where the phrases begin.
fn heading(pen: &mut Pen, cues: &CueSheet, title: &str) -> f64 {
    pen.words((LEFT, TOP + 8.0), title, Hand::bold(25.0).within(RIGHT - LEFT - 34.0));
    pen.words((RIGHT, TOP + 8.0), "cue sheet", Hand::italic(13.0).right());
    let mut facts = vec![format!("{:#}", cues.key), cues.meter.to_string(), tempo::in_words(cues.tempo)];
    if cues.verses > 1 {
        facts.push(format!("{} verses", cues.verses));
    }
    pen.words((LEFT, TOP + 15.2), facts.join(" · "), Hand::plain(12.5).within(RIGHT - LEFT - 60.0));
    pen.words((RIGHT, TOP + 15.2), cues.composer.clone().unwrap_or_default(), Hand::plain(11.0).right().within(56.0));
    let mut y = TOP + 15.2;
    for line in &cues.preparation {
        y += PREPARATION;
        pen.words((LEFT, y), line.clone(), Hand::bold(11.0).within(RIGHT - LEFT));
    }
    let rule = y + 3.0;
    pen.line((LEFT, rule), (RIGHT, rule), 0.5);
    TOP + HEAD + PREPARATION * cues.preparation.len() as f64 - 1.0
}

fn legend(pen: &mut Pen, cues: &CueSheet) {
    let base = PAPER.1 - BOTTOM;
    let rows = [base - 10.2, base - 5.9, base - 1.6];
    let small = |most: f64| Hand::plain(8.8).within(most);
    pen.line((LEFT, base - 14.6), (RIGHT, base - 14.6), 0.3);
    pen.fullness((LEFT + 1.0, rows[0] - 0.9), 3, 0.95);
    pen.words((LEFT + 17.5, rows[0]), "how full the left hand is, of six", small(50.0));
    pen.ring((LEFT + 72.0, rows[0] - 0.9), 1.5);
    pen.words((LEFT + 72.0, rows[0] - 0.05), "2", Hand::bold(6.9).middle());
    pen.words(
        (LEFT + 75.5, rows[0]),
        "a finger on its string, low strings at the left; from above, in the order of the counts",
        small(RIGHT - LEFT - 76.0),
    );
    pen.line((LEFT + 0.3, rows[1] - 3.0), (LEFT + 0.3, rows[1] + 0.4), 0.6);
    pen.words((LEFT + 2.5, rows[1]), "a C string", small(20.0));
    pen.dashed((LEFT + 21.3, rows[1] - 3.2), (LEFT + 21.3, rows[1] + 0.6), 0.4);
    pen.words((LEFT + 23.5, rows[1]), "an F string", small(20.0));
    let last = "words under a measure: another figure there; the same letter: the same melody and chords";
    pen.words((LEFT + 46.0, rows[1]), last, small(RIGHT - LEFT - 46.0));
    let mut others = Vec::new();
    if cues.phrases.iter().flat_map(|p| &p.measures).any(|m| !m.moves.is_empty()) {
        others.push("in a box: move the lever or pedal at this beat");
    }
    if cues.phrases.iter().any(|p| p.out.is_some()) {
        others.push("out: how to close early from there; numbers are measures, play to the end of the last one named");
    }
    pen.words((LEFT, rows[2]), others.join(" · "), small(RIGHT - LEFT));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::choices::Choices;
    use crate::drawing::Item;
    use crate::job::Asked;
    use std::path::{Path, PathBuf};

    fn sheet(tune: &Path, fullness: &[u8]) -> Sheet {
        let asked = Asked::of(Choices { fullness: fullness.to_vec(), ..Choices::default() });
        let setup = Setup::new(&asked).expect("a lever harp");
        let job = setup.arrange(tune).expect("arranged");
        page(&setup, &job)
    }

    fn tunes() -> Vec<PathBuf> {
        let folder = Path::new("../../data/tunes");
        let mut all: Vec<PathBuf> = std::fs::read_dir(folder).expect("the demo tunes").map(|f| f.expect("a file").path()).collect();
        all.sort();
        all
    }

    /// All of it stands on the paper, between the margins from top to bottom, in one verse and in three.
    #[test]
    fn a_cue_sheet_is_one_page() {
        for tune in tunes() {
            for fullness in [&[3][..], &[2, 3, 4]] {
                let sheet = sheet(&tune, fullness);
                let inside = |(x, y): (f64, f64)| (0.0..=PAPER.0).contains(&x) && (TOP - 1.0..=PAPER.1 - BOTTOM + 1.0).contains(&y);
                for item in &sheet.items {
                    let places = match item {
                        Item::Words { at, .. } | Item::Dot { at, .. } | Item::Music { at, .. } => vec![*at],
                        Item::Line { from, to, .. } => vec![*from, *to],
                        Item::Frame { left_top, right_bottom, .. } => vec![*left_top, *right_bottom],
                    };
                    assert!(places.into_iter().all(inside), "{item:?} of {}", tune.display());
                }
                let music = sheet.items.iter().filter(|i| matches!(i, Item::Music { .. })).count();
                assert!(music >= 2, "{} shows the beginning of {music} phrases", tune.display());
            }
        }
    }
}
