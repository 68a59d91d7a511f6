//! The way to the client: notifications, and requests with a time limit.
//!
//! All of it leaves through one bounded queue that the outlet empties, so nothing here waits for a
//! client that does not read. tower-lsp's own client handle is not used: it panics when an answer
//! comes after the wait for it was given up.

use std::{
    collections::BTreeMap,
    fmt,
    sync::{Arc, Mutex, PoisonError},
    time::Duration,
};

use serde_json::{Value, json};
use tokio::sync::{mpsc, oneshot};
use tower_lsp::jsonrpc::{Error, Id, Response};

use super::{CancelToken, publisher::Publisher};

/// Messages that wait for a client that reads slowly; more are dropped.
const MOST_WAITING: usize = 1024;

/// Requests that a client may owe answers to; more are refused here.
const MOST_OWED: usize = 64;

/// Why a request to the client brought nothing.
#[derive(Clone, Debug, PartialEq)]
pub enum AskError {
    /// The client refused.
    Refused(Error),
    /// The time limit passed.
    Late,
    /// The request that asked was cancelled meanwhile.
    Cancelled,
    /// The client owes too many answers, reads nothing, or is gone.
    Busy,
}

impl fmt::Display for AskError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Refused(error) => write!(f, "the client refused: {error}"),
            Self::Late => f.write_str("the client did not answer in time"),
            Self::Cancelled => f.write_str("nobody waits for the answer any more"),
            Self::Busy => f.write_str("the client takes no more requests"),
        }
    }
}

impl std::error::Error for AskError {}

#[derive(Debug, Default)]
struct Owed {
    last: i64,
    answers: BTreeMap<i64, oneshot::Sender<Result<Value, Error>>>,
}

/// Strikes a request from what is owed, however the wait for its answer ends.
struct GivenUp<'a> {
    client: &'a Client,
    id: i64,
}

impl Drop for GivenUp<'_> {
    fn drop(&mut self) {
        self.client.owed().answers.remove(&self.id);
    }
}

/// The handle on the client. Cheap to clone.
#[derive(Clone, Debug)]
pub struct Client {
    mail: mpsc::Sender<Vec<u8>>,
    own: mpsc::Sender<(&'static str, Value)>,
    owed: Arc<Mutex<Owed>>,
    /// Where findings go.
    pub publisher: Publisher,
}

/// What comes out of a handle: messages for the client, and the server's notes to itself.
pub(super) struct Mail {
    pub(super) queue: mpsc::Receiver<Vec<u8>>,
    pub(super) own: OwnNotes,
}

/// Notifications that the server sends itself.
pub(super) type OwnNotes = mpsc::Receiver<(&'static str, Value)>;

impl Client {
    /// A handle, and what comes out of it.
    pub(super) fn new() -> (Self, Mail) {
        let (mail, queue) = mpsc::channel(MOST_WAITING);
        let (own, notes) = mpsc::channel(MOST_OWED);
        let client = Self {
            mail,
            own,
            owed: Arc::default(),
            publisher: Publisher::default(),
        };
        (client, Mail { queue, own: notes })
    }

    /// A handle that leads nowhere, for tests.
    #[cfg(test)]
    pub(crate) fn nowhere() -> Self {
        Self::new().0
    }

    /// A handle and what is sent through it, for tests.
    #[cfg(test)]
    pub(crate) fn open() -> (Self, mpsc::Receiver<Vec<u8>>) {
        let (client, mail) = Self::new();
        (client, mail.queue)
    }

    /// Sends a notification; dropped, with a word in the log, when the client does not read.
    pub fn notify(&self, method: &str, params: &Value) {
        self.post(&json!({"jsonrpc": "2.0", "method": method, "params": params}));
    }

    /// Tells the server itself, as a notification between those of the client: what has to be waited
    /// for reaches the state's one owner this way.
    pub(crate) fn note(&self, method: &'static str, params: Value) {
        if self.own.try_send((method, params)).is_err() {
            tracing::warn!("{method} was dropped: the server does not come to it");
        }
    }

    /// Sends a line of the log; in silence, since a word about it would be another such line.
    pub(crate) fn log(&self, kind: u8, message: &str) {
        let params = json!({"type": kind, "message": message});
        let line = json!({"jsonrpc": "2.0", "method": "window/logMessage", "params": params});
        // The last places in the queue are for what matters more.
        if self.mail.capacity() > MOST_WAITING / 2 {
            drop(self.mail.try_send(line.to_string().into_bytes()));
        }
    }

    /// Shows the writer a warning.
    pub fn warn(&self, message: &str) {
        tracing::warn!("{message}");
        self.notify(
            "window/showMessage",
            &json!({"type": 2, "message": message}),
        );
    }

    /// Asks the client and waits for at most `limit`. Never called without one: a client that does
    /// not answer must not hold a handler for ever.
    ///
    /// # Errors
    /// Why there is no result.
    pub async fn ask(
        &self,
        method: &str,
        params: &Value,
        limit: Duration,
    ) -> Result<Value, AskError> {
        let (id, answer) = self.expect_answer().ok_or(AskError::Busy)?;
        let _given_up = GivenUp { client: self, id };
        if !self.post(&json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params})) {
            return Err(AskError::Busy);
        }
        match tokio::time::timeout(limit, answer).await {
            Ok(Ok(result)) => result.map_err(AskError::Refused),
            Ok(Err(_)) => Err(AskError::Busy),
            Err(_) => Err(AskError::Late),
        }
    }

    /// [`Client::ask`] for a request handler, which runs on a thread that may wait, and whose own
    /// request may be cancelled.
    ///
    /// # Errors
    /// Why there is no result.
    pub fn ask_and_wait(
        &self,
        method: &str,
        params: &Value,
        limit: Duration,
        cancel: &CancelToken,
    ) -> Result<Value, AskError> {
        if cancel.is_cancelled() {
            return Err(AskError::Cancelled);
        }
        let runtime = tokio::runtime::Handle::try_current().map_err(|_| AskError::Busy)?;
        runtime.block_on(async {
            tokio::select! {
                biased;
                () = cancel.cancelled() => Err(AskError::Cancelled),
                answer = self.ask(method, params, limit) => answer,
            }
        })
    }

    /// Hands an answer of the client's to whoever waits for it.
    pub(super) fn answered(&self, id: &Id, result: Result<Value, Error>) {
        let waiting = match id {
            Id::Number(id) => self.owed().answers.remove(id),
            _ => None,
        };
        if let Some(waiting) = waiting {
            drop(waiting.send(result));
        } else {
            tracing::debug!("an answer that nobody waits for: {id}");
        }
    }

    /// Answers a request outside tower-lsp's loop.
    pub(super) fn answer(&self, id: Id, result: Result<Value, Error>) {
        self.post(&json!(Response::from_parts(id, result)));
    }

    fn post(&self, message: &Value) -> bool {
        let posted = self.mail.try_send(message.to_string().into_bytes()).is_ok();
        if !posted {
            tracing::warn!("the client does not read; a message to it was dropped");
        }
        posted
    }

    fn expect_answer(&self) -> Option<(i64, oneshot::Receiver<Result<Value, Error>>)> {
        let mut owed = self.owed();
        if owed.answers.len() >= MOST_OWED {
            return None;
        }
        owed.last += 1;
        let (waiting, answer) = oneshot::channel();
        let id = owed.last;
        owed.answers.insert(id, waiting);
        Some((id, answer))
    }

    fn owed(&self) -> std::sync::MutexGuard<'_, Owed> {
        self.owed.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
