//! The tones of all 33 chord kinds, against the words of the MusicXML 4.0 schema and against music21's table.

use music::ChordKind;
use outside::facts::{Kinds, load};

/// music21 has the Neapolitan as 1, flat 2, 3, flat 5 of the tonic, which is a dominant with a flat fifth on the lowered second degree; every
/// harmony textbook has the major triad there: flat 2, 4, flat 6.
const MUSIC21_IS_WRONG: [&str; 1] = ["Neapolitan"];

#[test]
fn every_kind_has_the_tones_of_the_standard() {
    let kinds = load::<Kinds>("kinds").kinds;
    assert_eq!(kinds.len(), 33, "the standard has 33 kinds");
    assert_eq!(ChordKind::all().count(), 33);
    for theirs in kinds {
        let kind = ChordKind::from_standard_name(&theirs.name).unwrap_or_else(|| panic!("no kind {}", theirs.name));
        let mut ours = kind.tones().to_vec();
        ours.sort();
        if let Some(standard) = &theirs.standard {
            assert_eq!(&ours, standard, "{} by the standard's definition", theirs.name);
        }
        let differs = theirs.music21.as_ref().is_some_and(|tones| *tones != ours);
        assert_eq!(differs, MUSIC21_IS_WRONG.contains(&theirs.name.as_str()), "{} beside music21's {:?}", theirs.name, theirs.music21);
    }
}
