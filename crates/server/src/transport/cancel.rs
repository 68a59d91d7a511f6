//! The token by which work is told that nobody waits for it any more.

use std::sync::{
    Arc,
    atomic::{AtomicBool, Ordering},
};

use tokio::sync::Notify;

/// Cancels what holds a copy of it. Cheap to clone and to ask.
#[derive(Clone, Debug, Default)]
pub struct CancelToken(Arc<Inner>);

#[derive(Debug, Default)]
struct Inner {
    cancelled: AtomicBool,
    wake: Notify,
}

impl CancelToken {
    /// A token that nobody has cancelled.
    pub fn new() -> Self {
        Self::default()
    }

    /// Whether the work should end. Asked by the work itself, often.
    pub fn is_cancelled(&self) -> bool {
        self.0.cancelled.load(Ordering::Relaxed)
    }

    /// Cancels; a second time changes nothing.
    pub fn cancel(&self) {
        self.0.cancelled.store(true, Ordering::SeqCst);
        self.0.wake.notify_waiters();
    }

    /// Ends once the token is cancelled.
    pub async fn cancelled(&self) {
        let mut wake = std::pin::pin!(self.0.wake.notified());
        // Listening begins before the look, so that a cancel between the two is not missed.
        wake.as_mut().enable();
        if !self.is_cancelled() {
            wake.await;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn every_copy_is_told_early_or_late() {
        let token = CancelToken::new();
        let waiting = tokio::spawn({
            let token = token.clone();
            async move { token.cancelled().await }
        });
        tokio::task::yield_now().await;
        assert!(!token.is_cancelled());
        token.cancel();
        waiting.await.expect("the waiter ends");
        token.cancelled().await;
        assert!(token.clone().is_cancelled());
    }
}
