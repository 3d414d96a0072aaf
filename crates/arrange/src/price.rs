//! Prices: whole numbers, one part for each principle, adding up to the total.
//!
//! A thousand is a fault that any listener or player would notice; a hundred is a matter of taste.

use std::ops::{Add, AddAssign, Sub};

/// One rule of good accompaniment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Principle {
    HandTravel,
    Settings,
    RoomForTheTune,
    OpenBelow,
    Ring,
    BassLine,
    NearestWay,
    GoodDoubling,
    StrongBeats,
    GiveAndTake,
    Pace,
    PhraseEnd,
    SteadyFigure,
    Curve,
    Return,
    Manner,
    Wish,
}

pub const PRINCIPLES: usize = 17;

impl Principle {
    pub const ALL: [Principle; PRINCIPLES] = [
        Principle::HandTravel,
        Principle::Settings,
        Principle::RoomForTheTune,
        Principle::OpenBelow,
        Principle::Ring,
        Principle::BassLine,
        Principle::NearestWay,
        Principle::GoodDoubling,
        Principle::StrongBeats,
        Principle::GiveAndTake,
        Principle::Pace,
        Principle::PhraseEnd,
        Principle::SteadyFigure,
        Principle::Curve,
        Principle::Return,
        Principle::Manner,
        Principle::Wish,
    ];

    /// Its name in reports.
    pub fn name(self) -> &'static str {
        match self {
            Principle::HandTravel => "hand travel",
            Principle::Settings => "settings",
            Principle::RoomForTheTune => "room for the tune",
            Principle::OpenBelow => "open below",
            Principle::Ring => "ring",
            Principle::BassLine => "bass line",
            Principle::NearestWay => "nearest way",
            Principle::GoodDoubling => "good doubling",
            Principle::StrongBeats => "strong beats",
            Principle::GiveAndTake => "give and take",
            Principle::Pace => "pace",
            Principle::PhraseEnd => "phrase end",
            Principle::SteadyFigure => "steady figure",
            Principle::Curve => "curve",
            Principle::Return => "return",
            Principle::Manner => "manner",
            Principle::Wish => "your wish",
        }
    }

    /// The principle in one sentence.
    pub fn sentence(self) -> &'static str {
        match self {
            Principle::HandTravel => "the hand needs time to travel",
            Principle::Settings => "few lever or pedal moves, and a free hand where a lever is moved",
            Principle::RoomForTheTune => "the left hand keeps clear of the melody",
            Principle::OpenBelow => "wide spacing low down, close spacing only higher up",
            Principle::Ring => "what still rings agrees with the new chord",
            Principle::BassLine => "the bass is a line that can be sung, with the root where the form asks for it",
            Principle::NearestWay => "the strings above the bass go by the nearest way: common tones stay, sevenths fall",
            Principle::GoodDoubling => "the chord is heard whole, its third included, and its sharpest tones are not doubled",
            Principle::StrongBeats => {
                "one of the hands sounds on every strong beat, and the left hand fills where the melody has a long note or a rest"
            }
            Principle::GiveAndTake => "a busy melody wants a light left hand, a long note lets it move",
            Principle::Pace => "quick chord changes want few notes",
            Principle::PhraseEnd => "a phrase end leaves time before the next phrase",
            Principle::SteadyFigure => "a figure stays through its phrase; another comes with a new phrase",
            Principle::Curve => "as full as the verse wants to be, with less at phrase ends and under a busy melody",
            Principle::Return => "at fullness 1 and 2 the same melody gets the same left hand; from 3 on what returns is no copy",
            Principle::Manner => "a figure belongs to its kind of tune",
            Principle::Wish => "what you asked for comes first",
        }
    }

    /// Where the principle comes from.
    pub fn source(self) -> &'static str {
        match self {
            Principle::OpenBelow => {
                "low-interval limits as in arranging handbooks (from memory); Rimsky-Korsakov, Principles of Orchestration, on distribution of notes in chords"
            }
            Principle::HandTravel => "Harp Notation manual, hand position; the times are our own starting values",
            Principle::BassLine => "Open Music Theory, cadence types and basso continuo",
            Principle::GoodDoubling => "Open Music Theory, basso continuo (doubling)",
            Principle::SteadyFigure => "Schoenberg, Fundamentals of Musical Composition, on accompaniment (from memory)",
            Principle::Curve => "our own scale of fullness",
            Principle::Settings => "lever and pedal practice as teachers describe it; the prices are our own",
            Principle::Ring => "Rimsky-Korsakov, Principles of Orchestration, on the harp; the ring times are our own starting values",
            Principle::Wish => "you",
            _ => "common practice",
        }
    }
}

/// A price with its parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Price {
    parts: [i64; PRINCIPLES],
    total: i64,
}

impl Price {
    pub fn of(principle: Principle, amount: i64) -> Price {
        let mut price = Price { total: amount, ..Price::default() };
        price.parts[principle as usize] = amount;
        price
    }

    pub fn add(&mut self, principle: Principle, amount: i64) {
        self.parts[principle as usize] += amount;
        self.total += amount;
    }

    pub fn part(&self, principle: Principle) -> i64 {
        self.parts[principle as usize]
    }

    pub fn total(&self) -> i64 {
        self.total
    }

    /// The parts that are not zero.
    pub fn parts(&self) -> impl Iterator<Item = (Principle, i64)> + '_ {
        Principle::ALL.into_iter().map(|p| (p, self.part(p))).filter(|(_, amount)| *amount != 0)
    }
}

impl Add for Price {
    type Output = Price;
    fn add(mut self, other: Price) -> Price {
        self += other;
        self
    }
}

impl AddAssign for Price {
    fn add_assign(&mut self, other: Price) {
        for (a, b) in self.parts.iter_mut().zip(other.parts) {
            *a += b;
        }
        self.total += other.total;
    }
}

impl Sub for Price {
    type Output = Price;
    fn sub(mut self, other: Price) -> Price {
        for (a, b) in self.parts.iter_mut().zip(other.parts) {
            *a -= b;
        }
        self.total -= other.total;
        self
    }
}

/// What a candidate is charged beyond its own price, for reasons that lie in the rest of the piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Extra {
    pub settings: i64,
    pub curve: i64,
    pub returns: i64,
    pub wish: i64,
}

impl Extra {
    pub fn total(&self) -> i64 {
        self.settings + self.curve + self.returns + self.wish
    }
}

impl Add<Extra> for Price {
    type Output = Price;
    fn add(mut self, extra: Extra) -> Price {
        let parts = [
            (Principle::Settings, extra.settings),
            (Principle::Curve, extra.curve),
            (Principle::Return, extra.returns),
            (Principle::Wish, extra.wish),
        ];
        parts.into_iter().for_each(|(principle, amount)| Price::add(&mut self, principle, amount));
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn principles_are_in_the_order_of_the_enum() {
        for (i, principle) in Principle::ALL.into_iter().enumerate() {
            assert_eq!(principle as usize, i);
        }
    }
}
