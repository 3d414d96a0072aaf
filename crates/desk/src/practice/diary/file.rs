//! The file of the diary: opened, made where it is missing, left alone where it is not ours or newer than this program.
//!
//! What was said to be kept is in the one file and on the disk: no second file holds a part of it once a question is answered (a rollback journal that is deleted,
//! `synchronous = EXTRA`), and what a kill has left half done is rolled back when the file is next opened.

use super::{Diary, FILE};
use crate::failure::{Failure, Hindrance};
use crate::file_form;
use crate::plain_file::{self, Most};
use rusqlite::{Connection, Error, ErrorCode, OpenFlags, Transaction, TransactionBehavior};
use std::fs::File;
use std::io::Read;
use std::path::Path;
use std::time::Duration;

/// Marks the file as a diary: "Undr".
const OURS: i32 = 0x556e_6472;
/// The form of the tables. A file with a higher number comes from a newer program.
const FORM: i32 = 1;
/// A hundred years of practice are far smaller.
const LARGEST: Most = Most { bytes: 1024 * 1024 * 1024, of: "a diary" };
/// How long another start of the program is waited for.
const PATIENCE: Duration = Duration::from_secs(5);

/// `tune.name` is the file's name in the folder, with "bin/" before it while the tune is in the bin. `tune.record` is the record of its ladder as TOML. A stay is one
/// sitting at one thing, a mark one step marked; both keep the titles as they were then, and the day on her calendar.
const TABLES: &str = "
    CREATE TABLE tune (name TEXT PRIMARY KEY, title TEXT NOT NULL, record TEXT NOT NULL, resting INTEGER NOT NULL DEFAULT 0) STRICT;
    CREATE TABLE stay (
        began INTEGER NOT NULL, tune TEXT NOT NULL, what TEXT NOT NULL, title TEXT NOT NULL, tune_title TEXT NOT NULL, day TEXT NOT NULL,
        seconds INTEGER NOT NULL, beats INTEGER, percent INTEGER, PRIMARY KEY (began, tune, what, title)
    ) STRICT;
    CREATE INDEX stay_by_day ON stay (day);
    CREATE TABLE mark (
        at INTEGER NOT NULL, tune TEXT NOT NULL, step TEXT NOT NULL, title TEXT NOT NULL, tune_title TEXT NOT NULL, day TEXT NOT NULL,
        state TEXT NOT NULL, PRIMARY KEY (at, tune, step)
    ) STRICT;
    CREATE INDEX mark_by_day ON mark (day);";

fn newer(form: i32) -> Failure {
    file_form::newer(FILE, i64::from(form), i64::from(FORM), "nothing that you practise is written down")
}

/// Looks at the head of the file alone (SQLite's file format, 1.3: the user version at byte 60, the application ID at 68): to open it with the database would already
/// change it where a newer program keeps another journal.
fn refuse_newer(path: &Path) -> Result<(), Failure> {
    let mut head = Vec::new();
    let read = File::open(path).and_then(|file| file.take(100).read_to_end(&mut head));
    read.map_err(|error| Failure::world("cannot read", path, &error))?;
    let number = |at: usize| head.get(at..at + 4).and_then(|bytes| Some(i32::from_be_bytes(bytes.try_into().ok()?)));
    match (number(68), number(60)) {
        (Some(OURS), Some(form)) if form > FORM => Err(newer(form)),
        _ => Ok(()),
    }
}

impl Diary<'_> {
    /// Reads from the diary; what is asked of it where there is none yet is `None`. Errors: it cannot be read, or is not ours to read.
    pub(super) fn reading<T>(&self, ask: impl FnOnce(&Connection) -> Result<T, Error>) -> Result<Option<T>, Failure> {
        if !self.path().exists() {
            return Ok(None);
        }
        let connection = self.open(OpenFlags::empty())?;
        match self.form(&connection)? {
            0 => Ok(None),
            _ => ask(&connection).map(Some).map_err(|error| self.cannot("cannot read", error)),
        }
    }

    /// Writes into the diary, all of it or nothing. Errors: it cannot be written, or is not ours to write.
    pub(super) fn writing<T>(&self, act: impl FnOnce(&Transaction) -> Result<T, Failure>) -> Result<T, Failure> {
        let cannot = |error| self.cannot("cannot save", error);
        let mut connection = self.open(OpenFlags::SQLITE_OPEN_CREATE)?;
        let writing = connection.transaction_with_behavior(TransactionBehavior::Immediate).map_err(cannot)?;
        if self.form(&writing)? == 0 {
            writing.execute_batch(TABLES).map_err(cannot)?;
            writing.pragma_update(None, "application_id", OURS).map_err(cannot)?;
            writing.pragma_update(None, "user_version", FORM).map_err(cannot)?;
        }
        let done = act(&writing)?;
        writing.commit().map_err(cannot)?;
        Ok(done)
    }

    fn open(&self, more: OpenFlags) -> Result<Connection, Failure> {
        let path = self.path();
        if path.exists() {
            plain_file::look(&path, LARGEST)?;
            refuse_newer(&path)?;
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX | more;
        let opened = Connection::open_with_flags(&path, flags).and_then(|connection| {
            connection.busy_timeout(PATIENCE)?;
            connection.pragma_update(None, "trusted_schema", false)?;
            connection.pragma_update(None, "journal_mode", "DELETE")?;
            connection.pragma_update(None, "synchronous", "EXTRA")?;
            Ok(connection)
        });
        opened.map_err(|error| self.cannot("cannot open", error))
    }

    /// The form of the tables; 0 for a file in which there is nothing. Errors: the file is another program's, or a newer one's.
    fn form(&self, connection: &Connection) -> Result<i32, Failure> {
        let number = |name: &str| connection.pragma_query_value(None, name, |row| row.get::<_, i32>(0));
        let tables = || connection.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get::<_, i64>(0));
        let known = number("application_id").and_then(|id| Ok((id, number("user_version")?, tables()?)));
        match known.map_err(|error| self.cannot("cannot read", error))? {
            (0, 0, 0) => Ok(0),
            (OURS, FORM, _) => Ok(FORM),
            (OURS, form, _) if form > FORM => Err(newer(form)),
            _ => Err(Failure::wrong(format!(
                "{FILE} is no diary of Undersong: it is left as it is; give it another name to begin a new one"
            ))),
        }
    }

    /// What an error of the database is for her.
    pub(super) fn cannot(&self, attempted: &str, error: Error) -> Failure {
        let path = self.path();
        let world = |why| Failure::File { attempted: attempted.to_owned(), path: path.clone(), why };
        let other = |why: &str| world(Hindrance::Other(why.to_owned()));
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => world(Hindrance::DiskFull),
            // The system refuses to let the file grow, or the disk is broken: both say so here.
            Some(ErrorCode::SystemIoFailure) => world(Hindrance::DiskFullOrBroken),
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => world(Hindrance::NotAllowed),
            Some(ErrorCode::CannotOpen) => other("it cannot be opened: the folder may not be written in, or the disk is full"),
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => other("another program is writing in it: try again"),
            Some(ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt) => {
                Failure::wrong(format!("{FILE} cannot be read as a diary: it is left as it is; give it another name to begin a new one"))
            }
            _ => other(&error.to_string()),
        }
    }

    /// Whether everything in the file is whole, as the database itself sees it. Errors: it cannot be read.
    pub fn is_whole(&self) -> Result<bool, Failure> {
        let said = self.reading(|c| c.query_row("PRAGMA integrity_check", [], |row| row.get::<_, String>(0)))?;
        Ok(said.is_none_or(|said| said == "ok"))
    }
}
