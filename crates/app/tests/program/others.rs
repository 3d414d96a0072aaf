//! The other commands as a harpist meets them.

use crate::support::Test;
use expect_test::{Expect, expect};

fn check(test: Test, expected: Expect) {
    expected.assert_eq(&test.said());
}

#[test]
fn explain_one_measure() {
    let test = Test::new("explain tide.abc --use bass-note --without final-chord --measure 2").tide();
    let said = test.said();
    assert!(said.starts_with("The Tide Table: march in C major, quarter note = 104\n\nMeasure 2, F: bass note ("), "{said}");
    assert!(!said.contains("rice"), "{said}");
    let priced = Test::new("explain tide.abc --use bass-note --without final-chord --measure 2 --prices").tide().said();
    assert!(priced.contains("\n  Price "), "{priced}");
    check(
        Test::new("explain tide.abc --measure 9").tide(),
        expect![[r#"
        stderr: error: there is no measure 9: the last is 4
        exit code 2
    "#]],
    );
}

#[test]
fn explain_speaks_of_every_measure() {
    let said = Test::new("explain tide.abc").tide().said();
    for measure in 1..=4 {
        assert!(said.contains(&format!("\nMeasure {measure}, ")), "{said}");
    }
}

#[test]
fn explain_as_json_has_prices_that_add_up() {
    let run = Test::new("explain tide.abc --json").tide().run();
    let told: serde_json::Value = serde_json::from_str(&run.stdout).expect("JSON");
    let decisions = told["decisions"].as_array().expect("a list of decisions");
    assert_eq!(decisions.len(), 4);
    for decision in decisions {
        let parts: i64 = decision["price_parts"].as_object().expect("parts").values().filter_map(serde_json::Value::as_i64).sum();
        assert_eq!(decision["price"].as_i64(), Some(parts), "{decision}");
    }
}

#[test]
fn harps() {
    check(
        Test::new("harps"),
        expect![[r#"
            lever-22      22 strings, C3 to C6, levers, open strings natural
            lever-26      26 strings, C3 to G6, levers, open strings natural
            lever-27      27 strings, C3 to A6, levers, open strings natural
            lever-29      29 strings, G2 to G6, levers, open strings B♭ E♭ A♭
            lever-30      30 strings, G2 to A6, levers, open strings natural
            lever-30-full 30 strings, G2 to A6, levers, open strings B♭ E♭ A♭
            lever-33      33 strings, C2 to G6, levers, open strings B♭ E♭ A♭
            lever-34      34 strings, C2 to A6, levers, open strings B♭ E♭ A♭
            lever-36      36 strings, A1 to A6, levers, open strings B♭ E♭ A♭
            lever-38      38 strings, A1 to C7, levers, open strings B♭ E♭ A♭
            lever-40      40 strings, F1 to C7, levers, open strings B♭ E♭ A♭
            pedal-40      40 strings, A1 to E7, pedals, open strings B♭ E♭ A♭ D♭ G♭ C♭ F♭
            pedal-44      44 strings, D1 to E7, pedals, open strings B♭ E♭ A♭ D♭ G♭ C♭ F♭
            pedal-46      46 strings, D1 to G7, pedals, open strings B♭ E♭ A♭ D♭ G♭ C♭ F♭
            pedal-47      47 strings, C1 to G7, pedals, open strings B♭ E♭ A♭ D♭ G♭ C♭ F♭

            Makers differ: "undersong harps show lever-34" prints a file to change and to give with --harp.
            Strings are under tension: never tune one above the pitch it was made for. When in doubt, ask the maker of your harp.
            exit code 0
        "#]],
    );
    check(
        Test::new("harps show lever-34"),
        expect![[r##"
            # The commonest full-sized lever harp. Makers differ: if yours is another, copy this file, change it, and give it with --harp.

            name = "lever-34"

            # The lowest string, and how many there are: C2 to A6. C4 is middle C.
            lowest = "C2"
            strings = 34

            # All levers down: "E-flat" means tuned to the scale of E-flat major. Or list the letters that are not natural: ["Bb", "Eb", "Ab"].
            # Strings are under tension: never tune one above the pitch it was made for. When in doubt, ask the maker of your harp.
            tuning = "E-flat"

            # The letters that have levers, in every octave: "all", "none", or a list like ["F", "C"].
            levers = "all"
            exit code 0
        "##]],
    );
    check(
        Test::new("harps show piano"),
        expect![[r#"
            stderr: error: there is no harp "piano": expected lever-22, lever-26, lever-27, lever-29, lever-30, lever-30-full, lever-33, lever-34, lever-36, lever-38, lever-40, pedal-40, pedal-44, pedal-46, pedal-47, or a file of your own
            exit code 2
        "#]],
    );
}

#[test]
fn every_figure_is_listed() {
    let said = Test::new("figures").said();
    for figure in ::arrange::Figures::own().all {
        assert!(said.contains(&format!("\n{} ", figure.name)), "{} is not in {said}", figure.name);
    }
}

/// Our demo tunes: read without a remark, in the kind they were written as.
#[test]
fn demo_tunes() {
    let tunes = [("bakery-before-six", "song"), ("ferry-reel", "reel"), ("lighthouse-in-mist", "air"), ("regatta-morning", "jig")];
    for (name, kind) in tunes {
        let folder = "../../data/tunes/";
        let text = std::fs::read_to_string(format!("{folder}{name}.abc")).expect("a demo tune");
        let run = Test::new("arrange tune.abc --write midi").file("tune.abc", &text).run();
        assert_eq!((run.code, run.stderr.as_str()), (Some(0), ""), "{name}");
        assert!(run.stdout.contains(&format!("\n  Kind       {kind} (the source says")), "{name}: {}", run.stdout);
    }
}

#[test]
fn every_command_has_a_page_in_the_manual_and_is_completed() {
    let test = Test::new("write-papers papers").then("help");
    let commands: Vec<String> = test
        .run()
        .stdout
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .map_while(|line| line.split_whitespace().next().map(str::to_owned))
        .collect();
    assert!(commands.len() > 18, "{commands:?}");
    let pages = test.files("papers/man");
    let completions = test.files("papers/completions");
    for command in commands.iter().filter(|command| *command != "help") {
        assert!(pages.contains_key(&format!("undersong-{command}.1")), "{command}");
        assert!(completions.values().all(|text| String::from_utf8_lossy(text).contains(command.as_str())), "{command}");
    }
    let text = String::from_utf8(pages["undersong.1"].clone()).expect("the manual is text");
    assert!(text.contains(".SH FILES") && text.contains(".SH \"EXIT STATUS\""), "{text}");
    assert!(!pages.keys().any(|name| name.contains("papers") || name.contains("draw")), "what is hidden has no page");
}
