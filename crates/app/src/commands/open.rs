//! `undersong`, `undersong open FOLDER` and `undersong TUNE`: the page to work at. It answers on this machine only, until Ctrl-C or until she ends it on the page; a folder that is open already has its page opened once
//! more. A tune that lies elsewhere is copied into her folder, as if it were dropped on the shelf.

use crate::arguments::folder::OpenArguments;
use crate::drawing::process::DrawingProcess;
use crate::failure::Failure;
use crate::{browser, screen};
use desk::save::RealDisk;
use desk::server::desk::Desk;
use desk::server::percent::encoded;
use desk::server::sounds::Sounds;
use desk::server::visit::address_for_once;
use desk::server::wanted::Wanted;
use desk::server::{Opened, serve};
use desk::shelf::lock::{self, Held};
use desk::shelf::{ENDINGS, Shelf};
use desk::{bring, demo};
use formats::Severity;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

/// The folder in her home where none is named.
const FOLDER: &str = "Undersong";
/// How long open tabs are waited for at the end.
const PATIENCE: Duration = Duration::from_millis(1500);
/// How long another start of the program is waited for that has the folder and has not said where its page is, and how often that is looked for.
const BEGINNING: Duration = Duration::from_secs(5);
const LOOK_AGAIN: Duration = Duration::from_millis(30);

pub fn run(arguments: &OpenArguments) -> Result<(), Failure> {
    let drawing = Arc::new(DrawingProcess::start());
    // A font that is none is said before a folder is made.
    let sounds = arguments.soundfont.as_deref().map_or_else(|| Ok(Sounds::default()), Sounds::with_usual)?;
    let (folder, tune) = match &arguments.place {
        Some(place) if is_tune(place) => (folder_of(place)?, Some(place)),
        Some(folder) => (folder.clone(), None),
        None => (own_folder()?, None),
    };
    let new = !folder.exists();
    let shelf = Shelf::open(&folder, Box::new(RealDisk))?;
    let room = tune.map_or_else(|| Ok(String::new()), |tune| room_of(&shelf, tune))?;
    let Some(held) = lock::hold(shelf.folder()) else { return visit(shelf.folder(), &room, arguments) };
    if !held.is_locked() {
        screen::aside("this folder takes no lock: see to it that it is open only once at a time");
    }
    // A folder that was not there before begins with tunes.
    if new {
        demo::put_in(&shelf)?;
    }
    let no_threads = |error: std::io::Error| Failure::World(format!("the page cannot be started: {error}"));
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build().map_err(no_threads)?;
    let desk = Desk::new(shelf, drawing).sounding(sounds);
    let outcome = runtime.block_on(until_stopped(Arc::new(desk), &room, arguments, &held));
    runtime.shutdown_timeout(PATIENCE);
    outcome
}

pub fn own_folder() -> Result<PathBuf, Failure> {
    let home = std::env::home_dir().filter(|home| !home.as_os_str().is_empty());
    home.map(|home| home.join(FOLDER))
        .ok_or_else(|| Failure::wrong("your home folder was not found: name a folder, as undersong open FOLDER"))
}

/// A file, or what can be none but a tune's name.
fn is_tune(place: &Path) -> bool {
    let ending = place.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    !place.is_dir() && (place.is_file() || ENDINGS.contains(&ending.as_str()))
}

/// The folder that a tune is opened in: that of its file, where it has been open before, else her own.
fn folder_of(tune: &Path) -> Result<PathBuf, Failure> {
    let real = tune.canonicalize().map_err(|error| Failure::world("cannot read", tune, &error))?;
    let own = own_folder()?;
    let around = real.parent().unwrap_or(Path::new("/"));
    let is_known = lock::was_held(around) || own.canonicalize().is_ok_and(|own| own == around);
    Ok(if is_known { around.to_owned() } else { own })
}

/// What stands after the page's address for a tune: its worktable, its text where it has to be mended first, the shelf for a book of them.
fn room_of(shelf: &Shelf, tune: &Path) -> Result<String, Failure> {
    let real = tune.canonicalize().map_err(|error| Failure::world("cannot read", tune, &error))?;
    let ids = match real.file_name().and_then(|name| name.to_str()) {
        Some(name) if real.parent() == Some(shelf.folder()) && shelf.path(name).is_ok() => vec![name.to_owned()],
        _ => {
            let ids = bring::file(shelf, tune)?;
            let copied = if ids.len() == 1 { "is" } else { "are" };
            screen::aside(&format!(
                "{} {copied} in {}; {} itself stays as it is",
                ids.join(", "),
                shelf.folder().display(),
                tune.display()
            ));
            ids
        }
    };
    let [id] = &ids[..] else { return Ok(String::new()) };
    let to_mend = bring::problems(&shelf.bytes(id)?).iter().any(|problem| problem.severity == Severity::Error);
    Ok(format!("#/{}/{}", if to_mend { "text" } else { "worktable" }, encoded(id)))
}

/// The folder is open already: its page is opened once more. The one who opened it may be so far at its beginning that it has not said where.
fn visit(folder: &Path, room: &str, arguments: &OpenArguments) -> Result<(), Failure> {
    let began = Instant::now();
    let (address, once) = loop {
        if let Some(found) = lock::address(folder).and_then(|address| address_for_once(&address).map(|once| (address, once))) {
            break found;
        }
        if began.elapsed() > BEGINNING {
            let text = "is open already in another start of Undersong, which does not say where: go to the page that is open, or end it and start again";
            return Err(Failure::World(format!("{} {text}", folder.display())));
        }
        std::thread::sleep(LOOK_AGAIN);
    };
    screen::print(&format!("Undersong has this folder open already, at {address}{room}\n"))?;
    if !arguments.no_browser {
        browser::open(&format!("{once}{room}"));
    }
    Ok(())
}

/// Answers until Ctrl-C or her wish on the page; then open tabs have a moment to be told.
async fn until_stopped(desk: Arc<Desk>, room: &str, arguments: &OpenArguments, held: &Held) -> Result<(), Failure> {
    let (stopped, stop) = tokio::sync::watch::channel(false);
    let asked = desk.clone();
    tokio::spawn(async move {
        tokio::select! {
            () = stop_asked() => {}
            () = asked.end.asked() => screen::aside("ended on its page"),
        }
        let _ = stopped.send(true);
    });
    let wait = |mut stop: tokio::sync::watch::Receiver<bool>| async move {
        // The sender says so or is gone: the end either way.
        let _ = stop.wait_for(|stopped| *stopped).await;
    };
    let late = wait(stop.clone());
    let port = arguments.port.map_or_else(|| Wanted::for_folder(desk.shelf.folder()), Wanted::Only);
    let ready = |opened: &Opened| {
        let address = opened.address();
        // A folder that may not be written has no address in it, and is open all the same.
        let _ = held.tell(&address);
        let _ = screen::print(&format!("Undersong is open at {address}{room} (Ctrl-C ends it)\n"));
        if let Some(once) = opened.address_for_once().ok().filter(|_| !arguments.no_browser) {
            browser::open(&format!("{once}{room}"));
        }
    };
    tokio::select! {
        outcome = serve(desk, port, ready, wait(stop)) => outcome,
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
