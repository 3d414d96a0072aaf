//! Taking a tune's file into her folder: what kind of file it is by its bytes, the tunes of a book one by one, and a file that was opened from elsewhere. The page's own way in is
//! `server::shelf`.

use crate::book;
use crate::failure::Failure;
use crate::shelf::{self, ENDINGS, Shelf};
use formats::read::LARGEST_FILE;
use formats::{Diagnostic, Imported, ReadError, ReadOptions, Severity, Span};
use std::collections::BTreeMap;
use std::fmt;
use std::path::Path;

/// Why a file is not taken in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoTune {
    TooLarge,
    Empty,
    /// Its name ends like another kind of file.
    OtherFile,
    /// Packed, and without a score that can be read.
    Damaged,
    /// Bytes that are no letters.
    NoText,
}

impl NoTune {
    /// What to bring instead, where that helps.
    pub fn hint(self) -> Option<&'static str> {
        match self {
            NoTune::TooLarge | NoTune::Empty => None,
            NoTune::OtherFile | NoTune::Damaged | NoTune::NoText => Some("bring a tune as .abc, .musicxml, .xml or .mxl"),
        }
    }
}

impl fmt::Display for NoTune {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoTune::TooLarge => write!(f, "the file is larger than {} MiB, the most that is read", LARGEST_FILE / (1024 * 1024)),
            NoTune::Empty => f.write_str("there is no text in it"),
            NoTune::OtherFile => f.write_str("this is not a file with a tune"),
            NoTune::Damaged => f.write_str("this packed file is damaged or holds no score"),
            NoTune::NoText => f.write_str("this is neither text nor a packed score"),
        }
    }
}

/// The ending by what the bytes are. A file that is no text and no packed score, or has another ending, is refused; a text with mistakes is kept.
pub fn ending(name: Option<&str>, bytes: &[u8]) -> Result<&'static str, NoTune> {
    if bytes.len() > LARGEST_FILE {
        return Err(NoTune::TooLarge);
    }
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(NoTune::Empty);
    }
    let given = name.and_then(|n| n.rsplit_once('.')).map(|(_, e)| e.to_lowercase());
    if given.as_deref().is_some_and(|e| !ENDINGS.contains(&e) && e != "txt") {
        return Err(NoTune::OtherFile);
    }
    let packed = bytes.starts_with(b"PK");
    if formats::musicxml::looks_like(bytes) {
        if read(bytes).is_err() && packed {
            return Err(NoTune::Damaged);
        }
        return Ok(if packed { "mxl" } else { "musicxml" });
    }
    let wide = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
    let unreadable = bytes.iter().filter(|b| **b < 9 || (14..32).contains(*b)).count();
    if !wide && unreadable > 0 { Err(NoTune::NoText) } else { Ok("abc") }
}

/// Reads a tune; what makes it unusable becomes a problem at its place.
pub fn read(bytes: &[u8]) -> Result<Imported, Diagnostic> {
    formats::read(bytes, &ReadOptions::default()).map_err(|error| match error {
        ReadError::Unusable(diagnostic) => diagnostic,
        other => Diagnostic {
            severity: Severity::Error,
            span: Span { line: 1, column: 1, width: 1 },
            message: other.to_string(),
            hint: Some("a tune in ABC begins with the lines X:1, T: its title, M: its meter, L:1/8 and K: its key".into()),
        },
    })
}

/// Everything there is to say about the reading.
pub fn problems(bytes: &[u8]) -> Vec<Diagnostic> {
    match read(bytes) {
        Ok(imported) => imported.diagnostics,
        Err(problem) => vec![problem],
    }
}

/// UTF-8, else Latin-1, which has a letter for every byte.
pub fn in_letters(bytes: &[u8]) -> String {
    match std::str::from_utf8(bytes) {
        Ok(text) => text.trim_start_matches('\u{feff}').to_owned(),
        Err(_) => bytes.iter().map(|b| char::from(*b)).collect(),
    }
}

/// The texts of a book's tunes; `None` for what is no book in ABC.
pub fn book(bytes: &[u8]) -> Option<Vec<String>> {
    if may_be_abc(bytes) { book::tunes(&in_letters(bytes)) } else { None }
}

/// Neither packed nor MusicXML.
pub fn may_be_abc(bytes: &[u8]) -> bool {
    !bytes.starts_with(b"PK") && !formats::musicxml::looks_like(bytes)
}

/// The name, without its ending, that a tune of a book gets: its title.
pub fn titled(tune: &str) -> String {
    read(tune.as_bytes()).map(|i| i.sheet.words.title).unwrap_or_default()
}

/// Takes a file from elsewhere in, and says under which names its tunes stand in the folder. What stands there already, to the byte, is not taken in twice. Errors: it is no tune, or
/// the folder cannot be written.
pub fn file(shelf: &Shelf, path: &Path) -> Result<Vec<String>, Failure> {
    let bytes = shelf::read(path)?;
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let no_tune = |why: NoTune| {
        let hint = why.hint().map(|hint| format!(": {hint}")).unwrap_or_default();
        Failure::wrong(format!("{}: {why}{hint}", path.display()))
    };
    let ending = ending(Some(&name), &bytes).map_err(no_tune)?;
    let there = there(shelf)?;
    let take_in = |stem: &str, ending: &str, bytes: &[u8]| match there.get(bytes) {
        Some(id) => Ok(id.clone()),
        None => shelf.take_in(stem, ending, bytes),
    };
    match book(&bytes) {
        Some(tunes) => tunes.iter().map(|tune| take_in(&titled(tune), "abc", tune.as_bytes())).collect(),
        None => Ok(vec![take_in(name.rsplit_once('.').map_or(&name[..], |(stem, _)| stem), ending, &bytes)?]),
    }
}

/// The tunes of the folder by their bytes.
fn there(shelf: &Shelf) -> Result<BTreeMap<Vec<u8>, String>, Failure> {
    let tunes = shelf.tunes()?.into_iter().rev();
    Ok(tunes.filter_map(|tune| Some((shelf.bytes(&tune.id).ok()?, tune.id))).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::save::RealDisk;

    const TIDE: &str = "X:1\nT:The Tide Table\nM:4/4\nL:1/4\nK:C\n\"C\"c d e c|]\n";

    fn shelf() -> (tempfile::TempDir, Shelf) {
        let folder = tempfile::tempdir().expect("a folder");
        let shelf = Shelf::open(&folder.path().join("Undersong"), Box::new(RealDisk)).expect("a shelf");
        (folder, shelf)
    }

    #[test]
    fn a_file_from_elsewhere_comes_in_once() {
        let (folder, shelf) = shelf();
        let from = folder.path().join("tide.abc");
        std::fs::write(&from, TIDE).expect("a tune elsewhere");
        for _ in 0..2 {
            assert_eq!(file(&shelf, &from), Ok(vec!["tide.abc".to_owned()]));
        }
        // Another tune of that name keeps out of the way of the first.
        std::fs::write(&from, TIDE.replace("c d e c", "e d c2")).expect("a tune elsewhere");
        assert_eq!(file(&shelf, &from), Ok(vec!["tide 2.abc".to_owned()]));
        assert_eq!(shelf.bytes("tide.abc").as_deref(), Ok(TIDE.as_bytes()));
    }

    #[test]
    fn a_book_comes_in_as_its_tunes_and_once() {
        let (folder, shelf) = shelf();
        let from = folder.path().join("book.abc");
        std::fs::write(&from, format!("{TIDE}\n{}", TIDE.replace("X:1\nT:The Tide Table", "X:2\nT:Low Tide"))).expect("a book elsewhere");
        for _ in 0..2 {
            assert_eq!(file(&shelf, &from), Ok(vec!["The Tide Table.abc".to_owned(), "Low Tide.abc".to_owned()]));
        }
    }

    #[test]
    fn what_is_no_tune_is_said() {
        let (folder, shelf) = shelf();
        for (name, bytes, why) in [
            ("picture.png", &b"\x89PNG"[..], "this is not a file with a tune: bring a tune as .abc, .musicxml, .xml or .mxl"),
            ("tide.abc", b"  \n", "there is no text in it"),
            ("tide.abc", b"\x01\x02", "this is neither text nor a packed score: bring a tune as .abc, .musicxml, .xml or .mxl"),
        ] {
            let from = folder.path().join(name);
            std::fs::write(&from, bytes).expect("a file elsewhere");
            assert_eq!(file(&shelf, &from), Err(Failure::wrong(format!("{}: {why}", from.display()))));
        }
        assert_eq!(shelf.tunes().map(|tunes| tunes.len()), Ok(0));
    }
}
