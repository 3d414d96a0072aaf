//! What each fault costs: one table. Values of ours, found by looking at pages and by blind comparison beside left hands made by hand; a thousand is a fault anybody
//! would notice. `examples/fit.rs` can fit them; what that showed stands in docs/engine.md.

/// Makes the table: a field each with its reason, and the way in which the fitting reads and writes them.
macro_rules! weights {
    ($($(#[$doc:meta])* $name:ident: $kind:ty = $value:expr;)*) => {
        #[derive(Clone, Debug, PartialEq, Eq)]
        pub struct Weights {
            $($(#[$doc])* pub $name: $kind,)*
        }

        impl Weights {
            pub const OURS: Weights = Weights { $($name: $value,)* };

            /// Every weight by its name, those of a row one after another.
            pub fn named(&mut self) -> Vec<(&'static str, &mut i64)> {
                let mut all = Vec::new();
                $(all.extend(self.$name.cells().into_iter().map(|cell| (stringify!($name), cell)));)*
                all
            }
        }
    };
}

/// One weight or a row of them.
trait Cells {
    fn cells(&mut self) -> Vec<&mut i64>;
}

impl Cells for i64 {
    fn cells(&mut self) -> Vec<&mut i64> {
        vec![self]
    }
}

impl<const N: usize> Cells for [i64; N] {
    fn cells(&mut self) -> Vec<&mut i64> {
        self.iter_mut().collect()
    }
}

/// The weights that hold.
#[cfg(not(feature = "fitting"))]
#[inline]
pub fn weights() -> &'static Weights {
    &Weights::OURS
}

#[cfg(feature = "fitting")]
pub use fitted::{put, weights};

/// While weights are fitted they change from one plan to the next.
#[cfg(feature = "fitting")]
mod fitted {
    use super::Weights;
    use std::sync::RwLock;

    static NOW: RwLock<&Weights> = RwLock::new(&Weights::OURS);

    /// The weights that hold from now on; a table stays for good, since plans may still read it.
    pub fn put(weights: Weights) {
        *NOW.write().expect("a table is put in one step") = Box::leak(Box::new(weights));
    }

    pub fn weights() -> &'static Weights {
        *NOW.read().expect("a table is put in one step")
    }
}

weights! {
    /// Nobody sounds on beat 1: the listener loses the measure.
    empty_first_beat: i64 = 6_000;
    /// Nobody sounds on another strong beat: felt, but the measure stands.
    empty_strong_beat: i64 = 3_500;
    /// A chord of a beat or more at which the left hand never plucks.
    chord_unstated: i64 = 4_000;
    /// The same at the chord before a close: the close is lost with it.
    close_unstated: i64 = 2_500;
    /// The same, where the tune has the new chord's tones against the last one, which rings on.
    tune_against_the_last_chord: i64 = 3_000;
    /// The same, where the chord before had its tones and rings on.
    chord_rings_on: i64 = 900;
    /// The chord is stated later than its symbol.
    chord_late: i64 = 3_000;
    /// A long note or rest of the tune that the left hand leaves bare.
    bare_hold: i64 = 1_700;
    /// A left-hand pluck beside the first in a beat where the tune runs: the clearest case of both hands being busy.
    both_busy: i64 = 700;
    /// The same, where the tune only moves.
    both_moving: i64 = 260;
    /// A pluck inside a beat of triplets or dotted pairs: rhythm against rhythm.
    against_rhythm: i64 = 700;
    /// A slow reader's pluck between two short notes of the tune.
    off_the_tune: i64 = 800;
    /// A tied note inside the left hand: a harp rings on, and the page looks like piano music.
    piano_tie: i64 = 300;
    /// A pluck more than a short chord has room for.
    crowded_chord: i64 = 320;
    /// A pluck at a phrase end after the landing.
    no_breath: i64 = 90;
    /// A pluck in the very last beat of a phrase.
    no_breath_last_beat: i64 = 60;
    /// One note a measure off the wished fullness, squared.
    fullness: i64 = 850;
    /// The bass is the third, the seventh, the fifth of the chord: a line wants them, a chord alone does not.
    bass_third: i64 = 130;
    /// See above.
    bass_seventh: i64 = 320;
    /// See above.
    bass_fifth: i64 = 560;
    /// The fifth again in the bass of a chord that has lasted a measure.
    bass_fifth_later: i64 = 320;
    /// A written bass that is left for another tone of its chord.
    slash_left: i64 = 1_000;
    /// Two strings below F2 inside a phrase: the lowest are kept for joints of the form and the end.
    lowest_strings: i64 = 480;
    /// The tonic on its root just before the dominant of a close: it comes home too soon; six-four is how a close is prepared.
    root_before_the_dominant: i64 = 420;
    /// A string of the bass above E3 in the chord before a close.
    high_bass_at_a_close: i64 = 200;
    /// The bass is not the root (or the written bass) where it has to be.
    bass_denied: i64 = 6_000;
    /// A pair of strings closer than the low-interval table allows.
    mud: i64 = 900;
    /// A further pluck in the lowest octave within one chord.
    low_repeat: i64 = 160;
    /// Fewer than two free strings below the tune: the hands touch.
    hands_touch: i64 = 2_200;
    /// Fewer than three: close.
    hands_close: i64 = 420;
    /// The right hand lands on a string the left has just plucked.
    string_retaken: i64 = 900;
    /// More than ten strings of empty air between the hands.
    hollow: i64 = 90;
    /// The chord's third is heard in neither hand.
    no_third: i64 = 900;
    /// The same where the third tells the key: a section's first chord, a cadence.
    no_third_at_a_corner: i64 = 2_200;
    /// Only one tone of the chord is heard; only two.
    one_tone: i64 = 1_100;
    /// See above.
    two_tones: i64 = 260;
    /// A leading or altered tone in both hands at once.
    sharp_tone_doubled: i64 = 220;
    /// A roll where there is no time to hear it.
    roll_without_time: i64 = 700;
    /// The bass going on, by strings from one to the next: the same again, a step, a third, a fourth, a fifth, a sixth, a seventh, an octave.
    bass_by: [i64; 8] = [320, 0, 40, 120, 130, 260, 900, 280];
    /// Every string beyond an octave.
    bass_beyond: i64 = 220;
    /// The same within one chord: a new string is welcome, by which way matters less.
    same_chord_by: [i64; 8] = [360, 20, 0, 40, 60, 90, 200, 110];
    /// A seventh in the bass that does not fall by step.
    seventh_bass: i64 = 2_100;
    /// A fifth in the bass that is neither held nor left by step.
    six_four: i64 = 380;
    /// A tone that should lead and does not.
    lead_astray: i64 = 3_000;
    /// Bass and tune go from octave to octave.
    octaves_with_tune: i64 = 420;
    /// A fifth just above the bass goes to another: root by root, like a list of chords.
    parallel_fifths: i64 = 150;
    /// A seventh above the bass that neither stays nor falls by step.
    seventh_left_hanging: i64 = 200;
    /// A string more than a step from the nearest string of the shape before.
    shape_moves: i64 = 14;
    /// The same of chords above the melody.
    shape_moves_above: i64 = 45;
    /// A string of chords above the melody beyond C6: thin and far from the melody.
    above_high: i64 = 70;
    /// Chords above the melody that begin off the beat, where the melody has the beat.
    after_the_beat: i64 = 120;
    /// The same where a section or the close of a phrase wants its chord.
    after_the_beat_at_a_corner: i64 = 1_200;
    /// The highest string above is the melody's own note over again: it draws the ear away from it.
    melody_doubled_on_top: i64 = 110;
    /// The leading third of a dominant above the bass that neither rises by step nor stays, in the chord it leads to.
    leading_third_left_hanging: i64 = 130;
    /// Bass and shape are moved together by the same way.
    moved_bodily: i64 = 170;
    /// The chord has a seventh, and it is not plucked; only the tune has it.
    no_seventh: i64 = 1_400;
    /// See above.
    seventh_in_the_tune: i64 = 420;
    /// One tone alone, in one octave or two, where there is room for another above it; the same in the last two chords of a phrase.
    lone_bass: i64 = 700;
    /// See above.
    lone_bass_at_a_close: i64 = 1_250;
    /// No string above E3: a bass without a chord.
    bass_only: i64 = 600;
    /// Another rhythm of the same figure for the same job: no groove forms.
    rhythm_changed: i64 = 480;
    /// The root is plucked by neither hand; only the tune has it.
    no_root: i64 = 800;
    /// See above.
    root_in_the_tune: i64 = 480;
    /// The chord before a close without its root in the bass; a close that is stepped into.
    soft_approach: i64 = 750;
    /// See above.
    soft_close: i64 = 160;
    /// A phrase that begins on another tone than the root.
    phrase_off_its_root: i64 = 420;
    /// A phrase inside a section that closes on another tone than the root.
    soft_arrival: i64 = 420;
    /// A phrase that begins or closes on the fifth: an arrival wants its root below.
    phrase_on_its_fifth: i64 = 1_100;
    /// The chord before a close with less than three strings.
    thin_approach: i64 = 480;
    /// The chord before a close has its third, or its written seventh, in the tune alone.
    third_lent_at_a_close: i64 = 420;
    /// See above.
    seventh_lent_at_a_close: i64 = 420;
    /// The chord before a close is plucked less often than the one before it; a pluck a beat.
    thinner_at_a_close: i64 = 700;
    /// The bass goes by a tritone, or by a diminished or augmented step.
    crooked_step: i64 = 420;
    /// A phrase is joined to the next without a tone that leads.
    seam_without_lead: i64 = 520;
    /// The third or seventh of the chord in two octaves.
    tendency_doubled: i64 = 750;
    /// The left hand has one form of a letter while the tune has another (F sharp under F): a doubtful symbol is played without that tone.
    cross_relation: i64 = 1_300;
    /// A pluck a semitone from the note of the tune that is plucked with it.
    clash_struck: i64 = 130;
    /// The chord's third under a long fourth in the tune that holds it away.
    against_a_suspension: i64 = 700;
    /// A pluck after the second under such a fourth: it only insists.
    busy_under_a_suspension: i64 = 260;
    /// Two low strings closer than a fourth at once.
    low_and_close: i64 = 700;
    /// Two neighbouring strings plucked at once: a cluster.
    second: i64 = 420;
    /// Two neighbouring strings above the bass one after another: the first rings against the second.
    ringing_second: i64 = 170;
    /// Three strings at once where nothing arrives.
    thick: i64 = 240;
    /// The string after a bass plucked alone: a third above it, an octave, a tenth or more. Hands take the fifth.
    third_next: i64 = 260;
    /// See above.
    octave_next: i64 = 240;
    /// See above.
    tenth_next: i64 = 260;
    /// A leap of an octave or more inside a broken chord.
    leap_inside: i64 = 160;
    /// Two strings or more at once between the beats: a stutter.
    chord_off_the_beat: i64 = 600;
    /// A third that lies close above a bass below E3; open position has it a tenth up. Twice that below C3.
    close_third: i64 = 420;
    /// A step by which bass and highest string lie closer than an open shape does.
    narrow: i64 = 32;
    /// A string above E4: the left hand's upper strings belong to the tune.
    high_string: i64 = 170;
    /// A string of the bass above E3: no floor under the tune.
    high_bass: i64 = 70;
    /// The same strings plucked again at once.
    same_again: i64 = 300;
    /// A beat of a long note of the tune in which the left hand does not move.
    still_under_a_hold: i64 = 160;
    /// What a figure's file says of kinds of tune: it suits all, it suits others.
    suits_all: i64 = 60;
    /// See above.
    suits_others: i64 = 420;
    /// In a hymn, a pluck off the beat that holds over the next beat: a congregation sings on the beats.
    across_the_beat: i64 = 450;
    /// A string below the register that the figure's file gives.
    below_its_register: i64 = 70;
    /// The last chord is not the lowest it can be: a string.
    last_not_low: i64 = 30;
    /// The last chord lacks a tone of a full close: root, fifth, octave and third.
    last_not_wide: i64 = 1_200;
    /// The top string of a roll is plucked again while it rings.
    roll_top_again: i64 = 200;
    /// A leading tone in the bass that does not rise by step.
    leading_bass: i64 = 700;
    /// A string more of travel than the hand's reach.
    travel: i64 = 25;
    /// There is no time for the leap, or a string would have to be plucked again too soon: only taken when nothing else is left.
    no_time: i64 = 60_000;
    /// A chord of three strings or more for which the hand is placed anew in less time than block chords take.
    hurried: i64 = 3_500;
    /// A low string that rings on a semitone from a tone of the new chord; a string in the octave below middle C.
    clash_low: i64 = 70;
    /// See above.
    clash: i64 = 30;
    /// A ringing string that is foreign to the new chord but no semitone from it.
    foreign_low: i64 = 20;
    /// See above.
    foreign: i64 = 8;
    /// A low bass string placed again while it rings: it buzzes unless touched quickly.
    buzz: i64 = 40;
    /// Another figure inside a phrase.
    change_inside: i64 = 750;
    /// The same where the chords change pace, so that another length of figure is natural.
    change_with_the_chords: i64 = 480;
    /// Another figure in the last measure of a phrase, which is where a phrase may end differently.
    landing: i64 = 260;
    /// Another figure at a phrase start before the present one has had its time.
    change_early: i64 = 380;
    /// No change at a phrase start although the figure has had its time.
    too_long_the_same: i64 = 500;
    /// A return that copies what was plucked before; one on the same bass.
    copy: i64 = 520;
    /// See above.
    copied_bass: i64 = 90;
    /// The same plucks at the same place in a third measure running.
    third_time: i64 = 420;
    /// The same in a second measure of one chord.
    second_time: i64 = 220;
    /// Only the tune has the third.
    third_in_the_tune: i64 = 180;
    /// Two strings at once that are an octave or a fifth: hollow.
    hollow_pair: i64 = 200;
    /// Two strings in turn, and once more the same two: a broken chord wants a direction.
    dither: i64 = 450;
    /// A new chord in whose first beat the left hand has no tone that the last one lacked.
    change_unheard: i64 = 420;
    /// A strong beat is left out between two weaker ones: the groove limps.
    limp: i64 = 260;
    /// The upper string of the first pair is plucked again: it rings already.
    upper_again: i64 = 420;
    /// A string is plucked again after one other: the broken chord turns back instead of going on.
    turns_back: i64 = 180;
    /// A tone above the bass is plucked with it although there is time for it after the bass.
    loaded_bass: i64 = 300;
    /// The top of a section without a roll.
    plain_peak: i64 = 2_000;
    /// Another figure for the top of a section, or after it.
    to_a_peak: i64 = 80;
    /// A chord tone below the bass on a weak beat: it is heard as the bass.
    false_bass: i64 = 280;
    /// Three strings one after another that go up and back down, or down and back up.
    zigzag: i64 = 120;
    /// A main beat of a dance without the left hand.
    pulse_missed: i64 = 650;
    /// A main beat of a dance, between weaker ones that are plucked, has no low string: nothing to step on.
    no_foot: i64 = 700;
    /// The last chord is plucked once and the tune goes on or holds long.
    still_last: i64 = 900;
    /// A leading tone a tritone from what rings.
    lead_sours: i64 = 380;
    /// A leading tone that is the sixth of its chord: the chord sounds as another.
    lead_misleads: i64 = 340;
    /// A third or seventh that is foreign to the key is heard in neither hand: it is what tells the chord.
    telling_tone: i64 = 900;
    /// A six-four that is written and not played before its dominant.
    six_four_lost: i64 = 700;
}
