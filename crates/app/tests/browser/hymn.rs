//! A hymn in four voices on the worktable: its chords, those that were thinned out, one of them brought back, and a measure typed anew.

use crate::browser_page::in_browser;

/// A chord on every beat of the second measure. Our own.
const HYMN: &str = "X:1\nT:The Ferry Waits\nM:4/4\nL:1/4\nQ:1/4=90\nK:C\n\
V:S\nG4|A G F E|D2 C2|]\nV:A\nE4|F D C C|B,2 C2|]\nV:T\nC4|C B, A, G,|G,2 E,2|]\nV:B\nC,4|F,, G,, A,, C,|G,,2 C,2|]\n";

#[test]
fn a_hymn_is_thinned_and_a_chord_comes_back() {
    in_browser(|page| async move {
        page.bring(HYMN).await;
        page.until(
            "whose the chord is",
            "[...document.querySelectorAll('.chord-line .badge')].some((badge) => badge.textContent === 'Undersong\\'s')",
        )
        .await;
        page.press("Next measure").await;
        page.until("two chords are gone", "document.querySelectorAll('.gone-chord').length === 2").await;
        let before = page.revision().await;
        page.press("Bring back G in Measure 2").await;
        page.redrawn(&before).await;
        page.until("it is back", "![...document.querySelectorAll('.gone-chord .chord')].some((one) => one.textContent === 'G') && /brought back by you/.test(document.querySelector('.gone-chords').innerText)").await;
        page.press("Whole tune").await;
        let before = page.revision().await;
        page.choose("select[data-key=chords-a-measure]", "4").await;
        page.redrawn(&before).await;
        let before = page.revision().await;
        page.press("No chords").await;
        page.redrawn(&before).await;
        page.sees("Its 4 voices can give it chords").await;
        let before = page.revision().await;
        page.press("Chords from its voices").await;
        page.redrawn(&before).await;
        page.until("they are there again", "/chords were found in its 4 voices/.test(document.querySelector('.whole-panel').innerText)")
            .await;
    });
}

/// Brought in, the whole tune opened, an introduction, an ending, and the page to print out of its menu: six, and the thinning came of itself.
#[test]
fn a_hymn_is_ready_for_church_in_six_actions() {
    in_browser(|page| async move {
        page.bring(HYMN).await;
        page.press("Whole tune").await;
        page.until("it was thinned", "/at most 2 in a measure/.test(document.querySelector('.whole-panel').innerText)").await;
        for (name, value, heading) in [("introduction", "2", "Introduction"), ("ending", "usual", "Ending")] {
            let before = page.revision().await;
            page.choose(&format!("select[data-key=form-{name}]"), value).await;
            page.redrawn(&before).await;
            page.until(heading, &format!("/{heading}: /.test(document.querySelector('.whole-panel').innerText)")).await;
        }
        page.press("Take home").await;
        page.press("The page to print (PDF)").await;
        assert!(page.taken_home("pdf").await.starts_with(b"%PDF"));
    });
}
