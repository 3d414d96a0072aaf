//! Which key suits: the tune arranged in every key, and what each asks of the harp, the hands and a singer.
//!
//! Nothing is estimated: every key that is named is arranged whole and its settings planned; which spelling of it, and which key first, is decided by what the
//! tune alone asks for ([`outlook`]). Which key suits better: [`KeyChoice::rank`].

mod outlook;

use crate::arrangement::{ArrangeError, Arrangement, Remark, arrange};
use crate::figures::Figures;
use crate::wishes::Wishes;
use harmony::melody;
use harp::{Instrument, Mechanism, Player};
use music::{Interval, Key, LeadSheet, Pitch};
use outlook::{Outlook, Outlooks};

/// What a key counts by its sharps or flats: up to three are read and set every day, five and more hardly ever. OURS.
const UNUSUAL: [i64; 8] = [0, 0, 0, 100, 700, 2_200, 4_000, 6_000];
/// A measure without room for the left hand, in lever moves; pedal moves that weigh as much as one lever move. OURS.
const BARE: usize = 2;
const PEDALS: usize = 4;
/// A tune heard wholly on stopped strings, against one wholly on open ones: less than half a lever move. OURS.
const DULL: i64 = 600;
/// Another key than the written one, which she and those she plays with have before them, and each semitone away from it. OURS.
const ANOTHER: i64 = 800;
const AWAY: i64 = 80;
/// How much of the left hand's own price counts beside these: how well it lies says less than whether the key is one she plays in. OURS.
const LEFT_HAND: i64 = 4;
/// Keys that are arranged in the search for one that works.
const MOST_TRIED: usize = 4;

/// One key for a tune on a harp.
#[derive(Clone, Debug)]
pub struct KeyChoice {
    pub key: Key,
    /// From the written key, octaves the harp asks for included.
    pub by: Interval,
    /// The wish that leads here ([`Wishes::transpose`]).
    pub wished: Interval,
    pub lowest: Pitch,
    pub highest: Pitch,
    /// Notes of the tune that the harp does not have at their moment, or at all.
    pub missing: usize,
    /// Levers or pedals moved from beginning to end, every repeat counted.
    pub moves: usize,
    /// How levers or pedals stand at the start.
    pub opening: String,
    /// Strings between the harp's lowest (or C2, if that is higher) and where the lower quarter of the tune lies.
    pub hand_room: i32,
    /// Measures in which the left hand has no room at all.
    pub bare: usize,
    /// Plucks on strings that no lever or pedal stops, in thousandths.
    pub open_strings: i64,
    /// Semitones of the tune outside the singer's range, taken in her best octave; `None` where no range was given.
    pub outside_voice: Option<i32>,
    /// The plan's price with levers or pedals, what its sharps or flats, stopped strings and the way from the written key count: among keys that ask as much, the
    /// ranking goes by it.
    pub price: i64,
    /// What its moves and bare measures ask of the player, in lever moves.
    pub asks: usize,
}

/// The range of a voice, lowest and highest note.
pub type Voice = (Pitch, Pitch);

/// Every key, the best first; equals in the order of their distance from the written key, up before down.
pub fn keys(
    sheet: &LeadSheet,
    figures: &Figures,
    harp: &Instrument,
    player: &Player,
    wishes: &Wishes,
    voice: Option<Voice>,
) -> Result<Vec<KeyChoice>, ArrangeError> {
    let wishes = &of_the_right_hand(wishes);
    let mut patience = Patience::default();
    let mut outlooks = Outlooks::new(sheet, harp, player, wishes, &mut patience)?;
    let mut ranked = Vec::new();
    for sound in 0..12 {
        // Of the spellings and octaves of one key, the one with the best outlook.
        let of_this_sound = |o: &Outlook| o.wished.semitones.rem_euclid(12) == sound;
        let rank = |o: &Outlook| of_this_sound(o).then_some((o.least, o.wished.semitones.abs(), -o.wished.semitones));
        if let Some(best) = outlooks.best(rank) {
            ranked.extend(in_key(sheet, figures, harp, player, wishes, (best.wished, voice))?);
        }
    }
    ranked.sort_by_key(KeyChoice::rank);
    Ok(ranked)
}

/// What became of the question for the nearest key that works.
#[derive(Clone, Debug)]
pub enum Nearest {
    Key(Box<KeyChoice>),
    /// In every key some note of the tune alone cannot be played.
    None,
    /// None was found; there may be one.
    NotFound,
    /// Nobody waits for the answer any more.
    GivenUp,
}

impl Nearest {
    pub fn key(self) -> Option<KeyChoice> {
        if let Nearest::Key(key) = self { Some(*key) } else { None }
    }
}

/// How long an answer is waited for: as work that is counted, so that every machine gives the same answer, and as long as somebody wants to know.
pub struct Patience<'a> {
    /// States of levers and pedals that may still be made in planning ([`harp::settings::plan_within`]). Default: 400,000, about a quarter of a second.
    pub states: usize,
    /// Asked before each key that is looked at: `false` ends the question. Default: always.
    pub wanted: &'a dyn Fn() -> bool,
}

impl Default for Patience<'_> {
    fn default() -> Self {
        Patience { states: 400_000, wanted: &|| true }
    }
}

/// The nearest key in which the harp has all of the tune, arranged to make sure.
pub fn nearest_that_works(
    sheet: &LeadSheet,
    figures: &Figures,
    harp: &Instrument,
    player: &Player,
    wishes: &Wishes,
    patience: &mut Patience,
) -> Result<Nearest, ArrangeError> {
    let wishes = &of_the_right_hand(wishes);
    let mut outlooks = Outlooks::new(sheet, harp, player, wishes, patience)?;
    for _ in 0..MOST_TRIED {
        let Some(outlook) = outlooks.best(Outlook::by_distance) else { break };
        let choice = in_key(sheet, figures, harp, player, wishes, (outlook.wished, None))?;
        if let Some(choice) = choice.filter(KeyChoice::works) {
            return Ok(Nearest::Key(Box::new(choice)));
        }
        outlooks.none = false;
    }
    let none = outlooks.none;
    Ok(match none {
        _ if !(patience.wanted)() => Nearest::GivenUp,
        true => Nearest::None,
        false => Nearest::NotFound,
    })
}

/// The nearest key in which the harp has all of the tune, whatever the left hand does; the tune is not arranged.
pub fn nearest_for_the_tune(
    sheet: &LeadSheet,
    harp: &Instrument,
    player: &Player,
    wishes: &Wishes,
    patience: &mut Patience,
) -> Result<Option<Key>, ArrangeError> {
    let wishes = &of_the_right_hand(wishes);
    let mut outlooks = Outlooks::new(sheet, harp, player, wishes, patience)?;
    let own = sheet.measures.first().map_or(Key::C_MAJOR, |m| m.frame.key.clone());
    let best = outlooks.best(Outlook::by_distance).filter(Outlook::is_planned);
    Ok(best.map(|outlook| own.up(outlook.wished)))
}

/// Keys are weighed with the melody in the right hand: what the left hand can play is asked in the key that is chosen.
fn of_the_right_hand(wishes: &Wishes) -> Wishes {
    Wishes { melody_below: Default::default(), ..wishes.clone() }
}

fn in_key(
    sheet: &LeadSheet,
    figures: &Figures,
    harp: &Instrument,
    player: &Player,
    wishes: &Wishes,
    (wished, voice): (Interval, Option<Voice>),
) -> Result<Option<KeyChoice>, ArrangeError> {
    let wishes = Wishes { transpose: Some(wished), ..wishes.clone() };
    let made = arrange(sheet, figures, harp, player, &wishes)?;
    Ok(weighed(&made, wished, harp, voice))
}

fn weighed(made: &Arrangement, wished: Interval, harp: &Instrument, voice: Option<Voice>) -> Option<KeyChoice> {
    let range = melody::range(&made.tune.sheet)?;
    let page = &made.plan.settled.page;
    let off: usize = made.remarks.iter().map(|r| if let Remark::LeavesTheHarp(at) = r { at.len() } else { 0 }).sum();
    let missing = page.missing.len().max(off);
    let bare = made.remarks.iter().map(|r| if let Remark::NoRoom(at) = r { at.len() } else { 0 }).sum();
    let open_strings = open(made, harp);
    let outside_voice = voice.map(|voice| outside((range.lowest, range.highest), voice));
    let plan = made.plan.total();
    let key = made.tune.sheet.measures.first()?.frame.key.clone();
    let moves = page.moves.len();
    let moved = if matches!(harp.mechanism, Mechanism::Levers(_)) { moves } else { moves / PEDALS };
    let price = plan / LEFT_HAND
        + UNUSUAL[key.fifths.unsigned_abs().min(7) as usize]
        + DULL * (1_000 - open_strings) / 1_000
        + if wished.semitones.rem_euclid(12) == 0 { 0 } else { ANOTHER }
        + AWAY * i64::from(wished.semitones.abs());
    Some(KeyChoice {
        key,
        by: made.moved,
        wished,
        lowest: range.lowest,
        highest: range.highest,
        missing,
        moves,
        opening: page.opening.setting(harp).line(),
        hand_room: range.lower_quartile.position() - harp.lowest().max(14),
        bare,
        open_strings,
        outside_voice,
        price,
        asks: moved + BARE * bare,
    })
}

/// Plucks on unstopped strings, in thousandths: levers down, pedals flat (harp facts 1.3: flat keys ring best; 2.2: levers may deaden).
fn open(made: &Arrangement, harp: &Instrument) -> i64 {
    let notes = made.score.measures.iter().flat_map(|m| m.right.iter().chain(&m.left)).filter(|n| n.is_plucked());
    let pitches: Vec<Pitch> = notes.flat_map(|n| n.pitches.iter().copied()).collect();
    let open = |p: &&Pitch| match harp.mechanism {
        Mechanism::Levers(_) => p.alter == harp.tuning.alter(p.step),
        Mechanism::Pedals { .. } => p.alter < 0,
    };
    pitches.iter().filter(open).count() as i64 * 1_000 / (pitches.len().max(1) as i64)
}

/// Semitones outside a voice, in the octave that suits it best.
fn outside(tune: (Pitch, Pitch), voice: Voice) -> i32 {
    let beyond = |octaves: i32| {
        let (low, high) = (tune.0.midi() + 12 * octaves, tune.1.midi() + 12 * octaves);
        (voice.0.midi() - low).max(0) + (high - voice.1.midi()).max(0)
    };
    (-3..=3).map(beyond).min().unwrap_or(0)
}

impl KeyChoice {
    /// Less is better: notes that cannot be played, half steps outside the singer's range, what moves and bare measures ask, then the price; of equals the nearest
    /// to the written key, up before down.
    pub fn rank(&self) -> (usize, i32, usize, i64, i32, i32) {
        (self.missing, self.outside_voice.unwrap_or(0), self.asks, self.price, self.wished.semitones.abs(), -self.wished.semitones)
    }

    /// What a harpist would say of the key, in one sentence.
    pub fn sentence(&self, harp: &Instrument) -> String {
        let levers = matches!(harp.mechanism, Mechanism::Levers(_));
        let thing = if levers { "lever" } else { "pedal" };
        let mut parts = vec![match (self.missing, self.moves) {
            (1, _) => "one note cannot be played on this harp".to_owned(),
            (n, _) if n > 1 => format!("{n} notes cannot be played on this harp"),
            (_, 0) => format!("no {thing} moves while playing"),
            (_, 1) => format!("one {thing} move while playing"),
            (_, n) => format!("{n} {thing} moves while playing"),
        }];
        if let Some(outside) = self.outside_voice {
            parts.push(match outside {
                0 => "within the singer's range".into(),
                1 => "a half step outside the singer's range".into(),
                n => format!("{n} half steps outside the singer's range"),
            });
        }
        parts.push(match self.hand_room {
            ..8 => "little room for the left hand".into(),
            8..=20 => format!("{} strings for the left hand", self.hand_room),
            _ => "plenty of room for the left hand".into(),
        });
        if self.bare > 0 {
            parts.push(format!("the left hand has to rest in {} measure{}", self.bare, if self.bare == 1 { "" } else { "s" }));
        }
        parts.push(match self.open_strings {
            800.. => "rings well, most notes on open strings".to_owned(),
            500..800 => format!("{} % of the notes on open strings", self.open_strings / 10),
            _ => format!("most notes need a {thing} set ({} % on open strings)", self.open_strings / 10),
        });
        parts.join("; ")
    }

    pub fn works(&self) -> bool {
        self.missing == 0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use music::text::sheet;

    fn ranked(tune: &str, voice: Option<Voice>) -> Vec<KeyChoice> {
        let (figures, harp, player) = (Figures::own(), Instrument::lever_34(), Player::default());
        keys(&sheet(tune), &figures, &harp, &player, &Wishes::default(), voice).expect("a tune")
    }

    const PLAIN: &str = r#"4/4 G | "G" G4:1 B4:1 D5:2 | "C" E5:2 C5:2 | "D" D5:1 C5:1 A4:2 | "G" G4:4 |"#;

    /// Harp facts 2.3: E-flat tuning sets eight major keys; a plain tune needs no move in them, and in a key that cannot be set its notes are respelled or missing.
    #[test]
    fn a_plain_tune_needs_no_move_where_the_key_can_be_set() {
        let all = ranked(PLAIN, None);
        assert_eq!(all.len(), 12);
        for choice in &all {
            if (-3..=4).contains(&choice.key.fifths) {
                assert_eq!((choice.moves, choice.missing), (0, 0), "{}", choice.key);
            }
        }
        assert!((-3..=4).contains(&all[0].key.fifths), "{}", all[0].key);
    }

    /// Arithmetic: a voice from A3 to E4 takes a fifth, and this tune spans a sixth from G to E.
    #[test]
    fn a_voice_moves_the_ranking() {
        let voice = (Pitch::parse("A3").expect("a pitch"), Pitch::parse("G4").expect("a pitch"));
        let all = ranked(PLAIN, Some(voice));
        assert_eq!(all[0].outside_voice, Some(0));
        assert!(all.iter().any(|c| c.outside_voice.is_some_and(|o| o > 0)));
    }

    fn nearest(tune: &str, wanted: &dyn Fn() -> bool) -> Nearest {
        let (figures, harp, player) = (Figures::own(), Instrument::lever_34(), Player::default());
        let mut patience = Patience { wanted, ..Patience::default() };
        nearest_that_works(&sheet(tune), &figures, &harp, &player, &Wishes::default(), &mut patience).expect("a tune")
    }

    /// Harp facts 2.3: on E-flat tuning A flat major cannot be set, and its D flat, had as C sharp, stands in the way of a C. A key up or down it can.
    /// Five neighbouring semitones plucked together want more strings than this tuning has for them, wherever they lie.
    #[test]
    fn the_nearest_key_that_works_or_none() {
        let always = || true;
        let clashing = r#"4/4 Ab | "Ab" C5:1/2 Db5:1/2 C5:1/2 Db5:1/2 Eb5:2 | "Ab" Ab4:4 |"#;
        let found = nearest(clashing, &always).key().expect("a key");
        assert!(found.works() && found.wished.semitones.abs() <= 2, "{}", found.key);
        let never = r#"4/4 C | "C" C5+C#5+D5+Eb5+E5:4 |"#;
        assert!(matches!(nearest(never, &always), Nearest::None), "{:?}", nearest(never, &always));
        assert!(matches!(nearest(clashing, &|| false), Nearest::GivenUp));
    }
}
