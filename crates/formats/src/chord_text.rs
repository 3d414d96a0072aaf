//! Chord symbols as text, as found in lead sheets.
