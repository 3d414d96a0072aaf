//! A way that she took for a measure, as a line that she can read: "0 G2, 1 D3+B3, 2 ~D3+G3+B3" plucks G2 at the start of the measure, two strings together a quarter
//! note later, and a rolled chord after another; "rest" plucks nothing. Pitches are those of the tune's own key, so that another key keeps the way.

use crate::failure::Failure;
use crate::worktable::{beats, chord_name};
use arrange::wishes::HeldPluck;
use music::{MeasureNumber, Pitch};

/// The most plucks of one measure.
const MOST: usize = 64;
const REST: &str = "rest";

/// Reads one measure's way.
pub fn way(measure: &str, text: &str) -> Result<(MeasureNumber, Vec<HeldPluck>), Failure> {
    let wrong =
        || Failure::wrong(format!("way \"{measure} = {text}\": expected a measure and what is plucked when, like 5 = \"0 G2, 1 D3+B3\""));
    let number = measure.trim().parse().map_err(|_| wrong())?;
    if text.trim() == REST {
        return Ok((number, Vec::new()));
    }
    let plucks = text.split(',').map(|one| pluck(one.trim())).collect::<Option<Vec<HeldPluck>>>().ok_or_else(wrong)?;
    let in_order = plucks.windows(2).all(|p| p[0].at < p[1].at);
    if in_order && plucks.len() <= MOST { Ok((number, plucks)) } else { Err(wrong()) }
}

fn pluck(text: &str) -> Option<HeldPluck> {
    let (at, strings) = text.split_once(' ')?;
    let strings = strings.trim();
    let rolled = strings.starts_with('~');
    let pitches = strings.trim_start_matches('~').split('+').map(|p| Pitch::parse(p.trim())).collect::<Option<Vec<Pitch>>>()?;
    let rising = pitches.windows(2).all(|p| p[0].position() < p[1].position());
    (rising && pitches.len() <= 4).then_some(HeldPluck { at: beats(at)?, pitches, rolled })
}

/// The line of a way.
pub fn written(way: &[HeldPluck]) -> String {
    if way.is_empty() {
        return REST.into();
    }
    let one = |p: &HeldPluck| {
        let pitches: Vec<String> = p.pitches.iter().map(Pitch::to_string).collect();
        format!("{} {}{}", &chord_name(0, p.at)[2..], if p.rolled { "~" } else { "" }, pitches.join("+"))
    };
    way.iter().map(one).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_read_back() {
        for line in ["0 G2, 1 D3+B3, 2 D3+B3", "0 Bb2, 3/2 ~F3+Bb3+D4", "rest", "1/2 C#4"] {
            let (measure, plucks) = way("5", line).expect("a way");
            assert_eq!((measure, written(&plucks).as_str()), (5.into(), line));
        }
    }

    #[test]
    fn other_lines_are_refused_with_what_was_expected() {
        for bad in ["", "0", "G2", "0 H2", "1 G2, 0 B2", "0 G2+G2", "0 B3+G2", "0 C3+E3+G3+C4+E4", "-1 G2"] {
            let refused = way("5", bad).expect_err("no way");
            assert!(
                refused.text().is_some_and(|t| t.ends_with("expected a measure and what is plucked when, like 5 = \"0 G2, 1 D3+B3\"")),
                "{bad}"
            );
        }
        assert!(way("five", "rest").is_err());
    }
}
