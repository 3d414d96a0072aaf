//! The program with its page open, asked without a browser: one start a folder, and an engraver whose end is not the program's.

use crate::support::{TIDE, Test};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use tempfile::TempDir;

/// The program, open on a folder.
pub struct Open {
    program: Child,
    /// As it was printed.
    address: String,
    host: String,
    pub cookie: String,
}

impl Open {
    pub fn on(folder: &Path) -> Open {
        let mut command = Command::new(env!("CARGO_BIN_EXE_undersong"));
        let command = command.args(["open", "--no-browser"]).arg(folder).stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::null());
        let mut program = command.spawn().expect("the program starts");
        let mut line = String::new();
        BufReader::new(program.stdout.take().expect("its output")).read_line(&mut line).expect("a first line");
        let address = line.split_whitespace().find(|word| word.starts_with("http://")).expect("an address is printed").to_owned();
        let host = address.trim_start_matches("http://").split('/').next().expect("a host").to_owned();
        let mut open = Open { program, address, host, cookie: String::new() };
        let path = open.address.split_once(&open.host).expect("the host stands in the address").1.to_owned();
        let (status, text) = open.get(&path);
        assert_eq!(status, "303 See Other", "{text}");
        let set = text.lines().find_map(|line| line.strip_prefix("set-cookie: ")).expect("a cookie");
        open.cookie = set.split(';').next().expect("its name and value").to_owned();
        open
    }

    /// The status, and the head and body.
    pub fn get(&self, path: &str) -> (String, String) {
        let mut stream = TcpStream::connect(&self.host).expect("the server answers");
        let (host, cookie) = (&self.host, &self.cookie);
        write!(stream, "GET {path} HTTP/1.1\r\nHost: {host}\r\nCookie: {cookie}\r\nConnection: close\r\n\r\n").expect("the server listens");
        let mut text = String::new();
        stream.read_to_string(&mut text).expect("the answer is text");
        let (first, rest) = text.split_once("\r\n").expect("a first line");
        (first.trim_start_matches("HTTP/1.1 ").to_owned(), rest.to_owned())
    }

    /// As the page asks for the end: the status.
    fn end(&self) -> String {
        let mut stream = TcpStream::connect(&self.host).expect("the server answers");
        let (host, cookie) = (&self.host, &self.cookie);
        let head = format!(
            "POST /api/end HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nCookie: {cookie}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n"
        );
        stream.write_all(head.as_bytes()).expect("the server listens");
        let mut text = String::new();
        stream.read_to_string(&mut text).expect("the answer is whole, though it is the last");
        text.lines().next().unwrap_or_default().to_owned()
    }

    fn kill(&mut self) {
        // Both fail only when it has ended already.
        let _ = self.program.kill();
        let _ = self.program.wait();
    }
}

impl Drop for Open {
    fn drop(&mut self) {
        self.kill();
    }
}

fn folder() -> TempDir {
    let folder = tempfile::tempdir().expect("a folder for the test");
    std::fs::write(folder.path().join("tide.abc"), TIDE).expect("the folder takes a tune");
    folder
}

#[test]
fn a_second_start_opens_the_page_of_the_first() {
    let folder = folder();
    let mut first = Open::on(folder.path());
    let second = || {
        let mut command = Command::new(env!("CARGO_BIN_EXE_undersong"));
        let output = command.args(["open", "--no-browser"]).arg(folder.path()).output().expect("the program starts");
        (output.status.code(), String::from_utf8(output.stdout).expect("the program speaks UTF-8"))
    };
    assert_eq!(second(), (Some(0), format!("Undersong has this folder open already, at {}\n", first.address)));
    assert_eq!(first.get("/api/tunes/tide.abc").0, "200 OK");
    // What a killed one leaves hinders nobody.
    first.kill();
    let third = Open::on(folder.path());
    assert_ne!(third.address, first.address);
    assert_eq!(second(), (Some(0), format!("Undersong has this folder open already, at {}\n", third.address)));
}

#[test]
fn an_end_that_is_asked_for_takes_the_address_away() {
    let folder = folder();
    let mut open = Open::on(folder.path());
    let address = folder.path().join(".undersong-address");
    assert_eq!(std::fs::read_to_string(&address).expect("it is written down"), open.address);
    let ended = Command::new("kill").arg(open.program.id().to_string()).status().expect("the system can end programs");
    assert!(ended.success());
    open.program.wait().expect("it ends");
    assert!(!address.exists());
}

#[test]
fn the_page_ends_it_in_an_orderly_way() {
    let folder = folder();
    let mut open = Open::on(folder.path());
    assert_eq!(open.end(), "HTTP/1.1 200 OK");
    assert_eq!(open.program.wait().expect("it ends").code(), Some(0));
    assert!(!folder.path().join(".undersong-address").exists());
    // What she set in her browser is kept there for this port: the folder has it again.
    let again = Open::on(folder.path());
    assert_eq!(again.host, open.host);
}

/// The processes that a process has started, from the system's own list (proc(5)): behind the name in brackets stand the state and the parent.
#[cfg(target_os = "linux")]
fn children(parent: u32) -> Vec<String> {
    let entries = std::fs::read_dir("/proc").expect("the list of processes").flatten();
    let numbers = entries.filter_map(|e| e.file_name().into_string().ok()).filter(|n| n.bytes().all(|b| b.is_ascii_digit()));
    let is_child = |number: &String| {
        let stat = std::fs::read_to_string(format!("/proc/{number}/stat")).unwrap_or_default();
        let after = stat.rsplit_once(')').map_or("", |(_, after)| after);
        after.split_whitespace().nth(1) == Some(&parent.to_string())
    };
    numbers.filter(is_child).collect()
}

#[cfg(target_os = "linux")]
#[test]
fn an_engraver_that_is_killed_is_started_again() {
    let folder = folder();
    let open = Open::on(folder.path());
    for staff in [7, 8, 9] {
        let (status, text) = open.get(&format!("/api/tunes/tide.abc/page?for=stand&staff={staff}"));
        assert!(status == "200 OK" && text.contains("<svg"), "{status} {text}");
        let engravers = children(open.program.id());
        let [engraver] = &engravers[..] else { panic!("one process draws: {engravers:?}") };
        let line = std::fs::read_to_string(format!("/proc/{engraver}/cmdline")).expect("its command line");
        assert!(line.ends_with("\0draw-pages\0"), "{line}");
        // In bytes, 4 GiB: getrlimit(2).
        let limits = std::fs::read_to_string(format!("/proc/{engraver}/limits")).expect("its limits");
        assert!(limits.lines().any(|l| l.starts_with("Max address space") && l.contains(" 4294967296 ")), "{limits}");
        assert!(Command::new("kill").args(["-KILL", engraver]).status().expect("the system can end programs").success());
    }
}

#[test]
fn the_drawing_process_ends_with_its_orders() {
    let run = Test::new("draw-pages").run();
    assert_eq!((run.code, run.stdout.as_str(), run.stderr.as_str()), (Some(0), "", ""));
}

/// The program in a home of its own, with a folder of tunes beside it.
fn at_home(home: &Path, words: &[&str]) -> (Option<i32>, String, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_undersong"));
    let output = command
        .args(words)
        .current_dir(home)
        .env("HOME", home)
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .env_remove("BROWSER")
        .output();
    let output = output.expect("the program starts");
    let text = |bytes| String::from_utf8(bytes).expect("the program speaks UTF-8");
    (output.status.code(), text(output.stdout), text(output.stderr))
}

#[test]
fn a_tune_from_elsewhere_opens_at_its_page() {
    let home = folder();
    let own = home.path().join("Undersong");
    std::fs::create_dir(&own).expect("her folder");
    let open = Open::on(&own);
    let already = |room: &str| format!("Undersong has this folder open already, at {}{room}\n", open.address);
    let no_screen = "there is no screen here for a browser: open the address above in a browser on this machine\n";
    for words in [&["tide.abc"][..], &["open", "tide.abc"]] {
        let copied = format!("tide.abc is in {}; tide.abc itself stays as it is\n", own.display());
        assert_eq!(at_home(home.path(), words), (Some(0), already("#/worktable/tide.abc"), copied + no_screen));
    }
    assert_eq!(std::fs::read_to_string(own.join("tide.abc")).expect("it was copied"), TIDE);
    assert_eq!(open.get("/api/tunes/tide.abc").0, "200 OK");
    // One that lies in her folder is not copied; one with a mistake that keeps it from being arranged opens as text.
    std::fs::write(own.join("Low & high.abc"), "X:1\nT:Low\nno key\n").expect("a tune in her folder");
    let (code, said, beside) = at_home(home.path(), &["Undersong/Low & high.abc"]);
    assert_eq!((code, said, beside.as_str()), (Some(0), already("#/text/Low%20%26%20high.abc"), no_screen));
}

#[test]
fn what_cannot_be_opened_is_said() {
    let home = folder();
    std::fs::write(home.path().join("photo.png"), b"\x89PNG\x01").expect("a file that is no tune");
    let (code, _, beside) = at_home(home.path(), &["photo.png"]);
    assert_eq!(
        (code, beside.as_str()),
        (Some(2), "error: photo.png: this is not a file with a tune: bring a tune as .abc, .musicxml, .xml or .mxl\n")
    );
    let (code, _, beside) = at_home(home.path(), &["open", "none.abc"]);
    assert_eq!((code, beside.as_str()), (Some(1), "error: cannot read none.abc: there is no such file or folder\n"));
    assert!(!home.path().join("none.abc").exists());
    let taken = std::net::TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = taken.local_addr().expect("its number").port();
    let (code, _, beside) = at_home(home.path(), &["open", ".", "--port", &port.to_string()]);
    assert_eq!((code, beside), (Some(1), format!("error: port {port} is taken by another program: without --port a free one is found\n")));
}

#[test]
fn the_doctor_tells_what_is_needed_and_nothing_personal() {
    let home = folder();
    let own = home.path().join("Undersong");
    let line = |text: &str, name: &str| {
        text.lines().find(|line| line.starts_with(name)).map(|line| line[name.len()..].trim().to_owned()).unwrap_or_default()
    };
    let (code, before, beside) = at_home(home.path(), &["doctor"]);
    assert_eq!((code, beside.as_str()), (Some(0), ""));
    assert!(!own.exists(), "it only looks");
    assert!(line(&before, "Folder").starts_with("~/Undersong, not there yet; where it would be made can be written"), "{before}");
    assert_eq!(line(&before, "A page"), "can be drawn");
    assert_eq!(
        line(&before, "Program"),
        format!("Undersong {}, built for {} on {}", env!("CARGO_PKG_VERSION"), std::env::consts::OS, std::env::consts::ARCH)
    );
    std::fs::create_dir(&own).expect("her folder");
    std::fs::write(own.join("tide.abc"), TIDE).expect("her tune");
    let open = Open::on(&own);
    let (_, now, _) = at_home(home.path(), &["doctor"]);
    assert_eq!(line(&now, "Contents"), "tunes: 1, harps of your own: 0, SoundFonts: 0");
    let port = open.host.rsplit(':').next().expect("a port");
    assert_eq!(line(&now, "Page in the browser"), format!("open on port {port}, and answers"));
    let (_, elsewhere, _) = at_home(home.path(), &["doctor", "/"]);
    assert!(line(&elsewhere, "Folder").starts_with("a folder that was named, outside the home folder,"), "{elsewhere}");
    let pass = open.address.rsplit('=').next().expect("a pass");
    for text in [before, now, elsewhere] {
        for secret in [pass, "tide", "Tide", &home.path().display().to_string()] {
            assert!(!text.contains(secret), "{secret} in {text}");
        }
    }
}
