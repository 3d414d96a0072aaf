//! Bars, repeats, endings, meters and changes.

use super::*;

/// 3.1.6: meters in every spelling.
#[test]
fn meters() {
    for (written, seen) in [
        ("C", "4/4"),
        ("C|", "2/2"),
        ("none", "free meter"),
        ("2+3/8", "2+3/8"),
        ("(2+3)/8", "2+3/8"),
        ("(2+2+3)/8", "2+2+3/8"),
        ("6/8", "6/8"),
    ] {
        assert_eq!(fields::meter(written).map(|m| m.to_string()), Ok(seen.to_owned()), "M:{written}");
    }
    assert!(fields::meter("6/7").is_err() && fields::meter("x").is_err() && fields::meter("0/4").is_err());
}

/// 3.1.8 and 10.1: tempi in every spelling, with a unit of an eighth.
#[test]
fn tempi() {
    for (written, seen) in [
        ("1/4=120", "1=120"),
        ("120", "1/2=120"),
        ("C=100", "1/2=100"),
        ("C3=40", "3/2=40"),
        ("\"Allegro\" 3/8=50", "3/2=50 Allegro"),
        ("1/4 1/8=60", "3/2=60"),
        ("\"Andante\"", "Andante"),
        ("1/4=88 \"with a lilt\"", "1=88 with a lilt"),
        ("1/2=60.5", "2=60"),
    ] {
        let found = fields::tempo(written, music::Beats::EIGHTH).expect("a tempo that is understood");
        let tempo = found.tempo.map(|t| format!("{}={}", t.unit(), t.milli_per_minute() / 1000));
        assert_eq!(tempo.into_iter().chain(found.words).collect::<Vec<_>>().join(" "), seen, "Q:{written}");
    }
    assert!(fields::tempo("fast", music::Beats::EIGHTH).is_err() && fields::tempo("1/4=0", music::Beats::EIGHTH).is_err());
}

/// 4.8: repeats in every spelling, the first without an opening, played more than twice.
#[test]
fn repeats() {
    body(
        "C4 :| D4 :: E4 :|: F4 :||: G4 :|",
        expect![[r#"
        [4/4 C major]
        1: C4:4 :|
        2: D4:4 :|
        3: |: E4:4 :|
        4: |: F4:4 :| Double
        5: |: G4:4 :|
    "#]],
    );
    body(
        "|:: C4 ::| |: D4 | E4 :|] [| F4 || G4 [|] A4 .| B4 |]",
        expect![[r#"
        [4/4 C major]
        1: |: C4:4 :|x3
        2: |: D4:4
        3: E4:4 :| Double
        4: F4:4 Double
        5: G4:4 None
        6: A4:4 Dotted
        7: B4:4 Final
    "#]],
    );
    body(
        ":| C4 | D4\n| E4 |\n| F4",
        expect![[r#"
        [4/4 C major]
        1: C4:4
        2: D4:4
        3: E4:4
        4: F4:4
        5:1: warning: a repeat sign with nothing to repeat was left out
    "#]],
    );
}

/// 4.9, 4.10: endings.
#[test]
fn endings() {
    body(
        "|: C4 |1 D4 :|2 E4 || F4 |",
        expect![[r#"
        [4/4 C major]
        1: |: C4:4
        2: [1] D4:4 :|
        3: [2] E4:4 Double
        4: F4:4
    "#]],
    );
    body(
        "|: C4 | [1 D4 | E4 :| [2 F4 | G4 |: A4 :|",
        expect![[r#"
        [4/4 C major]
        1: |: C4:4
        2: [1 D4:4
        3: 1] E4:4 :|
        4: [2 F4:4
        5: 2] G4:4
        6: |: A4:4 :|
    "#]],
    );
    body(
        "|: C4 |[1,3 D4 :|[2,4 E4 :| C4 |1-3 D4 :|4 E4 |]",
        expect![[r#"
        [4/4 C major]
        1: |: C4:4
        2: [1,3] D4:4 :|
        3: [2,4] E4:4 :|
        4: C4:4
        5: [1,2,3] D4:4 :|
        6: [4] E4:4 Final
    "#]],
    );
    body(
        "C4 |1 D4 |2 E4 |",
        expect![[r#"
        [4/4 C major]
        1: C4:4
        2: [1] D4:4 :|
        3: [2] E4:4
        5:10: note: an ending follows another without a repeat sign: one was assumed
    "#]],
    );
    body(
        "G | CDEF | C2 [1 DE :| [2 FG |]",
        expect![[r#"
        [4/4 C major]
        0: G4:1
        1: C4:1 D4:1 E4:1 F4:1
        2: C4:2 None
        2: [1] D4:1 E4:1 :|
        2: [2] F4:1 G4:1 Final
    "#]],
    );
}

/// 4.14, and common practice for where the signs stand.
#[test]
fn signs_that_send_elsewhere() {
    body(
        "C4 | !segno!D4 !coda!| E4 !D.S.alcoda!|] !coda!F4 |]",
        expect![[r#"
        [4/4 C major]
        1: C4:4
        2: D4:4 Segno ToCoda
        3: E4:4 DalSegno Final
        4: F4:4 Coda Final
    "#]],
    );
    body(
        "SC4 | D4 !fine!| E4 | F4 !D.C.alfine!|]",
        expect![[r#"
        [4/4 C major]
        1: C4:4 Segno
        2: D4:4 Fine
        3: E4:4
        4: F4:4 DaCapo Final
    "#]],
    );
    body(
        "C4 | \"Fine\"D4 | E4 \"^D.C. al Fine\"|",
        expect![[r#"
        [4/4 C major]
        1: C4:4
        2: D4:4 Fine
        3: E4:4 DaCapo
    "#]],
    );
    body(
        "C4 | D4 !dacoda!| E4 !D.C.! | OF4 |",
        expect![[r#"
        [4/4 C major]
        1: C4:4
        2: D4:4 ToCoda
        3: E4:4 DaCapo
        4: F4:4 Coda
    "#]],
    );
}

/// 2.2, 4: pickups and measures split at repeats keep numbers; lengths that do not fit are pointed out.
#[test]
fn numbers_and_lengths_of_measures() {
    body(
        "G | CDEF | CDE :| G | CDEF | CDE |]",
        expect![[r#"
        [4/4 C major]
        0: G4:1
        1: C4:1 D4:1 E4:1 F4:1
        2: C4:1 D4:1 E4:1 :|
        2: G4:1
        3: C4:1 D4:1 E4:1 F4:1
        4: C4:1 D4:1 E4:1 Final
    "#]],
    );
    body(
        "CDEF | CDE | CDEFG | CDEF |",
        expect![[r#"
        [4/4 C major]
        1: C4:1 D4:1 E4:1 F4:1
        2: C4:1 D4:1 E4:1
        3: C4:1 D4:1 E4:1 F4:1 G4:1
        4: C4:1 D4:1 E4:1 F4:1
        5:8: note: measure 2 holds 3 quarter notes where the meter 4/4 asks for 4
        5:14: note: measure 3 holds 5 quarter notes where the meter 4/4 asks for 4
    "#]],
    );
    body(
        "CD\nEF | CDEF\nGABc | c4\n",
        expect![[r#"
        [4/4 C major]
        1: C4:1 D4:1 E4:1 F4:1
        2: C4:1 D4:1 E4:1 F4:1
        3: G4:1 A4:1 B4:1 C5:1
        4: C5:4
        6:9: note: no bar line ends this line of music, but its last measure is full: a bar line was assumed
    "#]],
    );
    check(
        "X:1\nM:none\nL:1/4\nK:C\nCDEFG | A | CD |",
        expect![[r#"
        [free meter C major]
        1: C4:1 D4:1 E4:1 F4:1 G4:1
        2: A4:1
        3: C4:1 D4:1
    "#]],
    );
}

/// 3.2, 4: inline fields and changes in the middle of the tune.
#[test]
fn changes() {
    body(
        "CDEF | [K:D][M:3/4] FGA | [L:1/8] F2 G2 [K:C]F2 | [Q:1/4=60] F2 G2 A2 | [P:B] F6 |\nM:2/4\nP:Trio\n[r:a remark] F4 |\nK:Dm\nB4 |",
        expect![[r#"
        [4/4 C major]
        1: C4:1 D4:1 E4:1 F4:1
        [3/4 D major]
        2: F#4:1 G4:1 A4:1
        3: F#4:1 G4:1 F4:1
        [3/4 C major]
        4: <1=60> F4:1 G4:1 A4:1
        5: <B> F4:3
        [2/4 C major]
        6: <Trio> F4:2
        [2/4 D minor]
        7: Bb4:2
    "#]],
    );
    check(
        "X:1\nM:6/4\nL:1/4\nK:D\nP:A\nd3 ccd|d3\nP:B\nA2 | d6 |]",
        expect![[r#"
        [6/4 D major]
        1: <A> D5:3 C#5:1 C#5:1 D5:1
        2: D5:3
        2: <B> A4:2
        3: D5:6 Final
        7:1: note: a new part or meter begins before a bar line: one was assumed
    "#]],
    );
}

/// Common practice: where the last ending runs on into the next repeat, that repeat is a section of its own.
#[test]
fn a_last_ending_is_as_long_as_the_first() {
    let imported = read(b"X:1\nM:4/4\nL:1/1\nK:C\n|:c|[1d:|[2e|f|g|a|b:|c|\n", &ReadOptions::default()).expect("a tune");
    let frames: Vec<&music::Frame> = imported.sheet.measures.iter().map(|m| &m.frame).collect();
    assert_eq!(music::order::playing_order(&frames).measures, [0, 1, 0, 2, 3, 4, 5, 6, 3, 4, 5, 6, 7]);
    assert_eq!(imported.diagnostics.len(), 1);
}

/// A bracket before a label is no chord: its "]" belongs to the bar line.
#[test]
fn a_label_in_brackets_is_no_chord() {
    let imported = read(b"X:1\nM:4/4\nL:1/4\nK:C\ncdef|[\"Coda\" gage|]\n", &ReadOptions::default()).expect("a tune");
    assert_eq!(imported.sheet.measures[1].notes.len(), 4);
}
