//! A tune with one version in one file: the tune as it is, and at its end what was chosen for it, in lines that every other program passes over. Brought into a folder, it opens
//! with those choices.
//!
//! In ABC they are lines that begin with a percent sign, which are remarks (ABC standard 2.1, section 2.2.5); in MusicXML one comment after the score (XML 1.0, section 2.5).

use crate::failure::Failure;
use formats::musicxml;
use formats::read::LARGEST_FILE;

const LINE: &str = "%undersong ";
const BEGINS: &str = "<!--undersong\n";
const ENDS: &str = "-->";

/// What a tune's file ends in when a version is taken home with it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Alone {
    pub text: String,
    pub ending: &'static str,
}

/// The tune with the choices as its last lines. Errors: a packed score that cannot be unpacked, letters that are not UTF-8 in MusicXML.
pub fn with(bytes: &[u8], choices: &str) -> Result<Alone, Failure> {
    let unpacked = musicxml::unpacked(bytes, LARGEST_FILE as u64).map_err(Failure::wrong)?;
    if !musicxml::looks_like(&unpacked) {
        let tune = without_lines(&crate::bring::in_letters(bytes));
        let lines: String = choices.lines().map(|line| format!("{LINE}{line}\n")).collect();
        let gap = if tune.ends_with('\n') { "" } else { "\n" };
        return Ok(Alone { text: format!("{tune}{gap}{lines}"), ending: "abc" });
    }
    let text = String::from_utf8(unpacked.into_owned())
        .map_err(|_| Failure::wrong("the score is not written in UTF-8: save it so in the program it comes from, then take it home"))?;
    let score = text.rfind(BEGINS).map_or(text.as_str(), |at| &text[..at]).trim_end();
    // Two hyphens end a comment too soon.
    let safe = choices.replace("--", "-\\u002D");
    Ok(Alone { text: format!("{score}\n{BEGINS}{safe}{ENDS}\n"), ending: "musicxml" })
}

/// The choices that came with a tune.
pub fn found(bytes: &[u8]) -> Option<String> {
    let text = std::str::from_utf8(bytes).ok()?;
    if let Some((_, rest)) = text.rsplit_once(BEGINS) {
        return Some(rest.split(ENDS).next()?.to_owned());
    }
    let lines: Vec<&str> = text.lines().filter_map(|line| line.strip_prefix(LINE.trim_end())).collect();
    (!lines.is_empty()).then(|| lines.iter().map(|line| format!("{}\n", line.strip_prefix(' ').unwrap_or(line))).collect())
}

fn without_lines(text: &str) -> String {
    text.split_inclusive('\n').filter(|line| !line.starts_with(LINE.trim_end())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::choices::Choices;
    use crate::versions::Versions;

    const ABC: &str = "X:1\nT:The Door\nK:C\n\"C\"C4|";
    const XML: &str = "<?xml version=\"1.0\"?>\n<score-partwise version=\"4.0\"><part-list/></score-partwise>\n";

    #[test]
    fn the_choices_come_back() {
        let choices = Choices { key: Some("G".into()), sound: Some("a--b.sf2".into()), ..Choices::default() };
        let text = Versions::of_one(choices.clone()).toml();
        for (tune, ending) in [(ABC, "abc"), (XML, "musicxml")] {
            let alone = with(tune.as_bytes(), &text).expect("a tune");
            assert_eq!(alone.ending, ending);
            assert!(alone.text.starts_with(tune.trim_end()));
            let back = found(alone.text.as_bytes()).expect("what was chosen");
            let read = crate::versions::file::read(&crate::toml_file::TomlFile { name: "a.abc".into(), text: back.clone() })
                .expect("our own text");
            assert_eq!(read.first().choices, choices);
            // Taken home once more, it does not grow.
            assert_eq!(with(alone.text.as_bytes(), &text), Ok(alone));
        }
        assert_eq!(found(ABC.as_bytes()), None);
    }

    #[test]
    fn other_readers_pass_over_them() {
        let alone = with(ABC.as_bytes(), &Versions::of_one(Choices::default()).toml()).expect("a tune");
        let [was, is] =
            [ABC.as_bytes(), alone.text.as_bytes()].map(|bytes| formats::read(bytes, &formats::ReadOptions::default()).expect("a tune"));
        assert_eq!(was.sheet, is.sheet);
        assert!(is.diagnostics.iter().all(|d| was.diagnostics.contains(d)), "{:?}", is.diagnostics);
    }
}
