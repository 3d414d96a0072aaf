//! The player's desk: her folder of tunes, what she chose for each, and the local page she works at.
//!
//! A tune's way from its file to an arrangement, which the command line shares ([`reader`] tells them apart): [`plain_file`], [`read`], [`wishes`], [`harps`], [`player`], [`job`], [`report`].
//! Her folder: [`shelf`], [`bring`], [`save`], [`choices`], [`usual`], [`versions`], [`history`]. Changes of single notes: [`by_hand`]. What the page asks about a tune: [`worktable`],
//! [`measure`], [`other_ways`] for a phrase, each shown as an [`excerpt`], and what a change changed ([`difference`]). Recordings of hers: [`recordings`]. Tunes in an order for an occasion: [`sets`]. Many tunes in one file, or bound as one: [`book`]. An arrangement for who hears or touches it: [`plain_text`], [`lesson`]. All of it taken to another machine: [`export`]. [`server`] answers on this machine only;
//! [`drawing`] is the engraver it is lent, [`safe_svg`] looks through what that draws. Nothing here links the engraving library or asks the network.

pub mod failure;
pub mod reader;
pub mod plain_file;
pub mod toml_file;
pub mod file_form;
pub mod harps;
pub mod demo;
pub mod player;
pub mod read;
pub mod chords_of;
pub mod wishes;
pub mod job;
pub mod report;
pub mod names;
pub mod lists;
pub mod number;
pub mod save;
pub mod shelf;
pub mod book;
pub mod bring;
pub mod fields;
pub mod choices;
pub mod usual;
pub mod versions;
pub mod history;
pub mod drawing;
pub mod safe_svg;
pub mod one_staff;
pub mod plain_text;
pub mod lesson;
pub mod by_hand;
pub mod practice;
pub mod sets;
pub mod worktable;
pub mod difference;
pub mod excerpt;
pub mod other_ways;
pub mod measure;
pub mod recordings;
pub mod export;
pub mod server;

/// The guide's examples for developers, run as they stand there: this crate sees nearly all the others.
#[cfg(doctest)]
#[doc = include_str!("../../../docs/guide/developers.md")]
pub struct ForDevelopers;
