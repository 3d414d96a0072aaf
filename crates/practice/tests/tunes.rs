//! What must hold of the four tunes that come with the program, on a lever harp and for two players: the ladder climbs and can be played, the cue sheet says what the plan says,
//! and drills name measures of the tune.

use arrange::{Arrangement, Figures, Wishes, arrange};
use formats::ReadOptions;
use harp::{Fluency, Instrument, Player, Reach};
use music::LeadSheet;
use practice::drills::{Kind, drills};
use practice::ladder::{Added, Changes, StepPage};
use practice::{CueSheet, Ladder, Lesson};

const TUNES: [&str; 4] = [
    include_str!("../../../data/tunes/bakery-before-six.abc"),
    include_str!("../../../data/tunes/ferry-reel.abc"),
    include_str!("../../../data/tunes/lighthouse-in-mist.abc"),
    include_str!("../../../data/tunes/regatta-morning.abc"),
];

struct Room {
    sheet: LeadSheet,
    figures: Figures,
    harp: Instrument,
    player: Player,
    wishes: Wishes,
    made: Arrangement,
}

fn room(abc: &str, player: Player, wishes: Wishes) -> Room {
    let sheet = formats::read(abc.as_bytes(), &ReadOptions::default()).expect("a tune").sheet;
    let (figures, harp) = (Figures::own(), Instrument::lever_34());
    let made = arrange(&sheet, &figures, &harp, &player, &wishes).expect("arranged");
    Room { sheet, figures, harp, player, wishes, made }
}

impl Room {
    fn lesson(&self) -> Lesson<'_> {
        let Room { sheet, figures, harp, player, wishes, made } = self;
        Lesson { sheet, figures, harp, player, wishes, made }
    }
}

fn small_hands() -> Player {
    let reach = Reach { block: 8, rolled: 9 };
    Player { left: reach, right: reach, fluency: Fluency::Slow, fingers_left_out: vec![4], ..Player::default() }
}

#[test]
fn every_step_can_be_played_and_is_dearer_than_the_last() {
    for abc in TUNES {
        for player in [Player::default(), small_hands()] {
            let room = room(abc, player, Wishes::default());
            let ladder = Ladder::of(&room.lesson());
            let prices: Vec<i64> = ladder.steps.iter().filter_map(|s| s.price).collect();
            assert!(prices.len() >= 4, "{} has only {prices:?}", room.made.score.words.title);
            assert!(prices.windows(2).all(|pair| pair[0] < pair[1]), "{prices:?}");
            assert_eq!(ladder.steps.len() + ladder.left_out.len(), 11);
            for step in &ladder.steps {
                let StepPage::BothHands(page) = &step.page else { continue };
                assert!(!practice::ladder::made::cannot(&room.lesson(), page), "{} of {}", step.name, room.made.score.words.title);
                // The melody is hers on every step.
                let melody = |made: &Arrangement| made.score.measures.iter().map(|m| music::text::show(&m.right)).collect::<Vec<_>>();
                assert_eq!(melody(page).len(), melody(&room.made).len());
            }
        }
    }
}

/// The steps say what they hold: one string, two strings, three strings at once and no other plucks but where the hand cannot.
#[test]
fn the_first_steps_are_roots_fifths_and_one_shape() {
    let room = room(TUNES[0], Player::default(), Wishes::default());
    let ladder = Ladder::of(&room.lesson());
    let strings = |name: &str| -> Vec<usize> {
        let Some(StepPage::BothHands(page)) = ladder.step(name).map(|s| &s.page) else { panic!("no step {name}") };
        page.score.measures.iter().flat_map(|m| &m.left).filter(|n| n.is_plucked()).map(|n| n.pitches.len()).collect()
    };
    assert!(strings("roots").iter().all(|n| *n == 1));
    assert!(strings("open-fifths").iter().all(|n| *n == 2));
    assert!(strings("one-shape").iter().filter(|n| **n == 3).count() * 10 >= strings("one-shape").len() * 6);
}

#[test]
fn a_teacher_changes_the_ladder() {
    let room = room(TUNES[1], Player::default(), Wishes::default());
    let own = Ladder::of(&room.lesson());
    let added = Added {
        name: "hum".into(),
        title: "Hum the bass".into(),
        words: "Hum the lowest strings.".into(),
        pass: "Once.".into(),
        page_of: "roots".into(),
    };
    let changes = Changes { order: vec!["free".into(), "hum".into()], without: vec!["one-shape".into()], added: vec![added] };
    let changed = own.clone().changed(&changes);
    let names: Vec<&str> = changed.steps.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names[..3], ["free", "hum", "roots"]);
    assert!(!names.contains(&"one-shape") && changed.left_out.iter().any(|l| l.name == "one-shape" && l.why == "You left it out."));
    assert_eq!(own.clone().changed(&Changes::default()).steps.len(), own.steps.len());
}

/// Every measure of the page is on the sheet once, its chords are those of the page, and the figure named for a phrase is the one that the plan has for most of it.
#[test]
fn the_cue_sheet_says_what_the_page_says() {
    for (abc, fullness) in TUNES.into_iter().zip([vec![], vec![2, 4], vec![3], vec![5]]) {
        let room = room(abc, Player::default(), Wishes { fullness, ..Wishes::default() });
        let (lesson, sheet) = (room.lesson(), CueSheet::of(&room.lesson()));
        let shown: Vec<usize> = sheet.phrases.iter().flat_map(|p| &p.measures).map(|m| m.index).collect();
        let first_verse = room.made.tune.measures().filter(|m| room.made.tune.origin[*m].verse() == 0).map(|m| m.index());
        assert_eq!(shown, first_verse.collect::<Vec<_>>());
        for measure in sheet.phrases.iter().flat_map(|p| &p.measures) {
            let page: Vec<String> =
                room.made.score.measures[measure.index].frame.chords.iter().map(|c| format!("{:#}", c.symbol.harmony)).collect();
            assert_eq!(measure.chords.iter().map(|c| c.text.clone()).collect::<Vec<_>>(), page);
        }
        for phrase in &sheet.phrases {
            assert_eq!(phrase.verses.len(), sheet.verses);
            assert_eq!(phrase.lines().concat(), phrase.measures);
            let figures: Vec<String> = lesson
                .played()
                .filter(|(slot, ..)| phrase.measures.iter().any(|m| m.index == slot.measure.index()) && slot.chord.is_some())
                .map(|(_, figure, _)| lesson.figure_name(figure))
                .collect();
            assert!(figures.contains(&phrase.verses[0].figure), "{} is not in {figures:?}", phrase.verses[0].figure);
        }
    }
}

/// A picture shows the strings that the page has in its measure, each with its finger.
#[test]
fn a_picture_shows_strings_of_the_page() {
    let room = room(TUNES[2], Player::default(), Wishes::default());
    for verse in CueSheet::of(&room.lesson()).phrases.iter().flat_map(|p| &p.verses) {
        let picture = verse.picture.as_ref().expect("a figure that is plucked");
        let page: Vec<music::Pitch> = room.made.score.measures[picture.measure].left.iter().flat_map(|n| n.pitches.clone()).collect();
        for touch in picture.plucks.iter().flat_map(|p| &p.touches) {
            assert!(page.contains(&touch.pitch) && touch.finger.is_some(), "{touch:?}");
            assert!((picture.lowest..=picture.highest).contains(&touch.pitch.position()));
        }
    }
}

#[test]
fn drills_name_measures_of_the_tune() {
    for abc in TUNES {
        let room = room(abc, Player::default(), Wishes::default());
        let measures = &room.made.score.measures;
        let all = drills(&room.lesson());
        for kind in [Kind::Change, Kind::AddANote, Kind::BackwardChain, Kind::Interruption, Kind::FindTheShape] {
            assert!(all.iter().any(|d| d.kind == kind), "{kind:?}");
        }
        for drill in &all {
            assert!(drill.stretch.first <= drill.stretch.last && drill.stretch.last < measures.len(), "{drill:?}");
            assert_eq!(drill.numbers.0, measures[drill.stretch.first].frame.number);
            let whole = matches!(drill.kind, Kind::PatternCall | Kind::Interruption | Kind::FindTheShape);
            assert!(whole || drill.numbers.0.count == 0 || drill.title.contains(&drill.numbers.0.count.to_string()), "{}", drill.title);
            assert!(drill.calls.iter().all(|c| c.holds < measures.len() && c.said.measure <= c.holds));
            for place in &drill.chain {
                assert!(
                    place.at < measures[place.measure].frame.length && (drill.stretch.first..=drill.stretch.last).contains(&place.measure)
                );
            }
        }
    }
}
