//! All voices of a score, out of ABC and MusicXML. The music is made up for the tests; what the elements mean: MusicXML 4.0 and ABC 2.1.

use expect_test::{Expect, expect};
use formats::{ReadError, ReadOptions, read_voices};

fn check(text: &str, expected: Expect) {
    let voices = read_voices(text.as_bytes(), &ReadOptions::default()).expect("our own score reads").voices;
    let lengths: Vec<String> = voices.frames.iter().map(|f| format!("{}:{}", f.number, f.length)).collect();
    let mut shown = format!("measures {}\n", lengths.join(" "));
    for (i, line) in voices.lines.iter().enumerate() {
        let notes: Vec<String> = line.notes.iter().map(|n| format!("{}@{}:{}", n.pitch, n.start, n.length)).collect();
        let sung = if i == voices.melody { " (melody)" } else { "" };
        shown += &format!("{}{sung} {}\n", line.name, notes.join(" "));
    }
    expected.assert_eq(&shown);
}

/// A part of measures in which a note is "C4 2" (length in quarters), with what stands behind it taken into the note; "<" goes back.
fn part(id: &str, measures: &[&str]) -> String {
    let event = |text: &str| {
        let words: Vec<&str> = text.split_whitespace().collect();
        let length = format!("<duration>{}</duration>", words[1]);
        let after: String = words[2..]
            .iter()
            .map(|w| match *w {
                "v2" => "<voice>2</voice>".to_owned(),
                "s2" => "<staff>2</staff>".to_owned(),
                "tie" => "<tie type=\"start\"/>".to_owned(),
                "untie" => "<tie type=\"stop\"/>".to_owned(),
                word => format!("<lyric><text>{word}</text></lyric>"),
            })
            .collect();
        match words[0] {
            "<" => format!("<backup>{length}</backup>"),
            "hidden" => format!("<note print-object=\"no\"><rest/>{length}{after}</note>"),
            name => {
                let (chord, name) = name.strip_prefix('+').map_or(("", name), |rest| ("<chord/>", rest));
                format!("<note>{chord}<pitch><step>{}</step><octave>{}</octave></pitch>{length}{after}</note>", &name[..1], &name[1..])
            }
        }
    };
    let measure = |(i, text): (usize, &&str)| {
        let opening = "<attributes><divisions>1</divisions><key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time></attributes>";
        let (text, repeat) =
            text.strip_suffix(" :|").map_or((*text, ""), |t| (t, "<barline location=\"right\"><repeat direction=\"backward\"/></barline>"));
        let notes: String = text.split(',').map(event).collect();
        format!("<measure number=\"{}\">{}{notes}{repeat}</measure>", i + 1, if i == 0 { opening } else { "" })
    };
    format!("<part id=\"{id}\">{}</part>", measures.iter().enumerate().map(measure).collect::<String>())
}

fn score(parts: &[(&str, &[&str])]) -> String {
    let listed: String = parts.iter().map(|(id, _)| format!("<score-part id=\"{id}\"><part-name>{id}</part-name></score-part>")).collect();
    let written: String = parts.iter().map(|(id, measures)| part(id, measures)).collect();
    format!("<score-partwise version=\"4.0\"><part-list>{listed}</part-list>{written}</score-partwise>")
}

#[test]
fn two_staves_with_two_voices_each() {
    check(
        &score(&[("Hymn", &["C5 2,D5 2,< 4,G4 4 v2,< 4,E4 4 s2,< 4,C3 4 v2 s2"])]),
        expect![[r#"
            measures 1:4
            Hymn (melody) C5@0:2 D5@2:2
            Hymn G4@0:4
            Hymn E4@0:4
            Hymn C3@0:4
        "#]],
    );
}

/// A staff that writes two voices as chords: the upper notes are one line, the lower ones another; a tie makes one note.
#[test]
fn chords_are_lines_from_the_top_and_ties_one_note() {
    check(
        &score(&[("Hymn", &["C5 4,+G4 4 tie", "D5 4,+G4 4 untie"])]),
        expect![[r#"
            measures 1:4 2:4
            Hymn (melody) C5@0:4 D5@4:4
            Hymn G4@0:8
        "#]],
    );
}

#[test]
fn the_sung_part_has_the_melody() {
    check(
        &score(&[("Flute", &["E5 4"]), ("Voice", &["C5 4 bell"])]),
        expect![[r#"
            measures 1:4
            Flute E5@0:4
            Voice (melody) C5@0:4
        "#]],
    );
}

/// Rests that are not printed fill the measure before a repeat sign up; the music goes on without them.
#[test]
fn hidden_rests_at_a_repeat_do_not_count() {
    check(
        &score(&[("Hymn", &["C5 4", "D5 3,hidden 1 :|", "E5 1,hidden 3", "F5 4"])]),
        expect![[r#"
            measures 1:4 2:3 2:1 3:4
            Hymn (melody) C5@0:4 D5@4:3 E5@7:1 F5@8:4
        "#]],
    );
}

#[test]
fn voices_of_abc_lie_over_each_other() {
    check(
        "X:1\nT:Harbour Hymn\nM:4/4\nL:1/4\nK:C\nV:S\nV:B bass\n[V:S] c2 d2 | e4 |]\nw: ring the bell\n[V:B] [C,E,]4- | [C,E,]4 |]\n",
        expect![[r#"
            measures 1:4 2:4
            S (melody) C5@0:2 D5@2:2 E5@4:4
            B E3@0:8
            B C3@0:8
        "#]],
    );
}

#[test]
fn too_many_voices_are_refused() {
    let chord: String = (0..70).map(|i| format!("V:{i}\nc4|\n")).collect();
    let wide = |n: usize| (0..n).map(|i| ["C4 4", "+D4 4", "+E4 4"][usize::from(i > 0) * (1 + i % 2)]).collect::<Vec<_>>().join(",");
    let parts: Vec<(String, String)> = (0..5).map(|i| (format!("P{i}"), wide(20))).collect();
    let measures: Vec<[&str; 1]> = parts.iter().map(|(_, m)| [m.as_str()]).collect();
    let listed: Vec<(&str, &[&str])> = parts.iter().zip(&measures).map(|((id, _), m)| (id.as_str(), m.as_slice())).collect();
    let refused = |text: &str| matches!(read_voices(text.as_bytes(), &ReadOptions::default()), Err(ReadError::Unusable(_)));
    assert!(refused(&score(&listed)), "a hundred voices");
    // Of an ABC tune the first sixty-four voices are kept by the reader of voices itself.
    assert!(!refused(&format!("X:1\nK:C\n{chord}")), "voices beyond the limit go on in the one before");
}

#[test]
fn a_score_of_cue_notes_alone_is_refused() {
    let cues = score(&[("Flute", &["C4 4"])]).replace("<note>", "<note><cue/>");
    let refused = read_voices(cues.as_bytes(), &ReadOptions::default()).map(|_| ()).map_err(|e| e.to_string());
    assert!(refused.as_ref().is_err_and(|e| e.contains("no notes that last")), "{refused:?}");
}
