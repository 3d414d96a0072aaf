//! Everything brought back into a folder of tunes: first it is told what is new, what is there already and what is there with other contents; nothing is written over unless she says so.

use super::Everything;
use crate::failure::Failure;
use crate::plain_file;
use crate::practice::diary::Diary;
use crate::practice::diary::texts::{Brought, Others};
use crate::save::Standing;
use crate::shelf::Shelf;
use serde::Serialize;

/// What bringing it in does, or would do.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Comparison {
    pub new: Vec<String>,
    pub same: Vec<String>,
    /// There with other contents.
    pub other: Vec<String>,
    pub diary: Brought,
    pub left_out: Vec<String>,
}

impl Everything {
    /// What bringing it in would do. Errors: a file that is there cannot be read.
    pub fn compare(&self, shelf: &Shelf) -> Result<Comparison, Failure> {
        let mut done =
            Comparison { diary: Diary::of(shelf).compare(&self.diary)?, left_out: self.left_out.clone(), ..Comparison::default() };
        for (path, bytes) in &self.files {
            let there = shelf.folder().join(path);
            let list = match std::fs::symlink_metadata(&there) {
                Err(_) => &mut done.new,
                Ok(_) if plain_file::bytes(&there, super::LARGEST).is_ok_and(|b| b == *bytes) => &mut done.same,
                Ok(_) => &mut done.other,
            };
            list.push(path.clone());
        }
        Ok(done)
    }

    /// Brings in what is new, and what is there with other contents only if that is replaced. Errors: the disk does not take it; brought in once more, it goes on from there.
    pub fn bring_in(&self, shelf: &Shelf, others: Others) -> Result<Comparison, Failure> {
        let done = self.compare(shelf)?;
        // What was practised first: tunes that are there already are then no reason to think that all is done.
        Diary::of(shelf).bring_in(&self.diary, others)?;
        for path in &done.new {
            shelf.bring(path, &self.files[path], Standing::Stays)?;
        }
        if others == Others::AreReplaced {
            for path in &done.other {
                shelf.bring(path, &self.files[path], Standing::Replaced)?;
            }
        }
        Ok(done)
    }
}

impl Comparison {
    /// In words, a line for each thing. `done` says whether it was brought in, or would be.
    pub fn said(&self, done: Done) -> String {
        let verb = match done {
            Done::Looked => "would come in",
            Done::New | Done::All => "came in",
        };
        let mut text = String::new();
        let mut list = |files: &[String], words: &str| {
            if !files.is_empty() {
                text += &format!("{} {words}:\n", counted(files));
                files.iter().for_each(|file| text += &format!("  {file}\n"));
            }
        };
        list(&self.new, verb);
        list(
            &self.other,
            match done {
                Done::Looked => "there with other contents, which would stay",
                Done::New => "there with other contents, which stayed",
                Done::All => "there with other contents, now replaced",
            },
        );
        list(&self.left_out, "left out: nothing that belongs in a folder of tunes");
        if !self.same.is_empty() {
            text += &format!("{} there already, the same.\n", counted(&self.same));
        }
        let Brought { new, same, other } = self.diary;
        if new + same + other > 0 {
            let others = match (other, done) {
                (0, _) => String::new(),
                (n, Done::All) => format!(", {n} replaced"),
                (n, _) => format!(", {n} there with other contents and left"),
            };
            text += &format!("Diary: {new} new, {same} there already{others}.\n");
        }
        if text.is_empty() { "There is nothing in it to bring in.\n".into() } else { text }
    }
}

fn counted(files: &[String]) -> String {
    if files.len() == 1 { "1 file".into() } else { format!("{} files", files.len()) }
}

/// What was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Done {
    /// Nothing: it was only looked at.
    Looked,
    New,
    All,
}

#[cfg(test)]
mod tests {
    use super::super::{written, zipped};
    use super::*;
    use crate::practice::diary::Moment;
    use crate::practice::diary::kept::Resting;
    use crate::practice::diary::stays::Stay;
    use crate::practice::record::{Change, Keeper, Practised};
    use crate::save::RealDisk;
    use std::path::Path;

    fn shelf(folder: &Path) -> Shelf {
        Shelf::open(folder, Box::new(RealDisk)).expect("a shelf")
    }

    /// A folder with a file of every kind.
    fn hers(folder: &Path) -> Shelf {
        let files: [(&str, &[u8]); 11] = [
            ("Mórag's Song.abc", b"X:1\nK:C\nC|\n"),
            ("Mórag's Song.abc.undersong.toml", b"harp = \"lever-34\"\n"),
            ("Mórag's Song.abc.undersong-history.json", b"{}"),
            ("Mórag's Song.abc.undersong-recording.json", b"{}"),
            ("old.mxl", &[b'P', b'K', 0, 255, 254]),
            ("old.mxl.undersong-practice.toml", b"at = \"roots\"\n"),
            ("undersong.toml", b""),
            ("my harp.toml", b"name = \"x\"\n"),
            ("figures.txt", b"# none\n"),
            ("Saturday.undersong-set.toml", b"tunes = []\n"),
            ("song.wav", b"RIFF"),
        ];
        for (name, bytes) in files {
            std::fs::write(folder.join(name), bytes).expect("a file");
        }
        std::fs::write(folder.join("gone.abc"), "X:1\nK:D\nD|\n").expect("a tune");
        let shelf = shelf(folder);
        let diary = Diary::of(&shelf);
        let moment = Moment::of(1_795_687_200_000, "2026-11-26").expect("a moment");
        for tune in ["Mórag's Song.abc", "gone.abc"] {
            let practised =
                Practised { at: Some("roots".into()), steps: [("roots".to_owned(), "passed".to_owned())].into(), ..Practised::default() };
            diary.keep(&Change { tune, tune_title: "A, \"B\"", practised: &practised, title_of: &str::to_owned, moment }).expect("kept");
            let stay = Stay {
                day: "2026-11-26".into(),
                began: moment.millis(),
                tune: tune.into(),
                tune_title: "A, \"B\"".into(),
                what: "step".into(),
                title: "Roots".into(),
                seconds: 600,
                beats: Some(72),
                percent: Some(80),
            };
            diary.stay(&stay).expect("kept");
        }
        diary.rest("Mórag's Song.abc", "A, \"B\"", Resting::Yes).expect("kept");
        shelf.to_bin("gone.abc").expect("into the bin");
        shelf
    }

    #[test]
    fn everything_comes_back_byte_for_byte() {
        let (one, two, three, plain) = [(); 4].map(|()| tempfile::tempdir().expect("a folder")).into();
        let from = hers(one.path());
        let everything = Everything::of(&from).expect("it can be read");
        assert_eq!(everything.left_out, ["song.wav"]);
        assert_eq!(everything.said(), "2 tunes, 9 other files and a diary of 6 entries");
        assert!(everything.diary.stays.iter().any(|s| s.tune == "bin/gone.abc"), "what was practised went into the bin with its tune");
        let zip = zipped::zip(&everything).expect("an archive");
        let into = shelf(two.path());
        let done = zipped::unzip(&zip).expect("our own archive").bring_in(&into, Others::Stay).expect("it comes in");
        assert_eq!((done.new.len(), done.same.len(), done.other.len(), done.diary), (11, 0, 0, Brought { new: 6, same: 0, other: 0 }));
        for path in everything.files.keys() {
            let bytes = |folder: &Path| std::fs::read(folder.join(path)).expect("a file");
            assert_eq!(bytes(one.path()), bytes(two.path()), "{path}");
        }
        assert_eq!(zipped::zip(&Everything::of(&into).expect("it can be read")).expect("an archive"), zip, "the same bytes again");
        assert_eq!(into.back("gone.abc").as_deref(), Ok("gone.abc"));
        assert_eq!(Diary::of(&into).read("gone.abc").expect("kept").at.as_deref(), Some("roots"));
        // And by way of a folder.
        let folder = plain.path().join("everything");
        written::write(&everything, &folder).expect("it is written");
        assert!(written::write(&everything, &folder).is_err(), "nothing is written over");
        let third = shelf(three.path());
        written::read(&folder).expect("it can be read").bring_in(&third, Others::Stay).expect("it comes in");
        assert_eq!(zipped::zip(&Everything::of(&third).expect("it can be read")).expect("an archive"), zip);
    }

    #[test]
    fn nothing_is_written_over_by_itself() {
        let (one, two) = [(); 2].map(|()| tempfile::tempdir().expect("a folder")).into();
        let everything = Everything::of(&hers(one.path())).expect("it can be read");
        let into = shelf(two.path());
        everything.bring_in(&into, Others::Stay).expect("it comes in");
        std::fs::write(two.path().join("figures.txt"), "# mine\n").expect("a file");
        std::fs::remove_file(two.path().join("undersong.toml")).expect("it was there");
        let shorter = Stay { seconds: 60, ..everything.diary.stays[0].clone() };
        Diary::of(&into).stay(&shorter).expect("kept");
        let would = everything.compare(&into).expect("it is compared");
        assert_eq!((would.new.as_slice(), would.other.as_slice()), (&["undersong.toml".to_owned()][..], &["figures.txt".to_owned()][..]));
        assert_eq!(would.diary, Brought { new: 0, same: 5, other: 1 });
        assert!(!two.path().join("undersong.toml").exists(), "looking brings nothing in");
        everything.bring_in(&into, Others::Stay).expect("it comes in");
        assert_eq!(std::fs::read(two.path().join("figures.txt")).expect("a file"), b"# mine\n");
        assert!(Diary::of(&into).stays("").expect("stays").contains(&shorter));
        let done = everything.bring_in(&into, Others::AreReplaced).expect("it comes in");
        assert_eq!(done.said(Done::All).lines().next(), Some("1 file there with other contents, now replaced:"));
        assert_eq!(std::fs::read(two.path().join("figures.txt")).expect("a file"), b"# none\n");
        assert_eq!(Everything::of(&into).expect("read").diary, everything.diary);
    }
}
