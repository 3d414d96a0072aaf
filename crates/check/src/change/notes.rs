//! Changes of one note: another pitch, another length, plucked once more, another finger; and another place for the mark of a lever or pedal.

use super::{each_tied, index_at, line, plucked};
use music::{Beats, Clock, Hand, Mark, Note, Pitch, Place, Score};

/// Puts another pitch in place of one; nothing where the staff has that pitch at this place already.
pub fn becomes(score: &mut Score, place: Place, staff: Hand, (pitch, to): (Pitch, Pitch)) -> bool {
    let there = plucked(score, place, staff).is_some_and(|all| all.contains(&to));
    !there && each_tied(score, place, staff, pitch, |_| Some(to))
}

/// Gives a note another length. A longer one takes the time of the rests that follow it in its measure and ends where something is plucked.
pub fn lasts(score: &mut Score, place: Place, staff: Hand, length: Beats) -> Option<bool> {
    plucked(score, place, staff)?;
    let index = index_at(score, place, staff)?;
    let line = line(score, place.measure, staff)?;
    let note = &line[index];
    if note.tuplet.is_some() || note.tie.to_next || note.tie.from_before || length <= Beats::ZERO {
        return None;
    }
    let rests = line[index + 1..].iter().take_while(|n| n.is_rest() && n.tuplet.is_none()).count();
    let free = line[index + rests].end();
    let end = place.at + length;
    if end > free {
        return None;
    }
    line[index].length = length;
    let rest = Note::rest(end, free - end);
    line.splice(index + 1..=index + rests, (end < free).then_some(rest));
    Some(true)
}

/// Plucks a note again after a while; the two have its time between them.
pub fn split(score: &mut Score, place: Place, staff: Hand, after: Beats) -> Option<bool> {
    plucked(score, place, staff)?;
    let index = index_at(score, place, staff)?;
    let line = line(score, place.measure, staff)?;
    let note = &mut line[index];
    if note.tuplet.is_some() || note.tie.to_next || after <= Beats::ZERO || after >= note.length {
        return None;
    }
    let again = Note { rolled: note.rolled, ..Note::of(note.at + after, note.length - after, note.pitches.clone()) };
    note.length = after;
    line.insert(index + 1, again);
    Some(true)
}

/// Wishes a finger for a pitch.
pub fn finger(score: &mut Score, place: Place, staff: Hand, (pitch, finger): (Pitch, u8)) -> Option<bool> {
    plucked(score, place, staff)?.contains(&pitch).then_some(())?;
    let index = index_at(score, place, staff)?;
    let note = line(score, place.measure, staff)?.get_mut(index)?;
    note.own_fingers.retain(|(own, _)| *own != pitch);
    note.own_fingers.push((pitch, finger));
    Some((1..=4).contains(&finger))
}

/// Takes the nearest mark of this kind and puts it here.
pub fn move_mark(score: &mut Score, place: Place, mark: &Mark) -> Option<bool> {
    let length = score.measures.get(place.measure)?.frame.length;
    let (measure, index) = nearest(score, place, mark)?;
    if place.at >= length {
        return None;
    }
    let mut moved = score.measures[measure].marks.remove(index);
    moved.at = place.at;
    let marks = &mut score.measures[place.measure].marks;
    let after = marks.partition_point(|m| m.at <= place.at);
    marks.insert(after, moved);
    Some(true)
}

/// Measure and index of the mark that stands nearest to a place.
fn nearest(score: &Score, place: Place, mark: &Mark) -> Option<(usize, usize)> {
    let clock = Clock::of_score(score);
    let here = clock.beats(place);
    let all = score.measures.iter().enumerate().flat_map(|(measure, m)| {
        let own = m.marks.iter().enumerate().filter(|(_, m)| m.mark == *mark);
        own.map(move |(index, m)| (Place { measure, at: m.at }, index))
    });
    let far = |at: Place| {
        let at = clock.beats(at);
        if at > here { at - here } else { here - at }
    };
    all.min_by_key(|(at, _)| (far(*at), *at)).map(|(at, index)| (at.measure, index))
}

#[cfg(test)]
mod tests {
    use crate::Change;
    use music::{Beats, Hand, Pitch, Place, Score};

    fn left(score: &Score) -> String {
        let note = |n: &music::Note| {
            let names: Vec<String> = n.pitches.iter().map(Pitch::to_string).collect();
            format!("{}:{}", if names.is_empty() { "r".into() } else { names.join("+") }, n.length)
        };
        score.measures[0].left.iter().map(note).collect::<Vec<_>>().join(" ")
    }

    fn pitch(name: &str) -> Pitch {
        Pitch::parse(name).expect("a pitch")
    }

    /// Each change of a measure of four beats, counted out by hand.
    #[test]
    fn notes_are_changed_one_by_one() {
        let page = music::text::page(&[("C6:4", "C3:1 G3:1 C4:2")], 80);
        let first = Place { measure: 0, at: Beats::ZERO };
        let third = Place { measure: 0, at: Beats::QUARTER * 2 };
        let staff = Hand::Left;
        let after = |change: Change| change.apply(&page).as_ref().map(left);
        let becomes = |to: &str| Change::Becomes { place: first, staff, pitch: pitch("C3"), to: pitch(to) };
        assert_eq!(after(becomes("D3")).as_deref(), Some("D3:1 G3:1 C4:2"));
        assert_eq!(after(Change::Lasts { place: third, staff, length: Beats::QUARTER }).as_deref(), Some("C3:1 G3:1 C4:1 r:1"));
        assert_eq!(after(Change::Lasts { place: first, staff, length: Beats::QUARTER * 2 }), None, "G3 is plucked there");
        assert_eq!(after(Change::Split { place: third, staff, after: Beats::QUARTER }).as_deref(), Some("C3:1 G3:1 C4:1 C4:1"));
        assert_eq!(after(Change::Split { place: first, staff, after: Beats::QUARTER }), None, "no time is left for it");
        let own = Change::Finger { place: first, staff, pitch: pitch("C3"), finger: 2 }.apply(&page).expect("C3 is there");
        assert_eq!(own.measures[0].left[0].own_fingers, [(pitch("C3"), 2)]);
        assert!(Change::Finger { place: first, staff, pitch: pitch("E3"), finger: 2 }.apply(&page).is_none(), "no E3 is there");
    }

    /// A note that was made shorter can have its time again.
    #[test]
    fn a_longer_note_takes_the_rests_after_it() {
        let page = music::text::page(&[("C6:4", "C3:1 r:1 C4:2")], 80);
        let place = Place { measure: 0, at: Beats::ZERO };
        let longer = |length| Change::Lasts { place, staff: Hand::Left, length }.apply(&page).as_ref().map(left);
        assert_eq!(longer(Beats::QUARTER * 2).as_deref(), Some("C3:2 C4:2"));
        assert_eq!(longer(Beats::QUARTER + Beats::EIGHTH).as_deref(), Some("C3:3/2 r:1/2 C4:2"));
    }
}
