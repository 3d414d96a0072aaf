//! When the levers or pedals of a link are moved: as early as their strings have sounded, before anything needs them, while the hand is free.
//!
//! A hand moves several levers in one gesture, printed where it begins; a foot moves one pedal after another. What is needed first is moved first.

use super::Plan;
use super::hands::Lines;
use crate::set::standing::Change;
use harp::settings::{MoveTimes, Part};
use music::{Beats, Frame, Note, PlacedMark, Seconds, Tempo};

/// A time in which something may be moved: where it begins on the page, and until when.
struct Window {
    measure: usize,
    at: Beats,
    from: Seconds,
    until: Seconds,
}

/// A change with what the notes of the link ask of it.
struct Due {
    change: Change,
    /// The string has sounded enough.
    earliest: Seconds,
    /// It is plucked anew.
    latest: Seconds,
}

/// The marks of each measure; `None` where there is no time for all of them.
pub fn marks(plan: &Plan, frames: &[Frame], lines: &Lines, tempo: Tempo) -> Option<Vec<Vec<PlacedMark>>> {
    let times = MoveTimes::of(plan.between.player.fluency);
    let page = LinkPage { frames, lines, tempo };
    let mut due: Vec<Due> = plan.between.changes.iter().map(|c| page.due(plan, *c)).collect::<Option<_>>()?;
    due.sort_by_key(|d| (d.latest, d.change));
    let feet = due.iter().any(|d| matches!(d.change.part, Part::Pedal(_)));
    let mut marks = vec![Vec::new(); frames.len()];
    let placed = if feet { by_feet(&page, due, times, &mut marks) } else { by_hand(&page, due, times, &mut marks) };
    placed.then_some(marks)
}

/// The link as it lies on the page.
struct LinkPage<'a> {
    frames: &'a [Frame],
    lines: &'a Lines,
    tempo: Tempo,
}

impl LinkPage<'_> {
    fn start(&self, measure: usize) -> Beats {
        self.frames[..measure].iter().fold(Beats::ZERO, |sum, f| sum + f.length)
    }

    fn time(&self, measure: usize, at: Beats) -> Seconds {
        self.tempo.seconds(self.start(measure) + at)
    }

    fn end(&self) -> Seconds {
        self.time(self.frames.len(), Beats::ZERO)
    }

    /// Beats and half beats.
    fn grid(&self) -> Vec<(usize, Beats)> {
        let of = |(measure, frame): (usize, &Frame)| {
            let half = frame.meter.beat().scaled(1, 2).unwrap_or(frame.meter.beat());
            (0..).map(move |i| half * i).take_while(|at| *at < frame.length).map(move |at| (measure, at)).collect::<Vec<_>>()
        };
        self.frames.iter().enumerate().flat_map(of).collect()
    }

    fn notes(&self) -> impl Iterator<Item = (usize, &Note)> {
        self.lines.measures.iter().enumerate().flat_map(|(m, (busy, free))| busy.iter().chain(free).map(move |n| (m, n)))
    }

    /// What the link's own notes want of a change; `None` where they want it both ways in the wrong order.
    fn due(&self, plan: &Plan, change: Change) -> Option<Due> {
        let (mut earliest, mut latest) = (Seconds::ZERO, self.end());
        for (measure, note) in self.notes() {
            let own = note.pitches.iter().filter(|p| Part::of(plan.between.harp, **p) == Some(change.part));
            for pitch in own {
                let at = self.time(measure, note.at);
                if pitch.alter == change.to {
                    latest = latest.min(at);
                } else {
                    earliest = earliest.max(at + MoveTimes::SOUNDED);
                }
            }
        }
        (earliest < latest).then_some(Due { change, earliest, latest })
    }

    /// Where the hand that moves levers is free, from pluck to pluck.
    fn windows(&self, times: MoveTimes) -> Vec<Window> {
        let free = self.lines.measures.iter().enumerate().flat_map(|(m, (_, free))| free.iter().map(move |n| (m, n)));
        let plucks: Vec<Seconds> = free.filter(|(_, n)| n.is_plucked()).map(|(m, n)| self.time(m, n.at)).collect();
        let window = |(measure, at): (usize, Beats)| {
            let from = self.time(measure, at);
            let next = plucks.partition_point(|p| *p < from);
            let until = plucks.get(next).map_or(self.end(), |p| *p) - times.back;
            let before = next.checked_sub(1).map(|i| plucks[i] + times.away);
            (before.is_none_or(|b| b <= from) && until > from).then_some(Window { measure, at, from, until })
        };
        self.grid().into_iter().filter_map(window).collect()
    }
}

fn by_hand(page: &LinkPage, due: Vec<Due>, times: MoveTimes, marks: &mut [Vec<PlacedMark>]) -> bool {
    let mut left = due;
    let mut ready = Seconds::ZERO;
    for window in page.windows(times) {
        if window.from < ready {
            continue;
        }
        let (mut now, mut before, mut later) = (window.from, None, Vec::new());
        for due in left {
            let end = now + takes(before, due.change.part, times);
            if due.earliest <= window.from && end <= window.until.min(due.latest) {
                marks[window.measure].push(PlacedMark::new(window.at, None, due.change.mark()));
                (now, before) = (end, Some(due.change.part));
            } else {
                later.push(due);
            }
        }
        (left, ready) = (later, now);
    }
    left.is_empty()
}

/// How long a lever takes after another of the same gesture.
fn takes(before: Option<Part>, part: Part, times: MoveTimes) -> Seconds {
    match (before, part) {
        (None, _) => times.lever,
        (Some(Part::Lever(a)), Part::Lever(b)) if (a - b).abs() == 1 => times.neighbour,
        _ => times.distant,
    }
}

fn by_feet(page: &LinkPage, due: Vec<Due>, times: MoveTimes, marks: &mut [Vec<PlacedMark>]) -> bool {
    let mut left = due;
    let mut ready = [Seconds::ZERO; 2];
    for (measure, at) in page.grid() {
        let now = page.time(measure, at);
        for limb in [0, 1] {
            let may = |d: &Due| d.change.part.limb() == limb && d.earliest <= now && now + times.foot <= d.latest;
            let next = left.iter().position(may).filter(|_| ready[limb] <= now);
            if let Some(index) = next {
                marks[measure].push(PlacedMark::new(at, None, left.remove(index).change.mark()));
                ready[limb] = now + times.foot;
            }
        }
    }
    left.is_empty()
}
