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
use music::{Beats, LocalClock, Seconds};
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
    pub const CHORD_LATE: i64 = 2_300;
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
    pub const NO_BREATH: i64 = 90;
    /// A pluck in the very last beat of a phrase.
    pub const NO_BREATH_LAST_BEAT: i64 = 60;
    /// One note a measure off the wished fullness, squared.
    pub const FULLNESS: i64 = 850;
    /// The bass is the third, the seventh, the fifth of the chord: a line wants them, a chord alone does not.
    pub const BASS_THIRD: i64 = 60;
    pub const BASS_SEVENTH: i64 = 200;
    pub const BASS_FIFTH: i64 = 300;
    /// The fifth again in the bass of a chord that has lasted a measure.
    pub const BASS_FIFTH_LATER: i64 = 80;
    /// A written bass that is left for another tone of its chord.
    pub const SLASH_LEFT: i64 = 420;
    /// One of the lowest strings inside a phrase: they are kept for joints of the form and the end.
    pub const LOWEST_STRINGS: i64 = 150;
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
    pub const NO_THIRD: i64 = 620;
    /// The same where the third tells the key: a section's first chord, a cadence.
    pub const NO_THIRD_AT_A_CORNER: i64 = 1_400;
    /// Only one tone of the chord is heard; only two.
    pub const ONE_TONE: i64 = 1_100;
    pub const TWO_TONES: i64 = 260;
    /// A leading or altered tone in both hands at once.
    pub const SHARP_TONE_DOUBLED: i64 = 220;
    /// A roll where there is no time to hear it.
    pub const ROLL_WITHOUT_TIME: i64 = 700;
    /// The bass going on, by strings from one to the next: the same again, a step, a third, a fourth, a fifth, a sixth, a seventh, an octave.
    pub const BASS_BY: [i64; 8] = [230, 0, 40, 120, 130, 190, 330, 260];
    /// Every string beyond an octave.
    pub const BASS_BEYOND: i64 = 90;
    /// The same within one chord: a new string is welcome, by which way matters less.
    pub const SAME_CHORD_BY: [i64; 8] = [260, 20, 0, 40, 60, 90, 200, 110];
    /// A seventh in the bass that does not fall by step.
    pub const SEVENTH_BASS: i64 = 1_200;
    /// A fifth in the bass that is neither held nor left by step.
    pub const SIX_FOUR: i64 = 380;
    /// A tone that should lead and does not.
    pub const LEAD_ASTRAY: i64 = 3_000;
    /// Bass and tune go from octave to octave.
    pub const OCTAVES_WITH_TUNE: i64 = 420;
    /// A seventh above the bass that neither stays nor falls by step.
    pub const SEVENTH_LEFT_HANGING: i64 = 130;
    /// A string more than a step from the nearest string of the shape before.
    pub const SHAPE_MOVES: i64 = 14;
    /// Bass and shape are moved together by the same way.
    pub const MOVED_BODILY: i64 = 170;
    /// The chord has a seventh, and it is not plucked; only the tune has it.
    pub const NO_SEVENTH: i64 = 700;
    pub const SEVENTH_IN_THE_TUNE: i64 = 260;
    /// One tone alone, in one octave or two, where there is room for another above it; the same in the last two chords of a phrase.
    pub const LONE_BASS: i64 = 520;
    pub const LONE_BASS_AT_A_CLOSE: i64 = 900;
    /// Another rhythm of the same figure for the same job: no groove forms.
    pub const RHYTHM_CHANGED: i64 = 130;
    /// The root is plucked by neither hand; only the tune has it.
    pub const NO_ROOT: i64 = 520;
    pub const ROOT_IN_THE_TUNE: i64 = 160;
    /// The chord before a close without its root in the bass; a close that is stepped into.
    pub const SOFT_APPROACH: i64 = 480;
    pub const SOFT_CLOSE: i64 = 160;
    /// A phrase that begins on another tone than the root.
    pub const PHRASE_OFF_ITS_ROOT: i64 = 260;
    /// The bass goes by a tritone, or by a diminished or augmented step.
    pub const CROOKED_STEP: i64 = 260;
    /// A phrase is joined to the next without a tone that leads.
    pub const SEAM_WITHOUT_LEAD: i64 = 380;
    /// The third or seventh of the chord in two octaves.
    pub const TENDENCY_DOUBLED: i64 = 260;
    /// The left hand has one form of a letter while the tune has another (F sharp under F): a doubtful symbol is played without that tone.
    pub const CROSS_RELATION: i64 = 1_300;
    /// A pluck a semitone from the note of the tune that is plucked with it.
    pub const CLASH_STRUCK: i64 = 130;
    /// Two low strings closer than a fourth at once.
    pub const LOW_AND_CLOSE: i64 = 240;
    /// Three strings at once where nothing arrives.
    pub const THICK: i64 = 240;
    /// A third that lies close above a low bass; open position has it a tenth up.
    pub const CLOSE_THIRD: i64 = 170;
    /// A step by which bass and highest string lie closer than an open shape does.
    pub const NARROW: i64 = 32;
    /// A string above E4: the left hand's upper strings belong to the tune.
    pub const HIGH_STRING: i64 = 40;
    /// The same strings plucked again at once.
    pub const SAME_AGAIN: i64 = 110;
    /// A beat of a long note of the tune in which the left hand does not move.
    pub const STILL_UNDER_A_HOLD: i64 = 160;
    /// What a figure's file says of kinds of tune: it suits all, it suits others.
    pub const SUITS_ALL: i64 = 60;
    pub const SUITS_OTHERS: i64 = 420;
    /// A string below the register that the figure's file gives.
    pub const BELOW_ITS_REGISTER: i64 = 70;
    /// The last chord is not the lowest it can be: a string.
    pub const LAST_NOT_LOW: i64 = 30;
    /// The last chord lacks a tone of a full close: root, fifth, octave and third.
    pub const LAST_NOT_WIDE: i64 = 250;
    /// The top string of a roll is plucked again while it rings.
    pub const ROLL_TOP_AGAIN: i64 = 200;
    /// A leading tone in the bass that does not rise by step.
    pub const LEADING_BASS: i64 = 700;
    /// A string more of travel than the hand's reach.
    pub const TRAVEL: i64 = 25;
    /// There is no time for the leap, or a string would have to be plucked again too soon: only taken when nothing else is left.
    pub const NO_TIME: i64 = 60_000;
    /// A chord of three strings or more for which the hand is placed anew in less time than block chords take.
    pub const HURRIED: i64 = 3_500;
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
    price += by_rules(view, chord, plucks, Rules::of(view.slot.fullness));
    price.add(Principle::OpenBelow, open_below(view, chord, plucks));
    price.add(Principle::RoomForTheTune, room(view, plucks));
    price.add(Principle::GoodDoubling, doubling(view, chord, plucks));
    price.add(Principle::HandTravel, inner_travel(view, plucks));
    price
}

/// What is asked of the left hand at all: at the lowest fullness a learner plays the root and may leave it alone under a long note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rules {
    Learner,
    Player,
}

impl Rules {
    pub fn of(fullness: u8) -> Rules {
        if fullness <= 1 { Rules::Learner } else { Rules::Player }
    }
}

/// The parts of the price that the rules decide.
fn by_rules(view: &View, chord: &ChordFacts, plucks: &[Pluck], rules: Rules) -> Price {
    let mut price = Price::of(Principle::BassLine, bass(view, chord, plucks, rules));
    if rules == Rules::Player {
        price.add(Principle::StrongBeats, bare_holds(view, plucks));
        price.add(Principle::GoodDoubling, lone(view, plucks));
    }
    price
}

/// What other rules change in the price.
pub fn rules_change(view: &View, plucks: &[Pluck], from: Rules, to: Rules) -> Price {
    match &view.chord {
        Some(chord) if from != to => by_rules(view, chord, plucks, to) - by_rules(view, chord, plucks, from),
        _ => Price::default(),
    }
}

/// One tone alone, in one octave or two.
fn lone(view: &View, plucks: &[Pluck]) -> i64 {
    if !view.slot.counts() || plucks.is_empty() {
        return 0;
    }
    let tones = plucks.iter().flat_map(|p| &p.pitches).fold(0u16, |bits, p| bits | 1 << p.pitch_class());
    match tones.count_ones() {
        1 if view.slot.duty.cadence => weight::LONE_BASS_AT_A_CLOSE,
        1 => weight::LONE_BASS,
        _ => 0,
    }
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
    sum
}

/// The part of "strong beats" that is about long notes of the tune which the left hand leaves bare.
pub fn bare_holds(view: &View, plucks: &[Pluck]) -> i64 {
    if view.slot.duty.last {
        return 0;
    }
    let price = |(on, off): &(Beats, Beats)| {
        let inside = plucks.iter().filter(|p| p.at > *on && p.at < *off).count() as i64;
        let wished = (*off - *on).thousandths_of(view.beat.min(Beats::QUARTER)) / 1_000 - 1;
        let bare = if inside == 0 { weight::BARE_HOLD } else { 0 };
        bare + weight::STILL_UNDER_A_HOLD * (wished.min(3) - inside).max(0)
    };
    view.holds.iter().map(price).sum()
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
    let rolls = plucks.iter().filter(|p| p.rolled && !roll_has_time(view, p)).count() as i64;
    let arrives = view.slot.duty.last || view.slot.duty.arrival || view.slot.duty.section_first;
    let thick = plucks.iter().filter(|p| p.pitches.len() >= 3 && !arrives).count() as i64;
    let again = plucks.iter().enumerate().filter(|(i, p)| p.rolled && plucks[i + 1..].iter().any(|q| q.high() == p.high())).count() as i64;
    over * weight::CROWDED_CHORD * (1 + many)
        + ties * weight::PIANO_TIE
        + rolls * weight::ROLL_WITHOUT_TIME
        + thick * weight::THICK
        + again * weight::ROLL_TOP_AGAIN
}

/// Whether one note, dotted or not, holds this length; otherwise the page needs a tie.
fn is_one_note(length: Beats) -> bool {
    let (n, d) = length.fraction();
    d.count_ones() == 1 && (n.count_ones() == 1 || n == 3 || n == 6 || n == 12)
}

/// A roll wants 1.2 seconds (habit 18).
fn roll_has_time(view: &View, pluck: &Pluck) -> bool {
    view.between(pluck.at, pluck.at + pluck.length).micros() >= 1_200_000
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

/// Wished notes a measure at each fullness, in thousandths: long measures, then short ones (habits, "Fullness"; OURS).
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

fn bass(view: &View, chord: &ChordFacts, plucks: &[Pluck], rules: Rules) -> i64 {
    let Some(first) = plucks.first() else { return 0 };
    let (slot, duty) = (view.slot, &view.slot.duty);
    let low = first.pitches[0].pitch_class();
    let inside = !(duty.phrase_end || duty.last);
    let lowest = plucks.iter().map(Pluck::low).min().unwrap_or(0) - 7 * view.register.octaves;
    let deep = if inside && lowest < KEPT_BELOW { weight::LOWEST_STRINGS } else { 0 };
    let stated = rules == Rules::Learner || crate::voicing::freedom(slot) == crate::voicing::Freedom::Stated;
    let again = slot.lasted > 0 && (chord.third == Some(low) || low == chord.root);
    let tone = if low == chord.bass || again {
        0
    } else if stated || !chord.classes.contains(&low) {
        weight::BASS_DENIED
    } else {
        let slash = if chord.slash { weight::SLASH_LEFT } else { 0 };
        let begins = if slot.opens_phrase && low != chord.root { weight::PHRASE_OFF_ITS_ROOT } else { 0 };
        let approach = if slot.duty.approach && low != chord.root { weight::SOFT_APPROACH } else { 0 };
        slash
            + begins
            + approach
            + if low == chord.root {
                0
            } else if chord.third == Some(low) {
                weight::BASS_THIRD
            } else if chord.seventh == Some(low) {
                weight::BASS_SEVENTH
            } else if slot.lasted > 0 {
                weight::BASS_FIFTH_LATER
            } else {
                weight::BASS_FIFTH
            }
    };
    let last = if duty.last { last_chord(view, chord, plucks) } else { 0 };
    tone + deep + last
}

/// E2: below it the strings are kept.
const KEPT_BELOW: i32 = 16;

/// The last chord is low and wide: root, fifth, octave and third.
fn last_chord(view: &View, chord: &ChordFacts, plucks: &[Pluck]) -> i64 {
    let low = plucks[0].low();
    // C2 is string 14; on a harp without it all ways pay the same for that.
    let lowest = 14 + chord.bass_step + 7 * view.register.octaves;
    let strings: std::collections::BTreeSet<i32> = plucks.iter().flat_map(|p| p.pitches.iter().map(|q| q.position())).collect();
    let has = |class: Option<i32>| class.is_none_or(|c| plucks.iter().flat_map(|p| &p.pitches).any(|q| q.pitch_class() == c));
    let lacking = i64::from(!has(chord.third)) + i64::from(!has(chord.fifth)) + i64::from(strings.len() < 4);
    weight::LAST_NOT_LOW * i64::from(low - lowest) + weight::LAST_NOT_WIDE * lacking
}

/// The lowest note a close interval may stand on, by semitones, as MIDI numbers (harp facts 4.2, table B, from memory; tritone as B2).
const LOWEST: [i32; 12] = [0, 52, 51, 48, 46, 46, 47, 34, 43, 41, 41, 41];

/// The lowest note, as a MIDI number, on which an interval of so many semitones may stand; `None` where the table says nothing.
pub fn lowest_of(semitones: i32) -> Option<i32> {
    LOWEST.get(usize::try_from(semitones).ok()?).copied().filter(|_| semitones > 0)
}

fn open_below(view: &View, chord: &ChordFacts, plucks: &[Pluck]) -> i64 {
    let register = view.register;
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
    sum += spacing(view, chord, plucks);
    let low_plucks = plucks.iter().filter(|p| p.pitches[0].midi() - register.semitones() < 43).count() as i64;
    sum + weight::LOW_REPEAT * (low_plucks - 1).max(0)
}

/// An octave and a third: what an open shape spans, in steps.
const OPEN: i32 = 9;
/// Above E3 a bass is high enough for close position; above E4 the left hand is high.
const CLOSE_FROM: i32 = 23;
const HIGH_FROM: i32 = 30;
/// F3: below it strings that are plucked together lie a fourth apart or more.
const LOW_UNTIL: i32 = 24;

/// Open position: the third a tenth above the bass, the whole a tenth wide or wider, nothing very high.
fn spacing(view: &View, chord: &ChordFacts, plucks: &[Pluck]) -> i64 {
    let Some(bass) = plucks.first().map(Pluck::low) else { return 0 };
    let up = 7 * view.register.octaves;
    let open = OPEN.min(view.ceiling() - bass).max(4);
    let pitches = || plucks.iter().flat_map(|p| &p.pitches);
    let highest = pitches().map(|p| p.position()).max().unwrap_or(bass);
    let third = pitches().filter(|p| Some(p.pitch_class()) == chord.third && p.position() > bass).map(|p| p.position() - bass).min();
    let close = if bass - up < CLOSE_FROM && third.is_some_and(|t| t < 7) { weight::CLOSE_THIRD } else { 0 };
    let narrow = if highest == bass { 0 } else { weight::NARROW * i64::from((open - (highest - bass)).max(0)) };
    let high = weight::HIGH_STRING * i64::from((highest - up - HIGH_FROM).max(0));
    let again = plucks.windows(2).filter(|w| w[0].pitches == w[1].pitches).count() as i64;
    let crowded = |w: &[music::Pitch]| w[1].position() - w[0].position() < 3 && w[0].position() - up < LOW_UNTIL;
    let crowds = plucks.iter().filter(|p| p.pitches.windows(2).any(crowded)).count() as i64;
    weight::LOW_AND_CLOSE * crowds + close + narrow + high + weight::SAME_AGAIN * again
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
            n.on > pluck.at && view.between(pluck.at, n.on) < soon && pluck.pitches.iter().any(|p| n.strings.contains(&p.position()))
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
    let has = |bits: u16, class: i32| bits & (1 << class) != 0;
    if !has(left, chord.root) && chord.classes.len() > 2 {
        sum += if has(heard, chord.root) { weight::ROOT_IN_THE_TUNE } else { weight::NO_ROOT };
    }
    let against = |p: &music::Pitch| view.letters.iter().any(|(letter, class)| *letter == p.step.index() && *class != p.pitch_class());
    if plucks.iter().flat_map(|p| &p.pitches).any(against) {
        sum += weight::CROSS_RELATION;
    }
    let struck = |p: &&Pluck| {
        let tune = view.melody.iter().find(|n| n.on == p.at && n.strings.len() == 1);
        tune.is_some_and(|n| p.pitches.iter().any(|q| matches!((n.top_midi - q.midi()).rem_euclid(12), 1 | 11)))
    };
    sum += weight::CLASH_STRUCK * plucks.iter().filter(struck).count() as i64;
    for class in [chord.third, chord.seventh].into_iter().flatten() {
        let of_class: std::collections::BTreeSet<i32> =
            plucks.iter().flat_map(|p| &p.pitches).filter(|q| q.pitch_class() == class).map(|q| q.position()).collect();
        sum += weight::TENDENCY_DOUBLED * (of_class.len() as i64 - 1).max(0);
    }
    if let Some(class) = chord.seventh.filter(|class| left & (1 << class) == 0) {
        sum += if heard & (1 << class) == 0 { weight::NO_SEVENTH } else { weight::SEVENTH_IN_THE_TUNE };
    }
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
    pub line: Line,
    /// A tone of the shape that is the seventh of its chord, as a string.
    pub seventh: Option<i32>,
    /// A last tone that leads by step into the next bass.
    pub lead: Option<i32>,
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
    /// How many strings the first pluck takes at once.
    pub together: usize,
    /// Strings plucked shortly after the start, with the time from the start.
    pub early: Vec<(i32, Seconds)>,
    pub line: Line,
}

/// The bass of a slot and the strings above it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Line {
    /// Position and MIDI number.
    pub bass: Option<(i32, i32)>,
    /// The three highest strings above the bass, highest first.
    pub shape: [Option<i32>; 3],
}

impl Line {
    fn of(plucks: &[Pluck]) -> Line {
        let bass = plucks.first().map(|p| (p.low(), p.pitches[0].midi()));
        let mut strings: Vec<i32> = plucks.iter().flat_map(|p| p.pitches.iter().map(|q| q.position())).collect();
        strings.sort_unstable_by(|a, b| b.cmp(a));
        strings.dedup();
        let mut above = strings.into_iter().filter(|s| bass.is_none_or(|b| *s > b.0 + 1));
        Line { bass, shape: [above.next(), above.next(), above.next()] }
    }
}

/// How a slot is left; the clock counts from its start.
pub fn exit(slot: &Slot, plucks: &[Pluck], lead: Option<i32>, clock: &LocalClock, fluency: Fluency, register: Register) -> Exit {
    let length = slot.length;
    let last = plucks.last();
    let to_end = |p: &Pluck| clock.between(p.at, length);
    let near = |p: &&Pluck| to_end(p) < fluency.same_string();
    Exit {
        hand: last.map(|p| (p.low(), p.high())),
        before_end: last.map_or(Seconds::ZERO, to_end),
        recent: plucks.iter().filter(near).flat_map(|p| p.pitches.iter().map(|q| (q.position(), to_end(p)))).collect(),
        line: Line::of(plucks),
        seventh: seventh_of(slot, plucks),
        lead,
        ringing: ringing_on(plucks, length, clock, register),
        low_bass: plucks.first().filter(|p| rings_on(p.low() - 7 * register.octaves, to_end(p)) == Some(0)).map(Pluck::low),
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

fn ringing_on(plucks: &[Pluck], length: Beats, clock: &LocalClock, register: Register) -> [u16; 2] {
    let mut ringing = [0; 2];
    for pluck in plucks {
        let since = clock.between(pluck.at, length);
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
    let again = exit.low_bass.is_some() && exit.low_bass == entry.line.bass.map(|b| b.0);
    clash(low, weight::CLASH_LOW, weight::FOREIGN_LOW)
        + clash(middle, weight::CLASH, weight::FOREIGN)
        + if again { weight::BUZZ } else { 0 }
}

/// How a slot is entered; the clock counts from its start.
pub fn entry(plucks: &[Pluck], clock: &LocalClock, fluency: Fluency) -> Entry {
    let first = plucks.first();
    let near = |p: &&Pluck| clock.at(p.at) < fluency.same_string();
    Entry {
        hand: first.map(|p| (p.low(), p.high())),
        after_start: first.map_or(Seconds::ZERO, |p| clock.at(p.at)),
        together: first.map_or(0, |p| p.pitches.len()),
        early: plucks.iter().filter(near).flat_map(|p| p.pitches.iter().map(|q| (q.position(), clock.at(p.at)))).collect(),
        line: Line::of(plucks),
    }
}

/// The string above the bass that is the chord's seventh.
fn seventh_of(slot: &Slot, plucks: &[Pluck]) -> Option<i32> {
    let chord = slot.chord.as_ref()?;
    let class = chord.name_of(chord.seventh()?).pitch_class();
    let bass = plucks.first()?.low();
    let sevenths = plucks.iter().flat_map(|p| &p.pitches).filter(|q| q.pitch_class() == class && q.position() > bass);
    sevenths.map(|q| q.position()).max()
}

/// The price of going from one slot to the next.
pub fn pair(before: &Slot, exit: &Exit, here: &Slot, entry: &Entry, player: &harp::Player) -> Price {
    let step = Step::new(before, here);
    let mut price = Price::default();
    price.add(Principle::HandTravel, travel(exit, entry, player));
    price.add(Principle::BassLine, step.bass(exit.line.bass, exit.lead, entry.line.bass));
    price.add(Principle::NearestWay, step.shape(exit.line, exit.seventh, entry.line));
    price.add(Principle::Ring, ring(exit, entry, chord_bits(here)));
    price
}

pub fn travel(exit: &Exit, entry: &Entry, player: &harp::Player) -> i64 {
    let (Some(from), Some(to)) = (exit.hand, entry.hand) else { return 0 };
    let gap = exit.before_end + entry.after_start;
    let way = distance(from, to);
    let wide = from.0.min(to.0) + (player.left.block as i32) <= from.1.max(to.1);
    let mut sum = 0;
    if wide && gap < player.fluency.shift(way) || way >= FAR && gap < FAR_TIME || gap < player.fluency.placed_pluck() {
        sum += weight::NO_TIME;
    }
    if entry.together >= 3 && gap < player.fluency.shift(0) {
        sum += weight::HURRIED;
    }
    let back = |(string, early): &(i32, Seconds)| {
        exit.recent.iter().any(|(other, late)| other == string && *early + *late < player.fluency.same_string())
    };
    if entry.early.iter().any(back) {
        sum += weight::NO_TIME;
    }
    sum + if wide { weight::TRAVEL * i64::from(way) } else { 0 }
}

/// What two neighbouring slots ask of the line, looked up once for all candidates.
pub struct Step {
    same_chord: bool,
    /// The next slot is a place where the root is asked for: a fourth or fifth down to it is how a phrase closes.
    closes: bool,
    /// A phrase begins with the next slot.
    seam: bool,
    third: Option<i32>,
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
        let of = |find: fn(&music::Chord) -> Option<music::ChordTone>| class(before.chord.as_ref().and_then(find));
        Step {
            same_chord: before.chord == here.chord,
            closes: here.duty.arrival || here.duty.last,
            seam: before.next_bass.is_some(),
            third: of(music::Chord::third),
            fifth: of(music::Chord::fifth),
            seventh: of(music::Chord::seventh),
            leads_to: here.chord.as_ref().map(|c| c.root.pitch_class()),
            tune: before.tune.zip(here.tune),
            next: chord_bits(here).unwrap_or(0),
        }
    }

    /// The bass going on. `lead` is a last tone that should lead by step.
    pub fn bass(&self, from: Option<(i32, i32)>, lead: Option<i32>, to: Option<(i32, i32)>) -> i64 {
        let (Some(from), Some(to)) = (from, to) else {
            return if lead.is_some() { weight::LEAD_ASTRAY } else { 0 };
        };
        let mut sum = match lead {
            Some(lead) if (to.0 - lead).abs() == 1 => 0,
            Some(_) => weight::LEAD_ASTRAY,
            None if self.seam => weight::SEAM_WITHOUT_LEAD,
            None => 0,
        };
        let steps = (to.0 - from.0).unsigned_abs() as usize;
        let by = if self.same_chord { &weight::SAME_CHORD_BY } else { &weight::BASS_BY };
        let leap = by[steps.min(7)] + weight::BASS_BEYOND * (steps as i64 - 7).max(0);
        sum += match steps {
            3 | 4 if self.closes => 0,
            _ if self.closes && !self.same_chord => leap + weight::SOFT_CLOSE,
            _ => leap,
        };
        if crooked(steps, (to.1 - from.1).abs()) {
            sum += weight::CROOKED_STEP;
        }
        let class = from.1.rem_euclid(12);
        if !self.same_chord {
            let leading = self.third == Some(class) && self.leads_to == Some((class + 1).rem_euclid(12));
            if leading && to.1 != from.1 + 1 {
                sum += weight::LEADING_BASS;
            }
            if self.seventh == Some(class) && to.0 != from.0 - 1 {
                sum += weight::SEVENTH_BASS;
            }
            if self.fifth == Some(class) && steps > 1 {
                sum += weight::SIX_FOUR;
            }
        }
        if self.same_chord && self.seventh == Some(class) && !matches!(to.0 - from.0, -1 | 0) {
            sum += weight::SEVENTH_BASS / 3;
        }
        if let Some((tune, next)) = self.tune
            && tune != next
            && (tune - from.1).rem_euclid(12) == 0
            && (next - to.1).rem_euclid(12) == 0
        {
            sum += weight::OCTAVES_WITH_TUNE;
        }
        sum
    }

    /// The strings above the bass going on: common tones stay, others move a string or two, a seventh stays or falls.
    pub fn shape(&self, from: Line, seventh: Option<i32>, to: Line) -> i64 {
        let strings = |line: &Line| line.shape.into_iter().flatten();
        if strings(&from).next().is_none() || strings(&to).next().is_none() {
            return 0;
        }
        let nearest = |s: i32| strings(&from).map(|f| (f - s).abs()).min().unwrap_or(0);
        let mut sum: i64 = strings(&to).map(|s| weight::SHAPE_MOVES * i64::from((nearest(s) - 1).clamp(0, 6))).sum();
        if self.same_chord {
            return sum / 2;
        }
        let ways: Vec<i32> = strings(&from).zip(strings(&to)).map(|(f, t)| t - f).collect();
        let bass = from.bass.zip(to.bass).map(|(f, t)| t.0 - f.0);
        if ways.len() >= 2 && ways[0] != 0 && ways.iter().all(|w| Some(*w) == bass) {
            sum += weight::MOVED_BODILY;
        }
        if let Some(seventh) = seventh {
            let goes = |way: i32| strings(&to).any(|s| s == seventh + way);
            let stays = goes(0) && self.next & self.seventh.map_or(0, |c| 1 << c) != 0;
            if !goes(-1) && !stays && self.next != 0 {
                sum += weight::SEVENTH_LEFT_HANGING;
            }
        }
        sum
    }
}

/// A fourth of six semitones, a fifth of six or eight, a second of three: hard to sing (common practice).
fn crooked(steps: usize, semitones: i32) -> bool {
    matches!((steps, semitones), (3, 6) | (4, 6 | 8) | (1, 3 | 0))
}
