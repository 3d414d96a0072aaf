//! `undersong check` as a harpist types it.

use crate::support::Test;
use expect_test::{Expect, expect};

fn check(test: Test, expected: Expect) {
    expected.assert_eq(&test.said());
}

/// A page of one part and two staves: a measure for each pair of chords, which last the whole measure. A chord is pitches like C4 or F+4 (sharp).
fn page(measures: &[(&str, &str)]) -> String {
    let chord = |text: &str, staff: u8| {
        let note = |(at, name): (usize, &str)| {
            let (step, octave) = (&name[..1], &name[name.len() - 1..]);
            let alter = if name.contains('+') { "<alter>1</alter>" } else { "" };
            let together = if at == 0 { "" } else { "<chord/>" };
            let pitch = format!("<pitch><step>{step}</step>{alter}<octave>{octave}</octave></pitch>");
            format!("<note>{together}{pitch}<duration>4</duration><voice>{staff}</voice><type>whole</type><staff>{staff}</staff></note>")
        };
        text.split(' ').enumerate().map(note).collect::<String>()
    };
    let measure = |(index, (upper, lower)): (usize, &(&str, &str))| {
        let time = "<time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves>";
        let opening = format!("<attributes><divisions>1</divisions><key><fifths>0</fifths></key>{time}</attributes><sound tempo=\"60\"/>");
        let opening = if index == 0 { opening.as_str() } else { "" };
        let (upper, lower) = (chord(upper, 1), chord(lower, 2));
        format!("<measure number=\"{}\">{opening}{upper}<backup><duration>4</duration></backup>{lower}</measure>", index + 1)
    };
    let measures: String = measures.iter().enumerate().map(measure).collect();
    let list = "<part-list><score-part id=\"P1\"><part-name>Harp</part-name></score-part></part-list>";
    let title = "<work><work-title>The Slipway</work-title></work>";
    format!("<score-partwise version=\"4.0\">{title}{list}<part id=\"P1\">{measures}</part></score-partwise>")
}

#[test]
fn a_page_that_can_be_played() {
    check(
        Test::new("check slipway.musicxml").file("slipway.musicxml", &page(&[("E5", "C3 G3"), ("D5", "G2 D3")])),
        expect![[r#"
            The Slipway
              Read       2 measures, 4 plucks of both hands
              Harp       lever harp with 34 strings, assumed (--harp takes yours)
              Moves      0 of levers or pedals in play
              Findings   0 cannot be played, 0 hard, 0 worth a look
            stderr: slipway.musicxml:1:233: note: a key signature without a mode, taken as major
            exit code 0
        "#]],
    );
}

#[test]
fn findings_with_rule_and_repairs() {
    let five = page(&[("C6 E6", "C2 G2 C3 E3 G3"), ("D5", "F2 A2 C3")]);
    check(
        Test::new("check slipway.musicxml --harp pedal-47").file("slipway.musicxml", &five),
        expect![[r#"
            The Slipway
              Read       2 measures, 4 plucks of both hands
              Harp       pedal harp with 47 strings, as asked
              Moves      0 of levers or pedals in play
              Findings   1 cannot be played, 0 hard, 1 worth a look

            Measure 1, beat 1, cannot be played: C2 G2 C3 E3 G3 C6 E6: more than four notes fall to one hand, and the other is too far away to take one
              Rule       four notes a hand at most (Rimsky-Korsakov, Principles of Orchestration; Harp Inside Out, Composing for the Harp)
              Repair     leave out G3 (little is lost: the same tone sounds in another octave)
              Repair     play the upper staff's note an eighth note later (the rhythm of one hand shifts)
              Repair     play the lower staff's note an eighth note later (the rhythm of one hand shifts)

            Measure 2, beat 1, worth a look: F2 and A2 are too close together so low down: they blur
              Rule       low intervals (low-interval limits as in arranging handbooks (from memory), soft guides)
              Repair     leave out A2 (the chord loses an inner tone)
              Repair     play A2 an octave higher (one tone changes its octave)
              Repair     play the lower staff's notes here an octave higher (these notes change their octave)

            How often each is found
              cannot      1  four notes a hand at most
              look        1  low intervals
            stderr: slipway.musicxml:1:233: note: a key signature without a mode, taken as major
            exit code 0
        "#]],
    );
}

#[test]
fn another_harp_is_taken_where_the_usual_one_does_not_have_the_page() {
    let low = page(&[("E5", "G1 D2"), ("D5", "G2 D3")]);
    check(
        Test::new("check slipway.musicxml").file("slipway.musicxml", &low),
        expect![[r#"
            The Slipway
              Read       2 measures, 4 plucks of both hands
              Harp       pedal harp with 47 strings, taken because a lever harp with 34 strings cannot play this page (measure 1: this harp has no string for G1: it lies below the lowest, C2); --harp takes yours
              Moves      0 of levers or pedals in play
              Findings   0 cannot be played, 0 hard, 1 worth a look

            Measure 1, beat 1, worth a look: G1 and D2 are too close together so low down: they blur
              Rule       low intervals (low-interval limits as in arranging handbooks (from memory), soft guides)
              Repair     leave out D2 (the chord loses an inner tone)
              Repair     leave out G1 (the chord loses its bass)
              Repair     play the lower staff's notes here an octave higher (these notes change their octave)

            How often each is found
              look        1  low intervals
            stderr: slipway.musicxml:1:233: note: a key signature without a mode, taken as major
            exit code 0
        "#]],
    );
    check(
        Test::new("check slipway.musicxml --harp lever-34").file("slipway.musicxml", &low),
        expect![[r#"
            The Slipway
              Read       2 measures, 4 plucks of both hands
              Harp       lever harp with 34 strings, as asked
              Moves      0 of levers or pedals in play
              Findings   1 cannot be played, 0 hard, 0 worth a look

            Measure 1, beat 1, cannot be played: this harp has no string for G1: it lies below the lowest, C2
              Rule       a string this harp does not have (arithmetic on this harp's strings and settings)
              Repair     play the lower staff's notes here an octave higher (these notes change their octave)
              Repair     play the lower staff's notes here two octaves higher (these notes change their octave)
              Repair     leave out G1 (the chord loses its bass)

            How often each is found
              cannot      1  a string this harp does not have
            stderr: slipway.musicxml:1:233: note: a key signature without a mode, taken as major
            exit code 0
        "#]],
    );
}

#[test]
fn findings_as_json() {
    let test = Test::new("check slipway.musicxml --harp lever-22 --json").file("slipway.musicxml", &page(&[("E5", "G2 C3")]));
    check(
        test,
        expect![[r#"
            {
              "findings": [
                {
                  "measure": 1,
                  "beat": 1.0,
                  "gravity": "cannot",
                  "rule": "a string this harp does not have (arithmetic on this harp's strings and settings)",
                  "text": "this harp has no string for G2: it lies below the lowest, C3",
                  "repairs": [
                    {
                      "text": "play G2 an octave higher",
                      "effect": "one tone changes its octave"
                    },
                    {
                      "text": "play G2 two octaves higher",
                      "effect": "one tone changes its octave"
                    },
                    {
                      "text": "play the lower staff's notes here an octave higher",
                      "effect": "these notes change their octave"
                    }
                  ]
                }
              ],
              "counts": [
                {
                  "gravity": "cannot",
                  "rule": "a string this harp does not have (arithmetic on this harp's strings and settings)",
                  "places": 1
                }
              ],
              "harp": "lever-22",
              "harp_because": "as asked",
              "plucks": 2,
              "moves": 0
            }
            stderr: slipway.musicxml:1:233: note: a key signature without a mode, taken as major
            exit code 0
        "#]],
    );
}

/// What the program writes it can check, and finds nothing that cannot be played.
#[test]
fn a_page_of_ours() {
    let test = Test::new("arrange tide.abc --write musicxml").tide().then("check The+Tide+Table.musicxml --harp lever-34 --json");
    let told: serde_json::Value = serde_json::from_str(&test.run().stdout).expect("JSON");
    let findings = told["findings"].as_array().expect("a list of findings");
    assert!(findings.iter().all(|f| f["gravity"] == "look"), "{told}");
    assert_eq!(told["harp"], "lever-34");
}

#[test]
fn what_cannot_be_checked() {
    check(
        Test::new("check tide.abc").tide(),
        expect![[r#"
        stderr: error: tide.abc: this is not MusicXML, expected .musicxml, .xml or .mxl: arrange a tune first, or give a page of two staves
        exit code 2
    "#]],
    );
    check(
        Test::new("check nothing.musicxml"),
        expect![[r#"
        stderr: error: cannot read nothing.musicxml: there is no such file or folder
        exit code 1
    "#]],
    );
    let slipway = || page(&[("E5", "C3 G3")]);
    check(
        Test::new("check slipway.musicxml --staves 2").file("slipway.musicxml", &slipway()),
        expect![[r#"
        stderr: error: staves "2": expected two different numbers from 1 at the top, as 2,3
        exit code 2
    "#]],
    );
    check(
        Test::new("check slipway.musicxml --staves 1,3").file("slipway.musicxml", &slipway()),
        expect![[r#"
        stderr: slipway.musicxml:1:1: error: there is no staff 3 here: found 2 (count from the top, from 1)
        exit code 2
    "#]],
    );
    check(
        Test::new("check slipway.musicxml --part Piano").file("slipway.musicxml", &slipway()),
        expect![[r#"
        stderr: error: slipway.musicxml: there is no part "Piano" in this score: it has Harp; --part takes one of these names, or 1 for the first
        exit code 2
    "#]],
    );
}
