//! Lines below the music laid on its notes: words (`w:`) and symbols (`s:`; ABC 2.1, 4.15 and chapter 5).

use super::super::lyrics::{self, Item, Slot, Word};
use super::super::signs::{self, Sign};
use super::super::{fields, text};
use super::{Voice, WordsBelow, add_jump, counted};
use crate::diagnostic::{Span, excerpt};
use music::PlacedChord;

/// The most lines of words under one line of music.
const MOST_LINES: u32 = 64;

impl Voice {
    /// The notes that a line of words or symbols belongs to. Lines that follow each other without music between have the same notes;
    /// else they
    /// begin at the first note after the ones that already had a line (5.1). Where several lines of music came since and the last of
    /// them is
    /// enough for so many notes (`reach`), the words belong to that one, as in files older than the standard.
    fn take_block(&mut self, reach: usize) -> Vec<Slot> {
        if self.words.lines > 0 {
            let mut block = std::mem::take(&mut self.words.slots);
            let last_line = block.len() - self.words.line_start.min(block.len());
            if self.words.lines > 1 && (1..=last_line).contains(&reach) {
                block.drain(..block.len() - last_line);
            }
            self.words = WordsBelow { block, ..WordsBelow::default() };
        }
        std::mem::take(&mut self.words.block)
    }

    /// A `w:` line: one more verse on its notes.
    pub fn lyrics(&mut self, line: &str, span: Span) {
        let items = lyrics::items(line);
        let slots = self.take_block(lyrics::reach(&items));
        if self.words.verse >= MOST_LINES {
            self.words.block = slots;
            self.remarks.warn(span, format!("of more than {MOST_LINES} lines of words under one line of music the others were left out"));
            return;
        }
        self.words.verse += 1;
        let aligned = lyrics::align(&items, &slots, self.words.verse);
        self.words.block = slots;
        if aligned.left_over > 0 {
            let message =
                counted(aligned.left_over as u32, "syllable has no note and was left out", "syllables have no notes and were left out");
            self.remarks.advise(span, message, "check the words against the notes above them");
        }
        for (slot, syllable) in aligned.syllables {
            if let Some(note) = self.note_at(slot) {
                note.syllables.push(syllable);
            }
        }
    }

    /// An `s:` line (4.15): decorations and chord symbols in a row, laid on the notes as words are.
    pub fn symbols(&mut self, line: &str, span: Span) {
        let items: Vec<Item> = fields::words(line)
            .into_iter()
            .flat_map(|word| {
                let steps = word.chars().all(|c| matches!(c, '*' | '|'));
                let step = |c: char| if c == '*' { Item::Skip } else { Item::Bar };
                if steps { word.chars().map(step).collect() } else { vec![Item::Syllable(word, Word::Ends)] }
            })
            .collect();
        let slots = self.take_block(lyrics::reach(&items));
        let aligned = lyrics::align(&items, &slots, 1);
        self.words.block = slots;
        if aligned.left_over > 0 {
            self.remarks.warn(
                span,
                counted(aligned.left_over as u32, "symbol has no note and was left out", "symbols have no notes and were left out"),
            );
        }
        for (slot, symbol) in aligned.syllables {
            self.symbol(slot, &symbol.text, span);
        }
    }

    fn symbol(&mut self, slot: Slot, symbol: &str, span: Span) {
        let Some(at) = self.note_at(slot).map(|n| n.at) else { return };
        let quoted = symbol.strip_prefix('"').and_then(|s| s.strip_suffix('"'));
        let parsed = quoted.map(|q| (q, crate::chord_text::parse(&text::clean(q))));
        let draft = if slot.0 == self.measures.len() { &mut self.draft } else { &mut self.measures[slot.0] };
        match parsed {
            Some((_, Ok(parsed))) => {
                self.has_chords = true;
                draft.measure.frame.chords.extend(parsed.symbols.into_iter().map(|symbol| PlacedChord::new(at, symbol)));
            }
            Some((words, Err(_))) => draft.measure.frame.words.push((at, text::clean(words.trim_start_matches(['^', '_', '<', '>', '@'])))),
            None => match signs::sign(symbol.trim_matches('!')) {
                Sign::Decoration(decoration) => draft.measure.notes[slot.1].decorations.push(decoration),
                Sign::Jump(jump) => add_jump(&mut draft.measure.frame, jump),
                Sign::Coda => draft.codas.push(at),
                _ => self
                    .remarks
                    .note(span, format!("the symbol \"{}\" does not stand in a line of symbols and was left out", excerpt(symbol))),
            },
        }
    }
}
