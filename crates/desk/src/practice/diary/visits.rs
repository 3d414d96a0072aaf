//! When a tune needs a visit: after pauses that grow while she keeps coming. A proposal of our own, in whole days, and said on the page in the words below.

use super::day::Day;

/// The longest pause between two visits, in days.
pub const LONGEST: i32 = 32;
/// Practice of a day that makes it a visit, in seconds.
pub const ENOUGH: u32 = 60;

/// The rule as it stands on the page.
pub const RULE: &str = "A tune that you have practised needs a visit after a day. Each time you come when it is due, the pause doubles: \
    2, 4, 8, 16 and at most 32 days. Coming earlier leaves the pause as it is. A step marked “not yet” makes it one day again. \
    A day counts as a visit with a minute of practice, or with a step marked.";

/// A day on which a tune was visited.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Visited {
    pub day: Day,
    /// A step was marked "not yet".
    pub not_yet: bool,
}

/// The next visit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Next {
    pub last: Day,
    /// In days, 1 to [`LONGEST`].
    pub pause: i32,
    pub due: Day,
}

/// The next visit of a tune from those it had, in order. The pause is 1 after the first; after each later one it is 1 if something was not yet there, twice what
/// it was if the day was due, else as it was; the tune is due a pause after its last visit.
pub fn next(visits: &[Visited]) -> Option<Next> {
    let (first, later) = visits.split_first()?;
    let begin = Next { last: first.day, pause: 1, due: first.day.plus(1) };
    Some(later.iter().fold(begin, |now, visit| {
        let pause = match visit {
            Visited { not_yet: true, .. } => 1,
            Visited { day, .. } if *day >= now.due => (now.pause * 2).min(LONGEST),
            _ => now.pause,
        };
        Next { last: visit.day, pause, due: visit.day.plus(pause) }
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Days counted from 1 January 2026, with "!" after one on which something was not yet there; the pause and the day that is due.
    fn check(days: &str, pause: i32, due: i32) {
        let first = Day::of(2026, 1, 1).expect("a day");
        let visit =
            |text: &str| Visited { day: first.plus(text.trim_end_matches('!').parse().expect("a number")), not_yet: text.ends_with('!') };
        let visits: Vec<Visited> = days.split_whitespace().map(visit).collect();
        let next = next(&visits).expect("a next visit");
        assert_eq!((next.pause, next.due.since(first)), (pause, due), "{days}");
    }

    // By hand from the rule's words.
    #[test]
    fn pauses_grow_while_she_comes() {
        check("0", 1, 1);
        check("0 1", 2, 3);
        check("0 1 3 7 15 31", 32, 63);
        check("0 1 3 7 15 31 63 95", 32, 127);
        // Late is as good as on the day.
        check("0 9", 2, 11);
    }

    #[test]
    fn early_changes_nothing_and_not_yet_begins_again() {
        check("0 1 2", 2, 4);
        check("0 1 3 4 5 6", 4, 10);
        check("0 1 3 7!", 1, 8);
        check("0 1 3 7! 8", 2, 10);
    }

    #[test]
    fn without_a_visit_there_is_no_next_one() {
        assert_eq!(next(&[]), None);
    }
}
