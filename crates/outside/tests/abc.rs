//! ABC tunes of music21's corpus, read by us and by music21.

use formats::{ReadOptions, read};
use outside::accepted::Accepted;
use outside::compare::on_one_line;
use outside::facts::{self, Facts, Tune};
use std::collections::BTreeMap;

/// How many tunes must have been compared for the check to count.
const AT_LEAST: usize = 1_000;

#[test]
fn tunes_read_as_music21_reads_them() {
    let facts: Facts = facts::load("abc");
    let mut accepted = Accepted::load("abc");
    let mut files = BTreeMap::new();
    let mut compared = 0;
    let mut open = Vec::new();
    for tune in &facts.tunes {
        let Some(number) = tune.tune else { continue };
        let Some(part) = tune.parts.iter().find(|p| p.sounds()) else { continue };
        let name = format!("{} {number}", tune.name);
        match read(bytes(&facts, tune, &mut files), &ReadOptions { tune: Some(number), part: None }) {
            Err(error) => open.push(format!("{name}: not read: {error}")),
            Ok(imported) => {
                compared += 1;
                let differences = on_one_line(&imported.sheet, part);
                open.extend(differences.iter().filter(|d| !accepted.covers(&name, d)).map(|d| format!("{name}: {d}")));
            }
        }
    }
    println!("{compared} tunes compared");
    assert!(compared >= AT_LEAST, "{compared} tunes compared, expected at least {AT_LEAST}");
    assert!(open.is_empty(), "{} differences:\n{}", open.len(), open.join("\n"));
    assert!(accepted.gone().is_empty(), "listed as accepted but no longer there:\n{}", accepted.gone().join("\n"));
}

fn bytes<'a>(facts: &Facts, tune: &Tune, files: &'a mut BTreeMap<String, Vec<u8>>) -> &'a [u8] {
    files.entry(tune.file.clone()).or_insert_with(|| {
        let path = facts.root.join(&tune.file);
        std::fs::read(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
    })
}
