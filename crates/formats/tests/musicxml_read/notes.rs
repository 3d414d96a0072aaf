//! Notes, voices, ties, tuplets, grace notes and what stands at them.

use crate::show::check;
use expect_test::expect;

#[test]
fn notes_chords_and_rests() {
    check(
        "4/4",
        "{C4 1} {C4+E4+G4 1} {r 1/2} {F#5 3/2}",
        expect![[r#"
        1 C4:1 [C4+E4+G4]:1 r:1/2 F#5:3/2
    "#]],
    );
}

#[test]
fn a_second_voice_is_left_out_and_said_so() {
    let two = "{E5 2 <voice>1</voice>} {D5 2 <voice>1</voice>} <backup><duration>96</duration></backup> {C4 4 <voice>2</voice>}";
    check(
        "4/4",
        two,
        expect![[r#"
        1 E5:2 D5:2
        1:560: note: a note of voice 2 beside the melody is left out
    "#]],
    );
}

#[test]
fn where_the_leading_voice_is_absent_the_highest_other_is_taken() {
    let measures = "{E5 4 <voice>1</voice>} | {C4 4 <voice>2</voice>} <backup><duration>96</duration></backup> {G4 4 <voice>3</voice>} \
                    | {F5 4 <voice>1</voice>}";
    check(
        "4/4",
        measures,
        expect![[r#"
        1 E5:4
        2 G4:4
        3 F5:4
        2:21: note: a note of voice 2 beside the melody is left out
    "#]],
    );
}

#[test]
fn gaps_become_rests() {
    check(
        "4/4",
        "{C4 1} <forward><duration>24</duration></forward> {D4 1}",
        expect![[r#"
        1 C4:1 r:1 D4:1
    "#]],
    );
}

#[test]
fn of_two_notes_at_once_in_one_voice_the_first_written_stands() {
    check(
        "4/4",
        "{C5 2} {D5 2} <backup><duration>72</duration></backup> {E4 3}",
        expect![[r#"
        1 C5:2 D5:2
        1:528: warning: a note that sounds over an earlier one of the same voice is left out
    "#]],
    );
}

#[test]
fn cue_and_hidden_notes_are_left_out() {
    let cue = "<note><cue/><pitch><step>A</step><octave>4</octave></pitch><duration>24</duration></note>";
    let hidden = "<note print-object=\"no\"><pitch><step>A</step><octave>4</octave></pitch><duration>24</duration></note>";
    check(
        "4/4",
        &format!("{{C4 1}} {cue} {hidden} {{D4 1}}"),
        expect![[r#"
        1 C4:1 r:1 r:1 D4:1
        1:387: note: a cue note is left out
        1:477: note: a note that is not printed is left out
    "#]],
    );
}

#[test]
fn ties_are_made_whole() {
    let start = "<tie type=\"start\"/>";
    check(
        "4/4",
        &format!("{{C4 4 {start}}} | {{C4 2}} {{D4 2 {start}}} | {{E4 4}}"),
        expect![[r#"
        1 C4:4>
        2 C4:2< D4:2
        3 E4:4
        2:1: note: a tie that leads to no note of the same pitch is left out
    "#]],
    );
}

#[test]
fn a_second_ending_may_take_over_a_tie() {
    let (start, stop) = ("<tie type=\"start\"/>", "<tie type=\"stop\"/>");
    let ending = |n: u32, kind: &str| {
        let side = if kind == "start" { "left" } else { "right" };
        format!("<barline location=\"{side}\"><ending number=\"{n}\" type=\"{kind}\"/></barline>")
    };
    let back = "<barline location=\"right\"><ending number=\"1\" type=\"stop\"/><repeat direction=\"backward\"/></barline>";
    let measures = format!(
        "{{G4 4 {start}}} | {} {{G4 4 {stop}}} {back} | {} {{G4 4 {stop}}} {}",
        ending(1, "start"),
        ending(2, "start"),
        ending(2, "discontinue")
    );
    check(
        "4/4",
        &measures,
        expect![[r#"
        1 G4:4>
        2 [1] G4:4<> :|x2
        3 [2] G4:4<
    "#]],
    );
}

const TRIPLET: &str =
    "<type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>";

fn triplet(edge: &str) -> String {
    format!("{TRIPLET}<notations><tuplet type=\"{edge}\"/></notations>")
}

#[test]
fn tuplets_with_a_bracket() {
    let (start, stop) = (triplet("start"), triplet("stop"));
    check(
        "2/4",
        &format!("{{C4 1/3 {start}}} {{D4 1/3 {TRIPLET}}} {{E4 1/3 {stop}}} {{F4 1}}"),
        expect![[r#"
        1 C4:1/3(3:2<) D4:1/3(3:2-) E4:1/3(3:2>) F4:1
    "#]],
    );
}

#[test]
fn tuplets_without_a_bracket_are_grouped_by_their_lengths() {
    let note = |p: &str| format!("{{{p} 1/3 {TRIPLET}}}");
    let six: Vec<String> = ["C4", "D4", "E4", "F4", "G4", "A4"].into_iter().map(note).collect();
    check(
        "2/4",
        &six.join(" "),
        expect![[r#"
        1 C4:1/3(3:2<) D4:1/3(3:2-) E4:1/3(3:2>) F4:1/3(3:2<) G4:1/3(3:2-) A4:1/3(3:2>)
    "#]],
    );
}

/// MusicXML 4.0, `time-modification`: nested tuplets carry the product of their ratios.
#[test]
fn nested_tuplets() {
    let inner = |pitch: &str, notations: &str| {
        format!(
            "<note><pitch><step>{pitch}</step><octave>4</octave></pitch><type>16th</type><time-modification><actual-notes>9</actual-notes>\
             <normal-notes>4</normal-notes></time-modification>{notations}</note>"
        )
    };
    let edge = |edge: &str| format!("<notations><tuplet number=\"2\" type=\"{edge}\"/></notations>");
    let measures = format!(
        "{{C4 1/3 {}}} {}{}{} {{G4 1/3 {}}} {{A4 1}}",
        triplet("start"),
        inner("D", &edge("start")),
        inner("E", ""),
        inner("F", &edge("stop")),
        triplet("stop")
    );
    check(
        "2/4",
        &measures,
        expect![[r#"
        1 C4:1/3(3:2<) D4:1/9(9:4-) E4:1/9(9:4-) F4:1/9(9:4-) G4:1/3(3:2>) A4:1
    "#]],
    );
}

#[test]
fn rounded_tuplets_are_taken_from_their_faces() {
    let note = |d: u32| format!("<note><pitch><step>C</step><octave>4</octave></pitch><duration>{d}</duration>{TRIPLET}</note>");
    let divisions = "<attributes><divisions>100</divisions></attributes>";
    check(
        "2/4",
        &format!("{divisions}{}{}{}<note><rest/><duration>100</duration></note>", note(33), note(33), note(34)),
        expect![[r#"
        1 C4:1/3(3:2<) C4:1/3(3:2-) C4:1/3(3:2>) r:1
        1:338: note: the length of a tuplet's note, rounded in the file, is taken from its face, 3 times
    "#]],
    );
}

#[test]
fn a_lone_note_of_plain_length_is_no_tuplet() {
    let dotted =
        "<type>quarter</type><dot/><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>";
    check(
        "2/4",
        &format!("{{C4 1 {dotted}}} {{D4 1}}"),
        expect![[r#"
        1 C4:1 D4:1
    "#]],
    );
}

fn grace(sign: &str, pitch: &str) -> String {
    format!("<note>{sign}<pitch><step>{pitch}</step><octave>5</octave></pitch><type>16th</type></note>")
}

#[test]
fn grace_notes_stand_before_their_note() {
    let plain = grace("<grace/>", "D");
    let slashed = grace("<grace slash=\"yes\"/>", "E");
    let chord = grace("<grace/><chord/>", "F");
    check(
        "2/4",
        &format!("{plain}{chord} {{C5 1}} {slashed} {{C5 1}}"),
        expect![[r#"
        1 ,D5+F5/16 C5:1 /E5/16 C5:1
    "#]],
    );
}

#[test]
fn grace_notes_at_the_end_of_a_measure_go_to_the_next_note() {
    let measures = format!("{{C5 2}} {} | {{B4 2}} {}", grace("<grace/>", "D"), grace("<grace/>", "E"));
    check(
        "2/4",
        &measures,
        expect![[r#"
        1 C5:2
        2 ,D5/16 B4:2
        1:387: note: a grace note at the end of a measure is moved to the next note, 2 times
        2:1: warning: grace notes after the last note are left out
    "#]],
    );
}

#[test]
fn signs_at_notes() {
    let notation = |inside: &str| format!("<notations>{inside}</notations>");
    let measures = format!(
        "{{C5 1 {}}} {{D5 1 {}}} {{C4+E4 1 {}}} {{F5 1 {}}}",
        notation("<slur type=\"start\"/><articulations><staccato/><strong-accent/></articulations>"),
        notation("<slur type=\"stop\"/><fermata/><ornaments><trill-mark/><schleifer/></ornaments>"),
        notation("<arpeggiate/><dynamics><mf/></dynamics>"),
        notation("<articulations><breath-mark/></articulations><technical><up-bow/><fret>3</fret></technical>"),
    );
    check(
        "4/4",
        &measures,
        expect![[r#"
        1 C5:1( *Staccato *Marcato D5:1) *Fermata *Trill *schleifer ~[C4+E4]:1 !mf F5:1 *Breath *UpBow
        1:1125: note: the playing sign "fret" of another instrument is left out
    "#]],
    );
}

#[test]
fn dynamics_and_hairpins_of_directions() {
    let direction = |inside: &str| format!("<direction><direction-type>{inside}</direction-type></direction>");
    let (p, wedge) = (direction("<dynamics><p/></dynamics>"), direction("<wedge type=\"crescendo\"/>"));
    check(
        "2/4",
        &format!("{{C4 1}} {p} {wedge} {{D4 1}}"),
        expect![[r#"
        1 C4:1 D4:1 !p
        1:496: note: the direction "wedge" is left out
    "#]],
    );
}

#[test]
fn quarter_tones_are_rounded_and_bad_pitches_left_out() {
    let half = "<note><pitch><step>B</step><alter>-0.5</alter><octave>4</octave></pitch><duration>24</duration></note>";
    let bad = "<note><pitch><step>H</step><octave>4</octave></pitch><duration>24</duration></note>";
    check(
        "2/4",
        &format!("{half} {bad}"),
        expect![[r#"
        1 B4:1 r:1
        1:293: warning: a quarter tone is rounded to a semitone (a harp has no quarter tones)
        1:396: warning: a pitch that cannot be read is left out (a letter A to G and an octave 0 to 9 are expected)
    "#]],
    );
}

#[test]
fn an_accidental_without_an_alteration_is_taken_as_printed() {
    let note = "<note><pitch><step>A</step><octave>4</octave></pitch><duration>48</duration><accidental>sharp</accidental></note>";
    check(
        "2/4",
        note,
        expect![[r#"
        1 A#4:2
        1:287: warning: an accidental is printed at a note whose pitch does not have it, taken as printed
    "#]],
    );
}

#[test]
fn lengths_from_the_face_where_there_is_no_duration() {
    let note = |kind: &str| format!("<note><pitch><step>A</step><octave>4</octave></pitch>{kind}</note>");
    check(
        "2/4",
        &format!("{}{}{}", note("<type>quarter</type><dot/>"), note("<type>eighth</type>"), note("")),
        expect![[r#"
        1 A4:3/2 A4:1/2
        1:452: warning: a note without a duration is left out
    "#]],
    );
}

#[test]
fn divisions_may_change_inside_a_measure() {
    let change = "<attributes><divisions>8</divisions></attributes>";
    let note = "<note><pitch><step>A</step><octave>4</octave></pitch><duration>8</duration></note>";
    check(
        "2/4",
        &format!("{{C4 1}} {change} {note}"),
        expect![[r#"
        1 C4:1 A4:1
    "#]],
    );
}
