//! What stands at notes and bars: decorations, chord symbols, words above the staff (ABC 2.1, 4.14 to 4.19).

use super::super::signs::{self, Sign};
use super::super::text;
use super::{Voice, add_jump};
use crate::diagnostic::Span;
use music::{Decoration, Jump, Note, PlacedChord};

impl Voice {
    /// Signs that waited for this note.
    pub(super) fn sign_note(&mut self, note: &mut Note) {
        let at = note.at;
        for sign in std::mem::take(&mut self.signs) {
            match sign {
                Sign::Decoration(decoration) => note.decorations.push(decoration),
                Sign::Rolled => note.rolled = note.pitches.len() > 1,
                Sign::Finger(finger) if note.pitches.len() == 1 && note.fingers.is_empty() => note.fingers.push(finger),
                Sign::Finger(finger) => note.decorations.push(Decoration::Other(finger.to_string())),
                Sign::Coda => self.draft.codas.push(at),
                Sign::Jump(jump) => add_jump(&mut self.draft.measure.frame, jump),
                Sign::Nothing => {}
            }
        }
    }

    /// Signs that wait when a bar comes: the ones for places wait on, the others belong to what ends here.
    pub(super) fn signs_at_bar(&mut self) {
        let (at, empty) = (self.at, self.measure_is_empty());
        for sign in std::mem::take(&mut self.signs) {
            match sign {
                Sign::Jump(Jump::Segno) => self.signs.push(sign),
                Sign::Coda if empty => self.signs.push(sign),
                Sign::Coda => self.draft.codas.push(at),
                Sign::Jump(jump) => {
                    let draft = if empty { self.measures.last_mut() } else { Some(&mut self.draft) };
                    draft.into_iter().for_each(|d| add_jump(&mut d.measure.frame, jump));
                }
                Sign::Decoration(decoration) => self.last_note().into_iter().for_each(|n| n.decorations.push(decoration.clone())),
                Sign::Rolled | Sign::Finger(_) | Sign::Nothing => {}
            }
        }
    }

    /// Text in quotes: a chord symbol, or an annotation if it begins with one of `^ _ < > @` (4.18, 4.19).
    pub(super) fn quoted(&mut self, text: &str, span: Span) {
        if let Some(annotation) = text.strip_prefix(['^', '_', '<', '>', '@']) {
            let annotation = if text.starts_with('@') { after_place(annotation) } else { annotation };
            return self.annotation(&text::clean(annotation));
        }
        match crate::chord_text::parse(&text::clean(text)) {
            Ok(parsed) => {
                for note in parsed.notes {
                    self.remarks.note(span, note);
                }
                self.has_chords = true;
                if self.chords.len() < 16 {
                    self.chords.extend(parsed.symbols);
                }
            }
            Err(error) => {
                let words = text::clean(text);
                // Numbers are fingerings, written as words for want of a sign.
                let plain = words.chars().all(|c| c.is_ascii_digit() || "()-, ".contains(c));
                if !plain && signs::jump(&words).is_none() {
                    self.remarks.note(span, format!("{error}; it is kept as words above the staff"));
                }
                self.annotation(&words);
            }
        }
    }

    pub(super) fn annotation(&mut self, words: &str) {
        if words.trim().is_empty() {
            return;
        }
        match signs::jump(words) {
            Some(sign) => self.signs.push(sign),
            None => self.draft.measure.frame.words.push((self.at, words.trim().to_owned())),
        }
    }

    /// Chord symbols that wait come to stand at the note; several stand there together, in their order.
    pub(super) fn place_chords(&mut self, span: Span) {
        let chords = std::mem::take(&mut self.chords);
        if chords.len() > 1 {
            self.remarks.note(span, format!("{} chord symbols stand at one note", chords.len()));
        }
        let at = self.at;
        self.draft.measure.frame.chords.extend(chords.into_iter().map(|symbol| PlacedChord::new(at, symbol)));
    }
}

/// `@10,-5 text`: the place on the page is left out.
fn after_place(text: &str) -> &str {
    text.trim_start_matches(|c: char| c.is_ascii_digit() || ",.- ".contains(c))
}
