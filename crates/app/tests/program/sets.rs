//! Sets on the command line: tunes in order with what is moved between them, for a time, kept and read again.

use crate::support::Test;
use expect_test::expect;

fn tune(title: &str, kind: &str, key: &str, notes: &str) -> String {
    format!("X:1\nT:{title}\nR:{kind}\nM:4/4\nL:1/4\nQ:1/4=90\nK:{key}\n{notes}\n")
}

fn three(line: &str) -> Test {
    Test::new(line)
        .file("gate.abc", &tune("The Gate", "air", "D", "\"D\"D F A d|\"A\"c A E C|\"G\"B G d B|\"D\"d4|"))
        .file("wall.abc", &tune("The Wall", "air", "C", "\"C\"C E G c|\"F\"f a f c|\"G\"B G d B|\"C\"c4|"))
        .file("door.abc", &tune("The Door", "reel", "G", "\"G\"G B d g|\"C\"e c G c|\"D\"d A F A|\"G\"G4|"))
}

#[test]
fn a_set_in_words() {
    expect![[r#"
        Evening: 3 tunes, 0:47
        Before the first note: Levers up: A♮ E♮ B♮, F♯4

          1. The Wall: C major, air, 0:12
             Levers up: A♮ E♮ B♮, F♯4
             out: after 4: stop

             move one lever: F♯3
             link of 2 measures: C D7; its last note, F♯4, lies beside the first of the tune, G4

          2. The Door: G major, reel, 0:12
             Levers up: A♮ E♮ B♮, F♯3 F♯4
             out: after 4: stop

             move 2 levers: C♯5 C♯4
             link of 2 measures: G A7; its last note, C♯4, lies beside the first of the tune, D4

          3. The Gate: D major, air, 0:12
             Levers up: A♮ E♮ B♮, F♯3 F♯4 C♯4 C♯5
             out: after 4: stop

        3 levers are moved between the tunes. No order asks for less, moves and keys that come again counted.

        Written: pages/Evening - set.svg, pages/Evening - links.svg
        exit code 0
    "#]]
    .assert_eq(&three("set gate.abc wall.abc door.abc --links 2 --title Evening --write svg --out pages").said());
}

#[test]
fn a_set_is_one_page_and_comes_back() {
    let test = three("set gate.abc wall.abc door.abc --title Evening --keep --write svg --out pages");
    let run = test.run();
    assert_eq!((run.code, run.stderr.as_str()), (Some(0), ""), "{}", run.stdout);
    let files = test.files("pages");
    let names: Vec<&str> = files.keys().map(String::as_str).filter(|n| !n.starts_with('.')).collect();
    assert_eq!(names, ["Evening - set.svg"]);
    let svg = String::from_utf8_lossy(&files["Evening - set.svg"]).into_owned();
    for words in ["Evening", "The Gate", "The Wall", "The Door", "G major", "Before the first note: "] {
        assert!(svg.contains(words), "{words} is not on the page");
    }
    let again = Test::typing(test, "set Evening.undersong-set.toml --write svg --out pages");
    let same = again.run();
    assert_eq!(same.code, Some(0), "{}", same.stderr);
    assert_eq!(again.files("pages")["Evening - set.svg"], svg.as_bytes(), "the same set, the same bytes");
    let first = |text: &str| text.lines().take_while(|l| !l.starts_with("Written")).map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(first(&same.stdout), first(&run.stdout));
}

#[test]
fn tunes_for_a_time() {
    expect![[r#"
        2 tunes of 2 quiet tunes (waltz, air, song, hymn, carol, lullaby, lament) come to 1:00, nearest to 1:00; there is not enough music to play each once.

        Set: 2 tunes, 1:00
        Before the first note: Levers up: F♯ (not F5) C♯ (not C3) A♮ E♮ B♮

          1. The Gate: D major, air, 0:24, twice 0:12
             Levers up: F♯ (not F5) C♯ (not C3) A♮ E♮ B♮
             out: after 4: stop

             move 3 levers: C♮5 C♮4 F♮3

          2. The Wall: C major, air, 0:36, 3 times 0:12
             Levers up: F♯ (not F3 F5) A♮ E♮ B♮, C♯2 C♯6
             out: after 4: stop

        3 levers are moved between the tunes. No order asks for less, moves and keys that come again counted.

        Written: pages/Set - set.svg
        exit code 0
    "#]].assert_eq(&three("set . --minutes 1 --mood quiet --write svg --out pages").said());
}

#[test]
fn what_cannot_be_is_said() {
    expect![[r#"
        stderr: error: elsewhere/wall.abc and gate.abc lie in two folders: expected the tunes of a set in one
        exit code 2
    "#]]
    .assert_eq(&three("set gate.abc elsewhere/wall.abc").said());
    expect![[r#"
        stderr: error: order "random": expected best or given
        exit code 2
    "#]]
    .assert_eq(&three("set gate.abc --order random").said());
    expect![[r#"
        stderr: error: music that is "loud": expected one of any, quiet, lively
        exit code 2
    "#]]
    .assert_eq(&three("set . --minutes 1 --mood loud").said());
    expect![[r#"
        stderr: error: cannot read nowhere.abc: there is no such file or folder
        exit code 1
    "#]]
    .assert_eq(&three("set nowhere.abc").said());
    expect![[r#"
        stderr: a.undersong-set.toml:2:1: error: unknown field `colour`, expected one of `format`, `title`, `hold_first`, `hold_last`, `tunes`
        exit code 2
    "#]].assert_eq(&Test::new("set a.undersong-set.toml").file("a.undersong-set.toml", "title = \"A\"\ncolour = 3\n").said());
    expect![[r#"
        a: one tune, 0:00

          1. gone.abc
             there is no tune "gone.abc" on the shelf

        Written: pages/a - set.svg
        stderr: 1 of 1 tunes cannot be played as they are
        exit code 2
    "#]]
    .assert_eq(
        &three("set a.undersong-set.toml --write svg --out pages").file("a.undersong-set.toml", "[[tunes]]\ntune = \"gone.abc\"\n").said(),
    );
}
