//! The requests that are being answered: their tokens, their number, their room to run.

use std::{
    collections::HashMap,
    sync::{Arc, Mutex, MutexGuard, PoisonError},
};

use tokio::sync::Semaphore;
use tower_lsp::jsonrpc::Id;

use super::CancelToken;

/// Requests in flight by id. Cheap to clone.
#[derive(Clone, Debug)]
pub(super) struct Pending {
    tokens: Arc<Mutex<HashMap<Id, CancelToken>>>,
    closed: CancelToken,
    most: usize,
    /// Threads that handlers run on at a time; the rest wait, and can be cancelled while they do.
    pub(super) threads: Arc<Semaphore>,
}

/// Why a request is not taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Full {
    /// A request with this id is still being answered.
    SameId,
    /// Too many are.
    TooMany,
}

/// A request's place among the pending ones, given up when dropped.
#[derive(Debug)]
pub(super) struct Place {
    pending: Pending,
    id: Id,
    pub(super) token: CancelToken,
}

impl Drop for Place {
    fn drop(&mut self) {
        self.pending.tokens().remove(&self.id);
    }
}

impl Pending {
    pub(super) fn new(most: usize, threads: usize) -> Self {
        Self {
            tokens: Arc::default(),
            closed: CancelToken::new(),
            most,
            threads: Arc::new(Semaphore::new(threads)),
        }
    }

    pub(super) fn enter(&self, id: Id) -> Result<Place, Full> {
        let mut tokens = self.tokens();
        if tokens.contains_key(&id) {
            return Err(Full::SameId);
        }
        if tokens.len() >= self.most {
            return Err(Full::TooMany);
        }
        let token = if self.closed.is_cancelled() {
            self.closed.clone()
        } else {
            CancelToken::new()
        };
        tokens.insert(id.clone(), token.clone());
        Ok(Place {
            pending: self.clone(),
            id,
            token,
        })
    }

    pub(super) fn cancel(&self, id: &Id) {
        if let Some(token) = self.tokens().get(id) {
            token.cancel();
        }
    }

    /// Cancels what is being answered and whatever still comes.
    pub(super) fn close(&self) {
        self.closed.cancel();
        self.tokens().values().for_each(CancelToken::cancel);
    }

    fn tokens(&self) -> MutexGuard<'_, HashMap<Id, CancelToken>> {
        self.tokens.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
