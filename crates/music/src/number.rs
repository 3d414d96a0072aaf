//! What a measure is called: its number in the tune, or its place in a part that was added to the tune (introduction, vamp, interlude, ending).
//!
//! The measures of the tune keep their numbers whatever is added round them, so that what is said of measure 5 stays true.

use std::cmp::Ordering;
use std::fmt;
use std::str::FromStr;

/// A part of a piece: the tune's own measures, or what was added to them. In the order in which they are played; interludes lie between verses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    Introduction,
    Vamp,
    Tune,
    Interlude,
    Ending,
}

impl Part {
    pub const ALL: [Part; 5] = [Part::Introduction, Part::Vamp, Part::Tune, Part::Interlude, Part::Ending];

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
    pub part: Part,
    pub count: u32,
}

impl MeasureNumber {
    /// "measure 5", "measure 2 of the introduction".
    pub fn in_words(self) -> String {
        match self.part {
            Part::Tune => format!("measure {}", self.count),
            part if self.count == 0 => format!("pickup of the {}", part.name()),
            part => format!("measure {} of the {}", self.count, part.name()),
        }
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

/// "5", "introduction 2".
impl fmt::Display for MeasureNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.part {
            Part::Tune => f.pad(&self.count.to_string()),
            part => f.pad(&format!("{} {}", part.name(), self.count)),
        }
    }
}

/// Reads what [`fmt::Display`] writes. Error: it is neither a number nor a part with one.
impl FromStr for MeasureNumber {
    type Err = std::num::ParseIntError;

    fn from_str(text: &str) -> Result<MeasureNumber, std::num::ParseIntError> {
        let text = text.trim();
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
        assert_eq!(format!("{}{:<3}|", MeasureNumber::from(5), MeasureNumber::from(6)), "56  |");
        assert_eq!("ending 2".parse::<MeasureNumber>().map(MeasureNumber::in_words), Ok("measure 2 of the ending".into()));
        for bad in ["", "five", "-1", "ending", "ending2", "tune 3", "coda 1"] {
            assert!(bad.parse::<MeasureNumber>().is_err(), "{bad}");
        }
    }

    #[test]
    fn numbers_of_two_parts_are_not_equal() {
        let introduction = MeasureNumber { part: Part::Introduction, count: 2 };
        assert!(introduction != 2 && MeasureNumber::from(2) == 2 && introduction < 1);
        assert!(MeasureNumber::from(3).follows(2.into()) && !MeasureNumber::from(3).follows(introduction));
    }
}
