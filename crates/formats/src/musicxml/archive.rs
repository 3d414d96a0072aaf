//! Compressed MusicXML (`.mxl`): a ZIP archive whose `META-INF/container.xml` names the score.
//!
//! Follows "Compressed .MXL files" of the MusicXML 4.0 standard: the first root file is the score; a root file with a media type other than
//! MusicXML's is passed over. Unpacking stops where the reader says.

use super::element::says_yes;
use super::text::{decode, unusable};
use crate::diagnostic::excerpt;
use crate::read::ReadError;
use roxmltree::{Document, ParsingOptions};
use std::borrow::Cow;
use std::io::{Cursor, Read};
use zip::ZipArchive;

type Archive<'a> = ZipArchive<Cursor<&'a [u8]>>;

pub fn is_archive(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04")
}

/// The largest container that is looked at, in bytes.
const LARGEST_CONTAINER: u64 = 1024 * 1024;

/// The bytes of the score in the archive, no more than `most`.
pub fn unpack(bytes: &[u8], most: u64) -> Result<Vec<u8>, ReadError> {
    let mut archive = ZipArchive::new(Cursor::new(bytes))
        .map_err(|e| unusable(1, 1, format!("a damaged compressed score: {}", excerpt(&lower(&e.to_string()))), "export it again"))?;
    let name = score_name(&mut archive)?;
    inflate(&mut archive, &name, most)
}

fn lower(message: &str) -> String {
    message.trim_end_matches('.').to_lowercase()
}

/// The score's name from the container; without a container, the first file that looks like a score.
fn score_name(archive: &mut Archive) -> Result<String, ReadError> {
    // A name that cannot be read is nobody's score.
    let names: Vec<String> = archive.file_names().flatten().map(Cow::into_owned).collect();
    if names.iter().any(|n| n == "META-INF/container.xml") {
        let container = decode(&inflate(archive, "META-INF/container.xml", LARGEST_CONTAINER)?).0;
        if let Some(name) = root_file(&container).filter(|name| names.contains(name)) {
            return Ok(name);
        }
    }
    let mut scores: Vec<&String> = names.iter().filter(|n| is_score_name(n)).collect();
    scores.sort();
    match scores.first() {
        Some(name) => Ok((*name).clone()),
        None => Err(unusable(1, 1, "a compressed file without a MusicXML score in it".into(), "export the score again")),
    }
}

fn is_score_name(name: &str) -> bool {
    let name = name.to_ascii_lowercase();
    !name.starts_with("meta-inf/") && !name.starts_with("__macosx/") && (name.ends_with(".xml") || name.ends_with(".musicxml"))
}

/// The first root file of MusicXML's media type, or without one.
fn root_file(container: &str) -> Option<String> {
    let document =
        Document::parse_with_options(container, ParsingOptions { allow_dtd: true, nodes_limit: 10_000, ..ParsingOptions::default() })
            .ok()?;
    let mut roots = document.descendants().filter(|n| n.tag_name().name() == "rootfile" && !says_yes(*n, "hidden"));
    let is_score = |kind: Option<&str>| kind.is_none_or(|k| k.contains("musicxml"));
    roots.find(|n| is_score(n.attribute("media-type"))).and_then(|n| n.attribute("full-path")).map(str::to_owned)
}

/// Unpacks one file, never more than the limit whatever the archive claims.
fn inflate(archive: &mut Archive, name: &str, most: u64) -> Result<Vec<u8>, ReadError> {
    let damaged = |what: String| {
        unusable(1, 1, format!("\"{}\" in the compressed score cannot be unpacked: {what}", excerpt(name)), "export it again")
    };
    let file = archive.by_name(name).map_err(|e| damaged(excerpt(&lower(&e.to_string()))))?;
    let mut bytes = Vec::new();
    file.take(most + 1).read_to_end(&mut bytes).map_err(|e| damaged(excerpt(&lower(&e.to_string()))))?;
    if bytes.len() as u64 > most {
        let most = most / (1024 * 1024);
        return Err(unusable(1, 1, format!("the score unpacks to more than {most} MiB, the most that is read"), "split it"));
    }
    Ok(bytes)
}
