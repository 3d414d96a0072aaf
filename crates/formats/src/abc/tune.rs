//! One tune: its header, then its body, voice by voice, into a lead sheet; [`parts`] chooses the voice, [`together`] keeps them all.

mod parts;
mod together;

use super::fields;
use super::finish;
use super::keys;
use super::remarks::Remarks;
use super::scan::{self, Placed, Token};
use super::signs;
use super::text;
use super::tunes::{Line, Piece, TuneText, pieces};
use super::voice::{Reach, Voice, VoiceSettings};
use crate::bounds;
use crate::diagnostic::{Diagnostic, Severity, Span, excerpt};
use crate::read::{Imported, ImportedVoices, MOST_WRITTEN, ReadError, ReadOptions};
use music::{Beats, Key, LeadSheet, Tempo, Words};
use std::collections::BTreeMap;

/// The most voices of a tune.
const MOST_VOICES: usize = 64;
/// The most characters that macros may put into a tune in all.
const MOST_BY_MACROS: usize = 1_000_000;

#[derive(Clone, Copy, PartialEq, Eq)]
enum Stage {
    FileHeader,
    Header,
    Body,
}

struct Tune {
    stage: Stage,
    words: Words,
    settings: VoiceSettings,
    unit: Option<Beats>,
    tempo: Option<Tempo>,
    /// Tempo fields of the header, which can only be read once the unit is known.
    tempos: Vec<(String, Span)>,
    declared: Vec<(String, Span)>,
    voices: Vec<Voice>,
    current: usize,
    /// The voice that the body has named; before that, fields hold for all voices.
    named: Named,
    symbols: BTreeMap<char, String>,
    macros: Vec<(String, String)>,
    /// How many characters macros have put into the tune so far.
    by_macros: usize,
    remarks: Remarks,
    composers: Vec<String>,
    last: Span,
}

/// Whether the body has named a voice yet.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Named {
    NotYet,
    Yes,
}

/// The place of a whole line.
fn line_span(line: Line) -> Span {
    Span { line: line.number, column: 1, width: line.text.chars().count().max(1) as u32 }
}

/// Reads one tune.
pub fn read(header: &[Line], tune: &TuneText, options: &ReadOptions) -> Result<Imported, ReadError> {
    walked(header, tune)?.into_imported(options)
}

/// Reads all voices of one tune.
pub fn read_voices(header: &[Line], tune: &TuneText) -> Result<ImportedVoices, ReadError> {
    walked(header, tune)?.into_voices()
}

fn walked(header: &[Line], tune: &TuneText) -> Result<Tune, ReadError> {
    let mut reader = Tune::new();
    for piece in pieces(header) {
        reader.header_piece(&piece);
    }
    reader.stage = Stage::Header;
    for piece in pieces(&tune.lines) {
        match reader.stage {
            Stage::Body => reader.body_piece(&piece),
            _ => reader.header_piece(&piece),
        }
        if let Some(failed) = reader.failed() {
            return Err(ReadError::Unusable(failed));
        }
    }
    reader.rest(&tune.after);
    Ok(reader)
}

impl Tune {
    fn new() -> Tune {
        let settings =
            VoiceSettings { meter: fields::free_meter(), unit: Beats::EIGHTH, key: Key::C_MAJOR, octaves: 0, reach: Reach::Measure };
        Tune {
            stage: Stage::FileHeader,
            words: Words::default(),
            settings,
            unit: None,
            tempo: None,
            tempos: Vec::new(),
            declared: Vec::new(),
            voices: Vec::new(),
            current: 0,
            named: Named::NotYet,
            symbols: signs::shorthands(),
            macros: Vec::new(),
            by_macros: 0,
            remarks: Remarks::default(),
            composers: Vec::new(),
            last: Span { line: 1, column: 1, width: 1 },
        }
    }

    /// A limit that was passed, by one voice or by all together.
    fn failed(&self) -> Option<Diagnostic> {
        let all: usize = self.voices.iter().map(Voice::size).sum();
        let too_many = || {
            let message = format!("the tune has more than {MOST_WRITTEN} notes in all its voices, the most that is read");
            Diagnostic { severity: Severity::Error, span: self.last, message, hint: Some("leave part of the tune out".into()) }
        };
        self.voices.iter().find_map(|v| v.failed.clone()).or_else(|| (all > MOST_WRITTEN).then(too_many))
    }

    fn header_piece(&mut self, piece: &Piece) {
        match piece {
            Piece::Directive { text, .. } => self.directive(text),
            Piece::Field { letter, value, line } => self.header_field(*letter, value, line_span(*line)),
            // Free text may stand before the first tune (2.2.3).
            Piece::Music { .. } if self.stage == Stage::FileHeader => {}
            Piece::Music { text, line } if text.contains('|') => {
                self.remarks.warn(line_span(*line), "music begins before the key field \"K:\": C major was assumed");
                self.begin_body();
                self.body_piece(piece);
            }
            Piece::Music { line, .. } => {
                self.remarks.warn(line_span(*line), "a line that is no field stands in the header and was left out");
            }
        }
    }

    fn header_field(&mut self, letter: char, value: &str, span: Span) {
        match letter {
            'X' => {}
            'M' => match fields::meter(value) {
                Ok(meter) => self.settings.meter = meter,
                Err(message) => self.remarks.warn(span, message),
            },
            'L' => match fields::unit(value) {
                Ok(unit) => self.unit = Some(unit),
                Err(message) => self.remarks.warn(span, message),
            },
            'Q' => self.tempos.push((value.to_owned(), span)),
            'V' => self.declared.push((value.to_owned(), span)),
            'K' if self.stage == Stage::FileHeader => {}
            'K' => {
                self.key(value, span);
                self.begin_body();
            }
            // The Nottingham database writes the order of parts as "Y:AABA".
            'P' | 'Y' if !value.is_empty() => {
                let message = format!("the order of parts \"{}\" is not followed: the parts stand as written, each once", excerpt(value));
                self.remarks.note(span, message);
            }
            'w' | 's' => self.remarks.warn(span, "words for notes stand before the music and were left out"),
            _ => self.text_field(letter, value, span),
        }
    }

    /// Fields that only say something about the tune, in the header or the body.
    fn text_field(&mut self, letter: char, value: &str, span: Span) {
        let cleaned = text::clean(value);
        let add = |to: &mut Option<String>| match to {
            Some(before) => *before = text::joined(&[before.as_str(), &cleaned]),
            None => *to = Some(cleaned.clone()),
        };
        match letter {
            'W' if self.words.verses.len() < 10_000 => self.words.verses.push(cleaned),
            _ if cleaned.is_empty() => {}
            'T' if self.words.title.is_empty() => self.words.title = cleaned,
            'T' => self.words.subtitles.push(cleaned),
            'C' if cleaned.to_lowercase().starts_with("copyright") => add(&mut self.words.rights),
            'C' => self.composers.push(cleaned),
            'O' | 'A' => add(&mut self.words.origin),
            'R' => self.words.rhythm = Some(cleaned),
            'S' => add(&mut self.words.source),
            'I' => self.directive(value),
            'U' => match signs::definition(value) {
                Some((letter, name)) => drop(self.symbols.insert(letter, name)),
                None => {
                    let value = excerpt(value);
                    self.remarks.warn(span, format!("the symbol \"{value}\" is not understood: expected something like \"T = !trill!\""))
                }
            },
            'm' => self.add_macro(value, span),
            'B' | 'D' | 'E' | 'F' | 'G' | 'H' | 'N' | 'r' | 'X' | 'Z' | 'P' | 'W' => {}
            _ => self.remarks.note(span, format!("there is no field \"{letter}:\" in ABC: it was left out")),
        }
    }

    /// `m: ~g3 = g{a}g{f}g` (chapter 9): text for text. A macro on any note (with the letter n) is not carried out.
    fn add_macro(&mut self, value: &str, span: Span) {
        match value.split_once('=').map(|(name, meaning)| (name.trim(), meaning.trim())) {
            Some((name, _)) if name.contains('n') => {
                self.remarks.warn(span, format!("the macro \"{}\" for any note is not carried out", excerpt(name)));
            }
            Some((name, meaning)) if !name.is_empty() && self.macros.len() < 50 => {
                self.macros.push((name.to_owned(), meaning.to_owned()));
            }
            _ => self.remarks.warn(span, "a macro that is not understood: expected something like \"~g3 = g{a}g{f}g\""),
        }
    }

    /// `%%` or `I:`: only what changes the notes is heeded; the rest is for printing and playing elsewhere.
    fn directive(&mut self, text: &str) {
        let mut words = text.split_whitespace();
        match (words.next(), words.next()) {
            (Some("propagate-accidentals"), Some(reach)) => {
                let reach = match reach {
                    "not" => Reach::Note,
                    "octave" => Reach::Octave,
                    _ => Reach::Measure,
                };
                self.settings.reach = reach;
                self.voices.iter_mut().for_each(|v| v.settings.reach = reach);
            }
            (Some("abc-copyright"), Some(_)) => {
                self.words.rights = Some(text::clean(text.trim().trim_start_matches("abc-copyright")));
            }
            _ => {}
        }
    }

    fn key(&mut self, value: &str, span: Span) {
        let found = match keys::key(value) {
            Ok(found) => found,
            Err(message) => return self.remarks.warn(span, message),
        };
        self.parameters(&found.parameters, span);
        for note in found.notes {
            self.remarks.note(span, note);
        }
        let (key, octaves) = (found.key, found.parameters.octaves);
        if self.stage != Stage::Body {
            self.settings.key = key.unwrap_or(Key::C_MAJOR);
            self.settings.octaves = octaves.unwrap_or(0);
            return;
        }
        for voice in self.addressed() {
            if let Some(key) = &key {
                voice.set_key(key.clone());
            }
            voice.settings.octaves = octaves.unwrap_or(voice.settings.octaves);
        }
    }

    fn parameters(&mut self, parameters: &fields::Parameters, span: Span) {
        for note in &parameters.notes {
            self.remarks.note(span, note.clone());
        }
        for word in &parameters.unknown {
            self.remarks.note(span, format!("\"{}\" is not understood and was left out", excerpt(word)));
        }
    }

    /// The voices that a field in the body speaks to: the current one, or all before one was named.
    fn addressed(&mut self) -> impl Iterator<Item = &mut Voice> {
        let (named, current) = (self.named, self.current);
        self.voices.iter_mut().enumerate().filter(move |(i, v)| *i == current || named == Named::NotYet && v.is_empty()).map(|(_, v)| v)
    }

    /// The header is read: the unit is known, and the voices can begin.
    fn begin_body(&mut self) {
        self.stage = Stage::Body;
        self.settings.unit = self.unit.unwrap_or_else(|| fields::default_unit(&self.settings.meter));
        for (value, span) in std::mem::take(&mut self.tempos) {
            self.tempo(&value, span);
        }
        for (value, span) in std::mem::take(&mut self.declared) {
            self.voice(&value, span);
        }
        self.current = 0;
        if self.voices.is_empty() {
            self.voices.push(Voice::new(String::new(), self.settings.clone()));
        }
    }

    fn tempo(&mut self, value: &str, span: Span) {
        let unit = self.voices.get(self.current).map_or(self.settings.unit, |v| v.settings.unit);
        let found = match fields::tempo(value, unit) {
            Ok(found) => found,
            Err(message) => return self.remarks.warn(span, message),
        };
        if let Some(note) = found.note {
            self.remarks.note(span, note);
        }
        match self.voices.get_mut(self.current).filter(|v| !v.is_empty()) {
            Some(voice) => {
                found.tempo.into_iter().for_each(|t| voice.tempo(t));
                found.words.into_iter().for_each(|w| voice.tempo_words(w));
            }
            None => {
                self.tempo = found.tempo.or(self.tempo);
                self.words.tempo_words = found.words.or(self.words.tempo_words.take());
            }
        }
    }

    /// `V:`: the voice of this name, made if it is new, becomes the current one.
    fn voice(&mut self, value: &str, span: Span) {
        let words = fields::words(value);
        let Some((id, rest)) = words.split_first() else { return };
        let found = fields::parameters(rest);
        self.parameters(&found, span);
        self.current = match self.voices.iter().position(|v| v.id == *id) {
            Some(place) => place,
            // The voice that began before any was named gets the first name, as long as it is empty.
            None if self.voices.len() == 1 && self.voices[0].id.is_empty() && self.voices[0].is_empty() => {
                self.voices[0].id = id.clone();
                0
            }
            None if self.voices.len() >= MOST_VOICES => {
                return self.remarks.warn(span, format!("more than {MOST_VOICES} voices: this one goes on in the one before"));
            }
            None => {
                self.voices.push(Voice::new(id.clone(), self.settings.clone()));
                self.voices.len() - 1
            }
        };
        let octaves = self.settings.octaves;
        let voice = &mut self.voices[self.current];
        voice.name = found.name.or(voice.name.take());
        if let Some(more) = found.octaves {
            voice.settings.octaves = octaves + more;
        }
    }

    fn body_piece(&mut self, piece: &Piece) {
        match piece {
            Piece::Directive { text, .. } => self.directive(text),
            Piece::Field { letter, value, line } => {
                let span = line_span(*line);
                if matches!(letter, 'P' | 'M') && !value.is_empty() {
                    self.voices[self.current].break_measure(span);
                }
                self.body_field(*letter, value, span);
            }
            Piece::Music { text, line } => self.music(text, *line),
        }
    }

    fn body_field(&mut self, letter: char, value: &str, span: Span) {
        match letter {
            'K' => self.key(value, span),
            'M' => match fields::meter(value) {
                Ok(meter) => self.addressed().for_each(|v| v.set_meter(meter.clone())),
                Err(message) => self.remarks.warn(span, message),
            },
            'L' => match fields::unit(value) {
                Ok(unit) => self.addressed().for_each(|v| v.settings.unit = unit),
                Err(message) => self.remarks.warn(span, message),
            },
            'Q' => self.tempo(value, span),
            'V' => {
                self.voice(value, span);
                self.named = Named::Yes;
                self.voices[self.current].start_line();
            }
            'P' if !value.is_empty() => {
                let label = text::clean(value);
                self.addressed().for_each(|v| v.section(label.clone()));
            }
            'w' => self.voices[self.current].lyrics(value, span),
            's' => self.voices[self.current].symbols(value, span),
            _ => self.text_field(letter, value, span),
        }
    }

    /// A line of music code.
    fn music(&mut self, text: &str, line: Line) {
        let with_macros = self.with_macros(text, line);
        let width = text.chars().count() as u32;
        self.voices[self.current].start_line();
        for placed in scan::tokens(with_macros.as_deref().unwrap_or(text)) {
            let column = placed.column.min(width.max(1));
            self.last = Span { line: line.number, column, width: placed.width };
            self.token(placed);
            if self.voices[self.current].failed.is_some() {
                return;
            }
        }
        if !text.trim_end().ends_with('\\') {
            self.voices[self.current].end_line(self.last);
        }
    }

    fn token(&mut self, placed: Placed) {
        let span = self.last;
        match placed.token {
            Token::Field(letter, value) => self.body_field(letter, value.trim(), span),
            Token::Shorthand(letter) => match self.symbols.get(&letter).cloned() {
                Some(name) if name.starts_with('"') => self.give(Token::Quoted(name.trim_matches('"').to_owned()), placed.column, span),
                Some(name) => self.give(Token::Decoration(name), placed.column, span),
                None => self.give(Token::Unknown(format!("the letter \"{letter}\"")), placed.column, span),
            },
            token => self.give(token, placed.column, span),
        }
    }

    fn give(&mut self, token: Token, column: u32, span: Span) {
        self.voices[self.current].take(Placed { token, column, width: span.width }, span);
    }

    fn with_macros(&mut self, text: &str, line: Line) -> Option<String> {
        let most = (text.len().saturating_mul(8) + 4096).min(text.len() + MOST_BY_MACROS - self.by_macros);
        let mut made: Option<String> = None;
        for (name, meaning) in &self.macros {
            let before = made.as_deref().unwrap_or(text);
            if before.contains(name.as_str()) {
                let after = before.replace(name.as_str(), meaning);
                if after.len() > most {
                    let name = excerpt(name);
                    self.remarks.warn(line_span(line), format!("the macro \"{name}\" makes the line too long and is not carried out"));
                    continue;
                }
                made = Some(after);
            }
        }
        self.by_macros += made.as_ref().map_or(0, |made| made.len().saturating_sub(text.len()));
        made
    }

    /// Lines after the empty line that ended the tune: more verses are taken, music is pointed out.
    fn rest(&mut self, lines: &[Line]) {
        for piece in pieces(lines) {
            match piece {
                Piece::Field { letter: 'W', value, line } => self.text_field('W', &value, line_span(line)),
                Piece::Music { text, line } if text.matches('|').count() > 1 => {
                    let message = "an empty line ended the tune, and what follows was left out though it looks like music";
                    self.remarks.advise(line_span(line), message, "take the empty line out, or begin a tune with \"X:\"");
                    return;
                }
                _ => {}
            }
        }
    }

    fn into_imported(mut self, options: &ReadOptions) -> Result<Imported, ReadError> {
        if self.stage != Stage::Body {
            let message = "the tune has no key field \"K:\" and no music".to_owned();
            let hint = Some("every tune needs a line like \"K:C\" before its notes".to_owned());
            return Err(ReadError::Unusable(Diagnostic { severity: Severity::Error, span: self.last, message, hint }));
        }
        let chosen = self.chosen(options)?;
        self.say_which(chosen, options);
        let parts = self.parts();
        let mut voice = self.voices.swap_remove(chosen);
        voice.end(self.last);
        if voice.measures.iter().all(|d| d.measure.notes.is_empty()) {
            let message = "the tune holds no notes".to_owned();
            return Err(ReadError::Unusable(Diagnostic { severity: Severity::Error, span: self.last, message, hint: None }));
        }
        self.remarks.append(std::mem::take(&mut voice.remarks));
        self.borrow_chords(&mut voice);
        let mut finished = finish::finish(voice.measures, &mut self.remarks);
        self.words.composer = Some(text::joined(&self.composers)).filter(|names| !names.is_empty());
        while self.words.verses.last().is_some_and(|v| v.is_empty()) {
            self.words.verses.pop();
        }
        let mut sheet = LeadSheet { words: self.words, tempo: self.tempo, measures: finished.measures };
        let said = bounds::settle(&mut sheet, &mut finished.sources.measures).map_err(|message| {
            let hint = Some("leave part of the tune out".to_owned());
            ReadError::Unusable(Diagnostic { severity: Severity::Error, span: self.last, message, hint })
        })?;
        for bounds::Said { measure, message } in said {
            self.remarks.warn(finished.sources.measures.get(measure).copied().unwrap_or(self.last), message);
        }
        Ok(Imported {
            sheet,
            sources: finished.sources,
            diagnostics: self.remarks.sorted(),
            tunes: Vec::new(),
            part: parts.iter().find(|(place, _)| *place == chosen).map(|(_, name)| name.clone()),
            parts: parts.into_iter().map(|(_, name)| name).collect(),
        })
    }

    /// A melody without chord symbols takes those that stand over another voice, measure by measure.
    fn borrow_chords(&mut self, melody: &mut Voice) {
        let Some(other) = self.voices.iter().find(|v| v.has_chords).filter(|_| !melody.has_chords) else { return };
        for (to, from) in melody.measures.iter_mut().zip(&other.measures) {
            to.measure.frame.chords.clone_from(&from.measure.frame.chords);
        }
        if let Some(span) = melody.measures.first().and_then(|d| d.span) {
            self.remarks.note(span, format!("the chord symbols stand over voice \"{}\"; they were taken from there", excerpt(&other.id)));
        }
    }
}
