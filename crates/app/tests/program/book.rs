//! Whole books: their pages, contents and indices read back with another library, their order, and what is said of what cannot be in one.

use crate::pdf::{Read, read};
use crate::support::{TIDE, Test};
use expect_test::expect;
use std::process::{Command, Stdio};

/// The Tide Table under another title, number and key.
fn tune(number: usize, title: &str) -> String {
    TIDE.replace("X:1\nT:The Tide Table", &format!("X:{number}\nT:{title}"))
}

fn tunes(titles: &[&str]) -> String {
    (1..).zip(titles).map(|(number, title)| tune(number, title) + "\n").collect()
}

/// A tune that takes two pages.
fn long(title: &str) -> String {
    let line = "\"C\"c d e c | \"F\"f2 e d | \"G\"d B G B | \"C\"c4 |\n".repeat(10);
    format!("X:1\nT:{title}\nC:Undersong\nR:march\nM:4/4\nL:1/4\nK:C\n{line}")
}

fn book(test: &Test) -> Read {
    read(&std::fs::read(test.path("book.pdf")).expect("the book"))
}

/// The contents as printed: each line with the page it names, checked against where its link leads and what stands there.
fn contents(book: &Read) -> Vec<(String, usize)> {
    let page = &book.pages[1];
    assert_eq!(page.words[0], "Contents");
    let mut lines = Vec::new();
    let mut at = 1;
    for link in &page.links {
        let title = page.words[at + 1].clone();
        // Who made it stands between title and number.
        let number = page.words[at + 2..].iter().position(|word| word.parse::<usize>().is_ok()).expect("the number of a page") + at + 2;
        assert_eq!(page.words[at], (lines.len() + 1).to_string(), "the numbers of the tunes");
        assert_eq!(page.words[number], link.to_string(), "{title}: the number that is printed and where the link leads");
        assert!(book.pages[link - 1].says(&title), "{title} stands on page {link}: {:?}", book.pages[link - 1].words);
        lines.push((title, *link));
        at = number + 1;
    }
    lines
}

fn titles(book: &Read) -> Vec<String> {
    contents(book).into_iter().map(|(title, _)| title).collect()
}

#[test]
fn a_book_of_a_file() {
    let test =
        Test::new("arrange tunes.abc --book book.pdf --book-title Low+Water").file("tunes.abc", &tunes(&["The Quay", "Αρχή", "The Quay"]));
    let said = test.said();
    let size = std::fs::metadata(test.path("book.pdf")).expect("the book").len().div_ceil(1000);
    assert_eq!(
        said,
        format!(
            "Low Water: 3 tunes on 8 pages\n  Order      as they were given\n  Harp       lever harp with 34 strings\n  Levels     3 tunes of level 3\n  Written    book.pdf ({size} kB)\nexit code 0\n"
        )
    );
    let book = book(&test);
    assert_eq!(book.pages[0].words, ["Low Water", "3 tunes", "for a lever harp with 34 strings", "Left hands by Undersong"]);
    assert_eq!(contents(&book), [("The Quay".to_owned(), 3), ("Αρχή".to_owned(), 4), ("The Quay".to_owned(), 5)]);
    let outline: Vec<(usize, &str, usize)> = book.outline.iter().map(|(depth, title, page)| (*depth, title.as_str(), *page)).collect();
    assert_eq!(
        outline,
        [
            (0, "Contents", 2),
            (0, "Tunes", 3),
            (1, "1  The Quay", 3),
            (1, "2  Αρχή", 4),
            (1, "3  The Quay", 5),
            (0, "By key", 6),
            (0, "By how the harp is set", 7),
            (0, "By what they ask", 8)
        ]
    );
    for (at, page) in book.pages.iter().enumerate().skip(1) {
        assert!(page.says(&(at + 1).to_string()), "page {} has its number: {:?}", at + 1, page.words);
    }
    assert!(book.pages[5].says("C major") && book.pages[6].says("Levers up: A♮ E♮ B♮") && book.pages[6].says("no move"));
    let reaches = ["No wider than an octave", "A ninth", "A tenth"];
    assert!(book.pages[7].says("lowest string") && reaches.iter().any(|reach| book.pages[7].says(reach)), "{:?}", book.pages[7].words);
    for index in &book.pages[5..8] {
        assert_eq!(index.links, [3, 5, 4], "by title in each group, the Greek letters last");
    }
}

/// The same bytes twice and by one worker alone; the fonts are there once, however many tunes there are.
#[test]
fn the_same_book_every_time() {
    let titles: Vec<String> = (1..=12).map(|n| format!("Wave {n}")).collect();
    let text = tunes(&titles.iter().map(String::as_str).collect::<Vec<_>>());
    let test = Test::new("arrange tunes.abc --book book.pdf --force").file("tunes.abc", &text);
    let bytes = |test: &Test| {
        assert_eq!(test.run().code, Some(0));
        std::fs::read(test.path("book.pdf")).expect("the book")
    };
    let first = bytes(&test);
    assert!(bytes(&test) == first, "the same tunes, another book");
    let book = read(&first);
    let one = Test::new("arrange tide.abc --book book.pdf").tide();
    let alone = bytes(&one);
    assert_eq!(book.fonts, read(&alone).fonts);
    assert!(first.len() < alone.len() * 3, "{} bytes for twelve tunes, {} for one", first.len(), alone.len());
}

#[test]
fn a_folder_is_in_the_order_of_titles() {
    let folder = |line: &str| {
        Test::new(line)
            .file("tunes/1.abc", &tune(1, "The Quay"))
            .file("tunes/2.abc", &tunes(&["Étude", "An Anchor"]))
            .file("tunes/3.abc", &tune(1, "Eel").replace("K:C", "K:G"))
            .file("tunes/list.txt", "no tune")
            .file("tunes/1.abc.undersong.toml", "")
    };
    let test = folder("arrange tunes --book book.pdf");
    let run = test.run();
    assert_eq!((run.code, run.stderr.as_str()), (Some(0), "passed over, as they are no tunes: list.txt\n"), "{}", run.stdout);
    assert!(run.stdout.starts_with("tunes: 4 tunes on ") && run.stdout.contains("  Order      by title\n"), "{}", run.stdout);
    assert_eq!(titles(&book(&test)), ["An Anchor", "Eel", "Étude", "The Quay"]);
    for (order, expected) in [("given", ["The Quay", "Étude", "An Anchor", "Eel"]), ("key", ["An Anchor", "Étude", "The Quay", "Eel"])] {
        let test = folder(&format!("arrange tunes --book book.pdf --book-order {order}"));
        assert_eq!(test.run().code, Some(0));
        assert_eq!(titles(&book(&test)), expected, "{order}");
    }
    // Three tunes running in one key cost more than anything else (practice::set::order): the one in G stands between those in C.
    let test = folder("arrange tunes --book book.pdf --book-order levers");
    assert_eq!(test.run().code, Some(0));
    let found = titles(&book(&test));
    assert!(found[0] != "Eel" && found[3] != "Eel", "{found:?}");
}

#[test]
fn two_pages_lie_side_by_side() {
    let files =
        |line: &str| Test::new(line).file("a.abc", &long("A Long Way")).file("b.abc", &tune(1, "By")).file("c.abc", &tune(1, "Cove"));
    // The contents are page 2: the long one would begin on page 3, a right one.
    let test = files("arrange a.abc b.abc c.abc --book book.pdf");
    let run = test.run();
    assert!(
        run.stdout.contains("as they were given; 1 tune brought forward, so that the pages of others lie side by side\n"),
        "{}",
        run.stdout
    );
    let moved = book(&test);
    assert_eq!(contents(&moved), [("By".to_owned(), 3), ("A Long Way".to_owned(), 4), ("Cove".to_owned(), 6)]);
    assert_eq!(moved.pages[4].words.last().map(String::as_str), Some("A Long Way"), "the later page names its tune");
    let test = files("arrange a.abc b.abc c.abc --book book.pdf --book-order given");
    let run = test.run();
    assert!(run.stdout.contains("as they were given; 1 page left empty for that\n"), "{}", run.stdout);
    let kept = book(&test);
    assert_eq!(contents(&kept), [("A Long Way".to_owned(), 4), ("By".to_owned(), 6), ("Cove".to_owned(), 7)]);
    assert_eq!(kept.pages[2].words, [""; 0], "a page that says nothing");
}

#[test]
fn a_bad_tune_does_not_stop_the_others() {
    let text = tunes(&["The Quay"]) + "X:2\nT:Empty\nK:C\n\n" + &tune(3, "Cove");
    let test = Test::new("arrange tunes.abc none.abc --book book.pdf").file("tunes.abc", &text);
    let run = test.run();
    assert_eq!(run.code, Some(2));
    let lines: Vec<&str> = run.stderr.lines().collect();
    assert!(lines[0].starts_with("left out: Empty (tune 2 of tunes.abc): "), "{}", run.stderr);
    assert_eq!(lines[1], "left out: none.abc: cannot read none.abc: there is no such file or folder");
    assert!(run.stdout.contains("  Left out   2 tunes\n"), "{}", run.stdout);
    let book = book(&test);
    assert_eq!(titles(&book), ["The Quay", "Cove"]);
    let last = book.pages.last().expect("a last page");
    assert!(last.says("Not in this book") && last.says("Empty (tune 2 of tunes.abc)") && last.says("none.abc"), "{:?}", last.words);
    assert_eq!(book.outline.last().map(|(_, title, page)| (title.as_str(), *page)), Some(("Not in this book", book.pages.len())));
}

#[test]
fn what_cannot_be_is_said() {
    let said = |test: Test| test.said();
    expect![[r#"
        stderr: error: a book without a tune: expected ABC or MusicXML files, or a folder with some
        exit code 2
    "#]]
    .assert_eq(&said(Test::new("arrange empty --book book.pdf").file("empty/.hidden", "")));
    expect![[r#"
        stderr: error: order "random" of a book: expected given, title, key or levers
        exit code 2
    "#]]
    .assert_eq(&said(Test::new("arrange tide.abc --book book.pdf --book-order random").tide()));
    expect![[r#"
        stderr: error: book.pdf is not written over: name another file, or write over it with --force
        exit code 1
    "#]]
    .assert_eq(&said(Test::new("arrange tide.abc --book book.pdf").tide().file("book.pdf", "mine")));
    expect![[r#"
        stderr: error: cannot write into the folder nowhere: there is no such file or folder
        exit code 1
    "#]]
    .assert_eq(&said(Test::new("arrange tide.abc --book nowhere/book.pdf").tide()));
    let none = Test::new("arrange bad.abc --book book.pdf").file("bad.abc", "X:1\nT:Bad\nK:C\n");
    let run = none.run();
    assert!(
        run.code == Some(2) && run.stderr.starts_with("error: no book, for its only tune cannot be arranged: bad.abc: "),
        "{}",
        run.stderr
    );
    assert!(!none.path("book.pdf").exists());
    let with_pages = Test::new("arrange tide.abc --book book.pdf --write svg").tide().run();
    assert_eq!(with_pages.code, Some(2), "a book is all that is written");
}

/// Ended in the middle, it leaves nothing behind.
#[cfg(unix)]
#[test]
fn nothing_half_made_stays() {
    let titles: Vec<String> = (1..=200).map(|n| format!("Wave {n}")).collect();
    let test = Test::new("").file("tunes.abc", &tunes(&titles.iter().map(String::as_str).collect::<Vec<_>>()));
    let folder = test.path("");
    let mut command = Command::new(env!("CARGO_BIN_EXE_undersong"));
    command.args(["arrange", "tunes.abc", "--book", "book.pdf"]).current_dir(&folder).stdout(Stdio::null()).stderr(Stdio::null());
    let mut running = command.spawn().expect("the program starts");
    let id = running.id().to_string();
    // Two hundred tunes take longer than a signal.
    assert!(Command::new("kill").args(["-INT", &id]).status().is_ok_and(|sent| sent.success()));
    assert!(!running.wait().expect("it ends").success());
    assert_eq!(test.files("").into_keys().collect::<Vec<_>>(), ["tunes.abc"]);
}
