//! What a fingering costs: one table of prices with the reason for each, and the parts a price is made of.
//!
//! All numbers are our own starting values in points; they are settings, never facts. Only what they rank is common practice.

use music::Seconds;
use std::ops::{Add, AddAssign};

/// The prices, in points.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Prices {
    /// Each new placing of the hand. Default 12: two groups cost more than one good shape of four strings.
    pub placing: i64,
    /// A group's fingering that is not the shape's own cheapest. Default 6: more than a leap with time enough, less than a new placing.
    pub own_shape: i64,
    /// The same for two strings up to a third apart, which any two neighbouring fingers take well. Default 2.
    pub own_pair: i64,
    /// For each finger from the thumb to the group's highest: the thumb leads the hand. Default 1: decides ties only.
    pub no_thumb: i64,
    /// A hand no player likes to form (habit 5). Default 30: rather two placings.
    pub strain: i64,
    /// A group wider than the hand holds at once, within its rolled reach. Default 15: rather two placings.
    pub stretch: i64,
    /// A turn inside a group. Default 5: groups move one way (harp facts 3.2, brackets), but 1-8-5 stays one group.
    pub turn_inside: i64,
    /// Two neighbouring groups that move in opposite ways. Default 2: turning back is the place for a new bracket.
    pub turn_between: i64,
    /// Fingers that wait on their strings over a gap longer than `wait_from`. Default 15: above one placing.
    pub wait: i64,
    /// A group that reaches over a beginning (see [`super::Pluck::anew`]). Default 24: rather two new placings, so that each chord's shape is placed for itself.
    pub over: i64,
    /// Default 1.5 s: at long notes and rests the hand leaves the strings (harp facts 3.2).
    pub wait_from: Seconds,
    /// Thumb over or finger under the thumb, as in scales (harp facts 3.2). Default 4.
    pub cross_thumb: i64,
    /// Each string that a crossing is wider than a step. Default 2.
    pub cross_wider: i64,
    /// Any other crossing of fingers. Default 10.
    pub cross_other: i64,
    /// The same finger on another string with too little time to lift the hand. Default 8.
    pub finger_again: i64,
    /// The same finger on another string within the reach, with time enough, in the flow of a line and not from chord to chord: the hand hops where another finger would have joined. Default 5:
    /// as much as a shape that is fingered otherwise than by itself.
    pub hop: i64,
    /// A leap whose fingers lie against the strings, as from the thumb upward to the second. Default 4: more than a bass by its fourth finger costs.
    pub against: i64,
    /// The thumb slides to its lower neighbour (harp facts 3.2). Default 3: below every other repeated finger.
    pub thumb_slide: i64,
    /// The fourth finger slides to its upper neighbour: tricky (harp facts 3.2). Default 6.
    pub fourth_slide: i64,
    /// A leap, and for each octave of it. Default 2.
    pub leap: i64,
    /// For each finger from the fourth, of a string alone an octave or more under its neighbours: the bass under a chord is the fourth finger's. Default 2: more than the thumb's lead.
    pub bass: i64,
    /// A string placed again. Default 1: it is stopped by the placing (harp facts 3.2).
    pub string_again: i64,
    /// The same string by another finger: a small noise (harp facts 3.2). Default 2.
    pub other_finger: i64,
    /// The same, where it is plucked alone twice in a row. Default 5: only where the line wants the other finger.
    pub repeated_otherwise: i64,
    /// A finger other than in the same passage elsewhere ([`super::Liked`]). Default 12: only a shortage of time is worse.
    pub unlike: i64,
    /// A group that begins, or does not, otherwise than there. Default 6.
    pub cut_unlike: i64,
    /// Any shortage of time. Default 10.
    pub late: i64,
    /// A shortage of all the time that is needed; less in proportion. Default 60.
    pub late_wholly: i64,
}

impl Default for Prices {
    fn default() -> Prices {
        Prices {
            placing: 12,
            own_shape: 6,
            own_pair: 2,
            no_thumb: 1,
            strain: 30,
            stretch: 15,
            turn_inside: 5,
            turn_between: 2,
            wait: 15,
            over: 24,
            wait_from: Seconds::from_millis(1500),
            cross_thumb: 4,
            cross_wider: 2,
            cross_other: 10,
            finger_again: 8,
            hop: 5,
            against: 4,
            thumb_slide: 3,
            fourth_slide: 6,
            leap: 2,
            bass: 2,
            string_again: 1,
            other_finger: 2,
            repeated_otherwise: 5,
            unlike: 12,
            cut_unlike: 6,
            late: 10,
            late_wholly: 60,
        }
    }
}

impl Prices {
    /// The price of fingering these strings, lowest first, otherwise than by their own shape.
    pub(crate) fn leaving(&self, strings: &[i32]) -> i64 {
        match strings {
            [low, high] if high - low <= 2 => self.own_pair,
            _ => self.own_shape,
        }
    }

    /// The price of having `time` where `needed` is wanted.
    pub(crate) fn shortage(&self, time: Seconds, needed: Seconds) -> i64 {
        let (time, needed) = (time.micros().max(0), needed.micros());
        if time >= needed { 0 } else { self.late + self.late_wholly * (needed - time) / needed }
    }
}

/// What a price is made of, in points; the parts add up to [`Parts::total`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Parts {
    /// Placing the hand anew.
    pub placing: i64,
    /// How the fingers lie over the strings.
    pub shape: i64,
    /// Leaving the fingering that the strings have by themselves.
    pub own_shape: i64,
    /// Strain and stretch.
    pub wide: i64,
    /// Turning back within a group.
    pub turn: i64,
    /// Fingers that wait on their strings.
    pub wait: i64,
    /// Groups that reach over a beginning.
    pub over: i64,
    /// Crossings and leaps.
    pub travel: i64,
    /// Time that is missing for them.
    pub late: i64,
    /// One finger plucks twice running.
    pub finger_again: i64,
    /// Strings placed again, and time missing for that.
    pub string_again: i64,
    /// What is taken otherwise than in the same passage elsewhere.
    pub unlike: i64,
}

impl Parts {
    /// All of them together.
    pub fn total(&self) -> i64 {
        let group = self.placing + self.shape + self.own_shape + self.wide + self.turn + self.wait + self.over;
        group + self.travel + self.late + self.finger_again + self.string_again + self.unlike
    }
}

impl Add for Parts {
    type Output = Parts;
    fn add(self, other: Parts) -> Parts {
        Parts {
            placing: self.placing + other.placing,
            shape: self.shape + other.shape,
            own_shape: self.own_shape + other.own_shape,
            wide: self.wide + other.wide,
            turn: self.turn + other.turn,
            wait: self.wait + other.wait,
            over: self.over + other.over,
            travel: self.travel + other.travel,
            late: self.late + other.late,
            finger_again: self.finger_again + other.finger_again,
            string_again: self.string_again + other.string_again,
            unlike: self.unlike + other.unlike,
        }
    }
}

impl AddAssign for Parts {
    fn add_assign(&mut self, other: Parts) {
        *self = *self + other;
    }
}
