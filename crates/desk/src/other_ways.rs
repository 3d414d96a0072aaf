//! Other ways for the phrase of a measure, told in words and ready to be drawn; what it takes to take one is in each.

use crate::choices::Choices;
use crate::difference::{line, numbers};
use crate::excerpt::{excerpt, plucked};
use crate::report::phrases::spaced;
use crate::wishes::ways::written;
use crate::worktable::Worktable;
use arrange::ways::OtherWay;
use harmony::Pickup;
use music::{MeasureNumber, Pitch, Score};
use serde::Serialize;
use std::collections::BTreeMap;
use std::ops::Range;

/// The most measures of a phrase that are offered together, and how many a longer one is parted into.
const MOST: usize = 8;
const PART: usize = 4;
/// Names of basses that are told.
const MOST_BASSES: usize = 8;

/// What there is for a phrase.
#[derive(Clone, Debug, Serialize)]
pub struct Offered {
    /// The first measure of the page and the one after the last, from 0.
    pub from: usize,
    pub to: usize,
    /// "measures 5-8".
    pub phrase: String,
    /// The measure she looks at, as printed.
    #[serde(serialize_with = "crate::number::one")]
    pub number: MeasureNumber,
    pub ways: Vec<Offer>,
}

/// One way.
#[derive(Clone, Debug, Serialize)]
pub struct Offer {
    /// What she hears of it, in a few words.
    pub words: String,
    pub worth: String,
    pub why_not: String,
    pub extra: i64,
    /// Whether it plucks otherwise in the measure she looks at.
    pub here: bool,
    /// The lines that hold it, by the printed number: see [`crate::wishes::ways`].
    pub ways: BTreeMap<String, String>,
    #[serde(skip)]
    pub musicxml: String,
}

/// The measures that go together with one: its phrase without pickups, or a part of a long one.
pub fn stretch(worktable: &Worktable, index: usize) -> Option<Range<usize>> {
    let phrases = &worktable.job.arrangement.phrases;
    let place = phrases.measures.get(index)?;
    let whole: Vec<usize> =
        phrases.phrases.get(place.phrase)?.measures.iter().copied().filter(|m| phrases.measures[*m].pickup == Pickup::No).collect();
    let (first, last) = (*whole.first()?, *whole.last()?);
    if last + 1 - first <= MOST {
        return Some(first..last + 1);
    }
    let from = first + (index.max(first) - first) / PART * PART;
    Some(from..(from + PART).min(last + 1))
}

/// Her choices without what she holds in a stretch; nothing where she holds nothing there.
pub fn let_go(worktable: &Worktable, stretch: Range<usize>) -> Option<Choices> {
    let mut choices = worktable.choices.clone();
    for measure in &worktable.job.arrangement.score.measures[stretch] {
        let number = measure.frame.number.to_string();
        choices.ways.remove(&number);
        choices.holds.remove(&number);
    }
    (choices != worktable.choices).then_some(choices)
}

/// Other ways for a stretch with a measure she looks at. `free` is the same tune without what she holds there.
pub fn offered(worktable: &Worktable, free: &Worktable, stretch: Range<usize>, index: usize) -> Offered {
    let (score, arrangement) = (&worktable.job.arrangement.score, &free.job.arrangement);
    let setup = &free.setup;
    let made =
        arrangement.other_ways((&setup.figures, &setup.harp, &setup.player, &free.job.wishes), &worktable.job.arrangement, stretch.clone());
    let here = |way: &OtherWay, m: usize| plucked(&arrangement.accompaniment(way, m)) != plucked(score.measures[m].accompaniment());
    let offer = |way: &OtherWay| Offer {
        words: in_words(score, &stretch, way),
        worth: way.worth.to_string(),
        why_not: way.why_not.clone(),
        extra: way.extra,
        here: here(way, index),
        ways: arrangement.held(way).iter().map(|(number, plucks)| (number.to_string(), written(plucks))).collect(),
        musicxml: excerpt(score, stretch.clone(), &|m| arrangement.accompaniment(way, m)),
    };
    Offered {
        from: stretch.start,
        to: stretch.end,
        phrase: numbers(score, stretch.clone()),
        number: score.measures[index].frame.number,
        ways: made.iter().map(offer).collect(),
    }
}

/// "Flowing; the bass goes down, G F♯ E D; fuller: 14 plucks, now 9".
fn in_words(score: &Score, stretch: &Range<usize>, way: &OtherWay) -> String {
    let figures: Vec<String> = way.figures.iter().map(|f| spaced(f)).collect();
    let now: usize = score.measures[stretch.clone()].iter().map(|m| plucked(m.accompaniment()).len()).sum();
    let then = way.plucks().count();
    let amount = match () {
        () if then * 6 > now * 7 => format!("fuller: {then} plucks, now {now}"),
        () if then * 7 < now * 6 => format!("lighter: {then} plucks, now {now}"),
        () => format!("{then} plucks"),
    };
    let place = height(way.plucks().flat_map(|p| &p.pitches))
        - height(score.measures[stretch.clone()].iter().flat_map(|m| m.accompaniment()).flat_map(|n| &n.pitches));
    let place = match () {
        () if place <= -HIGHER => "lower",
        () if place >= HIGHER => "higher",
        () => "",
    };
    let first = if figures.is_empty() { "the left hand rests".to_owned() } else { listed(&figures) };
    [first, bass(&way.basses()), amount, place.into()].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("; ")
}

/// Strings, in tenths, by which a way has to lie higher to be called so.
const HIGHER: i64 = 20;

/// The mean of the strings, in tenths.
fn height<'p>(pitches: impl Iterator<Item = &'p Pitch>) -> i64 {
    let (sum, count) = pitches.fold((0, 0), |(sum, count), p| (sum + i64::from(p.position()), count + 1));
    sum * 10 / count.max(1)
}

fn bass(basses: &[Pitch]) -> String {
    let mut names: Vec<String> = basses.iter().map(|p| format!("{:#}", p.name())).collect();
    names.dedup();
    match (line(basses), names.as_slice()) {
        (_, []) => String::new(),
        (_, [one]) => format!("the bass stays on {one}"),
        (way, some) => {
            let more = if some.len() > MOST_BASSES { " …" } else { "" };
            let told = some.iter().take(MOST_BASSES).cloned().collect::<Vec<_>>().join(" ");
            way.map_or_else(|| format!("bass {told}{more}"), |way| format!("the bass {way}, {told}{more}"))
        }
    }
}

fn listed(names: &[String]) -> String {
    match names {
        [first @ .., last] if !first.is_empty() => format!("{}, then {last}", first.join(", ")),
        all => all.concat(),
    }
}
