//! The transport: tower-lsp's loop, and what it needs around it to be relied on.
//!
//! tower-lsp 0.20 keeps the loop: it calls, holds the answers in flight, encodes them. Used
//! plainly it reorders edits, deadlocks, does not end, stops at one bad frame, and stalls. Here it is
//! fed by a pump that passes only what it can read (`intake`), calls a service that acts at once
//! and never makes it wait (`guard`), and empties into a pump that always takes (`outlet`).
//!
//! Generic over a [`Desk`], which owns the state; knows messages, not boats, files or findings.

mod cancel;
mod client;
mod frame;
mod guard;
mod intake;
mod message;
mod outlet;
mod parent;
mod pending;
mod publisher;
mod record;
mod replay;
mod table;

use std::{io, sync::Arc, time::Duration};

use serde_json::Value;
use tokio::{
    io::{AsyncRead, AsyncWrite, duplex},
    sync::oneshot,
    task::{AbortHandle, JoinHandle},
    time::timeout,
};
use tower_lsp::{LanguageServer, LspService, Server, jsonrpc::Result, lsp_types};

pub use cancel::CancelToken;
pub use client::{AskError, Client};
pub use guard::cancelled;
pub use publisher::{Generation, Publisher};
pub use record::{Line as RecordedLine, MOST_RECORDED, Record, Side, read as read_record};
pub use replay::{Difference, Replayed, Streams, replay};
pub use table::Table;

pub(crate) use table::merge;

use guard::{Guard, Phase};
use intake::Feed;
use pending::Pending;

/// The one owner of a server's state.
pub trait Desk: Send + 'static {
    /// What a request sees: the state at the moment it arrived.
    type Snapshot: Send + Sync + 'static;

    /// The requests that are answered.
    fn table(&self) -> Arc<Table<Self::Snapshot>>;

    /// Answers `initialize`; the params are raw, since no client's should fail on a detail.
    ///
    /// # Errors
    /// The answer, where the server does not begin.
    fn initialize(&mut self, params: &Value) -> Result<Value>;

    /// Applies a notification. Called in the order of arrival; must not wait for anything.
    fn notify(&mut self, method: &str, params: Value);

    /// The state as it is now. Called for each request; must not wait for anything.
    fn snapshot(&mut self) -> Arc<Self::Snapshot>;
}

/// The transport's bounds.
#[derive(Clone, Debug)]
pub struct Options {
    /// Requests in flight; more are answered as cancelled by the server.
    pub most_pending: usize,
    /// Threads that handlers run on.
    pub threads: usize,
    /// How often the parent's process is looked at: the only thing that wakes an idle server.
    pub parent_every: Duration,
    /// What is still being answered at the end, and what is still being written, may take this long.
    pub farewell: Duration,
    /// Where the messages are written down as well.
    pub record: Option<Record>,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            most_pending: 1024,
            threads: 16,
            parent_every: Duration::from_secs(5),
            farewell: Duration::from_secs(1),
            record: None,
        }
    }
}

/// Why serving stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stopped {
    /// The client sent `exit`.
    Exit,
    /// The input ended.
    EndOfInput,
    /// The output cannot be written.
    OutputClosed,
    /// The client's process ended.
    ParentGone,
    /// The loop itself failed.
    Failed,
}

/// How serving ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ended {
    /// Why.
    pub stopped: Stopped,
    /// Whether `shutdown` came before.
    pub shut_down: bool,
}

impl Ended {
    /// The process's exit code: 0 after `shutdown`, 1 without it.
    pub fn code(self) -> u8 {
        u8::from(!self.shut_down)
    }
}

/// Bytes between the pumps and the loop on the way in; the way out has room for a client that
/// writes much before it reads. The buffers grow only as they are used.
const ROOM_IN: usize = 64 << 10;
const ROOM_OUT: usize = 16 << 20;

/// Serves one client until it exits, its input ends, its output is closed, or its process is gone.
pub async fn serve<R, W, D>(
    input: R,
    output: W,
    options: Options,
    desk: impl FnOnce(Client) -> D,
) -> Ended
where
    R: AsyncRead + Unpin + Send + 'static,
    W: AsyncWrite + Unpin + Send + 'static,
    D: Desk,
{
    let (client, mail) = Client::new();
    let pending = Pending::new(options.most_pending, options.threads);
    let (tell_parent, parent) = oneshot::channel();
    let (heads, tower_input) = duplex(ROOM_IN);
    let (tower_output, answers) = duplex(ROOM_OUT);
    let (feed, parcels) = Feed::new(heads);
    let guard = Guard::new(
        desk(client.clone()),
        client.clone(),
        pending.clone(),
        parcels,
        tell_parent,
    );
    let phase = guard.phase();
    // Every pending request and a few refusals fit into the loop at once, so that it always reads.
    let tower = Server::new(tower_input, tower_output, idle_socket())
        .concurrency_level(options.most_pending + 64);

    let record = options.record;
    let publisher = client.publisher.clone();
    let outlet = outlet::run(output, answers, mail.queue, publisher, record.clone());
    let mut outlet = tokio::spawn(outlet);
    let mut intake = tokio::spawn(intake::run(input, feed, client, mail.own, record));
    let mut tower = tokio::spawn(tower.serve(guard));
    let stopped = tokio::select! {
        biased;
        stopped = &mut intake => stopped.unwrap_or(Stopped::Failed),
        _ = &mut outlet => Stopped::OutputClosed,
        _ = &mut tower => Stopped::Failed,
        () = parent_gone(parent, options.parent_every) => Stopped::ParentGone,
    };
    let tasks = [
        intake.abort_handle(),
        outlet.abort_handle(),
        tower.abort_handle(),
    ];
    if matches!(stopped, Stopped::Exit | Stopped::EndOfInput) {
        take_leave(tower, outlet, &pending, options.farewell).await;
    }
    pending.close();
    tasks.iter().for_each(AbortHandle::abort);
    Ended {
        stopped,
        shut_down: phase.get() == Phase::ShutDown,
    }
}

/// Lets what was asked before the end be answered, for as long as a farewell may take.
async fn take_leave(
    mut tower: JoinHandle<()>,
    outlet: JoinHandle<io::Result<()>>,
    pending: &Pending,
    limit: Duration,
) {
    if timeout(limit, &mut tower).await.is_err() {
        pending.close();
        drop(timeout(limit, tower).await);
    }
    if timeout(limit, outlet).await.is_err() {
        tracing::warn!("not everything could be written before the end");
    }
}

async fn parent_gone(parent: oneshot::Receiver<u32>, every: Duration) {
    match parent.await {
        Ok(id) => parent::gone(id, every).await,
        Err(_) => std::future::pending().await,
    }
}

/// tower-lsp's loop wants a socket to its client, which only its service can make. Nothing goes
/// through it here.
fn idle_socket() -> tower_lsp::ClientSocket {
    struct Nobody;
    #[tower_lsp::async_trait]
    impl LanguageServer for Nobody {
        async fn initialize(
            &self,
            _: lsp_types::InitializeParams,
        ) -> Result<lsp_types::InitializeResult> {
            Ok(lsp_types::InitializeResult::default())
        }
        async fn shutdown(&self) -> Result<()> {
            Ok(())
        }
    }
    LspService::new(|_| Nobody).1
}
