//! Rolls, fingers, grace notes, the harp's own marks, and the frame.

use crate::page::{check, page, read};
use expect_test::expect;
use music::{Barline, Jump, Mark};

#[test]
fn rolls_and_fingers() {
    let roll = "<notations><arpeggiate/><technical><fingering>4</fingering></technical></notations>";
    let upper = "<note><chord/><pitch><step>E</step><octave>4</octave></pitch><duration>96</duration><voice>1</voice><staff>1</staff>\
                 <notations><arpeggiate/><technical><fingering>2</fingering></technical></notations></note>";
    check(
        &format!("{{C4 4 {roll}}} {upper}"),
        expect![[r#"
        1 R ~[C4+E4]:4 rolled fingers [4, 2]
          L r:4
    "#]],
    );
}

#[test]
fn a_fifth_finger_is_left_out_and_said() {
    let finger = "<notations><technical><fingering>5</fingering></technical></notations>";
    check(
        &format!("{{C4 4 {finger}}}"),
        expect![[r#"
        1 R C4:4
          L r:4
        fingering that does not give each note a finger from 1 to 4 is left out
    "#]],
    );
}

#[test]
fn grace_notes_go_with_their_voice() {
    let grace = "<note><grace slash=\"yes\"/><pitch><step>D</step><octave>5</octave></pitch><voice>2</voice><type>eighth</type></note>";
    check(
        &format!("{{E5 4}} {{< 4}} {{r 2 v2}} {grace} {{C5 2 v2}}"),
        expect![[r#"
        1 R E5:2 ,D5 C5:2
          L r:4
        hold Right E5 measure 0 at 0 for 4
    "#]],
    );
}

fn direction(kind: &str, staff: u32) -> String {
    format!("<direction><direction-type>{kind}</direction-type><staff>{staff}</staff></direction>")
}

#[test]
fn marks_for_the_harp() {
    let pedal = |step, alter| format!("<pedal-tuning><pedal-step>{step}</pedal-step><pedal-alter>{alter}</pedal-alter></pedal-tuning>");
    let first = format!("<harp-pedals>{}{}</harp-pedals>", pedal("D", 0), pedal("F", 1));
    let later = format!("<harp-pedals>{}{}</harp-pedals>", pedal("D", -1), pedal("F", 1));
    let ring = "<notations><tied type=\"let-ring\"/></notations>";
    let measure = format!(
        "{}{}{{C5 2}}{}{{D5 2}}{{< 4}}{{C3 2 v2 s2 {ring}}}{}{}{{G3 2 v2 s2}} | {}{{C5 4}}",
        direction("<words font-weight=\"bold\" font-size=\"large\">Verse 2</words>", 1),
        direction(&first, 1),
        direction(&later, 1),
        direction("<damp-all/>", 2),
        direction("<words>l.h.</words>", 2),
        direction("<words>F♯6</words>", 1),
    );
    check(
        &measure,
        expect![[r#"
            1 R C5:2 D5:2
              L C3:2 G3:2
              heading Verse 2
              Pedal(PitchName { step: D, alter: 0 }) None at 0
              Pedal(PitchName { step: F, alter: 1 }) None at 0
              LetRing Some(Left) at 0
              Pedal(PitchName { step: D, alter: -1 }) None at 2
              MuffleAll None at 2
              Words("l.h.") Some(Left) at 2
            2 R C5:4
              L r:4
              Lever(Pitch { octave: 6, step: F, alter: 1 }) None at 0
        "#]],
    );
}

/// A repeat inside a measure splits it; marks, holds and both hands go with their half.
#[test]
fn a_measure_split_by_a_repeat() {
    let back = "<barline location=\"middle\"><bar-style>light-heavy</bar-style><repeat direction=\"backward\"/></barline>";
    let damp = direction("<damp/>", 1);
    check(
        &format!("{{C5 2}} {back} {damp} {{D5 1}} {{E5 1}} {{< 2}} {{B4 2 v2}} {{< 4}} {{C3 4 v3 s2}}"),
        expect![[r#"
            1 R C5:2
              L C3:2>
            1 R [B4+D5]:1 E5:1
              L C3:2<
              Muffle([]) None at 0
            hold Right B4 measure 1 at 0 for 2
        "#]],
    );
}

#[test]
fn the_frame_is_the_upper_staffs() {
    let tempo = "<direction><direction-type><metronome><beat-unit>half</beat-unit><per-minute>60</per-minute></metronome></direction-type></direction>";
    let symbol = "<harmony><root><root-step>G</root-step></root><kind>dominant</kind></harmony>";
    let back = "<barline location=\"right\"><repeat direction=\"backward\"/></barline>";
    let fine = "<direction><direction-type><words>Fine</words></direction-type><sound fine=\"yes\"/></direction>";
    let imported = read(&page(&format!("{tempo}{symbol}{{C5 4}} {back} | {{D5 4}} {fine}")));
    let frames: Vec<_> = imported.score.measures.iter().map(|m| &m.frame).collect();
    assert_eq!(imported.tempo.map(|t| t.milli_per_minute()), Some(60_000));
    assert_eq!(frames[0].chords.first().map(|c| c.symbol.harmony.to_string()).as_deref(), Some("G7"));
    assert_eq!((frames[0].repeat_end, frames[0].right), (Some(2), Barline::Plain));
    assert_eq!(frames[1].jumps, [Jump::Fine]);
    assert!(imported.score.measures.iter().all(|m| m.marks.iter().all(|m| m.mark != Mark::MuffleAll)));
}
