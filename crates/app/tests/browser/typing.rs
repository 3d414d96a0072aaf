//! Typing a tune: each note is heard, strings of a picture and a MIDI keyboard put notes into the same text.

use crate::browser_page::{BrowserPage, in_browser};
use serde_json::json;

/// D major in quarter notes, the cursor in the music.
const BEGUN: &str = "X:1\nT:Slipway\nM:3/4\nL:1/4\nK:D\n";

/// Remembers which strings are fetched and that something sounds.
const EAR: &str = "window.strings = []; window.plucked = 0; const ask = window.fetch;
    window.fetch = (path, ...rest) => { const name = /sample\\/([^.]+)/.exec(decodeURIComponent(path)); if (name) window.strings.push(name[1]); return ask(path, ...rest); };
    const start = AudioBufferSourceNode.prototype.start; AudioBufferSourceNode.prototype.start = function (when) { window.plucked += 1; return start.call(this, when); };";

async fn begun(page: &BrowserPage) {
    page.press("Paste or type a tune").await;
    page.until("the field has the focus", "document.activeElement.tagName === 'TEXTAREA'").await;
    page.paste(BEGUN).await;
    page.run(EAR, Vec::new()).await;
}

async fn text_is(page: &BrowserPage, ending: &str) {
    page.until(ending, &format!("document.querySelector('textarea').value === {}", json!(format!("{BEGUN}{ending}")))).await;
}

/// In D major an f is F sharp (ABC 2.1, 3.1.14), until a sign of its measure says otherwise (4.2).
#[test]
fn each_note_is_heard_as_it_is_typed_until_that_is_switched_off() {
    in_browser(|page| async move {
        begun(&page).await;
        page.keys("f=fF,").await;
        page.until(
            "three notes and the last an octave lower",
            "JSON.stringify(window.strings) === JSON.stringify(['F#5', 'F5', 'F#4', 'F#3'])",
        )
        .await;
        page.until("they sound", "window.plucked >= 4").await;
        page.keys("\"Am\"").await;
        assert_eq!(page.run("return window.strings.length", Vec::new()).await, 4, "the letters of a chord's name are no notes");
        page.tick("Hear each note as it is typed").await;
        page.type_into("textarea", "g").await;
        text_is(&page, "f=fF,\"Am\"g").await;
        assert_eq!(page.run("return window.strings.length", Vec::new()).await, 4);
        page.go("#/new").await;
        page.until("kept", "!document.querySelector('[data-key=typing-heard]').checked").await;
    });
}

#[test]
fn strings_and_a_keyboard_put_notes_into_the_text() {
    in_browser(|page| async move {
        let keyboard = "const input = { name: 'Little keys', onmidimessage: null }; window.key = (number) => input.onmidimessage({ data: [0x90, number, 80] });
            navigator.requestMIDIAccess = () => Promise.resolve({ inputs: new Map([['one', input]]), onstatechange: null }); return true";
        page.run(keyboard, Vec::new()).await;
        begun(&page).await;
        page.press("Put notes in by string or keyboard").await;
        page.press("String F4").await;
        page.choose("select[data-key=note-lasts]", "2").await;
        page.press("String A4").await;
        page.press("Bar line").await;
        text_is(&page, "FA2|").await;
        page.until("touched strings sound as the key has them", "window.strings.includes('F#4') && window.plucked >= 2").await;
        page.press("Use a MIDI keyboard").await;
        page.sees("Listening to Little keys").await;
        // MIDI 1.0: 60 is middle C. In D major 66 is F sharp without a sign, 65 wants a natural, 72 the C above.
        page.run("for (const number of [66, 65, 72, 73]) window.key(number)", Vec::new()).await;
        text_is(&page, "FA2|F2=F2=c2^c2").await;
        assert_eq!(page.barriers("putting notes in").await, Vec::<String>::new());
    });
}
