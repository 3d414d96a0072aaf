//! The tunes of a book as they were named on the command line: files, files of several tunes in ABC, folders of them. A folder's other files are passed over and told.

use super::facts::Facts;
use super::make::{Tunes, Undrawn};
use super::{MOST, Part, count, parts};
use crate::bring;
use crate::failure::Failure;
use crate::job::{Asked, Job, Setup};
use crate::reader::Reader;
use crate::shelf::{self, ENDINGS};
use crate::versions;
use crate::worktable::{Arranged, arranged};
use formats::{ReadError, musicxml};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// One tune before it is read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item {
    pub path: PathBuf,
    /// Where it stands in the text of its file, where that has several.
    pub part: Option<(Arc<str>, Part)>,
}

/// What was found at the places that were named.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Found {
    pub items: Vec<Item>,
    /// Files of folders that are no tunes.
    pub passed_over: Vec<String>,
    /// A folder was named.
    pub folders: usize,
}

impl Found {
    /// Looks at every place. Errors: a folder cannot be read, there are too many tunes.
    pub fn at(places: &[PathBuf]) -> Result<Found, Failure> {
        let mut found = Found::default();
        for place in places {
            if place.is_dir() {
                found.folders += 1;
                found.folder(place)?;
            } else {
                found.file(place)?;
            }
        }
        Ok(found)
    }

    /// A folder's own files by name; those below it are not looked at.
    fn folder(&mut self, folder: &Path) -> Result<(), Failure> {
        let cannot = |error| Failure::world("cannot read the folder", folder, &error);
        let entries = std::fs::read_dir(folder).map_err(cannot)?;
        let mut paths: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).collect();
        paths.sort_by_cached_key(|path| (file_name(path).to_lowercase(), file_name(path)));
        for path in paths {
            let name = file_name(&path);
            let ending = name.rsplit_once('.').map(|(_, ending)| ending.to_lowercase()).unwrap_or_default();
            // What is hidden, and what stands beside tunes, is nobody's concern.
            if name.starts_with('.') || name.contains(".undersong") {
                continue;
            }
            if path.is_file() && ENDINGS.contains(&ending.as_str()) {
                self.file(&path)?;
            } else {
                self.passed_over.push(name);
            }
        }
        Ok(())
    }

    /// A file with its tunes; what cannot be read is told in its turn.
    fn file(&mut self, path: &Path) -> Result<(), Failure> {
        let bytes = shelf::read(path).unwrap_or_default();
        let text: Arc<str> = if bring::may_be_abc(&bytes) { bring::in_letters(&bytes).into() } else { "".into() };
        match parts(&text) {
            Some(parts) => {
                too_many(self.items.len() + count(&text))?;
                self.items.extend(parts.into_iter().map(|part| Item { path: path.to_owned(), part: Some((text.clone(), part)) }));
            }
            None => {
                too_many(self.items.len() + 1)?;
                self.items.push(Item { path: path.to_owned(), part: None });
            }
        }
        Ok(())
    }

    /// What a book of these is called where no title is given: the name of the one file or folder.
    pub fn title(places: &[PathBuf]) -> String {
        let name = |path: &PathBuf| {
            let path = if path.is_dir() { path.canonicalize().unwrap_or_else(|_| path.clone()) } else { path.with_extension("") };
            file_name(&path)
        };
        let only = places.first().filter(|_| places.len() == 1).map(name).unwrap_or_default();
        if only.is_empty() { "Tunes".to_owned() } else { only }
    }
}

fn too_many(tunes: usize) -> Result<(), Failure> {
    if tunes > MOST {
        return Err(Failure::wrong(format!("a book of more than {MOST} tunes: expected at most {MOST}; make several books")));
    }
    Ok(())
}

fn file_name(path: &Path) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

/// How the tunes of a book are arranged.
pub enum Arranging {
    /// All as the options of the command line say.
    Options(Box<Setup>),
    /// Each as its version of this name does.
    Version(String),
}

/// The tunes that were named, with how they are arranged.
pub struct Typed {
    pub items: Vec<Item>,
    pub arranging: Arranging,
}

impl Tunes for Typed {
    fn count(&self) -> usize {
        self.items.len()
    }

    fn page(&self, at: usize) -> Result<Undrawn, Failure> {
        let item = &self.items[at];
        let page =
            |setup: &Setup, job: &Job| Undrawn { musicxml: musicxml::write::write(&job.arrangement.score), facts: Facts::of(setup, job) };
        // A tune without a title is called by its file.
        let name = match &item.part {
            None => file_name(&item.path),
            Some((_, part)) => format!("{} {}", file_name(&item.path.with_extension("")), part.number),
        };
        match &self.arranging {
            Arranging::Options(setup) => Ok(page(setup, &with(setup, &name, &item.bytes()?)?)),
            Arranging::Version(name) => {
                let Arranged { setup, job, .. } = item.version(name)?;
                Ok(page(&setup, &job))
            }
        }
    }

    fn name(&self, at: usize) -> String {
        let item = &self.items[at];
        let file = file_name(&item.path);
        match &item.part {
            None => file,
            Some((text, part)) => match part.title(text) {
                "" => format!("tune {} of {file}", part.number),
                title => format!("{title} (tune {} of {file})", part.number),
            },
        }
    }
}

impl Item {
    fn bytes(&self) -> Result<Vec<u8>, Failure> {
        match &self.part {
            Some((text, part)) => Ok(part.of(text).into_bytes()),
            None => shelf::read(&self.path),
        }
    }

    fn version(&self, name: &str) -> Result<Arranged, Failure> {
        if self.part.is_some() {
            return Err(Failure::wrong("a tune of a file of several has no versions: versions stand beside a tune's own file"));
        }
        let bytes = self.bytes()?;
        let versions = versions::beside(&self.path, &bytes)?;
        let folder = self.path.parent().unwrap_or(Path::new(""));
        let asked = Asked { reader: Reader::CommandLine, ..versions.named(name)?.choices.asked(folder)? };
        arranged(&asked, Path::new(&file_name(&self.path)), &bytes)
    }
}

/// Arranges a tune's bytes as the options say. Errors have no name of a file before them: it stands where they are told.
fn with(setup: &Setup, name: &str, bytes: &[u8]) -> Result<Job, Failure> {
    let mut imported = formats::read(bytes, &setup.options()).map_err(|error| match error {
        ReadError::Unusable(diagnostic) => Failure::wrong(format!("line {}: {}", diagnostic.span.line, diagnostic.message)),
        other => Failure::wrong(other),
    })?;
    let chords = setup.supply(&mut imported, bytes)?;
    if let Some(why) = &chords.unmet {
        return Err(Failure::wrong(why));
    }
    setup.arrange_read(Path::new(name), imported, chords).map_err(|failure| match failure {
        Failure::Wrong(text) => Failure::wrong(text.strip_prefix(&format!("{name}: ")).unwrap_or(&text)),
        other => other,
    })
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::choices::Choices;

    const GATE: &str = "X:1\nT:The Gate\nC:Undersong\nM:4/4\nL:1/4\nQ:1/4=90\nK:D\n\"D\"D F A d|\"A\"c A E C|\"G\"B G d B|\"D\"d4|\n";

    fn setup() -> Setup {
        let choices = Choices { harp: "lever-34".into(), ..Choices::default() };
        Setup::new(&Asked::of(choices)).expect("a harp of the program's own")
    }

    /// A tune in D of four measures.
    pub fn gate() -> (Setup, Job) {
        let setup = setup();
        let job = with(&setup, "gate.abc", GATE.as_bytes()).expect("it can be arranged");
        (setup, job)
    }

    #[test]
    fn files_books_and_folders() {
        let folder = tempfile::tempdir().expect("a folder");
        let write = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).expect("a file");
        write("b.abc", GATE);
        write("A.abc", &format!("{GATE}\n{}", GATE.replace("X:1\nT:The Gate", "X:2\nT:The Wall")));
        write("b.abc.undersong.toml", "");
        write(".hidden.abc", GATE);
        write("notes.txt", "no tune");
        std::fs::create_dir(folder.path().join("below")).expect("a folder");
        let found = Found::at(&[folder.path().to_owned()]).expect("tunes");
        let typed = Typed { items: found.items, arranging: Arranging::Options(Box::new(setup())) };
        let names: Vec<String> = (0..typed.count()).map(|at| typed.name(at)).collect();
        assert_eq!(names, ["The Gate (tune 1 of A.abc)", "The Wall (tune 2 of A.abc)", "b.abc"]);
        assert_eq!(found.passed_over, ["below", "notes.txt"]);
        assert_eq!(typed.page(1).map(|page| page.facts.title), Ok("The Wall".to_owned()));
    }

    #[test]
    fn only_so_many() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("many.abc");
        let tunes = |count: usize| (0..count).map(|n| format!("X:{n}\nK:C\nC|\n")).collect::<String>();
        std::fs::write(&path, tunes(MOST)).expect("a file");
        assert_eq!(Found::at(std::slice::from_ref(&path)).map(|found| found.items.len()), Ok(MOST));
        std::fs::write(&path, tunes(MOST + 1)).expect("a file");
        assert!(Found::at(&[path]).is_err());
    }

    #[test]
    fn mistakes_are_told_without_the_file() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("bad.abc");
        std::fs::write(&path, "X:1\nT:Bad\nK:C\n").expect("a file");
        let items = vec![Item { path, part: None }, Item { path: folder.path().join("none.abc"), part: None }];
        let typed = Typed { items, arranging: Arranging::Options(Box::new(setup())) };
        let why = |at: usize| typed.page(at).map(|_| ()).map_err(|failure| failure.to_string());
        assert!(why(0).is_err_and(|why| !why.contains("bad.abc")), "{:?}", why(0));
        assert!(why(1).is_err_and(|why| why.ends_with("there is no such file or folder")));
    }

    #[test]
    fn a_book_is_called_by_where_its_tunes_are() {
        let title = |places: &[&str]| Found::title(&places.iter().map(PathBuf::from).collect::<Vec<_>>());
        assert_eq!(title(&["evening.abc"]), "evening");
        assert_eq!(title(&["a.abc", "b.abc"]), "Tunes");
        let folder = tempfile::tempdir().expect("a folder");
        std::fs::create_dir(folder.path().join("Harbour tunes")).expect("a folder");
        assert_eq!(Found::title(&[folder.path().join("Harbour tunes")]), "Harbour tunes");
    }
}
