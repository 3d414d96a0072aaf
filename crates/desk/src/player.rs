//! The player's file: how far her hands reach, how fluent she is, which fingers she leaves out, which hand moves levers. `data/players/` has one to copy.

use crate::failure::Failure;
use crate::file_form;
use crate::toml_file::TomlFile;
use harp::{Fluency, Player, Reach, Shoulder};
use music::Hand;
use serde::Deserialize;
use std::path::Path;
use toml::Spanned;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PlayerTable {
    fluency: Option<Spanned<String>>,
    /// 0.1.0 wrote it as "spare".
    #[serde(alias = "spare")]
    leave_out: Option<Spanned<Vec<u8>>>,
    levers: Option<Spanned<String>>,
    shoulder: Option<Spanned<String>>,
    left: Option<HandTable>,
    right: Option<HandTable>,
    #[serde(rename = "form-of-file")]
    _form: file_form::Field,
}

/// The form of a player's file.
const FORM: i64 = 1;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct HandTable {
    block: Option<Spanned<u32>>,
    rolled: Option<Spanned<u32>>,
}

/// The player of a file, or the one assumed where there is none.
pub fn player(path: Option<&Path>) -> Result<Player, Failure> {
    match path {
        None => Ok(Player::default()),
        Some(path) => read(&TomlFile::open(path)?),
    }
}

/// Every value is checked as soon as it is taken, so that a mistake is shown at its own line.
pub fn read(file: &TomlFile) -> Result<Player, Failure> {
    file_form::check(file, file_form::KEY, FORM, "nothing is planned by it")?;
    let table: PlayerTable = file.table().map_err(without_the_old_word)?;
    let mut player = Player::default();
    if let Some(word) = &table.fluency {
        player.fluency = fluency(file, word)?;
    }
    if let Some(fingers) = &table.leave_out {
        player.fingers_left_out = fingers.get_ref().clone();
        player = player.check().map_err(|e| file.wrong(&fingers.span(), e))?;
    }
    if let Some(word) = &table.levers {
        player.lever_hand = side(file, word, "levers", [Hand::Left, Hand::Right])?;
    }
    if let Some(word) = &table.shoulder {
        player.shoulder = side(file, word, "shoulder", [Shoulder::Left, Shoulder::Right])?;
    }
    for (reach, hand) in [(&mut player.left, &table.left), (&mut player.right, &table.right)] {
        if let Some(hand) = hand {
            *reach = reach_of(file, hand, *reach)?;
        }
    }
    Ok(player)
}

/// The old word is read, but it is not offered.
fn without_the_old_word(failure: Failure) -> Failure {
    match failure {
        Failure::InFile { place, what } => Failure::InFile { place, what: what.replace("`spare`, ", "") },
        other => other,
    }
}

fn reach_of(file: &TomlFile, hand: &HandTable, assumed: Reach) -> Result<Reach, Failure> {
    let strings = |value: &Option<Spanned<u32>>, assumed: u32| {
        let Some(value) = value else { return Ok(assumed) };
        let both = Reach { block: *value.get_ref(), rolled: *value.get_ref() };
        let player = Player { left: both, ..Player::default() }.check();
        player.map(|p| p.left.block).map_err(|e| file.wrong(&value.span(), e))
    };
    let block = strings(&hand.block, assumed.block)?;
    // What a hand reaches together it reaches rolled.
    Ok(Reach { block, rolled: strings(&hand.rolled, assumed.rolled)?.max(block) })
}

fn fluency(file: &TomlFile, word: &Spanned<String>) -> Result<Fluency, Failure> {
    match word.get_ref().as_str() {
        "slow" => Ok(Fluency::Slow),
        "fluent" => Ok(Fluency::Fluent),
        "advanced" => Ok(Fluency::Advanced),
        other => Err(file.wrong(&word.span(), format!("fluency \"{other}\": expected slow, fluent or advanced"))),
    }
}

/// "left" or "right".
fn side<T>(file: &TomlFile, word: &Spanned<String>, field: &str, [left, right]: [T; 2]) -> Result<T, Failure> {
    match word.get_ref().as_str() {
        "left" => Ok(left),
        "right" => Ok(right),
        other => Err(file.wrong(&word.span(), format!("{field} \"{other}\": expected left or right"))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str) -> Result<Player, String> {
        let file = TomlFile { name: "hands.toml".into(), text: text.into() };
        read(&file).map_err(|failure| failure.to_string())
    }

    #[test]
    fn a_whole_file() {
        let player = check("fluency = \"slow\"\nleave_out = [4]\n[left]\nblock = 8\n").expect("well written");
        assert_eq!((player.fluency, player.fingers()), (Fluency::Slow, 3));
        assert_eq!((player.left, player.right), (Reach { block: 8, rolled: 12 }, Reach { block: 10, rolled: 12 }));
    }

    /// A file of the first version keeps its meaning.
    #[test]
    fn the_old_word_for_fingers_left_out() {
        assert_eq!(check("spare = [4]").map(|p| p.fingers_left_out), Ok(vec![4]));
    }

    /// Harp facts 2.4: usually the left hand; the right shoulder is common practice.
    #[test]
    fn sides() {
        let player = check("levers = \"right\"\nshoulder = \"left\"").expect("well written");
        assert_eq!((player.lever_hand, player.shoulder), (Hand::Right, Shoulder::Left));
        let usual = check("").expect("nothing is asked");
        assert_eq!((usual.lever_hand, usual.shoulder), (Hand::Left, Shoulder::Right));
    }

    #[test]
    fn the_file_to_copy() {
        let player = check(include_str!("../../../data/players/small-hands.toml")).expect("well written");
        assert_eq!(
            (player.left, player.right, player.fluency),
            (Reach { block: 8, rolled: 10 }, Reach { block: 8, rolled: 10 }, Fluency::Slow)
        );
    }

    #[test]
    fn mistakes_have_their_lines() {
        let says = |text| check(text).expect_err("a mistake");
        assert_eq!(says("fluency = \"fast\""), "hands.toml:1:11: error: fluency \"fast\": expected slow, fluent or advanced");
        assert_eq!(says("\n[left]\nblock = 14"), "hands.toml:3:9: error: a reach of 14 strings: expected 5 to 12");
        assert_eq!(says("leave_out = [1, 2, 3, 4]"), "hands.toml:1:13: error: fingers left out: a hand needs at least two of the four");
        assert_eq!(
            says("reach = 8"),
            "hands.toml:1:1: error: unknown field `reach`, expected one of `fluency`, `leave_out`, `levers`, `shoulder`, `left`, `right`, `form-of-file`"
        );
        assert_eq!(says("levers = \"both\""), "hands.toml:1:10: error: levers \"both\": expected left or right");
        assert_eq!(says("shoulder = \"front\""), "hands.toml:1:12: error: shoulder \"front\": expected left or right");
        assert_eq!(says("leave_out = [5]"), "hands.toml:1:13: error: finger 5: expected 1 (thumb) to 4");
    }
}
