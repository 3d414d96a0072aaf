//! Whether she asked for the end of the program: the desk keeps it, [`end`](super::end) says it, whoever keeps the server open waits for it.

use tokio::sync::Notify;

/// Whether she asked for the end.
#[derive(Default)]
pub struct End(Notify);

impl End {
    pub(super) fn ask(&self) {
        self.0.notify_one();
    }

    /// Is over when she has asked, before or after this was called.
    pub async fn asked(&self) {
        self.0.notified().await;
    }
}
