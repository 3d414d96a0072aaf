//! Note values as they are printed: a head, a stem, flags and dots.

use music::Beats;

/// The names of the standard (MusicXML 4.0, type `note-type-value`), longest first.
const NAMES: [&str; 14] =
    ["maxima", "long", "breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th", "512th", "1024th"];

const QUARTER: u32 = 5;

/// The most dots that are printed at one note.
const MOST_DOTS: u32 = 2;

/// A printed note value: a maxima to a 1024th, with up to two dots.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Value {
    place: u32,
    pub dots: u32,
}

impl Value {
    /// The value that lasts exactly this long, if one does.
    pub fn of(length: Beats) -> Option<Value> {
        (0..=MOST_DOTS).find_map(|dots| {
            let undotted = length.scaled(1 << dots, (2 << dots) - 1)?;
            Some(Value { place: undotted_place(undotted)?, dots })
        })
    }

    /// The value without dots whose printed number is 1 (whole), 2, 4, 8 …; an eighth for any other number.
    pub fn of_number(number: u32) -> Value {
        let place = 3 + number.trailing_zeros();
        let good = number.is_power_of_two() && (place as usize) < NAMES.len();
        Value { place: if good { place } else { QUARTER + 1 }, dots: 0 }
    }

    /// The longest value that fits into a length; `None` below a 1024th.
    pub fn longest_within(length: Beats) -> Option<Value> {
        let fits = |place: u32| (Value { place, dots: 0 }).length().filter(|l| *l <= length).map(|_| place);
        let place = (2..NAMES.len() as u32).find_map(fits)?;
        let with = |dots: u32| Value { place, dots };
        (0..=MOST_DOTS).rev().map(with).find(|v| v.length().is_some_and(|l| l <= length))
    }

    /// How long it lasts; `None` for the smallest dotted values, whose dots are shorter than anything that can be held.
    pub fn length(self) -> Option<Beats> {
        let undotted = Beats::quarters(1 << QUARTER, 1 << self.place)?;
        undotted.scaled((2 << self.dots) - 1, 1 << self.dots)
    }

    pub fn name(self) -> &'static str {
        NAMES[self.place as usize]
    }

    /// How many beams join it to its neighbours: none for a quarter, one for an eighth.
    pub fn beams(self) -> usize {
        self.place.saturating_sub(QUARTER) as usize
    }
}

fn undotted_place(length: Beats) -> Option<u32> {
    (0..NAMES.len() as u32).find(|place| Beats::quarters(1 << QUARTER, 1 << place) == Some(length))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(numerator: i64, denominator: i64) -> String {
        let value = Beats::quarters(numerator, denominator).and_then(Value::of);
        value.map_or("none".into(), |v| format!("{}{}", v.name(), ".".repeat(v.dots as usize)))
    }

    /// Common practice.
    #[test]
    fn lengths_have_names() {
        assert_eq!(named(4, 1), "whole");
        assert_eq!(named(3, 2), "quarter.");
        assert_eq!(named(7, 4), "quarter..");
        assert_eq!(named(1, 8), "32nd");
        assert_eq!(named(5, 4), "none");
        assert_eq!(named(1, 3), "none");
    }

    #[test]
    fn every_value_is_the_value_of_its_length() {
        let all = (0..NAMES.len() as u32).flat_map(|place| (0..=MOST_DOTS).map(move |dots| Value { place, dots }));
        for value in all {
            assert_eq!(value.length().and_then(Value::of), Some(value));
        }
    }

    #[test]
    fn the_longest_value_within_a_length() {
        let longest = |n, d| Beats::quarters(n, d).and_then(Value::longest_within).map(|v| (v.name(), v.dots));
        assert_eq!(longest(5, 1), Some(("whole", 0)));
        assert_eq!(longest(7, 4), Some(("quarter", 2)));
        assert_eq!(longest(1, 1024), None);
    }
}
