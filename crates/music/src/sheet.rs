//! The lead sheet: one melody with chord symbols, as it was read.

use crate::chord::Harmony;
use crate::measure::Frame;
use crate::note::Note;
use crate::pitch::Interval;
use crate::time::{Beats, Tempo};

/// A melody with chord symbols.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct LeadSheet {
    /// Title, names, verses.
    pub words: Words,
    /// The tempo the source gives, if it does.
    pub tempo: Option<Tempo>,
    /// In written order.
    pub measures: Vec<SheetMeasure>,
}

/// What is printed about a tune.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Words {
    /// Empty where the source has none.
    pub title: String,
    /// Further titles, a line each.
    pub subtitles: Vec<String>,
    /// Who made the music.
    pub composer: Option<String>,
    /// Who made the words.
    pub lyricist: Option<String>,
    /// Where it comes from: a country, a region.
    pub origin: Option<String>,
    /// The kind of tune in the source's own word: "jig", "waltz".
    pub rhythm: Option<String>,
    /// Tempo in words: "slow and free".
    pub tempo_words: Option<String>,
    /// Where it was found: a book, a player.
    pub source: Option<String>,
    /// What the source says of rights, as it stands there.
    pub rights: Option<String>,
    /// Verses printed below the music, a line each; an empty line parts verses.
    pub verses: Vec<String>,
    /// Printed at the foot: what a sign on the page means.
    pub signs: Vec<String>,
}

/// One measure of the melody. The notes are in order and fill the measure without gaps or overlaps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetMeasure {
    /// Number, meter, key, bar lines, chords.
    pub frame: Frame,
    /// The melody.
    pub notes: Vec<Note>,
}

impl LeadSheet {
    /// Where each measure starts when the measures are laid end to end as written.
    pub fn starts(&self) -> Vec<Beats> {
        let mut at = Beats::ZERO;
        self.measures
            .iter()
            .map(|m| {
                let start = at;
                at += m.frame.length;
                start
            })
            .collect()
    }

    /// Whether any chord symbol names a chord.
    pub fn has_chords(&self) -> bool {
        self.measures.iter().flat_map(|m| &m.frame.chords).any(|c| matches!(c.symbol.harmony, Harmony::Chord(_)))
    }

    /// Whether anything is sung.
    pub fn has_syllables(&self) -> bool {
        self.measures.iter().flat_map(|m| &m.notes).any(|n| !n.syllables.is_empty())
    }

    /// The tempo that its source gives at the first note.
    pub fn opening_tempo(&self) -> Option<Tempo> {
        let marks = self.measures.first().map_or(&[][..], |m| &m.frame.tempos);
        marks.iter().rfind(|mark| mark.0.is_zero()).map(|mark| mark.1).or(self.tempo)
    }

    /// Sets the tempo at the first note, which was `from`, to `to`; every later mark keeps its proportion to it.
    pub fn set_opening_tempo(&mut self, from: Tempo, to: Tempo) {
        self.tempo = Some(to);
        if let Some(first) = self.measures.first_mut() {
            first.frame.tempos.retain(|mark| !mark.0.is_zero());
        }
        for mark in self.measures.iter_mut().flat_map(|m| &mut m.frame.tempos).filter(|_| from != to) {
            mark.1 = mark.1.in_proportion(from, to);
        }
    }

    /// The whole tune moved by an interval: notes, chords and keys.
    ///
    /// ```
    /// use music::{Interval, text};
    ///
    /// // Common practice: from G a whole step up is A, and its D7 becomes E7.
    /// let tune = text::sheet(r#"3/4 G | "D7"F#4:3 | "G"G4:3 |"#);
    /// let higher = tune.up(Interval::new(1, 2));
    /// assert_eq!(higher.measures[0].frame.key.to_string(), "A major");
    /// assert_eq!(higher.measures[0].frame.chords[0].symbol.source, "E7");
    /// assert_eq!(text::show(&higher.measures[0].notes), "G#4:3");
    /// ```
    pub fn up(&self, interval: Interval) -> LeadSheet {
        let measures = self
            .measures
            .iter()
            .map(|m| {
                let mut frame = m.frame.clone();
                frame.key = frame.key.up(interval);
                for chord in &mut frame.chords {
                    chord.symbol = chord.symbol.up(interval);
                }
                SheetMeasure { frame, notes: m.notes.iter().map(|n| n.up(interval)).collect() }
            })
            .collect();
        LeadSheet { measures, ..self.clone() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::sheet;

    /// Arithmetic: with 120 wished for 100, 50 becomes 60 and 75 becomes 90. A mark at the first note is the opening tempo.
    #[test]
    fn a_wished_tempo_scales_the_marks() {
        let quarters = |n: i64| Tempo::of(Beats::QUARTER, n).expect("in range");
        let mut tune = sheet("4/4 C | C5:4 | C5:4 |");
        tune.tempo = Some(quarters(80));
        assert_eq!(tune.opening_tempo(), Some(quarters(80)));
        tune.measures[0].frame.tempos = vec![(Beats::ZERO, quarters(100)), (Beats::HALF, quarters(50))];
        tune.measures[1].frame.tempos = vec![(Beats::ZERO, quarters(75))];
        assert_eq!(tune.opening_tempo(), Some(quarters(100)));
        tune.set_opening_tempo(quarters(100), quarters(120));
        assert_eq!((tune.tempo, tune.opening_tempo()), (Some(quarters(120)), Some(quarters(120))));
        let marks: Vec<(Beats, Tempo)> = tune.measures.iter().flat_map(|m| m.frame.tempos.clone()).collect();
        assert_eq!(marks, [(Beats::HALF, quarters(60)), (Beats::ZERO, quarters(90))]);
    }

    #[test]
    fn a_chord_keeps_its_origin_in_another_key() {
        use crate::measure::ChordOrigin;
        let mut tune = sheet(r#"4/4 C | "C"C5:4 |"#);
        assert_eq!(tune.measures[0].frame.chords[0].origin, ChordOrigin::Source);
        tune.measures[0].frame.chords[0].origin = ChordOrigin::Ours;
        let moved = tune.up(Interval::new(1, 2));
        let chord = &moved.measures[0].frame.chords[0];
        assert_eq!((chord.symbol.harmony.to_string().as_str(), chord.origin), ("D", ChordOrigin::Ours));
    }
}
