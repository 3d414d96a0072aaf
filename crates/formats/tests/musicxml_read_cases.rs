//! Written-out MusicXML and what is read from it.
//!
//! Element and type names and their meanings: MusicXML 4.0, W3C Community Group Final Report. Musical check values: common practice, unless a
//! test says otherwise. The tunes are made up for the tests.

#[path = "spoiled/mod.rs"]
mod spoiled;
#[path = "musicxml_read/show.rs"]
mod show;
#[path = "musicxml_read/notes.rs"]
mod notes;
#[path = "musicxml_read/measures.rs"]
mod measures;
#[path = "musicxml_read/harmony.rs"]
mod harmony;
#[path = "musicxml_read/kinds.rs"]
mod kinds;
#[path = "musicxml_read/order.rs"]
mod order;
#[path = "musicxml_read/words.rs"]
mod words;
#[path = "musicxml_read/parts.rs"]
mod parts;
#[path = "musicxml_read/documents.rs"]
mod documents;
#[path = "musicxml_read/mutations.rs"]
mod mutations;
