//! Standard MIDI Files.
