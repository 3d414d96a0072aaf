//! Every page looked at by an accessibility checker (axe-core), wide and narrow, light and dark.

use crate::browser_page::{WINDOWS, in_browser};
use crate::desk::PIER;

#[test]
fn no_page_shuts_anyone_out() {
    in_browser(|page| async move {
        page.bring(PIER).await;
        let places = [
            "#/",
            "#/new",
            "#/text/Down%20to%20the%20Pier.abc",
            "#/worktable/Down%20to%20the%20Pier.abc",
            "#/stand/Down%20to%20the%20Pier.abc",
            "#/practice/Down%20to%20the%20Pier.abc",
            "#/diary",
        ];
        let mut found = Vec::new();
        for window in WINDOWS {
            page.shown_in(window).await;
            for place in places {
                page.go(place).await;
                if place.contains("worktable") {
                    page.until("ways to fold out", "document.querySelector('.other-ways > summary')").await;
                    page.run("document.querySelector('.other-ways').open = true", Vec::new()).await;
                    page.until("other ways", "document.querySelector('.other-ways').dataset.told").await;
                }
                if place.contains("practice") {
                    page.until("the step lies there", "document.querySelector('.practice-bar').dataset.heard").await;
                    page.run("document.querySelector('.more-practice').open = true", Vec::new()).await;
                }
                found.extend(page.barriers_in(window, place).await);
            }
        }
        assert!(found.is_empty(), "{}", found.join("\n"));
    });
}
