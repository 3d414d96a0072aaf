//! What each fault costs. Starting values of ours, found by looking at pages; a thousand is a fault anybody would notice.

/// Nobody sounds on beat 1: the listener loses the measure.
pub const EMPTY_FIRST_BEAT: i64 = 6_000;
/// Nobody sounds on another strong beat: felt, but the measure stands.
pub const EMPTY_STRONG_BEAT: i64 = 3_500;
/// A chord of a beat or more at which the left hand never plucks.
pub const CHORD_UNSTATED: i64 = 4_000;
/// The chord is stated later than its symbol.
pub const CHORD_LATE: i64 = 2_300;
/// A long note or rest of the tune that the left hand leaves bare.
pub const BARE_HOLD: i64 = 1_700;
/// A left-hand pluck beside the first in a beat where the tune runs: the clearest case of both hands being busy.
pub const BOTH_BUSY: i64 = 1_300;
/// The same, where the tune only moves.
pub const BOTH_MOVING: i64 = 260;
/// A pluck inside a beat of triplets or dotted pairs: rhythm against rhythm.
pub const AGAINST_RHYTHM: i64 = 700;
/// A slow reader's pluck between two short notes of the tune.
pub const OFF_THE_TUNE: i64 = 800;
/// A tie inside the left hand: a harp rings on, and the page looks like piano music.
pub const PIANO_TIE: i64 = 300;
/// A pluck more than a short chord has room for.
pub const CROWDED_CHORD: i64 = 320;
/// A pluck at a phrase end after the landing.
pub const NO_BREATH: i64 = 90;
/// A pluck in the very last beat of a phrase.
pub const NO_BREATH_LAST_BEAT: i64 = 60;
/// One note a measure off the wished fullness, squared.
pub const FULLNESS: i64 = 850;
/// The bass is the third, the seventh, the fifth of the chord: a line wants them, a chord alone does not.
pub const BASS_THIRD: i64 = 60;
pub const BASS_SEVENTH: i64 = 200;
pub const BASS_FIFTH: i64 = 300;
/// The fifth again in the bass of a chord that has lasted a measure.
pub const BASS_FIFTH_LATER: i64 = 80;
/// A written bass that is left for another tone of its chord.
pub const SLASH_LEFT: i64 = 420;
/// One of the lowest strings inside a phrase: they are kept for joints of the form and the end.
pub const LOWEST_STRINGS: i64 = 150;
/// The bass is not the root (or the written bass) where it has to be.
pub const BASS_DENIED: i64 = 6_000;
/// A pair of strings closer than the low-interval table allows.
pub const MUD: i64 = 900;
/// A further pluck in the lowest octave within one chord.
pub const LOW_REPEAT: i64 = 160;
/// Fewer than two free strings below the tune: the hands touch.
pub const HANDS_TOUCH: i64 = 2_200;
/// Fewer than three: close.
pub const HANDS_CLOSE: i64 = 420;
/// The right hand lands on a string the left has just plucked.
pub const STRING_RETAKEN: i64 = 900;
/// More than ten strings of empty air between the hands.
pub const HOLLOW: i64 = 90;
/// The chord's third is heard in neither hand.
pub const NO_THIRD: i64 = 620;
/// The same where the third tells the key: a section's first chord, a cadence.
pub const NO_THIRD_AT_A_CORNER: i64 = 1_400;
/// Only one tone of the chord is heard; only two.
pub const ONE_TONE: i64 = 1_100;
pub const TWO_TONES: i64 = 260;
/// A leading or altered tone in both hands at once.
pub const SHARP_TONE_DOUBLED: i64 = 220;
/// A roll where there is no time to hear it.
pub const ROLL_WITHOUT_TIME: i64 = 700;
/// The bass going on, by strings from one to the next: the same again, a step, a third, a fourth, a fifth, a sixth, a seventh, an octave.
pub const BASS_BY: [i64; 8] = [230, 0, 40, 120, 130, 190, 330, 260];
/// Every string beyond an octave.
pub const BASS_BEYOND: i64 = 90;
/// The same within one chord: a new string is welcome, by which way matters less.
pub const SAME_CHORD_BY: [i64; 8] = [260, 20, 0, 40, 60, 90, 200, 110];
/// A seventh in the bass that does not fall by step.
pub const SEVENTH_BASS: i64 = 1_200;
/// A fifth in the bass that is neither held nor left by step.
pub const SIX_FOUR: i64 = 380;
/// A tone that should lead and does not.
pub const LEAD_ASTRAY: i64 = 3_000;
/// Bass and tune go from octave to octave.
pub const OCTAVES_WITH_TUNE: i64 = 420;
/// A seventh above the bass that neither stays nor falls by step.
pub const SEVENTH_LEFT_HANGING: i64 = 130;
/// A string more than a step from the nearest string of the shape before.
pub const SHAPE_MOVES: i64 = 14;
/// Bass and shape are moved together by the same way.
pub const MOVED_BODILY: i64 = 170;
/// The chord has a seventh, and it is not plucked; only the tune has it.
pub const NO_SEVENTH: i64 = 700;
pub const SEVENTH_IN_THE_TUNE: i64 = 260;
/// One tone alone, in one octave or two, where there is room for another above it; the same in the last two chords of a phrase.
pub const LONE_BASS: i64 = 520;
pub const LONE_BASS_AT_A_CLOSE: i64 = 900;
/// Another rhythm of the same figure for the same job: no groove forms.
pub const RHYTHM_CHANGED: i64 = 130;
/// The root is plucked by neither hand; only the tune has it.
pub const NO_ROOT: i64 = 520;
pub const ROOT_IN_THE_TUNE: i64 = 160;
/// The chord before a close without its root in the bass; a close that is stepped into.
pub const SOFT_APPROACH: i64 = 480;
pub const SOFT_CLOSE: i64 = 160;
/// A phrase that begins on another tone than the root.
pub const PHRASE_OFF_ITS_ROOT: i64 = 260;
/// The bass goes by a tritone, or by a diminished or augmented step.
pub const CROOKED_STEP: i64 = 260;
/// A phrase is joined to the next without a tone that leads.
pub const SEAM_WITHOUT_LEAD: i64 = 380;
/// The third or seventh of the chord in two octaves.
pub const TENDENCY_DOUBLED: i64 = 260;
/// The left hand has one form of a letter while the tune has another (F sharp under F): a doubtful symbol is played without that tone.
pub const CROSS_RELATION: i64 = 1_300;
/// A pluck a semitone from the note of the tune that is plucked with it.
pub const CLASH_STRUCK: i64 = 130;
/// Two low strings closer than a fourth at once.
pub const LOW_AND_CLOSE: i64 = 240;
/// Three strings at once where nothing arrives.
pub const THICK: i64 = 240;
/// A third that lies close above a low bass; open position has it a tenth up.
pub const CLOSE_THIRD: i64 = 170;
/// A step by which bass and highest string lie closer than an open shape does.
pub const NARROW: i64 = 32;
/// A string above E4: the left hand's upper strings belong to the tune.
pub const HIGH_STRING: i64 = 40;
/// The same strings plucked again at once.
pub const SAME_AGAIN: i64 = 110;
/// A beat of a long note of the tune in which the left hand does not move.
pub const STILL_UNDER_A_HOLD: i64 = 160;
/// What a figure's file says of kinds of tune: it suits all, it suits others.
pub const SUITS_ALL: i64 = 60;
pub const SUITS_OTHERS: i64 = 420;
/// A string below the register that the figure's file gives.
pub const BELOW_ITS_REGISTER: i64 = 70;
/// The last chord is not the lowest it can be: a string.
pub const LAST_NOT_LOW: i64 = 30;
/// The last chord lacks a tone of a full close: root, fifth, octave and third.
pub const LAST_NOT_WIDE: i64 = 250;
/// The top string of a roll is plucked again while it rings.
pub const ROLL_TOP_AGAIN: i64 = 200;
/// A leading tone in the bass that does not rise by step.
pub const LEADING_BASS: i64 = 700;
/// A string more of travel than the hand's reach.
pub const TRAVEL: i64 = 25;
/// There is no time for the leap, or a string would have to be plucked again too soon: only taken when nothing else is left.
pub const NO_TIME: i64 = 60_000;
/// A chord of three strings or more for which the hand is placed anew in less time than block chords take.
pub const HURRIED: i64 = 3_500;
/// A low string that rings on a semitone from a tone of the new chord; a string in the octave below middle C.
pub const CLASH_LOW: i64 = 70;
pub const CLASH: i64 = 30;
/// A ringing string that is foreign to the new chord but no semitone from it.
pub const FOREIGN_LOW: i64 = 20;
pub const FOREIGN: i64 = 8;
/// A low bass string placed again while it rings: it buzzes unless touched quickly.
pub const BUZZ: i64 = 40;
/// Another figure inside a phrase.
pub const CHANGE_INSIDE: i64 = 900;
/// The same where the chords change pace, so that another length of figure is natural.
pub const CHANGE_WITH_THE_CHORDS: i64 = 480;
/// Another figure in the last measure of a phrase, which is where a phrase may end differently.
pub const LANDING: i64 = 260;
/// Another figure at a phrase start before the present one has had its time.
pub const CHANGE_EARLY: i64 = 380;
/// No change at a phrase start although the figure has had its time.
pub const TOO_LONG_THE_SAME: i64 = 500;
