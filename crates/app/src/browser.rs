//! The browser on her screen: whether there is a screen, and what opens an address on it.

use crate::screen;
use std::process::{Command, Stdio};

/// What opens an address on this kind of system.
pub struct Opener {
    pub program: &'static str,
    before: &'static [&'static str],
}

pub fn opener() -> Opener {
    let (program, before): (&'static str, &'static [&'static str]) = match std::env::consts::OS {
        "macos" => ("open", &[]),
        "windows" => ("cmd", &["/C", "start", ""]),
        _ => ("xdg-open", &[]),
    };
    Opener { program, before }
}

impl Opener {
    /// Whether it stands where programs are looked for.
    pub fn is_there(&self) -> bool {
        let folders = std::env::var_os("PATH").unwrap_or_default();
        let ending = std::env::consts::EXE_SUFFIX;
        std::env::split_paths(&folders).any(|folder| folder.join(format!("{}{ending}", self.program)).is_file())
    }
}

/// The kind of screen that programs may draw on; `None` where there is none, as on another machine that was reached by a terminal.
pub fn display() -> Option<&'static str> {
    if cfg!(any(target_os = "macos", target_os = "windows")) {
        return Some("the system's own");
    }
    let is_said = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    [("WAYLAND_DISPLAY", "Wayland"), ("DISPLAY", "X11")].into_iter().find(|(name, _)| is_said(name)).map(|(_, words)| words)
}

/// Opens an address, and says where that is not possible: the address that was printed is then enough. One who has named a browser in BROWSER is believed to have a screen for it.
pub fn open(address: &str) {
    if display().is_none() && std::env::var_os("BROWSER").is_none() {
        screen::aside("there is no screen here for a browser: open the address above in a browser on this machine");
        return;
    }
    let Opener { program, before } = opener();
    let started = Command::new(program).args(before).arg(address).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).spawn();
    let not_opened = || screen::aside("no browser could be opened: open the address above in one");
    match started {
        // It may last as long as the browser does.
        Ok(mut opener) => drop(std::thread::spawn(move || {
            if opener.wait().is_ok_and(|end| !end.success()) {
                not_opened();
            }
        })),
        Err(_) => not_opened(),
    }
}
