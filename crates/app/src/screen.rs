//! Printing on the screen. A reader that has seen enough and closes the pipe is no failure.

use crate::failure::Failure;
use std::io::{ErrorKind, Write};

/// Prints a text as it stands on stdout.
pub fn print(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Failure::World(format!("cannot print the report: {error}"))),
        _ => Ok(()),
    }
}

/// Prints a line on stderr; where even that is impossible there is nobody to tell.
pub fn remark(line: &str) {
    let _ = writeln!(std::io::stderr().lock(), "{line}");
}
