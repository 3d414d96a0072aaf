//! Standard MIDI Files: writing a score as type 1, three tracks.
//!
//! Track 0 holds title, tempo, meter, key and markers; track 1 the right hand on channel 1, track 2 the left hand on channel 2, both with the harp of
//! General MIDI. The score is written in the order in which it is played: repeats, endings and jumps are unfolded ([`conduct`]), ties are one
//! note, rolls and grace notes are spread out ([`pluck`]).
//!
//! Tempo events follow [`music::Clock`], ritardandos and fermatas too ([`speeds`]), rounded to whole microseconds a quarter note.
//!
//! Times are exact where the score's divisions of a quarter note have a common multiple up to 32,767 ticks (all ordinary tuplets do); beyond that they
//! are rounded to the nearest of 960 ticks a quarter, measure by measure, so that the hands stay together.

mod ticks;
mod speeds;
mod conduct;
mod pluck;

use midly::num::{u4, u7, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, Smf, Timing, Track, TrackEvent, TrackEventKind};
use music::{Clock, Hand, Score};
use pluck::Pluck;
use ticks::Ticks;

/// Orchestral Harp in General MIDI, counted from 0.
const HARP: u8 = 46;

/// How hard the hands pluck: the tune stands out. Ours.
const RIGHT_VELOCITY: u8 = 88;
const LEFT_VELOCITY: u8 = 72;

/// The score as a Standard MIDI File. The same score gives the same bytes.
///
/// ```
/// use music::text;
///
/// // Standard MIDI Files 1.0: "MThd", six bytes of head, format 1, three tracks.
/// let bytes = formats::midi::write(&text::page(&[("C5:4", "C3:4")], 60));
/// assert_eq!((&bytes[..4], &bytes[8..12]), (&b"MThd"[..], &[0, 1, 0, 3][..]));
/// ```
pub fn write(score: &Score) -> Vec<u8> {
    let clock = Clock::of_score(score);
    let ticks = Ticks::of(score, &clock);
    let passes = conduct::passes(score, &clock, &ticks);
    let plucks = |hand| pluck::plucks(score, &clock, &passes, &ticks, hand);
    let end = passes.last().map_or(0, |p| p.start + p.length);
    let events = conduct::events(score, &clock, &passes, &ticks);
    let tracks =
        vec![track(&events, end), hand_track(plucks(Hand::Right), Hand::Right, end), hand_track(plucks(Hand::Left), Hand::Left, end)];
    let smf = Smf { header: Header::new(Format::Parallel, Timing::Metrical(ticks.per_quarter())), tracks };
    let mut bytes = Vec::new();
    smf.write_std(&mut bytes).expect("writing into memory cannot fail");
    bytes
}

/// An event at a time in ticks. At one time, what ends a note comes before what begins one.
pub struct Placed<'a> {
    /// In ticks from the beginning.
    pub at: i64,
    /// What happens.
    pub kind: TrackEventKind<'a>,
}

fn hand_track<'a>(plucks: Vec<Pluck>, hand: Hand, end: i64) -> Track<'a> {
    let (channel, velocity, name): (u8, u8, &[u8]) = match hand {
        Hand::Right => (0, RIGHT_VELOCITY, b"Right hand"),
        Hand::Left => (1, LEFT_VELOCITY, b"Left hand"),
    };
    let channel = u4::new(channel);
    let midi = |message| TrackEventKind::Midi { channel, message };
    let mut events = vec![
        Placed { at: 0, kind: TrackEventKind::Meta(MetaMessage::TrackName(name)) },
        Placed { at: 0, kind: midi(MidiMessage::ProgramChange { program: u7::new(HARP) }) },
    ];
    let mut notes = Vec::new();
    for Pluck { key, from, to } in plucks {
        notes.push(Placed { at: from, kind: midi(MidiMessage::NoteOn { key, vel: u7::new(velocity) }) });
        notes.push(Placed { at: to, kind: midi(MidiMessage::NoteOff { key, vel: u7::new(64) }) });
    }
    notes.sort_by_key(|n| (n.at, matches!(n.kind, TrackEventKind::Midi { message: MidiMessage::NoteOn { .. }, .. })));
    events.append(&mut notes);
    track(&events, end)
}

/// Times as distances from the event before, and the end of the track no earlier than the end of the piece.
fn track<'a>(events: &[Placed<'a>], end: i64) -> Track<'a> {
    let mut at = 0;
    let mut track = Vec::new();
    let last = events.last().map_or(end, |e| e.at.max(end));
    let closing = (last, TrackEventKind::Meta(MetaMessage::EndOfTrack));
    for (time, kind) in events.iter().map(|e| (e.at, e.kind)).chain([closing]) {
        let delta = u32::try_from(time - at).unwrap_or(0).min(u28::max_value().as_int());
        track.push(TrackEvent { delta: u28::new(delta), kind });
        at = time;
    }
    track
}
