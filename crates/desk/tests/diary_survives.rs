//! What the diary has acknowledged is there after a kill at any moment and after the disk was full: a child of this test writes without end, and is killed or runs out of room.

use desk::practice::diary::stays::Stay;
use desk::practice::diary::{Diary, FILE};
use desk::save::RealDisk;
use desk::shelf::Shelf;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

const KILLS: usize = 200;
/// The arguments that make this program a child.
const WITHOUT_END: &str = "--write-without-end";
const UNTIL_FULL: &str = "--write-until-full";

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    match arguments.as_slice() {
        [_, first, folder] if first == WITHOUT_END => without_end(Path::new(folder)),
        [_, first, folder] if first == UNTIL_FULL => until_full(Path::new(folder)),
        // Lists are asked for by tools that look for tests.
        all if all.iter().any(|a| a == "--list") => println!("diary_survives: test"),
        _ => {
            killed();
            #[cfg(target_os = "linux")]
            full();
        }
    }
}

fn shelf(folder: &Path) -> Shelf {
    Shelf::open(folder, Box::new(RealDisk)).expect("the folder is there")
}

/// The stay with a number: its words are long, so that the file grows while it is written.
fn stay(number: i64) -> Stay {
    Stay {
        day: "2026-11-26".into(),
        began: 1_795_687_200_000 + number,
        tune: "ferry.abc".into(),
        tune_title: "Ferry".into(),
        what: "step".into(),
        title: format!("Roots {number} {}", "and again ".repeat(40)),
        seconds: 60,
        beats: Some(80),
        percent: Some(100),
    }
}

/// How many stays are kept; all that stand between the first and the last are there.
fn kept(shelf: &Shelf) -> i64 {
    let diary = Diary::of(shelf);
    assert!(diary.is_whole().expect("the diary can be read"), "the database finds itself whole");
    let stays = diary.stays("").expect("the diary can be read");
    for (number, one) in (1..).zip(&stays) {
        assert_eq!(*one, stay(number), "every stay stands there as it was written");
    }
    stays.len() as i64
}

/// One stay after another; a line is printed when each is kept.
fn without_end(folder: &Path) {
    let shelf = shelf(folder);
    for number in kept(&shelf) + 1.. {
        Diary::of(&shelf).stay(&stay(number)).expect("the disk takes it");
        println!("{number}");
        std::io::stdout().flush().expect("the test listens");
    }
}

fn killed() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    let shelf = shelf(folder.path());
    let mut last = 0;
    for round in 0..KILLS {
        let said = one_child(folder.path(), 1 + round % 3, round);
        // A copy of the folder as the kill left it is another machine's.
        let other = tempfile::tempdir().expect("a folder for the copy");
        for file in std::fs::read_dir(folder.path()).expect("the folder").flatten().filter(|f| f.path().is_file()) {
            std::fs::copy(file.path(), other.path().join(file.file_name())).expect("a copy");
        }
        let there = kept(&self::shelf(other.path()));
        let here = kept(&shelf);
        assert!(
            here >= said && said > last && there == here,
            "round {round}: {here} are kept, {there} in the copy, {said} were said to be"
        );
        let alone = tempfile::tempdir().expect("a folder for the one file");
        std::fs::copy(folder.path().join(FILE), alone.path().join(FILE)).expect("a copy");
        assert_eq!(kept(&self::shelf(alone.path())), here, "round {round}: the one file is all of it");
        last = here;
    }
    println!("killed {KILLS} times while writing {last} stays: every acknowledged one is there, and the file is whole");
}

fn child(first: &str, folder: &Path) -> Command {
    let mut command = Command::new(std::env::current_exe().expect("this program has a path"));
    command.arg(first).arg(folder);
    command
}

/// A child that is killed after it has said so many lines, a little later each round; the last number it spoke of.
fn one_child(folder: &Path, lines: usize, round: usize) -> i64 {
    let mut child: Child = child(WITHOUT_END, folder).stdout(Stdio::piped()).spawn().expect("the child starts");
    let mut said = BufReader::new(child.stdout.take().expect("the child's words are piped")).lines();
    let mut last = String::new();
    for _ in 0..lines {
        last = said.next().expect("the child goes on").expect("the child's words are text");
    }
    // Over all the rounds every moment of a write comes up, and those of the ones after it.
    let (said_it, wait) = (Instant::now(), Duration::from_micros(60 * round as u64));
    while said_it.elapsed() < wait {
        std::hint::spin_loop();
    }
    child.kill().expect("the child can be killed");
    child.wait().expect("the child ends");
    said.map_while(Result::ok).last().unwrap_or(last).parse().expect("numbers are said")
}

/// Writes until the disk takes no more; what was said then, and that all is still there, is printed.
fn until_full(folder: &Path) {
    let shelf = shelf(folder);
    let refused = (1..100_000).find_map(|number| Diary::of(&shelf).stay(&stay(number)).err().map(|failure| (number, failure)));
    let (number, failure) = refused.expect("there is no end of room");
    let said = failure.text().expect("it is said").replace(&shelf.folder().display().to_string(), "FOLDER");
    assert_eq!(kept(&shelf), number - 1, "nothing that was kept is lost");
    assert!(Diary::of(&shelf).stay(&stay(number)).is_err(), "and there is no room the second time");
    println!("{} kept: {said}", number - 1);
    // Room is made where the test has put something that can go.
    if std::fs::remove_file(folder.join("ballast")).is_ok() {
        Diary::of(&shelf).stay(&stay(number)).expect("there is room again");
        assert_eq!(kept(&shelf), number);
        println!("and with room again {number}");
    }
}

/// A disk of 160 KiB where this system lets a test have one, and a file that may not grow beyond 64 KiB everywhere.
#[cfg(target_os = "linux")]
fn full() {
    let own = std::env::current_exe().expect("this program has a path");
    let folder = tempfile::tempdir().expect("a folder for the test");
    let run = |command: &str| {
        let output = Command::new("sh").args(["-c", command, "sh"]).arg(&own).arg(folder.path()).output().expect("a shell");
        (
            output.status.success(),
            String::from_utf8_lossy(&output.stdout).into_owned(),
            String::from_utf8_lossy(&output.stderr).into_owned(),
        )
    };
    // The signal that tells a program of the limit is put aside, as by a program that wants to hear the error.
    let (ended, said, error) = run(&format!("trap '' XFSZ; ulimit -f 128; exec \"$1\" {UNTIL_FULL} \"$2\""));
    assert!(ended, "{said}{error}");
    println!("a limit of the file: {said}");
    assert!(said.contains(&format!("kept: cannot save FOLDER/{FILE}: the disk is full")), "{said}");
    std::fs::remove_file(folder.path().join(FILE)).expect("the diary of the first half");
    let disk = "unshare -rm sh -c 'mount -t tmpfs -o size=160k none \"$2\" || exit 42; head -c 65536 /dev/zero > \"$2/ballast\"; exec \"$1\" \"$3\" \"$2\"' sh \"$1\" \"$2\"";
    let (ended, said, error) = run(&format!("{disk} {UNTIL_FULL}"));
    if ended {
        println!("a full disk: {said}");
        assert!(
            said.contains(&format!("kept: cannot save FOLDER/{FILE}: the disk is full")) && said.contains("and with room again"),
            "{said}"
        );
    } else {
        assert!(said.is_empty() && !error.contains("panicked"), "{said}{error}");
        println!("this system lends a test no disk of its own: {error}");
    }
}
