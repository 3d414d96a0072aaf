//! Everything that is kept of earlier searches, as it is and spoiled in the same few ways each time.

use fuzz::TARGETS;
use std::path::Path;

/// How often each text is spoiled.
const TIMES: u32 = 40;
/// How often each of the many that the search kept for the branches they reach; they have no names but long numbers.
const TIMES_FOUND: u32 = 4;
/// The longest text that is spoiled: longer ones are tried as they are.
const LONGEST: usize = 8 * 1024;

/// A row of numbers that is the same at each start (xorshift, Marsaglia 2003).
struct Row(u64);

impl Row {
    fn below(&mut self, most: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % most.max(1) as u64) as usize
    }
}

/// Some bytes doubled, taken out, written over or put in from elsewhere in the text.
fn spoiled(bytes: &[u8], row: &mut Row) -> Vec<u8> {
    let mut made = bytes.to_vec();
    for _ in 0..=row.below(4) {
        let (from, to) = (row.below(made.len()), row.below(made.len()));
        let length = (1 + row.below(24)).min(made.len() - from.min(made.len()));
        let piece = made[from..from + length].to_vec();
        match row.below(4) {
            0 => drop(made.splice(to..to, piece)),
            1 => drop(made.splice(from..from + length, [])),
            2 => made[to..].iter_mut().zip(piece).for_each(|(old, new)| *old = new),
            _ => made[to..].iter_mut().take(1).for_each(|old| *old = old.wrapping_add(1 + row.below(255) as u8)),
        }
        if made.is_empty() {
            break;
        }
    }
    made
}

#[test]
fn what_is_kept_breaks_no_promise() {
    for (name, target) in TARGETS {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("kept").join(name);
        let mut files: Vec<_> = std::fs::read_dir(&folder).expect("texts are kept").map(|entry| entry.expect("a file").path()).collect();
        files.sort();
        assert!(files.len() >= 3, "{name}: texts to begin from");
        let mut row = Row(0x9E37_79B9_7F4A_7C15);
        for path in files {
            let bytes = std::fs::read(&path).expect("a text");
            target(&bytes);
            let found = path.file_name().is_some_and(|name| name.len() == 40);
            let times = if found { TIMES_FOUND } else { TIMES };
            for _ in 0..if bytes.len() > LONGEST || bytes.is_empty() { 0 } else { times } {
                target(&spoiled(&bytes, &mut row));
            }
        }
    }
}
