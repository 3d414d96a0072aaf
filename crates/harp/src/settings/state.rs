//! How one lever or pedal stands in every pass under way at a place of the page.
//!
//! A pass begins not knowing how the part stands; the first note or sign that touches it settles that. What a pass was found to
//! begin with must be what the stretch played before it ends with.

use smallvec::{SmallVec, smallvec};

/// How a part stands in one pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Stand {
    Known(i8),
    /// As it stood when this stretch began; nothing has touched it since.
    AsBegan(u8),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Pass {
    /// Index of the stretch.
    pub stretch: u8,
    /// The stretch is over, the next has not begun.
    pub over: bool,
    pub stand: Stand,
}

/// A note that may hold a string over a jump of the playing order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Tie {
    /// Not plucked, or not reached yet.
    Open,
    /// Something was moved that it would have held: it must not be plucked so.
    Forbidden,
    Plucked,
}

#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct State {
    pub passes: SmallVec<[Pass; 3]>,
    /// For each stretch begun before the one it follows was over: what it was found to begin with.
    pub began: SmallVec<[(u8, Option<i8>); 3]>,
    /// A lever is moved too late for the next note on it.
    pub late: bool,
    pub ties: SmallVec<[Tie; 4]>,
}

impl State {
    pub fn start(ties: usize) -> State {
        State { passes: SmallVec::new(), began: SmallVec::new(), late: false, ties: smallvec![Tie::Open; ties] }
    }

    pub fn under_way(&self) -> impl Iterator<Item = &Pass> {
        self.passes.iter().filter(|p| !p.over)
    }

    /// Settles how the part stood when a stretch began, in every pass that has it from there. Returns it if that was the opening setting.
    pub fn settle(&mut self, stretch: u8, stands: i8) -> Option<i8> {
        for pass in self.passes.iter_mut().filter(|p| p.stand == Stand::AsBegan(stretch)) {
            pass.stand = Stand::Known(stands);
        }
        if let Some(began) = self.began.iter_mut().find(|b| b.0 == stretch) {
            began.1 = Some(stands);
        }
        (stretch == 0).then_some(stands)
    }

    /// Begins a stretch; what it begins with is open unless the one before is over.
    pub fn begin(&mut self, stretch: u8) {
        let over = stretch.checked_sub(1).and_then(|before| self.passes.iter().position(|p| p.stretch == before && p.over));
        let stand = match over {
            Some(index) => self.passes.remove(index).stand,
            None => {
                if stretch > 0 {
                    self.began.push((stretch, None));
                }
                Stand::AsBegan(stretch)
            }
        };
        self.passes.push(Pass { stretch, over: false, stand });
        self.passes.sort_by_key(|p| p.stretch);
        self.began.sort_by_key(|b| b.0);
    }

    /// Ends a stretch: the next must have begun as this one ends, or waits for it. `None` where they differ, else the opening this settles.
    pub fn end(&mut self, stretch: u8, last: u8) -> Option<Option<i8>> {
        let index = self.passes.iter().position(|p| p.stretch == stretch).expect("a stretch that ends has begun");
        if stretch == last {
            self.passes.remove(index);
            return Some(None);
        }
        let Some(began) = self.began.iter().position(|b| b.0 == stretch + 1) else {
            self.passes[index].over = true;
            return Some(None);
        };
        let found = self.began.remove(began).1;
        let ends = self.passes.remove(index).stand;
        match (found, ends) {
            (Some(found), Stand::Known(ends)) => (found == ends).then_some(None),
            (Some(found), Stand::AsBegan(from)) => Some(self.settle(from, found)),
            (None, ends) => {
                for pass in self.passes.iter_mut().filter(|p| p.stand == Stand::AsBegan(stretch + 1)) {
                    pass.stand = ends;
                }
                Some(None)
            }
        }
    }
}
