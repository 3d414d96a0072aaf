//! The sound in the browser: it plays, the marker moves on the music, it loops, and slowing down keeps the pitch.

use crate::desk::PIER;
use crate::page::in_browser;
use serde_json::json;

#[test]
fn it_plays_loops_and_slows_down() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        page.run("window.rates = []; const start = AudioBufferSourceNode.prototype.start; AudioBufferSourceNode.prototype.start = function (when) { window.rates.push([this.playbackRate.value, when]); return start.call(this, when); };", Vec::new()).await;
        page.run(
            "const range = document.querySelector('[data-key=sound-tempo]'); range.value = 150; range.dispatchEvent(new Event('input'));",
            Vec::new(),
        )
        .await;
        page.point_at("g.measure#m1").await;
        page.sees("Measure 2").await;
        page.find(".loop-range select").await;
        page.run("document.querySelector('.sound .tick input').click()", Vec::new()).await;
        page.press("Play").await;
        page.until("the marker stands in measure 2", "document.querySelector('g.measure#m1 .marker')").await;
        page.until("and in measure 3", "document.querySelector('g.measure#m2 .marker')").await;
        page.until("and again in measure 2", "document.querySelector('g.measure#m1 .marker')").await;
        let rates = page.run("return window.rates", Vec::new()).await;
        let rates = rates.as_array().expect("strings were plucked");
        assert!(rates.len() > 8, "{} strings were plucked", rates.len());
        assert!(rates.iter().all(|one| one[0] == json!(1)), "no string is played faster or slower than it was made");
        page.run(
            "const range = document.querySelector('[data-key=sound-tempo]'); range.value = 25; range.dispatchEvent(new Event('input'));",
            Vec::new(),
        )
        .await;
        page.sees("25 %").await;
        page.press("Pause").await;
    });
}
