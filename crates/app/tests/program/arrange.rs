//! `undersong arrange` as a harpist meets it: the report word for word, the files, and what is said when something is wrong.
//!
//! Where the report names figures the test allows one only, so that it does not depend on the planner's taste.

use crate::support::{TIDE, Test};
use expect_test::{Expect, expect};

fn check(test: Test, expected: Expect) {
    expected.assert_eq(&test.said());
}

#[test]
fn the_report_of_a_tune() {
    let test = Test::new("arrange tide.abc --use bass-note --without final-chord --write musicxml,midi --out pages").tide();
    check(
        test,
        expect![[r#"
            The Tide Table (Undersong)
              Read       4 measures of 4/4 in C major, 4 chord symbols
              Kind       march (the source says march)
              Tempo      quarter note = 104, assumed for a tune of this kind because none is written (--tempo changes it)
              Harp       lever harp with 34 strings; C2 to A6, open strings B♭ E♭ A♭
              Settings   Levers up: A♮ E♮ B♮; nothing to move while playing
              Fullness   3 of 6
              Left hand  measures 1-4: bass note; the last chord
              Written    pages/The Tide Table.musicxml
                         pages/The Tide Table.mid
            exit code 0
        "#]],
    );
}

#[test]
fn verses_key_tempo_kind_and_holds() {
    let line = "arrange tide.abc --fullness 1,1 --use bass-note --without rising-close,closing-chord --key B-flat --tempo 1/2=60 --kind hymn --hold 2=open-fifth --hold 77=drone --write midi";
    check(
        Test::new(line).tide(),
        expect![[r#"
            The Tide Table (Undersong)
              To know    You hold a figure in measure 77, but no measure has that number.
              To know    Moved down from C major to B♭ major, as you asked.
              Read       4 measures of 4/4 in C major, 4 chord symbols
              Key        B♭ major
              Kind       hymn (as you wish)
              Tempo      half note = 60, as you wish
              Harp       lever harp with 34 strings; C2 to A6, open strings B♭ E♭ A♭
              Settings   Levers up: A♮; nothing to move while playing
              Fullness   1, 1 of 6, a number for each verse
              Left hand  verse 1, measures 1-4: bass note, open fifth; a landing at the end
                         verse 2, measures 5-8: bass note; the last chord
              Written    The Tide Table.mid
            exit code 0
        "#]],
    );
}

/// What is added is told with its reasons; a hold means the tune's own measure, and another word is refused.
#[test]
fn a_beginning_and_an_end() {
    let line = "arrange tide.abc --use bass-note --without rising-close,closing-chord --introduction 2 --ending short --hold 2=open-fifth --write midi";
    check(
        Test::new(line).tide(),
        expect![[r#"
        The Tide Table (Undersong)
          Read       4 measures of 4/4 in C major, 4 chord symbols
          Kind       march (the source says march)
          Tempo      quarter note = 104, assumed for a tune of this kind because none is written (--tempo changes it)
          Harp       lever harp with 34 strings; C2 to A6, open strings B♭ E♭ A♭
          Settings   Levers up: A♮ E♮ B♮; nothing to move while playing
          Fullness   3 of 6
          Added      introduction, 2 measures: C G7 in the left hand say that it is C major, and give the pace; a dance or a march is led in by its beat, not by its last line; G7 at the end leads into the tune; B4 in the right hand lies beside the first note of the tune, C5
                     ending, one measure: C at the end, wide and left to ring
          Left hand  measures introduction 1-2: bass note; a landing at the end
                     measures 1-4: bass note, open fifth; a landing at the end
                     measure ending 1: the last chord
          Written    The Tide Table.mid
        exit code 0
    "#]],
    );
    check(
        Test::new("arrange tide.abc --ending long --write midi").tide(),
        expect![[r#"
        stderr: error: ending "long": expected short (one chord), usual (the last two measures once more, slower) or fading (four measures that thin out)
        exit code 2
    "#]],
    );
}

/// A verse with its melody in the left hand, and one that the left hand cannot play at the tempo.
#[test]
fn the_melody_in_the_left_hand() {
    check(
        Test::new("arrange tide.abc --fullness 2,3 --melody-below 2 --write midi").tide(),
        expect![[r#"
            The Tide Table (Undersong)
              Read       4 measures of 4/4 in C major, 4 chord symbols
              Kind       march (the source says march)
              Tempo      quarter note = 104, assumed for a tune of this kind because none is written (--tempo changes it)
              Harp       lever harp with 34 strings; C2 to A6, open strings B♭ E♭ A♭
              Settings   Levers up: A♮ E♮ B♮; nothing to move while playing
              Fullness   2, 3 of 6, a number for each verse
              Melody     verse 2: the melody, an octave lower, and chords above it in the right hand
              Left hand  verse 1, measures 1-4: bass and dyad, bass and tone; a landing at the end
              Right hand verse 2, measures 5-8: chords above; the last chord
              Written    The Tide Table.mid
            exit code 0
        "#]],
    );
    check(
        Test::new("arrange tide.abc --melody-below 1 --tempo 440 --write midi").tide(),
        expect![[r#"
            The Tide Table (Undersong)
              To know    The melody of verse 1 stays in the right hand: the left hand alone cannot play it, first in measure 2, and at one more place: a string is plucked again after 0.14 s, and it wants 0.40 s. At quarter note = 352 it can; an advanced player's hand can.
              Read       4 measures of 4/4 in C major, 4 chord symbols
              Kind       march (the source says march)
              Tempo      quarter note = 440, as you wish
              Harp       lever harp with 34 strings; C2 to A6, open strings B♭ E♭ A♭
              Settings   Levers up: A♮ E♮ B♮; nothing to move while playing
              Fullness   3 of 6
              Left hand  measures 1-4: bass and dyad; the last chord
              Written    The Tide Table.mid
            exit code 0
        "#]],
    );
    check(
        Test::new("explain tide.abc --melody-below 1 --measure 1").tide(),
        expect![[r#"
            The Tide Table: march in C major, quarter note = 104

            Measure 1, C: chords above (C5+E5+G5 E5+G5)
              The left hand has the melody, the right hand its chords above it.
              Second came broken chord above (E5 G5 C6 G5), as good.
              To close early after it: on to the end of 4
              Instead broken chord above (E5 G5 C6 G5), as good: in measure 2 less of the chord would be heard
              Instead off beat chords (E5+G5+C6 E5+C6), clearly less good: a strong beat or the chord would not be heard, or a long note would stand bare
              Instead chord above (C5+E5+G5), clearly less good: it would be thinner than the place wants
              Instead the right hand rests, clearly less good: it would be thinner than the place wants
              Not closing chord above: it is only for phrase ends and the top of the tune
              Not final chord above: it is only for the last chord
            exit code 0
        "#]],
    );
}

#[test]
fn a_tune_that_leaves_the_harp_is_moved_and_that_is_said_first() {
    let low = TIDE.replace("c d e c", "C,,, D,,, E,,, C,,,");
    let test = Test::new("arrange low.abc --use bass-note --write midi").file("low.abc", &low);
    let run = test.run();
    assert_eq!(
        run.stdout.lines().nth(1),
        Some("  To know    The melody goes beyond this harp as written, so the whole tune is moved up an octave.")
    );
}

#[test]
fn the_report_as_json() {
    check(
        Test::new("arrange tide.abc --fullness 0 --write midi --json").tide(),
        expect![[r#"
            {
              "tune": {
                "file": "tide.abc",
                "title": "The Tide Table",
                "composer": "Undersong",
                "others": [],
                "key": "C major",
                "meters": [
                  "4/4"
                ],
                "measures": 4,
                "chord_symbols": 4,
                "verses_of_words": 0
              },
              "remarks": [],
              "key": "C major",
              "moved_semitones": 0,
              "tempo": {
                "words": "quarter note = 104",
                "unit": "1/4",
                "per_minute": "104",
                "assumed": true
              },
              "kind": {
                "name": "march",
                "because": "the source says march"
              },
              "harp": {
                "name": "lever-34",
                "strings": 34,
                "lowest": "C2",
                "highest": "A6",
                "tuning": [
                  "Bb",
                  "Eb",
                  "Ab"
                ],
                "changed_by": "levers"
              },
              "player": {
                "left_reach": [
                  10,
                  12
                ],
                "right_reach": [
                  10,
                  12
                ],
                "fluency": "fluent",
                "fingers_left_out": []
              },
              "wishes": {
                "fullness": [
                  0
                ],
                "use": [],
                "without": [],
                "holds": {},
                "variant": 1
              },
              "settings": {
                "opening": "Levers up: A♮ E♮ B♮",
                "moves": [],
                "moves_played": 0,
                "left_out": [],
                "missing": [],
                "proved_best": true,
                "beyond": 0,
                "low_strings_placed_again": 0
              },
              "ways_out": [
                {
                  "measure": 1,
                  "way": "on to the end of 4",
                  "measures": 3,
                  "at_a_phrase_end": false
                },
                {
                  "measure": 2,
                  "way": "on to the end of 4",
                  "measures": 2,
                  "at_a_phrase_end": false
                },
                {
                  "measure": 3,
                  "way": "on to the end of 4",
                  "measures": 1,
                  "at_a_phrase_end": false
                },
                {
                  "measure": 4,
                  "way": "stop",
                  "measures": 0,
                  "at_a_phrase_end": true
                }
              ],
              "phrases": [
                {
                  "verse": 1,
                  "measures": [
                    1,
                    2,
                    3,
                    4
                  ],
                  "figures": [],
                  "end": "goes-on"
                }
              ],
              "left_out": [],
              "diagnostics": [],
              "files": [
                "The Tide Table.mid"
              ]
            }
            exit code 0
        "#]],
    );
}

#[test]
fn several_tunes_of_one_file() {
    let both = format!("{TIDE}\n{}", TIDE.replace("X:1", "X:2").replace("Tide Table", "Ebb"));
    let line = "arrange both.abc --tune 2 --use bass-note --without final-chord --write midi";
    check(
        Test::new(line).file("both.abc", &both),
        expect![[r#"
            The Ebb (Undersong)
              Read       4 measures of 4/4 in C major, 4 chord symbols
                         the file has 2 tunes and this is the one you asked for; --tune takes the number in another's X: line ("The Tide Table", "The Ebb")
              Kind       march (the source says march)
              Tempo      quarter note = 104, assumed for a tune of this kind because none is written (--tempo changes it)
              Harp       lever harp with 34 strings; C2 to A6, open strings B♭ E♭ A♭
              Settings   Levers up: A♮ E♮ B♮; nothing to move while playing
              Fullness   3 of 6
              Left hand  measures 1-4: bass note; the last chord
              Written    The Ebb.mid
            exit code 0
        "#]],
    );
    check(
        Test::new("arrange both.abc --tune 3").file("both.abc", &both),
        expect![[r#"
        stderr: error: both.abc: there is no tune 3 in this file: it holds 1, 2; --tune takes one of these numbers
        exit code 2
    "#]],
    );
}

#[test]
fn several_files_and_one_that_fails() {
    let test = Test::new("arrange tide.abc none.abc tide.abc list.txt --write midi --out all").tide().file("list.txt", "bread\n");
    check(
        test,
        expect![[r#"
            The Tide Table (Undersong): 4 measures of 4/4 in C major, 4 chord symbols, march, quarter note = 104; all/The Tide Table.mid
            The Tide Table (Undersong): 4 measures of 4/4 in C major, 4 chord symbols, march, quarter note = 104; all/The Tide Table 2.mid
            stderr: error: cannot read none.abc: there is no such file or folder
            stderr: error: list.txt: the file is neither ABC nor MusicXML: expected a line like "X:1" or an XML document
            stderr: 2 of 4 tunes could not be arranged
            exit code 2
        "#]],
    );
}

#[test]
fn what_is_wrong_is_said_with_its_place() {
    check(
        Test::new("arrange none.abc"),
        expect![[r#"
        stderr: error: cannot read none.abc: there is no such file or folder
        exit code 1
    "#]],
    );
    check(
        Test::new("arrange empty.abc").file("empty.abc", "X:1\nT:Nothing\nK:C\n"),
        expect![[r#"
        stderr: empty.abc:1:1: error: the tune holds no notes
        exit code 2
    "#]],
    );
    check(
        Test::new("arrange broken.xml").file("broken.xml", "<score-partwise>\n  <part-list>\n</score-partwise>"),
        expect![[r#"
        stderr: broken.xml:3:1: error: not well-formed XML: expected 'part-list' tag, not 'score-partwise' (export the score again)
        exit code 2
    "#]],
    );
    check(
        Test::new("arrange tide.abc --use bass-note --without final-chord --write midi")
            .file("tide.abc", &TIDE.replace("f2 e d", "f2 e d )")),
        expect![[r#"
            The Tide Table (Undersong)
              Read       4 measures of 4/4 in C major, 4 chord symbols
              Kind       march (the source says march)
              Tempo      quarter note = 104, assumed for a tune of this kind because none is written (--tempo changes it)
              Harp       lever harp with 34 strings; C2 to A6, open strings B♭ E♭ A♭
              Settings   Levers up: A♮ E♮ B♮; nothing to move while playing
              Fullness   3 of 6
              Left hand  measures 1-4: bass note; the last chord
              Written    The Tide Table.mid
            stderr: tide.abc:8:24: warning: ")" without the "(" it closes was left out
            exit code 0
        "#]],
    );
}

#[test]
fn wishes_that_cannot_be_met() {
    check(
        Test::new("arrange tide.abc --use open-fith").tide(),
        expect![[r#"
        stderr: error: there is no figure "open-fith" (perhaps open-fifth; "undersong figures" lists them all)
        exit code 2
    "#]],
    );
    check(
        Test::new("arrange tide.abc --harp piano").tide(),
        expect![[r#"
            stderr: error: there is no harp "piano": expected lever-22, lever-26, lever-27, lever-29, lever-30, lever-30-full, lever-33, lever-34, lever-36, lever-38, lever-40, pedal-40, pedal-44, pedal-46, pedal-47, or a file of your own
            exit code 2
        "#]],
    );
    check(
        Test::new("arrange tide.abc --key Am").tide(),
        expect![[r#"
        stderr: error: the tune is in C major and "Am" is a minor key: a tune keeps its mode, expected a major key such as A
        exit code 2
    "#]],
    );
    check(
        Test::new("arrange tide.abc --fullness 7").tide(),
        expect![[r#"
        stderr: error: fullness "7": expected 0 (nothing) to 6, or one number a verse with commas between
        exit code 2
    "#]],
    );
    check(
        Test::new("arrange tide.abc --kind foxtrot").tide(),
        expect![[r#"
        stderr: error: there is no kind of tune "foxtrot": expected jig, slip jig, reel, hornpipe, polka, march, waltz, air, song, hymn, carol, lullaby, lament, old dance
        exit code 2
    "#]],
    );
    check(
        Test::new("arrange tide.abc --write pdf,docx").tide(),
        expect![[r#"
            stderr: error: "docx" cannot be written: expected pdf, svg, png, musicxml, midi, wav, json, text or lesson, with commas between
            exit code 2
        "#]],
    );
}

#[test]
fn files_of_the_players_with_a_mistake() {
    let harp = "name = \"mine\"\nlowest = \"C2\"\nstrings = 340\ntuning = \"C\"\nlevers = \"all\"\n";
    check(
        Test::new("arrange tide.abc --harp mine.toml").tide().file("mine.toml", harp),
        expect![[r#"
        stderr: mine.toml:3:11: error: a harp of 340 strings: expected 15 to 47
        exit code 2
    "#]],
    );
    check(
        Test::new("arrange tide.abc --player me.toml").tide().file("me.toml", "[left]\nblok = 8\n"),
        expect![[r#"
        stderr: me.toml:2:1: error: unknown field `blok`, expected `block` or `rolled`
        exit code 2
    "#]],
    );
    check(
        Test::new("arrange tide.abc --figures own.txt").tide().file("own.txt", "figure mine\n\nlevel high\n"),
        expect![[r#"
        stderr: own.txt:3: error: "high" after level: expected a number
        exit code 2
    "#]],
    );
}

#[test]
fn a_harp_hands_and_a_figure_of_the_players_own() {
    let harp = "name = \"mine\"\nlowest = \"G2\"\nstrings = 27\ntuning = [\"Bb\"]\nlevers = [\"F\", \"C\"]\n";
    let figure = "figure tolling\nroots G2-G3\n4/4: 1(1/2) 1(1/2)\n";
    let line = "arrange tide.abc --harp mine.toml --player me.toml --figures own.txt --use tolling --without final-chord --write midi";
    let test = Test::new(line).tide().file("mine.toml", harp).file("me.toml", "fluency = \"slow\"\n").file("own.txt", figure);
    check(
        test,
        expect![[r#"
            The Tide Table (Undersong)
              To know    Some notes cannot be played on this harp: in measure 3 no string of this harp can be set to B4.
              To know    All of it can be played in D major (no lever moves while playing; 17 strings for the left hand; 77 % of the notes on open strings): --key D.
              Read       4 measures of 4/4 in C major, 4 chord symbols
              Kind       march (the source says march)
              Tempo      quarter note = 104, assumed for a tune of this kind because none is written (--tempo changes it)
              Harp       mine, 27 strings; G2 to E6, open strings B♭
              Settings   All levers down; nothing to move while playing
              Fullness   3 of 6
              Left hand  measures 1-4: tolling; the last chord
              Written    The Tide Table.mid
            exit code 0
        "#]],
    );
}

#[test]
fn a_place_that_cannot_be_written_to() {
    check(
        Test::new("arrange tide.abc --write midi --out tide.abc/pages").tide(),
        expect![[r#"
        stderr: error: cannot make the folder tide.abc/pages: a file is in the way where a folder is needed
        exit code 1
    "#]],
    );
    check(
        Test::new("arrange tide.abc --write midi").tide().file("The Tide Table.mid/in-the-way", ""),
        expect![[r#"
        stderr: error: cannot write ./The Tide Table.mid: it is a folder
        exit code 1
    "#]],
    );
}

/// The same command twice: the same bytes, pages included, and no file left half made.
#[test]
fn the_same_command_writes_the_same_bytes() {
    let test = Test::new("arrange tide.abc --fullness 2,4 --write pdf,svg,png,musicxml,midi,json --out pages").tide();
    let first = (test.run(), test.files("pages"));
    let again = (test.run(), test.files("pages"));
    let names: Vec<&str> = first.1.keys().map(String::as_str).collect();
    let expected = [
        ".undersong-written",
        "The Tide Table-1.png",
        "The Tide Table-1.svg",
        "The Tide Table.json",
        "The Tide Table.mid",
        "The Tide Table.musicxml",
        "The Tide Table.pdf",
    ];
    assert_eq!((first.0.code, names), (Some(0), expected.to_vec()));
    assert!(first.1.values().all(|bytes| bytes.len() > 100));
    assert!(first == again);
}

/// What was written is read again as the same tune: the melody is the upper staff's.
#[test]
fn a_page_of_ours_as_the_tune() {
    let first = Test::new("arrange tide.abc --write musicxml").tide();
    let again = first.then("arrange The+Tide+Table.musicxml --use bass-note --without final-chord --write midi --out again");
    check(
        again,
        expect![[r#"
            The Tide Table (Undersong)
              Read       4 measures of 4/4 in C major, 4 chord symbols
              Kind       song (a guess: it is in 4/4 with 0.7 notes to the quarter)
              Tempo      quarter note = 104, as written
              Harp       lever harp with 34 strings; C2 to A6, open strings B♭ E♭ A♭
              Settings   Levers up: A♮ E♮ B♮; nothing to move while playing
              Fullness   3 of 6
              Left hand  measures 1-4: bass note; the last chord
              Written    again/The Tide Table.mid
            stderr: The Tide Table.musicxml:100:7: note: the playing sign "fingering" of another instrument is left out, 4 times
            stderr: The Tide Table.musicxml:148:4: note: a note of staff 2 is left out: the melody is on staff 1, 9 times
            exit code 0
        "#]],
    );
}

/// Titles are other people's text: none leaves the folder.
/// Greek, Cyrillic and Vietnamese are drawn; a script that the program has no font for is told with its letters.
#[test]
fn letters_that_no_font_has_are_told() {
    let titled = |title: &str| TIDE.replace("The Tide Table", title);
    let drawn = Test::new("arrange tide.abc --write svg").file("tide.abc", &titled("Η ώρα της άμπωτης, час отлива, giờ thuỷ triều")).run();
    assert!(drawn.code == Some(0) && !drawn.stdout.contains("box"), "{}", drawn.stdout);
    let boxed = Test::new("arrange tide.abc --write svg").file("tide.abc", &titled("潮の time")).run();
    assert!(
        boxed.stdout.contains("The page has letters that none of the program's fonts has: 潮 の. A box stands for each."),
        "{}",
        boxed.stdout
    );
}

#[test]
fn a_title_cannot_choose_the_folder() {
    let test =
        Test::new("arrange tide.abc --write midi --out pages").file("tide.abc", &TIDE.replace("The Tide Table", "../../elsewhere/x"));
    assert_eq!(test.run().code, Some(0));
    assert_eq!(test.files("pages").into_keys().collect::<Vec<_>>(), [".undersong-written", "elsewhere x.mid"]);
}

/// The score that is read has the name that its page would have: it stays, with `--force` too.
#[test]
fn a_tune_is_never_written_over() {
    let made = Test::new("arrange tide.abc --write musicxml --out made").tide();
    assert_eq!(made.run().code, Some(0));
    let score = String::from_utf8(made.files("made")["The Tide Table.musicxml"].clone()).expect("MusicXML is UTF-8");
    for line in ["arrange The+Tide+Table.musicxml --write musicxml", "arrange The+Tide+Table.musicxml --write musicxml --force"] {
        let test = Test::new(line).file("The Tide Table.musicxml", &score);
        let run = test.run();
        assert_eq!(run.code, Some(1), "{}", run.stderr);
        assert!(run.stderr.contains("The Tide Table.musicxml is not written over: it is a tune that is read here"), "{}", run.stderr);
        assert_eq!(test.files(".")["The Tide Table.musicxml"], score.as_bytes());
    }
}

/// Lines of the list of what was written that another version of the program put there stay as they are.
#[test]
fn strange_lines_of_the_list_stay() {
    let strange = "sealed:9f86d081\tThe Tide Table.mid";
    let test = Test::new("arrange tide.abc --write midi --out pages").tide().file("pages/.undersong-written", &format!("{strange}\n"));
    assert_eq!(test.run().code, Some(0));
    let list = String::from_utf8(test.files("pages")[".undersong-written"].clone()).expect("text");
    assert!(list.lines().any(|line| line == strange) && list.lines().count() == 2, "{list}");
}

/// A file of somebody else's, a page changed by hand and another tune's page stay; the program's own page is written anew; `--force` writes over them.
#[test]
fn only_its_own_pages_are_written_over() {
    let line = "arrange tide.abc --write midi --out pages";
    let midi = "pages/The Tide Table.mid";
    let strange = Test::new(line).tide().file(midi, "hers");
    let said = strange.run().stderr;
    assert!(said.contains("it is not of this program's making"), "{said}");
    assert_eq!(strange.files("pages")["The Tide Table.mid"], b"hers");

    let again = Test::new(line).tide().then(line).then(&format!("{line} --fullness 5"));
    assert_eq!(again.run().code, Some(0), "its own page");
    let changed = again.file(midi, "changed by hand");
    let said = changed.run().stderr;
    assert!(said.contains("it was changed since it was written"), "{said}");
    assert_eq!(changed.files("pages")["The Tide Table.mid"], b"changed by hand");

    let forced = changed.typing(&format!("{line} --force"));
    assert_eq!(forced.run().code, Some(0), "asked for");
    let other = forced.file("other.abc", TIDE).typing("arrange other.abc --write midi --out pages");
    let said = other.run().stderr;
    assert!(said.contains("it was made from another tune"), "{said}");
}
