//! Killed at any moment, the desk loses at most the last change: a child of this test chooses without end and is killed two hundred times in the middle of it.

use desk::choices::Choices;
use desk::history;
use desk::save::RealDisk;
use desk::shelf::Shelf;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};

const TUNE: &str = "ferry.abc";
const KILLS: usize = 200;
/// The argument that makes this program the child.
const CHILD: &str = "--choose-without-end";

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    match arguments.as_slice() {
        [_, first, folder] if first == CHILD => choose_without_end(Path::new(folder)),
        // Lists are asked for by tools that look for tests.
        all if all.iter().any(|a| a == "--list") => println!("killed: test"),
        _ => killed(),
    }
}

/// One choice after another; a line is printed when each is saved.
fn choose_without_end(folder: &Path) {
    let shelf = Shelf::open(folder, Box::new(RealDisk)).expect("the folder is there");
    let mut now = history::choices(&shelf, TUNE).expect("what was saved is whole");
    loop {
        let next = number(&now) + 1;
        let new = Choices { tempo: Some(next.to_string()), ..now.clone() };
        history::choose(&shelf, TUNE, &now, &new).expect("the disk takes it");
        println!("{next}");
        std::io::stdout().flush().expect("the test listens");
        now = new;
    }
}

fn number(choices: &Choices) -> u32 {
    choices.tempo.as_deref().map_or(0, |t| t.parse().expect("only numbers are chosen"))
}

fn killed() {
    let folder = tempfile::tempdir().expect("a folder for the test");
    std::fs::write(folder.path().join(TUNE), "X:1\nT:Ferry\nK:C\nC4|\n").expect("the folder takes a tune");
    let shelf = Shelf::open(folder.path(), Box::new(RealDisk)).expect("the folder is there");
    let mut last = 0;
    for round in 0..KILLS {
        let said = one_child(folder.path(), 1 + round % 4, round);
        let choices = history::choices(&shelf, TUNE).expect("the choices are whole after a kill");
        let steps = std::fs::read(folder.path().join(format!("{TUNE}.undersong-history.json"))).expect("the steps are there");
        let steps: history::History = serde_json::from_slice(&steps).expect("the steps are whole after a kill");
        let saved = number(&choices);
        assert!(saved >= said && said > last, "round {round}: {saved} is saved, {said} was said to be");
        let chosen = steps.first.undo.iter().rev().filter_map(|step| match step {
            history::Step::Chosen(choices) => Some(choices),
            _ => None,
        });
        let back = chosen.into_iter().find(|c| **c != choices).map(number);
        assert_eq!(back, Some(saved - 1), "round {round}: one step back");
        assert_eq!(shelf.tunes().expect("the folder can be read").len(), 1, "what a kill leaves is no tune");
        last = saved;
    }
    println!("killed {KILLS} times while saving {last} choices: every file whole");
}

/// A child that is killed after it has said so many saves, a little later each round; the last save it spoke of.
fn one_child(folder: &Path, lines: usize, round: usize) -> u32 {
    let own = std::env::current_exe().expect("this program has a path");
    let mut child = Command::new(own).arg(CHILD).arg(folder).stdout(Stdio::piped()).spawn().expect("the child starts");
    let mut said = BufReader::new(child.stdout.take().expect("the child's words are piped")).lines();
    let mut last = String::new();
    for _ in 0..lines {
        last = said.next().expect("the child goes on").expect("the child's words are text");
    }
    let mut turns = 0_u64;
    while turns < round as u64 * 2_000 {
        turns = std::hint::black_box(turns + 1);
    }
    child.kill().expect("the child can be killed");
    child.wait().expect("the child ends");
    said.map_while(Result::ok).last().unwrap_or(last).parse().expect("numbers are said")
}
