//! What was found in a recording, in sentences for the player.

use crate::follow::{Followed, Pass, Sure};
use music::{LeadSheet, MeasureNumber};

/// Below this agreement the recording may be of something else, in natural logarithms a second. Fitted on `outside`'s recordings.
const AGREES: f32 = 4.0;
/// Below this the key may be another one, likewise.
const KEY: f32 = 1.0;

/// "0:07.3", "12:30.0".
pub fn clock(seconds: f64) -> String {
    let tenths = (seconds.max(0.0) * 10.0).round() as u64;
    format!("{}:{:02}.{}", tenths / 600, tenths / 10 % 60, tenths % 10)
}

impl Followed {
    /// The recording agrees so little with the sheet that it may be of something else.
    pub fn is_doubted(&self) -> bool {
        self.agrees < AGREES
    }

    /// Another key fits about as well.
    pub fn key_is_doubted(&self) -> bool {
        self.key_before_next < KEY
    }

    /// All there is to say, the gravest first. `above`: by how many half steps the recording sounds above the page, which may be in another key than the sheet.
    pub fn sentences(&self, sheet: &LeadSheet, above: i32) -> Vec<String> {
        let mut said = Vec::new();
        if self.is_doubted() {
            said.push("The sound agrees little with the sheet. Is it this tune? Do not rely on these places.".to_owned());
        }
        said.extend(self.unsure(sheet));
        said.push(self.span(sheet));
        said.push(self.key(above));
        said.extend(self.tuning());
        said
    }

    fn span(&self, sheet: &LeadSheet) -> String {
        let [from, to] =
            [self.passes.first().map(Pass::start), self.passes.last().map(|p| p.end)].map(|t| clock(t.unwrap_or_default().as_f64()));
        let broken = if self.broken_off { "; there the recording ends, before the tune does" } else { "" };
        format!("The tune begins at {from} and ends at {to}{broken}. The measures played: {}.", self.order(sheet))
    }

    /// The order in which the measures are played: "1 to 8 twice, then 9 to 16".
    fn order(&self, sheet: &LeadSheet) -> String {
        let mut runs: Vec<(usize, usize)> = Vec::new();
        for pass in &self.passes {
            match runs.last_mut() {
                Some(run) if run.1 + 1 == pass.measure => run.1 = pass.measure,
                _ => runs.push((pass.measure, pass.measure)),
            }
        }
        let name = |m: usize| sheet.measures.get(m).map_or_else(String::new, |m| short(m.frame.number));
        let run = |(from, to): &(usize, usize)| if from == to { name(*from) } else { format!("{} to {}", name(*from), name(*to)) };
        let mut words: Vec<(String, usize)> = Vec::new();
        for run in runs.iter().map(run) {
            match words.last_mut() {
                Some(last) if last.0 == run => last.1 += 1,
                _ => words.push((run, 1)),
            }
        }
        let times = |n: usize| match n {
            1 => String::new(),
            2 => " twice".to_owned(),
            n => format!(" {n} times"),
        };
        let list: Vec<String> = words.iter().map(|(run, n)| format!("{run}{}", times(*n))).collect();
        list.join(", then ")
    }

    fn key(&self, above: i32) -> String {
        let far = match above.abs() {
            1 => "a half step".to_owned(),
            n => format!("{n} half steps"),
        };
        let sounds = match above {
            0 => "It sounds in the key that is written".to_owned(),
            n if n > 0 => format!("It sounds {far} above what is written"),
            _ => format!("It sounds {far} below what is written"),
        };
        if self.key_is_doubted() {
            format!("{sounds}, but that is not sure: another key fits nearly as well.")
        } else {
            format!("{sounds}.")
        }
    }

    /// Beside A = 440 Hz, where that can be heard.
    fn tuning(&self) -> Option<String> {
        let hertz = 440.0 * 2.0_f64.powf(f64::from(self.cents) / 1200.0);
        (self.cents.abs() >= 8).then(|| {
            format!("Its A is at about {hertz:.0} Hz ({} cents {} 440).", self.cents.abs(), if self.cents > 0 { "above" } else { "below" })
        })
    }

    /// The measures that are not sure, and what to do.
    fn unsure(&self, sheet: &LeadSheet) -> Option<String> {
        let unsure: Vec<&Pass> = self.passes.iter().filter(|p| p.sure == Sure::Not).collect();
        if unsure.is_empty() {
            return None;
        }
        if unsure.len() * 3 > self.passes.len() * 2 {
            return Some("Not sure of most measures: give the first beats of a few, or bring another recording.".into());
        }
        let named = |p: &Pass| match sheet.measures.get(p.measure).map(|m| m.frame.number) {
            Some(number) => number.in_words(),
            None => "the pickup".to_owned(),
        };
        let names: Vec<String> = unsure.iter().take(8).map(|p| format!("{} (at {})", named(p), clock(p.start().as_f64()))).collect();
        let more = if unsure.len() > 8 { format!(" and {} more", unsure.len() - 8) } else { String::new() };
        Some(format!("Not sure of {}{more}: listen there, and give the first beat where it is wrong.", names.join(", ")))
    }
}

/// A measure's number within a list of them; the pickup has none.
fn short(number: MeasureNumber) -> String {
    if number.count == 0 { "pickup".into() } else { number.to_string() }
}
