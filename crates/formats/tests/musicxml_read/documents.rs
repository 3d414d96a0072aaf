//! Files as a whole: encodings, archives, timewise scores, limits, and files that are refused.

use crate::show::{check_score, read, score, show};
use expect_test::expect;
use formats::{ReadOptions, musicxml};
use std::io::{Cursor, Write};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

fn tune() -> String {
    score("1/4", "{C4 1} | {D4 1}")
}

fn bytes(bytes: &[u8]) -> String {
    show(musicxml::read(bytes, &ReadOptions::default()))
}

#[test]
fn xml_is_recognised_by_its_first_bytes() {
    let wide: Vec<u8> = "<?xml version='1.0'?>".encode_utf16().flat_map(u16::to_le_bytes).collect();
    for yes in [&b"<?xml version='1.0'?>"[..], b"\xEF\xBB\xBF<?xml", b"\n <score-partwise>", b"<!DOCTYPE x>", b"PK\x03\x04", &wide] {
        assert!(musicxml::looks_like(yes), "{yes:?}");
    }
    for no in [&b"X:1\nT:x"[..], b"", b"<", b"< 3", b"%abc-2.1\n<score"] {
        assert!(!musicxml::looks_like(no), "{no:?}");
    }
}

#[test]
fn encodings() {
    let titled = tune().replace("<part-list>", "<movement-title>Fähre</movement-title><part-list>");
    let title = |bytes: &[u8]| musicxml::read(bytes, &ReadOptions::default()).map(|i| i.sheet.words.title);
    let expected = Ok("Fähre".to_owned());
    assert_eq!(title(titled.as_bytes()), expected);
    let little: Vec<u8> = "\u{FEFF}".chars().chain(titled.chars()).collect::<String>().encode_utf16().flat_map(u16::to_le_bytes).collect();
    assert_eq!(title(&little), expected);
    let big: Vec<u8> = titled.encode_utf16().flat_map(u16::to_be_bytes).collect();
    assert_eq!(title(&big), expected);
    let latin: Vec<u8> = format!("<?xml version=\"1.0\" encoding=\"ISO-8859-1\"?>{titled}").chars().map(|c| c as u8).collect();
    assert_eq!(title(&latin), expected);
}

#[test]
fn a_document_type_with_entities_is_read() {
    let declared = format!("<!DOCTYPE score-partwise [<!ENTITY n \"Ferry\">]>{}", tune());
    let titled = declared.replace("<part-list>", "<movement-title>&n; Song</movement-title><part-list>");
    assert_eq!(read(&titled).map(|i| i.sheet.words.title), Ok("Ferry Song".into()));
    let outside =
        "<!DOCTYPE score-partwise PUBLIC \"-//Recordare//DTD MusicXML 3.1 Partwise//EN\" \"http://www.musicxml.org/dtds/partwise.dtd\">";
    assert!(read(&format!("{outside}{}", tune())).is_ok());
}

#[test]
fn a_timewise_score_is_turned() {
    let note = |step: &str| format!("<note><pitch><step>{step}</step><octave>4</octave></pitch><duration>1</duration></note>");
    let measure = |n: u32, head: &str, a: &str, b: &str| {
        format!("<measure number=\"{n}\"><part id=\"P1\">{head}{}</part><part id=\"P2\">{head}{}</part></measure>", note(a), note(b))
    };
    let head = "<attributes><divisions>1</divisions><key><fifths>0</fifths><mode>major</mode></key>\
                <time><beats>1</beats><beat-type>4</beat-type></time></attributes>";
    let whole = format!("<score-timewise>{}{}</score-timewise>", measure(1, head, "C", "E"), measure(2, "", "D", "F"));
    check_score(
        &whole,
        expect![[r#"
        1 C4:1
        2 D4:1
        1:17: note: the melody is read from the part "P1", one of 2 (another can be asked for by name or number)
    "#]],
    );
}

/// Packs files into an archive in memory.
fn packed(files: &[(&str, &str)]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, content) in files {
        writer.start_file(*name, SimpleFileOptions::default()).expect("a file begins in memory");
        writer.write_all(content.as_bytes()).expect("it is written to memory");
    }
    writer.finish().expect("the archive ends in memory").into_inner()
}

/// "Compressed .MXL files" of the standard: the container names the root files, the first one is the score.
#[test]
fn compressed_scores() {
    let root = |path: &str, kind: &str| format!("<rootfile full-path=\"{path}\" media-type=\"{kind}\"/>");
    let pdf = root("score.pdf", "application/pdf");
    let own = root("in/tune.xml", "application/vnd.recordare.musicxml+xml");
    let container = format!("<container><rootfiles>{pdf}{own}</rootfiles></container>");
    let whole = packed(&[("META-INF/container.xml", &container), ("score.pdf", "%PDF"), ("in/tune.xml", &tune()), ("a.xml", "<x/>")]);
    expect![[r#"
        1 C4:1
        2 D4:1
    "#]]
    .assert_eq(&bytes(&whole));
    expect![[r#"
        1 C4:1
        2 D4:1
    "#]]
    .assert_eq(&bytes(&packed(&[("tune.musicxml", &tune())])));
    expect![[r#"
        1:1: error: a compressed file without a MusicXML score in it (export the score again)
    "#]]
    .assert_eq(&bytes(&packed(&[("readme.txt", "nothing")])));
    expect![[r#"
        1:1: error: a damaged compressed score: invalid zip archive: could not find eocd (export it again)
    "#]]
    .assert_eq(&bytes(&whole[..whole.len() / 2]));
}

#[test]
fn an_archive_that_unpacks_too_far_is_refused() {
    let blank = " ".repeat(1024 * 1024);
    let mut flood = tune();
    (0..33).for_each(|_| flood.push_str(&blank));
    expect![[r#"
        1:1: error: the score unpacks to more than 32 MiB, the most that is read (split it)
    "#]]
    .assert_eq(&bytes(&packed(&[("tune.xml", &flood)])));
}

#[test]
fn broken_and_foreign_documents_are_refused_with_their_place() {
    let whole = tune();
    expect![[r#"
        2:115: error: not well-formed XML: invalid name token (export the score again)
    "#]]
    .assert_eq(&show(read(&whole[..whole.len() - 40])));
    expect![[r#"
        2:3: error: an XML document of <html>, expected <score-partwise> or <score-timewise> (only MusicXML scores are read)
    "#]]
    .assert_eq(&show(read("<?xml version=\"1.0\"?>\n  <html/>")));
    expect![[r#"
        1:1: error: the score has no notes with pitches, expected a melody (choose a part with a melody)
    "#]]
    .assert_eq(&show(read("<score-partwise/>")));
}

#[test]
fn nesting_is_limited_without_recursion() {
    let deep = format!("<score-partwise>{}{}</score-partwise>", "<a>".repeat(200_000), "</a>".repeat(200_000));
    expect![[r#"
        1:206: error: elements nested deeper than 64, the most that is read
    "#]]
    .assert_eq(&show(read(&deep)));
}

#[test]
fn a_flood_of_entities_is_refused() {
    let mut declarations = String::from("<!ENTITY e0 \"aaaaaaaaaa\">");
    for i in 1..20 {
        declarations.push_str(&format!("<!ENTITY e{i} \"{}\">", format!("&e{};", i - 1).repeat(10)));
    }
    let flood = format!("<!DOCTYPE score-partwise [{declarations}]>{}", tune())
        .replace("<part-list>", "<movement-title>&e19;</movement-title><part-list>");
    expect![[r#"
        1:1: error: entities that would make the document too long (write their text out)
    "#]]
    .assert_eq(&show(read(&flood)));
    let wide = format!("<!DOCTYPE score-partwise [<!ENTITY e \"{}\">]>{}", "a".repeat(100_000), tune());
    let wide = wide.replace("<part-list>", &format!("<movement-title>{}</movement-title><part-list>", "&e;".repeat(1000)));
    expect![[r#"
        1:1: error: entities that would make the document too long (write their text out)
    "#]]
    .assert_eq(&show(read(&wide)));
}

#[test]
fn a_tag_with_very_many_attributes_is_refused() {
    let attributes: String = (0..100_000).map(|i| format!(" a{i}=\"\"")).collect();
    expect![[r#"
        1:17: error: a tag longer than 4096 characters (no score has such tags)
    "#]]
    .assert_eq(&show(read(&tune().replace("<part-list>", &format!("<part-list{attributes}>")))));
}

#[test]
fn measures_notes_and_lengths_are_limited() {
    let many = score("1/4", &vec!["{C4 1}"; 2001].join("|"));
    expect![[r#"
        2001:1: error: 2001 measures in one part, the most that is read is 2000 (split the tune)
    "#]]
    .assert_eq(&show(read(&many)));
    let crowd = score("1/4", &"<note><grace/><pitch><step>C</step><octave>4</octave></pitch></note>".repeat(100_001));
    expect![[r#"
        1:1: error: 100001 notes in one part, the most that is read is 100000 (split the tune)
    "#]]
    .assert_eq(&show(read(&crowd)));
    let long = "<note><pitch><step>C</step><octave>4</octave></pitch><duration>999999999</duration></note>";
    expect![[r#"
        1 C4:32> None
        1 C4:32<> None
        1 C4:32<> None
        1 C4:32<> None
        1 C4:32<> None
        1 C4:32<> None
        1 C4:32<> None
        1 C4:32<
        1:117: warning: a measure longer than its meter 1/4 is kept as it is
        1:117: warning: measure 1 is longer than 8 whole notes or 128 notes: it is written as 8 with no bar line drawn between them
        1:287: warning: a duration that fits no note value is taken as the nearest that does
        1:287: warning: a measure longer than 256 quarter notes is cut off
    "#]]
    .assert_eq(&show(read(&score("1/4", long))));
}

/// The looking for a part by its name is done for every part; hundreds of thousands would keep it busy for an hour.
#[test]
fn parts_are_limited() {
    let part =
        "<part id=\"P\"><measure><note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration></note></measure></part>";
    expect![[r#"
        1:1: error: 50000 parts, the most that is read is 256 (leave some out)
    "#]]
    .assert_eq(&show(read(&format!("<score-partwise>{}</score-partwise>", part.repeat(50_000)))));
}

/// Chord notes, changed tones, titles and people without end.
#[test]
fn what_a_score_repeats_is_limited() {
    let chord_note = "<note><chord/><pitch><step>E</step><octave>4</octave></pitch><duration>24</duration></note>".repeat(50_000);
    expect![[r#"
        1 [C4+E4]:1
        1:6119: warning: of more than 64 notes in one chord the first are kept, 49937 times
    "#]]
    .assert_eq(&show(read(&score("1/4", &format!("{{C4 1}}{chord_note}")))));
    let degree =
        "<degree><degree-value>9</degree-value><degree-alter>0</degree-alter><degree-type>add</degree-type></degree>".repeat(20_000);
    let harmony = format!("<harmony><root><root-step>C</root-step></root><kind>major</kind>{degree}</harmony>");
    expect![[r#"
        1 "Cadd9add9add9add9add9add9add9add9add9add9add9add9add9add9add9add9"@0 C4:1
        1:117: warning: of more than 16 changed tones in one chord symbol the first are kept
    "#]]
    .assert_eq(&show(read(&score("1/4", &format!("{harmony}{{C4 1}}")))));
    let people = format!("<identification>{}</identification>", "<creator type=\"composer\">A. Ferryman</creator>".repeat(100_000));
    let imported = read(&tune().replace("<part-list>", &format!("{people}<part-list>"))).expect("a tune");
    assert_eq!(imported.sheet.words.composer.map(|c| c.chars().count()), Some(1001));
}

/// Whatever is repeated of the score is one short line.
#[test]
fn messages_are_short() {
    let long = "é".repeat(1_500);
    let tag = "n".repeat(4_000);
    let direction = format!("<direction><direction-type><{tag}/></direction-type></direction>");
    let in_measure = [
        format!("<{tag}/>"),
        direction,
        format!("<barline location=\"left\"><ending type=\"start\" number=\"{long}\"/></barline>"),
        format!("<harmony><root><root-step>C</root-step></root><kind>{}</kind></harmony>", long.repeat(100)),
        format!("<note><pitch><step>C</step><octave>4</octave></pitch><duration>24</duration><voice>{}</voice></note>", long.repeat(100)),
        format!("<attributes><key><fifths>0</fifths><mode>{}</mode></key></attributes>", long.repeat(100)),
        format!("{{C4 1 <notations><technical><{tag}/></technical></notations>}}"),
    ];
    let documents = in_measure.iter().map(|m| score("1/4", &format!("{m} {{C4 1}} | {{C4 1}} {m}")));
    let parts = tune().replace("Part P1", &long.repeat(100)) + "<part/>";
    let others = [format!("<{tag}/>"), format!("<score-partwise></{tag}>"), parts, tune().replace("</part>", "</part><part id=\"Q\"/>")];
    for document in documents.chain(others) {
        musicxml::survives(document.as_bytes());
    }
}
