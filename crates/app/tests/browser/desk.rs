//! The program with a folder of its own, on any free port.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use tempfile::TempDir;

/// Eight measures with a chord each, our own.
pub const PIER: &str = "X:1\nT:Down to the Pier\nM:3/4\nL:1/4\nQ:1/4=100\nK:G\n\"G\"G B d | \"C\"e2 d | \"Am\"c B A | \"D7\"F2 A |\n\"G\"B d g | \"Em\"e2 B | \"D7\"c A F | \"G\"G3 |]\n";

/// A tune of [`PIER`]'s form with its first measures eight times more: forty measures, several pages on the stand.
pub fn long(tune: &str) -> String {
    tune.replace("|]\n", "|\n") + &"\"G\"G B d | \"C\"e2 d | \"Am\"c B A | \"D7\"F2 A |\n".repeat(8)
}

/// The same with mistakes: a measure too long, a chord that is none, a sign that is none.
pub const BROKEN: &str =
    "X:1\nT:Low Tide\nM:3/4\nL:1/4\nK:G\n\"G\"G B d e f | \"Hq9\"e2 d | \"Am\"c ¿ A | \"D7\"F2 A |\n\"G\"B d g | \"G\"G3 |]\n";

pub struct Desk {
    program: Child,
    pub address: String,
    folder: TempDir,
}

impl Desk {
    /// Starts the program in a new empty folder.
    pub fn open() -> Desk {
        let folder = tempfile::tempdir().expect("a folder for the test");
        let (program, address) = start(folder.path());
        Desk { program, address, folder }
    }

    /// Ends the program without a word and starts it again in the same folder.
    pub fn restart(&mut self) {
        self.end();
        (self.program, self.address) = start(self.folder.path());
    }

    /// Waits until the program has ended by itself; how it ended.
    pub fn ended(&mut self) -> Option<i32> {
        self.program.wait().expect("the program is ours").code()
    }

    pub fn file(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// The text of a file in the folder; empty where there is none.
    pub fn text(&self, name: &str) -> String {
        std::fs::read_to_string(self.file(name)).unwrap_or_default()
    }

    fn end(&mut self) {
        // Both fail only when it has ended already.
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        self.end();
    }
}

fn start(folder: &Path) -> (Child, String) {
    let mut program = Command::new(env!("CARGO_BIN_EXE_undersong"))
        .args(["open", "--no-browser", "--port", "0"])
        .arg(folder)
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut line = String::new();
    BufReader::new(program.stdout.take().expect("its output")).read_line(&mut line).expect("a first line");
    let address = line.split_whitespace().find(|word| word.starts_with("http://")).unwrap_or_else(|| panic!("no address in {line:?}"));
    let address = address.to_owned();
    (program, address)
}
