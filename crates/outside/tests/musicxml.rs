//! MusicXML scores of music21's corpus and of the test suite it carries, read by us and by music21, part by part.

use formats::{ReadOptions, read};
use outside::accepted::Accepted;
use outside::compare::by_measure;
use outside::facts::{self, Facts};

/// How many scores of the corpus, and of the test suite, must have been compared for the check to count.
const AT_LEAST: usize = 100;

#[test]
fn scores_read_as_music21_reads_them() {
    let facts: Facts = facts::load("musicxml");
    let mut accepted = Accepted::load("musicxml");
    let (mut of_corpus, mut of_suite, mut parts) = (0, 0, 0);
    let mut open = Vec::new();
    for score in facts.tunes.iter().filter(|s| s.error.is_none()) {
        let path = facts.root.join(&score.file);
        let bytes = std::fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        for part in score.parts.iter().filter(|p| p.staff == 1) {
            let name = format!("{} {}", score.file, part.place);
            match read(&bytes, &ReadOptions { tune: None, part: Some(part.place.to_string()) }) {
                Err(error) => open.push(format!("{name}: not read: {error}")),
                Ok(imported) => {
                    parts += 1;
                    let differences = by_measure(&imported.sheet, part);
                    open.extend(differences.iter().filter(|d| !accepted.covers(&name, d)).map(|d| format!("{name}: {d}")));
                }
            }
        }
        if score.file.starts_with("corpus/") { of_corpus += 1 } else { of_suite += 1 }
    }
    println!("{of_corpus} scores of the corpus and {of_suite} of the test suite compared, {parts} parts");
    assert!(of_corpus >= AT_LEAST && of_suite >= AT_LEAST, "{of_corpus} and {of_suite} compared, expected at least {AT_LEAST}");
    assert!(open.is_empty(), "{} differences:\n{}", open.len(), open.join("\n"));
    assert!(accepted.gone().is_empty(), "listed as accepted but no longer there:\n{}", accepted.gone().join("\n"));
}
