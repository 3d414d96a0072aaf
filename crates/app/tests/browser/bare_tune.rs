//! A melody without chord symbols on the worktable: chords are made for it, more of them on wish, none; another chord is taken from the list of a measure.

use crate::browser_page::in_browser;

/// Our own.
const QUAY: &str = "X:1\nT:The Quay at Evening\nM:3/4\nL:1/4\nQ:1/4=96\nK:G\nG2B|A2G|E2G|D2D|G2B|A2F|G3-|G3|]\n";

#[test]
fn a_bare_melody_has_chords_and_one_is_changed() {
    in_browser(|page| async move {
        page.bring(QUAY).await;
        page.until(
            "whose the chord is",
            "[...document.querySelectorAll('.chord-line .badge')].some((badge) => badge.textContent === 'Undersong\\'s')",
        )
        .await;
        page.until(
            "why it stands there",
            "/G was made for the melody It begins on the tonic/.test(document.querySelector('.measure-panel').innerText)",
        )
        .await;
        page.press("Next measure").await;
        page.until("others are listed", "document.querySelectorAll('.other-chord').length > 2").await;
        let before = page.revision().await;
        page.click("details.other-chords > summary").await;
        page.click(".other-chord button[aria-label^='Take ']").await;
        page.redrawn(&before).await;
        page.until("it is hers", "document.querySelector('.own-chord summary').textContent === 'Your own chord'").await;
        page.press("Whole tune").await;
        let before = page.revision().await;
        page.press("More chords").await;
        page.redrawn(&before).await;
        let before = page.revision().await;
        page.press("No chords").await;
        page.redrawn(&before).await;
        page.until("only hers is left", "document.querySelector('[data-key=chords-written]').getAttribute('aria-pressed') === 'true'")
            .await;
    });
}
