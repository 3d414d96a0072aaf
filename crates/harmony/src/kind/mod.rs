//! What kind of tune this is.
//!
//! The kinds and their names are the trade's; thresholds are ours, after common practice on the harp. A guess says what it rests on
//! and can be overruled by whoever asked. [`tempo`] is what a harpist would take when the source gives none.

pub mod tempo;

pub use tempo::assumed_tempo;

use crate::melody;
use music::{Beats, LeadSheet, Meter};
use std::fmt;

/// A kind of tune, in the trade's word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum KindOfTune {
    /// 6/8, quick.
    Jig,
    /// 9/8, quick.
    SlipJig,
    /// Even and quick, in four or in cut time.
    Reel,
    /// In four, dotted or leaned on.
    Hornpipe,
    /// 2/4, lively.
    Polka,
    /// In two or four, to walk to.
    March,
    /// 3/4, round.
    Waltz,
    /// A melody that is played freely.
    Air,
    /// Something with words.
    Song,
    /// Sung in church.
    Hymn,
    /// Sung at a feast of the year.
    Carol,
    /// Sung to a child.
    Lullaby,
    /// Slow and sad.
    Lament,
    /// Minuet, gavotte, sarabande, the old triple-time dances.
    OldDance,
}

use KindOfTune::*;

/// Words that name a kind, in titles and rhythm fields; the first of each kind is its name. Two-word names come before their last words.
const WORDS: &[(&str, KindOfTune)] = &[
    ("slip jig", SlipJig),
    ("hop jig", SlipJig),
    ("slow air", Air),
    ("jig", Jig),
    ("slide", Jig),
    ("reel", Reel),
    ("hornpipe", Hornpipe),
    ("strathspey", Hornpipe),
    ("schottische", Hornpipe),
    ("fling", Hornpipe),
    ("polka", Polka),
    ("march", March),
    ("quickstep", March),
    ("waltz", Waltz),
    ("valse", Waltz),
    ("walzer", Waltz),
    ("mazurka", Waltz),
    ("air", Air),
    ("song", Song),
    ("ballad", Song),
    ("shanty", Song),
    ("hymn", Hymn),
    ("psalm", Hymn),
    ("chorale", Hymn),
    ("carol", Carol),
    ("noel", Carol),
    ("lullaby", Lullaby),
    ("cradle song", Lullaby),
    ("berceuse", Lullaby),
    ("lament", Lament),
    ("old dance", OldDance),
    ("minuet", OldDance),
    ("menuet", OldDance),
    ("gavotte", OldDance),
    ("sarabande", OldDance),
    ("bourree", OldDance),
    ("galliard", OldDance),
    ("pavane", OldDance),
    ("allemande", OldDance),
    ("courante", OldDance),
    ("rigaudon", OldDance),
];

impl KindOfTune {
    /// All of them.
    pub const ALL: [KindOfTune; 14] =
        [Jig, SlipJig, Reel, Hornpipe, Polka, March, Waltz, Air, Song, Hymn, Carol, Lullaby, Lament, OldDance];

    /// The trade's word, in small letters.
    pub fn name(self) -> &'static str {
        match self {
            Jig => "jig",
            SlipJig => "slip jig",
            Reel => "reel",
            Hornpipe => "hornpipe",
            Polka => "polka",
            March => "march",
            Waltz => "waltz",
            Air => "air",
            Song => "song",
            Hymn => "hymn",
            Carol => "carol",
            Lullaby => "lullaby",
            Lament => "lament",
            OldDance => "old dance",
        }
    }

    /// Reads the name of a kind, in any case, or a word that means one ("valse"); `None` for anything else.
    pub fn parse(text: &str) -> Option<KindOfTune> {
        word_in(text).filter(|(word, _)| plain(text) == *word || plain(text).trim_end_matches('s') == *word).map(|(_, kind)| kind)
    }

    /// Danced to, so the beat does not give way: no rolls, no long arpeggios.
    pub fn is_dance(self) -> bool {
        matches!(self, Jig | SlipJig | Reel | Hornpipe | Polka | March | Waltz | OldDance)
    }

    /// Whether a tune of this kind can stand in this meter; a word in a title is believed only then. Common practice.
    fn fits(self, meter: &Meter) -> bool {
        let (n, unit) = (meter.numerator(), meter.unit);
        match self {
            Jig => unit == 8 && n % 3 == 0,
            SlipJig => (n, unit) == (9, 8),
            Reel => matches!((n, unit), (4, 4) | (2, 2) | (2, 4) | (8, 8)),
            Hornpipe => matches!((n, unit), (4, 4) | (2, 2) | (2, 4) | (3, 2)),
            Polka => matches!((n, unit), (2, 4) | (4, 4) | (2, 2)),
            Waltz => n % 3 == 0,
            _ => true,
        }
    }
}

impl fmt::Display for KindOfTune {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// A kind and what it was read or guessed from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Guess {
    /// What it is taken for.
    pub kind: KindOfTune,
    /// Why.
    pub because: Because,
}

/// What a guess rests on. Its [`fmt::Display`] is a half sentence: "the title says waltz".
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Because {
    /// The source's own word, as it wrote it.
    SourceWord(String),
    /// The word that was found in the title.
    TitleWord(String),
    /// It is sung.
    WordsUnderTheNotes,
    /// The word by which its source is a book for singing in church, and words under the notes.
    HymnBook(String),
    /// Meter, and plucks a quarter note in thousandths.
    MeterAndMotion(Meter, i64),
    /// Meter alone.
    Meter(Meter),
    /// There is no measure to judge by.
    Nothing,
    /// The player said so.
    Wished,
}

impl fmt::Display for Because {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Because::SourceWord(word) => write!(f, "the source says {word}"),
            Because::TitleWord(word) => write!(f, "the title says {word}"),
            Because::HymnBook(word) => write!(f, "there are words under the notes, and its source is named: {word}"),
            Because::WordsUnderTheNotes => f.write_str("there are words under the notes"),
            Because::MeterAndMotion(meter, rate) => {
                let tenths = (rate + 50) / 100;
                write!(f, "a guess: it is in {meter} with {}.{} notes to the quarter", tenths / 10, tenths % 10)
            }
            Because::Meter(meter) => write!(f, "a guess: it is in {meter}"),
            Because::Wished => f.write_str("you asked for it"),
            Because::Nothing => f.write_str("a guess: there is nothing to go by"),
        }
    }
}

/// The source's own word; else a word in the title that fits the meter; else words under the notes mean a song; else meter and motion.
///
/// ```
/// use harmony::kind::guess;
/// use music::text;
///
/// // Common practice: running eighths in 6/8 are a jig, until its source says otherwise.
/// let mut tune = text::sheet("6/8 D | D5:1/2 F#5:1/2 A5:1/2 F#5:1/2 E5:1/2 D5:1/2 |");
/// assert_eq!(guess(&tune).kind.name(), "jig");
/// tune.words.rhythm = Some("slow air".into());
/// let guess = guess(&tune);
/// assert_eq!((guess.kind.name(), guess.because.to_string().as_str()), ("air", "the source says slow air"));
/// ```
pub fn guess(sheet: &LeadSheet) -> Guess {
    let Some(meter) = main_meter(sheet) else { return Guess { kind: Song, because: Because::Nothing } };
    let said = sheet.words.rhythm.as_deref().and_then(|text| Some((text.trim().to_owned(), word_in(text)?.1)));
    if let Some((text, kind)) = said {
        let kind = if kind == Jig && SlipJig.fits(&meter) { SlipJig } else { kind };
        return Guess { kind, because: Because::SourceWord(text) };
    }
    let titles = std::iter::once(&sheet.words.title).chain(&sheet.words.subtitles);
    if let Some((word, kind)) = titles.filter_map(|t| word_in(t)).find(|(_, kind)| kind.fits(&meter)) {
        let kind = if kind == Jig && SlipJig.fits(&meter) { SlipJig } else { kind };
        return Guess { kind, because: Because::TitleWord(word.to_owned()) };
    }
    if let Some(word) = hymn_book(sheet).filter(|_| sheet.has_syllables()) {
        return Guess { kind: Hymn, because: Because::HymnBook(word) };
    }
    if sheet.has_syllables() {
        return Guess { kind: Song, because: Because::WordsUnderTheNotes };
    }
    by_meter(sheet, meter)
}

/// A word of the lines about the source that names a hymnal, a psalter or the like.
fn hymn_book(sheet: &LeadSheet) -> Option<String> {
    let words = &sheet.words;
    let lines = [&words.source, &words.rights, &words.composer, &words.lyricist, &words.origin].into_iter().flatten();
    let mut all = lines.flat_map(|line| line.split(|c: char| !c.is_alphabetic()));
    all.find(|word| BOOKS.iter().any(|book| word.to_lowercase().starts_with(book))).map(ToOwned::to_owned)
}

/// How the names of such books begin, in the languages in which most hymns come.
const BOOKS: [&str; 7] = ["hymn", "psalter", "psalmod", "choralbuch", "gesangbuch", "koralbok", "chorale"];

/// The meter that most of the tune stands in; of equals, the first.
pub fn main_meter(sheet: &LeadSheet) -> Option<Meter> {
    let mut meters: Vec<(&Meter, Beats)> = Vec::new();
    for frame in sheet.measures.iter().map(|m| &m.frame) {
        match meters.iter_mut().find(|(meter, _)| *meter == &frame.meter) {
            Some((_, length)) => *length += frame.length,
            None => meters.push((&frame.meter, frame.length)),
        }
    }
    let most = meters.iter().map(|m| m.1).max()?;
    meters.iter().find(|m| m.1 == most).map(|m| m.0.clone())
}

fn by_meter(sheet: &LeadSheet, meter: Meter) -> Guess {
    let rate = melody::plucks_per_quarter(sheet);
    let kind = match (meter.numerator(), meter.unit) {
        (3 | 6 | 12, 8) => {
            if rate >= 1250 {
                Jig
            } else {
                Air
            }
        }
        (9, 8) => {
            if rate >= 1250 {
                SlipJig
            } else {
                Air
            }
        }
        (4, 4) | (2, 2) | (8, 8) if rate >= 1100 && share(sheet, has_long_note) <= 333 => {
            if dotted_share(sheet) >= 300 {
                Hornpipe
            } else {
                Reel
            }
        }
        (2, 4) if rate >= 2200 => Reel,
        (2, 4) if rate >= 1600 => Polka,
        (2, 4) => March,
        (3, 4) => return Guess { kind: Waltz, because: Because::Meter(meter) },
        (3, 2) | (6, 4) => return Guess { kind: OldDance, because: Because::Meter(meter) },
        (4, 4) | (2, 2) | (8, 8) => Song,
        _ => return Guess { kind: Song, because: Because::Meter(meter) },
    };
    Guess { kind, because: Because::MeterAndMotion(meter, rate) }
}

/// The share of measures for which something holds, in thousandths.
fn share(sheet: &LeadSheet, holds: fn(&music::SheetMeasure) -> bool) -> i64 {
    let count = sheet.measures.iter().filter(|m| holds(m)).count() as i64;
    count * 1000 / sheet.measures.len().max(1) as i64
}

fn has_long_note(measure: &music::SheetMeasure) -> bool {
    measure.notes.iter().any(|n| !n.is_rest() && n.length >= Beats::HALF)
}

/// The share of quarter beats that hold a dotted pair (long-short in the ratio three to one or two to one), in thousandths.
fn dotted_share(sheet: &LeadSheet) -> i64 {
    let (mut dotted, mut all) = (0, 0);
    for m in &sheet.measures {
        all += m.frame.length.div_floor(Beats::QUARTER);
        let pairs = m.notes.windows(2).filter(|pair| {
            let (long, short) = (&pair[0], &pair[1]);
            let fills = (long.at % Beats::QUARTER).is_zero() && long.length + short.length == Beats::QUARTER;
            fills && !long.is_rest() && !short.is_rest() && (long.length == short.length * 3 || long.length == short.length * 2)
        });
        dotted += pairs.count() as i64;
    }
    dotted * 1000 / all.max(1)
}

/// Lower case, accents of the few words concerned taken off, every other sign a space.
fn plain(text: &str) -> String {
    let letter = |c: char| match c {
        'é' | 'è' | 'ê' | 'ë' | 'É' => 'e',
        '\'' | '’' | '-' => ' ',
        c if c.is_alphanumeric() => c,
        _ => ' ',
    };
    let flat: String = text.chars().map(letter).flat_map(char::to_lowercase).collect();
    flat.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The word for a kind that comes last in a text, singular or plural.
fn word_in(text: &str) -> Option<(&'static str, KindOfTune)> {
    let text = format!(" {} ", plain(text));
    let ends = |form: String| text.rfind(&form).map(|at| at + form.trim_end().len());
    let place = |word: &str| [format!(" {word} "), format!(" {word}s "), format!(" {word}es ")].into_iter().filter_map(ends).max();
    WORDS
        .iter()
        .filter_map(|(word, kind)| Some((place(word)?, word.len(), *word, *kind)))
        .max_by_key(|(end, length, _, _)| (*end, *length))
        .map(|(_, _, word, kind)| (word, kind))
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::text::sheet;

    fn because(tune: &LeadSheet) -> String {
        let guess = guess(tune);
        format!("{}: {}", guess.kind, guess.because)
    }

    fn titled(text: &str, title: &str) -> LeadSheet {
        let mut tune = sheet(text);
        tune.words.title = title.into();
        tune
    }

    #[test]
    fn every_kind_reads_its_own_name() {
        for kind in KindOfTune::ALL {
            assert_eq!(KindOfTune::parse(kind.name()), Some(kind));
        }
        assert_eq!(KindOfTune::parse("Slip-Jigs"), Some(SlipJig));
        assert_eq!(KindOfTune::parse("the waltz"), None);
        assert_eq!(KindOfTune::parse("foxtrot"), None);
    }

    /// The order of the sources of a guess: the rhythm field, the title, words, meter.
    #[test]
    fn the_surest_sign_wins() {
        let mut tune = titled("3/4 C | C4:3 |", "The Ferryman's Song");
        assert_eq!(because(&tune), "song: the title says song");
        tune.words.rhythm = Some("Waltz".into());
        assert_eq!(because(&tune), "waltz: the source says Waltz");
        assert_eq!(because(&titled("3/4 C | C4:3 |", "Bread")), "waltz: a guess: it is in 3/4");
    }

    /// Words under the notes make a song; where the source is a hymnal, a hymn.
    #[test]
    fn a_hymn_book_is_a_sign_of_a_hymn() {
        let mut tune = titled("4/4 C | C4:4 |", "Old Hundredth");
        tune.words.source = Some("Harbour Hymnal, 1911".into());
        assert_eq!(guess(&tune).kind, Song);
        tune.measures[0].notes[0].syllables.push(music::Syllable {
            verse: 1,
            text: "All".into(),
            hyphen: music::Hyphen::Single,
            held: false,
        });
        assert_eq!(because(&tune), "hymn: there are words under the notes, and its source is named: Hymnal");
        tune.words.source = None;
        assert_eq!(because(&tune), "song: there are words under the notes");
    }

    #[test]
    fn a_word_in_the_title_counts_only_where_the_meter_allows_it() {
        assert_eq!(
            because(&titled("4/4 C | C4:4 |", "Waltz me to the Bakery")),
            "song: a guess: it is in 4/4 with 0.3 notes to the quarter"
        );
        assert_eq!(because(&titled("9/8 C | C4:4.5 |", "The Lighthouse Jig")), "slip jig: the title says jig");
        assert_eq!(because(&titled("2/4 C | C4:2 |", "Berceuse du Passeur")), "lullaby: the title says berceuse");
        assert_eq!(because(&titled("2/4 C | C4:2 |", "The Fairest Airing")), "march: a guess: it is in 2/4 with 0.5 notes to the quarter");
    }

    /// Ours.
    #[test]
    fn meter_and_motion_decide_where_nothing_is_said() {
        let eighths = "C4:1/2 D4:1/2 E4:1/2 F4:1/2 G4:1/2 A4:1/2 B4:1/2 C5:1/2";
        let dotted = "C4:3/4 D4:1/4 E4:3/4 F4:1/4 G4:3/4 A4:1/4 B4:3/4 C5:1/4";
        let kind = |text: String| guess(&sheet(&text)).kind;
        assert_eq!(kind(format!("4/4 C | {eighths} | {eighths} |")), Reel);
        assert_eq!(kind(format!("4/4 C | {dotted} | {dotted} |")), Hornpipe);
        assert_eq!(kind(format!("4/4 C | {eighths} | C4:2 D4:2 |")), Song);
        assert_eq!(kind("6/8 D | D4:1/2 E4:1/2 F#4:1/2 G4:1 A4:1/2 |".into()), Jig);
        assert_eq!(kind("6/8 D | D4:1 E4:1/2 F#4:3/2 |".into()), Air);
        assert_eq!(kind("3/2 D | D4:2 E4:2 F#4:2 |".into()), OldDance);
        assert_eq!(kind("2/4 D | D4:1/2 E4:1/2 F#4:1/2 G4:1/2 |".into()), Polka);
    }
}
