//! What passing from one slot to the next costs: how the hand leaves and enters, the bass going on as a line, the shape going on by the nearest way, what
//! still rings.

use super::weight::weights;
use crate::figures::Job;
use crate::hand_time::{FAR, FAR_TIME, Pluck, distance};
use crate::price::{Price, Principle};
use crate::register::Register;
use crate::slots::Slot;
use harp::Fluency;
use harp::ring::RingModel;
use music::{Beats, Hand, LocalClock, Seconds};
use smallvec::SmallVec;
use std::sync::LazyLock;

/// How the left hand leaves a slot.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Exit {
    /// Lowest and highest string of the last pluck; `None` after a rest.
    pub hand: Option<(i32, i32)>,
    /// From the last pluck to the end of the slot.
    pub before_end: Seconds,
    /// Strings plucked shortly before the end, with the time from then to the end.
    pub recent: Vec<(i32, Seconds)>,
    pub line: Line,
    /// A tone of the shape that is the seventh of its chord, as a string.
    pub seventh: Option<i32>,
    /// A last tone that leads by step into the next bass.
    pub lead: Option<i32>,
    /// Pitch classes, a bit each, of the strings that ring on well into the next slot: below C3, and from there to middle C.
    pub ringing: [u16; 2],
    /// The slot's bass string, where it is a low one and rings on so.
    pub low_bass: Option<i32>,
    pub groove: Option<Groove>,
    /// Before a close: plucks a quarter, in hundredths.
    pub rate: u16,
}

/// How the left hand comes into a slot.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Entry {
    pub hand: Option<(i32, i32)>,
    pub after_start: Seconds,
    /// How many strings the first pluck takes at once.
    pub together: usize,
    /// Strings plucked shortly after the start, with the time from the start.
    pub early: Vec<(i32, Seconds)>,
    pub line: Line,
    pub groove: Option<Groove>,
    /// The same, at the chord before a close.
    pub rate: Option<u16>,
}

/// The moments at which a slot is plucked, as far as one slot is compared with the next: under held notes, or otherwise inside a phrase.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Groove {
    held: bool,
    /// Sixths of a quarter note, a bit each, from the start of the slot.
    plucked: u64,
    length: u32,
}

impl Groove {
    /// `None` where another rhythm is what the place asks for: at a close, at the end, leading on, after a lever.
    pub fn of(slot: &Slot, job: Job, plucks: &[Pluck]) -> Option<Groove> {
        if slot.duty.last && slot.hand == Hand::Left {
            return None;
        }
        let held = match job {
            Job::Held => true,
            Job::Plain | Job::Running | Job::GoesOn => false,
            _ => return None,
        };
        let sixths = |at: Beats| (at.thousandths_of(Beats::QUARTER) * 6 / 1_000).clamp(0, 63) as u32;
        let plucked = plucks.iter().fold(0, |bits, p| bits | 1 << sixths(p.at));
        Some(Groove { held, plucked, length: sixths(slot.length) })
    }
}

/// Another rhythm than before, as far as the shorter of both slots tells.
pub fn groove(before: Option<Groove>, here: Option<Groove>) -> i64 {
    let (Some(before), Some(here)) = (before, here) else { return 0 };
    let heard = (1u64 << before.length.min(here.length)) - 1;
    let differs = (before.plucked ^ here.plucked) & heard != 0;
    if before.held == here.held && differs { weights().rhythm_changed } else { 0 }
}

/// The bass of a slot and the strings above it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Line {
    /// Position and MIDI number.
    pub bass: Option<(i32, i32)>,
    /// The three highest strings above the bass, highest first.
    pub shape: [Option<i32>; 3],
}

impl Line {
    /// Over a melody in the left hand there is no bass, and all strings are the shape.
    fn of(hand: Hand, plucks: &[Pluck]) -> Line {
        let bass = plucks.first().filter(|_| hand == Hand::Left).map(|p| (p.low(), p.pitches[0].midi()));
        let mut strings: SmallVec<[i32; 16]> = plucks.iter().flat_map(|p| p.pitches.iter().map(|q| q.position())).collect();
        strings.sort_unstable_by(|a, b| b.cmp(a));
        strings.dedup();
        let mut above = strings.into_iter().filter(|s| bass.is_none_or(|b| *s > b.0 + 1));
        Line { bass, shape: [above.next(), above.next(), above.next()] }
    }

    /// The strings of the shape.
    fn strings<'r>(&self, room: &'r mut [i32; 3]) -> &'r [i32] {
        let mut count = 0;
        for string in self.shape.into_iter().flatten() {
            room[count] = string;
            count += 1;
        }
        &room[..count]
    }
}

/// How a slot is left; the clock counts from its start.
pub fn exit(
    slot: &Slot,
    plucks: &[Pluck],
    (lead, groove): (Option<i32>, Option<Groove>),
    clock: &LocalClock,
    fluency: Fluency,
    register: Register,
) -> Exit {
    let last = plucks.last();
    let to_end: SmallVec<[Seconds; 8]> = plucks.iter().map(|p| clock.between(p.at, slot.length)).collect();
    let near = plucks.iter().zip(&to_end).filter(|(_, time)| **time < fluency.same_string());
    Exit {
        hand: last.map(|p| (p.low(), p.high())),
        before_end: to_end.last().copied().unwrap_or(Seconds::ZERO),
        recent: near.flat_map(|(p, time)| p.pitches.iter().map(|q| (q.position(), *time))).collect(),
        line: Line::of(slot.hand, plucks),
        seventh: seventh_of(slot, plucks),
        lead,
        ringing: ringing_on(plucks, &to_end, register),
        low_bass: plucks
            .first()
            .filter(|_| slot.hand == Hand::Left)
            .filter(|p| rings_on(p.low() - 7 * register.octaves, to_end[0]) == Some(0))
            .map(Pluck::low),
        groove,
        rate: if slot.duty.before_close && slot.hand == Hand::Left { rate(slot, plucks) } else { 0 },
    }
}

/// Plucks a quarter, in hundredths.
fn rate(slot: &Slot, plucks: &[Pluck]) -> u16 {
    let per_quarter = plucks.len() as i64 * 100_000 / slot.length.thousandths_of(Beats::QUARTER).max(1);
    per_quarter.clamp(0, 1_000) as u16
}

/// C3 and middle C as positions.
const LOW: i32 = 21;
const MIDDLE: i32 = 28;
/// A string that rings less than this into the next slot does not matter there. Ours.
const HEARD: Seconds = Seconds::from_millis(2_000);

/// Whether a string rings on well after this time: 0 below C3, 1 from there to middle C.
fn rings_on(position: i32, since: Seconds) -> Option<usize> {
    static MODEL: LazyLock<RingModel> = LazyLock::new(RingModel::default);
    (position < MIDDLE && MODEL.time(position) >= since + HEARD).then_some(usize::from(position >= LOW))
}

fn ringing_on(plucks: &[Pluck], to_end: &[Seconds], register: Register) -> [u16; 2] {
    let mut ringing = [0; 2];
    for (pluck, since) in plucks.iter().zip(to_end) {
        for pitch in &pluck.pitches {
            if let Some(which) = rings_on(pitch.position() - 7 * register.octaves, *since) {
                ringing[which] |= 1 << pitch.pitch_class();
            }
        }
    }
    ringing
}

/// What of the slot before clashes with the next chord (older ring counts as stopped), and a low bass placed again while it rings.
pub fn ring(exit: &Exit, entry: &Entry, chord: Option<u16>) -> i64 {
    let Some(chord) = chord else { return 0 };
    let near = ((chord << 1) | (chord >> 11) | (chord >> 1) | ((chord & 1) << 11)) & 0xfff;
    let count = |bits: u16| i64::from(bits.count_ones());
    let clash = |bits: u16, sharp: i64, mild: i64| sharp * count(bits & !chord & near) + mild * count(bits & !chord & !near);
    let [low, middle] = exit.ringing;
    let again = exit.low_bass.is_some() && exit.low_bass == entry.line.bass.map(|b| b.0);
    clash(low, weights().clash_low, weights().foreign_low)
        + clash(middle, weights().clash, weights().foreign)
        + if again { weights().buzz } else { 0 }
}

/// How a slot is entered; the clock counts from its start.
pub fn entry(slot: &Slot, plucks: &[Pluck], groove: Option<Groove>, clock: &LocalClock, fluency: Fluency) -> Entry {
    let first = plucks.first();
    let near = |p: &&Pluck| clock.at(p.at) < fluency.same_string();
    Entry {
        hand: first.map(|p| (p.low(), p.high())),
        after_start: first.map_or(Seconds::ZERO, |p| clock.at(p.at)),
        together: first.map_or(0, |p| p.pitches.len()),
        early: plucks.iter().filter(near).flat_map(|p| p.pitches.iter().map(|q| (q.position(), clock.at(p.at)))).collect(),
        line: Line::of(slot.hand, plucks),
        groove,
        rate: slot.duty.approach.then(|| rate(slot, plucks)),
    }
}

/// A fifth, in strings counted as steps.
const FIFTH: i32 = 4;

/// The string above the bass that is the chord's seventh.
fn seventh_of(slot: &Slot, plucks: &[Pluck]) -> Option<i32> {
    let chord = slot.chord.as_ref()?;
    let class = chord.name_of(chord.seventh()?).pitch_class();
    let bass = plucks.first().map_or(i32::MIN, |p| if slot.hand == Hand::Left { p.low() } else { i32::MIN });
    let sevenths = plucks.iter().flat_map(|p| &p.pitches).filter(|q| q.pitch_class() == class && q.position() > bass);
    sevenths.map(|q| q.position()).max()
}

/// The price of going from one slot to the next.
pub fn pair(before: &Slot, exit: &Exit, here: &Slot, entry: &Entry, player: &harp::Player) -> Price {
    let step = Step::new(before, here);
    let mut price = Price::default();
    if before.hand != here.hand {
        return price;
    }
    price.add(Principle::HandTravel, travel(exit, entry, (player, here.hand)));
    price.add(Principle::BassLine, step.bass(exit.line.bass, exit.lead, entry.line.bass));
    price.add(Principle::NearestWay, step.shape(exit.line, exit.seventh, entry.line));
    price.add(Principle::Ring, ring(exit, entry, here.chord_bits()));
    price.add(Principle::SteadyFigure, groove(exit.groove, entry.groove) + thinner(exit.rate, entry.rate));
    price
}

/// A close that is thinner than what led to it.
pub fn thinner(before: u16, here: Option<u16>) -> i64 {
    weights().thinner_at_a_close * i64::from(before.saturating_sub(here.unwrap_or(before))) / 100
}

pub fn travel(exit: &Exit, entry: &Entry, (player, hand): (&harp::Player, Hand)) -> i64 {
    let (Some(from), Some(to)) = (exit.hand, entry.hand) else { return 0 };
    let gap = exit.before_end + entry.after_start;
    let way = distance(from, to);
    let wide = from.0.min(to.0) + (player.reach(hand).block as i32) <= from.1.max(to.1);
    let mut sum = 0;
    if wide && gap < player.fluency.shift(way) || way >= FAR && gap < FAR_TIME || gap < player.fluency.placed_pluck() {
        sum += weights().no_time;
    }
    if entry.together >= 3 && gap < player.fluency.shift(FIFTH) {
        sum += weights().hurried;
    }
    let back = |(string, early): &(i32, Seconds)| {
        exit.recent.iter().any(|(other, late)| other == string && *early + *late < player.fluency.same_string())
    };
    if entry.early.iter().any(back) {
        sum += weights().no_time;
    }
    sum + if wide { weights().travel * i64::from(way) } else { 0 }
}

/// What two neighbouring slots ask of the line, looked up once for all candidates.
pub struct Step {
    same_chord: bool,
    /// Chords above the melody: their strings are heard as they go on, so they go the nearest way.
    above: bool,
    /// The next slot is a place where the root is asked for: a fourth or fifth down to it is how a phrase closes.
    closes: bool,
    /// A phrase begins with the next slot.
    seam: bool,
    /// The letter of a tone that would make the chord before sound as another: its sixth.
    misleads: Option<i32>,
    /// Both chords are written on the same bass: it stays, as under a six-four that becomes its dominant.
    pedal: bool,
    slashed: bool,
    third: Option<i32>,
    /// The letter of the third before, where it leads to the root of the new chord.
    leading: Option<i32>,
    fifth: Option<i32>,
    seventh: Option<i32>,
    /// The chord is new and its root lies a semitone above the third before: the leading tone.
    leads_to: Option<i32>,
    tune: Option<(i32, i32)>,
    next: u16,
}

impl Step {
    pub fn new(before: &Slot, here: &Slot) -> Step {
        let class = |tone: Option<music::ChordTone>| before.chord.as_ref().zip(tone).map(|(c, t)| c.name_of(t).pitch_class());
        let slashed = [before, here].iter().any(|s| s.chord.as_ref().is_some_and(|c| c.bass.is_some()));
        let of = |find: fn(&music::Chord) -> Option<music::ChordTone>| class(before.chord.as_ref().and_then(find));
        Step {
            same_chord: before.chord == here.chord,
            above: here.hand == Hand::Right,
            closes: here.duty.arrival || here.duty.last,
            seam: before.next_bass.is_some(),
            misleads: before.chord.as_ref().map(|c| (c.root.step.index() + 5).rem_euclid(7)),
            slashed,
            pedal: {
                let bass = |s: &Slot| s.chord.as_ref().map(|c| c.bass_name().pitch_class());
                before.duty.six_four || slashed && bass(before) == bass(here)
            },
            third: of(music::Chord::third),
            leading: {
                let third = before.chord.as_ref().and_then(|c| c.third().map(|t| c.name_of(t)));
                let root = here.chord.as_ref().map(|c| c.root);
                third.zip(root).filter(|(t, r)| (t.pitch_class() + 1).rem_euclid(12) == r.pitch_class()).map(|(t, _)| t.step.index())
            },
            fifth: of(music::Chord::fifth),
            seventh: of(music::Chord::seventh),
            leads_to: here.chord.as_ref().map(|c| c.root.pitch_class()),
            tune: before.tune.zip(here.tune),
            next: here.chord_bits().unwrap_or(0),
        }
    }

    /// The bass going on. `lead` is a last tone that should lead by step.
    pub fn bass(&self, from: Option<(i32, i32)>, lead: Option<i32>, to: Option<(i32, i32)>) -> i64 {
        let (Some(from), Some(to)) = (from, to) else {
            return if lead.is_some() { weights().lead_astray } else { 0 };
        };
        let mut sum = match lead {
            Some(lead) if (to.0 - lead).abs() == 1 && self.misleads == Some(lead.rem_euclid(7)) => weights().lead_misleads,
            Some(lead) if (to.0 - lead).abs() == 1 => 0,
            Some(_) => weights().lead_astray,
            None if self.seam => weights().seam_without_lead,
            None => 0,
        };
        let steps = (to.0 - from.0).unsigned_abs() as usize;
        let by = if self.same_chord { &weights().same_chord_by } else { &weights().bass_by };
        let leap = by[steps.min(7)] + weights().bass_beyond * (steps as i64 - 7).max(0);
        sum += match steps {
            3 | 4 if self.closes => 0,
            0 | 7 if self.pedal && (self.fifth == Some(from.1.rem_euclid(12)) || self.slashed) => 0,
            _ if self.closes && !self.same_chord => leap + weights().soft_close,
            _ => leap,
        };
        if crooked(steps, (to.1 - from.1).abs()) {
            sum += weights().crooked_step;
        }
        let class = from.1.rem_euclid(12);
        if !self.same_chord {
            let leading = self.third == Some(class) && self.leads_to == Some((class + 1).rem_euclid(12));
            if leading && to.1 != from.1 + 1 {
                sum += weights().leading_bass;
            }
            if self.seventh == Some(class) && to.0 != from.0 - 1 {
                sum += weights().seventh_bass;
            }
            if self.fifth == Some(class) && steps > 1 {
                sum += weights().six_four;
            }
        }
        if self.same_chord && self.seventh == Some(class) && !matches!(to.0 - from.0, -1 | 0) {
            sum += weights().seventh_bass / 3;
        }
        if let Some((tune, next)) = self.tune
            && tune != next
            && (tune - from.1).rem_euclid(12) == 0
            && (next - to.1).rem_euclid(12) == 0
        {
            sum += weights().octaves_with_tune;
        }
        sum
    }

    /// The strings above the bass going on: common tones stay, others move a string or two, a seventh stays or falls.
    pub fn shape(&self, from: Line, seventh: Option<i32>, to: Line) -> i64 {
        let (mut room, mut more) = ([0; 3], [0; 3]);
        let (left, come) = (from.strings(&mut room), to.strings(&mut more));
        if left.is_empty() || come.is_empty() {
            return 0;
        }
        let nearest = |s: i32| left.iter().map(|f| (f - s).abs()).min().unwrap_or(0);
        let by = if self.above { weights().shape_moves_above } else { weights().shape_moves };
        let mut sum: i64 = come.iter().map(|s| by * i64::from((nearest(*s) - 1).clamp(0, 6))).sum();
        if self.same_chord {
            return sum / 2;
        }
        if let Some(by) = from.bass.zip(to.bass).map(|(f, t)| t.0 - f.0).filter(|by| *by != 0) {
            if left.len().min(come.len()) >= 2 && left.iter().zip(come).all(|(f, t)| t - f == by) {
                sum += weights().moved_bodily;
            }
            let over = |line: &Line, strings: &[i32]| strings.last().zip(line.bass).map(|(low, bass)| low - bass.0);
            if over(&from, left) == Some(FIFTH) && over(&to, come) == Some(FIFTH) {
                sum += weights().parallel_fifths;
            }
        }
        if let Some(letter) = self.leading {
            let hangs = |s: i32| come.iter().all(|t| *t != s + 1 && *t != s);
            let hanging = left.iter().filter(|s| s.rem_euclid(7) == letter && hangs(**s)).count() as i64;
            sum += weights().leading_third_left_hanging * hanging;
        }
        if let Some(seventh) = seventh {
            let goes = |way: i32| come.contains(&(seventh + way));
            let stays = goes(0) && self.next & self.seventh.map_or(0, |c| 1 << c) != 0;
            if !goes(-1) && !stays && self.next != 0 {
                sum += weights().seventh_left_hanging;
            }
        }
        sum
    }
}

/// A fourth of six semitones, a fifth of six or eight, a second of three: hard to sing (common practice).
pub(super) fn crooked(steps: usize, semitones: i32) -> bool {
    matches!((steps, semitones), (3, 6) | (4, 6 | 8) | (1, 3 | 0) | (7, 11 | 13))
}
