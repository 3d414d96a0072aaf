//! `undersong arrange --book`: many tunes as one PDF. A tune that fails does not stop the others; the exit code says so.

use crate::arguments::ArrangeArguments;
use crate::drawing::process::DrawingProcess;
use crate::failure::Failure;
use crate::job::Setup;
use crate::screen;
use desk::book::bound::Bound;
use desk::book::facts::Facts;
use desk::book::make::{BookWishes, Made, Watching, make, why, workers};
use desk::book::sorted::{Order, Wished};
use desk::book::typed::{Arranging, Found, Typed};
use desk::book::words;
use desk::save::{self, RealDisk, Standing};
use std::io::{IsTerminal, stderr};
use std::path::Path;

/// The most files that are passed over and named.
const NAMED: usize = 8;

pub fn run(arguments: &ArrangeArguments, file: &Path) -> Result<(), Failure> {
    let may_write = if arguments.to.force { Standing::Replaced } else { Standing::Stays };
    free(file, may_write)?;
    let found = Found::at(&arguments.tunes)?;
    let usual = if found.folders > 0 { Order::Title } else { Order::Given };
    let wishes = BookWishes {
        title: arguments.book_title.clone().map_or_else(|| Found::title(&arguments.tunes), |title| title.trim().to_owned()),
        order: Wished::read(arguments.book_order.as_deref(), usual)?,
        workers: workers(),
    };
    let arranging = match &arguments.choices.version {
        Some(name) => Arranging::Version(name.clone()),
        None => Arranging::Options(Box::new(Setup::new(&arguments.choices.asked()?)?)),
    };
    if let Some(line) = passed_over(&found.passed_over) {
        screen::aside(&line);
    }
    let typed = Typed { items: found.items, arranging };
    let made = make(&typed, &DrawingProcess::start(), &wishes, &Screen { shown: stderr().is_terminal() })?;
    for (name, failure) in &made.failed {
        screen::aside(&format!("left out: {name}: {}", why(failure)));
    }
    for (title, remark) in &made.remarks {
        screen::aside(&format!("{title}: {remark}"));
    }
    save::whole(&RealDisk, file, &made.bound.pdf, may_write)?;
    screen::print(&said(&made, &wishes, file))?;
    match made.failed.iter().map(|(_, failure)| failure.exit_code()).max() {
        None => Ok(()),
        Some(exit_code) => Err(Failure::Said { exit_code }),
    }
}

/// What stands there is not written over unasked, and that is said before all the work.
fn free(file: &Path, may_write: Standing) -> Result<(), Failure> {
    if may_write == Standing::Stays && file.exists() {
        let why = "name another file, or write over it with --force".to_owned();
        return Err(Failure::NotWrittenOver { path: file.to_owned(), why });
    }
    if file.is_dir() {
        return Err(Failure::world("cannot write", file, &std::io::ErrorKind::IsADirectory.into()));
    }
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if folder.is_dir() { Ok(()) } else { Err(Failure::world("cannot write into the folder", folder, &std::io::ErrorKind::NotFound.into())) }
}

/// Tells how far the work is, to somebody who looks on.
struct Screen {
    shown: bool,
}

impl Watching for Screen {
    fn done(&self, done: usize, of: usize, title: &str) {
        if self.shown {
            screen::aside(&format!("{done} of {of}: {title}"));
        }
    }
}

fn passed_over(names: &[String]) -> Option<String> {
    let (named, more) = names.split_at(names.len().min(NAMED));
    let rest = if more.is_empty() { String::new() } else { format!(" and {} more", more.len()) };
    (!names.is_empty()).then(|| format!("passed over, as they are no tunes: {}{rest}", named.join(", ")))
}

/// The book in words.
fn said(made: &Made, wishes: &BookWishes, file: &Path) -> String {
    let Bound { pdf, pages, blank, moved } = &made.bound;
    let count = |number: usize, one: &str, more: &str| format!("{number} {}", if number == 1 { one } else { more });
    let mut order = match wishes.order.order {
        Order::Given => "as they were given".to_owned(),
        Order::Title => "by title".to_owned(),
        Order::Key => "by key".to_owned(),
        Order::Levers => "so that little is moved from one tune to the next".to_owned(),
    };
    if *moved > 0 {
        order += &format!("; {} brought forward, so that the pages of others lie side by side", count(*moved, "tune", "tunes"));
    }
    if *blank > 0 {
        order += &format!("; {} left empty for that", count(*blank, "page", "pages"));
    }
    let mut text = format!("{}: {} on {}\n", wishes.title, words::tunes(made.facts.len()), count(*pages, "page", "pages"));
    let mut line = |name: &str, what: &str| text += &format!("  {name:10} {what}\n");
    line("Order", &order);
    line("Harp", words::harp(&made.facts).strip_prefix("a ").unwrap_or(&words::harp(&made.facts)));
    line("Levels", &levels(&made.facts));
    if !made.failed.is_empty() {
        line("Left out", &words::tunes(made.failed.len()));
    }
    line("Written", &format!("{} ({})", file.display(), size(pdf.len())));
    text
}

/// "20 tunes of level 1, 71 of level 2, 9 of level 3".
fn levels(facts: &[Facts]) -> String {
    let of = |level: u8| (level, facts.iter().filter(|f| f.level == level).count());
    let there: Vec<(u8, usize)> = [1, 2, 3].map(of).into_iter().filter(|(_, count)| *count > 0).collect();
    let said = |(at, (level, count)): (usize, &(u8, usize))| match at {
        0 => format!("{} of level {level}", words::tunes(*count)),
        _ => format!("{count} of level {level}"),
    };
    there.iter().enumerate().map(said).collect::<Vec<_>>().join(", ")
}

/// "180 kB", "1.2 MB".
fn size(bytes: usize) -> String {
    if bytes < 1_000_000 { format!("{} kB", bytes.div_ceil(1000)) } else { format!("{}.{} MB", bytes / 1_000_000, bytes / 100_000 % 10) }
}
