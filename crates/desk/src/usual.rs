//! What holds for every tune in which she has chosen nothing yet: her harp, her hands, the finger numbers, the sound. A short TOML file in her folder.

use crate::choices::{Choices, PlayerChoices};
use crate::failure::Failure;
use crate::fields::fields;
use crate::file_form;
use crate::harps;
use crate::shelf::Shelf;
use crate::toml_file::TomlFile;
use serde::{Deserialize, Serialize};
use toml::{Table, Value};

/// The file's name.
pub const FILE: &str = "undersong.toml";

/// The form of the file. The number of form 1 is not written: 0.1.0 knew none in this file.
const FORM: i64 = 1;
const MEANWHILE: &str = "your usual harp and hands cannot be changed here";

/// Her usual choices, each as in [`Choices`].
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Usual {
    pub harp: String,
    pub fingers: String,
    pub sound: Option<String>,
    pub concert: Option<String>,
    pub player: PlayerChoices,
    /// The number of the file, which [`file_form::check`] looks at; not written.
    #[serde(rename = "form-of-file", skip_serializing)]
    pub form: file_form::Field,
}

impl Default for Usual {
    fn default() -> Usual {
        Usual::of(&Choices::default())
    }
}

impl Usual {
    /// What of a tune's choices is worth keeping for others.
    pub fn of(choices: &Choices) -> Usual {
        let Choices { harp, fingers, sound, concert, player, .. } = choices.clone();
        Usual { harp, fingers, sound, concert, player, form: None }
    }

    /// The choices of a tune in which nothing was chosen.
    pub fn choices(self) -> Choices {
        let Usual { harp, fingers, sound, concert, player, .. } = self;
        Choices { harp, fingers, sound, concert, player, ..Choices::default() }
    }

    /// Reads her file; where there is none, the program's own. Errors: it is of a newer form, cannot be read or has a mistake, said with its place.
    pub fn read(shelf: &Shelf) -> Result<Usual, Failure> {
        let Some(file) = Usual::file(shelf)? else { return Ok(Usual::default()) };
        file_form::check(&file, file_form::KEY, FORM, MEANWHILE)?;
        file.table()
    }

    /// The same as far as it is understood: of a newer form what is known here, of a file with a mistake nothing. The mistake is said on the shelf.
    pub fn understood(shelf: &Shelf) -> Usual {
        let newer = || -> Option<Usual> {
            let mut table: Table = Usual::file(shelf).ok()??.text.parse().ok()?;
            file_form::number(&table, file_form::KEY).filter(|form| *form > FORM)?;
            table.retain(|field, _| fields::<Usual>().contains(&field));
            if let Some(Value::Table(player)) = table.get_mut("player") {
                player.retain(|field, _| fields::<PlayerChoices>().contains(&field));
            }
            table.try_into().ok()
        };
        Usual::read(shelf).ok().or_else(newer).unwrap_or_default()
    }

    fn file(shelf: &Shelf) -> Result<Option<TomlFile>, Failure> {
        let path = shelf.folder().join(FILE);
        if !path.exists() {
            return Ok(None);
        }
        let mut file = TomlFile::open(&path)?;
        FILE.clone_into(&mut file.name);
        Ok(Some(file))
    }

    /// Keeps it for her folder. Errors: no such harp, hands that cannot be, a file there that is of a newer form or has a mistake, one that cannot be written.
    pub fn keep(&self, shelf: &Shelf) -> Result<(), Failure> {
        Usual::read(shelf)?;
        let choices = self.clone().choices();
        harps::harp(&choices.asked(shelf.folder())?.harp)?;
        choices.player.player()?;
        choices.check_size()?;
        let body = toml::to_string(self).expect("texts, numbers, lists and tables of texts have a TOML form");
        let text = format!("# Used for every tune where you have not chosen otherwise. You may change it here.\n\n{body}");
        shelf.remember(FILE, text.as_bytes())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tune_without_choices_has_the_usual_ones() {
        let usual = Usual { harp: "lever-36".into(), ..Usual::default() };
        assert_eq!(Usual::of(&usual.clone().choices()), usual);
        assert_eq!(Usual::default().choices(), Choices::default());
    }
}
