//! How many chords a measure has room for.

use music::{Beats, Clock, Frame, LeadSheet, Place, Seconds};

/// One entry a measure. A pickup, and the short measure that completes it at the end, count as full ones: a close in it keeps both its chords.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pace {
    /// The most chords that begin in it.
    pub most: Vec<usize>,
    /// How long a chord should last there.
    pub needs: Vec<Seconds>,
}

impl Pace {
    /// What a player has time for who needs so long for a chord: as many as go into the measure at its tempo, and fewer than it has beats. Where a beat lasts
    /// half as long again as a chord needs, one beat goes without; else every second one, in common practice the strong ones. Two are never too many by this.
    pub fn of_player(sheet: &LeadSheet, clock: &Clock, needs: Seconds) -> Pace {
        let most = lasting(sheet, clock).map(|(frame, lasts)| {
            let length = frame.length.max(frame.meter.length());
            let beats = length.div_floor(frame.meter.beat()).max(1);
            let lasts = lasts.micros() * length.thousandths_of(frame.length) / 1000;
            let slow = lasts * 2 >= needs.micros() * 3 * beats;
            let by_beats = if slow { beats - 1 } else { (beats + 1) / 2 };
            (lasts / needs.micros().max(1)).min(by_beats.max(2)).max(1) as usize
        });
        Pace { most: most.collect(), needs: vec![needs; sheet.measures.len()] }
    }

    /// As many as she wishes; a measure that is longer than its meter has its share of more.
    pub fn wished(sheet: &LeadSheet, clock: &Clock, most: usize) -> Pace {
        let share = |frame: &Frame| (most as i64 * frame.length.thousandths_of(frame.meter.length()) + 999) / 1000;
        let most: Vec<usize> = sheet.measures.iter().map(|m| share(&m.frame).max(most as i64) as usize).collect();
        let needs = lasting(sheet, clock).zip(&most).map(|((_, lasts), most)| Seconds::from_micros(lasts.micros() / *most as i64));
        Pace { needs: needs.collect(), most }
    }
}

/// Each measure and how long it lasts.
fn lasting<'a>(sheet: &'a LeadSheet, clock: &'a Clock) -> impl Iterator<Item = (&'a Frame, Seconds)> {
    sheet.measures.iter().enumerate().map(|(measure, m)| {
        let from = clock.beats(Place { measure, at: Beats::ZERO });
        (&m.frame, clock.between(from, from + m.frame.length))
    })
}
