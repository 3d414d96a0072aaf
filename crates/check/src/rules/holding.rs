//! What two hands can hold at one instant, and how they stand to each other.
//!
//! A chord wider than the hand is always broken (harp facts 3.3), so an unmarked wide chord counts as rolled; reaches beyond a tenth are ours and never more
//! than hard. Four notes a hand is the sourced limit: it is broken where no sharing between the hands keeps it.

use super::{Scene, role, the_hand, thinner};
use crate::change::Change;
use crate::finding::{Finding, Gravity, Rule};
use crate::hands::Pluck;
use harp::fingering::hands::RIGHT_LOWEST;
use harp::fingering::shape::strained;
use harp::player::Reach;
use music::{Beats, Hand, Pitch};

/// Fingers that play, each hand (harp facts 3.1).
const FINGERS: usize = 4;
/// Two octaves: wider than any hand, however it rolls. Ours, and generous.
const BEYOND_ANY_HAND: i32 = 15;

pub fn look(scene: &Scene, found: &mut Vec<Finding>) {
    for index in 0..scene.onsets.len() {
        sharing(scene, index, found);
    }
    for hand in [Hand::Left, Hand::Right] {
        for (at, pluck) in scene.hands.of(hand).iter().enumerate() {
            reach(scene, hand, at, pluck, found);
            strain(scene, hand, pluck, found);
        }
    }
    right_hand_low(scene, found);
    neighbours(scene, found);
}

/// The strings of an onset, lowest first, each once.
fn strings(scene: &Scene, index: usize) -> Vec<i32> {
    let mut strings: Vec<i32> = scene.strings.plucked[index].iter().flatten().map(|p| p.position()).collect();
    strings.sort_unstable();
    strings.dedup();
    strings
}

fn width(strings: &[i32]) -> i32 {
    strings.last().unwrap_or(&0) - strings.first().unwrap_or(&0) + 1
}

/// Whether some sharing gives each hand at most `notes` strings within `widest`.
fn can_share(strings: &[i32], notes: usize, widest: i32) -> bool {
    let holds = |s: &[i32]| s.is_empty() || s.len() <= notes && width(s) <= widest;
    (0..=strings.len()).any(|split| holds(&strings[..split]) && holds(&strings[split..]))
}

fn sharing(scene: &Scene, index: usize, found: &mut Vec<Finding>) {
    let (onset, strings) = (&scene.onsets[index], strings(scene, index));
    let fingers = scene.player.fingers();
    let most = scene.player.left.rolled.max(scene.player.right.rolled) as i32;
    if strings.len() <= fingers || can_share(&strings, fingers, most) {
        return;
    }
    let names = scene.names(index, &strings);
    let (gravity, text) = if strings.len() > 2 * FINGERS {
        let text = format!("{} notes at once ({names}): two hands have eight fingers to pluck with", strings.len());
        (if onset.rolled() { Gravity::Hard } else { Gravity::Cannot }, text)
    } else if !can_share(&strings, FINGERS, BEYOND_ANY_HAND) && can_share(&strings, strings.len(), BEYOND_ANY_HAND) {
        let text = format!("{names}: more than four notes fall to one hand, and the other is too far away to take one");
        (if onset.rolled() { Gravity::Hard } else { Gravity::Cannot }, text)
    } else {
        let text = format!("{names}: however the hands share these, one has more than {fingers} notes or reaches more than {most} strings");
        (Gravity::Hard, text)
    };
    let among: Vec<Pitch> = onset.tones.iter().map(|t| t.pitch).collect();
    let mut tries = thinner(onset, &among);
    tries.truncate(5);
    if let (Some(low), Some(high)) = (onset.tones.first(), onset.tones.last()) {
        tries.push(Change::Octave { place: onset.place, pitch: low.pitch, octaves: 1 });
        tries.push(Change::Octave { place: onset.place, pitch: high.pitch, octaves: -1 });
    }
    for staff in [Hand::Right, Hand::Left] {
        tries.push(Change::Later { place: onset.place, staff, by: Beats::EIGHTH });
    }
    tries.extend(onset.tones.iter().rev().map(|t| Change::Octave { place: onset.place, pitch: t.pitch, octaves: 1 }));
    tries.push(Change::Roll { place: onset.place });
    let weight = strings.len() as i64 * 100 + i64::from(width(&strings));
    found.push(Finding::new(onset.place, gravity, Rule::TooManyNotes, text).weighing(weight).trying(tries));
}

fn reach_of(scene: &Scene, hand: Hand) -> Reach {
    match hand {
        Hand::Left => scene.player.left,
        Hand::Right => scene.player.right,
    }
}

fn reach(scene: &Scene, hand: Hand, at: usize, pluck: &Pluck, found: &mut Vec<Finding>) {
    let (reach, onset) = (reach_of(scene, hand), &scene.onsets[pluck.onset]);
    if pluck.strings.len() < 2
        || pluck.width() <= reach.block as i32
        || found.iter().any(|f| f.place == onset.place && f.rule == Rule::TooManyNotes)
    {
        return;
    }
    let names = scene.names(pluck.onset, &pluck.strings);
    let wide = format!("{names}: {} strings wide; {} reaches {} together", pluck.width(), the_hand(hand), reach.block);
    let room = scene.hands.of(hand).get(at + 1).map(|next| (next.time - pluck.time).micros());
    let quick = room.is_some_and(|r| r < roll_takes(pluck.strings.len()));
    let (gravity, text) = match () {
        () if pluck.width() > reach.rolled as i32 && !pluck.rolled => (Gravity::Hard, format!("{wide} and {} rolled", reach.rolled)),
        () if pluck.width() > BEYOND_ANY_HAND && quick => (Gravity::Hard, format!("{wide}, and there is no time to roll it")),
        () if quick && !pluck.rolled => (Gravity::Hard, format!("{wide}, and there is no time to roll it")),
        () if !pluck.rolled => (Gravity::Look, format!("{wide}: it will be rolled, so mark it")),
        () => return,
    };
    let among: Vec<Pitch> = pluck.strings.iter().filter_map(|s| scene.written(pluck.onset, *s)).collect();
    let mut tries = vec![Change::Roll { place: onset.place }];
    if let (Some(low), Some(high)) = (among.first(), among.last()) {
        tries.push(Change::Octave { place: onset.place, pitch: *low, octaves: 1 });
        tries.push(Change::Octave { place: onset.place, pitch: *high, octaves: -1 });
        let leave_out = |pitch: Pitch| Change::LeaveOut { place: onset.place, pitch, role: role(onset, pitch) };
        tries.extend([leave_out(*low), leave_out(*high)]);
    }
    found.push(Finding::new(onset.place, gravity, Rule::Reach, text).weighing(i64::from(pluck.width())).trying(tries));
}

/// A wide gap away from the thumb, or a string beside the thumb inside a wide hand; rolled it is easier, and nothing is said.
fn strain(scene: &Scene, hand: Hand, pluck: &Pluck, found: &mut Vec<Finding>) {
    if pluck.rolled
        || pluck.strings.len() > scene.player.fingers()
        || pluck.width() > reach_of(scene, hand).block as i32
        || !strained(&pluck.strings)
    {
        return;
    }
    let onset = &scene.onsets[pluck.onset];
    let names = scene.names(pluck.onset, &pluck.strings);
    let text = format!("{names}: {} strains, because the wide gap is not beside the thumb", the_hand(hand));
    let among: Vec<Pitch> = pluck.strings[1..].iter().filter_map(|s| scene.written(pluck.onset, *s)).collect();
    let mut tries = vec![Change::Roll { place: onset.place }];
    tries.extend(thinner(onset, &among));
    found.push(Finding::new(onset.place, Gravity::Look, Rule::Strain, text).weighing(i64::from(pluck.width())).trying(tries));
}

/// How long a quick roll takes, in microseconds: 50 ms a note (harp facts 3.3, ASSUME: 40-70 ms brisk), and the hand's return.
fn roll_takes(notes: usize) -> i64 {
    50_000 * notes as i64 + 100_000
}

fn right_hand_low(scene: &Scene, found: &mut Vec<Finding>) {
    for pluck in scene.hands.right.iter().filter(|p| p.low() < RIGHT_LOWEST) {
        let onset = &scene.onsets[pluck.onset];
        let Some(pitch) = scene.written(pluck.onset, pluck.low()) else { continue };
        let text = format!("the right hand would have to go down to {pitch:#}, below G2");
        let tries = vec![
            Change::Octave { place: onset.place, pitch, octaves: 1 },
            Change::LeaveOut { place: onset.place, pitch, role: role(onset, pitch) },
        ];
        let weight = i64::from(RIGHT_LOWEST - pluck.low());
        found.push(Finding::new(onset.place, Gravity::Hard, Rule::RightHandLow, text).weighing(weight).trying(tries));
    }
}

/// Both hands at one instant: a string they share, and how close they come.
fn neighbours(scene: &Scene, found: &mut Vec<Finding>) {
    for onset in &scene.onsets {
        if let Some(tone) = onset.tones.iter().find(|t| t.twice) {
            let text = format!("{:#} stands on both staves at once: it is one string, and one hand plucks it", tone.pitch);
            let place = onset.place;
            let tries = [Hand::Left, Hand::Right].map(|staff| Change::Leave { place, staff, pitch: tone.pitch }).to_vec();
            found.push(Finding::new(place, Gravity::Look, Rule::SharedString, text).trying(tries));
        }
    }
    let mut rights = scene.hands.right.iter().peekable();
    for left in &scene.hands.left {
        while rights.next_if(|r| r.onset < left.onset).is_some() {}
        let Some(right) = rights.peek().filter(|r| r.onset == left.onset) else { continue };
        let gap = right.low() - left.high() - 1;
        // Three or more strings in each hand with none free between them is tight; fewer strings give way to each other.
        if gap == 0 && left.strings.len() + right.strings.len() >= 5 {
            let text = format!("no free string between the hands ({})", scene.names(left.onset, &[left.high(), right.low()]));
            let place = scene.onsets[left.onset].place;
            let among: Vec<Pitch> = [left.high(), right.low()].iter().filter_map(|s| scene.written(left.onset, *s)).collect();
            let weight = (left.strings.len() + right.strings.len()) as i64;
            let tries = thinner(&scene.onsets[left.onset], &among);
            found.push(Finding::new(place, Gravity::Look, Rule::HandsClose, text).weighing(weight).trying(tries));
        }
    }
}
