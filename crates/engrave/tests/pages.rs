//! Whole pages: that everything in the score is on them, and that they are the same every time.

mod sample;

use engrave::{EngraveError, Engraver, PageLayout, Pages, Paper, StaffHeight};
use resvg::tiny_skia::Pixmap;
use sample::Sample;
use std::process::Command;
use std::sync::LazyLock;

const SONG: Sample = Sample { title: "Lantern &amp; Løvås: “É”", measures: 16, verses: 2 };

static ENGRAVER: LazyLock<Engraver> = LazyLock::new(Engraver::start);

fn pages(sample: &Sample) -> Pages {
    ENGRAVER.pages(&sample.musicxml(), &PageLayout::default()).expect("the sample can be engraved")
}

fn bytes(pages: &Pages) -> Vec<u8> {
    let mut all = pages.svgs.concat().into_bytes();
    all.extend(pages.pdf());
    all.extend((1..=pages.count()).flat_map(|page| pages.png(page, 60).expect("the page can be drawn")));
    all
}

#[test]
fn every_word_is_on_the_page() {
    let svg = pages(&SONG).svgs.concat();
    let words =
        ["Lantern &amp; Løvås: “É”", "Ingrid Sjøgren", "Zoë Pärn", "34 strings, levers up: F♯, B♭", "free to copy", "Verse 1 Gently = 96"];
    let music = ["G", "E♭", "F♯m7♭5", "D7", "Ring", "ning", "ferry", "5", "9", "13"];
    for word in words.iter().chain(&music) {
        assert!(svg.contains(&format!("aria-label=\"{word}\"")), "{word} is missing");
    }
    assert_eq!(svg.matches("aria-label=\"E♭\"").count(), 4);
    assert_eq!(svg.matches("aria-label=\"Ring\"").count(), 12, "48 notes, two verses, every eighth syllable");
}

#[test]
fn four_measures_a_line_and_each_measure_in_its_place() {
    let pages = pages(&SONG);
    assert_eq!(pages.count(), 1);
    assert_eq!(pages.measures.len(), 16);
    let starts: Vec<usize> = pages.measures.windows(2).filter(|m| m[1].left < m[0].left).map(|m| m[1].index).collect();
    assert_eq!(starts, [4, 8, 12]);
    assert_eq!(pages.measures[5].id.as_deref(), Some("m5"));
    let fits = |m: &engrave::MeasureBox| m.left > 10.0 && m.right < 200.0 && m.top > 20.0 && m.bottom < 290.0 && m.left < m.right;
    assert!(pages.measures.iter().all(fits));
    assert!(pages.svgs[0].contains("id=\"m5-r2\""), "ids of the score's notes are kept");
}

/// A sign of the same name as a measure is not drawn inside that measure by browsers.
#[test]
fn every_id_on_a_page_is_there_once() {
    for svg in pages(&Sample { title: "The Regatta", measures: 64, verses: 0 }).svgs {
        let mut ids: Vec<&str> = svg.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
        let all = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert!(all > 100 && ids.len() == all);
    }
}

#[test]
fn a_long_piece_takes_two_pages_and_says_so() {
    let pages = pages(&Sample { title: "The Regatta", measures: 64, verses: 0 });
    assert_eq!(pages.count(), 2);
    assert!(pages.svgs[0].contains("aria-label=\"page 1 of 2\"") && pages.svgs[1].contains("aria-label=\"page 2 of 2\""));
    assert!(pages.svgs[1].contains("aria-label=\"The Regatta\""), "the later page names the piece at its foot");
    let pdf = pages.pdf();
    let text = String::from_utf8_lossy(&pdf);
    assert!(text.contains("/Count 2") && text.contains("/Title (The Regatta)"));
}

#[test]
fn the_title_is_drawn_with_ink() {
    let png = pages(&SONG).png(1, 100).expect("the page can be drawn");
    let picture = Pixmap::decode_png(&png).expect("a PNG picture");
    // A4 at 100 dots per inch.
    assert_eq!((picture.width(), picture.height()), (827, 1170));
    // The title stands between 12 and 24 mm from the top, in the middle of the page.
    let dark =
        (47..94).flat_map(|y| (250..580).map(move |x| (x, y))).filter(|&(x, y)| picture.pixel(x, y).is_some_and(|p| p.red() < 128)).count();
    assert!(dark > 500, "{dark} dark dots");
}

#[test]
fn a_page_is_small() {
    let pages = pages(&Sample { title: "Short", measures: 32, verses: 1 });
    assert!(pages.svgs.iter().all(|svg| svg.len() < 400_000));
    assert!(pages.pdf().len() < 150_000);
}

#[test]
fn the_same_score_gives_the_same_bytes() {
    let engraver = Engraver::start();
    let layout = PageLayout::default();
    let first = bytes(&engraver.pages(&SONG.musicxml(), &layout).expect("pages"));
    // Another piece in between leaves no trace.
    engraver.pages(&Sample { title: "Between", measures: 5, verses: 0 }.musicxml(), &layout).expect("pages");
    assert!(first == bytes(&engraver.pages(&SONG.musicxml(), &layout).expect("pages")));
}

/// What the child processes of [`two_processes_agree_and_leave_nothing`] run: it writes its pages where it is told to.
#[test]
fn pages_to_a_file() {
    let made = bytes(&pages(&SONG));
    assert!(made.len() > 10_000);
    if let Some(path) = std::env::var_os("ENGRAVE_TEST_OUT") {
        std::fs::write(path, made).expect("the file can be written");
    }
}

#[test]
fn two_processes_agree_and_leave_nothing() {
    let run = || {
        let out = tempfile::NamedTempFile::new().expect("a file");
        let temporary = tempfile::tempdir().expect("a folder");
        let mut command = Command::new(std::env::current_exe().expect("this test"));
        command.args(["--exact", "pages_to_a_file", "--quiet"]).env("ENGRAVE_TEST_OUT", out.path()).env("TMPDIR", temporary.path());
        assert!(command.output().expect("the test runs").status.success());
        let left = std::fs::read_dir(temporary.path()).expect("the folder").count();
        assert_eq!(left, 0, "the engraving library's folder is gone");
        std::fs::read(out.path()).expect("the pages")
    };
    let first = run();
    assert!(first.len() > 10_000 && first == run());
}

#[test]
fn broken_scores_are_refused_with_a_reason() {
    let refused = |text: &str| ENGRAVER.pages(text, &PageLayout::default()).expect_err("no pages");
    assert!(matches!(refused("M:3/4"), EngraveError::NotXml(_)));
    assert!(matches!(refused("<score-partwise><part>"), EngraveError::NotXml(_)));
    assert_eq!(refused("<opus/>"), EngraveError::NotPartwise("opus".into()));
    assert_eq!(refused("<score-partwise><part/></score-partwise>"), EngraveError::NoMeasures);
    // And the library is still there for the next score.
    assert_eq!(pages(&SONG).count(), 1);
}

#[test]
fn words_from_a_tune_stay_words() {
    let hostile = Sample { title: "&lt;script&gt;alert(1)&lt;/script&gt; &quot;x&quot;", measures: 4, verses: 0 };
    let svg = pages(&hostile).svgs.concat();
    assert!(!svg.contains("<script") && svg.contains("&lt;script&gt;alert(1)"));
}

#[test]
fn pictures_are_refused_outside_the_piece_and_the_possible() {
    let pages = pages(&Sample { title: "Short", measures: 4, verses: 0 });
    assert_eq!(pages.png(2, 100), Err(EngraveError::NoSuchPage { asked: 2, pages: 1 }));
    assert_eq!(pages.png(0, 100), Err(EngraveError::NoSuchPage { asked: 0, pages: 1 }));
    assert_eq!(pages.png(1, 5), Err(EngraveError::Resolution(5)));
}

#[test]
fn letter_paper_and_a_larger_staff() {
    let layout = PageLayout { paper: Paper::Letter, staff: StaffHeight::millimetres(8.0), ..PageLayout::default() };
    let pages = ENGRAVER.pages(&SONG.musicxml(), &layout).expect("pages");
    assert!(pages.svgs[0].contains("width=\"215.9mm\" height=\"279.4mm\""));
    let first = &pages.measures[0];
    // Two staves of 8 mm and the space between them.
    assert!((20.0..40.0).contains(&(first.bottom - first.top)), "{first:?}");
}
