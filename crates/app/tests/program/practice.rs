//! Cue sheets, ladders, drills and sheets to read at sight as a harpist meets them on the command line.

use crate::support::Test;
use expect_test::expect;

#[test]
fn a_cue_sheet_is_one_page() {
    let test = Test::new("cues tide.abc --write svg --out pages").tide();
    let run = test.run();
    assert_eq!((run.code, run.stderr.as_str()), (Some(0), ""), "{}", run.stdout);
    assert!(run.stdout.starts_with("The Tide Table: C major, 4/4\n  A    1  | C | F | G | C |\n"), "{}", run.stdout);
    let files = test.files("pages");
    let names: Vec<&str> = files.keys().map(String::as_str).filter(|n| !n.starts_with('.')).collect();
    assert_eq!(names, ["The Tide Table - cue sheet.svg"]);
    let svg = String::from_utf8_lossy(&files["The Tide Table - cue sheet.svg"]).into_owned();
    for words in ["The Tide Table", "cue sheet", "All levers down", "how full the left hand is, of six"] {
        assert!(svg.contains(words) || words == "All levers down" && svg.contains("Levers up"), "{words} is not on the page");
    }
    // The same sheet, the same bytes.
    assert_eq!(test.then("cues tide.abc --write svg --out pages").files("pages")["The Tide Table - cue sheet.svg"], svg.as_bytes());
}

#[test]
fn a_ladder_in_words_and_with_its_pages() {
    let said = Test::new("ladder tide.abc").tide().said();
    assert!(said.starts_with("The Tide Table: "), "{said}");
    for words in
        ["  1. Roots\n     One string for each chord: its root.", "From the lead sheet at sight", "Free\n", "Passed: Twice through"]
    {
        assert!(said.contains(words), "{words} is not in {said}");
    }
    let test = Test::new("ladder tide.abc --write musicxml,midi --out steps").tide();
    assert_eq!(test.run().code, Some(0));
    let files = test.files("steps");
    let roots = String::from_utf8_lossy(&files["The Tide Table - 01 Roots.musicxml"]).into_owned();
    assert!(roots.contains("<staves>2</staves>"));
    assert!(files.contains_key("The Tide Table - 01 Roots.mid"));
    let lead = files.iter().find(|(name, _)| name.contains("From the lead sheet")).map(|(_, b)| String::from_utf8_lossy(b).into_owned());
    assert!(lead.is_some_and(|text| !text.contains("<staves>2</staves>") && text.contains("<harmony")));
}

/// Where the left hand has the melody on the page, the ladder says that it turns the hands round, and its lead sheet is the melody.
#[test]
fn a_page_with_the_melody_below() {
    let below = "--melody-below 1 --fullness 2";
    let said = Test::new(&format!("ladder tide.abc {below}")).tide().said();
    assert!(
        said.contains(
            "On your page the left hand has the melody and the right hand the chords. The ladder has the melody in the right hand"
        ),
        "{said}"
    );
    assert!(said.contains("  1. Roots\n"), "{said}");
    let drills = Test::new(&format!("drills tide.abc {below}")).tide().said();
    assert!(drills.contains("there is no change of chord for the left hand to drill"), "{drills}");
    let sheet = |more: &str| {
        let test = Test::new(&format!("ladder tide.abc {more} --write musicxml --out steps")).tide();
        assert_eq!(test.run().code, Some(0), "it is written");
        let files = test.files("steps");
        let lead = files.iter().find(|(name, _)| name.contains("From the lead sheet")).expect("a lead sheet").1;
        let text = String::from_utf8_lossy(lead).into_owned();
        text.split("<step>").skip(1).map(|rest| rest.chars().next().expect("a letter")).collect::<String>()
    };
    assert_eq!(sheet(below), sheet("--fullness 2"), "the same melody");
    let both = Test::new("ladder tide.abc --melody-below 2 --fullness 2,2").tide().said();
    assert!(both.contains("In verse 2 of your page the left hand has the melody"), "{both}");
}

#[test]
fn drills_name_measures() {
    let said = Test::new("drills tide.abc").tide().said();
    for words in ["Change of chord: ", "From the end: measures ", "End now: the whole tune", "Find the shape: 3 chords of the tune"] {
        assert!(said.contains(words), "{words} is not in {said}");
    }
}

#[test]
fn a_sheet_comes_back_by_its_number() {
    let one = Test::new("sight 2 17").said();
    assert!(one.starts_with("X:17\nT:Sight reading 2, number 17\nC:Undersong\nM:"), "{one}");
    assert_eq!(one, Test::new("sight 2 17").said());
    let test = Test::new("sight 1 3 --count 2 --write abc,musicxml --out sheets");
    assert_eq!(test.run().code, Some(0));
    let names: Vec<String> = test.files("sheets").into_keys().filter(|n| !n.starts_with('.')).collect();
    let expected = [
        "Sight reading 1, number 3.abc",
        "Sight reading 1, number 3.musicxml",
        "Sight reading 1, number 4.abc",
        "Sight reading 1, number 4.musicxml",
    ];
    assert_eq!(names, expected);
    assert!(Test::new("sight").said().starts_with("1  C, D, F and G major"));
}

#[test]
fn what_cannot_be_is_said() {
    expect![[r#"
        stderr: error: there is no level 9: expected 1 to 5
        exit code 2
    "#]]
    .assert_eq(&Test::new("sight 9").said());
    expect![[r#"
        stderr: error: there is no sheet 0: expected 1 to 1000000
        exit code 2
    "#]]
    .assert_eq(&Test::new("sight 1 0").said());
    expect![[r#"
        stderr: error: "wav" cannot be written here: expected pdf, svg or png, with commas between
        exit code 2
    "#]]
    .assert_eq(&Test::new("cues tide.abc --write wav").tide().said());
    expect![[r#"
        stderr: error: cannot read nowhere.abc: there is no such file or folder
        exit code 1
    "#]]
    .assert_eq(&Test::new("drills nowhere.abc").said());
}
