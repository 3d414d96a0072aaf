//! Days of the calendar, as a diary has them: "2026-11-26". Which day it is where she sits, her browser says; nothing here knows of clocks or time zones.

use std::fmt;

const MONTHS: [&str; 12] =
    ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"];
pub const WEEKDAYS: [&str; 7] = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];

/// A day, counted from 1 January 1970.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day(i32);

impl Day {
    /// The years that a diary may have.
    const YEARS: std::ops::RangeInclusive<i32> = 1970..=2999;

    /// A day of the Gregorian calendar; `None` where there is none.
    pub fn of(year: i32, month: u32, day: u32) -> Option<Day> {
        if !Day::YEARS.contains(&year) || !(1..=12).contains(&month) || day < 1 || day > length(year, month) {
            return None;
        }
        let before: u32 = (1..month).map(|m| length(year, m)).sum();
        Some(Day(years_before(year) + (before + day - 1) as i32))
    }

    /// Reads "2026-11-26".
    pub fn parse(text: &str) -> Option<Day> {
        let parts: Vec<&str> = text.split('-').collect();
        let [year, month, day] = parts[..] else { return None };
        let digits = |part: &str, many: usize| part.len() == many && part.bytes().all(|b| b.is_ascii_digit());
        if !digits(year, 4) || !digits(month, 2) || !digits(day, 2) {
            return None;
        }
        Day::of(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?)
    }

    /// The day in Greenwich of a moment in milliseconds since 1970.
    pub fn of_millis(millis: i64) -> Day {
        Day(i32::try_from(millis.div_euclid(86_400_000)).unwrap_or_default())
    }

    pub fn plus(self, days: i32) -> Day {
        Day(self.0 + days)
    }

    /// Days from another one to this.
    pub fn since(self, other: Day) -> i32 {
        self.0 - other.0
    }

    /// 0 for Monday.
    pub fn weekday(self) -> usize {
        // 1 January 1970 was a Thursday.
        (self.0 + 3).rem_euclid(7) as usize
    }

    pub fn monday(self) -> Day {
        self.plus(-(self.weekday() as i32))
    }

    fn parts(self) -> (i32, u32, u32) {
        let mut year = 1970 + self.0.div_euclid(366);
        while years_before(year + 1) <= self.0 {
            year += 1;
        }
        let mut rest = (self.0 - years_before(year)) as u32;
        let mut month = 1;
        while rest >= length(year, month) {
            rest -= length(year, month);
            month += 1;
        }
        (year, month, rest + 1)
    }

    /// "26 November".
    pub fn words(self) -> String {
        let (_, month, day) = self.parts();
        format!("{day} {}", MONTHS[month as usize - 1])
    }

    /// "26 Nov".
    pub fn short(self) -> String {
        let (_, month, day) = self.parts();
        format!("{day} {}", &MONTHS[month as usize - 1][..3])
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (year, month, day) = self.parts();
        write!(f, "{year:04}-{month:02}-{day:02}")
    }
}

fn is_leap(year: i32) -> bool {
    year % 4 == 0 && (year % 100 != 0 || year % 400 == 0)
}

fn length(year: i32, month: u32) -> u32 {
    match month {
        2 if is_leap(year) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// Days from 1970 to the first of a year.
fn years_before(year: i32) -> i32 {
    let leaps = |y: i32| y / 4 - y / 100 + y / 400;
    (year - 1970) * 365 + leaps(year - 1) - leaps(1969)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_day_comes_back() {
        for n in (0..370_000).step_by(13) {
            let day = Day(n);
            assert_eq!(Day::parse(&day.to_string()), Some(day), "{n}");
        }
        // From a printed calendar: 29 February 2024 was a Thursday, 1 January 2000 a Saturday.
        let leap = Day::parse("2024-02-29").expect("a day");
        assert_eq!(
            (WEEKDAYS[leap.weekday()], leap.words().as_str(), leap.plus(1).to_string().as_str()),
            ("Thursday", "29 February", "2024-03-01")
        );
        assert_eq!(WEEKDAYS[Day::of(2000, 1, 1).expect("a day").weekday()], "Saturday");
        assert_eq!(Day::of_millis(951_782_400_000).to_string(), "2000-02-29");
        assert_eq!(leap.monday().short(), "26 Feb");
    }

    #[test]
    fn days_that_are_none() {
        for bad in ["", "2026-02-29", "2026-13-01", "2026-1-1", "26-11-2026", "2026-11-31", "1969-12-31", "2026-11-26x", "2026-11"] {
            assert_eq!(Day::parse(bad), None, "{bad}");
        }
    }
}
