//! What a repair does to a page, what it is called, and what it does to the music.
//!
//! A change is a value: it can be applied to any score that has its place, and looked at afterwards.

mod notes;
mod words;

pub use words::{tempo, value};

use music::{Beats, Bracket, Hand, Interval, Mark, Note, Pitch, Place, PlacedMark, Score, Tempo};

/// One change of a page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// The chord is rolled.
    Roll { place: Place },
    /// The pitch is not plucked.
    LeaveOut { place: Place, pitch: Pitch, role: Role },
    /// Of a pitch on both staves, this staff leaves it to the other.
    Leave { place: Place, staff: Hand, pitch: Pitch },
    /// The pitch sounds so many octaves higher.
    Octave { place: Place, pitch: Pitch, octaves: i32 },
    /// Everything this staff plucks here, so many octaves higher.
    WholeOctave { place: Place, staff: Hand, octaves: i32 },
    /// The same sound on the neighbouring string.
    Respell { place: Place, pitch: Pitch, to: Pitch },
    /// Plucked this much later; what sounds before goes on.
    Later { place: Place, staff: Hand, by: Beats },
    /// Plucked this much earlier, out of the time of the note before.
    Earlier { place: Place, staff: Hand, by: Beats },
    /// Neither staff plucks here.
    Silence { place: Place },
    /// The staff does not pluck here.
    Drop { place: Place, staff: Hand },
    /// Of all that the staff plucks from one place to before another in the measure, only the first.
    OnlyFirst { place: Place, to: Beats, staff: Hand },
    /// The staff plucks these here, within the time of the note or rest that stands there.
    Pluck { place: Place, staff: Hand, pitches: Vec<Pitch> },
    /// Another pitch in place of this one.
    Becomes { place: Place, staff: Hand, pitch: Pitch, to: Pitch },
    /// What this staff plucks here lasts this long: a rest follows where that is shorter, and rests give way where it is longer.
    Lasts { place: Place, staff: Hand, length: Beats },
    /// What this staff plucks here is plucked once more after a while, within its own time.
    Split { place: Place, staff: Hand, after: Beats },
    /// This finger takes the pitch.
    Finger { place: Place, staff: Hand, pitch: Pitch, finger: u8 },
    /// The nearest mark of this lever or pedal stands here instead.
    Move { place: Place, mark: Mark },
    /// The whole page at so many hundredths of its tempo, which is `then` at the place in question.
    Slower { hundredths: i64, then: Tempo },
    /// These strings are stopped.
    Muffle { place: Place, pitches: Vec<Pitch> },
    /// A lever or pedal mark is printed.
    Print { place: Place, mark: Mark },
    /// The whole page in another key.
    OtherKey { by: Interval },
}

/// What a tone left out was to its chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// Another octave of it sounds at the same time.
    Doubled,
    Inner,
    Lowest,
    Highest,
    /// It was plucked a moment ago and still rings.
    Repeated,
}

impl Change {
    /// The page after the change; `None` where the page has nothing to change there.
    pub fn apply(&self, score: &Score) -> Option<Score> {
        let mut score = score.clone();
        let done = match self {
            Change::Roll { place } => roll(&mut score, *place),
            Change::LeaveOut { place, pitch, .. } => staves(|hand| each_tied(&mut score, *place, hand, *pitch, |_| None)),
            Change::Leave { place, staff, pitch } => each_tied(&mut score, *place, *staff, *pitch, |_| None),
            Change::Octave { place, pitch, octaves } => {
                staves(|hand| each_tied(&mut score, *place, hand, *pitch, |p| Some(p.up(Interval::octaves(*octaves)))))
            }
            Change::Respell { place, pitch, to } => staves(|hand| each_tied(&mut score, *place, hand, *pitch, |_| Some(*to))),
            Change::WholeOctave { place, staff, octaves } => {
                let pitches = plucked(&score, *place, *staff)?;
                pitches.iter().all(|p| each_tied(&mut score, *place, *staff, *p, |p| Some(p.up(Interval::octaves(*octaves)))))
            }
            Change::Later { place, staff, by } => later(&mut score, *place, *staff, *by)?,
            Change::Earlier { place, staff, by } => earlier(&mut score, *place, *staff, *by)?,
            Change::Silence { place } => staves(|hand| drop_pluck(&mut score, *place, hand)),
            Change::Drop { place, staff } => drop_pluck(&mut score, *place, *staff),
            Change::OnlyFirst { place, to, staff } => only_first(&mut score, *place, *to, *staff),
            Change::Pluck { place, staff, pitches } => pluck(&mut score, *place, *staff, pitches),
            Change::Becomes { place, staff, pitch, to } => notes::becomes(&mut score, *place, *staff, (*pitch, *to)),
            Change::Lasts { place, staff, length } => notes::lasts(&mut score, *place, *staff, *length)?,
            Change::Split { place, staff, after } => notes::split(&mut score, *place, *staff, *after)?,
            Change::Finger { place, staff, pitch, finger } => notes::finger(&mut score, *place, *staff, (*pitch, *finger))?,
            Change::Move { place, mark } => notes::move_mark(&mut score, *place, mark)?,
            Change::Slower { hundredths, .. } => slower(&mut score, *hundredths)?,
            Change::Muffle { place, pitches } => {
                let measure = score.measures.get_mut(place.measure)?;
                measure.marks.push(PlacedMark::new(place.at, Some(Hand::Left), Mark::Muffle(pitches.clone())));
                true
            }
            Change::Print { place, mark } => {
                let marks = &mut score.measures.get_mut(place.measure)?.marks;
                let at = marks.partition_point(|m| m.at <= place.at);
                marks.insert(at, PlacedMark::new(place.at, None, mark.clone()));
                true
            }
            Change::OtherKey { by } => other_key(&mut score, *by),
        };
        done.then_some(score)
    }

    /// The place it changes; `None` where it changes the whole page.
    pub fn place(&self) -> Option<Place> {
        self.clone().place_mut().copied()
    }

    fn place_mut(&mut self) -> Option<&mut Place> {
        match self {
            Change::Roll { place }
            | Change::LeaveOut { place, .. }
            | Change::Leave { place, .. }
            | Change::Octave { place, .. }
            | Change::WholeOctave { place, .. }
            | Change::Respell { place, .. }
            | Change::Later { place, .. }
            | Change::Earlier { place, .. }
            | Change::Silence { place }
            | Change::Drop { place, .. }
            | Change::OnlyFirst { place, .. }
            | Change::Pluck { place, .. }
            | Change::Becomes { place, .. }
            | Change::Lasts { place, .. }
            | Change::Split { place, .. }
            | Change::Finger { place, .. }
            | Change::Move { place, .. }
            | Change::Muffle { place, .. }
            | Change::Print { place, .. } => Some(place),
            Change::Slower { .. } | Change::OtherKey { .. } => None,
        }
    }

    /// The same change with its place counted from a later first measure; `None` where it lies before that.
    pub fn from_measure(&self, first: usize) -> Option<Change> {
        let mut change = self.clone();
        if let Some(place) = change.place_mut() {
            place.measure = place.measure.checked_sub(first)?;
        }
        Some(change)
    }
}

/// Does it on both staves; whether either had something to change.
fn staves(mut change: impl FnMut(Hand) -> bool) -> bool {
    let left = change(Hand::Left);
    change(Hand::Right) || left
}

fn line(score: &mut Score, measure: usize, staff: Hand) -> Option<&mut Vec<Note>> {
    let measure = score.measures.get_mut(measure)?;
    Some(match staff {
        Hand::Right => &mut measure.right,
        Hand::Left => &mut measure.left,
    })
}

fn index_at(score: &Score, place: Place, staff: Hand) -> Option<usize> {
    score.measures.get(place.measure)?.hand(staff).iter().position(|n| n.at == place.at)
}

fn plucked(score: &Score, place: Place, staff: Hand) -> Option<Vec<Pitch>> {
    let note = &score.measures.get(place.measure)?.hand(staff)[index_at(score, place, staff)?];
    note.is_plucked().then(|| note.pitches.clone())
}

fn roll(score: &mut Score, place: Place) -> bool {
    staves(|staff| {
        let Some(index) = index_at(score, place, staff) else { return false };
        let note = line(score, place.measure, staff).and_then(|l| l.get_mut(index));
        note.filter(|n| n.is_plucked() && !n.rolled).map(|n| n.rolled = true).is_some()
    })
}

/// Changes one pitch of a note and of what is tied on to it; `None` takes it away.
fn each_tied(score: &mut Score, place: Place, staff: Hand, pitch: Pitch, to: impl Fn(Pitch) -> Option<Pitch>) -> bool {
    let Some(first) = index_at(score, place, staff) else { return false };
    let has = |score: &Score, measure: usize, index: usize| score.measures[measure].hand(staff)[index].pitches.contains(&pitch);
    if !score.measures[place.measure].hand(staff)[first].is_plucked() || !has(score, place.measure, first) {
        return false;
    }
    let (mut measure, mut index) = (place.measure, first);
    loop {
        let Some(note) = line(score, measure, staff).and_then(|l| l.get_mut(index)) else { return true };
        let goes_on = note.tie.to_next;
        change_pitch(note, pitch, to(pitch));
        if note.is_rest() {
            silence(score, measure, staff, index);
        }
        if !goes_on {
            return true;
        }
        let Some((m, i)) = next(score, measure, place_of(score, measure, staff, index), staff) else { return true };
        if !score.measures[m].hand(staff)[i].tie.from_before || !has(score, m, i) {
            return true;
        }
        (measure, index) = (m, i);
    }
}

/// Where a note of this index stands; after a note was taken away the one before it covers its place.
fn place_of(score: &Score, measure: usize, staff: Hand, index: usize) -> Beats {
    let line = score.measures[measure].hand(staff);
    line.get(index).or(line.last()).map_or(Beats::ZERO, |n| n.at)
}

fn next(score: &Score, measure: usize, after: Beats, staff: Hand) -> Option<(usize, usize)> {
    let here = score.measures[measure].hand(staff).iter().position(|n| n.at > after);
    match here {
        Some(index) => Some((measure, index)),
        None => score.measures.get(measure + 1).filter(|m| !m.hand(staff).is_empty()).map(|_| (measure + 1, 0)),
    }
}

fn change_pitch(note: &mut Note, pitch: Pitch, to: Option<Pitch>) {
    note.pitches.retain(|p| *p != pitch);
    note.pitches.extend(to);
    note.pitches.sort_by_key(|p| (p.midi(), p.position()));
    note.pitches.dedup();
    note.fingers.clear();
    note.own_fingers.retain(|(own, _)| *own != pitch);
    note.bracket = Bracket::None;
    if note.pitches.len() < 2 {
        note.rolled = false;
    }
}

/// A note that has lost its pitches: what sounds before it in the measure goes on, else it is a rest.
fn silence(score: &mut Score, measure: usize, staff: Hand, index: usize) {
    let Some(line) = line(score, measure, staff) else { return };
    let (at, length) = (line[index].at, line[index].length);
    match index.checked_sub(1).filter(|before| !line[*before].is_rest() && line[*before].tuplet.is_none()) {
        Some(before) if line[index].tuplet.is_none() => {
            line[before].length += length;
            line[before].tie.to_next = false;
            line.remove(index);
        }
        _ => line[index] = Note { tuplet: line[index].tuplet, ..Note::rest(at, length) },
    }
}

fn later(score: &mut Score, place: Place, staff: Hand, by: Beats) -> Option<bool> {
    let index = index_at(score, place, staff)?;
    let line = line(score, place.measure, staff)?;
    if !line[index].is_plucked() || line[index].length <= by || line[index].tuplet.is_some() {
        return None;
    }
    line[index].at += by;
    line[index].length -= by;
    match index.checked_sub(1) {
        Some(before) => line[before].length += by,
        None => line.insert(0, Note::rest(place.at, by)),
    }
    Some(true)
}

fn earlier(score: &mut Score, place: Place, staff: Hand, by: Beats) -> Option<bool> {
    let index = index_at(score, place, staff)?;
    let line = line(score, place.measure, staff)?;
    let before = index.checked_sub(1)?;
    if !line[index].is_plucked() || line[before].length <= by || line[before].tuplet.or(line[index].tuplet).is_some() {
        return None;
    }
    line[before].length -= by;
    line[index].at -= by;
    line[index].length += by;
    Some(true)
}

fn drop_pluck(score: &mut Score, place: Place, staff: Hand) -> bool {
    let Some(pitches) = plucked(score, place, staff) else { return false };
    pitches.iter().all(|p| each_tied(score, place, staff, *p, |_| None))
}

fn only_first(score: &mut Score, place: Place, to: Beats, staff: Hand) -> bool {
    let Some(measure) = score.measures.get(place.measure) else { return false };
    let plucks = measure.hand(staff).iter().filter(|n| n.is_plucked() && n.at >= place.at && n.at < to);
    let rest: Vec<Beats> = plucks.skip(1).map(|n| n.at).collect();
    !rest.is_empty() && rest.into_iter().rev().all(|at| drop_pluck(score, Place { at, ..place }, staff))
}

fn pluck(score: &mut Score, place: Place, staff: Hand, pitches: &[Pitch]) -> bool {
    let Some(line) = line(score, place.measure, staff) else { return false };
    let Some(index) = line.iter().position(|n| n.at <= place.at && place.at < n.end()) else { return false };
    let old = line[index].clone();
    if old.tuplet.is_some() || old.tie.to_next || old.tie.from_before && old.at == place.at {
        return false;
    }
    let mut wanted: Vec<Pitch> = pitches.to_vec();
    if old.at == place.at {
        wanted.extend(&old.pitches);
    }
    wanted.sort_by_key(|p| (p.midi(), p.position()));
    wanted.dedup();
    let new = Note::of(place.at, old.end() - place.at, wanted);
    if old.at == place.at {
        line[index] = Note { decorations: old.decorations, ..new };
    } else {
        line[index].length = place.at - old.at;
        line.insert(index + 1, new);
    }
    true
}

fn slower(score: &mut Score, hundredths: i64) -> Option<bool> {
    let slow = |t: Tempo| Tempo::new(t.unit(), t.milli_per_minute() * hundredths / 100);
    score.tempo = slow(score.tempo)?;
    for tempo in score.measures.iter_mut().flat_map(|m| &mut m.frame.tempos) {
        tempo.1 = slow(tempo.1)?;
    }
    Some(true)
}

fn other_key(score: &mut Score, by: Interval) -> bool {
    for measure in &mut score.measures {
        measure.frame.key = measure.frame.key.up(by);
        for chord in &mut measure.frame.chords {
            chord.symbol = chord.symbol.up(by);
        }
        for note in measure.right.iter_mut().chain(&mut measure.left) {
            *note = note.up(by);
        }
        // Marks for the old key would be wrong in the new one.
        measure.marks.retain(|m| !matches!(m.mark, Mark::Lever(_) | Mark::Pedal(_) | Mark::Muffle(_)));
    }
    true
}
