//! Writing a score as MusicXML 4.0.
