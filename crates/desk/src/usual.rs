//! What holds for every tune in which she has chosen nothing yet: her harp, her hands, the finger numbers, the sound. A short TOML file in her folder.

use crate::choices::{Choices, PlayerChoices};
use crate::failure::Failure;
use crate::harps;
use crate::shelf::Shelf;
use crate::toml_file::TomlFile;
use serde::{Deserialize, Serialize};

/// The file's name.
pub const FILE: &str = "undersong.toml";

/// Her usual choices, each as in [`Choices`].
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Usual {
    pub harp: String,
    pub fingers: String,
    pub sound: Option<String>,
    pub concert: Option<String>,
    pub player: PlayerChoices,
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
        Usual { harp, fingers, sound, concert, player }
    }

    /// The choices of a tune in which nothing was chosen.
    pub fn choices(self) -> Choices {
        let Usual { harp, fingers, sound, concert, player } = self;
        Choices { harp, fingers, sound, concert, player, ..Choices::default() }
    }

    /// Reads her file; where there is none, the program's own. Errors: it cannot be read or has a mistake, said with its place.
    pub fn read(shelf: &Shelf) -> Result<Usual, Failure> {
        let path = shelf.folder().join(FILE);
        if !path.exists() {
            return Ok(Usual::default());
        }
        let mut file = TomlFile::open(&path)?;
        FILE.clone_into(&mut file.name);
        file.table()
    }

    /// Keeps it for her folder. Errors: no such harp, hands that cannot be, a file that cannot be written.
    pub fn keep(&self, shelf: &Shelf) -> Result<(), Failure> {
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
