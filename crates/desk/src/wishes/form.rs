//! What is wished of the whole: introduction, vamp, interlude, ending, and what becomes of repeats; in the words of the options and of the file of choices.

use crate::failure::Failure;
use arrange::form::{Ending, Form, Length, Repeats, WaysOut};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// The words for it; the same names in the options, in the file beside the tune and on the page. Default: nothing is added, and repeats stay.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct FormWords {
    /// "2" or "4" measures.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub introduction: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub vamp: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub interlude: Option<String>,
    /// "short", "usual" or "fading".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ending: Option<String>,
    /// "kept" or "written-out".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub repeats: Option<String>,
    /// "printed" at the ends of phrases, or only "known".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ways_out: Option<String>,
    /// The verses, from 1, whose left hand lies an octave higher.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub high: Vec<u32>,
    /// The verses, from 1, whose melody the left hand plays, with chords above it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub melody_below: Vec<u32>,
}

impl FormWords {
    /// What the words mean. Errors: a word that is none of them.
    pub fn form(&self) -> Result<Form, Failure> {
        Ok(Form {
            introduction: length("introduction", &self.introduction)?,
            vamp: length("vamp", &self.vamp)?,
            interlude: length("interlude", &self.interlude)?,
            ending: self.ending.as_deref().map(ending).transpose()?,
            repeats: self.repeats.as_deref().map(repeats).transpose()?.unwrap_or_default(),
            ways_out: self.ways_out.as_deref().map(ways_out).transpose()?.unwrap_or_default(),
        })
    }

    /// The verses with a high left hand, counted from 0. Errors: a verse 0.
    pub fn high(&self) -> Result<BTreeSet<usize>, Failure> {
        verses("high", &self.high)
    }

    /// The verses whose melody the left hand plays, counted from 0. Errors: a verse 0; one whose left hand is to lie an octave higher.
    pub fn melody_below(&self) -> Result<BTreeSet<usize>, Failure> {
        let (high, below) = (self.high()?, verses("melody below", &self.melody_below)?);
        match high.intersection(&below).next() {
            None => Ok(below),
            Some(both) => Err(Failure::wrong(format!(
                "verse {}: its left hand plays the melody or lies an octave higher: expected one of the two",
                both + 1
            ))),
        }
    }
}

fn verses(what: &str, counted: &[u32]) -> Result<BTreeSet<usize>, Failure> {
    let all: Option<BTreeSet<usize>> = counted.iter().map(|verse| verse.checked_sub(1).map(|v| v as usize)).collect();
    all.ok_or_else(|| Failure::wrong(format!("{what} \"0\": expected verses counted from 1")))
}

fn length(part: &str, text: &Option<String>) -> Result<Option<Length>, Failure> {
    let Some(text) = text else { return Ok(None) };
    match text.trim() {
        "2" => Ok(Some(Length::Two)),
        "4" => Ok(Some(Length::Four)),
        _ => Err(Failure::wrong(format!("{part} \"{text}\": expected 2 or 4 measures"))),
    }
}

fn ending(text: &str) -> Result<Ending, Failure> {
    match text.trim().to_lowercase().as_str() {
        "short" => Ok(Ending::Short),
        "usual" => Ok(Ending::Usual),
        "fading" => Ok(Ending::Fading),
        _ => Err(Failure::wrong(format!(
            "ending \"{text}\": expected short (one chord), usual (the last two measures once more, slower) or fading (four measures that thin out)"
        ))),
    }
}

fn ways_out(text: &str) -> Result<WaysOut, Failure> {
    match text.trim().to_lowercase().as_str() {
        "known" => Ok(WaysOut::Known),
        "printed" => Ok(WaysOut::Printed),
        _ => Err(Failure::wrong(format!("ways out \"{text}\": expected printed, or known"))),
    }
}

fn repeats(text: &str) -> Result<Repeats, Failure> {
    match text.trim().to_lowercase().as_str() {
        "kept" => Ok(Repeats::Kept),
        "written-out" => Ok(Repeats::WrittenOut),
        _ => Err(Failure::wrong(format!("repeats \"{text}\": expected kept (with their signs) or written-out"))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_the_whole() {
        let words = |ending: &str| FormWords { introduction: Some("4".into()), ending: Some(ending.into()), ..FormWords::default() };
        let form = words("Usual").form();
        assert_eq!(form, Ok(Form { introduction: Some(Length::Four), ending: Some(Ending::Usual), ..Form::default() }));
        assert_eq!(FormWords::default().form(), Ok(Form::default()));
        assert!(words("long").form().is_err_and(|e| e.text().is_some_and(|t| t.starts_with("ending \"long\": expected short"))));
        let three = FormWords { vamp: Some("3".into()), ..FormWords::default() };
        assert_eq!(three.form(), Err(Failure::wrong("vamp \"3\": expected 2 or 4 measures")));
    }
}
