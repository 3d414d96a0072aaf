//! Two whole collections of music21's corpus, 2,239 tunes nobody had tuned to, read in one run, and every other of them arranged: no panic, no tune unread, and work
//! that stays within its counted bounds. Where notes cannot be played, the nearest key that works is looked for too.
//!
//! Hardly a tune in them has chord symbols, so every eighth is arranged with the chords that are made for its melody, in both versions.

use arrange::keys::{Nearest, Patience, nearest_that_works};
use arrange::{Figures, Wishes, arrange};
use formats::{ReadOptions, read};
use harmony::bare::{Version, chords};
use harp::{Instrument, Player};
use music::LeadSheet;
use outside::facts::{self, Facts};
use std::path::PathBuf;
use std::sync::Mutex;
use std::time::{Duration, Instant};

const COLLECTIONS: [&str; 2] = ["ryansMammoth", "airdsAirs"];
const AT_LEAST: usize = 2_200;
/// One tune in so many is arranged.
const ARRANGED: usize = 2;
/// One tune in so many without chord symbols is given some, and so many are.
const EVERY: usize = 8;
const GIVEN: usize = 250;
/// Tunes that cannot be read, each with the reason. There are none.
const UNREAD: [(&str, &str); 0] = [];
/// States of levers in planning one page. `harp::settings` allows a page of 200 places about 180,000 in all its runs together; several times that is a runaway.
const STATES: usize = 500_000;
/// Only a hang takes as long on any machine: what bounds the work is counted.
const A_HANG: Duration = Duration::from_secs(60);

struct Work {
    file: PathBuf,
    number: u32,
    arranged: bool,
    with_chords: bool,
}

/// What became of one tune.
struct Done {
    name: String,
    /// The longer of its arrangements, chords and the search for a key included; for the chords alone, where they were made.
    took: Duration,
    made_chords: Option<Duration>,
    states: usize,
    /// Notes that cannot be played as written, and whether a key was found in which all can.
    missing: usize,
    found: bool,
    /// States that the search for a key used up.
    looked: usize,
}

fn tunes() -> Vec<Work> {
    let facts: Facts = facts::load("abc");
    let mut all = Vec::new();
    for collection in COLLECTIONS {
        let folder = facts.root.join("corpus").join(collection);
        let entries = std::fs::read_dir(&folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
        let mut files: Vec<PathBuf> = entries.map(|f| f.expect("a file").path()).collect();
        files.retain(|f| f.extension().is_some_and(|e| e == "abc"));
        files.sort();
        for file in files {
            let text = String::from_utf8_lossy(&std::fs::read(&file).expect("a file of the corpus")).into_owned();
            let numbers = text.lines().filter_map(|line| line.strip_prefix("X:")).filter_map(|number| number.trim().parse().ok());
            all.extend(numbers.map(|number| Work { file: file.clone(), number, arranged: false, with_chords: false }));
        }
    }
    all.iter_mut().step_by(ARRANGED).for_each(|work| work.arranged = true);
    all.iter_mut().step_by(EVERY).for_each(|work| work.with_chords = true);
    all
}

/// Puts the chords of a version under the melody.
fn give_chords(sheet: &mut LeadSheet, version: Version) {
    for (measure, placed) in chords(sheet, version).symbols(sheet) {
        sheet.measures[measure].frame.chords.push(placed);
    }
}

fn done(work: &Work, harp: &Instrument, player: &Player, figures: &Figures) -> Result<Done, String> {
    let name = format!("{} {}", work.file.file_name().unwrap_or_default().to_string_lossy(), work.number);
    let bytes = std::fs::read(&work.file).expect("a file of the corpus");
    let imported = read(&bytes, &ReadOptions { tune: Some(work.number), part: None }).map_err(|e| format!("{name}: {e}"))?;
    let bare = work.with_chords && !imported.sheet.has_chords();
    let versions: &[Option<Version>] = if bare { &[Some(Version::ThreeChord), Some(Version::Fuller)] } else { &[None] };
    let mut done = Done { name, took: Duration::ZERO, made_chords: None, states: 0, missing: 0, found: false, looked: 0 };
    if !work.arranged {
        return Ok(done);
    }
    for version in versions {
        let began = Instant::now();
        let mut sheet = imported.sheet.clone();
        if let Some(version) = version {
            give_chords(&mut sheet, *version);
            done.made_chords = done.made_chords.max(Some(began.elapsed()));
        }
        one(&mut done, &sheet, harp, player, figures)?;
        done.took = done.took.max(began.elapsed());
    }
    Ok(done)
}

fn one(done: &mut Done, sheet: &LeadSheet, harp: &Instrument, player: &Player, figures: &Figures) -> Result<(), String> {
    let wishes = Wishes::default();
    let made = arrange(sheet, figures, harp, player, &wishes).map_err(|e| format!("{}: {e}", done.name))?;
    let page = &made.plan.settled.page;
    let mut patience = Patience::default();
    let before = patience.states;
    if !page.missing.is_empty() {
        let nearest =
            nearest_that_works(sheet, figures, harp, player, &wishes, &mut patience).map_err(|e| format!("{}: {e}", done.name))?;
        done.found |= matches!(nearest, Nearest::Key(_));
    }
    let looked = before - patience.states;
    assert!(looked < before, "{}: the question for a key that works used up all the work it may be", done.name);
    done.states = done.states.max(page.states);
    done.missing = done.missing.max(page.missing.len());
    done.looked = done.looked.max(looked);
    Ok(())
}

#[test]
fn two_thousand_tunes_in_one_run() {
    let began = Instant::now();
    let (figures, harp, player) = (Figures::own(), Instrument::lever_34(), Player::default());
    let tunes = tunes();
    assert!(tunes.len() >= AT_LEAST, "{} tunes, expected at least {AT_LEAST}", tunes.len());
    let all = Mutex::new((tunes.iter(), Vec::new()));
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(1, usize::from) {
            scope.spawn(|| {
                loop {
                    let next = all.lock().expect("no panic in a lock").0.next();
                    let Some(work) = next else { break };
                    let made = done(work, &harp, &player, &figures);
                    all.lock().expect("no panic in a lock").1.push(made);
                }
            });
        }
    });
    let (mut made, mut unread) = (Vec::new(), Vec::new());
    for done in all.into_inner().expect("no panic in a lock").1 {
        match done {
            Ok(done) => made.push(done),
            Err(error) => unread.push(error),
        }
    }
    let reasoned = |error: &String| UNREAD.iter().any(|(name, _)| error.starts_with(&format!("{name}:")));
    unread.retain(|error| !reasoned(error));
    assert!(unread.is_empty(), "{} tunes:\n{}", unread.len(), unread.join("\n"));
    let slowest = made.iter().max_by_key(|d| d.took).expect("some tune");
    let mut given: Vec<(Duration, Duration)> = made.iter().filter_map(|d| Some((d.made_chords?, d.took))).collect();
    assert!(given.len() >= GIVEN, "{} tunes were given chords", given.len());
    given.sort();
    let middle = given[given.len() / 2].0;
    given.sort_by_key(|g| g.1);
    println!(
        "{} tunes given chords in two versions: the chords in {:.1} ms, chords and arrangement in {:.0} ms (medians of the longer)",
        given.len(),
        middle.as_secs_f64() * 1e3,
        given[given.len() / 2].1.as_secs_f64() * 1e3
    );
    let lacking: Vec<&Done> = made.iter().filter(|d| d.missing > 0).collect();
    let most = |of: fn(&Done) -> usize| made.iter().max_by_key(|d| of(d)).map(|d| (of(d), d.name.as_str())).expect("some tune");
    println!(
        "{} tunes, one in {ARRANGED} arranged, in {:.1} s; the slowest {} in {:.2} s; notes missing in {}, of which {} have a key that works; most states for a page {:?}, for a key {:?}",
        made.len(),
        began.elapsed().as_secs_f64(),
        slowest.name,
        slowest.took.as_secs_f64(),
        lacking.len(),
        lacking.iter().filter(|d| d.found).count(),
        most(|d| d.states),
        most(|d| d.looked),
    );
    assert!(
        lacking.len() > 50 && lacking.iter().filter(|d| d.found).count() > 10,
        "{} tunes lack a note: too few to show anything",
        lacking.len()
    );
    assert!(most(|d| d.states).0 <= STATES, "{:?} states for a page", most(|d| d.states));
    assert!(slowest.took < A_HANG, "{}: {:?}", slowest.name, slowest.took);
}
