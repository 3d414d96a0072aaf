//! A lesson for the ear from an arrangement: the tune alone, then phrase by phrase the accompanying hand slowly, at tempo, and both hands, then all of it; and the same order in words with its times.
//!
//! [`course`] says which parts there are; `sound::lesson` lays them out in time; [`speech`] says their names where the system has a voice. It knows no files.

pub mod course;
pub mod speech;

use course::{Course, Heard, Step};
use music::{Beats, Clock, Hand, Place, Score, Seconds};
use sound::lesson::{Lesson, Part, Times, cut, laid};
use sound::{Beat, Hands, Performance, Performing, Rate, TempoShare, perform};
use speech::Voice;

/// How fast the accompanying hand is heard first, in percent of the tempo. Ours.
pub const SLOWLY: u8 = 60;

/// A lesson with the words for its parts.
pub struct Spoken {
    pub lesson: Lesson,
    pub steps: Vec<Step>,
}

/// The lesson of a page. `phrases` has the phrase, from 0, of each measure.
pub fn lesson(score: &Score, phrases: &[usize], voice: &Voice) -> Spoken {
    let course = Course::of(score, phrases);
    let clock = Clock::of_score(score);
    let played = Played::of(score);
    let part = |step: &Step| {
        let performance = played.part(step);
        let (count_in, counted) = count_in(score, &clock, step);
        Part { performance, count_in, counted, said: voice.says(&step.in_words(), Rate::default()) }
    };
    let lesson = laid(course.steps.iter().map(part).collect());
    Spoken { lesson, steps: course.steps }
}

/// The whole page as each part hears it.
struct Played {
    tune: Performance,
    /// Slowly and at tempo, the left hand and then the right.
    hands: [[Performance; 2]; 2],
    both: Performance,
    ring: harp::ring::RingModel,
}

impl Played {
    fn of(score: &Score) -> Played {
        let of = |hands: Hands, percent: u8| {
            let tempo = TempoShare::new(percent).unwrap_or_default();
            perform(score, &Performing { hands, tempo, ..Performing::default() })
        };
        let hand = |hands: Hands| [of(hands, SLOWLY), of(hands, 100)];
        Played {
            tune: of(Hands::Melody, 100),
            hands: [hand(Hands::Left), hand(Hands::Right)],
            both: of(Hands::Both, 100),
            ring: Performing::default().ring,
        }
    }

    fn part(&self, step: &Step) -> Performance {
        let whole = match step.heard {
            Heard::Tune => &self.tune,
            Heard::Both => &self.both,
            Heard::Slowly(hand) | Heard::AtTempo(hand) => {
                &self.hands[usize::from(hand == Hand::Right)][usize::from(matches!(step.heard, Heard::AtTempo(_)))]
            }
        };
        cut(whole, step.passes.clone(), &self.ring)
    }
}

/// A measure of clicks in the part's own tempo; before a pickup also what the pickup leaves of its measure.
fn count_in(score: &Score, clock: &Clock, step: &Step) -> (Vec<(Beat, Seconds)>, Seconds) {
    let Some(pass) = clock.played().get(step.passes.start) else { return (Vec::new(), Seconds::ZERO) };
    let frame = &score.measures[pass.measure].frame;
    let tempo = clock.tempo(Place { measure: pass.measure, at: Beats::ZERO });
    let share = TempoShare::new(if matches!(step.heard, Heard::Slowly(_)) { SLOWLY } else { 100 }).unwrap_or_default();
    let meter = &frame.meter;
    let missing = meter.length() - frame.length;
    let more = if missing > Beats::ZERO { missing } else { Beats::ZERO };
    let time = |beats: Beats| share.stretch(tempo.seconds(beats));
    let beats = meter.beats();
    let first = beats.iter().map(|at| (*at, *at));
    let second = beats.iter().take_while(|at| **at < more).map(|at| (*at, meter.length() + *at));
    let click = |(at, place): (Beats, Beats)| (if at.is_zero() { Beat::First } else { Beat::Other }, time(place));
    (first.chain(second).map(click).collect(), time(meter.length() + more))
}

impl Spoken {
    /// The order of the parts with their times, as the text beside the sound.
    pub fn text(&self, title: &str, voice: &Voice) -> String {
        let mut text = format!("{title}\nAn audio lesson. Each part is counted in with one measure of clicks.\n");
        text += &format!("Slowly is {SLOWLY} percent of the tempo.\n{}\n\n", voice.in_words());
        for (step, times) in self.steps.iter().zip(&self.lesson.parts) {
            text += &format!("{}  {}\n", clock_time(times.begins), step.in_words());
        }
        let end = self.lesson.performance.end;
        text + &format!("{}  End\n", clock_time(end))
    }

    /// When each part comes.
    pub fn times(&self) -> &[Times] {
        &self.lesson.parts
    }
}

/// Minutes and whole seconds.
fn clock_time(time: Seconds) -> String {
    let seconds = time.micros() / 1_000_000;
    format!("{:02}:{:02}", seconds / 60, seconds % 60)
}
