//! A performance as a MIDI file: the tune on the first channel, the accompaniment on the second, both tuned by a bend that stays.

use super::played::{Played, TUNE, Wanted};
use midly::num::{u4, u7, u15, u24, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, PitchBend, Smf, Timing, Track, TrackEvent, TrackEventKind};

/// Ticks a quarter note, which lasts half a second.
const TICKS: u16 = 1920;

fn ticks(seconds: f64) -> u32 {
    (seconds.max(0.0) * f64::from(TICKS) * 2.0).round() as u32
}

pub fn write(played: &Played, wanted: &Wanted) -> Vec<u8> {
    let programs = [TUNE[wanted.instrument].0, wanted.accompanied.unwrap_or(0)];
    let mut events: Vec<(u32, u8, u8, MidiMessage)> = Vec::new();
    for (channel, program) in programs.into_iter().enumerate() {
        events.push((0, 0, channel as u8, MidiMessage::ProgramChange { program: program.into() }));
        let bend = PitchBend::from_f64(f64::from(wanted.cents) / 200.0);
        events.push((0, 0, channel as u8, MidiMessage::PitchBend { bend }));
    }
    for note in played.notes.iter().filter(|n| (0..128).contains(&n.midi) && n.to > n.from) {
        let (key, channel) = (u7::new(note.midi as u8), u8::from(note.below));
        events.push((ticks(note.from), 2, channel, MidiMessage::NoteOn { key, vel: u7::new(note.strength) }));
        events.push((ticks(note.to), 1, channel, MidiMessage::NoteOff { key, vel: u7::new(0) }));
    }
    events.sort_by_key(|e| (e.0, e.1));
    let mut track: Track = vec![TrackEvent { delta: u28::new(0), kind: TrackEventKind::Meta(MetaMessage::Tempo(u24::new(500_000))) }];
    let mut now = 0;
    for (at, _, channel, message) in events {
        track.push(TrackEvent { delta: u28::new(at - now), kind: TrackEventKind::Midi { channel: u4::new(channel), message } });
        now = at;
    }
    track.push(TrackEvent { delta: u28::new(u32::from(TICKS) * 2), kind: TrackEventKind::Meta(MetaMessage::EndOfTrack) });
    let header = Header::new(Format::SingleTrack, Timing::Metrical(u15::new(TICKS)));
    let mut bytes = Vec::new();
    Smf { header, tracks: vec![track] }.write_std(&mut bytes).expect("memory takes all bytes");
    bytes
}
