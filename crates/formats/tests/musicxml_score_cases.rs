//! Written-out pages of two staves and the two hands read from them.
//!
//! Element names and their meanings: MusicXML 4.0, W3C Community Group Final Report. Musical check values: common practice. The music is made
//! up for the tests.

#[path = "spoiled/mod.rs"]
mod spoiled;
#[path = "musicxml_score/page.rs"]
mod page;
#[path = "musicxml_score/voices.rs"]
mod voices;
#[path = "musicxml_score/signs.rs"]
mod signs;
#[path = "musicxml_score/staves.rs"]
mod staves;
#[path = "musicxml_score/mutations.rs"]
mod mutations;
