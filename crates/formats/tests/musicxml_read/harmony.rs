//! Chord symbols: roots, degrees, basses, places.

use crate::show::{check, read, score};
use expect_test::{Expect, expect};

fn root(step: &str) -> String {
    format!("<root><root-step>{step}</root-step></root>")
}

fn symbol(inside: &str) -> String {
    format!("<harmony>{inside}</harmony>")
}

fn plain(step: &str) -> String {
    symbol(&format!("{}<kind>major</kind>", root(step)))
}

fn degree(value: i32, alter: i32, kind: &str) -> String {
    format!("<degree><degree-value>{value}</degree-value><degree-alter>{alter}</degree-alter><degree-type>{kind}</degree-type></degree>")
}

/// What each symbol means, the text it was printed with, and its tones.
fn check_symbols(symbols: &[String], expected: Expect) {
    let measures: Vec<String> = symbols.iter().map(|s| format!("{s} {{C4 1}}")).collect();
    let imported = match read(&score("1/4", &measures.join("|"))) {
        Ok(imported) => imported,
        Err(error) => panic!("{error}"),
    };
    let mut out = String::new();
    for chord in imported.sheet.measures.iter().flat_map(|m| &m.frame.chords) {
        let tones = chord.symbol.chord().map(|c| c.tones().iter().map(|t| c.name_of(*t).to_string()).collect::<Vec<_>>().join(" "));
        out.push_str(&format!("{} ({}): {}\n", chord.symbol.harmony, chord.symbol.source, tones.unwrap_or_default()));
    }
    out.extend(imported.diagnostics.iter().map(|d| format!("{d}\n")));
    expected.assert_eq(&out);
}

/// MusicXML 4.0, `degree-alter`: added degrees count from a dominant chord, altered ones from the kind's own tone.
#[test]
fn degrees() {
    let with = |kind: &str, text: &str, degrees: &str| symbol(&format!("{}<kind text=\"{text}\">{kind}</kind>{degrees}", root("C")));
    let all = [
        with("dominant", "7", &degree(9, -1, "add")),
        with("major", "", &degree(9, 0, "add")),
        with("half-diminished", "ø", &degree(5, 1, "alter")),
        with("major", "", &degree(3, 0, "subtract")),
        with("other", "", &format!("{}{}", degree(3, 0, "add"), degree(5, -1, "add"))),
        with("dominant", "7sus", &degree(4, 0, "add").replace("<degree>", "<degree print-object=\"no\">")),
        with("major", "", &degree(99, 0, "add")),
    ];
    check_symbols(
        &all,
        expect![[r#"
        C7(b9) (C7addb9): C E G Bb Db
        Cadd9 (Cadd9): C E G D
        Cm7b5(#5) (Cø#5): C Eb G Bb
        Cno3 (Cno3): C G
        C otheradd3(b5) (Cadd3addb5): C E Gb
        C7add4 (C7sus): C E F G Bb
        C (Cadd99): C E G
        7:93: warning: a changed degree that cannot be read is left out (add, alter or subtract and a number are expected)
    "#]],
    );
}

#[test]
fn basses_and_inversions() {
    let with = |rest: &str| symbol(&format!("{}<kind text=\"m\">minor</kind>{rest}", root("A")));
    let all = [
        with("<bass><bass-step>G</bass-step></bass>"),
        with("<bass><bass-step>C</bass-step><bass-alter>1</bass-alter></bass>"),
        with("<bass><bass-step>A</bass-step></bass>"),
        with("<inversion>0</inversion>"),
        with("<inversion>1</inversion>"),
        with("<inversion>2</inversion>"),
        with("<inversion>3</inversion>"),
    ];
    check_symbols(
        &all,
        expect![[r#"
        Am/G (Am/G): A C E
        Am/C# (Am/C#): A C E
        Am (Am): A C E
        Am (Am): A C E
        Am/C (Am/C): A C E
        Am/E (Am/E): A C E
        Am (Am): A C E
        7:94: warning: inversion 3 of a chord of 3 tones is left out
    "#]],
    );
}

/// Common practice: in C major the second degree is D, the dominant of the dominant D major.
#[test]
fn functions_and_numerals() {
    let function = |numeral: &str, kind: &str| format!("<function>{numeral}</function><kind>{kind}</kind>");
    let numeral = |inside: &str| symbol(&format!("<numeral>{inside}</numeral><kind>minor</kind>"));
    let key = "<numeral-key><numeral-fifths>0</numeral-fifths><numeral-mode>harmonic minor</numeral-mode></numeral-key>";
    let all = [
        symbol(&function("ii", "minor")),
        symbol(&format!("{}{}", function("V", "major"), function("V", "major"))),
        symbol(&function("bVII", "major")),
        symbol(&function("?", "major")),
        numeral("<numeral-root>6</numeral-root>"),
        numeral("<numeral-root>3</numeral-root><numeral-alter>-1</numeral-alter>"),
        numeral(&format!("<numeral-root>7</numeral-root>{key}")),
    ];
    check_symbols(
        &all,
        expect![[r#"
        Dm (Dm): D F A
        D (D): D F# A
        Bb (Bb): Bb D F
        Am (Am): A C E
        Ebm (Ebm): Eb Gb Bb
        G#m (G#m): G# B D#
        4:30: warning: a chord symbol whose root cannot be read is left out (a letter A to G is expected)
    "#]],
    );
}

#[test]
fn no_chord_and_symbols_that_cannot_be_used() {
    let kind = |kind: &str, text: &str| symbol(&format!("{}<kind text=\"{text}\">{kind}</kind>", root("C")));
    let all = [
        kind("none", ""),
        kind("other", "7sus4"),
        kind("maj69", "6/9"),
        kind("splendid", ""),
        symbol(&format!("{}<kind>major</kind>", root("X"))),
        symbol("<kind>major</kind>"),
        format!("<harmony type=\"alternate\">{}<kind>major</kind></harmony>", root("D")),
        symbol(&format!("{}<kind>major</kind>{}<kind>minor</kind>", root("C"), root("D"))),
    ];
    check_symbols(
        &all,
        expect![[r#"
        N.C. (N.C.): 
        C7sus4 (C7sus4): C F G Bb
        C6add9 (C6/9): C E G A D
        C (C): C E G
        C (C): C E G
        4:67: warning: the chord kind "splendid" is not known, taken as major
        5:30: warning: a chord symbol whose root cannot be read is left out (a letter A to G is expected)
        6:21: warning: a chord symbol without a root is left out
        7:21: note: an alternate chord symbol is left out
        8:85: warning: the lower chord of a chord over a chord is left out
    "#]],
    );
}

#[test]
fn symbols_written_as_words() {
    let words = |text: &str| format!("<direction><direction-type><words>{text}</words></direction-type></direction>");
    let measures = format!("{} {{C4 1}} {} {{D4 1}} {} {{E4 1}} {} {{F4 1}}", plain("C"), words("N.C."), words("D7-9"), words("A"));
    check(
        "4/4",
        &measures,
        expect![[r#"
        1 "C"@0 "N.C."@1 "D7(b9)"@2 C4:1 D4:1 E4:1 F4:1 'A'@3
        1:462: note: the words "N.C." are taken as a chord symbol
        1:638: note: the words "D7-9" are taken as a chord symbol
    "#]],
    );
}

#[test]
fn places_by_offset_and_by_cursor() {
    let late = symbol(&format!("{}<kind>major</kind><offset>12</offset>", root("F")));
    let back = "<backup><duration>24</duration></backup>";
    let forth = "<forward><duration>24</duration></forward>";
    check(
        "2/4",
        &format!("{} {{C4 1}} {late} {{D4 1}}", plain("C")),
        expect![[r#"
        1 "C"@0 "F"@3/2 C4:1 D4:1
    "#]],
    );
    check(
        "2/4",
        &format!("{{C4 2}} {back} {} {forth}", plain("G")),
        expect![[r#"
        1 "G"@1 C4:2
    "#]],
    );
}

#[test]
fn a_symbol_behind_its_measure_belongs_to_the_next() {
    check(
        "2/4",
        &format!("{{C4 2}} {} | {{D4 2}} {}", plain("G"), plain("A")),
        expect![[r#"
        1 C4:2
        2 "G"@0 D4:2
        2:1: warning: the chord symbol A behind the last measure is left out
    "#]],
    );
}

/// The unofficial MusicXML test suite, 71g: symbols in a row before one note mean that the chord changes during it. On which beats: common practice.
#[test]
fn symbols_in_a_row_share_the_note() {
    check(
        "4/4",
        &format!("{}{} {{A4 2}} {}{} {{G4 2}}", plain("C"), plain("F"), plain("D"), plain("G")),
        expect![[r#"
        1 "C"@0 "F"@1 "D"@2 "G"@3 A4:2 G4:2
    "#]],
    );
    check(
        "4/4",
        &format!("{}{}{} {{A4 4}}", plain("C"), plain("F"), plain("G")),
        expect![[r#"
            1 "C"@0 "F"@2 "G"@3 A4:4
        "#]],
    );
    check(
        "4/4",
        &format!("{}{} {{A4 1}} {{B4 3}}", plain("C"), plain("C")),
        expect![[r#"
        1 "C"@0 A4:1 B4:3
    "#]],
    );
}

/// Common practice: the beats first, then the halves of the last one, in compound meters its thirds.
#[test]
fn symbols_in_a_row_stand_on_beats_of_the_meter() {
    let three = || format!("{}{}{}", plain("C"), plain("F"), plain("G"));
    check(
        "2/2",
        &format!("{} {{A4 4}}", three()),
        expect![[r#"
        1 "C"@0 "F"@2 "G"@3 A4:4
    "#]],
    );
    check(
        "6/8",
        &format!("{} {{A4 3}}", three()),
        expect![[r#"
        1 "C"@0 "F"@3/2 "G"@5/2 A4:3
    "#]],
    );
    check(
        "4/4",
        &format!("{{A4 1/2}} {} {{A4 7/2}}", three()),
        expect![[r#"
        1 "C"@1/2 "F"@2 "G"@3 A4:1/2 A4:7/2
    "#]],
    );
    check(
        "3/4",
        &format!("{} {{A4 1}} {{B4 2}}", three()),
        expect![[r#"
        1 "C"@0 "F"@1/2 "G"@3/4 A4:1 B4:2
    "#]],
    );
    let crowd: String = ["C", "D"].iter().cycle().take(40).map(|s| plain(s)).collect();
    let found = read(&score("1/4", &format!("{crowd} {{A4 1}}"))).expect("a tune");
    assert_eq!(found.sheet.measures[0].frame.chords.len(), 16);
    let said: Vec<String> = found.diagnostics.into_iter().map(|d| d.message).collect();
    assert_eq!(said, ["of 40 chord symbols in one measure 24 find no place of their own and are left out"]);
}

/// MusicXML 4.0, `kind-value`: "pedal" is a pedal-point bass.
#[test]
fn a_pedal_point_is_said() {
    check(
        "4/4",
        &format!("{} {{A4 4}}", symbol(&format!("{}<kind>pedal</kind>", root("C")))),
        expect![[r#"
            1 "C pedal"@0 A4:4
            1:333: note: a pedal point is no chord: only its bass note is read (write the chord that sounds above it)
        "#]],
    );
}
