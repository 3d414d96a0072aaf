//! The principles as prices of notes: each a small function of the melody here, the chord, the place in the phrase and what the left hand plucks.
//!
//! None of them sees a candidate or a figure's name, so each can be asked about any page. The weights stand in one table with a reason each.

use crate::hand_time::{FAR, FAR_TIME, Pluck, distance};
use crate::price::{Price, Principle};
use crate::register::Register;
use crate::slots::{Pace, Slot, counted_measure};
use crate::view::{ChordFacts, View};
use harp::Fluency;
use harp::ring::RingModel;
use music::{Beats, Seconds, Tempo};
use std::sync::LazyLock;

/// What each fault costs. Starting values of ours, found by looking at pages; a thousand is a fault anybody would notice.
pub mod weight {
    /// Nobody sounds on beat 1: the listener loses the measure.
    pub const EMPTY_FIRST_BEAT: i64 = 6_000;
    /// Nobody sounds on another strong beat: felt, but the measure stands.
    pub const EMPTY_STRONG_BEAT: i64 = 3_500;
    /// A chord of a beat or more at which the left hand never plucks.
    pub const CHORD_UNSTATED: i64 = 4_000;
    /// The chord is stated later than its symbol.
    pub const CHORD_LATE: i64 = 1_300;
    /// A long note or rest of the tune that the left hand leaves bare.
    pub const BARE_HOLD: i64 = 1_700;
    /// A left-hand pluck beside the first in a beat where the tune runs: the clearest case of both hands being busy.
    pub const BOTH_BUSY: i64 = 1_300;
    /// The same, where the tune only moves.
    pub const BOTH_MOVING: i64 = 260;
    /// A pluck inside a beat of triplets or dotted pairs: rhythm against rhythm.
    pub const AGAINST_RHYTHM: i64 = 700;
    /// A slow reader's pluck between two short notes of the tune.
    pub const OFF_THE_TUNE: i64 = 800;
    /// A tie inside the left hand: a harp rings on, and the page looks like piano music.
    pub const PIANO_TIE: i64 = 300;
    /// A pluck more than a short chord has room for.
    pub const CROWDED_CHORD: i64 = 320;
    /// A pluck at a phrase end after the landing.
    pub const NO_BREATH: i64 = 350;
    /// A pluck in the very last beat of a phrase.
    pub const NO_BREATH_LAST_BEAT: i64 = 450;
    /// One note a measure off the wished fullness, squared.
    pub const FULLNESS: i64 = 850;
    /// The bass is a third where nothing forbids it.
    pub const INVERSION: i64 = 700;
    /// The bass is not the root (or the written bass) where it has to be.
    pub const BASS_DENIED: i64 = 6_000;
    /// A pair of strings closer than the low-interval table allows.
    pub const MUD: i64 = 900;
    /// A further pluck in the lowest octave within one chord.
    pub const LOW_REPEAT: i64 = 160;
    /// Fewer than two free strings below the tune: the hands touch.
    pub const HANDS_TOUCH: i64 = 2_200;
    /// Fewer than three: close.
    pub const HANDS_CLOSE: i64 = 420;
    /// The right hand lands on a string the left has just plucked.
    pub const STRING_RETAKEN: i64 = 900;
    /// More than ten strings of empty air between the hands.
    pub const HOLLOW: i64 = 90;
    /// The chord's third is heard in neither hand.
    pub const NO_THIRD: i64 = 380;
    /// The same where the third tells the key: a section's first chord, a cadence.
    pub const NO_THIRD_AT_A_CORNER: i64 = 1_100;
    /// Only one tone of the chord is heard; only two.
    pub const ONE_TONE: i64 = 1_100;
    pub const TWO_TONES: i64 = 260;
    /// A leading or altered tone in both hands at once.
    pub const SHARP_TONE_DOUBLED: i64 = 220;
    /// A roll where there is no time to hear it.
    pub const ROLL_WITHOUT_TIME: i64 = 700;
    /// A string more of a leap in the bass than a step, up to an octave.
    pub const BASS_LEAP: i64 = 45;
    /// The bass leaps an octave or more.
    pub const BASS_WIDE_LEAP: i64 = 350;
    /// A leading tone in the bass that does not rise by step.
    pub const LEADING_BASS: i64 = 700;
    /// A string more of travel than the hand's reach.
    pub const TRAVEL: i64 = 25;
    /// There is no time for the leap, or a string comes back too soon: only taken when nothing else is left.
    pub const NO_TIME: i64 = 60_000;
    /// A low string that rings on a semitone from a tone of the new chord; a string in the octave below middle C.
    pub const CLASH_LOW: i64 = 70;
    pub const CLASH: i64 = 30;
    /// A ringing string that is foreign to the new chord but no semitone from it.
    pub const FOREIGN_LOW: i64 = 20;
    pub const FOREIGN: i64 = 8;
    /// A low bass string placed again while it rings: it buzzes unless touched quickly.
    pub const BUZZ: i64 = 40;
    /// Another figure inside a phrase.
    pub const CHANGE_INSIDE: i64 = 900;
    /// The same where the chords change pace, so that another length of figure is natural.
    pub const CHANGE_WITH_THE_CHORDS: i64 = 480;
    /// Another figure in the last measure of a phrase, which is where a phrase may end differently.
    pub const LANDING: i64 = 260;
    /// Another figure at a phrase start before the present one has had its time.
    pub const CHANGE_EARLY: i64 = 380;
    /// No change at a phrase start although the figure has had its time.
    pub const TOO_LONG_THE_SAME: i64 = 500;
}

/// The price of the notes of one slot on their own.
pub fn own(view: &View, plucks: &[Pluck]) -> Price {
    let mut price = Price::default();
    let Some(chord) = &view.chord else { return price };
    price.add(Principle::StrongBeats, strong_beats(view, plucks));
    price.add(Principle::GiveAndTake, give_and_take(view, plucks));
    price.add(Principle::Pace, pace(view, plucks));
    price.add(Principle::PhraseEnd, breath(view, plucks));
    if !view.slot.duty.last {
        price.add(Principle::Curve, growth(view, plucks));
    }
    price.add(Principle::BassLine, bass(view, chord, plucks));
    price.add(Principle::OpenBelow, open_below(chord, plucks, view.register));
    price.add(Principle::RoomForTheTune, room(view, plucks));
    price.add(Principle::GoodDoubling, doubling(view, chord, plucks));
    price.add(Principle::HandTravel, inner_travel(view, plucks));
    price
}

fn strong_beats(view: &View, plucks: &[Pluck]) -> i64 {
    let plucked = |at: Beats| plucks.iter().any(|p| p.at == at);
    let mut sum = 0;
    let strong_beats = view.slot.strong_beats.iter().filter(|p| p.is_zero() || !view.slot.duty.last);
    for strong_beat in strong_beats {
        if !plucked(*strong_beat) && !view.melody_plucks_at(*strong_beat) {
            let first = (*strong_beat + view.slot.at).is_zero();
            sum += if first { weight::EMPTY_FIRST_BEAT } else { weight::EMPTY_STRONG_BEAT };
        }
    }
    if plucks.is_empty() {
        sum += if view.slot.counts() { weight::CHORD_UNSTATED } else { weight::CHORD_LATE };
    } else if !plucked(Beats::ZERO) {
        sum += weight::CHORD_LATE;
    }
    sum + bare_holds(view, plucks)
}

fn bare_holds(view: &View, plucks: &[Pluck]) -> i64 {
    if view.slot.duty.phrase_end {
        return 0;
    }
    let bare = |(on, off): &&(Beats, Beats)| !plucks.iter().any(|p| p.at > *on && p.at < *off);
    weight::BARE_HOLD * view.holds.iter().filter(bare).count() as i64
}

fn give_and_take(view: &View, plucks: &[Pluck]) -> i64 {
    let mut sum = 0;
    for beat in &view.beats {
        let inside = plucks.iter().filter(|p| p.at >= beat.from && p.at < beat.to);
        let extra = (inside.clone().count() as i64 - 1).max(0);
        sum += match beat.plucks {
            0 | 1 => 0,
            2 => weight::BOTH_MOVING * (extra - 1).max(0),
            _ => weight::BOTH_BUSY * extra,
        };
        if let Some(pulse) = beat.uneven {
            let beside = |p: &&Pluck| !((p.at - beat.from) % pulse).is_zero();
            sum += weight::AGAINST_RHYTHM * inside.filter(beside).count() as i64;
        }
    }
    if view.player.fluency == Fluency::Slow {
        sum += weight::OFF_THE_TUNE * plucks.iter().filter(|p| between_short_notes(view, p.at)).count() as i64;
    }
    sum
}

fn between_short_notes(view: &View, at: Beats) -> bool {
    view.melody.iter().any(|n| n.on < at && n.off > at && n.off - n.on < view.beat)
}

fn pace(view: &View, plucks: &[Pluck]) -> i64 {
    let beats = view.slot.length.thousandths_of(view.beat);
    let room = if beats < 2_000 { 1 } else { (beats / 1_000) * 2 };
    let many = i64::from(view.slot.chords_in_measure >= 3);
    let over = (plucks.len() as i64 - room).max(0);
    let ties = plucks.iter().filter(|p| !is_one_note(p.length)).count() as i64;
    let rolls = plucks.iter().filter(|p| p.rolled && !roll_has_time(view, p.length)).count() as i64;
    over * weight::CROWDED_CHORD * (1 + many) + ties * weight::PIANO_TIE + rolls * weight::ROLL_WITHOUT_TIME
}

/// Whether one note, dotted or not, holds this length; otherwise the page needs a tie.
fn is_one_note(length: Beats) -> bool {
    let (n, d) = length.fraction();
    d.count_ones() == 1 && (n.count_ones() == 1 || n == 3 || n == 6 || n == 12)
}

/// A roll wants 1.2 seconds (figures, habit 18).
fn roll_has_time(view: &View, length: Beats) -> bool {
    view.seconds(length).micros() >= 1_200_000
}

fn breath(view: &View, plucks: &[Pluck]) -> i64 {
    let slot = view.slot;
    if !slot.duty.phrase_end || slot.duty.last {
        return 0;
    }
    let measure_end = view.measure_length - slot.at;
    let last_beat = measure_end - view.beat;
    let mut sum = 0;
    for pluck in plucks.iter().filter(|p| p.at > Beats::ZERO) {
        let held = view.melody.iter().any(|n| n.on <= pluck.at && n.off > pluck.at && n.off - n.on >= view.beat * 2);
        if !held {
            sum += weight::NO_BREATH;
        }
        if pluck.at >= last_beat && last_beat > Beats::ZERO {
            sum += weight::NO_BREATH_LAST_BEAT;
        }
    }
    sum
}

/// How much a slot's notes count: plucks, and half of every further string struck with them; in thousandths.
pub fn density(plucks: &[Pluck]) -> i64 {
    plucks.iter().map(|p| 1_000 + 500 * (p.pitches.len() as i64 - 1)).sum()
}

/// Wished notes a measure at each fullness, in thousandths: long measures, then short ones (figures, "Fullness"; OURS).
const TARGETS: [(i64, i64); 7] = [(0, 0), (1_000, 1_000), (2_500, 1_800), (3_500, 2_800), (5_000, 3_500), (6_500, 4_500), (7_500, 5_500)];

pub fn target(fullness: u8, pace: Pace) -> i64 {
    let (broad, brisk) = TARGETS[usize::from(fullness.min(6))];
    if pace == Pace::Broad { broad } else { brisk }
}

/// λ · length · (notes/length − target − offset)², with the first note of a short chord counted as if the chord were half a measure long: every chord may have
/// one. Only the product of target and notes depends on the level, and it is kept exact, so that an optimal plan's notes cannot fall when
/// the level rises.
fn growth(view: &View, plucks: &[Pluck]) -> i64 {
    growth_at(view.slot, view.slot.fullness, plucks)
}

fn growth_at(slot: &Slot, fullness: u8, plucks: &[Pluck]) -> i64 {
    let measures = slot.length.thousandths_of(counted_measure(&slot.meter)).max(1);
    let (notes, wished) = (density(plucks), target(fullness, slot.pace));
    let first = notes.min(1_000);
    let squared = first * first / measures.max(500) + (notes * notes - first * first) / measures;
    let own = weight::FULLNESS * (squared * 1_000 - 2 * notes * slot.offset) / 1_000_000;
    let by_level = 2 * weight::FULLNESS * notes * wished / 1_000_000;
    let whole = wished + slot.offset;
    own - by_level + weight::FULLNESS * (whole * whole / 1_000 * measures) / 1_000_000
}

/// What another level of fullness changes in the price: the term linear in the notes, and the constant.
pub fn growth_change(slot: &Slot, from: u8, to: u8, plucks: &[Pluck]) -> i64 {
    growth_at(slot, to, plucks) - growth_at(slot, from, plucks)
}

fn bass(view: &View, chord: &ChordFacts, plucks: &[Pluck]) -> i64 {
    let Some(first) = plucks.first() else { return 0 };
    let duty = &view.slot.duty;
    let low = first.pitches[0].pitch_class();
    if low == chord.bass {
        return 0;
    }
    if view.slot.lasted > 0 && !chord.slash {
        return 0;
    }
    if !chord.slash && chord.third == Some(low) && !duty.section_first && !duty.cadence && !duty.last {
        return weight::INVERSION;
    }
    weight::BASS_DENIED
}

/// The lowest note a close interval may stand on, by semitones, as MIDI numbers (harp facts 4.2, table B, from memory; tritone as B2).
const LOWEST: [i32; 12] = [0, 52, 51, 48, 46, 46, 47, 34, 43, 41, 41, 41];

/// The lowest note, as a MIDI number, on which an interval of so many semitones may stand; `None` where the table says nothing.
pub fn lowest_of(semitones: i32) -> Option<i32> {
    LOWEST.get(usize::try_from(semitones).ok()?).copied().filter(|_| semitones > 0)
}

fn open_below(chord: &ChordFacts, plucks: &[Pluck], register: Register) -> i64 {
    let mut heard: Vec<i32> = plucks.iter().flat_map(|p| p.pitches.iter().map(|q| q.midi() - register.semitones())).collect();
    heard.sort();
    heard.dedup();
    let root = chord.root;
    let mut sum = 0;
    for pair in heard.windows(2) {
        let (low, apart) = (pair[0], pair[1] - pair[0]);
        let over_own_root = apart == 5 && pair[1].rem_euclid(12) == root && heard.iter().any(|m| *m < low && m.rem_euclid(12) == root);
        if (1..=11).contains(&apart) && low < LOWEST[apart as usize] && !over_own_root {
            sum += weight::MUD;
        }
    }
    let low_plucks = plucks.iter().filter(|p| p.pitches[0].midi() - register.semitones() < 43).count() as i64;
    sum + weight::LOW_REPEAT * (low_plucks - 1).max(0)
}

fn room(view: &View, plucks: &[Pluck]) -> i64 {
    let half = view.beat.scaled(1, 2).unwrap_or(view.beat);
    let soon = view.player.fluency.same_string();
    let mut sum = 0;
    let mut widest = 0;
    for pluck in plucks {
        let near = view.melody.iter().filter(|n| n.off > pluck.at - half && n.on < pluck.at + view.beat);
        let lowest = near.clone().map(|n| n.low()).min();
        if let Some(low) = lowest {
            let gap = low - pluck.high();
            sum += match gap {
                ..=1 => weight::HANDS_TOUCH,
                2 => weight::HANDS_CLOSE,
                _ => 0,
            };
            widest = widest.max(gap);
        }
        let retaken = |n: &&crate::tune::Sung| {
            n.on > pluck.at && view.seconds(n.on - pluck.at) < soon && pluck.pitches.iter().any(|p| n.strings.contains(&p.position()))
        };
        sum += weight::STRING_RETAKEN * view.melody.iter().filter(retaken).count() as i64;
    }
    let bass_only = plucks.iter().all(|p| p.pitches.len() == 1) && plucks.len() == 1;
    if widest > 11 && !bass_only { sum + weight::HOLLOW } else { sum }
}

fn doubling(view: &View, chord: &ChordFacts, plucks: &[Pluck]) -> i64 {
    if !view.slot.counts() || plucks.is_empty() {
        return 0;
    }
    let left = plucks.iter().flat_map(|p| &p.pitches).fold(0u16, |bits, p| bits | 1 << p.pitch_class());
    let heard = left | view.classes;
    let tones = chord.classes.iter().filter(|c| heard & (1 << **c) != 0).count();
    let mut sum = match tones {
        0 | 1 => weight::ONE_TONE,
        2 if chord.classes.len() > 2 => weight::TWO_TONES,
        _ => 0,
    };
    if chord.third.is_some_and(|class| heard & (1 << class) == 0) {
        let corner = view.slot.duty.section_first || view.slot.duty.cadence;
        sum += if corner { weight::NO_THIRD_AT_A_CORNER } else { weight::NO_THIRD };
    }
    let sharp = 1u16 << (view.slot.key.tonic().pitch_class() - 1).rem_euclid(12);
    let together = |p: &&Pluck| {
        p.pitches.iter().any(|q| sharp & (1 << q.pitch_class()) != 0) && view.melody.iter().any(|n| n.on == p.at && n.classes & sharp != 0)
    };
    sum += weight::SHARP_TONE_DOUBLED * plucks.iter().filter(together).count() as i64;
    sum
}

fn inner_travel(view: &View, plucks: &[Pluck]) -> i64 {
    let reach = view.player.left.block as i32;
    let way = |pair: &[Pluck]| distance((pair[0].low(), pair[0].high()), (pair[1].low(), pair[1].high()));
    let wide = |pair: &&[Pluck]| pair[0].low().min(pair[1].low()) + reach <= pair[0].high().max(pair[1].high());
    plucks.windows(2).filter(wide).map(|pair| 60 + weight::TRAVEL * i64::from(way(pair))).sum()
}

/// How the left hand leaves a slot.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Exit {
    /// Lowest and highest string of the last pluck; `None` after a rest.
    pub hand: Option<(i32, i32)>,
    /// From the last pluck to the end of the slot.
    pub before_end: Seconds,
    /// Strings plucked shortly before the end, with the time from then to the end.
    pub recent: Vec<(i32, Seconds)>,
    /// Position and MIDI number of the slot's bass.
    pub bass: Option<(i32, i32)>,
    /// Pitch classes, a bit each, of the strings that ring on well into the next slot: below C3, and from there to middle C.
    pub ringing: [u16; 2],
    /// The slot's bass string, where it is a low one and rings on so.
    pub low_bass: Option<i32>,
}

/// How the left hand comes into a slot.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Entry {
    pub hand: Option<(i32, i32)>,
    pub after_start: Seconds,
    /// Strings plucked shortly after the start, with the time from the start.
    pub early: Vec<(i32, Seconds)>,
    pub bass: Option<(i32, i32)>,
}

pub fn exit(plucks: &[Pluck], length: Beats, tempo: Tempo, fluency: Fluency, register: Register) -> Exit {
    let last = plucks.last();
    let near = |p: &&Pluck| tempo.seconds(length - p.at) < fluency.same_string();
    Exit {
        hand: last.map(|p| (p.low(), p.high())),
        before_end: last.map_or(Seconds::ZERO, |p| tempo.seconds(length - p.at)),
        recent: plucks.iter().filter(near).flat_map(|p| p.pitches.iter().map(|q| (q.position(), tempo.seconds(length - p.at)))).collect(),
        bass: bass_of(plucks),
        ringing: ringing_on(plucks, length, tempo, register),
        low_bass: plucks
            .first()
            .filter(|p| rings_on(p.low() - 7 * register.octaves, tempo.seconds(length - p.at)) == Some(0))
            .map(Pluck::low),
    }
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

fn ringing_on(plucks: &[Pluck], length: Beats, tempo: Tempo, register: Register) -> [u16; 2] {
    let mut ringing = [0; 2];
    for pluck in plucks {
        let since = tempo.seconds(length - pluck.at);
        for pitch in &pluck.pitches {
            if let Some(which) = rings_on(pitch.position() - 7 * register.octaves, since) {
                ringing[which] |= 1 << pitch.pitch_class();
            }
        }
    }
    ringing
}

/// The chord's pitch classes, a bit each.
pub fn chord_bits(slot: &Slot) -> Option<u16> {
    slot.chord.as_ref().map(|c| c.pitch_classes().iter().fold(0, |bits, class| bits | 1 << class))
}

/// What of the slot before clashes with the next chord (older ring counts as stopped), and a low bass placed again while it rings.
pub fn ring(exit: &Exit, entry: &Entry, chord: Option<u16>) -> i64 {
    let Some(chord) = chord else { return 0 };
    let near = ((chord << 1) | (chord >> 11) | (chord >> 1) | ((chord & 1) << 11)) & 0xfff;
    let count = |bits: u16| i64::from(bits.count_ones());
    let clash = |bits: u16, sharp: i64, mild: i64| sharp * count(bits & !chord & near) + mild * count(bits & !chord & !near);
    let [low, middle] = exit.ringing;
    let again = exit.low_bass.is_some() && exit.low_bass == entry.bass.map(|b| b.0);
    clash(low, weight::CLASH_LOW, weight::FOREIGN_LOW)
        + clash(middle, weight::CLASH, weight::FOREIGN)
        + if again { weight::BUZZ } else { 0 }
}

pub fn entry(plucks: &[Pluck], tempo: Tempo, fluency: Fluency) -> Entry {
    let first = plucks.first();
    let near = |p: &&Pluck| tempo.seconds(p.at) < fluency.same_string();
    Entry {
        hand: first.map(|p| (p.low(), p.high())),
        after_start: first.map_or(Seconds::ZERO, |p| tempo.seconds(p.at)),
        early: plucks.iter().filter(near).flat_map(|p| p.pitches.iter().map(|q| (q.position(), tempo.seconds(p.at)))).collect(),
        bass: bass_of(plucks),
    }
}

fn bass_of(plucks: &[Pluck]) -> Option<(i32, i32)> {
    plucks.first().map(|p| (p.low(), p.pitches[0].midi()))
}

/// The price of going from one slot to the next.
pub fn pair(before: &Slot, exit: &Exit, here: &Slot, entry: &Entry, player: &harp::Player) -> Price {
    let (travel, bass) = pair_parts(before, exit, here, entry, player);
    let mut price = Price::default();
    price.add(Principle::HandTravel, travel);
    price.add(Principle::BassLine, bass);
    price.add(Principle::Ring, ring(exit, entry, chord_bits(here)));
    price
}

/// Its two parts: hand travel and bass line.
pub fn pair_parts(before: &Slot, exit: &Exit, here: &Slot, entry: &Entry, player: &harp::Player) -> (i64, i64) {
    (travel(exit, entry, player), bass_step(before, exit, here, entry))
}

fn travel(exit: &Exit, entry: &Entry, player: &harp::Player) -> i64 {
    let (Some(from), Some(to)) = (exit.hand, entry.hand) else { return 0 };
    let gap = exit.before_end + entry.after_start;
    let way = distance(from, to);
    let wide = from.0.min(to.0) + (player.left.block as i32) <= from.1.max(to.1);
    let mut sum = 0;
    if wide && gap < player.fluency.shift(way) || way >= FAR && gap < FAR_TIME || gap < player.fluency.placed_pluck() {
        sum += weight::NO_TIME;
    }
    let back = |(string, early): &(i32, Seconds)| {
        exit.recent.iter().any(|(other, late)| other == string && *early + *late < player.fluency.same_string())
    };
    if entry.early.iter().any(back) {
        sum += weight::NO_TIME;
    }
    sum + if wide { weight::TRAVEL * i64::from(way) } else { 0 }
}

fn bass_step(before: &Slot, exit: &Exit, here: &Slot, entry: &Entry) -> i64 {
    let (Some(from), Some(to)) = (exit.bass, entry.bass) else { return 0 };
    let steps = i64::from((to.0 - from.0).abs());
    if before.chord == here.chord {
        // The same chord again: only a change of register counts.
        return if steps >= 7 { weight::BASS_WIDE_LEAP } else { 0 };
    }
    let mut sum = weight::BASS_LEAP * (steps - 1).clamp(0, 6);
    if steps >= 7 {
        sum += weight::BASS_WIDE_LEAP;
    }
    let leading = here.chord.as_ref().is_some_and(|c| (from.1 + 1).rem_euclid(12) == c.root.pitch_class())
        && before.chord.as_ref().is_some_and(|c| c.root.pitch_class() != from.1.rem_euclid(12));
    if leading && to.1 != from.1 + 1 {
        sum += weight::LEADING_BASS;
    }
    sum
}
