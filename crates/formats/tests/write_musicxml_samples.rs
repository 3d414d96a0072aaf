//! Small scores and what is written for them, element by element.

use expect_test::{Expect, expect};
use formats::musicxml::write::write;
use music::{
    Barline, Beats, Decoration, Ending, Frame, Grace, Hand, Hyphen, Jump, Key, Mark, Meter, Mode, PlacedMark, Preparation, Score,
    ScoreMeasure, Syllable, Tempo, Tuplet, TupletEdge, Words, text,
};

/// Measures in three-four from the short form: right hand, left hand.
fn score(measures: &[(&str, &str)]) -> Score {
    let measure = |(i, (right, left)): (usize, &(&str, &str))| {
        let (right, left) = (text::notes(right), text::notes(left));
        let frame = Frame::plain(i as u32 + 1, Meter::simple(3, 4), Key::new(1, Mode::Major));
        ScoreMeasure { frame, right, left, heading: None, marks: vec![], source: Some(i), melody: music::Hand::Right }
    };
    let measures = measures.iter().enumerate().map(measure).collect();
    let tempo = Tempo::of(Beats::QUARTER, 96).expect("in range");
    Score { words: Words { title: "Net Mender".into(), ..Words::default() }, tempo, preparation: Preparation::default(), measures }
}

/// The elements of one measure in short: no closing tags, the text behind its element, attributes as they are.
fn check(score: &Score, measure: usize, expected: Expect) {
    let written = write(score);
    let document = roxmltree::Document::parse(&written).expect("well-formed");
    let measure = document.descendants().filter(|n| n.has_tag_name("measure")).nth(measure).expect("a measure");
    let lines: Vec<String> = measure.children().filter(|n| n.is_element()).map(short).collect();
    expected.assert_eq(&lines.join("\n"));
}

fn short(node: roxmltree::Node) -> String {
    let attributes: String = node.attributes().map(|a| format!(" {}={}", a.name(), a.value())).collect();
    let inside: Vec<String> = node.children().filter(|n| n.is_element()).map(short).collect();
    let text = node.text().map(str::trim).filter(|t| !t.is_empty()).map_or(String::new(), |t| format!(" {t}"));
    let inside = if inside.is_empty() { String::new() } else { format!(" ({})", inside.join(" ")) };
    format!("{}{attributes}{text}{inside}", node.tag_name().name())
}

#[test]
fn the_first_measure_says_everything_once() {
    let mut song = score(&[("B4:1 A4:1/2 G4:1/2 D4:1", "~[G2+D3+B3]:3"), ("G4:3", "r:3")]);
    song.measures[0].frame.chords = text::sheet(r#"3/4 G | "G"B4:2 "D7/F#"D4:1 |"#).measures[0].frame.chords.clone();
    song.measures[0].right[0].syllables.push(Syllable { verse: 1, text: "Mend".into(), hyphen: Hyphen::Single, held: true });
    check(
        &song,
        0,
        expect![[r#"
        attributes (divisions 2 key (fifths 1 mode major) time (beats 3 beat-type 4) staves 2 clef number=1 (sign G line 2) clef number=2 (sign F line 4))
        direction placement=above directive=yes (direction-type (metronome parentheses=no (beat-unit quarter per-minute 96)) staff 1 sound tempo=96)
        harmony placement=above print-frame=no (root (root-step G) kind text= major staff 1)
        note id=m0-r0 (pitch (step B octave 4) duration 2 voice 1 type quarter staff 1 lyric number=1 (syllabic single text Mend extend))
        note id=m0-r1 (pitch (step A octave 4) duration 1 voice 1 type eighth staff 1 beam number=1 begin)
        note id=m0-r2 (pitch (step G octave 4) duration 1 voice 1 type eighth staff 1 beam number=1 end)
        harmony placement=above print-frame=no (root (root-step D) kind text=7 dominant bass (bass-step F bass-alter 1) staff 1)
        note id=m0-r3 (pitch (step D octave 4) duration 2 voice 1 type quarter staff 1)
        backup (duration 6)
        note id=m0-l0 (pitch (step G octave 2) duration 6 voice 5 type half dot staff 2 notations (arpeggiate))
        note id=m0-l0-p1 (chord pitch (step D octave 3) duration 6 voice 5 type half dot staff 2 notations (arpeggiate))
        note id=m0-l0-p2 (chord pitch (step B octave 3) duration 6 voice 5 type half dot staff 2 notations (arpeggiate))"#]],
    );
    check(
        &song,
        1,
        expect![[r#"
        note id=m1-r0 (pitch (step G octave 4) duration 6 voice 1 type half dot staff 1)
        backup (duration 6)
        note id=m1-l0 (rest measure=yes duration 6 voice 5 staff 2)
        barline location=right (bar-style light-heavy)"#]],
    );
}

#[test]
fn signs_of_form() {
    let mut song = score(&[("G4:3", "G3:3"), ("A4:3", "A3:3"), ("B4:3", "B3:3")]);
    song.measures[0].heading = Some("Verse 1".into());
    song.measures[0].frame.repeat_start = true;
    song.measures[0].frame.jumps = vec![Jump::Segno];
    song.measures[1].frame.ending = Some(Ending { passes: vec![1, 2], starts: true, stops: true });
    song.measures[1].frame.repeat_end = Some(3);
    song.measures[1].heading = Some("Verse 2".into());
    song.measures[2].frame.ending = Some(Ending { passes: vec![3], starts: true, stops: true });
    song.measures[2].frame.right = Barline::Final;
    song.measures[2].frame.jumps = vec![Jump::DalSegno];
    check(
        &song,
        0,
        expect![[r#"
        attributes (divisions 1 key (fifths 1 mode major) time (beats 3 beat-type 4) staves 2 clef number=1 (sign G line 2) clef number=2 (sign F line 4))
        barline location=left (bar-style heavy-light repeat direction=forward)
        direction placement=above directive=yes (direction-type (metronome parentheses=no (beat-unit quarter per-minute 96)) staff 1 sound tempo=96)
        direction placement=above (direction-type (words font-weight=bold font-size=large Verse 1) staff 1)
        direction placement=above (direction-type (segno) staff 1 sound segno=segno)
        note id=m0-r0 (pitch (step G octave 4) duration 3 voice 1 type half dot staff 1)
        backup (duration 3)
        note id=m0-l0 (pitch (step G octave 3) duration 3 voice 5 type half dot staff 2)"#]],
    );
    check(
        &song,
        1,
        expect![[r#"
        print new-system=yes
        barline location=left (ending number=1, 2 type=start 1. 2.)
        direction placement=above (direction-type (words font-weight=bold font-size=large Verse 2) staff 1)
        note id=m1-r0 (pitch (step A octave 4) duration 3 voice 1 type half dot staff 1)
        backup (duration 3)
        note id=m1-l0 (pitch (step A octave 3) duration 3 voice 5 type half dot staff 2)
        barline location=right (bar-style light-heavy ending number=1, 2 type=stop repeat direction=backward times=3)"#]],
    );
    check(
        &song,
        2,
        expect![[r#"
            barline location=left (ending number=3 type=start 3.)
            note id=m2-r0 (pitch (step B octave 4) duration 3 voice 1 type half dot staff 1)
            direction placement=above (direction-type (words halign=right font-style=italic D.S.) staff 1 sound dalsegno=segno)
            backup (duration 3)
            note id=m2-l0 (pitch (step B octave 3) duration 3 voice 5 type half dot staff 2)
            barline location=right (bar-style light-heavy ending number=3 type=stop)"#]],
    );
}

/// The tune's rhythm is its author's, in whichever hand it is; the other hand's, and what was added to the tune, shows the beats.
#[test]
fn the_tune_alone_is_written_as_it_was_read() {
    let types = |song: &Score, staff: &str| {
        let xml = write(song);
        let of_staff = xml.split("<note ").skip(1).filter(|note| note.contains(&format!("<staff>{staff}</staff>")));
        let name = |note: &str| note.split("<type>").nth(1).and_then(|t| t.split('<').next()).unwrap_or("none").to_owned();
        of_staff.map(name).collect::<Vec<_>>().join(" ")
    };
    let mut song = score(&[("D5:3/2 C5:1 B4:3/2", "D3:3/2 C3:1 B2:3/2")]);
    song.measures[0].frame = Frame::plain(1, Meter::simple(4, 4), Key::new(1, Mode::Major));
    assert_eq!((types(&song, "1"), types(&song, "2")), ("quarter quarter quarter".into(), "quarter eighth eighth quarter".into()));
    song.measures[0].melody = Hand::Left;
    assert_eq!((types(&song, "1"), types(&song, "2")), ("quarter eighth eighth quarter".into(), "quarter quarter quarter".into()));
    song.measures[0].source = None;
    assert_eq!(types(&song, "2"), "quarter eighth eighth quarter");
}

#[test]
fn notes_across_beats_are_tied_and_marks_stand_at_their_notes() {
    let mut song = score(&[("D5:1/2 [C5+E5]:2 C5:1/2", "G2:1 r:1 D3:1")]);
    song.measures[0].frame.meter = Meter::simple(6, 8);
    // Not of the tune: that would be written as it was read.
    song.measures[0].source = None;
    song.measures[0].right[1].decorations = vec![Decoration::Fermata, Decoration::Accent];
    song.measures[0].right[1].fingers = vec![2, 1];
    song.measures[0].right[2].grace = vec![Grace { pitches: text::notes("D#5:1")[0].pitches.clone(), value: 8, slashed: true }];
    let left = |at, mark| PlacedMark::new(at, Some(Hand::Left), mark);
    let string = song.measures[0].left[0].pitches[0];
    song.measures[0].marks =
        vec![left(Beats::ZERO, Mark::Lever(string)), left(Beats::QUARTER, Mark::MuffleAll), left(Beats::HALF, Mark::LetRing)];
    check(
        &song,
        0,
        expect![[r#"
            attributes (divisions 2 key (fifths 1 mode major) time (beats 6 beat-type 8) staves 2 clef number=1 (sign G line 2) clef number=2 (sign F line 4))
            direction placement=above directive=yes (direction-type (metronome parentheses=no (beat-unit quarter per-minute 96)) staff 1 sound tempo=96)
            note id=m0-r0 (pitch (step D octave 5) duration 1 voice 1 type eighth staff 1)
            note id=m0-r1 (pitch (step C octave 5) duration 2 tie type=start voice 1 type quarter staff 1 notations (tied type=start technical (fingering placement=above 2) articulations (accent)))
            note id=m0-r1-p1 (chord pitch (step E octave 5) duration 2 tie type=start voice 1 type quarter staff 1 notations (tied type=start technical (fingering placement=above 1)))
            note id=m0-r1-t1 (pitch (step C octave 5) duration 2 tie type=stop voice 1 type quarter staff 1 notations (tied type=stop fermata type=upright))
            note id=m0-r1-t1-p1 (chord pitch (step E octave 5) duration 2 tie type=stop voice 1 type quarter staff 1 notations (tied type=stop))
            note id=m0-r2-g0 (grace slash=yes pitch (step D alter 1 octave 5) voice 1 type eighth accidental sharp staff 1)
            note id=m0-r2 (pitch (step C octave 5) duration 1 voice 1 type eighth staff 1)
            backup (duration 6)
            direction placement=below (direction-type (words G♮2) voice 5 staff 2)
            note id=m0-l0 (pitch (step G octave 2) duration 2 voice 5 type quarter staff 2)
            direction placement=below (direction-type (damp-all) voice 5 staff 2)
            note id=m0-l1 (rest duration 1 voice 5 type eighth staff 2)
            note id=m0-l1-t1 (rest duration 1 voice 5 type eighth staff 2)
            note id=m0-l2 (pitch (step D octave 3) duration 2 voice 5 type quarter staff 2 notations (tied type=let-ring))
            barline location=right (bar-style light-heavy)"#]],
    );
}

#[test]
fn a_pickup_is_not_counted_and_its_rest_has_a_value() {
    let mut song = score(&[("D4:1", "r:1"), ("G4:3", "r:3")]);
    song.measures[0].frame.number = 0.into();
    song.measures[0].frame.length = Beats::QUARTER;
    let written = write(&song);
    assert!(written.contains(r#"<measure number="0" implicit="yes" id="m0">"#), "{written}");
    assert!(written.contains(r#"<measure number="2" id="m1">"#), "{written}");
    assert_eq!(written.matches(r#"<rest measure="yes"/>"#).count(), 1);
}

/// Common practice: a pickup is the end of a measure, so its beams end where that measure's beats do.
#[test]
fn a_pickup_is_beamed_as_the_end_of_a_measure() {
    let mut song = score(&[("D4:1/2 E4:1/2 F#4:1/2", "r:3/2"), ("G4:3", "G3:3")]);
    song.measures[0].frame.number = 0.into();
    song.measures[0].frame.length = song.measures[0].right[2].end();
    let written = write(&song);
    let document = roxmltree::Document::parse(&written).expect("well-formed");
    let beam = |n: roxmltree::Node| n.children().find(|c| c.has_tag_name("beam")).and_then(|b| b.text().map(str::to_owned));
    let beams: Vec<_> = document.descendants().filter(|n| n.has_tag_name("pitch")).filter_map(|p| p.parent()).map(beam).take(3).collect();
    assert_eq!(beams, [None, Some("begin".to_owned()), Some("end".to_owned())]);
}

/// A source may forget where its tuplets begin and end; on paper each run of them has one bracket.
#[test]
fn forgotten_edges_of_tuplets_are_found() {
    let mut song = score(&[("D4:1 E4:1/3 F#4:1/3 G4:1/3 D4:1", "G3:3")]);
    for note in &mut song.measures[0].right[1..4] {
        note.tuplet = Some(Tuplet { actual: 3, normal: 2, edge: TupletEdge::Inside });
    }
    let written = write(&song);
    let document = roxmltree::Document::parse(&written).expect("well-formed");
    let id = |n: &roxmltree::Node| n.ancestors().find_map(|a| a.attribute("id").map(str::to_owned)).unwrap_or_default();
    let tuplets = document.descendants().filter(|n| n.has_tag_name("tuplet"));
    let signs: Vec<_> = tuplets.map(|n| format!("{} {}", id(&n), short(n))).collect();
    assert_eq!(signs, ["m0-r1 tuplet number=1 type=start bracket=no", "m0-r3 tuplet number=1 type=stop"]);
}

/// One clef for the whole piece: treble where most left-hand notes lie above middle C.
#[test]
fn a_high_left_hand_is_in_the_treble_clef() {
    let signs = |left: &str| {
        let written = write(&score(&[("G5:3", left)]));
        let document = roxmltree::Document::parse(&written).expect("well-formed");
        document.descendants().filter(|n| n.has_tag_name("sign")).filter_map(|n| n.text().map(str::to_owned)).collect::<Vec<_>>()
    };
    assert_eq!(signs("E4:1 G4:1 G3:1"), ["G", "G"]);
    assert_eq!(signs("E3:1 G4:1 C4:1"), ["G", "F"]);
}

/// MusicXML 4.0, element `key`: a signature that no number of fifths gives is written letter by letter.
#[test]
fn an_unusual_signature_is_spelled_out() {
    let mut song = score(&[("G4:3", "G3:3")]);
    song.measures[0].frame.key = Key { explicit: vec![(music::Step::B, -1)], ..Key::new(1, Mode::Major) };
    let written = write(&song);
    let document = roxmltree::Document::parse(&written).expect("well-formed");
    let key = document.descendants().find(|n| n.has_tag_name("key")).map(short);
    assert_eq!(key.as_deref(), Some("key (key-step F key-alter 1 key-step B key-alter -1)"));
}

/// The program's own chords are known again on its own page, and italics of others mean nothing.
#[test]
fn our_chords_are_ours_when_a_page_is_read_again() {
    let mut page = music::text::page(&[("C5:4", "C3:4"), ("D5:4", "G3:4")], 80);
    for (measure, origin) in page.measures.iter_mut().zip([music::ChordOrigin::Source, music::ChordOrigin::Ours]) {
        let chord = music::text::sheet("4/4 C | \"G\"C4:4 |").measures[0].frame.chords[0].clone();
        measure.frame.chords = vec![chord.with(origin)];
    }
    let written = formats::musicxml::write::write(&page);
    let origins = |text: &str| {
        let sheet = formats::read(text.as_bytes(), &formats::ReadOptions::default()).expect("our own page").sheet;
        sheet.measures.iter().map(|m| m.frame.chords[0].origin).collect::<Vec<_>>()
    };
    assert_eq!(origins(&written), [music::ChordOrigin::Source, music::ChordOrigin::Ours]);
    let another = written.replace("<software>Undersong", "<software>Somebody");
    assert_eq!(origins(&another), [music::ChordOrigin::Source; 2]);
}
