//! Files changed outside are noticed: once a second the folder is looked at, and what is newer is told to every tab.

use super::desk::Desk;
use super::news::News;
use super::shelf::tell_of;
use crate::shelf::{CHOICES, FIGURES};
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::{Duration, SystemTime};

/// When a file was changed and how long it is.
type Mark = Option<(SystemTime, u64)>;
type Marks = BTreeMap<String, [Mark; 2]>;

const PAUSE: Duration = Duration::from_secs(1);

/// Looks at the folder for ever.
pub async fn watch(desk: Arc<Desk>) {
    let mut before = marks(&desk);
    loop {
        tokio::time::sleep(PAUSE).await;
        let here = desk.clone();
        let last = before;
        let Ok(now) = tokio::task::spawn_blocking(move || {
            let now = marks(&here);
            tell_changes(&here, &last, &now);
            now
        })
        .await
        else {
            return;
        };
        before = now;
    }
}

/// Tells what differs between two looks at the folder.
pub fn tell_changes(desk: &Desk, before: &Marks, now: &Marks) {
    // A new one counts: it may have been brought in and changed outside between two looks.
    let changed = now.iter().filter(|(id, marks)| before.get(*id) != Some(*marks));
    for (id, _) in changed {
        tell_of(desk, id);
    }
    if before.keys().ne(now.keys()) {
        desk.tell(News::Shelf);
    }
}

/// The folder as it is: each tune with its choices, and her figures.
pub fn marks(desk: &Desk) -> Marks {
    let mark = |path: &std::path::Path| std::fs::metadata(path).ok().and_then(|m| Some((m.modified().ok()?, m.len())));
    let folder = desk.shelf.folder();
    let tunes = desk.shelf.tunes().unwrap_or_default();
    let mut marks: Marks =
        tunes.into_iter().map(|t| (t.id.clone(), [mark(&folder.join(&t.id)), mark(&desk.shelf.beside(&t.id, CHOICES))])).collect();
    marks.insert(FIGURES.into(), [mark(&folder.join(FIGURES)), None]);
    marks
}
