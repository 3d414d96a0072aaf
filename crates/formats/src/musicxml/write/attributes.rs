//! Key, time signature, staves and clefs, written where they change.

use super::xml::Xml;
use music::{Key, Meter, MeterSign, Mode, Pitch, Score, Step};

/// Writes what is new in this measure compared with the one before; all of it in the first.
pub fn write(xml: &mut Xml, score: &Score, index: usize, divisions: i64) {
    let frame = &score.measures[index].frame;
    let before = index.checked_sub(1).map(|i| &score.measures[i].frame);
    let key_is_new = before.is_none_or(|b| b.key != frame.key);
    let meter_is_new = before.is_none_or(|b| b.meter != frame.meter);
    if !key_is_new && !meter_is_new {
        return;
    }
    xml.within("attributes", &[], |xml| {
        if before.is_none() {
            xml.text("divisions", divisions);
        }
        if key_is_new {
            key(xml, &frame.key);
        }
        if meter_is_new {
            time(xml, &frame.meter);
        }
        if before.is_none() {
            xml.text("staves", 2);
            clef(xml, 1, Clef::Treble);
            clef(xml, 2, left_clef(score, 0));
        }
    });
}

/// At the end of a measure, after the left hand: the clef that holds from the next one on, where it is another.
pub fn clef_to_come(xml: &mut Xml, score: &Score, index: usize) {
    let next = index + 1;
    if next < score.measures.len() && opens_stretch(score, next) && left_clef(score, next) != left_clef(score, index) {
        xml.within("attributes", &[], |xml| clef(xml, 2, left_clef(score, next)));
    }
}

/// A plain signature by its fifths, any other letter by letter.
fn key(xml: &mut Xml, key: &Key) {
    let plain = (-7..=7).find(|fifths| Step::ALL.iter().all(|s| Key::new(*fifths, Mode::Other).alter(*s) == key.alter(*s)));
    xml.within("key", &[], |xml| match plain {
        Some(fifths) => {
            xml.text("fifths", fifths);
            if key.mode != Mode::Other {
                xml.text("mode", key.mode.name());
            }
        }
        None => {
            let sharps = Step::SHARPS.into_iter().filter(|s| key.alter(*s) > 0);
            let flats = Step::SHARPS.into_iter().rev().filter(|s| key.alter(*s) < 0);
            for step in sharps.chain(flats) {
                xml.text("key-step", step.letter());
                xml.text("key-alter", key.alter(step));
            }
        }
    });
}

fn time(xml: &mut Xml, meter: &Meter) {
    match meter.sign {
        MeterSign::Free => xml.within("time", &[("print-object", &"no")], |xml| xml.text("senza-misura", "")),
        MeterSign::Common => xml.within("time", &[("symbol", &"common")], |xml| numbers(xml, meter)),
        MeterSign::Cut => xml.within("time", &[("symbol", &"cut")], |xml| numbers(xml, meter)),
        MeterSign::Numbers => xml.within("time", &[], |xml| numbers(xml, meter)),
    }
}

fn numbers(xml: &mut Xml, meter: &Meter) {
    let groups: Vec<String> = meter.groups.iter().map(u32::to_string).collect();
    xml.text("beats", groups.join("+"));
    xml.text("beat-type", meter.unit);
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Clef {
    Treble,
    Bass,
}

/// A stretch begins in which the other hand has the melody.
fn opens_stretch(score: &Score, index: usize) -> bool {
    index == 0 || score.measures[index].melody != score.measures[index - 1].melody
}

/// One clef for the left hand through a stretch in which one hand has the melody: treble where most of its notes lie above middle C.
fn left_clef(score: &Score, index: usize) -> Clef {
    let middle_c = Pitch::new(Step::C, 0, 4).midi();
    let from = (0..=index).rev().find(|m| opens_stretch(score, *m)).unwrap_or(0);
    let to = (index + 1..score.measures.len()).find(|m| opens_stretch(score, *m)).unwrap_or(score.measures.len());
    let pitches = score.measures[from..to].iter().flat_map(|m| &m.left).flat_map(|n| &n.pitches);
    let (above, below): (Vec<&Pitch>, Vec<&Pitch>) = pitches.partition(|p| p.midi() > middle_c);
    if above.len() > below.len() { Clef::Treble } else { Clef::Bass }
}

fn clef(xml: &mut Xml, staff: u32, clef: Clef) {
    let (sign, line) = match clef {
        Clef::Treble => ("G", 2),
        Clef::Bass => ("F", 4),
    };
    xml.within("clef", &[("number", &staff)], |xml| {
        xml.text("sign", sign);
        xml.text("line", line);
    });
}
