//! The strict reader of a text: every line is understood or is a mistake, and what was read, written again, is the same text.

use super::body::{Body, PLAY, hand_name, heading, reference, without_words};
use super::frame::{self, Before};
use super::head::{HOW, NO_TITLE};
use super::keys::{read_key, read_meter};
use super::lengths::read_tempo;
use super::lines::unfolded;
use super::notes::Room;
use super::read_notes;
use super::song;
use super::tokens::Tokens;
use super::{Order, VERSES, unstopped};
use music::{Frame, Hand, Key, MeasureNumber, Meter, Note, Preparation, Score, ScoreMeasure, Tempo, Words};
use thiserror::Error;

/// A text that was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Read {
    /// The page without what a text does not say; how the harp is set stands in words among the lines of its preparation.
    pub score: Score,
    /// The phrase, from 0, of each measure.
    pub phrases: Vec<usize>,
    pub order: Order,
}

/// A line that is none of the form.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("line {line}: {what}")]
pub struct Mistake {
    /// From 1.
    pub line: usize,
    pub what: String,
}

/// Reads a text. Errors: the first line that is not as it would be written.
pub fn read(text: &str) -> Result<Read, Mistake> {
    let lines = unfolded(text);
    let mut reader = Reader::default();
    let mut body = None;
    for (at, (number, line)) in lines.iter().enumerate() {
        let begins_before = reader.place;
        reader.line(line).map_err(|what| Mistake { line: *number, what })?;
        if begins_before != Place::Body && reader.place == Place::Body {
            // The empty line before the first heading belongs to it.
            body = Some(at.saturating_sub(1));
        }
    }
    let end = |what: &str| Mistake { line: lines.last().map_or(1, |l| l.0), what: what.to_owned() };
    let body = body.ok_or_else(|| end("no measures"))?;
    let read = reader.finished().map_err(|what| end(&what))?;
    let again = Body { score: &read.score, phrases: &read.phrases, order: read.order }.lines();
    let differs = lines[body..].iter().zip(&again).find(|((_, line), again)| unstopped(line) != Ok(again.as_str()));
    match differs {
        Some(((line, _), again)) => Err(Mistake { line: *line, what: format!("this is written as \"{again}\"") }),
        None => Ok(read),
    }
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Place {
    #[default]
    Title,
    Head,
    How,
    Body,
    Verses,
}

/// What was read up to a line.
#[derive(Default)]
struct Reader {
    place: Place,
    words: Words,
    key: Option<Key>,
    meter: Option<Meter>,
    tempo: Option<Tempo>,
    harp: Vec<String>,
    measures: Vec<ScoreMeasure>,
    phrases: Vec<usize>,
    phrase: usize,
    /// The hand that a heading names.
    section: Option<Hand>,
    /// How many measures of the left hand were told under its heading.
    left: usize,
    order: Option<Order>,
    /// The measure that is being read, and the hand whose notes came last.
    measure: Option<ScoreMeasure>,
    hand: Option<Hand>,
}

impl Reader {
    fn line(&mut self, line: &str) -> Result<(), String> {
        let line = if self.place == Place::Verses { line } else { unstopped(line)? };
        match self.place {
            Place::Title => {
                self.words.title = if line == NO_TITLE { String::new() } else { line.to_owned() };
                self.place = Place::Head;
                Ok(())
            }
            Place::Head if line == HOW => {
                self.place = Place::How;
                Ok(())
            }
            Place::Head => self.head(line),
            Place::How if !is_heading(line) => Ok(()),
            Place::How => {
                self.place = Place::Body;
                self.body(line)
            }
            Place::Body if line == VERSES => {
                self.close()?;
                self.place = Place::Verses;
                Ok(())
            }
            Place::Body => self.body(line),
            Place::Verses => {
                self.words.verses.push(line.to_owned());
                Ok(())
            }
        }
    }

    fn head(&mut self, line: &str) -> Result<(), String> {
        if line.is_empty() {
            return Ok(());
        }
        let (label, said) = line.split_once(": ").ok_or_else(|| format!("expected a label and a colon, found \"{line}\""))?;
        let mut tokens = Tokens::of(said)?;
        match label {
            "Subtitle" => self.words.subtitles.push(said.to_owned()),
            "Composer" => self.words.composer = Some(said.to_owned()),
            "Words by" => self.words.lyricist = Some(said.to_owned()),
            "From" => self.words.origin = Some(said.to_owned()),
            "Rights" => self.words.rights = Some(said.to_owned()),
            "Key" => self.key = Some(read_key(&mut tokens)?),
            "Meter" => self.meter = Some(read_meter(&mut tokens)?),
            "Tempo" => self.tempo = Some(read_tempo(&mut tokens)?),
            "Marked" => self.words.tempo_words = Some(said.to_owned()),
            "Harp" | "Levers" | "Pedals, left foot" | "Pedals, right foot" => self.harp.push(line.to_owned()),
            // They are said of the measures below.
            "Measures" | "Playing order" => {}
            _ => return Err(format!("no label of the head: \"{label}\"")),
        }
        Ok(())
    }

    fn body(&mut self, line: &str) -> Result<(), String> {
        if line.is_empty() {
            return self.close();
        }
        if self.measure.is_none() {
            return self.heading(line);
        }
        let (label, said) = line.split_once(": ").unwrap_or((line, ""));
        if let Some(hand) = self.hand_of(label) {
            self.hand = Some(hand);
            return self.notes(hand, said);
        }
        if let Some(verse) = label.strip_prefix("Verse ").and_then(|n| n.parse().ok()) {
            let hand = self.hand.ok_or("words before the notes they belong to")?;
            return song::read(said, verse, self.measure_hand(hand)?);
        }
        let hand = self.hand;
        let measure = self.measure.as_mut().ok_or("a line outside a measure")?;
        if frame::read(measure, hand, label, said)? { Ok(()) } else { Err(format!("no line of a measure: \"{label}\"")) }
    }

    fn hand_of(&self, label: &str) -> Option<Hand> {
        match self.section {
            Some(hand) => (label == PLAY).then_some(hand),
            None => [Hand::Right, Hand::Left].into_iter().find(|hand| label == hand_name(*hand)),
        }
    }

    fn heading(&mut self, line: &str) -> Result<(), String> {
        if let Some(hand) = [Hand::Right, Hand::Left].into_iter().find(|hand| line == hand_name(*hand)) {
            let order = if self.order.is_none() { Order::Hand } else { Order::Phrase };
            if self.order != Some(Order::Hand) {
                self.order = Some(order);
            }
            self.section = Some(hand);
            return Ok(());
        }
        if let Some(phrase) = line.strip_prefix("Phrase ") {
            let digits: String = phrase.chars().take_while(char::is_ascii_digit).collect();
            let number: usize = digits.parse().map_err(|_| "expected the number of a phrase".to_owned())?;
            self.phrase = number.checked_sub(1).ok_or("phrases are counted from 1")?;
            if self.order.is_none() {
                self.order = Some(Order::Measure);
            }
            return Ok(());
        }
        self.open(line)
    }

    fn open(&mut self, line: &str) -> Result<(), String> {
        let number = number(line).ok_or_else(|| format!("expected a heading, found \"{line}\""))?;
        let index = if self.section == Some(Hand::Left) { self.left } else { self.measures.len() };
        let before = match index.checked_sub(1).map(|i| &self.measures[i]) {
            Some(measure) => Before::of(&measure.frame),
            None => {
                Before { key: self.key.clone().ok_or("the head says no key")?, meter: self.meter.clone().ok_or("the head says no meter")? }
            }
        };
        let frame = Frame::plain(number, before.meter, before.key);
        let (right, left, marks) = (Vec::new(), Vec::new(), Vec::new());
        self.measure = Some(ScoreMeasure { frame, right, left, heading: None, marks, source: None, melody: Hand::Right });
        self.hand = None;
        Ok(())
    }

    fn measure_hand(&mut self, hand: Hand) -> Result<&mut Vec<Note>, String> {
        let measure = self.measure.as_mut().ok_or("notes outside a measure")?;
        Ok(match hand {
            Hand::Right => &mut measure.right,
            Hand::Left => &mut measure.left,
        })
    }

    fn notes(&mut self, hand: Hand, said: &str) -> Result<(), String> {
        let measure = self.measure.as_ref().ok_or("notes outside a measure")?;
        let room = Room { meter: &measure.frame.meter, length: measure.frame.length };
        let notes = match said.strip_prefix("as ") {
            Some(_) => {
                let named = self.measures.iter().find(|m| reference(m.frame.number) == said);
                let named = named.ok_or_else(|| format!("nothing was told before of what is played \"{said}\""))?;
                without_words(named.hand(hand))
            }
            None => read_notes::read(said, room)?,
        };
        *self.measure_hand(hand)? = notes;
        Ok(())
    }

    /// A measure is over.
    fn close(&mut self) -> Result<(), String> {
        let Some(measure) = self.measure.take() else { return Ok(()) };
        if self.section != Some(Hand::Left) {
            self.measures.push(measure);
            self.phrases.push(self.phrase);
            return Ok(());
        }
        let told = self.measures.get_mut(self.left).ok_or("a measure of the left hand that the right hand has not")?;
        let common = |m: &ScoreMeasure| {
            let marks: Vec<_> = m.marks.iter().filter(|m| m.hand.is_none()).cloned().collect();
            (m.frame.clone(), m.heading.clone(), m.melody, marks)
        };
        if common(told) != common(&measure) {
            return Err(format!("{} is told otherwise for the left hand than for the right", heading(measure.frame.number)));
        }
        told.left = measure.left;
        told.marks.extend(measure.marks.into_iter().filter(|m| m.hand.is_some()));
        self.left += 1;
        Ok(())
    }

    fn finished(mut self) -> Result<Read, String> {
        self.close()?;
        if self.section.is_some() && self.left != self.measures.len() {
            return Err("the left hand has fewer measures than the right".into());
        }
        let tempo = self.tempo.ok_or("the head says no tempo")?;
        let preparation = Preparation { lines: self.harp, setting: None };
        let score = Score { words: self.words, tempo, preparation, measures: self.measures };
        Ok(Read { score, phrases: self.phrases, order: self.order.unwrap_or_default() })
    }
}

/// Whether a line is the first of the body.
fn is_heading(line: &str) -> bool {
    line.starts_with("Phrase ") || [Hand::Right, Hand::Left].iter().any(|hand| line == hand_name(*hand))
}

/// The number that a heading of a measure names.
fn number(line: &str) -> Option<MeasureNumber> {
    let lower = line[..line.len().min(1)].to_lowercase() + line.get(1..)?;
    let number = match lower.strip_prefix("measure ") {
        Some(rest) => match rest.split_once(" of the ") {
            Some((count, part)) => format!("{part} {count}").parse().ok()?,
            None => rest.parse().ok()?,
        },
        None => lower.parse().ok()?,
    };
    (heading(number) == line).then_some(number)
}
