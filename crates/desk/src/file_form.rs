//! The form of a file of hers: a number by which a program knows whether it understands what another version of it wrote.
//!
//! A file without a number is of form 1. One of a newer form is left as it is, byte for byte, and said; what can be read of it may be shown, and nothing is written over
//! it. docs/files.md lists every file with its number.

use crate::failure::Failure;
use crate::toml_file::TomlFile;
use serde::{Deserialize, Serialize};
use toml::Table;

/// The name of the number in the texts that she may write herself.
pub const KEY: &str = "form-of-file";

/// The refusal of a file of a newer form than `known`; `meanwhile` is what does not happen now: "nothing was saved".
pub fn newer(file: &str, form: i64, known: i64, meanwhile: &str) -> Failure {
    Failure::wrong(format!(
        "{file} was written by a newer Undersong (form {form}; this one knows form {known}): it is left as it is, and {meanwhile}. Open it with the newer one"
    ))
}

/// Refuses a text whose number under `key` is above `known`, before anything else of it is looked at. What is no text of this kind is left to its reader to say.
pub fn check(file: &TomlFile, key: &str, known: i64, meanwhile: &str) -> Result<(), Failure> {
    match number(&file.text.parse().unwrap_or_default(), key).filter(|form| *form > known) {
        Some(form) => Err(newer(&file.name, form, known, meanwhile)),
        None => Ok(()),
    }
}

/// The number of a table; `None` where it has none.
pub fn number(table: &Table, key: &str) -> Option<i64> {
    table.get(key).and_then(toml::Value::as_integer)
}

/// A field that takes the number in a table of which every field is known, once [`check()`] has looked at it.
pub type Field = Option<i64>;

/// A file that only the program writes, as JSON: its number, and what it holds.
#[derive(Serialize, Deserialize)]
pub struct Numbered<T> {
    #[serde(default = "first")]
    form: i64,
    #[serde(flatten)]
    held: T,
}

/// Nothing but the number: read before the rest is.
#[derive(Deserialize)]
struct Number {
    #[serde(default = "first")]
    form: i64,
}

fn first() -> i64 {
    1
}

/// The bytes of such a file.
pub fn to_json<T: Serialize>(form: i64, held: &T) -> Vec<u8> {
    serde_json::to_vec(&Numbered { form, held }).expect("texts and numbers have a JSON form")
}

/// Reads such a file; an empty one holds nothing. Errors: it is of a newer form, or cannot be read; `meanwhile` is what does not happen as long as it stands there.
pub fn of_json<T: for<'a> Deserialize<'a>>(file: &str, bytes: &[u8], known: i64, meanwhile: &str) -> Result<Option<T>, Failure> {
    if bytes.trim_ascii().is_empty() {
        return Ok(None);
    }
    let number = serde_json::from_slice(bytes).map(|number: Number| number.form);
    if let Some(form) = number.as_ref().ok().filter(|form| **form > known) {
        return Err(newer(file, *form, known, meanwhile));
    }
    let held = serde_json::from_slice(bytes).map(|numbered: Numbered<T>| Some(numbered.held));
    held.map_err(|_| {
        Failure::wrong(format!(
            "{file} cannot be read (it is damaged, or a newer Undersong wrote it): it is left as it is, and {meanwhile}. Give it another name to begin a new one"
        ))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Option<Vec<i64>>, String> {
        #[derive(Deserialize)]
        struct Held {
            steps: Vec<i64>,
        }
        let held = of_json("a.json", text.as_bytes(), 1, "no steps are kept");
        held.map(|held| held.map(|held: Held| held.steps)).map_err(|failure| failure.to_string())
    }

    #[test]
    fn a_number_is_looked_at_before_anything_else() {
        assert_eq!(read("{\"steps\":[3]}"), Ok(Some(vec![3])), "without a number it is form 1");
        assert_eq!(read("{\"form\":1,\"steps\":[3]}"), Ok(Some(vec![3])));
        let newer = "a.json was written by a newer Undersong (form 2; this one knows form 1): it is left as it is, and no steps are kept. Open it with the newer one";
        assert_eq!(read("{\"form\":2,\"steps\":\"otherwise\"}"), Err(newer.into()));
        let damaged = read("{\"form\":1,\"steps\":[3").expect_err("it is cut off");
        assert!(damaged.starts_with("a.json cannot be read (it is damaged, or a newer Undersong wrote it)"), "{damaged}");
        assert_eq!((read(""), read(" \n")), (Ok(None), Ok(None)));
        let own: serde_json::Value = serde_json::from_slice(&to_json(1, &serde_json::json!({"steps": [3]}))).expect("our own text");
        assert_eq!(own, serde_json::json!({"form": 1, "steps": [3]}));
    }

    #[test]
    fn a_text_of_a_newer_form_is_refused_before_its_fields() {
        let check = |text: &str| check(&TomlFile { name: "h.toml".into(), text: text.into() }, KEY, 1, "it is not played on");
        assert!(check("form-of-file = 2\nfootrest = true\n").is_err_and(|e| e.to_string().contains("(form 2; this one knows form 1)")));
        for left_to_its_reader in ["", "form-of-file = 1\n", "name = \"x\"\n", "form-of-file = \"two\"\n", "no table"] {
            assert_eq!(check(left_to_its_reader), Ok(()), "{left_to_its_reader}");
        }
    }
}
