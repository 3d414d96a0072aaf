//! To which chords a tune comes home: its tonic, what leads there, and what else it uses.
//!
//! The tune's own chords come before the theory book: a modal tune that never uses a dominant gets none from us, and a harp needs no lever for a tone that the
//! tune does not have.

use music::order::playing_order;
use music::{Chord, ChordKind, ChordOrigin, ChordSymbol, Frame, Harmony, Interval, Key, LeadSheet, Mode, PitchName, PlacedChord};

/// The chords of home.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Home {
    /// Where the tune ends, and where it begins; they differ where the key changes.
    pub close: Chord,
    pub tonic: Chord,
    /// What leads to the tonic at the beginning.
    pub leading: Chord,
    /// A step on the way there, where the tune has one.
    pub before: Option<Chord>,
    pub sixth: Option<Chord>,
    /// The chord a fourth above the last, where the tune has one: a gentle close.
    pub plagal: Option<Chord>,
    /// The first chord of the tune.
    pub first: Option<Chord>,
    /// The tune has chords at all.
    pub has_chords: bool,
}

impl Home {
    pub fn of(sheet: &LeadSheet) -> Option<Home> {
        let frames: Vec<&Frame> = sheet.measures.iter().map(|m| &m.frame).collect();
        let order = playing_order(&frames).measures;
        let (opening, closing) = (&sheet.measures.get(*order.first()?)?.frame.key, &sheet.measures.get(*order.last()?)?.frame.key);
        let chords: Vec<Chord> = order.iter().flat_map(|m| &frames[*m].chords).filter_map(|c| c.symbol.chord().cloned()).collect();
        let last_note = order.iter().rev().flat_map(|m| sheet.measures[*m].notes.iter().rev()).find_map(|n| n.top());
        let close_name = close_name(closing, chords.last(), chords.first(), last_note.map(|p| p.pitch_class()));
        let close = triad_on(close_name, &chords, closing);
        let name = if opening == closing { close_name } else { opening.tonic() };
        let tonic = triad_on(name, &chords, opening);
        let used = Used { chords: &chords, tonic: &tonic };
        let minor = tonic.kind == ChordKind::Minor;
        let fourth = if minor { ChordKind::Minor } else { ChordKind::Major };
        let before = used.any(&[(Interval::new(3, 5), fourth), (Interval::new(1, 2), ChordKind::Minor)]);
        let sixth = if minor { (Interval::new(5, 8), ChordKind::Major) } else { (Interval::new(5, 9), ChordKind::Minor) };
        let plagal = Used { chords: &chords, tonic: &close };
        let close_fourth = if close.kind == ChordKind::Minor { ChordKind::Minor } else { ChordKind::Major };
        Some(Home {
            leading: used.leading(opening, sheet),
            before,
            sixth: used.any(&[sixth]),
            plagal: plagal.any(&[(Interval::new(3, 5), close_fourth)]),
            first: chords.first().cloned(),
            has_chords: !chords.is_empty(),
            close,
            tonic,
        })
    }

    /// Whether the tune begins on its tonic.
    pub fn begins_at_home(&self) -> bool {
        self.first.as_ref().is_none_or(|c| c.root == self.tonic.root)
    }
}

/// The tonic at the end. A tune that ends on another chord, with its melody on the root of that, is at home there, unless it only turns back to its beginning.
fn close_name(key: &Key, last: Option<&Chord>, first: Option<&Chord>, note: Option<i32>) -> PitchName {
    let tonic = key.tonic();
    let Some(last) = last else { return tonic };
    let above = (last.root.pitch_class() - tonic.pitch_class()).rem_euclid(12);
    let turns_back = matches!(above, 5 | 7) && first.is_some_and(|c| c.root == tonic);
    let settles = note == Some(last.root.pitch_class()) || key.mode == Mode::Other;
    if above != 0 && settles && !turns_back { last.root } else { tonic }
}

/// The triad that the tune has on a root, the most frequent; else that of the key.
fn triad_on(root: PitchName, chords: &[Chord], key: &Key) -> Chord {
    let minor = chords
        .iter()
        .filter(|c| c.root == root)
        .map(|c| (is_minor(c), !is_minor(c)))
        .fold((0, 0), |(minor, major), (a, b)| (minor + usize::from(a), major + usize::from(b)));
    let by_key = || {
        let third = PitchName::new(music::Step::from_index(root.step.index() + 2), 0);
        let third = PitchName::new(third.step, key.alter(third.step));
        (third.pitch_class() - root.pitch_class()).rem_euclid(12) == 3
    };
    let minor = if minor == (0, 0) { by_key() } else { minor.0 > minor.1 };
    Chord::new(root, if minor { ChordKind::Minor } else { ChordKind::Major })
}

fn is_minor(chord: &Chord) -> bool {
    chord.third().is_some_and(|t| t.semitones == 3)
}

/// What the tune uses, seen from a tonic.
struct Used<'a> {
    chords: &'a [Chord],
    tonic: &'a Chord,
}

impl Used<'_> {
    /// The first of these triads that the tune has, seventh or not; without chords, none.
    fn any(&self, wanted: &[(Interval, ChordKind)]) -> Option<Chord> {
        let has = |root: PitchName, kind: ChordKind| {
            self.chords.iter().any(|c| c.root == root && c.third().is_some() && is_minor(c) == (kind == ChordKind::Minor))
        };
        let found = wanted.iter().map(|(up, kind)| (self.tonic.root.up(*up), *kind)).find(|(root, kind)| has(*root, *kind));
        found.map(|(root, kind)| Chord::new(root, kind))
    }

    /// What leads home: the dominant seventh where the tune has a dominant or is in a major key, else what the tune goes home by.
    fn leading(&self, key: &Key, sheet: &LeadSheet) -> Chord {
        let fifth = Interval::new(4, 7);
        let seventh = Chord::new(self.tonic.root.up(fifth), ChordKind::Dominant);
        if self.any(&[(fifth, ChordKind::Major)]).is_some() {
            return seventh;
        }
        let below = (Interval::new(6, 10), ChordKind::Major);
        let own = self.any(&[below, (fifth, ChordKind::Minor)]);
        let leading_tone = self.tonic.root.up(Interval::new(6, 11)).pitch_class();
        let sung = || sheet.measures.iter().flat_map(|m| &m.notes).flat_map(|n| &n.pitches).any(|p| p.pitch_class() == leading_tone);
        let in_key = || {
            (0..7).any(|s| PitchName::new(music::Step::from_index(s), key.alter(music::Step::from_index(s))).pitch_class() == leading_tone)
        };
        match own {
            Some(own) if !sung() => own,
            None if !in_key() && !sung() => Chord::new(self.tonic.root.up(below.0), below.1),
            _ => seventh,
        }
    }
}

/// A chord of ours at the start of a measure.
pub fn placed(chord: &Chord) -> PlacedChord {
    let symbol = ChordSymbol { source: chord.to_string(), harmony: Harmony::Chord(chord.clone()) };
    PlacedChord::new(music::Beats::ZERO, symbol).with(ChordOrigin::Ours)
}
