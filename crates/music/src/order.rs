//! In which order the measures are played: repeats, endings, D.C., D.S., coda, fine.
//!
//! Common practice: a stretch between repeat signs is played as often as its sign or its endings say; after D.C. or D.S. the stretches are
//! played once, through their last ending.

use crate::measure::{Ending, Frame, Jump};

/// The longest playing order that is followed, in measures; what lies beyond is cut off and said so.
pub const LONGEST: usize = 20_000;

/// The playing order and whether it was cut off at [`LONGEST`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Order {
    /// Indices into the written measures.
    pub measures: Vec<usize>,
    /// There would be more than [`LONGEST`]: the rest is left out.
    pub cut: bool,
}

/// Follows every sign once as a player would. A bracket drawn over the first measure of an ending only is taken to reach to its repeat sign.
///
/// ```
/// use music::order::playing_order;
/// use music::{Frame, text};
///
/// // Common practice: a repeated measure is played twice, then it goes on.
/// let tune = text::sheet("4/4 C |: C5:4 :| G4:4 |");
/// let frames: Vec<&Frame> = tune.measures.iter().map(|m| &m.frame).collect();
/// assert_eq!(playing_order(&frames).measures, [0, 0, 1]);
/// ```
pub fn playing_order(frames: &[&Frame]) -> Order {
    match with_whole_endings(frames) {
        Some(whole) => follow(&whole.iter().collect::<Vec<_>>()),
        None => follow(frames),
    }
}

/// The furthest that an ending may reach beyond its bracket, in measures.
const BEYOND_THE_BRACKET: usize = 8;

/// The frames with every bracket drawn to the repeat sign before the next bracket; `None` where all are whole already.
fn with_whole_endings(frames: &[&Frame]) -> Option<Vec<Frame>> {
    let mut whole: Option<Vec<Frame>> = None;
    for (at, pair) in frames.windows(2).enumerate() {
        let (Some(ending), None) = (&pair[0].ending, &pair[1].ending) else { continue };
        let to = (at + 1..frames.len().min(at + 1 + BEYOND_THE_BRACKET))
            .take_while(|i| frames[*i].ending.is_none() && !frames[*i].repeat_start)
            .find(|i| frames[*i].repeat_end.is_some());
        let Some(to) = to.filter(|i| pair[0].repeat_end.is_none() && frames.get(i + 1).is_some_and(|f| f.ending.is_some())) else {
            continue;
        };
        let whole = whole.get_or_insert_with(|| frames.iter().map(|f| (*f).clone()).collect());
        for frame in &mut whole[at + 1..=to] {
            frame.ending = Some(Ending { starts: false, ..ending.clone() });
        }
    }
    whole
}

fn follow(frames: &[&Frame]) -> Order {
    let mut walk = Walk { frames, at: 0, start: 0, pass: 1, jumped: false, measures: Vec::new() };
    while walk.at < frames.len() {
        if walk.measures.len() >= LONGEST {
            return Order { measures: walk.measures, cut: true };
        }
        walk.step();
    }
    Order { measures: walk.measures, cut: false }
}

struct Walk<'a> {
    frames: &'a [&'a Frame],
    at: usize,
    /// Where the current stretch begins, and which pass through it this is.
    start: usize,
    pass: u32,
    jumped: bool,
    measures: Vec<usize>,
}

impl Walk<'_> {
    fn step(&mut self) {
        let here = self.frames[self.at];
        if here.repeat_start && self.at != self.start {
            (self.start, self.pass) = (self.at, 1);
        }
        if self.jumped && self.pass == 1 {
            self.pass = self.passes(self.at);
        }
        if here.ending.as_ref().is_some_and(|e| !e.passes.contains(&self.pass)) {
            self.at += 1;
            self.leave_endings();
            return;
        }
        self.measures.push(self.at);
        let has = |jump| here.jumps.contains(&jump);
        if self.jumped && has(Jump::Fine) {
            self.at = self.frames.len();
        } else if self.jumped && has(Jump::ToCoda) {
            self.go_to(self.find(Jump::Coda, self.at + 1).unwrap_or(self.at + 1));
        } else if here.repeat_end.is_some() && self.pass < self.passes(self.at) {
            self.pass += 1;
            self.at = self.start;
        } else if has(Jump::DaCapo) && !self.jumped {
            self.jumped = true;
            self.go_to(0);
        } else if has(Jump::DalSegno) && !self.jumped {
            self.jumped = true;
            self.go_to(self.find(Jump::Segno, 0).unwrap_or(0));
        } else {
            let ended = here.repeat_end.is_some();
            self.at += 1;
            if ended && self.frames.get(self.at).is_none_or(|f| f.ending.is_none()) {
                (self.start, self.pass) = (self.at, 1);
            }
            self.leave_endings();
        }
    }

    /// After the last ending of a group a new stretch begins.
    fn leave_endings(&mut self) {
        let was_ending = self.at > 0 && self.frames[self.at - 1].ending.is_some();
        if was_ending && self.frames.get(self.at).is_some_and(|f| f.ending.is_none()) {
            (self.start, self.pass) = (self.at, 1);
        }
    }

    fn go_to(&mut self, at: usize) {
        (self.at, self.start, self.pass) = (at, at, 1);
    }

    fn find(&self, jump: Jump, from: usize) -> Option<usize> {
        (from..self.frames.len()).find(|i| self.frames[*i].jumps.contains(&jump))
    }

    /// How often the stretch around a measure is played: what its repeat sign says, or the highest number of its endings.
    fn passes(&self, at: usize) -> u32 {
        let mut most = 1;
        let mut seen_ending = false;
        for frame in &self.frames[self.start..] {
            if seen_ending && frame.ending.is_none() {
                break;
            }
            seen_ending |= frame.ending.is_some();
            most = most.max(frame.ending.iter().flat_map(|e| e.passes.iter().copied()).max().unwrap_or(1));
            if let Some(times) = frame.repeat_end {
                most = most.max(times);
                if !seen_ending {
                    break;
                }
            }
        }
        let _ = at;
        most
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::key::Key;
    use crate::meter::Meter;

    /// A letter a measure; before it `:` opens a repeat, `1` or `2` puts it under an ending, `$` `@` are segno and coda; after it `:` closes a
    /// repeat, `f` fine, `c` to coda, `D` da capo, `S` dal segno.
    fn order(form: &str) -> String {
        let mut frames: Vec<Frame> = Vec::new();
        for word in form.split_whitespace() {
            let mut frame = Frame::plain(frames.len() as u32 + 1, Meter::simple(4, 4), Key::C_MAJOR);
            let letter = word.find(|c: char| c.is_ascii_uppercase()).expect("a letter a measure");
            for c in word[..letter].chars() {
                match c {
                    ':' => frame.repeat_start = true,
                    '$' => frame.jumps.push(Jump::Segno),
                    '@' => frame.jumps.push(Jump::Coda),
                    d => frame.ending = Some(Ending { passes: vec![d.to_digit(10).expect("an ending")], starts: true, stops: true }),
                }
            }
            for c in word[letter + 1..].chars() {
                match c {
                    ':' => frame.repeat_end = Some(2),
                    'f' => frame.jumps.push(Jump::Fine),
                    'c' => frame.jumps.push(Jump::ToCoda),
                    'd' => frame.jumps.push(Jump::DaCapo),
                    's' => frame.jumps.push(Jump::DalSegno),
                    other => panic!("no sign {other}"),
                }
            }
            frames.push(frame);
        }
        let all: Vec<&Frame> = frames.iter().collect();
        let letters: Vec<char> = form.chars().filter(char::is_ascii_uppercase).collect();
        playing_order(&all).measures.iter().map(|i| letters[*i]).collect()
    }

    /// Common practice.
    #[test]
    fn signs_are_followed() {
        assert_eq!(order("A B C"), "ABC");
        assert_eq!(order("A B: C"), "ABABC");
        assert_eq!(order(":A 1B: 2C D"), "ABACD");
        assert_eq!(order("A 1B: 2C: D E:"), "ABACDEDE");
        assert_eq!(order(":A 1B: 2C: 3D E"), "ABACADE");
        assert_eq!(order(":A Bf: C Dd"), "ABABCDAB");
        assert_eq!(order("A $B Cc Ds @E"), "ABCDBCE");
        assert_eq!(order("A 1B: 2Cf D Ed"), "ABACDEAC");
        assert_eq!(order("A 1B C: 2D E"), "ABCADE");
        assert_eq!(order(":A B: :C 1D: 2E"), "ABABCDCE");
    }
}
