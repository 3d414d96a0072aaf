//! The file of choices with its versions: read with what it has that this program does not know, and written so that this stays.

use super::{FIRST, Version, Versions};
use crate::choices::{Choices, fields_of};
use crate::failure::Failure;
use crate::file_form;
use crate::plain_file;
use crate::toml_file::TomlFile;
use serde::{Deserialize, Serialize};
use std::path::Path;
use toml::Spanned;
use toml::de::{DeTable, DeValue, Deserializer};
use toml::{Table, Value};

/// The newest form of the file that is known here. A file without a number is of form 1.
pub const FORM: i64 = 1;
const HEAD: &str = "# What you chose for this tune in Undersong. You may change it here; the page takes it over.\n";

/// What the file has that is not known here, in its own tables.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Unknown(Table);

impl Unknown {
    /// The names, those of fields within a table with a full stop: "player.stool".
    pub fn names(&self) -> Vec<String> {
        let inside = |name: &String, value: &Value| match value {
            Value::Table(table) if fields_of(name).is_some() => table.keys().map(|k| format!("{name}.{k}")).collect(),
            _ => vec![name.clone()],
        };
        self.0.iter().flat_map(|(name, value)| inside(name, value)).collect()
    }
}

/// A text of choices that stands in another file.
pub fn named(file: &str, text: String) -> TomlFile {
    TomlFile { name: format!("{file}, what was chosen for it"), text }
}

/// Reads a file; `name` is its name for messages.
pub fn open(path: &Path, name: String) -> Result<Versions, Failure> {
    let mut file = TomlFile::open(path)?;
    file.name = name;
    read(&file)
}

/// Reads the text. Errors: a mistake, said with its place.
pub fn read(file: &TomlFile) -> Result<Versions, Failure> {
    let wrong = |error: toml::de::Error| file.wrong(&error.span().unwrap_or(0..0), error.message().trim_end().replace('\n', ": "));
    let whole = DeTable::parse(&file.text).map_err(wrong)?;
    let (span, table) = (whole.span(), whole.into_inner());
    let (mut first, mut form, mut name, mut others) = (Vec::new(), None, FIRST.to_owned(), Vec::new());
    for (key, value) in table {
        match key.get_ref().as_ref() {
            file_form::KEY => form = i64::deserialize(value_of(value)).map(Some).map_err(wrong)?,
            "name" => name = String::deserialize(value_of(value)).map_err(wrong)?,
            "version" => others.push(value),
            _ => first.push((key, value)),
        }
    }
    let newer = form.filter(|form| *form > FORM);
    let mut all = vec![version(name, Spanned::new(span, first), newer).map_err(wrong)?];
    for value in others {
        let place = value.span();
        let DeValue::Array(tables) = value.into_inner() else {
            return Err(file.wrong(&place, "versions are written as [[version]], each with its name"));
        };
        for table in tables {
            let place = table.span();
            let DeValue::Table(fields) = table.into_inner() else {
                return Err(file.wrong(&place, "a version is a table with its name"));
            };
            let (names, fields): (Vec<Field>, Vec<Field>) = fields.into_iter().partition(|(key, _)| key.get_ref() == "name");
            let Some((_, name)) = names.into_iter().next() else {
                return Err(file.wrong(&place, "this version has no name: expected a line as name = \"for the pupil\""));
            };
            let (at, name) = (name.span(), String::deserialize(value_of(name)).map_err(wrong)?);
            if name.trim().is_empty() || all.iter().any(|v: &Version| v.name == name) {
                return Err(file.wrong(&at, format!("there are two versions \"{name}\": each has a name of its own")));
            }
            all.push(version(name, Spanned::new(place, fields), newer).map_err(wrong)?);
        }
    }
    Ok(Versions::new(all, newer))
}

type Field<'a> = (Spanned<std::borrow::Cow<'a, str>>, Spanned<DeValue<'a>>);

fn value_of(value: Spanned<DeValue<'_>>) -> toml::de::ValueDeserializer<'_> {
    value.into()
}

/// One version's fields: those that are known are its choices, the others stay as they are.
fn version(name: String, fields: Spanned<Vec<Field<'_>>>, newer: Option<i64>) -> Result<Version, toml::de::Error> {
    let span = fields.span();
    let (mut known, mut unknown) = (DeTable::new(), Table::new());
    for (key, value) in fields.into_inner() {
        let field = key.get_ref().to_string();
        let Some(inside) = inside(&field) else {
            if is_known(&field) {
                known.insert(key, value);
            } else {
                unknown.insert(field, Value::deserialize(value_of(value))?);
            }
            continue;
        };
        let place = value.span();
        let DeValue::Table(table) = value.into_inner() else {
            return Err(serde::de::Error::custom(format!("{field}: expected a table")));
        };
        let (mut here, mut strange) = (DeTable::new(), Table::new());
        for (key, value) in table {
            if inside.contains(&key.get_ref().as_ref()) {
                here.insert(key, value);
            } else {
                strange.insert(key.get_ref().to_string(), Value::deserialize(value_of(value))?);
            }
        }
        if !strange.is_empty() {
            unknown.insert(field, Value::Table(strange));
        }
        known.insert(key, Spanned::new(place, DeValue::Table(here)));
    }
    let choices = Choices::deserialize(Deserializer::from(Spanned::new(span, known)));
    // A newer form may mean something else by a name that is known here.
    let choices = if newer.is_some() { choices.unwrap_or_default() } else { choices? };
    Ok(Version { name, choices, unknown: Unknown(unknown) })
}

fn is_known(field: &str) -> bool {
    fields_of("").is_some_and(|fields| fields.contains(&field))
}

/// The fields of a table whose fields are known.
fn inside(table: &str) -> Option<&'static [&'static str]> {
    fields_of(table).filter(|_| !table.is_empty())
}

/// Whether the text will be read again. Errors: it would be too large.
pub fn check_size(text: &str) -> Result<(), Failure> {
    let most = plain_file::SETTINGS;
    if text.len() as u64 <= most.bytes {
        return Ok(());
    }
    let help = "nothing was saved; take some changes by hand, chord symbols, held figures or versions back";
    Err(Failure::wrong(format!("your choices for this tune would fill more than {}, the most that is read again: {help}", most.said())))
}

impl Versions {
    /// As the file beside the tune: its form, the first version, the others.
    pub fn toml(&self) -> String {
        let first = self.first();
        let name = (first.name != FIRST).then(|| format!("name = {}\n", Value::String(first.name.clone())));
        let mut text = format!("{HEAD}{} = {FORM}\n\n{}{}", file_form::KEY, name.unwrap_or_default(), body(first));
        for other in &self.all()[1..] {
            let mut table = table(other);
            table.insert("name".into(), Value::String(other.name.clone()));
            let versions = Table::from_iter([("version".to_owned(), Value::Array(vec![Value::Table(table)]))]);
            text += &format!("\n{}", toml::to_string(&versions).expect("tables have a TOML form"));
        }
        text
    }

    /// One version as a text of its own: it is the first there.
    pub fn alone(&self, name: &str) -> Result<String, Failure> {
        let Version { choices, unknown, .. } = self.named(name)?.clone();
        Ok(Versions::new(vec![Version { name: name.to_owned(), choices, unknown }], None).toml())
    }
}

fn body(version: &Version) -> String {
    if version.unknown == Unknown::default() {
        return version.choices.body();
    }
    toml::to_string(&table(version)).expect("tables have a TOML form")
}

/// A version's choices with what is not known here.
fn table(version: &Version) -> Table {
    let Ok(Value::Table(mut table)) = Value::try_from(&version.choices) else { unreachable!("choices are a table") };
    for (name, value) in &version.unknown.0 {
        match (table.get_mut(name), value) {
            (Some(Value::Table(there)), Value::Table(strange)) => there.extend(strange.clone()),
            _ => drop(table.insert(name.clone(), value.clone())),
        }
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(text: &str) -> TomlFile {
        TomlFile { name: "a.abc.undersong.toml".into(), text: text.into() }
    }

    fn says(text: &str) -> String {
        read(&file(text)).expect_err("a mistake").text().unwrap_or_default().to_owned()
    }

    /// As 0.2.0 wrote it, before there were versions.
    const OLD: &str = include_str!("../../tests/versions/before-versions.toml");
    const SEVERAL: &str = include_str!("../../tests/versions/several.toml");

    #[test]
    fn a_file_of_before_reads_and_is_written_as_it_was_with_its_form() {
        let versions = read(&file(OLD)).expect("an old file");
        assert_eq!((versions.several(), versions.first().name.as_str()), (false, FIRST));
        assert_eq!(versions.first().choices.holds.get("5").map(String::as_str), Some("open-fifth"));
        assert_eq!(versions.toml().replace("form-of-file = 1\n", ""), OLD);
        assert_eq!(versions.toml(), versions.first().choices.toml());
    }

    #[test]
    fn what_is_not_known_is_said_and_stays() {
        let versions = read(&file(SEVERAL)).expect("a file with versions");
        let names: Vec<&str> = versions.all().iter().map(|v| v.name.as_str()).collect();
        assert_eq!(names, ["for me", "for the pupil"]);
        assert_eq!(
            versions.said("for me"),
            [
                "The file of your choices has \"player.stool\", \"sheen\", which Undersong does not know: they are passed over and left in the file."
            ]
        );
        assert_eq!(
            versions.said("for the pupil"),
            ["The file of your choices has \"colour\", which Undersong does not know: it is passed over and left in the file."]
        );
        let again = read(&file(&versions.toml())).expect("our own text");
        assert_eq!(again, versions);
        assert_eq!(again.toml(), versions.toml());
        assert!(
            versions.toml().contains("stool = 46")
                && versions.toml().contains("sheen = [1, 2]")
                && versions.toml().contains("colour = \"blue\"")
        );
        let alone = read(&file(&versions.alone("for the pupil").expect("it is there"))).expect("our own text");
        assert_eq!((alone.several(), alone.first()), (false, &versions.all()[1]));
    }

    #[test]
    fn a_newer_form_is_read_and_never_written_over() {
        let versions = read(&file("form-of-file = 2\nkey = \"G\"\nfullness = \"rising\"\n")).expect("as far as it is understood");
        assert!(versions.said(FIRST)[0].contains("a newer Undersong (form 2)"));
        let refused = versions.check("a.abc").expect_err("it is not written over");
        let said = "a.abc.undersong.toml was written by a newer Undersong (form 2; this one knows form 1): it is left as it is, and nothing was saved. Open it with the newer one";
        assert_eq!(refused.to_string(), said);
        assert!(read(&file("form-of-file = 1\nkey = \"G\"\n")).expect("this form").check("a.abc").is_ok());
    }

    #[test]
    fn mistakes_have_their_place() {
        assert_eq!(says("harp = 3\n"), "a.abc.undersong.toml:1:8: error: invalid type: integer `3`, expected a string");
        assert_eq!(
            says("[[version]]\nname = \"a\"\n\n[[version]]\nname = \"a\"\n"),
            "a.abc.undersong.toml:5:8: error: there are two versions \"a\": each has a name of its own"
        );
        assert!(says("[[version]]\nkey = \"G\"\n").starts_with("a.abc.undersong.toml:1:1: error: this version has no name"));
        assert_eq!(says("version = 3\n"), "a.abc.undersong.toml:1:11: error: versions are written as [[version]], each with its name");
        assert!(says("[[version]]\nname = \"a\"\nfullness = 3\n").starts_with("a.abc.undersong.toml:3:12: error: "));
    }
}
