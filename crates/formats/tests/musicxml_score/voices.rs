//! Several voices on a staff become one line of plucks; what rings on is a hold.

use crate::page::{check, page, read};
use expect_test::expect;
use music::TupletEdge;

#[test]
fn each_staff_is_a_hand() {
    check(
        "{C5 1} {D5 1} {E5 2} {< 4} {C3+G3 2 v2 s2} {r 2 v2 s2}",
        expect![[r#"
        1 R C5:1 D5:1 E5:2
          L [C3+G3]:2 r:2
    "#]],
    );
}

/// The half note of the lower voice is plucked once and held while the upper voice moves.
#[test]
fn a_note_held_while_another_voice_moves() {
    check(
        "{E5 1} {F5 1} {G5 2} {< 4} {C5 2 v2} {B4 2 v2} {< 4} {C3 4 v3 s2}",
        expect![[r#"
        1 R [C5+E5]:1 F5:1 [B4+G5]:2
          L C3:4
        hold Right C5 measure 0 at 0 for 2
    "#]],
    );
}

/// Tied notes of a measure are one pluck; so is a tie over the bar line, whatever moves beside it.
#[test]
fn ties_are_followed_through_voices() {
    check(
        "{C5 2 tie} {C5 1 untie} {D5 1 tie} {< 4} {G3 4 v2 s2 tie} | {D5 2 untie} {E5 2} {< 4} {G3 4 v2 s2 untie} {< 4} {r 1 v3 s2} {B3 3 v3 s2}",
        expect![[r#"
        1 R C5:3 D5:1>
          L G3:4>
        2 R D5:2< E5:2
          L G3:1< B3:3
        hold Left G3 measure 0 at 0 for 8
    "#]],
    );
}

/// A voice that is tied over while the other is plucked: only the pluck stands in the line.
#[test]
fn a_held_voice_is_not_plucked_again() {
    check(
        "{E5 4} {< 4} {C5 4 v2 tie} | {F5 4} {< 4} {C5 4 v2 untie}",
        expect![[r#"
        1 R [C5+E5]:4
          L r:4
        2 R F5:4
          L r:4
        hold Right C5 measure 0 at 0 for 8
    "#]],
    );
}

#[test]
fn a_chord_of_which_some_strings_are_tied_on() {
    check(
        "{C4+E4 4 tie} | {C4 2 untie} {G4 2} | {A4 4}",
        expect![[r#"
        1 R [C4+E4]:4>
          L r:4
        2 R C4:2< G4:2
          L r:4
        3 R A4:4
          L r:4
    "#]],
    );
}

/// A voice that crosses to the other staff is plucked there.
#[test]
fn a_voice_may_cross_the_staves() {
    check(
        "{C5 1} {A3 1 s2} {C5 1} {A3 1 s2} {< 4} {F3 1 v2 s2} {r 3 v2 s2}",
        expect![[r#"
        1 R C5:1 r:1 C5:1 r:1
          L F3:1 A3:1 r:1 A3:1
    "#]],
    );
}

#[test]
fn the_same_string_in_two_voices_is_plucked_once() {
    check(
        "{C5 1} {r 3} {< 4} {C5 2 v2} {r 2 v2}",
        expect![[r#"
        1 R C5:2 r:2
          L r:4
    "#]],
    );
}

#[test]
fn a_second_ending_may_take_over_a_tie() {
    let one = "<barline location=\"left\"><ending number=\"1\" type=\"start\"/></barline>";
    let two = "<barline location=\"left\"><ending number=\"2\" type=\"start\"/></barline>";
    let back = "<barline location=\"right\"><ending number=\"1\" type=\"stop\"/><repeat direction=\"backward\"/></barline>";
    let end = "<barline location=\"right\"><ending number=\"2\" type=\"stop\"/></barline>";
    check(
        &format!("{{C5 4 tie}} | {one}{{C5 4 untie}}{back} | {two}{{C5 4 untie}}{end}"),
        expect![[r#"
        1 R C5:4>
          L r:4
        2 R C5:4<
          L r:4
        3 R C5:4<
          L r:4
    "#]],
    );
}

/// Three eighths in the time of two are a triplet, whatever is held below.
#[test]
fn triplets_keep_their_number() {
    let ratio = "<type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>";
    let imported = read(&page(&format!("{{C5 1/3 {ratio}}} {{D5 1/3 {ratio}}} {{E5 1/3 {ratio}}} {{F5 3}} {{< 4}} {{C4 4 v2}}")));
    let seen: Vec<_> = imported.score.measures[0].right.iter().map(|n| n.tuplet.map(|t| (t.actual, t.normal, t.edge))).collect();
    let at = |edge| Some((3, 2, edge));
    assert_eq!(seen, [at(TupletEdge::Start), at(TupletEdge::Inside), at(TupletEdge::Stop), None]);
}
