//! The keeper of the drawing process: it is started ahead and kept warm, ended when a page takes too long, and started anew when it has ended, so that a page on which the engraver fails is
//! all that is lost. While one is at a long page others may draw beside it.

use super::frames;
use super::order::{self, Order, Sheets, Wanted};
use desk::drawing::{Layout, NoPage};
use std::io::{BufReader, Error};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::sync::{Condvar, Mutex, PoisonError};
use std::thread::scope;
use std::time::Duration;

/// How long pages may take: so much, and so much more for each measure. The longest tune, of two thousand measures, takes some fifteen seconds; a slow or busy machine has room.
#[derive(Clone, Copy, Debug)]
struct Limit {
    any: Duration,
    each: Duration,
}

const LIMIT: Limit = Limit { any: Duration::from_secs(20), each: Duration::from_millis(50) };

/// The most processes at once. The second is started where the first is at a long page.
const MOST: usize = 3;
/// The most that are kept when they have nothing to do.
const KEPT: usize = 2;

/// Draws pages in processes of their own, each one page at a time.
pub struct DrawingProcess {
    command: fn() -> Command,
    limit: Limit,
    pool: Mutex<Pool>,
    /// Told when a process is free.
    free: Condvar,
}

#[derive(Default)]
struct Pool {
    /// The one used last is at the end: it knows most of what is drawn now.
    idle: Vec<Running>,
    busy: usize,
}

/// Why nothing was drawn.
enum Ended {
    TooLong,
    /// It broke off, or said something that is no answer.
    Broken,
}

impl DrawingProcess {
    /// Starts a process, which opens the engraver while nothing is asked yet.
    pub fn start() -> DrawingProcess {
        DrawingProcess::of(this_program, LIMIT)
    }

    fn of(command: fn() -> Command, limit: Limit) -> DrawingProcess {
        // Where it cannot be started, this is said when a page is wanted.
        let pool = Pool { idle: Running::start(command).ok().into_iter().collect(), busy: 0 };
        DrawingProcess { pool: Mutex::new(pool), free: Condvar::new(), command, limit }
    }

    /// Draws a score's pages. Errors: the engraver refuses the score, fails on it, or takes too long.
    pub fn sheets(&self, musicxml: &str, layout: &Layout, wanted: Wanted) -> Result<Sheets, NoPage> {
        let order = serde_json::to_vec(&Order::new(layout, wanted)).expect("numbers have a JSON form");
        let measures = u32::try_from(musicxml.matches("<measure ").count()).unwrap_or(u32::MAX);
        let limit = self.limit.any + self.limit.each.saturating_mul(measures);
        let mut idle = self.borrow();
        let drawn = self.drawn(&mut idle, &[&order, musicxml.as_bytes()], limit);
        self.give_back(idle);
        drawn
    }

    /// An idle process, or none where one may be started.
    fn borrow(&self) -> Option<Running> {
        let pool = self.pool.lock().unwrap_or_else(PoisonError::into_inner);
        let mut pool = self.free.wait_while(pool, |pool| pool.busy >= MOST).unwrap_or_else(PoisonError::into_inner);
        pool.busy += 1;
        pool.idle.pop()
    }

    fn give_back(&self, process: Option<Running>) {
        let mut pool = self.pool.lock().unwrap_or_else(PoisonError::into_inner);
        pool.busy -= 1;
        pool.idle.extend(process);
        // What was used longest ago knows least.
        let over = pool.idle.len().saturating_sub(KEPT);
        pool.idle.drain(..over);
        self.free.notify_one();
    }

    /// Asks a process. One that has ended, before or now, makes place for a new one.
    fn drawn(&self, process: &mut Option<Running>, message: &[&[u8]], limit: Duration) -> Result<Sheets, NoPage> {
        let start = || Running::start(self.command).map_err(|error| NoPage::NoEngraver(error.to_string()));
        // One that was ended from outside says nothing about this page: another is asked.
        for _ in 0..2 {
            let mut asked = process.take().map_or_else(start, Ok)?;
            let answer = asked.ask(message, limit);
            if answer.is_err() {
                drop(asked);
                asked = start()?;
            }
            *process = Some(asked);
            match answer {
                Ok(drawn) => return drawn.map_err(NoPage::Refused),
                Err(Ended::TooLong) => return Err(NoPage::TooLong(limit)),
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

    fn drawn(command: fn() -> Command, musicxml: &str, limit: Limit) -> NoPage {
        let process = DrawingProcess::of(command, limit);
        process.sheets(musicxml, &Layout::default(), Wanted::Pages).expect_err("this is no engraver")
    }

    fn shell(line: &str) -> Command {
        let mut command = Command::new("sh");
        command.args(["-c", line]);
        command
    }

    #[test]
    fn one_that_never_answers_is_ended() {
        let (any, each) = (Duration::from_millis(50), Duration::from_millis(10));
        let silent = || shell("exec sleep 1000");
        assert_eq!(drawn(silent, "", Limit { any, each }), NoPage::TooLong(any));
        assert_eq!(drawn(silent, "<measure a><measure b>", Limit { any, each }), NoPage::TooLong(any + 2 * each));
        // It reads nothing either, so that even the order does not go out.
        assert_eq!(drawn(silent, &"x".repeat(1 << 20), Limit { any, each }), NoPage::TooLong(any));
    }

    #[test]
    fn one_that_fails_or_talks_nonsense_is_said() {
        let all: [fn() -> Command; 4] =
            [|| shell("exit 1"), || shell("echo a warning of some library"), || shell("kill -SEGV $$"), || shell("exec cat")];
        for command in all {
            assert_eq!(drawn(command, "", LIMIT), NoPage::Failed);
        }
        let none = drawn(|| Command::new("/no/such/program"), "", LIMIT);
        assert!(matches!(none, NoPage::NoEngraver(_)), "{none}");
    }

    #[test]
    fn a_process_more_is_started_only_where_one_is_busy() {
        let process = DrawingProcess::of(|| shell("exec sleep 1000"), LIMIT);
        let first = process.borrow();
        assert!(first.is_some() && process.borrow().is_none() && process.borrow().is_none());
        process.give_back(first);
        assert!(process.borrow().is_some());
    }
}
