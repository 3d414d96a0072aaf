//! A harp of her own as a form: what she fills in becomes a short file in her folder, and a file the form again.

use super::read;
use crate::failure::Failure;
use crate::shelf::Shelf;
use crate::toml_file::TomlFile;
use harp::{Instrument, Mechanism};
use music::{Pitch, Step};
use serde::{Deserialize, Serialize};

/// A harp as the page asks for it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HarpForm {
    pub name: String,
    /// "C2".
    pub lowest: String,
    pub strings: u32,
    /// A key's name, "E-flat", or the letters that are not natural, "Bb Eb".
    pub tuning: String,
    /// Letters whose strings all have levers, and single strings of other letters: "F", "C4".
    pub levers: Vec<String>,
    pub pedals: bool,
}

/// The longest name and the most levers that are read.
const LONGEST: usize = 60;
const MOST_LEVERS: usize = 60;

impl HarpForm {
    /// A harp as the form shows it.
    pub fn of(harp: &Instrument) -> HarpForm {
        let string = |position: i32| Pitch::at_position(position, 0).to_string();
        let all = || harp.lowest()..=harp.highest();
        let of_letter = |step: Step| all().filter(move |p| Step::from_index(*p) == step);
        let levers = Step::ALL.into_iter().flat_map(|step| {
            let with: Vec<i32> = of_letter(step).filter(|p| harp.has_lever(*p)).collect();
            if with.len() == of_letter(step).count() { vec![step.letter().to_string()] } else { with.into_iter().map(string).collect() }
        });
        HarpForm {
            name: harp.name.clone(),
            lowest: string(harp.lowest()),
            strings: harp.strings(),
            tuning: crate::report::altered(harp.tuning).join(" "),
            levers: levers.collect(),
            pedals: matches!(harp.mechanism, Mechanism::Pedals { .. }),
        }
    }

    /// The text of its file.
    fn text(&self) -> String {
        let list = |words: &[String]| format!("[{}]", words.iter().map(|w| format!("{w:?}")).collect::<Vec<_>>().join(", "));
        let words: Vec<String> = self.tuning.split([' ', ',']).filter(|w| !w.is_empty()).map(ToOwned::to_owned).collect();
        let name = toml::Value::String(self.name.trim().to_owned());
        let mechanism = if self.pedals { "pedals = true".to_owned() } else { format!("levers = {}", list(&self.levers)) };
        format!(
            "# A harp of yours. You may change it here; the page takes it over.\n\nname = {name}\n\n# The lowest string, and how many there are. C4 is middle C.\nlowest = {:?}\nstrings = {}\n\n\
             # The letters that are not natural with all levers down or pedals up.\n\
             # Strings are under tension: never tune one above the pitch it was made for. When in doubt, ask the maker of your harp.\n\
             tuning = {}\n\n# Letters that have a lever on every string, and single strings of the others.\n{mechanism}\n",
            self.lowest.trim(),
            self.strings,
            list(&words),
        )
    }

    /// Keeps it as a file of her folder: the one it came from, else one of its name. Errors: it is no harp, or the file cannot be written.
    pub fn keep(&self, shelf: &Shelf, from: Option<&str>) -> Result<String, Failure> {
        if self.name.trim().is_empty() || self.name.chars().count() > LONGEST || self.levers.len() > MOST_LEVERS {
            return Err(Failure::wrong(format!("the harp needs a name of at most {LONGEST} letters")));
        }
        let text = self.text();
        let label = "your harp".to_owned();
        read(&TomlFile { name: label, text: text.clone() }).map_err(without_place)?;
        match from.filter(|file| shelf.harps().iter().any(|own| own == file)) {
            Some(file) => shelf.remember(file, text.as_bytes()).map(|()| file.to_owned()),
            None => shelf.take_in(&self.name, "toml", text.as_bytes()),
        }
    }
}

/// In a form there are no lines: the sentence alone.
fn without_place(failure: Failure) -> Failure {
    match failure {
        Failure::Wrong(text) => Failure::Wrong(text.split_once("error: ").map_or(text.as_str(), |(_, said)| said).to_owned()),
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is filled in is what the file says, and the form shows it again.
    #[test]
    fn a_form_becomes_a_file_and_the_file_the_form() {
        let forms = [
            HarpForm {
                name: "Marta's \"little\" one".into(),
                lowest: "C3".into(),
                strings: 26,
                tuning: "Bb Eb".into(),
                levers: vec!["C5".into(), "F".into()],
                pedals: false,
            },
            HarpForm {
                name: "no levers".into(),
                lowest: "G2".into(),
                strings: 22,
                tuning: String::new(),
                levers: Vec::new(),
                pedals: false,
            },
            HarpForm {
                name: "the hall's".into(),
                lowest: "C1".into(),
                strings: 47,
                tuning: "Bb Eb Ab Db Gb Cb Fb".into(),
                levers: Vec::new(),
                pedals: true,
            },
        ];
        for form in forms {
            let harp = read(&TomlFile { name: "harp.toml".into(), text: form.text() }).unwrap_or_else(|e| panic!("{e:?}\n{}", form.text()));
            assert_eq!(HarpForm::of(&harp), form);
        }
    }
}
