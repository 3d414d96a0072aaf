//! A set in words: what the command prints and the page tells.

use super::fill::counted;
use super::laid::{InPlace, Laid, Missing, Row, Step};
use harp::Mechanism;
use harp::settings::Part;
use music::{Clock, Seconds};
use practice::set::choose::whole;
use practice::set::link::NoLink;
use practice::set::order::{SAME_KEY, THIRD_IN_KEY};
use practice::set::{Change, Link, Proof};

/// Whole seconds as "3:25", "1:02:05".
pub fn length(seconds: usize) -> String {
    let (hours, minutes, rest) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    if hours > 0 { format!("{hours}:{minutes:02}:{rest:02}") } else { format!("{minutes}:{rest:02}") }
}

pub fn length_of(seconds: Seconds) -> String {
    length(if seconds == Seconds::ZERO { 0 } else { whole(seconds) })
}

/// "F♯4 C♮5 C♮4", "F♮ C♯": in the order in which they are printed on a page.
pub fn changes(all: &[Change]) -> String {
    let mut all: Vec<&Change> = all.iter().collect();
    all.sort_by_key(|c| c.mark().printed_place());
    all.into_iter().map(|c| arrange::moves::name(c.part, c.to)).collect::<Vec<_>>().join(" ")
}

/// "move 2 levers: C♮4 C♮5"; "nothing to move".
pub fn moves(all: &[Change]) -> String {
    let Some(first) = all.first() else { return "nothing to move".into() };
    let thing = if matches!(first.part, Part::Lever(_)) { "lever" } else { "pedal" };
    format!("move {}: {}", counted(all.len(), thing), changes(all))
}

/// What is said of a step beside its moves.
pub fn reasons(step: &Step, row: &InPlace) -> Vec<String> {
    let key = match step.price.key {
        0 => None,
        SAME_KEY => Some("the same key again".to_owned()),
        THIRD_IN_KEY => Some(format!("the third tune running in {:#}, or more", row.known.tune.key)),
        _ => None,
    };
    let kind = (step.price.kind > 0).then(|| format!("the third {} running, or more", row.known.tune.kind));
    key.into_iter().chain(kind).collect()
}

/// "link of 2 measures: G D7".
pub fn link(link: &Link) -> String {
    let chords: Vec<String> = link.chords.iter().map(|c| format!("{c:#}")).collect();
    format!("link of {}: {}", counted(link.chords.len(), "measure"), chords.join(" "))
}

/// What a link sounds like and does, a sentence each.
pub fn link_why(link: &Link) -> Vec<String> {
    let chords: Vec<String> = link.chords.iter().map(|c| format!("{c:#}")).collect();
    let takes = length_of(Clock::of_score(&link.score).played_end());
    let mut why = vec![format!("{} in the meter and pace of the next tune, {takes}", chords.join(" "))];
    match link.leads {
        Some((last, first)) if last == first => why.push(format!("its last note, {last:#}, is the first of the tune")),
        Some((last, first)) => why.push(format!("its last note, {last:#}, lies beside the first of the tune, {first:#}")),
        None => {}
    }
    why
}

/// "there is no time in a link of one measure for what has to be moved: 3 measures would do".
pub fn no_link(no: Missing) -> String {
    let measures = counted(usize::from(no.measures), "measure");
    let instead = match no.enough {
        Some(enough) => format!("{} would do", counted(enough, "measure")),
        None if no.why == NoLink::NoTime => "no longer one has it either; move them in silence, or put another tune between".into(),
        None => "go on after a breath".into(),
    };
    match no.why {
        NoLink::NoTime => format!("there is no time in a link of {measures} for what has to be moved: {instead}"),
        NoLink::NoHands | NoLink::NoTune => format!("no link of {measures} was found that can be played: {instead}"),
    }
}

/// The same for the stand, short.
pub fn no_link_short(no: Missing) -> &'static str {
    if no.why == NoLink::NoTime { "in silence: a link has no time for it" } else { "without a link" }
}

/// "7 levers are moved between the tunes. No order asks for less …"; nothing where there is nothing to order.
pub fn order(laid: &Laid) -> String {
    let best = &laid.best;
    if laid.tunes().count() < 2 {
        return String::new();
    }
    let thing = match laid.tunes().next().map(|t| &t.known.harp.mechanism) {
        Some(Mechanism::Pedals { .. }) => "pedal",
        _ => "lever",
    };
    let now = match best.moves {
        0 => format!("No {thing} is moved between the tunes."),
        1 => format!("One {thing} is moved between the tunes."),
        n => format!("{n} {thing}s are moved between the tunes."),
    };
    let held = if laid.set.hold_first || laid.set.hold_last { " with what is held" } else { "" };
    let found = match (best.least < best.price, best.proof) {
        (false, Proof::Cheapest) => format!("No order{held} asks for less, moves and keys that come again counted."),
        (false, Proof::Good) => format!("No order{held} was found that asks for less; with so many tunes not all were looked at."),
        (true, proof) => {
            let more = if best.fewest < best.moves {
                format!("another order{held} moves only {}", best.fewest)
            } else {
                format!("another order{held} lets keys and kinds vary more")
            };
            let sure = if proof == Proof::Cheapest { "" } else { " (a good one; with so many tunes not all were looked at)" };
            format!("But {more}{sure}.")
        }
    };
    format!("{now} {found}")
}

/// How everything is set before the set begins.
pub fn before(laid: &Laid) -> Option<String> {
    let first = laid.tunes().next()?;
    Some(first.stands.setting(&first.known.harp).line())
}

/// The whole set, a paragraph a tune.
pub fn text(laid: &Laid, title: &str) -> String {
    let mut text = format!("{title}: {}, {}\n", counted(laid.rows.len(), "tune"), length_of(laid.seconds()));
    if let Some(before) = before(laid) {
        text += &format!("Before the first note: {before}\n");
    }
    for (number, row) in (1..).zip(&laid.rows) {
        text += &self::row(number, row);
    }
    text + "\n" + &order(laid) + "\n"
}

fn row(number: usize, row: &Row) -> String {
    let tune = match &row.tune {
        Ok(tune) => tune,
        Err(why) => return format!("\n{number:>3}. {}\n     {why}\n", row.entry.tune),
    };
    let mut text = String::new();
    if let Some(step) = &row.between {
        let said: Vec<String> = std::iter::once(moves(&step.changes)).chain(reasons(step, tune)).collect();
        text += &format!("\n     {}\n", said.join("; "));
        match &step.link {
            Some(Ok(link)) => text += &format!("     {}; {}\n", self::link(link), link_why(link)[1..].join("; ")),
            Some(Err(no)) => text += &format!("     {}\n", no_link(*no)),
            None => {}
        }
    }
    text + &format!("\n{number:>3}. {}\n", heading(tune, row)) + &format!("     {}\n", details(tune).join("\n     "))
}

fn heading(tune: &InPlace, row: &Row) -> String {
    format!("{}: {}", tune.known.title, facts(tune, row.entry.times).join(", "))
}

/// "D major", "reel", "1:20", "twice 0:40".
pub fn facts(tune: &InPlace, times: u8) -> Vec<String> {
    let known = &tune.known.tune;
    let mut all = vec![format!("{:#}", known.key), known.kind.to_string(), length_of(tune.seconds)];
    if times > 1 {
        all.push(format!("{} {}", running(times), length_of(known.seconds)));
    }
    all
}

fn running(times: u8) -> String {
    match times {
        2 => "twice".into(),
        n => format!("{n} times"),
    }
}

fn details(tune: &InPlace) -> Vec<String> {
    let mut all = vec![tune.stands.setting(&tune.known.harp).line()];
    if !tune.again.is_empty() {
        all.push(format!("before it is played again: {}", changes(&tune.again)));
    }
    if !tune.known.ways_out.is_empty() {
        all.push(format!("out: {}", tune.known.ways_out));
    }
    all.extend(tune.known.lacks.clone());
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_in_words() {
        assert_eq!([length(0), length(65), length(3725)], ["0:00", "1:05", "1:02:05"]);
        assert_eq!(length_of(Seconds::from_millis(59_600)), "1:00");
    }
}
