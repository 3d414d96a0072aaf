//! `undersong doctor`: whether everything is there that the program needs, for whoever helps her. Nothing personal stands in it: no title, no name of a file of hers, no pass.

use super::open::own_folder;
use crate::arguments::folder::DoctorArguments;
use crate::browser;
use crate::drawing::order::Wanted;
use crate::drawing::process::DrawingProcess;
use crate::failure::{Failure, Hindrance};
use crate::screen;
use desk::drawing::Layout;
use desk::save::RealDisk;
use desk::server::visit::{address_for_once, port};
use desk::shelf::Shelf;
use desk::shelf::lock;
use std::path::Path;

/// A page of one note, to see whether pages can be drawn.
const PAGE: &str = r#"<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions><key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line></clef></attributes><note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration><type>whole</type></note></measure></part></score-partwise>"#;

pub fn run(arguments: &DoctorArguments) -> Result<(), Failure> {
    let usual = own_folder()?;
    let folder = arguments.folder.clone().unwrap_or_else(|| usual.clone());
    let temporary = std::env::temp_dir();
    let lines = [
        ("Program", format!("Undersong {}, built for {} on {}", env!("CARGO_PKG_VERSION"), std::env::consts::OS, std::env::consts::ARCH)),
        ("Engraving library", format!("Verovio {}", engrave::version())),
        (
            "Letters and signs",
            "Liberation Serif, letters of more scripts, and Leipzig, all built in; none of this machine's are used".into(),
        ),
        ("A page", page()),
        ("Folder", format!("{}, {}", without_names(&folder, &usual), room(&folder))),
        ("Contents", contents(&folder)),
        ("Temporary files", room(&temporary)),
        ("Page in the browser", opened(&folder)),
        ("Screen", browser::display().unwrap_or("none").into()),
        ("Opens addresses", opener()),
    ];
    screen::print(&lines.map(|(name, what)| format!("{name:<20} {what}\n")).concat())
}

fn page() -> String {
    match DrawingProcess::start().sheets(PAGE, &Layout::default(), Wanted::Pages) {
        Ok(sheets) if sheets.svgs.iter().any(|svg| svg.contains("<svg")) => "can be drawn".into(),
        Ok(_) => "came out empty".into(),
        Err(why) => format!("cannot be drawn: {}", Failure::from(why)),
    }
}

/// A path for the eyes of others: her home is `~`, and of a folder elsewhere only that is told.
fn without_names(path: &Path, usual: &Path) -> String {
    let home = std::env::home_dir().unwrap_or_default();
    match (path == usual, path.starts_with(&home)) {
        (true, true) => format!("~/{}", path.strip_prefix(&home).unwrap_or(path).display()),
        (_, true) => "a folder that was named, in the home folder".into(),
        _ => "a folder that was named, outside the home folder".into(),
    }
}

/// Whether a folder is there and takes files, and the room that is left.
fn room(folder: &Path) -> String {
    let Some(there) = folder.ancestors().find(|part| part.is_dir()) else { return "there is no such folder, nor one around it".into() };
    let takes = match tempfile::tempfile_in(there) {
        Ok(_) => "can be written".to_owned(),
        Err(error) => format!("cannot be written: {}", Hindrance::of(&error)),
    };
    let begun = if there == folder { takes } else { format!("not there yet; where it would be made {takes}") };
    format!("{begun}{}", free(there).map(|free| format!(", {free} free")).unwrap_or_default())
}

#[cfg(unix)]
fn free(folder: &Path) -> Option<String> {
    let disk = rustix::fs::statvfs(folder).ok()?;
    Some(in_words(disk.f_bavail.saturating_mul(disk.f_frsize)))
}

#[cfg(not(unix))]
fn free(_: &Path) -> Option<String> {
    None
}

/// Bytes, as disks are sold.
fn in_words(bytes: u64) -> String {
    if bytes >= 10_000_000_000 { format!("{} GB", bytes / 1_000_000_000) } else { format!("{} MB", bytes / 1_000_000) }
}

/// How much of what there is in the folder.
fn contents(folder: &Path) -> String {
    if !folder.is_dir() {
        return "none yet".into();
    }
    match Shelf::open(folder, Box::new(RealDisk)).and_then(|shelf| Ok((shelf.tunes()?.len(), shelf))) {
        Ok((tunes, shelf)) => format!("tunes: {tunes}, harps of your own: {}, SoundFonts: {}", shelf.harps().len(), shelf.fonts().len()),
        Err(failure) => match failure {
            Failure::File { why, .. } => format!("cannot be read: {why}"),
            _ => "cannot be read".into(),
        },
    }
}

/// Whether the folder's page is open, by the address that stands in it.
fn opened(folder: &Path) -> String {
    match lock::address(folder).and_then(|address| port(&address).map(|port| (address, port))) {
        Some((address, port)) if address_for_once(&address).is_some() => format!("open on port {port}, and answers"),
        Some((_, port)) => format!("nobody answers on port {port}, where it was open"),
        None => "not open".into(),
    }
}

fn opener() -> String {
    let opener = browser::opener();
    let is_there = if opener.is_there() { "is there" } else { "is not there: the address is printed, and opened by hand" };
    format!("{} {is_there}", opener.program)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn room_is_told_in_round_numbers() {
        assert_eq!(in_words(999_999), "0 MB");
        assert_eq!(in_words(9_876_000_000), "9876 MB");
        assert_eq!(in_words(12_345_000_000), "12 GB");
    }

    #[test]
    fn a_folder_that_is_not_there_is_looked_at_where_it_would_be_made() {
        let folder = tempfile::tempdir().expect("a folder");
        assert!(room(folder.path()).starts_with("can be written"));
        assert!(room(&folder.path().join("Undersong/deeper")).starts_with("not there yet; where it would be made can be written"));
    }
}
