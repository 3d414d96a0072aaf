//! `undersong` and `undersong open FOLDER`: the page to work at. It answers on this machine only, until Ctrl-C.

use crate::arguments::OpenArguments;
use crate::drawing::Warm;
use crate::failure::Failure;
use crate::screen;
use desk::save::{self, RealDisk};
use desk::server::desk::Desk;
use desk::server::serve;
use desk::server::sounds::Sounds;
use desk::shelf::Shelf;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::time::Duration;

/// The folder in her home where none is named.
const FOLDER: &str = "Undersong";
/// How long open tabs are waited for at the end.
const PATIENCE: Duration = Duration::from_millis(1500);

macro_rules! tunes {
    ($($name:literal),* $(,)?) => {
        /// The tunes that a new folder begins with.
        const TUNES: &[(&str, &str)] = &[$(($name, include_str!(concat!("../../../../data/tunes/", $name)))),*];
    };
}

tunes!["bakery-before-six.abc", "ferry-reel.abc", "lighthouse-in-mist.abc", "regatta-morning.abc"];

pub fn run(arguments: &OpenArguments) -> Result<(), Failure> {
    let drawing = Arc::new(Warm::start());
    // A font that is none is said before a folder is made.
    let sounds = arguments.soundfont.as_deref().map_or_else(|| Ok(Sounds::default()), Sounds::with_usual)?;
    let folder = arguments.folder.clone().map_or_else(own_folder, Ok)?;
    let shelf = shelf(&folder)?;
    let no_threads = |error: std::io::Error| Failure::World(format!("the page cannot be started: {error}"));
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().map_err(no_threads)?;
    let desk = Desk::new(shelf, drawing).sounding(sounds);
    let outcome = runtime.block_on(until_stopped(Arc::new(desk), arguments));
    runtime.shutdown_timeout(PATIENCE);
    outcome
}

fn own_folder() -> Result<PathBuf, Failure> {
    let home = std::env::home_dir().filter(|home| !home.as_os_str().is_empty());
    home.map(|home| home.join(FOLDER))
        .ok_or_else(|| Failure::wrong("your home folder was not found: name a folder, as undersong open FOLDER"))
}

/// A folder that is not there yet is made with tunes to begin with.
fn shelf(folder: &Path) -> Result<Shelf, Failure> {
    let new = !folder.exists();
    let shelf = Shelf::open(folder, Box::new(RealDisk))?;
    for (name, text) in TUNES.iter().filter(|_| new) {
        save::whole(&RealDisk, &shelf.folder().join(name), text.as_bytes(), save::Place::Free)?;
    }
    Ok(shelf)
}

/// Answers until Ctrl-C; then open tabs have a moment to be told.
async fn until_stopped(desk: Arc<Desk>, arguments: &OpenArguments) -> Result<(), Failure> {
    let (stopped, stop) = tokio::sync::watch::channel(false);
    tokio::spawn(async move {
        stop_asked().await;
        let _ = stopped.send(true);
    });
    let wait = |mut stop: tokio::sync::watch::Receiver<bool>| async move {
        // The sender says so or is gone: the end either way.
        let _ = stop.wait_for(|stopped| *stopped).await;
    };
    let late = wait(stop.clone());
    let ready = |address: &str| {
        let _ = screen::print(&format!("Undersong is open at {address} (Ctrl-C ends it)\n"));
        if !arguments.no_browser {
            open_browser(address);
        }
    };
    tokio::select! {
        outcome = serve(desk, arguments.port, ready, wait(stop)) => outcome,
        () = async { late.await; tokio::time::sleep(PATIENCE).await } => Ok(()),
    }
}

/// Ctrl-C, or being asked to end by the system.
#[cfg(unix)]
async fn stop_asked() {
    use tokio::signal::unix::{SignalKind, signal};
    let Ok(mut end) = signal(SignalKind::terminate()) else { return std::future::pending().await };
    tokio::select! {
        _ = tokio::signal::ctrl_c() => {}
        _ = end.recv() => {}
    }
}

#[cfg(not(unix))]
async fn stop_asked() {
    let _ = tokio::signal::ctrl_c().await;
}

/// Where no browser can be started the printed address is enough.
fn open_browser(address: &str) {
    let (program, before): (&str, &[&str]) = match std::env::consts::OS {
        "macos" => ("open", &[]),
        "windows" => ("cmd", &["/C", "start", ""]),
        _ => ("xdg-open", &[]),
    };
    let started = Command::new(program).args(before).arg(address).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn();
    if started.is_err() {
        screen::remark("no browser could be opened: open the address above in one");
    }
}
