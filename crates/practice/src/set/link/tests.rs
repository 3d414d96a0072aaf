//! Links between small tunes of ours, played through.

use super::*;
use crate::set::{SetTune, course};
use arrange::{Figures, Wishes, arrange};
use expect_test::expect;
use harp::settings::MoveTimes;
use harp::{Fluency, Mechanism, Tuning};
use music::text::sheet;
use music::{Mark, PitchName, Seconds, Step, Tempo};

fn figures() -> Figures {
    Figures::read(include_str!("../../../../../data/figures.txt")).expect("the program's own figures")
}

fn made(text: &str, harp: &Instrument, player: &Player) -> Arrangement {
    let tempo = Tempo::of(Beats::QUARTER, 90).expect("a tempo");
    let wishes = Wishes { tempo: Some(tempo), ..Wishes::default() };
    arrange(&sheet(text), &figures(), harp, player, &wishes).expect("it can be arranged")
}

const D: &str = r#"3/4 D | "D"F#5:1 A5:1 F#5:1 | "G"G5:1 B5:1 G5:1 | "A7"C#5:1 E5:1 G5:1 | "D"D5:3 |"#;
const G: &str = r#"4/4 G | "G"G4:1 B4:1 D5:1 B4:1 | "C"C5:2 E5:1 C5:1 | "D7"A4:1 C5:1 F#4:2 | "G"G4:4 |"#;
const C: &str = r#"3/4 C | "C"E5:1 D5:1 C5:1 | "F"F5:2 A5:1 | "G7"G5:1 F5:1 D5:1 | "C"C5:3 |"#;
const A: &str = r#"4/4 A | "A"A4:1 C#5:1 E5:1 C#5:1 | "D"D5:2 F#5:1 D5:1 | "E7"B4:1 D5:1 G#4:2 | "A"A4:4 |"#;

fn harp() -> Instrument {
    Instrument::lever_34()
}

fn pedals() -> Instrument {
    let low = Pitch::parse("C1").expect("a pitch");
    let flat = Tuning::of_major(PitchName::new(Step::C, -1));
    Instrument::new("pedal-47".into(), low, 47, flat, Mechanism::Pedals { fixed: Vec::new() }).expect("a harp")
}

struct Pair {
    harp: Instrument,
    player: Player,
    next: Arrangement,
    stands: Opening,
    wanted: Opening,
    changes: Vec<Change>,
}

fn pair(from: &str, to: &str, harp: Instrument, player: Player) -> Pair {
    let set_tune = |a: &Arrangement| SetTune::of(&a.score, &a.plan.settled.page.opening, a.kind.kind, &harp);
    let (one, next) = (made(from, &harp, &player), made(to, &harp, &player));
    let tunes = [set_tune(&one), set_tune(&next)];
    let course = course(&tunes.iter().collect::<Vec<_>>());
    let (stands, wanted, changes) = (course.after[0].clone(), course.stands[1].clone(), course.changes[0].clone());
    Pair { stands, wanted, changes, next, harp, player }
}

impl Pair {
    fn link(&self, measures: usize) -> Result<Link, NoLink> {
        link(Between { stands: &self.stands, changes: &self.changes, next: &self.next, harp: &self.harp, player: &self.player }, measures)
    }
}

fn shown(link: &Link) -> String {
    let notes = |all: &[music::Note]| -> String {
        let one = |n: &music::Note| {
            let names: Vec<String> = n.pitches.iter().map(|p| format!("{p:#}")).collect();
            let names = if names.is_empty() { "r".into() } else { names.join("+") };
            format!("{names}:{}", n.length)
        };
        all.iter().map(one).collect::<Vec<_>>().join(" ")
    };
    let mut text = String::new();
    for (measure, chord) in link.score.measures.iter().zip(&link.chords) {
        let marks: Vec<String> = measure.marks.iter().map(|m| format!("{}@{}", said(&m.mark), m.at)).collect();
        text += &format!("{chord:#} | {} | {} | {}\n", notes(&measure.right), notes(&measure.left), marks.join(" "));
    }
    text
}

fn said(mark: &Mark) -> String {
    match mark {
        Mark::Lever(pitch) => format!("{pitch:#}"),
        Mark::Pedal(name) => format!("{name:#}"),
        _ => unreachable!("links have no other marks"),
    }
}

/// From D to G the C strings come down: their levers are moved by the left hand behind its roots. The line ends beside G4, the first note.
#[test]
fn from_d_to_g() {
    let pair = pair(D, G, harp(), Player::default());
    expect![[r#"
        G | B3:1 D4:1 G4:1 B4:1 | G2:4 | C4@1/2 C5@1/2
        D7 | A3:1 C4:1 D4:1 F♯4:1 | D3:4 | 
    "#]]
    .assert_eq(&shown(&pair.link(2).expect("there is time")));
}

#[test]
fn pedals_move_under_the_hands() {
    let pair = pair(C, A, pedals(), Player::default());
    expect![[r#"
        D | A3:1 D4:1 F♯4:1 A4:1 | D3:4 | C♯@0 F♯@0 G♯@1
        E7 | B3:1 D4:1 E4:1 G♯4:1 | E3:4 | 
    "#]]
    .assert_eq(&shown(&pair.link(2).expect("there is time")));
}

/// The hand that moves levers has let go of its strings and is back in time; every lever has its own time; what the next tune wants is done at the end, and all notes sound as written.
#[test]
fn what_is_moved_has_its_time() {
    let mut links = 0;
    for player in [Fluency::Slow, Fluency::Fluent].map(|fluency| Player { fluency, ..Player::default() }) {
        for (from, to) in [(D, G), (G, D), (G, C), (C, G), (D, C), (A, G), (G, A), (A, D), (C, A)] {
            let pair = pair(from, to, harp(), player.clone());
            for measures in 1..=LONGEST {
                let Ok(link) = pair.link(measures) else { continue };
                links += 1;
                let score = &link.score;
                assert_eq!((score.measures.len(), link.chords.len()), (measures, measures));
                assert_eq!(replay(score, &pair.stands, &pair.harp), [], "{}", shown(&link));
                let moved = score.measures.iter().flat_map(|m| &m.marks).map(|m| match m.mark {
                    Mark::Lever(pitch) => pitch,
                    _ => unreachable!("a lever harp"),
                });
                let moved = moved.collect::<Vec<_>>();
                assert_eq!(moved.len(), pair.changes.len());
                for pitch in moved {
                    assert_eq!(pair.wanted.alter(&pair.harp, pitch.position()), Some(pitch.alter));
                }
                in_time(score, &player);
            }
        }
    }
    assert!(links > 40, "{links} links");
}

/// Counted otherwise than the link is written: for each place with marks, the time to the next pluck of the left hand.
fn in_time(score: &Score, player: &Player) {
    let times = MoveTimes::of(player.fluency);
    let tempo = score.tempo;
    let mut at = Beats::ZERO;
    let (mut plucks, mut moves): (Vec<Seconds>, Vec<Seconds>) = (Vec::new(), Vec::new());
    for measure in &score.measures {
        plucks.extend(measure.left.iter().filter(|n| n.is_plucked()).map(|n| tempo.seconds(at + n.at)));
        moves.extend(measure.marks.iter().map(|m| tempo.seconds(at + m.at)));
        at += measure.frame.length;
    }
    let end = tempo.seconds(at);
    for place in moves.iter() {
        let here = moves.iter().filter(|m| *m == place).count() as i64;
        let least = times.lever + Seconds::from_micros(times.neighbour.micros() * (here - 1));
        let next = plucks.iter().chain(&moves).filter(|p| *p > place).min().copied().unwrap_or(end);
        assert!(*place + least <= next, "{here} levers at {place:?} before {next:?}");
        assert!(plucks.iter().filter(|p| *p <= place).all(|p| *p + times.away <= *place));
    }
}

/// At a quick pace one measure has no time for what four have.
#[test]
fn a_link_that_is_too_short_is_refused() {
    let pair = pair(A, C, harp(), Player { fluency: Fluency::Slow, ..Player::default() });
    assert!(pair.changes.len() > 3, "{:?}", pair.changes);
    let between = Between { stands: &pair.stands, changes: &pair.changes, next: &pair.next, harp: &pair.harp, player: &pair.player };
    assert_eq!(pair.link(1), Err(NoLink::NoTime));
    assert!(shortest(between).is_none_or(|m| m > 1));
}
