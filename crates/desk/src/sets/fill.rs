//! A set for a time: which tunes of hers, each how often.

use super::source::Source;
use super::{Entry, TuneSet};
use crate::failure::Failure;
use practice::set::choose::{LONGEST, choose, whole};
use practice::set::{MOST, Mood};

/// What is wished.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wished {
    pub minutes: u32,
    pub mood: Mood,
}

/// The tunes that were chosen, and a sentence about how.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Filled {
    pub tunes: Vec<Entry>,
    pub words: String,
}

impl Wished {
    /// Errors: no such time or mood.
    pub fn of(minutes: u32, mood: &str) -> Result<Wished, Failure> {
        let most = LONGEST / 60;
        if minutes == 0 || minutes as usize > most {
            return Err(Failure::wrong(format!("{minutes} minutes: expected 1 to {most}")));
        }
        let mood = Mood::parse(mood).ok_or_else(|| {
            let all = Mood::ALL.map(Mood::name).join(", ");
            Failure::wrong(format!("music that is \"{mood}\": expected one of {all}"))
        })?;
        Ok(Wished { minutes, mood })
    }
}

/// Tunes out of these for a time. Those that cannot be arranged are passed over, and that is said. Errors: none of them suits.
pub fn fill(ids: &[String], wished: Wished, source: &dyn Source) -> Result<Filled, Failure> {
    let Wished { minutes, mood } = wished;
    let (mut suits, mut not) = (Vec::new(), 0);
    for id in ids {
        match source.known(id) {
            Ok(known) if mood.suits(known.tune.kind) => suits.push((id, known.tune.seconds)),
            Ok(_) => {}
            Err(_) => not += 1,
        }
    }
    if suits.is_empty() {
        return Err(Failure::wrong(format!("none of the tunes is {mood} ({})", mood.kinds())));
    }
    let lengths: Vec<_> = suits.iter().map(|(_, length)| *length).collect();
    let chosen = choose(&lengths, minutes as usize * 60);
    let mut tunes: Vec<Entry> = chosen.tunes.iter().map(|(t, times)| Entry { times: *times, ..Entry::of(suits[*t].0) }).collect();
    let mut words = format!(
        "{} of {} {} come to {}, nearest to {}",
        counted(tunes.len(), "tune"),
        suits.len(),
        if mood == Mood::Any { "tunes".to_owned() } else { format!("{mood} tunes ({})", mood.kinds()) },
        super::words::length(chosen.seconds),
        super::words::length(minutes as usize * 60),
    );
    if tunes.iter().any(|t| t.times > 1) {
        words += "; there is not enough music to play each once";
    }
    let all: usize = lengths.iter().map(|l| 3 * whole(*l)).sum();
    if all < minutes as usize * 60 {
        words += "; more would play a tune more than three times";
    }
    if tunes.len() > MOST {
        tunes.truncate(MOST);
        words += &format!("; a set has {MOST} tunes at most");
    }
    if not > 0 {
        words += &format!("; {} that cannot be arranged passed over", counted(not, "tune"));
    }
    Ok(Filled { tunes, words: words + "." })
}

/// "one tune", "5 tunes".
pub fn counted(number: usize, thing: &str) -> String {
    match number {
        1 => format!("one {thing}"),
        n => format!("{n} {thing}s"),
    }
}

impl TuneSet {
    /// A set of chosen tunes.
    pub fn filled(title: &str, filled: &Filled) -> TuneSet {
        TuneSet { title: title.to_owned(), tunes: filled.tunes.clone(), ..TuneSet::default() }
    }
}
