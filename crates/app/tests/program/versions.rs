//! Versions of a tune and levels, as a harpist meets them on the command line.

use crate::support::Test;
use expect_test::expect;

#[test]
fn copied_named_compared_and_taken_away() {
    let test = Test::new("versions copy tide.abc for+the+pupil").tide();
    expect![[r#"
        "for the pupil" begins as a copy of "mine".
        exit code 0
    "#]]
    .assert_eq(&test.said());
    let file = std::fs::read_to_string(test.path("tide.abc.undersong.toml")).expect("it is beside the tune");
    let changed = file.replace("[[version]]\n", "[[version]]\n# easier\n").replacen("fullness = []", "fullness = [4]", 1);
    let (first, pupil) = changed.split_at(changed.find("[[version]]").expect("the second version"));
    let test = test.file("tide.abc.undersong.toml", &format!("{first}{}", pupil.replace("fullness = []", "fullness = [1]")));
    let test = test.typing("versions list tide.abc");
    expect![[r#"
        mine: lever harp with 34 strings, the key of the tune, fullness 4
        for the pupil: lever harp with 34 strings, the key of the tune, fullness 1
        exit code 0
    "#]]
    .assert_eq(&test.said());
    let test = test.typing("versions compare tide.abc mine for+the+pupil");
    expect![[r#"
        3 of 4 measures differ; in "for the pupil" fewer plucks in measures 1-3.
          fullness: 4 in "mine", 1 in "for the pupil"
          measure 1
            mine: alternating bass (C3 G3+C4 E3 G3+C4)
            for the pupil: bass note (C3)
          measure 2
            mine: alternating bass (F2 F3+A3 C3 F3 A3)
            for the pupil: closing chord (rolled F2+C3+A3)
          measure 3
            mine: flowing (G2 G3 B3 D4 B3)
            for the pupil: bass note (G2)
        exit code 0
    "#]]
    .assert_eq(&test.said());
    let test = test.typing("versions name tide.abc for+the+pupil for+Ann");
    assert!(test.said().starts_with("\"for the pupil\" is called \"for Ann\" now.\n"));
    let test = test.typing("versions remove tide.abc for+Ann");
    expect![[r#"
        "for Ann" is taken away; undo on the worktable of "mine" brings it back.
        exit code 0
    "#]]
    .assert_eq(&test.said());
    let test = test.typing("versions compare tide.abc mine for+Ann");
    expect![[r#"
        stderr: error: there is no version "for Ann" of this tune: it has "mine"
        exit code 2
    "#]]
    .assert_eq(&test.said());
}

#[test]
fn every_command_takes_a_version() {
    let file = "fullness = [4]\n\n[[version]]\nname = \"pupil\"\nfullness = [1]\nuse = [\"bass-note\"]\n";
    let test = Test::new("explain tide.abc --as pupil").tide().file("tide.abc.undersong.toml", file);
    let said = test.said();
    assert!(said.contains("Measure 1, C: bass note") && said.ends_with("exit code 0\n"), "{said}");
    for line in [
        "cues tide.abc --as pupil --write svg --out a",
        "ladder tide.abc --as pupil",
        "drills tide.abc --as pupil",
        "keys tide.abc --as pupil",
        "arrange tide.abc --as pupil --write musicxml --out b",
    ] {
        let test = Test::new(line).tide().file("tide.abc.undersong.toml", file);
        let run = test.run();
        assert_eq!((run.code, run.stderr.as_str()), (Some(0), ""), "{line}: {}", run.stdout);
    }
    let test = test.typing("arrange tide.abc --as nobody");
    expect![[r#"
        stderr: error: there is no version "nobody" of this tune: it has "mine", "pupil"
        exit code 2
    "#]]
    .assert_eq(&test.said());
    expect![[r#"
        stderr: error: nothing was chosen for tide.abc yet: there is no tide.abc.undersong.toml
        exit code 2
    "#]]
    .assert_eq(&Test::new("arrange tide.abc --as mine").tide().said());
    let both = Test::new("arrange tide.abc --as mine --fullness 2").tide().said();
    assert!(both.contains("'--as <VERSION>' cannot be used with '--fullness"), "{both}");
}

#[test]
fn levels_are_made_and_told() {
    let test = Test::new("levels tide.abc").tide();
    expect![[r#"
        mine: level 3. It asks at most 4 strings at once, 4 placed ahead over 10 strings; at most 3 plucks in a measure, 0.6 seconds apart or more; no lever or pedal to move for it.
        level 1: level 1. It asks at most 2 strings at once, 2 placed ahead over 5 strings; at most 4 plucks in a measure, 0.6 seconds apart or more; no lever or pedal to move for it.
        level 2: level 2. It asks at most 1 string at once, 3 placed ahead over 10 strings; at most 4 plucks in a measure, 0.6 seconds apart or more; no lever or pedal to move for it.
        They sound together: the same measures, time, chords and tune, and no two left hands rub anywhere.
        exit code 0
    "#]].assert_eq(&test.said());
    let test = test.typing("versions together tide.abc");
    let said = test.said();
    assert!(said.contains("They sound together: the same measures, time, chords and tune"), "{said}");
    let test = test.typing("arrange tide.abc --as level+1 --write midi --out pages");
    assert_eq!(test.run().code, Some(0));
}

#[test]
fn one_is_taken_home_alone() {
    let file = "fullness = [4]\n\n[[version]]\nname = \"pupil\"\nfullness = [1]\n";
    let test = Test::new("versions take tide.abc pupil --out home").tide().file("tide.abc.undersong.toml", file);
    expect![[r#"
        Written: home/The Tide Table (pupil).abc
        exit code 0
    "#]]
    .assert_eq(&test.said());
    let alone = String::from_utf8(test.files("home")["The Tide Table (pupil).abc"].clone()).expect("text");
    let elsewhere = Test::new("versions list pupil.abc").file("pupil.abc", &alone);
    expect![[r#"
        pupil: lever harp with 34 strings, the key of the tune, fullness 1
        exit code 0
    "#]]
    .assert_eq(&elsewhere.said());
    assert_eq!(elsewhere.typing("arrange pupil.abc --as pupil --write midi --out pages").run().code, Some(0));
}
