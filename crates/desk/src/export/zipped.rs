//! Everything in one file (a zip archive). The same folder gives the same bytes: names in order, no times.

use super::{Everything, LARGEST, MOST_BYTES, MOST_FILES};
use crate::failure::Failure;
use std::borrow::Cow;
use std::io::{Cursor, Read, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipArchive, ZipWriter};

/// Errors: more files than an archive takes.
pub fn zip(everything: &Everything) -> Result<Vec<u8>, Failure> {
    let no_room = |error: zip::result::ZipError| Failure::wrong(format!("the files do not go into one archive: {error}"));
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::default())
        .unix_permissions(0o644);
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (path, bytes) in everything.places() {
        writer.start_file(path, options).map_err(no_room)?;
        writer.write_all(&bytes).expect("memory takes bytes");
    }
    Ok(writer.finish().map_err(no_room)?.into_inner())
}

/// Reads it back. Errors: it is no such archive, or holds more than can be brought in.
pub fn unzip(bytes: &[u8]) -> Result<Everything, Failure> {
    let broken = |error: zip::result::ZipError| Failure::wrong(format!("this is no zip archive that can be read: {error}"));
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(broken)?;
    if archive.len() > MOST_FILES {
        return Err(Failure::wrong(format!("the archive holds more than {MOST_FILES} files")));
    }
    let names = archive.file_names().map(|name| name.map(Cow::into_owned)).collect::<Result<Vec<String>, _>>().map_err(broken)?;
    let around = common(&names);
    let (mut all, mut read) = (Everything::default(), 0);
    for index in 0..archive.len() {
        let mut file = archive.by_index(index).map_err(broken)?;
        let name = file.name().map_err(broken)?.into_owned();
        let path = name.strip_prefix(&around).unwrap_or(&name);
        let hidden = path.split('/').any(|part| part.starts_with('.') || part == "__MACOSX");
        if file.is_dir() || hidden {
            continue;
        }
        let mut bytes = Vec::new();
        (&mut file).take(LARGEST.bytes + 1).read_to_end(&mut bytes).map_err(|error| broken(error.into()))?;
        read += bytes.len() as u64;
        if bytes.len() as u64 > LARGEST.bytes || read > MOST_BYTES {
            return Err(Failure::wrong(format!(
                "{name} is larger than {}, or the archive than {} MiB",
                LARGEST.said(),
                MOST_BYTES / (1024 * 1024)
            )));
        }
        all.found(path, bytes)?;
    }
    all.left_out.sort();
    Ok(all)
}

/// The folder around everything, which some systems put there when a folder is packed: "My tunes/"; else nothing.
fn common(names: &[String]) -> String {
    let first = names.first().and_then(|name| name.split_once('/')).map(|(folder, _)| format!("{folder}/")).unwrap_or_default();
    let ours = [super::BIN, super::DIARY].iter().any(|folder| first == format!("{folder}/"));
    if !ours && names.iter().all(|name| name.starts_with(&first)) { first } else { String::new() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn packed(files: &[(&str, &str)]) -> Vec<u8> {
        let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
        for (path, text) in files {
            writer.start_file(*path, SimpleFileOptions::default()).expect("a name");
            writer.write_all(text.as_bytes()).expect("memory");
        }
        writer.finish().expect("an archive").into_inner()
    }

    #[test]
    fn what_is_no_file_of_a_folder_stays_outside() {
        let files = [
            ("a.abc", "X:1"),
            ("../b.abc", "X:2"),
            ("bin/c.abc", "X:3"),
            ("bin/deep/d.abc", ""),
            ("song.wav", ""),
            (".hidden.abc", ""),
            ("/e.abc", ""),
        ];
        let all = unzip(&packed(&files)).expect("an archive");
        assert_eq!(all.files.keys().collect::<Vec<_>>(), ["a.abc", "bin/c.abc"]);
        assert_eq!(all.left_out, ["/e.abc", "bin/deep/d.abc", "song.wav"]);
        assert!(unzip(b"PK no archive").is_err() && unzip(b"").is_err());
    }

    #[test]
    fn a_folder_around_everything_is_none() {
        let all = unzip(&packed(&[("My tunes/a.abc", "X:1"), ("My tunes/bin/b.abc", "X:2")])).expect("an archive");
        assert_eq!(all.files.keys().collect::<Vec<_>>(), ["a.abc", "bin/b.abc"]);
        let bin = unzip(&packed(&[("bin/b.abc", "X:2")])).expect("an archive");
        assert_eq!(bin.files.keys().collect::<Vec<_>>(), ["bin/b.abc"]);
    }
}
