//! The keeper of the drawing process: it is started ahead and kept warm, ended when a page takes too long, and started anew when it has ended, so that a page on which the engraver fails is
//! all that is lost.

use super::frames;
use super::order::{self, Order, Sheets, Wanted};
use desk::drawing::{Layout, NoPage};
use std::io::{BufReader, Error};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::sync::{Mutex, PoisonError};
use std::thread::scope;
use std::time::Duration;

/// How long a page may take. The longest tune takes a few seconds; a slow or busy machine has room.
const LIMIT: Duration = Duration::from_secs(20);

/// Draws pages in a process of its own, one at a time.
pub struct DrawingProcess {
    command: fn() -> Command,
    limit: Duration,
    running: Mutex<Option<Running>>,
}

/// Why nothing was drawn.
enum Ended {
    TooLong,
    /// It broke off, or said something that is no answer.
    Broken,
}

impl DrawingProcess {
    /// Starts the process, which opens the engraver while nothing is asked yet.
    pub fn start() -> DrawingProcess {
        DrawingProcess::of(this_program, LIMIT)
    }

    fn of(command: fn() -> Command, limit: Duration) -> DrawingProcess {
        // Where it cannot be started, this is said when a page is wanted.
        DrawingProcess { running: Mutex::new(Running::start(command).ok()), command, limit }
    }

    /// Draws a score's pages. Errors: the engraver refuses the score, fails on it, or takes too long.
    pub fn sheets(&self, musicxml: &str, layout: &Layout, wanted: Wanted) -> Result<Sheets, NoPage> {
        let order = serde_json::to_vec(&Order::new(layout, wanted)).expect("numbers have a JSON form");
        let message = [&order[..], musicxml.as_bytes()];
        let mut running = self.running.lock().unwrap_or_else(PoisonError::into_inner);
        // One that had ended before, or was ended from outside, says nothing about this page: another is asked.
        for _ in 0..2 {
            let mut process = match running.take() {
                Some(process) => process,
                None => Running::start(self.command).map_err(|error| NoPage::NoEngraver(error.to_string()))?,
            };
            let answer = process.ask(&message, self.limit);
            if answer.is_err() {
                drop(process);
                process = Running::start(self.command).map_err(|error| NoPage::NoEngraver(error.to_string()))?;
            }
            *running = Some(process);
            match answer {
                Ok(drawn) => return drawn.map_err(NoPage::Refused),
                Err(Ended::TooLong) => return Err(NoPage::TooLong(self.limit)),
                Err(Ended::Broken) => {}
            }
        }
        Err(NoPage::Failed)
    }
}

/// This program again, as the drawing process.
fn this_program() -> Command {
    // What runs now, even if its file has been replaced meanwhile.
    let own = std::path::PathBuf::from("/proc/self/exe");
    let path = if own.exists() { own } else { std::env::current_exe().unwrap_or_else(|_| "undersong".into()) };
    let mut command = Command::new(path);
    command.arg(super::child::COMMAND);
    command
}

/// A process that waits for orders.
struct Running {
    child: Child,
    to: ChildStdin,
    from: BufReader<ChildStdout>,
}

impl Running {
    fn start(command: fn() -> Command) -> Result<Running, Error> {
        let mut command = command();
        // What the engraving library has to say is nothing to her.
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null());
        // Ctrl-C is for the program; this process ends with it, when its orders end.
        #[cfg(unix)]
        std::os::unix::process::CommandExt::process_group(&mut command, 0);
        let mut child = command.spawn()?;
        let (to, from) = (child.stdin.take().expect("it is piped"), child.stdout.take().expect("it is piped"));
        Ok(Running { child, to, from: BufReader::new(from) })
    }

    /// Sends an order and waits for its answer; after an error the process is of no more use.
    fn ask(&mut self, message: &[&[u8]], limit: Duration) -> Result<Result<Sheets, String>, Ended> {
        let Running { child, to, from } = self;
        let answer = scope(|scope| {
            let (said, heard) = channel();
            scope.spawn(move || {
                let answer = frames::write(to, message).and_then(|()| frames::read(from));
                // Nobody listens any more where it took too long.
                let _ = said.send(answer);
            });
            heard.recv_timeout(limit).inspect_err(|_| end(child))
        });
        match answer {
            Ok(parts) => parts.ok().and_then(order::read).ok_or(Ended::Broken),
            Err(RecvTimeoutError::Timeout) => Err(Ended::TooLong),
            Err(RecvTimeoutError::Disconnected) => Err(Ended::Broken),
        }
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        end(&mut self.child);
    }
}

fn end(child: &mut Child) {
    // Both fail only where it has ended already.
    let _ = child.kill();
    let _ = child.wait();
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;

    fn drawn(command: fn() -> Command, limit: Duration) -> NoPage {
        let process = DrawingProcess::of(command, limit);
        process.sheets("<score-partwise/>", &Layout::default(), Wanted::Pages).expect_err("this is no engraver")
    }

    fn shell(line: &str) -> Command {
        let mut command = Command::new("sh");
        command.args(["-c", line]);
        command
    }

    #[test]
    fn one_that_never_answers_is_ended() {
        let limit = Duration::from_millis(50);
        assert_eq!(drawn(|| shell("exec sleep 1000"), limit), NoPage::TooLong(limit));
        // It reads nothing either, so that even the order does not go out.
        let long = "x".repeat(1 << 20);
        let process = DrawingProcess::of(|| shell("exec sleep 1000"), limit);
        assert_eq!(process.sheets(&long, &Layout::default(), Wanted::Pages), Err(NoPage::TooLong(limit)));
    }

    #[test]
    fn one_that_fails_or_talks_nonsense_is_said() {
        for command in [
            (|| shell("exit 1")) as fn() -> Command,
            || shell("echo a warning of some library"),
            || shell("kill -SEGV $$"),
            || shell("exec cat"),
        ] {
            assert_eq!(drawn(command, LIMIT), NoPage::Failed);
        }
        let none = drawn(|| Command::new("/no/such/program"), LIMIT);
        assert!(matches!(none, NoPage::NoEngraver(_)), "{none}");
    }
}
