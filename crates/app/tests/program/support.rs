//! Runs the real program in a folder of its own and shows all it said.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::process::Command;
use tempfile::TempDir;

/// A small tune of ours: four measures, four chords.
pub const TIDE: &str =
    "X:1\nT:The Tide Table\nC:Undersong\nR:march\nM:4/4\nL:1/4\nK:C\n\"C\"c d e c | \"F\"f2 e d | \"G\"d B G B | \"C\"c4 |]\n";

/// One run of the program: files that are there before, and what is typed.
pub struct Test {
    folder: TempDir,
    arguments: Vec<String>,
}

/// What came of it.
#[derive(Debug, PartialEq, Eq)]
pub struct Run {
    pub code: Option<i32>,
    pub stdout: String,
    pub stderr: String,
}

impl Test {
    /// With the words of a command line, parted by spaces; a word with a space in it has a plus sign for the space.
    pub fn new(line: &str) -> Test {
        Test { folder: tempfile::tempdir().expect("a temporary folder"), arguments: words(line) }
    }

    /// Another command line in the same folder, on what the one before left there.
    pub fn then(self, line: &str) -> Test {
        assert_eq!(self.run().code, Some(0), "the command before must come off");
        self.typing(line)
    }

    /// Another command line in the same folder, whether the one before was run or not.
    pub fn typing(self, line: &str) -> Test {
        Test { arguments: words(line), ..self }
    }

    pub fn file(self, name: &str, text: &str) -> Test {
        let path = self.path(name);
        let folder = path.parent().expect("a file stands in a folder");
        std::fs::create_dir_all(folder).expect("a folder for the file");
        std::fs::write(path, text).expect("a file for the program to read");
        self
    }

    /// With the tune in tide.abc.
    pub fn tide(self) -> Test {
        self.file("tide.abc", TIDE)
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Runs it in the folder.
    pub fn run(&self) -> Run {
        let mut command = Command::new(env!("CARGO_BIN_EXE_undersong"));
        let output = command.args(&self.arguments).current_dir(self.folder.path()).output().expect("the program starts");
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("the program speaks UTF-8");
        Run { code: output.status.code(), stdout: text(output.stdout), stderr: text(output.stderr) }
    }

    /// Exit code, stdout and stderr as one text to compare.
    pub fn said(&self) -> String {
        let run = self.run();
        let code = run.code.map_or_else(|| "killed".to_owned(), |c| c.to_string());
        let mut text = run.stdout;
        for line in run.stderr.lines() {
            text += &format!("stderr: {line}\n");
        }
        format!("{text}exit code {code}\n")
    }

    /// The files of a folder beneath the test's, by name.
    pub fn files(&self, folder: &str) -> BTreeMap<String, Vec<u8>> {
        let entries = std::fs::read_dir(self.path(folder)).expect("the folder is there");
        let read = |entry: std::io::Result<std::fs::DirEntry>| {
            let entry = entry.expect("a file that can be listed");
            let bytes = std::fs::read(entry.path()).expect("a file that can be read");
            (entry.file_name().into_string().expect("a name in UTF-8"), bytes)
        };
        entries.map(read).collect()
    }
}

fn words(line: &str) -> Vec<String> {
    line.split_whitespace().map(|word| word.replace('+', " ")).collect()
}
