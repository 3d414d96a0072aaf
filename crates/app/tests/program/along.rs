//! Everything taken along and brought back, as a harpist meets it on the command line.

use crate::support::{TIDE, Test};
use expect_test::expect;

#[test]
fn everything_is_taken_along_and_comes_back() {
    let test = Test::new("export mine --out along.zip").file("mine/tide.abc", TIDE);
    let test = test.file("mine/tide.abc.undersong.toml", "fullness = [\"2\"]\n").file("mine/tide.wav", "RIFF");
    expect![[r#"
        along.zip: 1 tune, 1 other file and a diary of 0 entries
        Left where they are, as they are no texts: tide.wav
        exit code 0
    "#]]
    .assert_eq(&test.said());
    expect![[r#"
        stderr: error: along.zip is there already: name another with --out, or write over it with --force
        exit code 2
    "#]]
    .assert_eq(&test.said());
    let test = test.typing("import along.zip other --look");
    expect![[r#"
        2 files would come in:
          tide.abc
          tide.abc.undersong.toml
        exit code 0
    "#]]
    .assert_eq(&test.said());
    let test = test.typing("import along.zip other");
    expect![[r#"
        2 files came in:
          tide.abc
          tide.abc.undersong.toml
        exit code 0
    "#]]
    .assert_eq(&test.said());
    let test = test.file("other/tide.abc", "X:1\nK:D\nD|\n");
    expect![[r#"
        1 file there with other contents, which stayed:
          tide.abc
        1 file there already, the same.
        stderr: nothing was written over: --replace takes those that were brought instead of those that are there
        exit code 0
    "#]]
    .assert_eq(&test.said());
    let test = test.typing("import along.zip other --replace").then("export other --out again.zip").then("export mine --out plain");
    let bytes = |name: &str| std::fs::read(test.path(name)).expect("an archive");
    assert_eq!(bytes("again.zip"), bytes("along.zip"));
    assert_eq!(test.run().code, Some(0));
    assert!(test.path("plain/tide.abc.undersong.toml").exists());
    expect![[r#"
        stderr: error: plain is there already: name a new or an empty folder
        exit code 2
    "#]]
    .assert_eq(&test.said());
    expect![[r#"
        stderr: error: cannot read nowhere.zip: there is no such file or folder
        exit code 1
    "#]]
    .assert_eq(&test.typing("import nowhere.zip other").said());
}
