//! Reading a tune from a file, and what there is to say about the reading, with its place.

use crate::failure::Failure;
use formats::musicxml::{self, ImportedScore, ScoreOptions};
use formats::read::{LARGEST_FILE, LARGEST_PAGE};
use formats::{Diagnostic, Imported, ImportedVoices, ReadError, ReadOptions};
use std::io::Read;
use std::path::Path;

/// The most problems of one reading that are printed; the rest is counted.
const MOST_SAID: usize = 12;

/// Reads a tune file; also what it holds.
pub fn tune(path: &Path, options: &ReadOptions) -> Result<(Imported, Vec<u8>), Failure> {
    let bytes = bytes(path, LARGEST_FILE)?;
    let imported = formats::read(&bytes, options).map_err(|error| refused(path, &error))?;
    Ok((imported, bytes))
}

/// Reads all voices of a score.
pub fn voices(path: &Path, options: &ReadOptions) -> Result<ImportedVoices, Failure> {
    let bytes = bytes(path, LARGEST_FILE)?;
    formats::read_voices(&bytes, options).map_err(|error| refused(path, &error))
}

fn refused(path: &Path, error: &ReadError) -> Failure {
    match error {
        ReadError::Unusable(diagnostic) => unusable(path, diagnostic),
        ReadError::NoSuchTune { .. } => Failure::wrong(format!("{}: {error}; --tune takes one of these numbers", path.display())),
        ReadError::NoSuchPart { .. } => {
            Failure::wrong(format!("{}: {error}; --part takes one of these names, or 1 for the first", path.display()))
        }
        ReadError::TooLarge { .. } | ReadError::UnknownFormat => Failure::wrong(format!("{}: {error}", path.display())),
    }
}

/// What hinders the reading, at its place.
fn unusable(path: &Path, diagnostic: &Diagnostic) -> Failure {
    let hint = diagnostic.hint.as_ref().map(|hint| format!(" ({hint})")).unwrap_or_default();
    let place = format!("{}:{}:{}", path.display(), diagnostic.span.line, diagnostic.span.column);
    Failure::in_file(place, format_args!("{}{hint}", diagnostic.message))
}

/// Reads a page of two staves.
pub fn score(path: &Path, options: &ScoreOptions) -> Result<ImportedScore, Failure> {
    let bytes = bytes(path, LARGEST_PAGE)?;
    if !musicxml::looks_like(&bytes) {
        let hint = "arrange a tune first, or give a page of two staves";
        return Err(Failure::wrong(format!("{}: this is not MusicXML, expected .musicxml, .xml or .mxl: {hint}", path.display())));
    }
    musicxml::read_score(&bytes, options).map_err(|error| match error {
        ReadError::Unusable(diagnostic) => unusable(path, &diagnostic),
        ReadError::NoSuchPart { .. } => {
            Failure::wrong(format!("{}: {error}; --part takes one of these names, or 1 for the first", path.display()))
        }
        ReadError::NoSuchTune { .. } | ReadError::TooLarge { .. } | ReadError::UnknownFormat => {
            Failure::wrong(format!("{}: {error}", path.display()))
        }
    })
}

/// The file's bytes, at most one more than may be read.
fn bytes(path: &Path, most: usize) -> Result<Vec<u8>, Failure> {
    let cannot = |error| Failure::world("cannot read", path, &error);
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).map_err(cannot)?;
    file.take(most as u64 + 1).read_to_end(&mut bytes).map_err(cannot)?;
    Ok(bytes)
}

/// "FILE:LINE:COLUMN: warning: …".
pub fn placed(path: &Path, diagnostic: &Diagnostic) -> String {
    format!("{}:{diagnostic}", path.display())
}

/// What is printed of the problems of a text: each message once with the number of its places, and not too many.
pub fn problems(path: &Path, diagnostics: &[Diagnostic]) -> Vec<String> {
    let mut kinds: Vec<(&Diagnostic, usize)> = Vec::new();
    for diagnostic in diagnostics {
        match kinds.iter_mut().find(|(first, _)| first.message == diagnostic.message) {
            Some((_, count)) => *count += 1,
            None => kinds.push((diagnostic, 1)),
        }
    }
    let line = |(first, count): &(&Diagnostic, usize)| match count {
        1 => placed(path, first),
        2 => format!("{}, and once more", placed(path, first)),
        n => format!("{}, and {} times more", placed(path, first), n - 1),
    };
    let mut lines: Vec<String> = kinds.iter().take(MOST_SAID).map(line).collect();
    if kinds.len() > MOST_SAID {
        lines.push(format!("{}: and {} more problems (all of them with --json)", path.display(), kinds.len() - MOST_SAID));
    }
    lines
}
