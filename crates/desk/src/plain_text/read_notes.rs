//! The notes of one hand in one measure, from the words that `notes` makes of them.

use super::lengths::{self, Told, read_place};
use super::notes::{DECORATIONS, NOTHING, REST, Room};
use super::pitches;
use super::tokens::{Token, Tokens};
use music::{Beats, Bracket, Decoration, Grace, Note, Pitch, Tuplet, TupletEdge};

/// The notes of one hand. Errors: what was expected, and what stands there.
pub fn read(line: &str, room: Room) -> Result<Vec<Note>, String> {
    match line {
        NOTHING => return Ok(Vec::new()),
        REST => return Ok(vec![Note::rest(Beats::ZERO, room.length)]),
        _ => {}
    }
    let mut reading = Reading { tokens: Tokens::of(line)?, room, length: None, group: None, now: Beats::ZERO };
    let mut notes = Vec::new();
    loop {
        notes.push(reading.note()?);
        if reading.tokens.is_over() {
            return Ok(notes);
        }
        reading.comma()?;
    }
}

struct Reading<'a> {
    tokens: Tokens,
    room: Room<'a>,
    length: Option<Told>,
    group: Option<(u32, u32)>,
    now: Beats,
}

impl Reading<'_> {
    fn comma(&mut self) -> Result<(), String> {
        if self.tokens.sign(&Token::Comma) { Ok(()) } else { Err(self.tokens.expected("a comma")) }
    }

    /// A note with the grace notes before it.
    fn note(&mut self) -> Result<Note, String> {
        let mut note = Note::default();
        while let Some(grace) = self.grace(&mut note)? {
            note.grace.push(grace);
            self.comma()?;
        }
        note.at = self.now;
        if let Some(at) = read_place(&mut self.tokens, self.room.meter)? {
            if !self.tokens.sign(&Token::Colon) {
                return Err(self.tokens.expected("a colon"));
            }
            note.at = at;
        }
        let edge = self.group()?;
        self.length = lengths::read(&mut self.tokens)?.or(self.length);
        let told = self.length.ok_or_else(|| self.tokens.expected("a length"))?;
        note.length = self.sounding(told)?;
        note.tie.from_before = self.tokens.take("still");
        note.rolled = self.tokens.take("rolled");
        if !self.tokens.take("rest") {
            self.strings(&mut note)?;
        }
        while self.after(&mut note)? {}
        note.tuplet = self.group.map(|(actual, normal)| Tuplet { actual, normal, edge });
        if self.tokens.take("end") {
            self.end(&mut note)?;
        }
        self.now = note.end();
        Ok(note)
    }

    fn end(&mut self, note: &mut Note) -> Result<(), String> {
        let word = if self.group == Some((3, 2)) { "triplet" } else { "group" };
        let Some(tuplet) = note.tuplet.as_mut().filter(|t| t.edge == TupletEdge::Inside && self.tokens.take(word)) else {
            return Err(self.tokens.expected("the end of a group that was opened"));
        };
        tuplet.edge = TupletEdge::Stop;
        (self.group, self.length) = (None, None);
        Ok(())
    }

    /// A grace note, if one comes next; `note` is the one it stands before.
    fn grace(&mut self, note: &mut Note) -> Result<Option<Grace>, String> {
        let slashed = self.tokens.take("short");
        if !self.tokens.take("grace") {
            return if slashed { Err(self.tokens.expected("\"grace\"")) } else { Ok(None) };
        }
        let value = self.grace_value()?;
        let mut told = Note::default();
        self.strings(&mut told)?;
        told.unplayable.into_iter().for_each(|pitch| cannot_be_played(note, pitch));
        Ok(Some(Grace { pitches: told.pitches, value, slashed }))
    }

    fn grace_value(&mut self) -> Result<u32, String> {
        if let Some(told) = lengths::read(&mut self.tokens)? {
            // A value is the fraction of a whole note that it is.
            let (n, d) = told.beats().fraction();
            return u32::try_from(4 * d / n.max(1)).map_err(|_| "no such value of a grace note".to_owned());
        }
        if self.tokens.take("1 over") {
            let value = self.tokens.number().ok_or_else(|| self.tokens.expected("a number"))?;
            if self.tokens.take("of a whole") {
                return Ok(value);
            }
        }
        Err(self.tokens.expected("the value of a grace note"))
    }

    /// Whether a tuplet begins here, and which holds from here on.
    fn group(&mut self) -> Result<TupletEdge, String> {
        if self.tokens.take("no group") {
            (self.group, self.length) = (None, None);
            return Ok(TupletEdge::Inside);
        }
        let ratio = if self.tokens.take("triplet") {
            (3, 2)
        } else if self.tokens.take("group of") {
            let actual = self.tokens.number().ok_or_else(|| self.tokens.expected("a number"))?;
            if !self.tokens.take("in") {
                return Err(self.tokens.expected("\"in\""));
            }
            (actual, self.tokens.number().ok_or_else(|| self.tokens.expected("a number"))?)
        } else {
            return Ok(TupletEdge::Inside);
        };
        (self.group, self.length) = (Some(ratio), None);
        Ok(if self.tokens.take("goes on") { TupletEdge::Inside } else { TupletEdge::Start })
    }

    fn sounding(&self, told: Told) -> Result<Beats, String> {
        match (told, self.group) {
            (Told::Fraction(beats), _) | (Told::Values(beats), None) => Ok(beats),
            (Told::Values(beats), Some((actual, normal))) => {
                let shortened = beats.scaled(i64::from(normal), i64::from(actual));
                shortened.ok_or_else(|| format!("no such length in a group of {actual} in {normal}"))
            }
        }
    }

    fn strings(&mut self, note: &mut Note) -> Result<(), String> {
        loop {
            let pitch = pitches::read(&mut self.tokens)?.ok_or_else(|| self.tokens.expected("a note"))?;
            note.pitches.push(pitch);
            if self.tokens.take("unplayable") {
                cannot_be_played(note, pitch);
            }
            if self.tokens.take("finger") {
                note.fingers.push(self.tokens.number().ok_or_else(|| self.tokens.expected("a finger"))?);
            }
            if !self.tokens.take("and") {
                return Ok(());
            }
        }
    }

    /// One thing that belongs to a note, if one comes next.
    fn after(&mut self, note: &mut Note) -> Result<bool, String> {
        let tokens = &mut self.tokens;
        if tokens.take("tied on") {
            note.tie.to_next = true;
        } else if tokens.take("slur ends") {
            note.slurs_stop += 1;
        } else if tokens.take("slur begins") {
            note.slurs_start += 1;
        } else if tokens.take("place") {
            note.bracket = Bracket::Begins;
        } else if tokens.take("placed") {
            note.bracket = Bracket::Ends;
        } else if tokens.take("dynamic") {
            note.decorations.push(Decoration::Dynamic(tokens.quote().ok_or_else(|| tokens.expected("a text in quotes"))?));
        } else if tokens.take("sign") {
            note.decorations.push(Decoration::Other(tokens.quote().ok_or_else(|| tokens.expected("a text in quotes"))?));
        } else if let Some((decoration, _)) = DECORATIONS.iter().find(|(_, words)| tokens.take(words)) {
            note.decorations.push(decoration.clone());
        } else {
            return Ok(false);
        }
        Ok(true)
    }
}

fn cannot_be_played(note: &mut Note, pitch: Pitch) {
    if !note.unplayable.contains(&pitch) {
        note.unplayable.push(pitch);
    }
}

#[cfg(test)]
mod tests {
    use super::super::notes::notes;
    use super::*;
    use music::{Meter, text};

    #[test]
    fn what_was_told_comes_back() {
        let meter = Meter::simple(4, 4);
        let room = Room { meter: &meter, length: Beats::WHOLE };
        for line in ["C4:1 D4:1 E4:2", "r:1 [C3+G3]:1 r:1 F#3:1/2 G3:1/2", "~[C3+E3+G3]:4", "r:4", "r:2 r:3/2 Ab4:1/2", "C4:5/2 C4:3/2"] {
            let written = text::notes(line);
            assert_eq!(read(&notes(&written, room), room), Ok(written), "{line}");
        }
    }

    #[test]
    fn what_is_none_is_said() {
        let meter = Meter::simple(4, 4);
        let room = Room { meter: &meter, length: Beats::WHOLE };
        for (line, why) in [
            ("C4", "expected a length, found \"C4\""),
            ("quarter", "expected a note, found the end of the line"),
            ("quarter C4 D4", "expected a comma, found \"D4\""),
            ("quarter H4", "expected a note, found \"H4\""),
            ("quarter C4 end triplet", "expected the end of a group that was opened, found \"triplet\""),
            ("beat 2 quarter C4", "expected a colon, found \"quarter\""),
        ] {
            assert_eq!(read(line, room).err().as_deref(), Some(why), "{line}");
        }
    }
}
