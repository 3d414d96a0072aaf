//! What lets her in: a pass made anew at every start.
//!
//! Every program on this machine can reach the port, those of other people too. They cannot know the pass: it stands in the address that is printed for her, and her browser keeps it
//! as a cookie. What a browser is started with can be read by everyone in the list of processes, so the address given to one has a ticket in the place of the pass, good for once.

use super::memory::locked;
use crate::failure::Failure;
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// The port this server answers on.
#[derive(Clone, Copy, Debug)]
pub struct Port(pub u16);

/// How long a ticket is good: a browser that is slow to start has loaded the page by then.
const GOOD_FOR: Duration = Duration::from_secs(60);

/// Every address of ours begins with it; the port follows.
const ORIGIN: &str = "http://127.0.0.1:";
/// The words in an address that stand before a pass and before a ticket.
const PASS: &str = "pass=";
const TICKET: &str = "ticket=";

/// The pass, and the tickets that are still good.
pub struct Pass {
    secret: String,
    tickets: Mutex<Vec<Ticket>>,
}

struct Ticket {
    secret: String,
    until: Instant,
}

impl Pass {
    /// A new one. Errors: the system gives no randomness.
    pub fn new() -> Result<Pass, Failure> {
        Ok(Pass { secret: secret()?, tickets: Mutex::default() })
    }

    /// The pass and the port of an address that another start of the program has printed; `None` for any other text.
    pub fn of_address(address: &str) -> Option<(Pass, Port)> {
        let (port, secret) = address.strip_prefix(ORIGIN)?.split_once("/?")?;
        let secret = secret.strip_prefix(PASS).filter(|s| s.bytes().all(|b| b.is_ascii_hexdigit()))?;
        Some((Pass { secret: secret.into(), tickets: Mutex::default() }, Port(port.parse().ok()?)))
    }

    /// The address for her eyes.
    pub fn address(&self, port: Port) -> String {
        format!("{ORIGIN}{}/?{PASS}{}", port.0, self.secret)
    }

    /// An address that is good for once and a short time. Errors: the system gives no randomness.
    pub fn address_for_once(&self, port: Port) -> Result<String, Failure> {
        let ticket = Ticket { secret: secret()?, until: Instant::now() + GOOD_FOR };
        let address = format!("{ORIGIN}{}/?{TICKET}{}", port.0, ticket.secret);
        locked(&self.tickets).push(ticket);
        Ok(address)
    }

    /// The cookie that holds the pass; browsers share cookies between ports, so each has a name of its own.
    pub fn cookie(&self, port: Port) -> String {
        format!("{}={}", cookie_name(port), self.secret)
    }

    /// Whether the question in an address has the pass, or a ticket, which is used up by it.
    pub fn admits(&self, question: &str, now: Instant) -> bool {
        let value = |name: &str| question.split('&').find_map(|part| part.strip_prefix(name));
        let by_pass = value(PASS).is_some_and(|given| same(given, &self.secret));
        by_pass || value(TICKET).is_some_and(|given| self.uses(given, now))
    }

    fn uses(&self, given: &str, now: Instant) -> bool {
        let mut tickets = locked(&self.tickets);
        tickets.retain(|ticket| ticket.until > now);
        let place = tickets.iter().position(|ticket| same(given, &ticket.secret));
        place.map(|at| tickets.remove(at)).is_some()
    }

    /// Whether a header of cookies has the pass.
    pub fn is_kept_in(&self, cookies: &str, port: Port) -> bool {
        let name = cookie_name(port);
        let values = cookies.split(';').filter_map(|one| one.trim().split_once('='));
        values.filter(|(own, _)| *own == name).any(|(_, value)| same(value, &self.secret))
    }
}

fn cookie_name(port: Port) -> String {
    format!("undersong-{}", port.0)
}

/// 128 bits from the system, in hexadecimal digits.
fn secret() -> Result<String, Failure> {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes).map_err(|error| Failure::World(format!("the page cannot be kept from others: {error}")))?;
    Ok(bytes.iter().map(|b| format!("{b:02x}")).collect())
}

/// Compared to the end, so that the time it takes says nothing about where two texts part.
fn same(given: &str, own: &str) -> bool {
    let differ = given.bytes().zip(own.bytes()).fold(0, |differ, (a, b)| differ | (a ^ b));
    given.len() == own.len() && std::hint::black_box(differ) == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn question(address: &str) -> &str {
        address.split_once('?').expect("the address has a question").1
    }

    #[test]
    fn the_pass_is_good_for_ever_and_a_ticket_for_once() {
        let (pass, port, now) = (Pass::new().expect("a pass"), Port(4711), Instant::now());
        let printed = pass.address(port);
        assert!(pass.admits(question(&printed), now) && pass.admits(question(&printed), now + 100 * GOOD_FOR));
        let once = pass.address_for_once(port).expect("a ticket");
        assert!(!once.contains(question(&printed)));
        assert!(pass.admits(question(&once), now) && !pass.admits(question(&once), now));
        let late = pass.address_for_once(port).expect("a ticket");
        assert!(!pass.admits(question(&late), now + 2 * GOOD_FOR));
    }

    #[test]
    fn an_address_reads_back() {
        let (pass, port) = (Pass::new().expect("a pass"), Port(4711));
        let (read, at) = Pass::of_address(&pass.address(port)).expect("our own address");
        assert_eq!((read.cookie(at), at.0), (pass.cookie(port), 4711));
        for bad in [
            "",
            "http://127.0.0.1:4711/",
            "http://example.org:1/?pass=0",
            "http://127.0.0.1:99999/?pass=0",
            "http://127.0.0.1:1/?pass=0\r\nX: y",
        ] {
            assert!(Pass::of_address(bad).is_none(), "{bad}");
        }
    }

    #[test]
    fn nothing_else_is_let_in() {
        let (pass, other, port) = (Pass::new().expect("a pass"), Pass::new().expect("a pass"), Port(4711));
        let longer = format!("{}0", pass.address(port));
        for bad in ["", "pass=", "pass", "ticket=", question(&other.address(port)), question(&longer)] {
            assert!(!pass.admits(bad, Instant::now()), "{bad}");
        }
        let cookie = pass.cookie(port);
        assert!(pass.is_kept_in(&cookie, port) && pass.is_kept_in(&format!("a=b; {cookie}; c"), port));
        assert!(!pass.is_kept_in(&cookie, Port(4712)) && !pass.is_kept_in(&other.cookie(port), port) && !pass.is_kept_in("", port));
    }
}
