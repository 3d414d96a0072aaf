//! A tempo as it is typed: beats a minute, or a note value and how many a minute.

use crate::failure::Failure;
use harmony::kind::main_meter;
use music::{Beats, LeadSheet, Meter, Tempo};

/// "88" counts the meter's beat (a dotted quarter in 6/8); "1/2=88" and "3/8=100" name the note value.
pub fn tempo(text: &str, sheet: &LeadSheet) -> Result<Tempo, Failure> {
    let wrong =
        || Failure::wrong(format!("tempo \"{text}\": expected beats a minute like 88, or a note value with it like 1/2=88 or 3/8=100"));
    let (unit, number) = match text.split_once('=') {
        Some((value, number)) => (note_value(value).ok_or_else(wrong)?, number),
        None => (main_meter(sheet).unwrap_or_else(|| Meter::simple(4, 4)).beat(), text),
    };
    let number = number.trim().parse().map_err(|_| wrong())?;
    Tempo::of(unit, number)
        .ok_or_else(|| Failure::wrong(format!("tempo \"{text}\": expected 4 to 1000 a minute, of a note value from 1/64 to 4/1")))
}

fn note_value(text: &str) -> Option<Beats> {
    let (above, below) = text.trim().split_once('/')?;
    Beats::whole(above.trim().parse().ok()?, below.trim().parse().ok()?)
}

/// "quarter note = 88", "dotted quarter note = 100"; values without a name as a fraction of a whole note.
pub fn in_words(tempo: Tempo) -> String {
    let names =
        [("whole note", Beats::WHOLE), ("half note", Beats::HALF), ("quarter note", Beats::QUARTER), ("eighth note", Beats::EIGHTH)];
    let named = names.iter().find_map(|(name, length)| {
        let dotted = *length + length.scaled(1, 2)?;
        (tempo.unit() == *length).then(|| (*name).to_owned()).or_else(|| (tempo.unit() == dotted).then(|| format!("dotted {name}")))
    });
    format!("{} = {}", named.unwrap_or_else(|| format!("{} note", value(tempo.unit()))), number(tempo.milli_per_minute()))
}

/// A length as a fraction of a whole note: "3/8".
pub fn value(length: Beats) -> String {
    let (above, below) = length.scaled(1, 4).map_or_else(|| length.fraction(), Beats::fraction);
    format!("{above}/{below}")
}

/// Thousandths as a number with no more places than it needs: "88", "92.5".
pub fn number(thousandths: i64) -> String {
    let text = format!("{}.{:03}", thousandths / 1000, thousandths % 1000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, meter: &str) -> String {
        let sheet = music::text::sheet(&format!("{meter} C | C4:3 |"));
        match tempo(text, &sheet) {
            Ok(tempo) => in_words(tempo),
            Err(failure) => failure.to_string(),
        }
    }

    #[test]
    fn tempi_as_they_are_typed() {
        assert_eq!(check("88", "3/4"), "quarter note = 88");
        assert_eq!(check("100", "6/8"), "dotted quarter note = 100");
        assert_eq!(check("1/2=92", "4/4"), "half note = 92");
        assert_eq!(check("fast", "4/4"), "tempo \"fast\": expected beats a minute like 88, or a note value with it like 1/2=88 or 3/8=100");
        assert_eq!(check("2", "4/4"), "tempo \"2\": expected 4 to 1000 a minute, of a note value from 1/64 to 4/1");
        assert_eq!(number(92_500), "92.5");
    }
}
