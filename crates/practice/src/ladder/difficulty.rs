//! The difficulties of the ladder in their order, and what is said of each.
//!
//! Order: teaching pages on improvised left hands agree on it by and large. The pass rules are our own proposals; her own yes counts.

/// What a step brings that the one before did not have.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Difficulty {
    Roots,
    OpenFifths,
    OneShape,
    NearbyInversions,
    Broken,
    Wider,
    TwoFigures,
    Fills,
    BassLine,
    AtSight,
    Free,
}

/// How a step with a written left hand is begun: by those who learn the hand alone first, by those who join the hands at once (teachers disagree).
pub const WAYS_IN: [&str; 2] = [
    "The left hand alone and slowly, until it goes by itself; then against the melody from the loudspeaker; then with your own right hand.",
    "Both hands from the start, two to four measures at a time and slowly; then join the pieces, the last one first.",
];

/// The same where no left hand is written.
pub const WAYS_IN_UNWRITTEN: [&str; 2] = [
    "First the left hand alone from the chord symbols, against the melody from the loudspeaker; then with your own right hand.",
    "Both hands from the start, a phrase at a time, with the plainest left hand that keeps going; then dress it.",
];

impl Difficulty {
    pub const ALL: [Difficulty; 11] = [
        Difficulty::Roots,
        Difficulty::OpenFifths,
        Difficulty::OneShape,
        Difficulty::NearbyInversions,
        Difficulty::Broken,
        Difficulty::Wider,
        Difficulty::TwoFigures,
        Difficulty::Fills,
        Difficulty::BassLine,
        Difficulty::AtSight,
        Difficulty::Free,
    ];

    /// What it is called in files and addresses.
    pub fn name(self) -> &'static str {
        self.words()[0]
    }

    pub fn named(name: &str) -> Option<Difficulty> {
        Difficulty::ALL.into_iter().find(|d| d.name() == name)
    }

    pub fn title(self) -> &'static str {
        self.words()[1]
    }

    /// What is new, a sentence.
    pub fn new_thing(self) -> &'static str {
        self.words()[2]
    }

    pub fn listen(self) -> &'static str {
        self.words()[3]
    }

    pub fn pass(self) -> &'static str {
        self.words()[4]
    }

    fn words(self) -> [&'static str; 5] {
        match self {
            Difficulty::Roots => [
                "roots",
                "Roots",
                "One string for each chord: its root.",
                "How long the low string rings, and that the next one comes with the melody.",
                "Twice through without a stop, and you can say each chord before you play it.",
            ],
            Difficulty::OpenFifths => [
                "open-fifths",
                "Open fifths",
                "A second string: the fifth above the root, both together.",
                "Both strings speak at one moment, and neither covers the melody.",
                "Twice through with the pulse kept; the second time you need to look only where the hand moves.",
            ],
            Difficulty::OneShape => [
                "one-shape",
                "One shape",
                "A third string: one shape of three that is moved from chord to chord and never changes.",
                "All three together, the lowest no later than the others.",
                "Twice through, every shape placed on its strings before it is plucked.",
            ],
            Difficulty::NearbyInversions => [
                "nearby-inversions",
                "Nearby inversions",
                "The shape turns: from chord to chord each finger goes to the nearest string.",
                "Which string stays the same from chord to chord, and which moves by one.",
                "Twice through, every change made within one beat.",
            ],
            Difficulty::Broken => [
                "broken",
                "The shape broken",
                "The same shapes, one string after another; the hand is placed on all of them first.",
                "Every string as loud as the one before, and the thumb no louder.",
                "Twice through, even from the first string to the last.",
            ],
            Difficulty::Wider => [
                "wider",
                "Wider",
                "An octave or a tenth under the hand in place of a close shape.",
                "The low string open below, the third high up where it is clear.",
                "Once through clean with a soft hand. A wide stretch is a wish, not a duty: stop when something hurts.",
            ],
            Difficulty::TwoFigures => [
                "two-figures",
                "Two figures",
                "Two figures, and a change from one to the other where a phrase begins.",
                "The new figure begins with the phrase, not a beat after it.",
                "Once through, every change at its measure.",
            ],
            Difficulty::Fills => [
                "fills",
                "Fills and room",
                "The left hand moves where the melody holds, waits where it runs, and leaves room at the ends of phrases.",
                "Where the melody has a long note you hear the left hand; where a phrase ends you could breathe.",
                "Once through at your tempo, and you can say in each phrase where the left hand waits.",
            ],
            Difficulty::BassLine => [
                "bass-line",
                "A bass line of your own",
                "The bass leaves the root for other strings of the chord and goes by step where it can.",
                "Sing the lowest strings alone: they are a tune.",
                "Once through as it is written; then again, and in each phrase you change one bass yourself.",
            ],
            Difficulty::AtSight => [
                "at-sight",
                "From the lead sheet at sight",
                "Melody and chord symbols, and no left hand on the page: you make it as you go.",
                "Keep going: a wrong string is heard once, a stop is heard by everybody.",
                "Look at it for thirty seconds, then once through with two stops at most.",
            ],
            Difficulty::Free => [
                "free",
                "Free",
                "The cue sheet, or nothing: your own figures, the tune once plain and once otherwise, an ending of your own.",
                "What you would like to hear next, a measure before you play it.",
                "Twice through, the second time not like the first, and closed within eight measures when somebody says so.",
            ],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_difficulty_has_words_of_its_own() {
        let names: BTreeSet<&str> = Difficulty::ALL.iter().map(|d| d.name()).collect();
        assert_eq!(names.len(), Difficulty::ALL.len());
        for difficulty in Difficulty::ALL {
            assert_eq!(Difficulty::named(difficulty.name()), Some(difficulty));
            let sentences = [difficulty.new_thing(), difficulty.listen(), difficulty.pass()];
            assert!(sentences.iter().all(|s| s.ends_with('.') && s.starts_with(char::is_uppercase)), "{difficulty:?}");
        }
    }
}
