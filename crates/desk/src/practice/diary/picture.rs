//! The last weeks as a picture: a row for each week, a field for each day with a bar that is the higher the longer she practised, its minutes and a sign for steps passed.
//!
//! Colours come from the page's classes; every field has its number, so that nothing is told by colour alone, and the whole picture has a sentence.

use super::day::{Day, WEEKDAYS};
use std::fmt::Write;

/// Weeks that are shown; the last is the one of today.
pub const WEEKS: i32 = 6;
/// Minutes of the highest bar.
const FULL: u32 = 45;

/// A day of the picture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Field {
    pub seconds: u32,
    /// Steps passed.
    pub passed: u32,
}

/// The first day of the picture.
pub fn first(today: Day) -> Day {
    today.monday().plus(-7 * (WEEKS - 1))
}

/// Whole minutes, with less than one as one.
pub fn minutes(seconds: u32) -> u32 {
    if seconds == 0 { 0 } else { ((seconds + 30) / 60).max(1) }
}

/// "12 min", "1 h 5 min", "less than a minute".
pub fn length(seconds: u32) -> String {
    match minutes(seconds) {
        _ if seconds < 60 => "less than a minute".into(),
        all if all < 60 => format!("{all} min"),
        all if all % 60 == 0 => format!("{} h", all / 60),
        all => format!("{} h {} min", all / 60, all % 60),
    }
}

fn many(n: u32, one: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") }
}

/// The picture in a sentence. `day` tells what each day was.
pub fn sentence(today: Day, day: &dyn Fn(Day) -> Field) -> String {
    let fields: Vec<Field> = (0..=today.since(first(today))).map(|n| day(first(today).plus(n))).collect();
    let days = fields.iter().filter(|f| f.seconds > 0 || f.passed > 0).count() as u32;
    let (seconds, passed) = fields.iter().fold((0, 0), |(s, p), f| (s + f.seconds, p + f.passed));
    let since = format!("From {} to {}", first(today).words(), today.words());
    if days == 0 {
        return format!("{since}: nothing written down yet.");
    }
    let marked = if passed == 0 { String::new() } else { format!(", {} passed", many(passed, "step")) };
    format!("{since}: {} with practice, {} in all{marked}.", many(days, "day"), length(seconds))
}

const LEFT: i32 = 62;
const TOP: i32 = 24;
const WIDE: i32 = 54;
const HIGH: i32 = 44;
const GAP: i32 = 5;

/// The picture as SVG. `day` tells what each day was.
pub fn svg(today: Day, day: &dyn Fn(Day) -> Field) -> String {
    let (width, height) = (LEFT + 7 * (WIDE + GAP), TOP + WEEKS * (HIGH + GAP));
    let mut out = format!("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\">");
    for (n, name) in WEEKDAYS.iter().enumerate() {
        let x = LEFT + n as i32 * (WIDE + GAP) + WIDE / 2;
        let _ = write!(out, "<text class=\"week-name\" x=\"{x}\" y=\"{}\" text-anchor=\"middle\">{}</text>", TOP - 9, &name[..3]);
    }
    for week in 0..WEEKS {
        let y = TOP + week * (HIGH + GAP);
        let monday = first(today).plus(7 * week);
        let _ = write!(out, "<text class=\"week-name\" x=\"0\" y=\"{}\">{}</text>", y + HIGH / 2 + 5, monday.short());
        for n in 0..7 {
            let date = monday.plus(n);
            if date <= today {
                out += &field(LEFT + n * (WIDE + GAP), y, day(date), if date == today { "day today" } else { "day" });
            }
        }
    }
    out + "</svg>"
}

/// How wide the bar at the left of a field is, and how far it keeps from its edge.
const BAR: i32 = 12;
const EDGE: i32 = 4;

fn field(x: i32, y: i32, field: Field, class: &str) -> String {
    let room = HIGH - 2 * EDGE;
    let filled = (minutes(field.seconds).min(FULL) as i32 * room + FULL as i32 - 1) / FULL as i32;
    let mut out = format!("<rect class=\"{class}\" x=\"{x}\" y=\"{y}\" width=\"{WIDE}\" height=\"{HIGH}\" rx=\"4\"/>");
    if filled > 0 {
        let (left, top) = (x + EDGE, y + HIGH - EDGE - filled);
        let _ = write!(out, "<rect class=\"practised\" x=\"{left}\" y=\"{top}\" width=\"{BAR}\" height=\"{filled}\"/>");
        let (middle, base) = (x + (WIDE + BAR + EDGE) / 2, y + HIGH - 7);
        let _ = write!(out, "<text class=\"minutes\" x=\"{middle}\" y=\"{base}\" text-anchor=\"middle\">{}</text>", minutes(field.seconds));
    }
    if field.passed > 0 {
        let (left, top) = (x + (WIDE + BAR + EDGE) / 2 - 7, y + 12);
        let _ = write!(out, "<path class=\"passed\" d=\"M{left} {top}l5 5 9 -10\"/>");
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn six_weeks_in_words_and_lines() {
        // A Thursday.
        let today = Day::parse("2026-11-26").expect("a day");
        let day = |date: Day| match today.since(date) {
            0 => Field { seconds: 50, passed: 0 },
            1 => Field { seconds: 25 * 60, passed: 2 },
            7 => Field { seconds: 70 * 60, passed: 0 },
            _ => Field::default(),
        };
        assert_eq!(sentence(today, &day), "From 19 October to 26 November: 3 days with practice, 1 h 36 min in all, 2 steps passed.");
        assert_eq!(sentence(today, &|_| Field::default()), "From 19 October to 26 November: nothing written down yet.");
        let svg = svg(today, &day);
        // Five whole weeks and four days; what was practised filled by a part, and wholly from 45 minutes on.
        assert_eq!(svg.matches("class=\"day").count(), 39);
        let filled = |height: i32| svg.contains(&format!("height=\"{height}\"/><text class=\"minutes\""));
        // 36 high when full, so 20 of them for 25 minutes.
        assert!(filled(36) && filled(20) && filled(1), "{svg}");
        assert_eq!(svg.matches("class=\"passed\"").count(), 1);
        assert!(svg.contains(">19 Oct<") && svg.contains(">23 Nov<"), "{svg}");
    }
}
