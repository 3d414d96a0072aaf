//! Whatever the bytes, reading ABC comes back: with a tune whose notes fill its measures, or with an error. And it comes back soon.

use formats::{ReadError, ReadOptions, abc};
use proptest::prelude::*;

/// A tune of ours that uses most of the format; mutations start from it.
const TUNE: &str = "%abc-2.1\nX:1\nT:The Harbour Bell\nC:a ferryman\nM:6/8\nL:1/8\nQ:3/8=96\nR:jig\nP:AB\nK:Dmix ^g octave=-1\n\
P:A\nd|:\"D\"{c}d2e f>ed|\"G7 C\"B3 (3ABc d|[M:9/8]\"Em/G\"[EGB]3- [EGB]3 z3|1\"^slow\"!fermata!A6:|2 (A3 d3)||\n\
w: ring~the bell-_ of the * har-bour | now\nP:B\n|:[K:Em][L:1/4]~e=f_g^^a <b c'/2 d,//|Z2|&A3|S.d O!D.C.! \"N.C.\"x2|]\nW:one\nV:2 bass\nE2|\n";

/// Pieces that mean something, for making lines at random.
const PIECES: [&str; 60] = [
    "A",
    "b'",
    "C,,",
    "^f",
    "_B",
    "=c",
    "^^d",
    "__e",
    "2",
    "/",
    "//",
    "3/2",
    "/4",
    "99999",
    ">",
    "<<",
    ">>>>",
    "(3",
    "(3:2:4",
    "(99",
    "(2::",
    "(",
    ")",
    "-",
    "|",
    "||",
    "|]",
    "[|",
    "|:",
    ":|",
    "::",
    "|1",
    ":|2",
    "[1",
    "[1,3-9",
    ".|",
    "[",
    "]",
    "{",
    "}",
    "{/",
    "\"G\"",
    "\"^x\"",
    "\"",
    "!trill!",
    "!",
    "+f+",
    "z",
    "Z3",
    "y",
    "&",
    "\\",
    "[K:F]",
    "[M:5/4]",
    "[V:2]",
    "[L:1/1024]",
    "\nw:a-b_|*",
    "\nP:X\n",
    "\nM:2/4\n",
    " ",
];

proptest! {
    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        abc::survives(&bytes);
    }

    #[test]
    fn any_text_after_a_header(text in "[A-Ga-gzxZ0-9/,'^_=|:\\[\\](){}<>!+\"~.HTuv& \\n\\\\%-]{0,200}") {
        abc::survives(format!("X:1\nM:4/4\nL:1/8\nK:G\n{text}").as_bytes());
    }

    #[test]
    fn any_row_of_pieces(places in proptest::collection::vec(0..PIECES.len(), 0..120)) {
        let body: String = places.iter().map(|i| PIECES[*i]).collect();
        abc::survives(format!("X:1\nM:3/4\nK:D\n{body}").as_bytes());
    }

    #[test]
    fn any_change_to_a_tune(at in 0..TUNE.len(), cut in 0..40usize, with in "[ -~\\n]{0,12}") {
        let mut bytes = TUNE.as_bytes().to_vec();
        let end = (at + cut).min(bytes.len());
        bytes.splice(at..end, with.bytes());
        abc::survives(&bytes);
    }

    #[test]
    fn any_header(key in "[ -~]{0,20}", meter in "[0-9+/()C|]{0,8}", unit in "[0-9/]{0,8}", tempo in "[0-9=/\" A-Ca-z.]{0,16}", voice in "[ -~]{0,20}") {
        abc::survives(format!("X:1\nV:{voice}\nM:{meter}\nL:{unit}\nQ:{tempo}\nK:{key}\nABC|def|").as_bytes());
    }
}

#[test]
fn the_tune_itself_is_read() {
    let imported = abc::read(TUNE.as_bytes(), &ReadOptions::default()).expect("a tune");
    assert_eq!(imported.sheet.words.title, "The Harbour Bell");
    assert!(imported.sheet.has_chords() && imported.sheet.has_syllables());
}

/// Shapes that make a careless reader look again and again for what never comes; half a megabyte of each is read in well under the time a test may take.
#[test]
fn long_lines_of_nonsense_end() {
    for piece in [
        "[", "[A", "b99", "\"%", "%\"", "[\"", "[!a", "{", "\"", "!", "+", "(", "|", ":", "[1", "\\\"o", "z9999", "&", "A-", ">", "[[C",
        "(3", "`", "%", "^", "[V:2]", "\nw:", "\nV:3\n", "\nA|",
    ] {
        let body = piece.repeat(500_000 / piece.len());
        abc::survives(format!("X:1\nM:4/4\nK:C\n{body}").as_bytes());
        abc::survives(format!("X:1\nM:4/4\nK:C\nABcd|{body}ABcd|").as_bytes());
        for close in ["|]", "}", "\"", "!", "+", ")", "\"|]\"", "\nw:a", "%\""] {
            let body = piece.repeat(100_000 / piece.len());
            abc::survives(format!("X:1\nM:4/4\nK:C\nABcd|{body}{close}").as_bytes());
        }
    }
}

/// The same for the lines before the music, and for files of very many lines.
#[test]
fn long_headers_of_nonsense_end() {
    for line in
        ["X:1\n", "T:a\n", "W:a\n", "\n", "%%begintext\n", "V:1 name=a\n", "U:T=!trill!\n", "m:a=aa\n", "+:a\n", "Q:1/4=60\n", "P:A\n"]
    {
        abc::survives(format!("X:1\n{}M:4/4\nK:C\nABcd|", line.repeat(500_000 / line.len())).as_bytes());
        abc::survives(format!("X:1\nM:4/4\nK:C\nABcd|\n{}ABcd|", line.repeat(500_000 / line.len())).as_bytes());
    }
    let voices: String = (0..100_000).map(|i| format!("V:{i}\nC|\n")).collect();
    abc::survives(format!("X:1\nM:4/4\nK:C\n{voices}").as_bytes());
}

#[test]
fn limits_are_stated() {
    let refused = |body: &str| match abc::read(format!("X:1\nM:4/4\nL:1/4\nK:C\n{body}").as_bytes(), &ReadOptions::default()) {
        Err(ReadError::Unusable(diagnostic)) => diagnostic.message,
        other => format!("{other:?}"),
    };
    assert_eq!(refused(&"C4|".repeat(2_001)), "the tune has more than 2000 measures, the most that is read");
    assert_eq!(refused(&"C".repeat(99_000)), "the tune has more than 20000 notes, the most that is read");
    assert_eq!(refused(&"C/16".repeat(20_001)), "the tune has more than 20000 notes, the most that is read");
    let voice = |i: usize| format!("V:{i}\n{}\n", "C".repeat(19_999));
    let six: String = (1..=6).map(voice).collect();
    assert_eq!(refused(&six), "the tune has more than 100000 notes in all its voices, the most that is read");
    assert_eq!(
        refused(&format!("{}{}", "C4|".repeat(1_999), "C".repeat(40))),
        "the tune has more than 2000 measures, the most that is read"
    );
    let one_measure = abc::read(format!("X:1\nM:4/4\nL:1/4\nK:C\n{}|", "C".repeat(20_000)).as_bytes(), &ReadOptions::default());
    assert_eq!(one_measure.map(|i| i.sheet.measures.len()), Ok(625));
    assert!(abc::read(format!("X:1\nM:4/4\nL:1/4\nK:C\n{}", "C4|".repeat(2_000)).as_bytes(), &ReadOptions::default()).is_ok());
}
