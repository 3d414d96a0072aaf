//! What the page is told of the diary: what needs a visit, the last weeks, and the days one by one.

use super::Diary;
use super::day::{Day, WEEKDAYS};
use super::kept::StepMark;
use super::picture::{self, Field};
use super::stays::Stay;
use super::visits::{self, ENOUGH, Next, Visited};
use crate::failure::Failure;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};

/// What is known of a tune's visits.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Visit {
    pub tune: String,
    pub title: String,
    pub next: Next,
    pub resting: bool,
}

/// Everything that a page asks of a diary.
struct Pages {
    stays: Vec<Stay>,
    marks: Vec<StepMark>,
    visits: Vec<Visit>,
}

/// What is known of a tune: its title, and its days.
#[derive(Default)]
struct Known<'a> {
    title: &'a str,
    days: BTreeMap<Day, OfDay<'a>>,
}

#[derive(Default)]
struct OfDay<'a> {
    seconds: u32,
    marks: Vec<&'a StepMark>,
}

impl Diary<'_> {
    /// The tunes that lie on the shelf and were practised, the one that is due first at the front.
    pub fn visits(&self) -> Result<Vec<Visit>, Failure> {
        self.visits_of(&self.stays("")?, &self.marks("")?)
    }

    fn visits_of(&self, stays: &[Stay], marks: &[StepMark]) -> Result<Vec<Visit>, Failure> {
        let here: BTreeSet<String> = self.shelf.tunes()?.into_iter().map(|spine| spine.id).collect();
        let resting: BTreeSet<String> = self.tunes()?.into_iter().filter(|t| t.resting).map(|t| t.name).collect();
        let mut tunes: BTreeMap<&str, Known> = BTreeMap::new();
        for stay in stays.iter().filter(|s| here.contains(&s.tune)) {
            let Some(day) = Day::parse(&stay.day) else { continue };
            let tune = tunes.entry(&stay.tune).or_default();
            tune.title = &stay.tune_title;
            tune.days.entry(day).or_default().seconds += stay.seconds;
        }
        for mark in marks.iter().filter(|m| here.contains(&m.tune)) {
            let Some(day) = Day::parse(&mark.day) else { continue };
            let tune = tunes.entry(&mark.tune).or_default();
            tune.title = &mark.tune_title;
            tune.days.entry(day).or_default().marks.push(mark);
        }
        let visit = |(tune, known): (&str, Known)| {
            let visited = known.days.iter().filter(|(_, of)| of.seconds >= ENOUGH || !of.marks.is_empty());
            let days: Vec<Visited> =
                visited.map(|(day, of)| Visited { day: *day, not_yet: of.marks.iter().any(|m| m.state != "passed") }).collect();
            let next = visits::next(&days)?;
            let title = if known.title.is_empty() { tune } else { known.title };
            Some(Visit { tune: tune.into(), title: title.into(), next, resting: resting.contains(tune) })
        };
        let mut visits: Vec<Visit> = tunes.into_iter().filter_map(visit).collect();
        visits.sort_by(|a, b| a.next.due.cmp(&b.next.due).then_with(|| a.title.cmp(&b.title)).then_with(|| a.tune.cmp(&b.tune)));
        Ok(visits)
    }

    /// The diary as the page shows it on a day.
    pub fn facts(&self, today: Day) -> Result<Value, Failure> {
        let (stays, marks) = (self.stays("")?, self.marks("")?);
        let visits = self.visits_of(&stays, &marks)?;
        let first = picture::first(today);
        let recent = |day: &str| Day::parse(day).is_some_and(|day| day >= first && day <= today.plus(1));
        let pages = Pages {
            stays: stays.into_iter().filter(|s| recent(&s.day)).collect(),
            marks: marks.into_iter().filter(|m| recent(&m.day)).collect(),
            visits,
        };
        let field = |day: Day| pages.field(day);
        let (resting, waking): (Vec<&Visit>, Vec<&Visit>) = pages.visits.iter().partition(|v| v.resting);
        let (due, coming): (Vec<&Visit>, Vec<&Visit>) = waking.into_iter().partition(|v| v.next.due <= today);
        let all = |visits: &[&Visit]| visits.iter().map(|v| told(v, today)).collect::<Vec<_>>();
        Ok(json!({
            "today": today.to_string(),
            "due": all(&due),
            "coming": all(&coming),
            "resting": all(&resting),
            "rule": visits::RULE,
            "weeks": {
                "svg": picture::svg(today, &field),
                "said": picture::sentence(today, &field),
                "rows": (0..picture::WEEKS).map(|w| week(first.plus(7 * w), today, &field)).collect::<Vec<_>>(),
            },
            "days": pages.days(today),
        }))
    }
}

fn told(visit: &Visit, today: Day) -> Value {
    let Next { last, pause, due } = visit.next;
    json!({
        "tune": visit.tune, "title": visit.title, "pause": pause,
        "last": ago(today.since(last)),
        "due": match due.since(today) { 0 => "today".to_owned(), n if n < 0 => ago(-n), 1 => "tomorrow".to_owned(), n => format!("in {n} days") },
    })
}

fn ago(days: i32) -> String {
    match days {
        ..=0 => "today".into(),
        1 => "yesterday".into(),
        n => format!("{n} days ago"),
    }
}

fn week(monday: Day, today: Day, field: &dyn Fn(Day) -> Field) -> Value {
    let days: Vec<Option<Field>> = (0..7).map(|n| monday.plus(n)).map(|d| (d <= today).then(|| field(d))).collect();
    let told = |f: &Option<Field>| f.as_ref().map(|f| json!({"minutes": picture::minutes(f.seconds), "passed": f.passed}));
    let seconds: u32 = days.iter().flatten().map(|f| f.seconds).sum();
    json!({"monday": monday.words(), "days": days.iter().map(told).collect::<Vec<_>>(), "minutes": picture::minutes(seconds)})
}

impl Pages {
    fn field(&self, day: Day) -> Field {
        let day = day.to_string();
        let seconds = self.stays.iter().filter(|s| s.day == day).map(|s| s.seconds).sum();
        let passed = self.marks.iter().filter(|m| m.day == day && m.state == "passed").count() as u32;
        Field { seconds, passed }
    }

    /// Day by day, the latest first, and in each the tunes in the order in which they were begun.
    fn days(&self, today: Day) -> Vec<Value> {
        let names = self.stays.iter().map(|s| s.day.as_str()).chain(self.marks.iter().map(|m| m.day.as_str()));
        let days: BTreeSet<&str> = names.collect();
        days.into_iter().rev().filter_map(|day| Some((day, Day::parse(day)?))).map(|(name, day)| self.day(name, day, today)).collect()
    }

    fn day(&self, name: &str, day: Day, today: Day) -> Value {
        let (stays, marks): (Vec<&Stay>, Vec<&StepMark>) =
            (self.stays.iter().filter(|s| s.day == name).collect(), self.marks.iter().filter(|m| m.day == name).collect());
        let mut order: Vec<(i64, &str, &str)> = Vec::new();
        let all = stays.iter().map(|s| (s.began, s.tune.as_str(), s.tune_title.as_str()));
        for (at, tune, title) in all.chain(marks.iter().map(|m| (m.at, m.tune.as_str(), m.tune_title.as_str()))) {
            if !order.iter().any(|(_, t, _)| *t == tune) {
                order.push((at, tune, title));
            }
        }
        order.sort();
        let words = match today.since(day) {
            0 => "Today".to_owned(),
            1 => "Yesterday".to_owned(),
            _ => format!("{}, {}", WEEKDAYS[day.weekday()], day.words()),
        };
        let tune = |(_, tune, title): &(i64, &str, &str)| {
            let sat = together(stays.iter().filter(|s| s.tune == *tune));
            let marked = |m: &&&StepMark| m.tune == *tune;
            let marks: Vec<Value> = marks.iter().filter(marked).map(|m| json!({"title": m.title, "state": m.state})).collect();
            json!({"tune": tune, "title": if title.is_empty() { tune } else { title }, "stays": sat, "marks": marks})
        };
        let seconds: u32 = stays.iter().map(|s| s.seconds).sum();
        json!({"day": name, "words": words, "length": (seconds > 0).then(|| picture::length(seconds)), "tunes": order.iter().map(tune).collect::<Vec<_>>()})
    }
}

/// Stays of a day at the same thing are told as one.
fn together<'a>(stays: impl Iterator<Item = &'a &'a Stay>) -> Vec<Value> {
    let mut groups: Vec<Vec<&Stay>> = Vec::new();
    for stay in stays {
        match groups.iter_mut().find(|g| g[0].what == stay.what && g[0].title == stay.title) {
            Some(group) => group.push(stay),
            None => groups.push(vec![stay]),
        }
    }
    groups.iter().map(|group| json!({"title": group[0].title, "stays": group, "words": words_of(group)})).collect()
}

/// "Open fifths: 12 min, last at 84 beats a minute (80 % of the tune's tempo)".
fn words_of(stays: &[&Stay]) -> String {
    let last = stays.iter().rev().find(|s| s.beats.is_some() || s.percent.is_some());
    let tempo = match last.map(|s| (s.beats, s.percent)) {
        Some((Some(beats), Some(percent))) if percent != 100 => {
            format!(", last at {beats} beats a minute ({percent} % of the tune's tempo)")
        }
        Some((Some(beats), _)) => format!(", last at {beats} beats a minute"),
        Some((None, Some(percent))) => format!(", last at {percent} % of its tempo"),
        _ => String::new(),
    };
    format!("{}: {}{tempo}", stays[0].title, picture::length(stays.iter().map(|s| s.seconds).sum()))
}
