//! Titles, people, tempo, words, sections, lyrics.

use crate::show::{check, listed, part, read, score};
use expect_test::{Expect, expect};

/// The head of a sheet: what is printed about the tune, and the tempo.
fn check_head(head: &str, first: &str, expected: Expect) {
    let start = "<attributes><divisions>24</divisions><key><fifths>0</fifths><mode>major</mode></key>\
                 <time><beats>6</beats><beat-type>8</beat-type></time></attributes>";
    let whole = format!("<score-partwise>{head}{}<part id=\"P1\">{}</part></score-partwise>", listed(&["P1"]), part(start, first));
    let imported = match read(&whole) {
        Ok(imported) => imported,
        Err(error) => panic!("{error}"),
    };
    let words = &imported.sheet.words;
    let tempo = imported.sheet.tempo.map(|t| format!("{} = {}", t.unit(), t.milli_per_minute()));
    let mut out = format!("{:?} {:?}\n", words.title, words.subtitles);
    out.push_str(&format!("{:?} {:?} {:?} {:?}\n", words.composer, words.lyricist, words.source, words.rights));
    out.push_str(&format!("{tempo:?} {:?}\n", words.tempo_words));
    for (i, measure) in imported.sheet.measures.iter().enumerate() {
        for (at, tempo) in &measure.frame.tempos {
            out.push_str(&format!("measure {i} at {at}: {} = {}\n", tempo.unit(), tempo.milli_per_minute()));
        }
        for (at, words) in &measure.frame.words {
            out.push_str(&format!("measure {i} at {at}: {words}\n"));
        }
    }
    out.extend(imported.diagnostics.iter().map(|d| format!("{d}\n")));
    expected.assert_eq(&out);
}

#[test]
fn titles_and_people() {
    let head = "<work><work-title>Harbour Suite</work-title></work><movement-title>The Last Ferry</movement-title>\
                <identification><creator type=\"composer\">A. Quay</creator><creator type=\"lyricist\">B. Mole</creator>\
                <creator type=\"arranger\">C. Pier</creator><rights>Free to play</rights><rights>Free to copy</rights>\
                <source>A notebook</source></identification>";
    check_head(
        head,
        "{C4 3}",
        expect![[r#"
        "The Last Ferry" ["Harbour Suite", "arranged by C. Pier"]
        Some("A. Quay") Some("B. Mole") Some("A notebook") Some("Free to play; Free to copy")
        None None
    "#]],
    );
    check_head(
        "<work><work-title></work-title></work><movement-title>Regatta</movement-title>",
        "{C4 3}",
        expect![[r#"
        "Regatta" []
        None None None None
        None None
    "#]],
    );
}

#[test]
fn a_title_from_the_credits() {
    let credit = |size: u32, words: &str| format!("<credit page=\"1\"><credit-words font-size=\"{size}\">{words}</credit-words></credit>");
    let head = format!("{}{}{}", credit(10, "A. Quay"), credit(24, "Bakery Waltz"), credit(12, "for harp"));
    check_head(
        &head,
        "{C4 3}",
        expect![[r#"
        "Bakery Waltz" []
        None None None None
        None None
    "#]],
    );
}

fn metronome(unit: &str, per_minute: &str, words: &str, sound: &str) -> String {
    format!(
        "<direction placement=\"above\"><direction-type><words>{words}</words></direction-type><direction-type><metronome>{unit}\
         <per-minute>{per_minute}</per-minute></metronome></direction-type>{sound}</direction>"
    )
}

#[test]
fn a_tempo_mark_at_the_start_and_one_later() {
    let dotted = "<beat-unit>quarter</beat-unit><beat-unit-dot/>";
    let first = metronome(dotted, "c. 96", "Lively", "<sound tempo=\"144\"/>");
    let later = metronome("<beat-unit>eighth</beat-unit>", "120-132", "slower", "");
    check_head(
        "",
        &format!("{first} {{C4 3}} | {{D4 3/2}} {later} {{E4 3/2}}"),
        expect![[r#"
        "" []
        None None None None
        Some("3/2 = 96000") Some("Lively")
        measure 1 at 3/2: 1/2 = 120000
        measure 1 at 3/2: slower
    "#]],
    );
}

/// MusicXML 4.0, `sound`: tempo is in quarter notes a minute; 180 of them are 120 dotted quarters.
#[test]
fn a_playing_tempo_is_counted_in_the_meters_beat() {
    check_head(
        "",
        "<sound tempo=\"180\"/> {C4 3} | <sound tempo=\"180\"/> {D4 3}",
        expect![[r#"
        "" []
        None None None None
        Some("3/2 = 120000") None
    "#]],
    );
}

#[test]
fn tempo_marks_that_cannot_be_used_are_said() {
    let nonsense = metronome("<beat-unit>quarter</beat-unit>", "quick", "", "");
    let modulation = "<direction><direction-type><metronome><beat-unit>quarter</beat-unit><beat-unit>half</beat-unit></metronome>\
                      </direction-type></direction>";
    check_head(
        "",
        &format!("{nonsense} {modulation} {{C4 3}}"),
        expect![[r#"
        "" []
        None None None None
        None None
        1:380: warning: a tempo mark that cannot be read is left out (a note value and 4 to 1000 a minute are expected)
        1:520: note: a tempo mark that sets one note value against another is left out
    "#]],
    );
}

#[test]
fn words_above_the_first_measure() {
    let words = |text: &str| format!("<direction placement=\"above\"><direction-type><words>{text}</words></direction-type></direction>");
    check_head(
        "",
        &format!("{} {} {{C4 3}}", words("Slow and free"), words("second time softly")),
        expect![[r#"
        "" []
        None None None None
        None Some("Slow and free")
        measure 0 at 0: second time softly
    "#]],
    );
}

#[test]
fn sections() {
    let mark = |text: &str| format!("<direction><direction-type><rehearsal>{text}</rehearsal></direction-type></direction>");
    check(
        "1/4",
        &format!("{} {{C4 1}} | {{D4 1}} {} | {{E4 1}}", mark("A"), mark("B")),
        expect![[r#"
        1 <A> C4:1
        2 D4:1
        3 <B> E4:1
    "#]],
    );
}

fn lyric(attributes: &str, inside: &str) -> String {
    format!("<lyric {attributes}>{inside}</lyric>")
}

#[test]
fn syllables_of_several_verses() {
    let one = lyric("number=\"1\"", "<syllabic>begin</syllabic><text>har</text>");
    let two = lyric("number=\"2\"", "<text>sea</text><extend/>");
    let end = lyric("number=\"1\"", "<syllabic>end</syllabic><text>bour</text>");
    check(
        "2/4",
        &format!("{{C4 1 {one}{two}}} {{D4 1 {end}}}"),
        expect![[r#"
        1 C4:1 1:har/Begin 2:sea_/Single D4:1 1:bour/End
    "#]],
    );
}

#[test]
fn syllables_sung_on_one_note() {
    let plain = lyric("", "<syllabic>end</syllabic><text>the</text><elision/><syllabic>begin</syllabic><text>eve</text>");
    let signed = lyric("", "<text>a</text><elision>‿</elision><text>e</text>");
    let unnumbered = format!("{}{}", lyric("", "<text>one</text>"), lyric("number=\"chorus\"", "<text>two</text>"));
    check(
        "3/4",
        &format!("{{C4 1 {plain}}} {{D4 1 {signed}}} {{E4 1 {unnumbered}}}"),
        expect![[r#"
        1 C4:1 1:the eve/Middle D4:1 1:a‿e/Single E4:1 1:one/Single 2:two/Single
    "#]],
    );
}

#[test]
fn a_score_without_anything_in_its_head_is_read() {
    let imported = read(&score("1/4", "{C4 1}")).map(|i| (i.sheet.words.title, i.tunes.len()));
    assert_eq!(imported, Ok((String::new(), 1)));
}
