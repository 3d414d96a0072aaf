//! The diary as plain text, to be read without this program and brought into another folder's diary: two tables (CSV, RFC 4180) and the records of the ladders (TOML).

use super::Diary;
use super::kept::{self, KeptTune, StepMark};
use super::stays::{self, Stay};
use crate::failure::Failure;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

pub const STAYS: &str = "practice.csv";
pub const MARKS: &str = "steps.csv";
pub const LADDERS: &str = "ladders.toml";

const STAYS_HEAD: [&str; 9] = ["day", "began", "tune", "title of the tune", "what", "title", "seconds", "beats a minute", "percent"];
const MARKS_HEAD: [&str; 7] = ["day", "at", "tune", "title of the tune", "step", "title", "state"];

/// A diary, all of it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Contents {
    pub stays: Vec<Stay>,
    pub marks: Vec<StepMark>,
    pub tunes: Vec<KeptTune>,
}

#[derive(Default, Serialize, Deserialize)]
struct Ladders {
    #[serde(default)]
    tune: Vec<KeptTune>,
}

/// What is to become of entries that stand in the diary with other words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Others {
    Stay,
    AreReplaced,
}

/// What bringing in does, or would do, in numbers of entries.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Brought {
    pub new: usize,
    pub same: usize,
    pub other: usize,
}

impl Contents {
    pub fn is_empty(&self) -> bool {
        *self == Contents::default()
    }

    /// The files, by name. The same diary gives the same bytes.
    pub fn files(&self) -> [(&'static str, String); 3] {
        let number = |n: Option<u32>| n.map_or_else(String::new, |n| n.to_string());
        let stays = self.stays.iter().map(|s| {
            [
                &s.day,
                &s.began.to_string(),
                &s.tune,
                &s.tune_title,
                &s.what,
                &s.title,
                &s.seconds.to_string(),
                &number(s.beats),
                &number(s.percent),
            ]
            .map(String::clone)
        });
        let marks =
            self.marks.iter().map(|m| [&m.day, &m.at.to_string(), &m.tune, &m.tune_title, &m.step, &m.title, &m.state].map(String::clone));
        let ladders = toml::to_string_pretty(&Ladders { tune: self.tunes.clone() }).expect("texts have a TOML form");
        [(STAYS, table(&STAYS_HEAD, stays)), (MARKS, table(&MARKS_HEAD, marks)), (LADDERS, ladders)]
    }

    /// Reads one of the files. Errors: its name, the line and what is wrong there.
    pub fn read(&mut self, name: &str, text: &str) -> Result<(), Failure> {
        match name {
            STAYS => {
                for (line, row) in rows(name, text, &STAYS_HEAD)? {
                    let stay = stay(&row).ok_or_else(|| wrong(name, line, "a number or a cell is not as expected"))?;
                    stay.check().map_err(|failure| wrong(name, line, &failure.to_string()))?;
                    self.stays.push(stay);
                }
            }
            MARKS => {
                for (line, row) in rows(name, text, &MARKS_HEAD)? {
                    self.marks.push(mark(&row).ok_or_else(|| wrong(name, line, "a number or a cell is not as expected"))?);
                }
            }
            _ => {
                let ladders: Ladders = toml::from_str(text).map_err(|error| Failure::wrong(format!("{name}: {}", error.message())))?;
                for tune in &ladders.tune {
                    tune.ladder.check()?;
                }
                self.tunes = ladders.tune;
            }
        }
        Ok(())
    }
}

fn wrong(name: &str, line: usize, what: &str) -> Failure {
    Failure::in_file(format_args!("{name}:{line}"), what)
}

fn stay(row: &[String]) -> Option<Stay> {
    let [day, began, tune, tune_title, what, title, seconds, beats, percent] = row else { return None };
    let number = |cell: &String| if cell.is_empty() { Some(None) } else { cell.parse().ok().map(Some) };
    Some(Stay {
        day: day.clone(),
        began: began.parse().ok()?,
        tune: tune.clone(),
        tune_title: tune_title.clone(),
        what: what.clone(),
        title: title.clone(),
        seconds: seconds.parse().ok()?,
        beats: number(beats)?,
        percent: number(percent)?,
    })
}

fn mark(row: &[String]) -> Option<StepMark> {
    let [day, at, tune, tune_title, step, title, state] = row.to_vec().try_into().ok()?;
    let known = ["passed", "not yet"].contains(&state.as_str()) && super::day::Day::parse(&day).is_some();
    let at = at.parse().ok().filter(|_| known)?;
    Some(StepMark { day, at, tune, tune_title, step, title, state })
}

fn table<const N: usize>(head: &[&str; N], rows: impl Iterator<Item = [String; N]>) -> String {
    let cell = |text: &str| {
        let plain = !text.contains(['"', ',', '\n', '\r']);
        if plain { text.to_owned() } else { format!("\"{}\"", text.replace('"', "\"\"")) }
    };
    let line = |cells: Vec<String>| cells.join(",") + "\r\n";
    let mut out = line(head.iter().map(|c| cell(c)).collect());
    out.extend(rows.map(|row| line(row.iter().map(|c| cell(c)).collect())));
    out
}

/// The rows under the head, each with the line in which it begins.
fn rows(name: &str, text: &str, head: &[&str]) -> Result<Vec<(usize, Vec<String>)>, Failure> {
    let mut all = split(text);
    if all.is_empty() || all[0].1 != head {
        return Err(wrong(name, 1, &format!("expected the columns {}", head.join(", "))));
    }
    Ok(all.split_off(1))
}

/// Cells in rows, with doubled quotes inside quoted ones.
fn split(text: &str) -> Vec<(usize, Vec<String>)> {
    let (mut all, mut row, mut cell) = (Vec::new(), Vec::new(), String::new());
    let (mut quoted, mut line, mut begins) = (false, 1, 1);
    let mut letters = text.trim_start_matches('\u{feff}').chars().peekable();
    while let Some(letter) = letters.next() {
        line += usize::from(letter == '\n');
        match letter {
            '"' if quoted && letters.peek() == Some(&'"') => cell.extend(letters.next()),
            '"' => quoted = !quoted,
            ',' if !quoted => row.push(std::mem::take(&mut cell)),
            '\r' if !quoted => {}
            '\n' if !quoted => {
                row.push(std::mem::take(&mut cell));
                all.push((begins, std::mem::take(&mut row)));
                begins = line;
            }
            other => cell.push(other),
        }
    }
    if !cell.is_empty() || !row.is_empty() {
        row.push(cell);
        all.push((begins, row));
    }
    all.retain(|(_, row)| row.iter().any(|cell| !cell.is_empty()));
    all
}

impl Diary<'_> {
    /// All that stands in the diary.
    pub fn contents(&self) -> Result<Contents, Failure> {
        Ok(Contents { stays: self.stays("")?, marks: self.marks("")?, tunes: self.tunes()? })
    }

    /// What bringing entries in would do.
    pub fn compare(&self, contents: &Contents) -> Result<Brought, Failure> {
        let now = self.contents()?;
        let Known { stays, marks, tunes } = now.known();
        let mut done = Brought::default();
        let mut count = |found: Option<bool>| match found {
            None => done.new += 1,
            Some(true) => done.same += 1,
            Some(false) => done.other += 1,
        };
        contents.stays.iter().for_each(|stay| count(stays.get(&stay_key(stay)).map(|s| *s == stay)));
        contents.marks.iter().for_each(|mark| count(marks.get(&mark_key(mark)).map(|m| *m == mark)));
        contents.tunes.iter().for_each(|tune| count(tunes.get(tune.name.as_str()).map(|t| *t == tune)));
        Ok(done)
    }

    /// Brings entries in, all or none.
    pub fn bring_in(&self, contents: &Contents, others: Others) -> Result<(), Failure> {
        if contents.is_empty() {
            return Ok(());
        }
        let now = self.contents()?;
        let Known { stays, marks, tunes } = now.known();
        let over = others == Others::AreReplaced;
        self.writing(|writing| {
            let put = || -> Result<(), rusqlite::Error> {
                let mut new = contents.stays.iter().filter(|s| over || !stays.contains_key(&stay_key(s)));
                new.try_for_each(|stay| stays::put(writing, stay))?;
                let mut new = contents.marks.iter().filter(|m| over || !marks.contains_key(&mark_key(m)));
                new.try_for_each(|mark| kept::put_mark(writing, mark))?;
                let mut new = contents.tunes.iter().filter(|t| over || !tunes.contains_key(t.name.as_str()));
                new.try_for_each(|tune| kept::put_tune(writing, tune))
            };
            put().map_err(|error| self.cannot("cannot save", error))
        })
    }
}

type StayKey<'a> = (i64, &'a str, &'a str, &'a str);
type MarkKey<'a> = (i64, &'a str, &'a str);

fn stay_key(stay: &Stay) -> StayKey<'_> {
    (stay.began, &stay.tune, &stay.what, &stay.title)
}

fn mark_key(mark: &StepMark) -> MarkKey<'_> {
    (mark.at, &mark.tune, &mark.step)
}

/// Entries by what tells one from another.
struct Known<'a> {
    stays: BTreeMap<StayKey<'a>, &'a Stay>,
    marks: BTreeMap<MarkKey<'a>, &'a StepMark>,
    tunes: BTreeMap<&'a str, &'a KeptTune>,
}

impl Contents {
    fn known(&self) -> Known<'_> {
        Known {
            stays: self.stays.iter().map(|s| (stay_key(s), s)).collect(),
            marks: self.marks.iter().map(|m| (mark_key(m), m)).collect(),
            tunes: self.tunes.iter().map(|t| (t.name.as_str(), t)).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::practice::record::Practised;

    fn contents() -> Contents {
        let stay = Stay {
            day: "2026-11-26".into(),
            began: 1_795_687_200_000,
            tune: "a, \"b\".abc".into(),
            tune_title: "Mórag's\nSong".into(),
            what: "step".into(),
            title: "Roots".into(),
            seconds: 725,
            beats: Some(84),
            percent: None,
        };
        let mark = StepMark {
            day: stay.day.clone(),
            at: stay.began,
            tune: stay.tune.clone(),
            tune_title: "x".into(),
            step: "roots".into(),
            title: "Roots".into(),
            state: "passed".into(),
        };
        let ladder =
            Practised { at: Some("roots".into()), steps: [("roots".to_owned(), "passed".to_owned())].into(), ..Practised::default() };
        let tune = KeptTune { name: stay.tune.clone(), title: "x".into(), resting: true, ladder };
        Contents { stays: vec![stay], marks: vec![mark], tunes: vec![tune] }
    }

    #[test]
    fn texts_come_back() {
        let mut back = Contents::default();
        for (name, text) in contents().files() {
            back.read(name, &text).expect("our own text");
        }
        assert_eq!(back, contents());
        assert_eq!(
            contents().files()[1].1,
            "day,at,tune,title of the tune,step,title,state\r\n2026-11-26,1795687200000,\"a, \"\"b\"\".abc\",x,roots,Roots,passed\r\n"
        );
    }

    #[test]
    fn a_mistake_has_its_line() {
        let [(name, text), ..] = contents().files();
        let says = |text: &str| Contents::default().read(name, text).expect_err("a mistake").text();
        assert_eq!(says(&text.replace("725", "soon")).as_deref(), Some("practice.csv:2: error: a number or a cell is not as expected"));
        assert_eq!(
            says(&text.replace("725", "0")).as_deref(),
            Some("practice.csv:2: error: how long was it? Between a minute and a day is written down")
        );
        assert!(says("a,b\r\n").is_some_and(|said| said.starts_with("practice.csv:1: error: expected the columns day, began")));
    }
}
