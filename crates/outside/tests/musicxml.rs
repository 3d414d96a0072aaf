//! MusicXML scores of music21's corpus and of the test suite it carries, read by us and by music21, part by part.

use formats::{ReadError, ReadOptions, read};
use outside::accepted::Accepted;
use outside::compare::{Aspect, by_measure};
use outside::facts::{self, Facts, Part, Tune};

/// How many scores of the corpus, and of the test suite, must have been compared for the check to count.
const AT_LEAST: (usize, usize) = (200, 140);

/// Tablature with strings and frets alone; music21 gives every note the same pitch.
const WITHOUT_PITCHES: [&str; 1] = ["musicxml/testTab.xml"];

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
            let name = format!("{} {}", score.name, part.place);
            let bytes = if part.sounds() { bytes.clone() } else { with_notes_for_rests(&bytes) };
            match read(&bytes, &ReadOptions { tune: None, part: Some(part.place.to_string()) }) {
                Err(ReadError::Unusable(_)) if !part.sounds() => {}
                Err(ReadError::Unusable(_)) if WITHOUT_PITCHES.contains(&score.name.as_str()) => {}
                Err(error) => open.push(format!("{name}: not read: {error}")),
                Ok(imported) => {
                    parts += 1;
                    let differences = by_measure(&imported.sheet, part, chords_for(part, score));
                    let differences = differences.into_iter().filter(|d| part.sounds() || d.aspect != Aspect::Notes).collect::<Vec<_>>();
                    open.extend(differences.iter().filter(|d| !accepted.covers(&name, d)).map(|d| format!("{name}: {d}")));
                }
            }
        }
        if score.file.starts_with("corpus/") { of_corpus += 1 } else { of_suite += 1 }
    }
    println!("{of_corpus} scores of the corpus and {of_suite} of the test suite compared, {parts} parts");
    assert!(of_corpus >= AT_LEAST.0 && of_suite >= AT_LEAST.1, "{of_corpus} and {of_suite} compared, expected at least {AT_LEAST:?}");
    assert!(open.is_empty(), "{} differences:\n{}", open.len(), open.join("\n"));
    assert!(accepted.gone().is_empty(), "listed as accepted but no longer there:\n{}", accepted.gone().join("\n"));
}

/// Files of the test suite that show bar lines, repeats and keys over rests alone are no melodies to us: notes in place of the rests make them some.
fn with_notes_for_rests(bytes: &[u8]) -> Vec<u8> {
    let text = String::from_utf8_lossy(bytes);
    let note = "<pitch><step>G</step><octave>4</octave></pitch>";
    text.replace("<rest/>", note).replace("<rest />", note).replace("<rest measure=\"yes\"/>", note).into_bytes()
}

/// The part with the chord symbols: this one, or else the first that has any.
fn chords_for<'a>(part: &'a Part, score: &'a Tune) -> &'a Part {
    let has_chords = |p: &&Part| p.measures.iter().any(|m| !m.chords.is_empty());
    [part].into_iter().chain(&score.parts).find(has_chords).unwrap_or(part)
}
