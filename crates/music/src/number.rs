//! What a measure is called: its number in the tune, or its place in a part that was added to the tune (introduction, vamp, interlude, ending).
//!
//! The measures of the tune keep their numbers whatever is added round them, so that what is said of measure 5 stays true.

use std::cmp::Ordering;
use std::fmt;
use std::str::FromStr;

/// A part of a piece: the tune's own measures, or what was added to them. In the order in which they are played; interludes lie between verses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// Before the tune.
    Introduction,
    /// Goes round until somebody is ready.
    Vamp,
    /// The tune's own measures, which are printed with their numbers.
    Tune,
    /// Between two verses.
    Interlude,
    /// After the tune.
    Ending,
}

impl Part {
    /// All of them, in the order in which they are played.
    pub const ALL: [Part; 5] = [Part::Introduction, Part::Vamp, Part::Tune, Part::Interlude, Part::Ending];

    /// Its name in small letters.
    pub fn name(self) -> &'static str {
        match self {
            Part::Introduction => "introduction",
            Part::Vamp => "vamp",
            Part::Tune => "tune",
            Part::Interlude => "interlude",
            Part::Ending => "ending",
        }
    }
}

/// The number of a measure within its part; 0 is a pickup. Of the tune it is printed; the measures of added parts are printed without one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MeasureNumber {
    /// The part it belongs to.
    pub part: Part,
    /// From 1; 0 for a pickup.
    pub count: u32,
}

impl MeasureNumber {
    /// "measure 5", "the pickup", "measure 2 of the introduction".
    ///
    /// ```
    /// use music::MeasureNumber;
    ///
    /// // docs/words.md: the pickup is told without a number.
    /// assert_eq!(MeasureNumber::from(0).in_words(), "the pickup");
    /// assert_eq!("ending 2".parse::<MeasureNumber>().map(MeasureNumber::in_words), Ok("measure 2 of the ending".into()));
    /// ```
    pub fn in_words(self) -> String {
        match self.part {
            Part::Tune if self.count == 0 => PICKUP.to_owned(),
            Part::Tune => format!("measure {}", self.count),
            part if self.count == 0 => format!("{PICKUP} of the {}", part.name()),
            part => format!("measure {} of the {}", self.count, part.name()),
        }
    }

    /// The same at the beginning of a sentence.
    pub fn at_the_start(self) -> String {
        let words = self.in_words();
        words[..1].to_uppercase() + &words[1..]
    }

    /// Whether it comes straight after another of its part.
    pub fn follows(self, before: MeasureNumber) -> bool {
        self.part == before.part && self.count == before.count + 1
    }

    /// The number of a measure of the tune.
    pub fn in_the_tune(self) -> Option<u32> {
        (self.part == Part::Tune).then_some(self.count)
    }
}

impl From<u32> for MeasureNumber {
    fn from(count: u32) -> MeasureNumber {
        MeasureNumber { part: Part::Tune, count }
    }
}

impl PartialEq<u32> for MeasureNumber {
    fn eq(&self, other: &u32) -> bool {
        self.in_the_tune() == Some(*other)
    }
}

impl PartialOrd<u32> for MeasureNumber {
    fn partial_cmp(&self, other: &u32) -> Option<Ordering> {
        self.partial_cmp(&MeasureNumber::from(*other))
    }
}

/// What a harpist calls a measure that is printed without a number before the first one.
const PICKUP: &str = "the pickup";

/// Measures in a sentence, by their names in a list: "measure 3", "measures 3, 5-7 and 9", "the pickup and measure 1". A name is a number as
/// [`fmt::Display`] writes it, a run of them ("5-7"), or what stands for those that are not named ("4 more").
pub fn listed(names: &[String]) -> String {
    let (pickups, others): (Vec<&str>, Vec<&str>) = names.iter().map(String::as_str).partition(|name| *name == "0");
    let others = match others.as_slice() {
        [] => None,
        [one] if !one.contains('-') => Some(format!("measure {one}")),
        [one] => Some(format!("measures {one}")),
        [first @ .., last] => Some(format!("measures {} and {last}", first.join(", "))),
    };
    let pickup = (!pickups.is_empty()).then(|| PICKUP.to_owned());
    let said: Vec<String> = pickup.into_iter().chain(others).collect();
    if said.is_empty() { "no measure".into() } else { said.join(" and ") }
}

/// "5", "introduction 2"; a pickup is 0.
impl fmt::Display for MeasureNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.part {
            Part::Tune => f.pad(&self.count.to_string()),
            part => f.pad(&format!("{} {}", part.name(), self.count)),
        }
    }
}

/// Reads what [`fmt::Display`] writes, and "pickup" or "the pickup", of the tune or "of the introduction", say. Error: it is neither a number nor a part with one.
impl FromStr for MeasureNumber {
    type Err = std::num::ParseIntError;

    fn from_str(text: &str) -> Result<MeasureNumber, std::num::ParseIntError> {
        let text = text.trim();
        let lower = text.to_lowercase();
        if let Some(of) = lower.strip_prefix("the ").unwrap_or(&lower).strip_prefix("pickup") {
            let part =
                Part::ALL.into_iter().find(|p| of.trim() == if *p == Part::Tune { String::new() } else { format!("of the {}", p.name()) });
            if let Some(part) = part {
                return Ok(MeasureNumber { part, count: 0 });
            }
        }
        let added = Part::ALL.into_iter().filter(|p| *p != Part::Tune);
        for part in added {
            if let Some(count) = text.strip_prefix(part.name()).and_then(|rest| rest.strip_prefix(' ')) {
                return count.trim().parse().map(|count| MeasureNumber { part, count });
            }
        }
        text.parse().map(|count: u32| MeasureNumber::from(count))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_read_back() {
        for part in Part::ALL {
            for count in [0, 1, 12] {
                let number = MeasureNumber { part, count };
                assert_eq!(number.to_string().parse(), Ok(number));
            }
        }
        for part in Part::ALL {
            let pickup = MeasureNumber { part, count: 0 };
            assert_eq!(pickup.in_words().parse(), Ok(pickup));
        }
        assert_eq!(
            ["pickup", " The Pickup ", "0"].map(|text| text.parse::<MeasureNumber>()),
            [const { Ok(MeasureNumber { part: Part::Tune, count: 0 }) }; 3]
        );
        assert_eq!(format!("{}{:<3}|", MeasureNumber::from(5), MeasureNumber::from(6)), "56  |");
        assert_eq!("ending 2".parse::<MeasureNumber>().map(MeasureNumber::in_words), Ok("measure 2 of the ending".into()));
        for bad in ["", "five", "-1", "ending", "ending2", "tune 3", "coda 1", "pickups", "pickup 1", "pickup of the tune"] {
            assert!(bad.parse::<MeasureNumber>().is_err(), "{bad}");
        }
    }

    #[test]
    fn a_pickup_is_called_so_and_has_no_number() {
        let said = |names: &[&str]| listed(&names.iter().map(|n| (*n).to_owned()).collect::<Vec<_>>());
        assert_eq!(said(&["0"]), "the pickup");
        assert_eq!(said(&["0", "1"]), "the pickup and measure 1");
        assert_eq!(said(&["0", "1-4", "9"]), "the pickup and measures 1-4 and 9");
        assert_eq!(said(&["3", "10", "4 more"]), "measures 3, 10 and 4 more");
        assert_eq!(said(&["5-7"]), "measures 5-7");
        assert_eq!(MeasureNumber::from(0).at_the_start(), "The pickup");
        assert_eq!(MeasureNumber { part: Part::Ending, count: 1 }.at_the_start(), "Measure 1 of the ending");
    }

    #[test]
    fn numbers_of_two_parts_are_not_equal() {
        let introduction = MeasureNumber { part: Part::Introduction, count: 2 };
        assert!(introduction != 2 && MeasureNumber::from(2) == 2 && introduction < 1);
        assert!(MeasureNumber::from(3).follows(2.into()) && !MeasureNumber::from(3).follows(introduction));
    }
}
