//! The tunes of the diary: the record of each ladder, steps as they were marked, what rests, and a tune's way into the bin and back.

use super::{Diary, Moment, short};
use crate::failure::Failure;
use crate::practice::record::{Change, Keeper, Practised, beside};
use rusqlite::{Connection, Error, OptionalExtension, Transaction, params};
use serde::{Deserialize, Serialize};

/// A step marked.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct StepMark {
    /// On her calendar.
    pub day: String,
    /// Milliseconds since 1970.
    pub at: i64,
    pub tune: String,
    pub tune_title: String,
    pub step: String,
    pub title: String,
    /// "passed" or "not yet".
    pub state: String,
}

/// A tune of the diary.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptTune {
    pub name: String,
    #[serde(default)]
    pub title: String,
    /// No visit is asked for.
    #[serde(default)]
    pub resting: bool,
    #[serde(default)]
    pub ladder: Practised,
}

impl Keeper for Diary<'_> {
    fn read(&self, tune: &str) -> Result<Practised, Failure> {
        let text =
            self.reading(|c| c.query_row("SELECT record FROM tune WHERE name = ?", [tune], |row| row.get::<_, String>(0)).optional())?;
        match text.flatten() {
            Some(text) => record(tune, &text),
            None => beside(self.shelf, tune),
        }
    }

    fn keep(&self, change: &Change) -> Result<(), Failure> {
        change.practised.check()?;
        short(&[change.tune, change.tune_title])?;
        self.writing(|writing| {
            let mut tune = self.tune(writing, change.tune)?;
            for (step, state) in &change.practised.steps {
                if tune.ladder.steps.get(step) != Some(state) {
                    let title = (change.title_of)(step);
                    let Moment { millis, day } = change.moment;
                    let mark = StepMark {
                        day: day.to_string(),
                        at: millis,
                        tune: change.tune.into(),
                        tune_title: change.tune_title.into(),
                        step: step.clone(),
                        title,
                        state: state.clone(),
                    };
                    put_mark(writing, &mark).map_err(|error| self.cannot("cannot save", error))?;
                }
            }
            tune.title = change.tune_title.into();
            tune.ladder = change.practised.clone();
            put_tune(writing, &tune).map_err(|error| self.cannot("cannot save", error))
        })
    }
}

impl Diary<'_> {
    /// A tune as it stands, with what an older program kept beside it where the diary has nothing yet.
    pub(super) fn tune(&self, connection: &Connection, name: &str) -> Result<KeptTune, Failure> {
        let mut found = tunes_where(connection, "name = ?", &[&name]).map_err(|error| self.cannot("cannot read", error))?;
        match found.pop() {
            Some(tune) => tune.kept(),
            None => Ok(KeptTune { name: name.into(), ladder: beside(self.shelf, name)?, ..KeptTune::default() }),
        }
    }

    /// No visit is asked for while a tune rests.
    pub fn rest(&self, name: &str, title: &str, resting: Resting) -> Result<(), Failure> {
        short(&[name, title])?;
        self.writing(|writing| {
            let tune = KeptTune { title: title.into(), resting: resting == Resting::Yes, ..self.tune(writing, name)? };
            put_tune(writing, &tune).map_err(|error| self.cannot("cannot save", error))
        })
    }

    /// A tune has gone to another place: everything that is known of it goes with it. A record that was left there by a tune no longer there is replaced.
    pub fn moved(&self, from: &str, to: &str) -> Result<(), Failure> {
        let ask = "SELECT EXISTS (SELECT 1 FROM tune WHERE name = ?1 UNION SELECT 1 FROM stay WHERE tune = ?1 UNION SELECT 1 FROM mark WHERE tune = ?1)";
        let known = self.reading(|c| c.query_row(ask, [from], |row| row.get::<_, bool>(0)))?;
        if known != Some(true) {
            return Ok(());
        }
        let renames = [
            "UPDATE OR REPLACE tune SET name = ?1 WHERE name = ?2",
            "UPDATE OR REPLACE stay SET tune = ?1 WHERE tune = ?2",
            "UPDATE OR REPLACE mark SET tune = ?1 WHERE tune = ?2",
        ];
        self.writing(|writing| {
            let mut rename = renames.iter().map(|rename| writing.execute(rename, [to, from]));
            rename.try_for_each(|done| done.map(drop)).map_err(|error| self.cannot("cannot save", error))
        })
    }

    /// The tunes of the diary by name.
    pub fn tunes(&self) -> Result<Vec<KeptTune>, Failure> {
        let rows = self.reading(|c| tunes_where(c, "1", &[]))?.unwrap_or_default();
        rows.into_iter().map(Row::kept).collect()
    }

    /// The steps marked since a day, the earliest first.
    pub fn marks(&self, since: &str) -> Result<Vec<StepMark>, Failure> {
        Ok(self.reading(|c| marks(c, since))?.unwrap_or_default())
    }
}

/// Whether a tune rests.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Resting {
    Yes,
    No,
}

/// A tune as its row has it.
pub(super) struct Row {
    name: String,
    title: String,
    record: String,
    resting: bool,
}

impl Row {
    fn kept(self) -> Result<KeptTune, Failure> {
        Ok(KeptTune { ladder: record(&self.name, &self.record)?, name: self.name, title: self.title, resting: self.resting })
    }
}

fn record(tune: &str, text: &str) -> Result<Practised, Failure> {
    toml::from_str(text).map_err(|error| Failure::wrong(format!("what is kept of {tune} in the diary cannot be read: {}", error.message())))
}

pub(super) fn tunes_where(connection: &Connection, which: &str, by: &[&dyn rusqlite::ToSql]) -> Result<Vec<Row>, Error> {
    let mut asked = connection.prepare(&format!("SELECT name, title, record, resting FROM tune WHERE {which} ORDER BY name"))?;
    let row = |row: &rusqlite::Row| Ok(Row { name: row.get(0)?, title: row.get(1)?, record: row.get(2)?, resting: row.get(3)? });
    asked.query_map(by, row)?.collect()
}

pub(super) fn marks(connection: &Connection, since: &str) -> Result<Vec<StepMark>, Error> {
    let mut asked =
        connection.prepare("SELECT day, at, tune, tune_title, step, title, state FROM mark WHERE day >= ? ORDER BY at, tune, step")?;
    let row = |row: &rusqlite::Row| {
        Ok(StepMark {
            day: row.get(0)?,
            at: row.get(1)?,
            tune: row.get(2)?,
            tune_title: row.get(3)?,
            step: row.get(4)?,
            title: row.get(5)?,
            state: row.get(6)?,
        })
    };
    asked.query_map([since], row)?.collect()
}

pub(super) fn put_tune(writing: &Transaction, tune: &KeptTune) -> Result<(), Error> {
    let record = toml::to_string_pretty(&tune.ladder).expect("texts have a TOML form");
    let put = "INSERT INTO tune (name, title, record, resting) VALUES (?1, ?2, ?3, ?4)
        ON CONFLICT (name) DO UPDATE SET title = ?2, record = ?3, resting = ?4";
    writing.execute(put, params![tune.name, tune.title, record, tune.resting]).map(drop)
}

pub(super) fn put_mark(writing: &Transaction, mark: &StepMark) -> Result<(), Error> {
    let put = "INSERT OR REPLACE INTO mark (day, at, tune, tune_title, step, title, state) VALUES (?, ?, ?, ?, ?, ?, ?)";
    writing.execute(put, params![mark.day, mark.at, mark.tune, mark.tune_title, mark.step, mark.title, mark.state]).map(drop)
}
