//! Turns at the engraver: one page after another, because while one is drawn the next question often makes others stale. A page that takes long keeps nobody waiting: beside it another
//! may be drawn.

use super::memory::locked;
use std::sync::{Condvar, Mutex, PoisonError};
use std::time::Duration;

/// A page that takes longer is no longer waited for; most are changed in a tenth of a second.
const LONG: Duration = Duration::from_millis(400);
/// Pages that are drawn at once.
const MOST: usize = 2;

/// Who is drawing.
#[derive(Default)]
pub struct Turns {
    drawing: Mutex<usize>,
    over: Condvar,
}

/// Somebody's turn, until it is dropped.
pub struct Turn<'a>(&'a Turns);

impl Turns {
    /// Waits for a turn.
    pub fn wait(&self) -> Turn<'_> {
        let drawing = locked(&self.drawing);
        let (drawing, _) = self.over.wait_timeout_while(drawing, LONG, |drawing| *drawing > 0).unwrap_or_else(PoisonError::into_inner);
        let mut drawing = self.over.wait_while(drawing, |drawing| *drawing >= MOST).unwrap_or_else(PoisonError::into_inner);
        *drawing += 1;
        Turn(self)
    }
}

impl Drop for Turn<'_> {
    fn drop(&mut self) {
        *locked(&self.0.drawing) -= 1;
        self.0.over.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Instant;

    #[test]
    fn a_long_one_is_passed_by_one_other() {
        let turns = Turns::default();
        let long = turns.wait();
        let began = Instant::now();
        let beside = turns.wait();
        assert!(began.elapsed() >= LONG);
        std::thread::scope(|scope| {
            let third = scope.spawn(|| drop(turns.wait()));
            assert_eq!(*locked(&turns.drawing), 2);
            drop(beside);
            third.join().expect("it has its turn");
        });
        drop(long);
        let began = Instant::now();
        drop(turns.wait());
        assert!(began.elapsed() < LONG, "where nobody draws nobody waits");
    }
}
