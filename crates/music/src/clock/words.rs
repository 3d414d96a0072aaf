//! Words that change the tempo and carry no number: "rit.", "accel.", "a tempo", "meno mosso".
//!
//! What they mean is common practice; how much they mean nobody says, so every share here is our own starting value, and the page that is planned, checked and
//! heard with it says so. Words that speak of one time through ("slower the second time") are left to the player: the clock goes alike in every pass.

/// What a direction says about the tempo.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TempoWord {
    /// Slower or faster little by little, until the music goes at so many hundredths of the tempo before.
    Gradual(Hundredths),
    /// Held back from here on, for as long as a ritardando would last.
    HeldBack(Hundredths),
    /// Another tempo from here on.
    Other(Hundredths),
    /// The tempo before the last such change.
    Return,
    /// The tempo of the beginning.
    First,
}

/// A share of a tempo.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Hundredths(pub i64);

/// A little, plainly, much.
type Shares = [i64; 3];

/// Where a ritardando arrives. Ours.
const SLOWING: Shares = [87, 75, 60];
/// Where an accelerando arrives. Ours.
const QUICKENING: Shares = [112, 125, 150];
/// Ritenuto: held back at once. Ours.
const HELD_BACK: Shares = [90, 80, 65];
/// Meno mosso: a slower tempo. Ours.
const SLOWER: Shares = [93, 85, 70];
/// Più mosso: a faster tempo. Ours.
const FASTER: Shares = [107, 115, 130];

/// Directions of more words than this are prose.
const MOST_WORDS: usize = 6;

const RITARDANDO: [&str; 22] = [
    "rit",
    "ritard",
    "ritardando",
    "rall",
    "rallent",
    "rallentando",
    "slentando",
    "allarg",
    "allargando",
    "slargando",
    "calando",
    "morendo",
    "slowing",
    "slow down",
    "gradually slower",
    "getting slower",
    "verlangsamen",
    "verlangsamend",
    "langsamer werden",
    "langsamer werdend",
    "ralentir",
    "en ralentissant",
];
const ACCELERANDO: [&str; 12] = [
    "accel",
    "accelerando",
    "stringendo",
    "affrettando",
    "speed up",
    "gradually faster",
    "getting faster",
    "beschleunigen",
    "beschleunigend",
    "schneller werden",
    "schneller werdend",
    "en accélérant",
];
const RITENUTO: [&str; 5] = ["riten", "ritenuto", "trattenuto", "zurückhalten", "retenu"];
const MENO_MOSSO: [&str; 6] = ["meno mosso", "slower", "langsamer", "moins vite", "plus lent", "meno allegro"];
const PIU_MOSSO: [&str; 8] = ["più mosso", "piu mosso", "faster", "quicker", "schneller", "plus vite", "più allegro", "piu allegro"];
const FIRST: [&str; 9] =
    ["tempo i", "tempo 1", "tempo primo", "tempo iº", "tempo 1º", "tempo 1mo", "first tempo", "erstes tempo", "premier mouvement"];
const A_TEMPO: [&str; 6] = ["a tempo", "in tempo", "al tempo", "im tempo", "au mouvement", "back to tempo"];

const LITTLE: [&str; 9] = ["poco", "pochissimo", "little", "slightly", "bit", "etwas", "wenig", "peu", "leggermente"];
const MUCH: [&str; 6] = ["molto", "assai", "much", "sehr", "viel", "beaucoup"];
/// Little by little says how, not how much.
const BY_DEGREES: [&str; 4] = ["poco a poco", "little by little", "bit by bit", "peu à peu"];
/// Words that speak of one time through.
const ONE_TIME: [&str; 8] = ["time", "times", "x", "2x", "volta", "volte", "mal", "fois"];

impl TempoWord {
    /// What a printed direction says; `None` where it says nothing of a change of tempo.
    pub fn read(text: &str) -> Option<TempoWord> {
        let lower = text.to_lowercase();
        let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
        if words.len() > MOST_WORDS || words.iter().any(|w| ONE_TIME.contains(w)) {
            return None;
        }
        let said = Said(words);
        let much = said.how_much();
        let share = |shares: Shares| Hundredths(shares[much]);
        Some(match () {
            () if said.any(&RITARDANDO) => TempoWord::Gradual(share(SLOWING)),
            () if said.any(&ACCELERANDO) => TempoWord::Gradual(share(QUICKENING)),
            () if said.any(&RITENUTO) => TempoWord::HeldBack(share(HELD_BACK)),
            () if said.any(&MENO_MOSSO) => TempoWord::Other(share(SLOWER)),
            () if said.any(&PIU_MOSSO) => TempoWord::Other(share(FASTER)),
            () if said.any(&FIRST) => TempoWord::First,
            () if said.any(&A_TEMPO) || said.0 == ["tempo"] => TempoWord::Return,
            () => return None,
        })
    }
}

struct Said<'a>(Vec<&'a str>);

impl Said<'_> {
    /// One of these stands in it, word by word.
    fn any(&self, phrases: &[&str]) -> bool {
        phrases.iter().any(|phrase| {
            let wanted: Vec<&str> = phrase.split(' ').collect();
            self.0.windows(wanted.len()).any(|here| here == wanted)
        })
    }

    /// Index into [`Shares`].
    fn how_much(&self) -> usize {
        if self.any(&MUCH) {
            2
        } else if self.any(&LITTLE) && !self.any(&BY_DEGREES) {
            0
        } else {
            1
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice for the words; the shares are ours.
    #[test]
    fn tempo_words_are_read() {
        use TempoWord::*;
        let read = TempoWord::read;
        for (text, said) in [
            ("rit.", Gradual(Hundredths(75))),
            ("poco rall.", Gradual(Hundredths(87))),
            ("Rit. poco a poco", Gradual(Hundredths(75))),
            ("dim. e molto rit.", Gradual(Hundredths(60))),
            ("(accel.)", Gradual(Hundredths(125))),
            ("riten.", HeldBack(Hundredths(80))),
            ("Più mosso", Other(Hundredths(115))),
            ("a little slower", Other(Hundredths(93))),
            ("a tempo", Return),
            ("Tempo", Return),
            ("Tempo I", First),
            ("a tempo primo", First),
        ] {
            assert_eq!(read(text), Some(said), "{text}");
        }
        for text in ["", "dolce", "G string", "Tempo di marcia", "l'istesso tempo", "slower 2nd time", "Writ. by hand", "mosso"] {
            assert_eq!(read(text), None, "{text}");
        }
        assert_eq!(read("play it as you like and slow down"), None);
    }
}
