//! Metronome marks and playing tempi.

use super::element::{Element, child, child_text, children, decimal, has, text};
use super::note::{dotted, type_length};
use super::remarks::Remarks;
use music::{Beats, Meter, Tempo};

/// The metronome mark in a direction: a note value and a number ("c. 108" and "100-120" give their first number).
pub fn printed(direction: Element, remarks: &mut Remarks) -> Option<Tempo> {
    let mut marks = children(direction, "direction-type").flat_map(|d| children(d, "metronome"));
    let mark = marks.next()?;
    if !has(mark, "per-minute") {
        remarks.note(mark, "a tempo mark that sets one note value against another is left out", "");
        return None;
    }
    let made = per_minute(mark);
    if made.is_none() {
        remarks.warn(mark, "a tempo mark that cannot be read is left out", "a note value and 4 to 1000 a minute are expected");
    }
    made
}

fn per_minute(mark: Element) -> Option<Tempo> {
    let unit = dotted(type_length(&child_text(mark, "beat-unit")?)?, children(mark, "beat-unit-dot").count())?;
    let number = text(child(mark, "per-minute")?).replace(',', ".");
    let mut pieces = number.split(|c: char| !c.is_ascii_digit() && c != '.').map(|p| p.trim_matches('.'));
    Tempo::new(unit, thousandths(pieces.find(|p| !p.is_empty())?)?)
}

/// The `tempo` of a `sound` element: quarter notes a minute.
pub fn played(sound: Element) -> Option<Tempo> {
    Tempo::new(Beats::QUARTER, thousandths(sound.attribute("tempo")?)?)
}

fn thousandths(number: &str) -> Option<i64> {
    let (above, below) = decimal(number)?;
    Some((above.checked_mul(1000)? + below / 2) / below)
}

/// A playing tempo in quarters, counted in the meter's own beat where that comes out even: 180 quarters in six-eight are 120 dotted quarters.
pub fn in_beats_of(meter: &Meter, tempo: Tempo) -> Tempo {
    let beat = meter.beat();
    let (above, below) = beat.fraction();
    let counted = tempo.milli_per_minute() * below;
    if tempo.unit() != Beats::QUARTER || !meter.is_compound() || counted % above != 0 {
        return tempo;
    }
    Tempo::new(beat, counted / above).unwrap_or(tempo)
}
