//! Fills a slot: every playable way, and the reason for every way that is left out.
//!
//! For each slot: every figure that fits, in every way for the jobs of the place, on every bass and with every shape of [`crate::voicing`], minus what breaks a
//! hard limit of the hand, the instrument or the tune's own strings.

use crate::candidates::{Candidate, Candidates, Draft, Reason};
use crate::figures::{Figure, Figures, Job, Part, Space, Stroke, Tone};
use crate::hand_time::{Pluck, Strings, TooFast, playable};
use crate::kept::Kept;
use crate::price::{Price, Principle};
use crate::principles::weight::weights;
use crate::principles::{self, Groove, Rules, entry, exit};
use crate::register::Register;
use crate::rungs::Rungs;
use crate::slots::Slot;
use crate::view::View;
use crate::voicing::{self, Bass, Lead};
use crate::wishes::Wishes;
use harmony::kind::KindOfTune;
use harp::{Instrument, hand};
use music::{Chord, Hand, Pitch};
use smallvec::SmallVec;
use std::collections::{BTreeMap, BTreeSet};

/// The most candidates a slot keeps; the cheapest placement of every figure is always among them.
pub const MOST: usize = 160;
/// The levels of fullness at which candidates are ranked.
const RANKED_AT: [u8; 3] = [2, 3, 5];
/// How many candidates of one rhythm are kept before cheaper ones of another, so that something is left where a lever takes the hand away.
const OF_ONE_RHYTHM: usize = 4;
/// How many candidates of one figure on one bass are kept before cheaper ones elsewhere.
const ON_ONE_BASS: usize = 2;

/// What the candidates of all slots have in common.
pub struct Ground<'a> {
    pub figures: &'a Figures,
    pub harp: &'a Instrument,
    pub wishes: &'a Wishes,
    pub kind: KindOfTune,
    /// Measure number of the slot's measure, for holds.
    pub hold: Option<usize>,
    /// A way she took, a written bass that is always kept.
    pub kept: Kept,
}

/// All candidates of a slot.
pub fn fill(view: &View, ground: &Ground) -> Candidates {
    let mut drafts: Vec<Draft> = Vec::new();
    let mut left_out = BTreeMap::new();
    let maker = Maker::new(view, ground);
    let for_this_hand = |figure: &Figure| figure.hand == view.slot.hand || figure.part == Part::Rest;
    for (index, figure) in ground.figures.all.iter().enumerate().filter(|(_, f)| for_this_hand(f)) {
        match admitted(view.slot, figure, index, ground).and_then(|()| maker.place(figure, index)) {
            Ok(made) => drafts.extend(made),
            Err(reason) => {
                left_out.insert(index, reason);
            }
        }
    }
    if let Some(hold) = ground.hold
        && drafts.iter().any(|c| c.figure == hold)
    {
        drafts.retain(|c| c.figure == hold);
    }
    ground.kept.keep(&mut drafts, view.slot.length, |like, plucks| {
        let plucks = allowed(view, ground.harp, plucks).ok()?;
        Some(maker.draft(&ground.figures.all[like.figure], like.figure, like.job, plucks, None))
    });
    let candidates = keep_cheapest(view, drafts).into_iter().map(|draft| candidate(view, draft)).collect();
    Candidates { candidates, left_out }
}

fn candidate(view: &View, draft: Draft) -> Candidate {
    let Draft { figure, job, plucks, lead, price } = draft;
    let fluency = view.player.fluency;
    let groove = Groove::of(view.slot, job, &plucks);
    let entry = entry(view.slot, &plucks, groove, &view.clock, fluency);
    let exit = exit(view.slot, &plucks, (lead, groove), &view.clock, fluency, view.register);
    Candidate { figure, job, plucks, lead, price, entry, exit }
}

fn admitted(slot: &Slot, figure: &Figure, index: usize, ground: &Ground) -> Result<(), Reason> {
    if figure.part == Part::Rest || ground.hold == Some(index) {
        return Ok(());
    }
    if slot.chord.is_none() || slot.fullness == 0 {
        return Err(Reason::NotForThisKind);
    }
    if slot.duty.last {
        return if figure.part == Part::Final || figure.also_final { Ok(()) } else { Err(Reason::OnlyTheLastChord) };
    }
    match figure.part {
        Part::Final => return Err(Reason::OnlyTheLastChord),
        Part::Landing if !admits_a_landing(slot, ground) => return Err(Reason::OnlyPhraseEnds),
        Part::Landing => return Ok(()),
        Part::Drone if !ground.wishes.only.contains(&figure.name) && ground.kind != KindOfTune::Lament => {
            return Err(Reason::NotForThisKind);
        }
        _ => {}
    }
    let of_this_hand = |name: &String| ground.figures.find(name).is_some_and(|f| ground.figures.all[f].hand == slot.hand);
    let wished = !ground.wishes.only.iter().any(of_this_hand) || ground.wishes.only.contains(&figure.name);
    if !wished || ground.wishes.without.contains(&figure.name) {
        return Err(Reason::LeftOutByYou);
    }
    if figure.never.contains(&ground.kind) && !ground.wishes.only.contains(&figure.name) {
        return Err(Reason::NotForThisKind);
    }
    Ok(())
}

/// A phrase ends, or the melody is at its top and she did not ask for certain figures only.
fn admits_a_landing(slot: &Slot, ground: &Ground) -> bool {
    slot.duty.phrase_end || slot.duty.peak && ground.wishes.only.is_empty()
}

/// What all figures of one slot share.
struct Maker<'a> {
    view: &'a View<'a>,
    ground: &'a Ground<'a>,
    jobs: Vec<Job>,
    basses: Vec<Bass>,
    /// The right hand's shapes over a melody in the left.
    above: [Vec<Vec<Pitch>>; 4],
}

/// The window of basses that all figures together can have; each figure takes its part of it.
const WINDOW: (i32, i32) = (i32::MIN, i32::MAX);

impl<'a> Maker<'a> {
    fn new(view: &'a View<'a>, ground: &'a Ground<'a>) -> Maker<'a> {
        let slot = view.slot;
        let chord = slot.chord.as_ref().filter(|_| slot.fullness > 0);
        let (mut basses, mut above) = Default::default();
        match (chord, slot.hand) {
            (Some(chord), Hand::Left) => basses = voicing::basses(slot, chord, WINDOW, view.ceiling(), ground.harp, view.register),
            (Some(chord), Hand::Right) => above = voicing::above::shapes(slot, chord, view.floor(), ground.harp, view.player),
            (None, _) => {}
        }
        Maker { view, ground, jobs: view.jobs(), basses, above }
    }

    /// Every placement of one figure; an error when none is playable.
    fn place(&self, figure: &Figure, index: usize) -> Result<Vec<Draft>, Reason> {
        let mut made: Vec<Draft> = Vec::new();
        let mut reason = Reason::NoSuchMeter;
        for (job, strokes) in self.fillings(figure) {
            if strokes.iter().all(|s| s.tones.is_empty()) {
                made.push(self.draft(figure, index, job, Vec::new(), None));
                continue;
            }
            let numbered = strokes.iter().flat_map(|s| &s.tones).any(|t| matches!(t, Tone::Rung(_)));
            let found = match figure.hand {
                Hand::Right => self.over(&strokes),
                Hand::Left if numbered => self.numbered(figure, &strokes),
                Hand::Left => self.voiced(figure, &strokes),
            };
            for outcome in found {
                match outcome.and_then(|(plucks, lead)| allowed(self.view, self.ground.harp, plucks).map(|plucks| (plucks, lead))) {
                    Ok((plucks, lead)) => made.push(self.draft(figure, index, job, plucks, lead)),
                    Err(why) => reason = why,
                }
            }
        }
        if made.is_empty() { Err(reason) } else { Ok(made) }
    }

    /// The ways a figure fills a slot, each once.
    fn fillings(&self, figure: &Figure) -> Vec<(Job, Vec<Stroke>)> {
        let slot = self.view.slot;
        let mut all: Vec<(Job, Vec<Stroke>)> = Vec::new();
        for job in &self.jobs {
            for way in 0..figure.ways_in(&slot.meter) {
                let space = Space { meter: &slot.meter, length: slot.length, full_measure: slot.full_measure, job: *job, way };
                if let Some(strokes) = figure.fitted(&space).filter(|s| !all.iter().any(|(_, other)| other == s)) {
                    all.push((*job, strokes));
                }
            }
        }
        all
    }

    /// Strings counted from the root: on every octave of the root in the figure's register, the root in the bass.
    fn numbered(&self, figure: &Figure, strokes: &[Stroke]) -> Vec<Outcome> {
        let (slot, harp) = (self.view.slot, self.ground.harp);
        let Some(chord) = &slot.chord else { return Vec::new() };
        let tonic = Chord::new(slot.key.tonic(), if slot.key.mode.is_minor() { music::ChordKind::Minor } else { music::ChordKind::Major });
        let chord = if figure.part == Part::Drone { &tonic } else { chord };
        let tones = chord.tones();
        let made = |root| plucks(strokes, &Rungs { chord, tones: &tones, root }, harp).map(|plucks| (plucks, None));
        roots(figure, chord, harp, self.view.register).into_iter().map(made).collect()
    }

    /// The right hand over the melody: every shape of the size that the strokes ask for.
    fn over(&self, strokes: &[Stroke]) -> Vec<Outcome> {
        let asks = |tone: Tone| usize::from(strokes.iter().any(|s| s.tones.contains(&tone)));
        let size = [Tone::Bass, Tone::Lower, Tone::Middle, Tone::Upper].into_iter().map(asks).sum::<usize>();
        let shapes = size.checked_sub(1).map_or(&[][..], |at| self.above[at].as_slice());
        if shapes.is_empty() {
            return vec![Err(Reason::NoSuchTone)];
        }
        let below = asks(Tone::Bass);
        let made = |shape: &Vec<Pitch>| Roles { bass: shape[0], other: None, shape: &shape[below..], lead: None }.plucks(strokes);
        shapes.iter().map(|shape| Ok((made(shape), None))).collect()
    }

    /// Roles: every bass in the figure's window, every shape of the size that the strokes ask for.
    fn voiced(&self, figure: &Figure, strokes: &[Stroke]) -> Vec<Outcome> {
        let asks = |tone: Tone| strokes.iter().any(|s| s.tones.contains(&tone));
        // A measure too short for the tone that leads has none that walks to it.
        if asks(Tone::Walk) && !asks(Tone::Lead) {
            return vec![Err(Reason::NoSuchMeter)];
        }
        let size = if asks(Tone::Middle) {
            3
        } else if asks(Tone::Lower) && asks(Tone::Upper) {
            2
        } else {
            usize::from(asks(Tone::Upper) || asks(Tone::Lower))
        };
        let up = self.view.register.lift(self.ground.harp.lowest());
        let (low, high) = (figure.bass.0 + up, figure.bass.1 + up);
        let no_shape: &[Strings] = &[Strings::new()];
        let mut made = Vec::new();
        for bass in self.basses.iter().filter(|b| b.pitch.position() >= low && b.pitch.position() <= high) {
            let shapes = if size == 0 { no_shape } else { &bass.shapes[size - 1] };
            let others: Vec<Option<Pitch>> = asked(asks(Tone::OtherBass), &bass.others);
            let walks = asks(Tone::Walk);
            let leads: Vec<Option<Lead>> = if asks(Tone::Lead) {
                bass.leads.iter().filter(|l| !walks || l.walk.is_some()).copied().map(Some).collect()
            } else {
                vec![None]
            };
            for shape in shapes {
                let interval = shape.last().map(|top| top.position() - bass.pitch.position() + 1);
                if interval.is_some_and(|i| !figure.intervals.is_empty() && !figure.intervals.contains(&i)) {
                    continue;
                }
                if figure.upper.is_some_and(|upper| shape[0].position() < upper + 7 * self.view.register.octaves) {
                    continue;
                }
                for other in others.iter().filter(|o| o.is_none_or(|o| shape.iter().all(|p| p.position() > o.position() + 1))) {
                    for lead in &leads {
                        let roles = Roles { bass: bass.pitch, other: *other, shape, lead: *lead };
                        made.push(Ok((roles.plucks(strokes), lead.map(|l| l.pitch.position()))));
                    }
                }
            }
        }
        if made.is_empty() { vec![Err(Reason::NoSuchTone)] } else { made }
    }

    fn draft(&self, figure: &Figure, index: usize, job: Job, plucks: Vec<Pluck>, lead: Option<i32>) -> Draft {
        Draft { figure: index, job, price: own_price(self.view, self.ground, figure, &plucks), plucks, lead }
    }
}

/// What the notes of a slot and their figure cost by themselves.
pub(crate) fn own_price(view: &View, ground: &Ground, figure: &Figure, plucks: &[Pluck]) -> Price {
    let mut price = principles::own(view, plucks);
    let across = if ground.kind == KindOfTune::Hymn { weights().across_the_beat * across_the_beat(view, plucks) } else { 0 };
    price.add(Principle::Manner, manner(figure, ground, view.register, plucks) + across);
    price
}

/// Plucks off the beat that hold over the next beat.
fn across_the_beat(view: &View, plucks: &[Pluck]) -> i64 {
    let place = |p: &Pluck| (view.slot.at + p.at) % view.beat;
    let across = |p: &&Pluck| !place(p).is_zero() && place(p) + p.length > view.beat;
    plucks.iter().filter(across).count() as i64
}

/// The plucks of a placement and its leading string, or why there are none.
type Outcome = Result<(Vec<Pluck>, Option<i32>), Reason>;

/// Each of the tones that a role may be, or one without where it is not asked for.
fn asked(wanted: bool, tones: &[Pitch]) -> Vec<Option<Pitch>> {
    if wanted { tones.iter().copied().map(Some).collect() } else { vec![None] }
}

/// Which pitch each role is.
struct Roles<'a> {
    bass: Pitch,
    other: Option<Pitch>,
    shape: &'a [Pitch],
    lead: Option<Lead>,
}

impl Roles<'_> {
    fn pitch(&self, tone: Tone) -> Option<Pitch> {
        match tone {
            Tone::Bass => Some(self.bass),
            Tone::OtherBass => self.other,
            Tone::Lower => self.shape.first().copied(),
            Tone::Middle => self.shape.get(self.shape.len() / 2).copied(),
            Tone::Upper => self.shape.last().copied(),
            Tone::Walk => self.lead.and_then(|l| l.walk),
            Tone::Lead => self.lead.map(|l| l.pitch),
            Tone::Rung(_) => None,
        }
    }

    fn plucks(&self, strokes: &[Stroke]) -> Vec<Pluck> {
        let sounding = strokes.iter().filter(|s| !s.tones.is_empty());
        sounding.map(|s| pluck(s, s.tones.iter().filter_map(|t| self.pitch(*t)))).collect()
    }
}

fn pluck(stroke: &Stroke, tones: impl Iterator<Item = Pitch>) -> Pluck {
    let mut pitches = Strings::new();
    tones.for_each(|p| pitches.push(p));
    if pitches.len() > 1 {
        pitches.sort_unstable_by_key(|p| (p.position(), p.alter));
        pitches.dedup_by_key(|p| p.position());
    }
    let rolled = stroke.rolled && pitches.len() >= 3;
    Pluck { at: stroke.at, length: stroke.length, pitches, rolled }
}

/// Positions of the root in the figure's window.
fn roots(figure: &Figure, chord: &Chord, harp: &Instrument, register: Register) -> Vec<i32> {
    let up = register.lift(harp.lowest());
    let (low, high) = (figure.bass.0 + up, figure.bass.1 + up);
    let letter = chord.root.step.index();
    (-1..9).map(|octave| letter + 7 * octave).filter(|root| *root <= high && *root >= low.max(harp.lowest())).collect()
}

fn plucks(strokes: &[Stroke], rungs: &Rungs, harp: &Instrument) -> Result<Vec<Pluck>, Reason> {
    let sounding = strokes.iter().filter(|s| !s.tones.is_empty());
    sounding
        .map(|stroke| {
            let pitches = stroke.tones.iter().filter_map(|tone| if let Tone::Rung(rung) = tone { Some(*rung) } else { None });
            let pitches = pitches.map(|rung| rungs.pitch(rung, harp).ok_or_else(|| missing(rungs, rung)));
            Ok(pluck(stroke, pitches.collect::<Result<Strings, _>>()?.into_iter()))
        })
        .collect()
}

fn missing(rungs: &Rungs, rung: u8) -> Reason {
    let has_tone = match (rung - 1) % 7 {
        2 => rungs.chord.third().is_some(),
        4 => rungs.chord.fifth().is_some(),
        _ => true,
    };
    if has_tone { Reason::OffTheHarp } else { Reason::NoSuchTone }
}

/// The hard limits.
fn allowed(view: &View, harp: &Instrument, plucks: Vec<Pluck>) -> Result<Vec<Pluck>, Reason> {
    let hand = view.slot.hand;
    for pluck in &plucks {
        if pluck.pitches.len() > 1 {
            let strings: SmallVec<[i32; 4]> = pluck.pitches.iter().map(|p| p.position()).collect();
            let held = if pluck.rolled { hand::rolled(view.player, hand, &strings) } else { hand::block(view.player, hand, &strings) };
            held.map_err(Reason::Hand)?;
        }
        if pluck.high() > if hand == Hand::Left { view.register.highest } else { harp.highest() } {
            return Err(Reason::TooHigh);
        }
        let taken = pluck.string_bits();
        for note in view.melody.iter().filter(|n| n.on <= pluck.at && n.off > pluck.at) {
            if taken & note.string_bits != 0 {
                return Err(Reason::TuneString);
            }
            let crosses = match note.hand {
                Hand::Right => pluck.high() >= note.low(),
                Hand::Left => pluck.low() <= note.high(),
            };
            if crosses {
                return Err(Reason::CrossesTune);
            }
        }
        if view.melody.iter().any(|note| note.hand == hand && !view.comes_over(pluck, note)) {
            return Err(Reason::TooFast(TooFast::Leap));
        }
    }
    playable(&plucks, hand, view.slot.length, &view.clock, view.player).map_err(Reason::TooFast)?;
    Ok(plucks)
}

/// How well the figure's author says it suits this kind of tune, and how far its bass lies from its register.
fn manner(figure: &Figure, ground: &Ground, register: Register, plucks: &[Pluck]) -> i64 {
    let Some(first) = plucks.first() else { return 0 };
    let kind = if figure.suits.is_empty() {
        weights().suits_all
    } else if figure.suits.contains(&ground.kind) {
        0
    } else {
        weights().suits_others
    };
    if figure.hand == Hand::Right {
        return kind;
    }
    let up = register.lift(ground.harp.lowest());
    let below = i64::from((figure.bass.0 + up - first.low()).max(0));
    kind + weights().below_its_register * below
}

/// Too many candidates: the cheapest of every figure, then the cheapest on every bass of every figure, then the cheapest of all.
fn keep_cheapest(view: &View, made: Vec<Draft>) -> Vec<Draft> {
    if made.len() <= MOST {
        return made;
    }
    let mut order: Vec<usize> = (0..made.len()).collect();
    // A leading tone earns its price only at the next slot. What is kept is the same at every fullness, so that a fuller plan never has fewer notes.
    let slot = view.slot;
    let at_best = |c: &Draft| {
        let rules = principles::rules_change(view, &c.plucks, Rules::of(slot.fullness), Rules::Player).total();
        let changes = RANKED_AT.iter().map(|level| principles::growth_change(slot, slot.fullness, *level, &c.plucks));
        c.price.total() + rules + if slot.duty.last { 0 } else { changes.min().unwrap_or(0) }
    };
    let likely = |c: &Draft| at_best(c) - if c.lead.is_some() { weights().seam_without_lead } else { 0 };
    order.sort_by_cached_key(|i| (likely(&made[*i]), *i));
    let mut figures = BTreeSet::new();
    let mut rhythms: BTreeMap<SmallVec<[music::Beats; 8]>, usize> = BTreeMap::new();
    let mut basses: BTreeMap<(usize, Option<i32>, Option<i32>), usize> = BTreeMap::new();
    let mut ranks: [Vec<usize>; 3] = Default::default();
    for index in order {
        let candidate = &made[index];
        let seen = basses.entry((candidate.figure, candidate.plucks.first().map(Pluck::low), candidate.lead)).or_default();
        let rhythm = rhythms.entry(candidate.plucks.iter().map(|p| p.at).collect()).or_default();
        *rhythm += 1;
        let rank = if figures.insert(candidate.figure) || *rhythm <= OF_ONE_RHYTHM {
            0
        } else if *seen < ON_ONE_BASS {
            1
        } else {
            2
        };
        *seen += 1;
        ranks[rank].push(index);
    }
    let kept: BTreeSet<usize> = ranks.into_iter().flatten().take(MOST).collect();
    made.into_iter().enumerate().filter(|(index, _)| kept.contains(index)).map(|(_, draft)| draft).collect()
}
