//! Whether the hands are there in time: leaps, the placing of the next group, plucks that go on, block chords, and strings that come back.
//!
//! All times are the player's own starting values (harp facts 3.2, ASSUME): they make a finding hard where they are missed by far, and nothing else.

use super::{Scene, role, the_hand};
use crate::change::{Change, Role};
use crate::finding::{Finding, Gravity, Rule};
use crate::hands::Pluck;
use harp::fingering::{self, Line, Strike};
use music::{Beats, Hand, Place, Seconds, Tempo};
use std::collections::BTreeMap;

/// The share of the wanted time, in hundredths, that has to be missing before a leap or a placing is called hard.
const LATE: i64 = 40;
/// Hundredths of the wanted time under which plucks, blocks and repeated strings count as fast.
const FAST: i64 = 75;
/// Fast plucks of one hand in a row, each beyond what one placed group gives.
const RUN: usize = 6;
/// A string that comes back faster than this share of the wanted time is hard even once, in hundredths.
const AT_ONCE: i64 = 35;
/// Fast returns of one string in a row that make it hard.
const RETURNS: u32 = 3;

pub fn look(scene: &Scene, found: &mut Vec<Finding>) {
    for hand in [Hand::Left, Hand::Right] {
        placings(scene, hand, found);
        runs(scene, hand, found);
        blocks(scene, hand, found);
    }
    returns(scene, found);
}

/// A hand's line as far as one hand can hold it; what it cannot is said elsewhere.
fn line(scene: &Scene, hand: Hand) -> Option<Line> {
    let (player, reach) = (scene.player, if hand == Hand::Left { scene.player.left } else { scene.player.right });
    let pluck = |p: &Pluck| {
        let from = p.strings.len().saturating_sub(player.fingers());
        let high = p.high();
        let strings: Vec<i32> = p.strings[from..].iter().copied().filter(|s| high - s < reach.rolled as i32).collect();
        let together = !p.rolled && high - strings[0] < reach.block as i32;
        let strike = if together { Strike::Together } else { Strike::Rolled };
        fingering::Pluck { strike, ..fingering::Pluck::of(p.time, &strings) }
    };
    Line::new(scene.hands.of(hand).iter().map(pluck).collect()).ok()
}

fn placings(scene: &Scene, hand: Hand, found: &mut Vec<Finding>) {
    let plucks = scene.hands.of(hand);
    let prices = fingering::Prices::default();
    let Some(fingering) = line(scene, hand).and_then(|l| fingering::finger(&l, hand, scene.player, &prices).ok()) else { return };
    let least = prices.late + prices.late_wholly * LATE / 100;
    for group in fingering.groups.iter().filter(|g| g.first > 0 && g.parts.late >= least) {
        let (from, to) = (&plucks[group.first - 1], &plucks[group.first]);
        let whole = from.high().max(to.high()) - from.low().min(to.low()) + 1;
        let reach = if hand == Hand::Left { scene.player.left.block } else { scene.player.right.block };
        let leaps = whole > reach as i32;
        let fluency = scene.player.fluency;
        let time = to.time - from.time;
        // Inside the reach it is a shift too, where the same fingers are wanted again.
        let placed = fluency.placed_pluck();
        let short = (placed - time).micros().max(0) * prices.late_wholly / placed.micros().max(1);
        let wanted = if !leaps && group.parts.late == prices.late + short { placed } else { fluency.shift(whole) };
        // The same strings again, and blocks, are for other rules.
        if from.strings == to.strings || from.strings.len() >= 3 && to.strings.len() >= 3 && !leaps {
            continue;
        }
        let names = format!("{} to {}", scene.names(from.onset, &from.strings), scene.names(to.onset, &to.strings));
        let what = if leaps { "leaps" } else { "has to be placed again" };
        let text = format!(
            "{} {what} from {names} in {} s; a {} player wants {} s",
            the_hand(hand),
            hundredths(time),
            fluency.name(),
            hundredths(wanted)
        );
        let tries = slower_figures(scene, to, hand, time, wanted);
        let place = scene.onsets[to.onset].place;
        found.push(Finding::new(place, Gravity::Hard, Rule::Leap, text).weighing(group.parts.late).trying(tries));
    }
}

fn hundredths(time: Seconds) -> String {
    super::instrument::hundredths(time.micros())
}

/// What to try where there is too little time before a pluck.
fn slower_figures(scene: &Scene, pluck: &Pluck, hand: Hand, time: Seconds, wanted: Seconds) -> Vec<Change> {
    let onset = &scene.onsets[pluck.onset];
    let staff = scene.staff(pluck.onset, &pluck.strings);
    let place = onset.place;
    let mut tries = Vec::new();
    let before = scene.hands.of(hand).iter().rev().find(|p| p.onset < pluck.onset);
    if let Some(before) = before {
        let octaves = if before.low() + before.high() > pluck.low() + pluck.high() { 1 } else { -1 };
        tries.push(Change::WholeOctave { place, staff, octaves });
        if scene.onsets[before.onset].place.measure == place.measure {
            let first = scene.onsets[before.onset].place;
            tries.push(Change::Drop { place: first, staff: scene.staff(before.onset, &before.strings) });
        }
    }
    if pluck.strings.len() > 1 {
        let pitch = scene.written(pluck.onset, if staff == Hand::Left { pluck.high() } else { pluck.low() });
        tries.extend(pitch.map(|pitch| Change::LeaveOut { place, pitch, role: role(onset, pitch) }));
    }
    tries.push(Change::Drop { place, staff });
    let end = scene.score.measures.get(place.measure).map_or(Beats::ZERO, |m| m.frame.length);
    tries.push(Change::OnlyFirst { place: Place { at: Beats::ZERO, ..place }, to: end, staff });
    tries.extend(slower(scene, place, time, wanted));
    tries
}

/// Slower tempi at which the wanted time is nearer and nearer.
fn slower(scene: &Scene, place: Place, time: Seconds, wanted: Seconds) -> Vec<Change> {
    let now = scene.clock.tempo(place);
    let full = time.micros() * 100 / wanted.micros().max(1);
    let at = |hundredths: i64| {
        let then = Tempo::new(now.unit(), now.milli_per_minute() * hundredths / 100)?;
        Some(Change::Slower { hundredths, then })
    };
    [full * 3 / 2, full].into_iter().filter(|h| (20..100).contains(h)).filter_map(at).collect()
}

/// Plucks of one hand that go on too fast, more than a placed group and its neighbour give.
fn runs(scene: &Scene, hand: Hand, found: &mut Vec<Finding>) {
    let plucks = scene.hands.of(hand);
    let wanted = scene.player.fluency.placed_pluck();
    let fast = |i: usize| (plucks[i].time - plucks[i - 1].time).micros() * 100 < wanted.micros() * FAST;
    let mut at = 1;
    while at < plucks.len() {
        let length = (at..plucks.len()).take_while(|i| fast(*i)).count();
        if length >= RUN {
            let (first, last) = (&plucks[at - 1], &plucks[at + length - 1]);
            let each = Seconds::from_micros((last.time - first.time).micros() / length as i64);
            let text = format!(
                "{} plucks {} times, {} a second; a {} player wants at most {}",
                the_hand(hand),
                length + 1,
                a_second(each),
                scene.player.fluency.name(),
                a_second(wanted)
            );
            let place = scene.onsets[first.onset].place;
            let staff = scene.staff(first.onset, &first.strings);
            let end = scene.score.measures.get(place.measure).map_or(Beats::ZERO, |m| m.frame.length);
            let mut tries = vec![Change::OnlyFirst { place, to: end, staff }];
            tries.extend(slower(scene, place, each, wanted));
            found.push(Finding::new(place, Gravity::Hard, Rule::Speed, text).weighing(length as i64).trying(tries));
        }
        at += length.max(1);
    }
}

/// How many go into a second, rounded.
fn a_second(time: Seconds) -> i64 {
    (1_000_000 + time.micros() / 2) / time.micros().max(1)
}

fn blocks(scene: &Scene, hand: Hand, found: &mut Vec<Finding>) {
    let wanted = scene.player.fluency.block();
    for pair in scene.hands.of(hand).windows(2) {
        let gap = pair[1].time - pair[0].time;
        let again = pair[0].strings.iter().filter(|s| pair[1].strings.contains(s)).count();
        // Repeated chords are said as repeated strings.
        if pair.iter().any(|p| p.strings.len() < 3) || again >= 2 || gap.micros() * 100 >= wanted.micros() * (FAST - 15) {
            continue;
        }
        let (place, staff) = (scene.onsets[pair[1].onset].place, scene.staff(pair[1].onset, &pair[1].strings));
        let text = format!(
            "{} plucks block chords {} s apart; a {} player wants {} s",
            the_hand(hand),
            hundredths(gap),
            scene.player.fluency.name(),
            hundredths(wanted)
        );
        let mut tries = Vec::new();
        if let Some(pitch) = scene.written(pair[1].onset, pair[1].strings[1]) {
            tries.push(Change::LeaveOut { place, pitch, role: role(&scene.onsets[pair[1].onset], pitch) });
        }
        tries.extend([Change::Drop { place, staff }, Change::Silence { place }]);
        tries.extend(slower(scene, place, gap, wanted));
        let weight = (wanted - gap).micros() / 1000;
        found.push(Finding::new(place, Gravity::Hard, Rule::Blocks, text).weighing(weight).trying(tries));
    }
}

/// One string's last pluck.
#[derive(Clone, Copy)]
struct Last {
    time: Seconds,
    hand: Hand,
    /// Fast returns in a row up to here.
    returns: u32,
}

/// Strings that come back before they can be placed well, in the same hand or the other.
fn returns(scene: &Scene, found: &mut Vec<Finding>) {
    let wanted = scene.player.fluency.same_string();
    let mut last: BTreeMap<i32, Last> = BTreeMap::new();
    let mut all: Vec<(Hand, &Pluck)> = scene.hands.left.iter().map(|p| (Hand::Left, p)).collect();
    all.extend(scene.hands.right.iter().map(|p| (Hand::Right, p)));
    all.sort_by_key(|(hand, p)| (p.onset, *hand == Hand::Right));
    for (hand, pluck) in all {
        let mut back: Vec<(i32, Last)> = Vec::new();
        for string in &pluck.strings {
            let before = last.get(string).copied();
            let gap = before.map(|l| (pluck.time - l.time).micros());
            let soon = gap.is_some_and(|g| g * 100 < wanted.micros() * FAST);
            let returns = before.filter(|_| soon).map_or(0, |l| l.returns + 1);
            if let Some(before) = before.filter(|_| soon) {
                back.push((*string, Last { returns, ..before }));
            }
            last.insert(*string, Last { time: pluck.time, hand, returns });
        }
        if let Some((string, before)) = back.iter().max_by_key(|(s, l)| (l.time, l.returns, *s)) {
            found.extend(came_back(scene, hand, pluck, *string, *before, back.len()));
        }
    }
}

fn came_back(scene: &Scene, hand: Hand, pluck: &Pluck, string: i32, before: Last, strings: usize) -> Option<Finding> {
    let wanted = scene.player.fluency.same_string();
    let (onset, gap) = (&scene.onsets[pluck.onset], pluck.time - before.time);
    let pitch = scene.written(pluck.onset, string)?;
    let hundredth = gap.micros() * 100 / wanted.micros().max(1);
    let chords = strings >= 2 && hundredth < FAST;
    let gravity = if hundredth < AT_ONCE || before.returns >= RETURNS || chords { Gravity::Hard } else { Gravity::Look };
    let other = if hand == before.hand { String::new() } else { format!(", from {} to {}", the_hand(before.hand), the_hand(hand)) };
    let more = if strings > 1 { format!(" and {} more", strings - 1) } else { String::new() };
    let text = format!(
        "{pitch:#}{more} is plucked again after {} s{other}; a {} player wants {} s, and placing the finger stops the string",
        hundredths(gap),
        scene.player.fluency.name(),
        hundredths(wanted)
    );
    let place = onset.place;
    let mut tries = Vec::new();
    let others = harp::settings::remedies::neighbours(&scene.tuned, pitch).into_iter().filter(|p| p.position() != string);
    tries.extend(others.map(|to| Change::Respell { place, pitch, to }));
    if strings > 1 {
        tries.extend([Change::Drop { place, staff: scene.staff(pluck.onset, &pluck.strings) }, Change::Silence { place }]);
    }
    tries.push(Change::LeaveOut { place, pitch, role: Role::Repeated });
    tries.extend([1, -1].map(|octaves| Change::Octave { place, pitch, octaves }));
    tries.extend(slower(scene, place, gap, wanted));
    let weight = (wanted - gap).micros() / 1000 * (strings as i64 + i64::from(before.returns));
    Some(Finding::new(place, gravity, Rule::RepeatedString, text).weighing(weight).trying(tries))
}
