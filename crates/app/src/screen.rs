//! Printing on the screen. A reader that has seen enough and closes the pipe is no failure; control characters in other people's titles and file
//! names do not reach the screen.

use crate::failure::Failure;
use std::io::{ErrorKind, Write};

/// Prints a text on stdout.
pub fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(plain(text).as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Failure::World(format!("cannot print the report: {error}"))),
        _ => Ok(()),
    }
}

/// Prints a failure on stderr. One with its place in a file has the word "error" after it.
pub fn say(failure: &Failure) {
    match failure {
        Failure::InFile { .. } => aside(&failure.to_string()),
        Failure::Said { .. } => {}
        _ => aside(&format!("error: {failure}")),
    }
}

/// Prints a line on stderr; where even that is impossible there is nobody to tell.
pub fn aside(line: &str) {
    let _ = writeln!(std::io::stderr().lock(), "{}", plain(line));
}

fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() && c != '\n' && c != '\t' { ' ' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn control_characters_do_not_reach_the_screen() {
        assert_eq!(plain("Fog\u{1b}[2J\r\n\tHorn"), "Fog [2J \n\tHorn");
    }
}
