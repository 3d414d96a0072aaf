//! One state of the search: where the contested parts stand in every pass under way at a place of the page.
//!
//! A pass begins not knowing how the parts stand; the first note or sign that touches a part settles it. What a pass was found to
//! begin with must be what the stretch played before it ends with.

use super::passage::Part;

/// How a part stands in one pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Stand {
    Known(i8),
    /// As it stood when this stretch began; nothing has touched it since.
    AsBegan(u8),
}

#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Pass {
    /// Index of the stretch.
    pub stretch: u8,
    pub stands: Vec<Stand>,
    /// Until when each limb is busy; 0 when it is free.
    pub busy: [i64; 2],
    /// The levers being moved until the hand is free again, one bit each.
    pub moving: u64,
}

#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct State {
    /// For each part the place up to which a written note holds it; 0 when free.
    pub locks: Vec<usize>,
    pub passes: Vec<Pass>,
    /// For each stretch begun before the one it follows was over: what it was found to begin with.
    pub began: Vec<(u8, Vec<Option<i8>>)>,
}

/// What a step of the search decided.
#[derive(Clone, Copy, Debug)]
pub(super) enum Step {
    Start,
    Opening { part: Part, stands: i8 },
    Sign(super::Mark),
    Note(usize, super::Choice),
}

impl State {
    pub fn start(parts: usize) -> State {
        State { locks: vec![0; parts], passes: Vec::new(), began: Vec::new() }
    }

    /// Settles how a part stood when a stretch began, in every pass that has it from there. Whether that was the opening setting.
    pub fn settle(&mut self, part: usize, stretch: u8, stands: i8) -> bool {
        for pass in &mut self.passes {
            if pass.stands[part] == Stand::AsBegan(stretch) {
                pass.stands[part] = Stand::Known(stands);
            }
        }
        if let Some(began) = self.began.iter_mut().find(|b| b.0 == stretch) {
            began.1[part] = Some(stands);
        }
        stretch == 0
    }

    /// Begins a stretch; what it begins with is open unless the one before is over.
    pub fn begin(&mut self, stretch: u8, parts: usize) {
        let over = stretch.checked_sub(1).and_then(|before| self.passes.iter().position(|p| p.stretch == before && p.busy[0] < 0));
        let stands = match over {
            Some(index) => self.passes.remove(index).stands,
            None => {
                if stretch > 0 {
                    self.began.push((stretch, vec![None; parts]));
                }
                vec![Stand::AsBegan(stretch); parts]
            }
        };
        self.passes.push(Pass { stretch, stands, busy: [0; 2], moving: 0 });
        self.passes.sort();
        self.began.sort();
    }

    /// Ends a stretch: the next must have begun as this one ends, or waits for it. The opening stands this settles; `None` where they differ.
    pub fn end(&mut self, stretch: u8, last: u8) -> Option<Vec<(usize, i8)>> {
        let index = self.passes.iter().position(|p| p.stretch == stretch).expect("a stretch that ends has begun");
        if stretch == last {
            self.passes.remove(index);
            return Some(Vec::new());
        }
        let Some(began) = self.began.iter().position(|b| b.0 == stretch + 1) else {
            self.passes[index].busy = [-1; 2];
            self.passes[index].moving = 0;
            return Some(Vec::new());
        };
        let mut opening = Vec::new();
        let began = self.began.remove(began).1;
        for (part, found) in began.iter().enumerate() {
            let ends = self.passes[index].stands[part];
            match (found, ends) {
                (Some(found), Stand::Known(ends)) if *found != ends => return None,
                (Some(_), Stand::Known(_)) => {}
                (Some(found), Stand::AsBegan(from)) => {
                    if self.settle(part, from, *found) {
                        opening.push((part, *found));
                    }
                }
                (None, ends) => self.hand_on(part, stretch + 1, ends),
            }
        }
        self.passes.remove(index);
        Some(opening)
    }

    fn hand_on(&mut self, part: usize, stretch: u8, ends: Stand) {
        for pass in &mut self.passes {
            if pass.stands[part] == Stand::AsBegan(stretch) {
                pass.stands[part] = ends;
            }
        }
    }

    /// Forgets what is past at this time and place.
    pub fn tidy(&mut self, at: i64, place: usize) {
        for lock in self.locks.iter_mut().filter(|l| **l <= place) {
            *lock = 0;
        }
        for pass in self.passes.iter_mut().filter(|p| p.busy[0] >= 0) {
            for busy in pass.busy.iter_mut().filter(|b| **b <= at) {
                *busy = 0;
            }
            if pass.busy[0] == 0 {
                pass.moving = 0;
            }
        }
    }
}
