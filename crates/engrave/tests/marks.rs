//! Marks for the harp on whole pages: that they are all there, and that nothing lies over anything else.

mod ink;
mod marks_page;

use engrave::{Engraver, PageLayout, StaffHeight};
use ink::{Drawn, drawn, touch};
use marks_page::musicxml;
use std::sync::LazyLock;

static ENGRAVER: LazyLock<Engraver> = LazyLock::new(Engraver::start);

/// Levers in and between beats, muffles of either hand, fingers on single strings and chords, brackets, a slur, a roll, chord symbols.
const LEVERS: [(&str, &str); 5] = [
    (
        "{Cm} C5:1:4( D5:1:3 E5:1:2 F5:1:1) {G7} <damp D4> G5:2:2^ B5:2:1_",
        "C2:1:4( G2:1:3 C3:1:2 E3:1:1) <C♯5> <F♯4> <B♭2> G3:1 <E♮3> E3:1 <A♮3> C3:1 <F♯5> G2:1",
    ),
    (
        "<dolce> {F7maj} F4+A4+C5+F5:4:4321 {B} D5:1:2( A4:1:3 D6:1:1 F6:1:1)",
        "<damp C2,G2,E3> <p> F2+C3+A3:4:421~ <all> B1:2:4 <B♮1> D3+B3:2:31",
    ),
    ("{E} G4:2! E4:2:1! C4+E4:4:21!", "<mf> E2+B2+G3:8:421*~!"),
    ("A4:2:3( {Dm7} B4:2:2 {G} C5:2:1 F4:2:4", "A2:1:4 E3:1:3 A3:1:2 C4:1:1 <A♮2> <D♮3> <F♯3> <C♯4> A3:1:2 E3:1:3 C3:1:4 A2:1:4"),
    ("r:2 E6:2:1) D6:2:2 C4:2:4", "<damp> r:2 <G♯2> r:2 <l.v.> C3:4:4"),
];

/// Pedals of both feet, settings in the middle, marks at rests and close together.
const PEDALS: [(&str, &str); 4] = [
    ("<pedals 0,0,-1,0,0,-1,-1> {E} G4:2:1 B4:2:2 E5:2:1 G5:2:1", "E2:1:4( B2:1:3 E3:1:2 G3:1:1) <F♯> <C♯> B3:2:1 <A♮> <D♭> G3:2:2"),
    ("{A} E6:1:1 C6:1:2 A5:1:3 E5:1:4 C5:4:4", "<pedals 0,1,-1,0,1,0,-1> A2:1 <B♮> E3:1 <G♮> C4:1 <E♮> E4:1 <D♮> <all> A3:4:1"),
    ("r:4 <damp G4,B4> D5:4:1", "<F♯> r:1 <A♭> r:1 <D♯> r:1 <E♭> r:1 <pedals 1,1,1,1,1,1,1> B1:4:4"),
    ("{C7} C5:8:1*", "<l.v.> C2+G2+E3+C4:8:4321*~"),
];

/// What the tests look after, and what of it may touch what: only its own group.
fn own(thing: &Drawn) -> bool {
    thing.classes.iter().any(|c| matches!(c.as_str(), "fing" | "cross" | "mark" | "bracket" | "pedals" | "harm" | "dir" | "dynam"))
}

fn check(measures: &[(&str, &str)], preparation: &str, layout: &PageLayout) -> Vec<Drawn> {
    let pages = ENGRAVER.pages(&musicxml(measures, preparation), layout).expect("the page can be engraved");
    let mut all = Vec::new();
    for svg in &pages.svgs {
        let things = drawn(svg);
        for (i, a) in things.iter().enumerate().filter(|(_, a)| own(a)) {
            for b in things.iter().enumerate().filter(|(j, b)| *j != i && b.group != a.group).map(|(_, b)| b) {
                assert!(!touch(&a.shape, &b.shape), "{a:?} lies over {b:?}\n{measures:?}");
            }
        }
        all.extend(things);
    }
    all
}

fn count(things: &[Drawn], class: &str) -> usize {
    let mut groups: Vec<usize> = things.iter().filter(|t| t.classes.iter().any(|c| c == class)).map(|t| t.group).collect();
    groups.dedup();
    groups.len()
}

#[test]
fn nothing_lies_over_anything_on_a_page_full_of_levers() {
    let things = check(&LEVERS, "34 strings, C2 to A6", &PageLayout::default());
    assert_eq!(count(&things, "mark"), 11, "one group a beat");
    assert_eq!(count(&things, "bracket"), 4, "and one more where a bracket goes on in the next line");
    assert_eq!(count(&things, "fing"), 37);
    assert_eq!(count(&things, "cross"), 4);
}

#[test]
fn nothing_lies_over_anything_on_a_page_full_of_pedals() {
    let things = check(&PEDALS, "47 strings", &PageLayout::default());
    assert_eq!(count(&things, "pedals"), 3, "the opening at the head, two more among the marks");
}

/// What the sign of a note that cannot be played means stands at the foot of the pages that have one, and of no others.
#[test]
fn the_sign_is_explained_where_it_stands() {
    let plain = ("C5:2 D5:2 E5:2 F5:2", "C3:8");
    let mut measures = vec![plain; 120];
    measures[0].0 = "C5:2 D5:2! E5:2 F5:2";
    let signs = "<credit page=\"1\"><credit-type>signs</credit-type><credit-words>× cannot be played</credit-words></credit><part-list>";
    let page = musicxml(&measures, "34 strings").replacen("<part-list>", signs, 1);
    let pages = ENGRAVER.pages(&page, &PageLayout::default()).expect("the page can be engraved");
    let crossed = |svg: &String| count(&drawn(svg), "cross") > 0;
    let said: Vec<(bool, bool)> = pages.svgs.iter().map(|svg| (crossed(svg), svg.contains("cannot be played"))).collect();
    assert!(said.len() > 1 && said[0] == (true, true) && said[1..].iter().all(|s| *s == (false, false)), "{said:?}");
}

/// A row of dice from a seed: the same pages every time (the constants are those of the MMIX generator, Knuth).
struct Dice(u64);

impl Dice {
    fn below(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % sides
    }

    fn pick<'a>(&mut self, all: &[&'a str]) -> &'a str {
        all[self.below(all.len())]
    }

    fn hand(&mut self, pitches: &[&str], directions: &[&str]) -> String {
        let mut line = String::new();
        let mut left = 8;
        while left > 0 {
            let eighths = [1, 1, 1, 2, 2, 4, 3, 8].into_iter().nth(self.below(8)).filter(|e| *e <= left).unwrap_or(1);
            left -= eighths;
            if self.below(3) == 0 {
                line += self.pick(directions);
            }
            let strings = self.pick(pitches);
            let fingers = &"4321"[..strings.split('+').count()];
            let sign = ["", "", "(", ")", "(", ")", "*", "^", "_", "!"][self.below(10)];
            line += &format!(" {strings}:{eighths}:{fingers}{sign} ");
        }
        line
    }
}

/// Harp facts 1.5: the space between the staves is the player's.
#[test]
fn fingers_and_marks_stand_outside_the_staves() {
    for measures in [&LEVERS[..], &PEDALS[..]] {
        let pages = ENGRAVER.pages(&musicxml(measures, "34 strings"), &PageLayout::default()).expect("the page can be engraved");
        let things = drawn(&pages.svgs[0]);
        let own = |t: &&Drawn| t.classes.iter().any(|c| matches!(c.as_str(), "fing" | "cross" | "mark" | "bracket"));
        // A staff of 7 mm is 720 units high.
        let unit = 720.0 / 7.0;
        let mut count = 0;
        for thing in things.iter().filter(own) {
            let [left, top, right, bottom] = thing.shape.ink();
            let over = pages.measures.iter().filter(|m| m.left * unit < right && m.right * unit > left);
            assert!(over.clone().all(|m| bottom < m.top * unit + 1.0 || top > m.bottom * unit - 1.0), "{thing:?}");
            count += over.count();
        }
        assert!(count > 20);
    }
}

#[test]
fn nothing_lies_over_anything_on_pages_made_by_dice() {
    let high = ["C4", "G4", "D5", "A5", "E6", "C5+E5", "G4+B4+D5", "C5+E5+G5+C6", "B5", "F4"];
    let low = ["C2", "G2", "E3", "B3", "F4", "C3+G3", "D3+F3+A3", "F2+C3+F3+A3", "B1", "A3"];
    let above = ["{C}", "{Em7}", "{F7maj}", "<damp>", "<damp D4,F4>", "<dolce>", "<mf>"];
    let below = [
        "<F♯4>",
        "<F♯4> <C♯5>",
        "<B♭2>",
        "<A♮>",
        "<D♭> <G♯>",
        "<damp>",
        "<damp C2,E3,B♭3>",
        "<all>",
        "<pedals 0,1,-1,0,1,0,-1>",
        "<p>",
        "<l.v.>",
    ];
    for seed in 0..40 {
        let mut dice = Dice(seed);
        let measures: Vec<(String, String)> = (0..8).map(|_| (dice.hand(&high, &above), dice.hand(&low, &below))).collect();
        let measures: Vec<(&str, &str)> = measures.iter().map(|(r, l)| (r.as_str(), l.as_str())).collect();
        let staff = StaffHeight::millimetres([7.0, 5.6, 8.5][dice.below(3)]);
        check(&measures, "34 strings", &PageLayout { staff, smallest_staff: staff, ..PageLayout::default() });
    }
}
