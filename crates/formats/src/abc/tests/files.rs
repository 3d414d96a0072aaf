//! Words, voices, several tunes a file, and what is said about what was not understood.

use super::*;

/// 5: words, verses, continuation, and the alignment of 2.1 (5.1) beside that of older files.
#[test]
fn words_below() {
    body(
        "CDEF | G2 A2 |\nw: one two-three four | five *\nw: 2.~un deux-trois quatre | cinq six sept",
        expect![[r#"
        [4/4 C major]
        1: C4:1'one'2. un D4:1'two-'deux- E4:1'three'trois F4:1'four'quatre
        2: G4:2'five'cinq A4:2'six
        7:1: warning: 1 syllable has no note and was left out (check the words against the notes above them)
    "#]],
    );
    body(
        "CDEF |\nGABc |\nw: doh re mi fa sol la ti doh\nCDEF |\nw: doh re\n+: mi fa",
        expect![[r#"
        [4/4 C major]
        1: C4:1'doh D4:1're E4:1'mi F4:1'fa
        2: G4:1'sol A4:1'la B4:1'ti C5:1'doh
        3: C4:1'doh D4:1're E4:1'mi F4:1'fa
    "#]],
    );
    body(
        "CDEF |\nCDEF |\nw: doh re mi",
        expect![[r#"
        [4/4 C major]
        1: C4:1 D4:1 E4:1 F4:1
        2: C4:1'doh D4:1're E4:1'mi F4:1
    "#]],
    );
    body(
        "C {d}D z E- | E4 |\nw: a b c d",
        expect![[r#"
        [4/4 C major]
        1: C4:1'a {D5/8}D4:1'b r:1 E4:1-'c
        2: E4:4'd
    "#]],
    );
}

/// 4.15: decorations and chord symbols in a line of their own.
#[test]
fn symbols_below() {
    body(
        "CD EF | G4 |\ns: \"G\" * !trill! \"^soft\" | !fermata! \"C\"\nw: a b c d e",
        expect![[r#"
        [4/4 C major]
        1: "G" C4:1'a D4:1'b !Trill!E4:1'c ^soft^ F4:1'd
        2: !Fermata!G4:4'e
        6:1: warning: 1 symbol has no note and was left out
    "#]],
    );
}

#[test]
fn voices() {
    let abc = "X:1\nM:4/4\nL:1/4\nV:1 name=\"Lady\" octave=1\nV:2 clef=bass\nK:G\nV:1\nCDEF|\nV:2\n\"G\"C,4|\n[V:1]GABc|\nw: la la la la\n[V:2]G,4|\n";
    check(
        abc,
        expect![[r#"
        [4/4 G major]
        1: "G" C5:1 D5:1 E5:1 F#5:1
        2: G5:1'la A5:1'la B5:1'la C6:1'la
        8:1: note: voice "1" is read as the melody; left out: 2
        8:1: note: the chord symbols stand over voice "2"; they were taken from there
    "#]],
    );
    let part = |name: &str| shown(abc, &ReadOptions { part: Some(name.into()), ..ReadOptions::default() });
    expect![[r#"
        [4/4 G major]
        1: "G" C5:1 D5:1 E5:1 F#5:1
        2: G5:1'la A5:1'la B5:1'la C6:1'la
        8:1: note: the chord symbols stand over voice "2"; they were taken from there
    "#]]
    .assert_eq(&part("Lady"));
    expect![[r#"
        error: there is no part "x" in this score: it has 1, 2
    "#]]
    .assert_eq(&part("x"));
    body(
        "CDEF & G4 | GABc |",
        expect![[r#"
        [4/4 C major]
        1: C4:1 D4:1 E4:1 F4:1
        2: G4:1 A4:1 B4:1 C5:1
        5:6: warning: a second layer of notes ("&") is left out up to the next bar line
    "#]],
    );
}

/// 2.2: several tunes, the file header, comments, directives, blocks of text; 9: macros.
#[test]
fn files() {
    let abc = "%abc-2.1\nM:3/4\nL:1/4\n\nfree text | here |\n\nX:3\nT:First\nK:C % in C\nCDE | % more\n%%text no music\n%%begintext\nABC | DEF\n%%endtext\nFGA |\n\nX:7\nT:The Second\nT:or so\nM:2/4\nm:~G2=GG\nK:G\n~G2|\n\nABc | def | gab |\n";
    check(
        abc,
        expect![[r#"
        First
        [3/4 C major]
        1: C4:1 D4:1 E4:1
        2: F4:1 G4:1 A4:1
    "#]],
    );
    let tune = |number| shown(abc, &ReadOptions { tune: Some(number), ..ReadOptions::default() });
    expect![[r#"
        The Second
        [2/4 G major]
        1: G4:1 G4:1
        25:1: warning: an empty line ended the tune, and what follows was left out though it looks like music (take the empty line out, or begin a tune with "X:")
    "#]].assert_eq(&tune(7));
    expect![[r#"
        error: there is no tune 2 in this file: it holds 3, 7
    "#]]
    .assert_eq(&tune(2));
    assert_eq!(read(abc.as_bytes(), &ReadOptions::default()).map(|i| i.tunes), Ok(vec!["First".into(), "The Second".into()]));
}

#[test]
fn what_is_printed_about_a_tune() {
    let abc = "X:1\nT:Lark, The\nT:Second \\'e title\nC:A. Nyone\nC:copyright: public domain\nO:Harbour\nR:jig\nS:a book\nQ:\"Slow\" 1/4=60\nN:a note\nK:C\nC4|\nW:one\nW:\nW:two\n";
    let words = read(abc.as_bytes(), &ReadOptions::default()).expect("a tune").sheet.words;
    expect![[r#"
        Words {
            title: "Lark, The",
            subtitles: [
                "Second é title",
            ],
            composer: Some(
                "A. Nyone",
            ),
            lyricist: None,
            origin: Some(
                "Harbour",
            ),
            rhythm: Some(
                "jig",
            ),
            tempo_words: Some(
                "Slow",
            ),
            source: Some(
                "a book",
            ),
            rights: Some(
                "copyright: public domain",
            ),
            verses: [
                "one",
                "",
                "two",
            ],
            signs: [],
        }
    "#]]
    .assert_debug_eq(&words);
}

/// Whatever is not understood is said, with its place.
#[test]
fn nothing_is_left_out_in_silence() {
    body(
        "C @ D # E j F | A \\ B ^ c | [ C | { D | [] | > C | \"open",
        expect![[r##"
            [4/4 C major]
            1: C4:1 D4:1 E4:1 F4:1
            2: A4:1 B4:1 C5:1
            3: C4:1
            4: D4:3/2
            5: C4:1/2
            5:3: warning: "@" is not understood here and was left out
            5:7: warning: "#" is not understood here and was left out
            5:11: warning: the letter "j" is not understood here and was left out
            5:17: note: measure 2 holds 3 quarter notes where the meter 4/4 asks for 4
            5:19: warning: a backslash in the middle of a line is not understood here and was left out
            5:23: warning: "^" without a note is not understood here and was left out
            5:29: warning: "[" that no "]" ends before the bar line is not understood here and was left out
            5:31: note: measure 3 holds 1 quarter notes where the meter 4/4 asks for 4
            5:35: warning: "{" without the "}" that ends it is not understood here and was left out
            5:37: note: measure 4 holds 3/2 quarter notes where the meter 4/4 asks for 4
            5:41: warning: a chord without notes was left out
            5:52: warning: a quotation mark that is not closed before the end of the line, at "open" is not understood here and was left out
        "##]],
    );
    check(
        "X:1\nM:x\nL:y\nQ:z\nY:?\nK:Q\nC4|\ns:**",
        expect![[r#"
        [free meter C major]
        1: C4:2
        2:1: warning: the meter "x" is not understood: expected two numbers like "6/8", "C", "C|" or "none"
        3:1: warning: the unit note length "y" is not understood: expected a fraction like "1/8"
        4:1: warning: the tempo "z" is not understood: expected something like "1/4=120"
        5:1: note: the order of parts "?" is not followed: the parts stand as written, each once
        6:1: warning: the key "Q" is not understood: expected a letter and a mode, like "D", "Em" or "Ador"
    "#]],
    );
    check(
        "X:1\nT:none\n",
        expect![[r#"
        error: 1:1: error: the tune has no key field "K:" and no music (every tune needs a line like "K:C" before its notes)
    "#]],
    );
    check(
        "X:1\nK:C\n\n",
        expect![[r#"
        error: 1:1: error: the tune holds no notes
    "#]],
    );
    check(
        "X:1\nM:4/4\nL:1/4\nT:no key\nCDEF|GABc|",
        expect![[r#"
        no key
        [4/4 C major]
        1: C4:1 D4:1 E4:1 F4:1
        2: G4:1 A4:1 B4:1 C5:1
        5:1: warning: music begins before the key field "K:": C major was assumed
    "#]],
    );
    check(
        "X:1\nK:C\nz999999999 C99999/99999999|(999:CDE",
        expect![[r#"
            [free meter C major]
            1: r:32 None
            1: C4:51/1024
            2: C4:1/2 D4:1/2 E4:1/2
            3:1: warning: a note longer than 8 whole notes was cut to that length (check the number behind the note, and the unit "L:")
            3:1: warning: measure 1 is longer than 8 whole notes or 128 notes: it is written as 2 with no bar line drawn between them
            3:12: note: a length that divides too finely was rounded
            3:28: warning: a tuplet with such numbers is not read: expected two to nine notes
            3:32: warning: ":" is not understood here and was left out
        "#]],
    );
}

#[test]
fn places_in_the_source() {
    let abc = "X:1\nM:2/4\nL:1/4\nK:C\nC D | E\nF | \"G\"G A |]\n";
    let spans = read(abc.as_bytes(), &ReadOptions::default()).expect("a tune").sources.measures;
    let shown: Vec<String> = spans.iter().map(|s| format!("{}:{}+{}", s.line, s.column, s.width)).collect();
    assert_eq!(shown.join(" "), "5:1+5 5:7+1 6:5+9");
}

#[test]
fn abc_is_told_from_other_text() {
    for yes in ["X:1\nK:C\n", "\u{feff}X: 1\n", "%abc-2.1\n", "% words\n\nX:1\n", "T:a\r\nK:C\r\nCDE"] {
        assert!(looks_like(yes.as_bytes()), "{yes:?}");
    }
    for no in ["<?xml version=\"1.0\"?>", "PK\u{3}\u{4}", "K:C only", "", "Dear X: hello"] {
        assert!(!looks_like(no.as_bytes()), "{no:?}");
    }
}
