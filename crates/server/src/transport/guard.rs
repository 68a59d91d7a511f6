//! What acts on each message, synchronously and in the order of arrival.
//!
//! tower-lsp's loop calls [`Guard::call`] with one message after the other. Notifications change the
//! desk's state before it returns; a request takes its snapshot before it returns, and only then
//! goes to a thread of its own. So nothing that a handler does or waits for can reorder edits.

use std::{
    future::Future,
    panic::{AssertUnwindSafe, catch_unwind},
    pin::Pin,
    sync::{
        Arc,
        atomic::{AtomicU8, Ordering},
    },
    task::{Context, Poll},
};

use serde_json::Value;
use tokio::sync::oneshot;
use tower_lsp::jsonrpc::{Error, ErrorCode, Id, Request, Response, Result};
use tower_service::Service;

use super::{
    CancelToken, Client, Desk, Table,
    intake::Parcels,
    pending::{Full, Pending, Place},
    table::Handler,
};

/// How far the conversation has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Phase {
    /// Nothing but `initialize` is answered.
    Fresh,
    /// Everything is.
    Running,
    /// `shutdown` was answered; nothing more is.
    ShutDown,
}

/// The phase, seen from outside the guard too.
#[derive(Clone, Debug, Default)]
pub(super) struct PhaseCell(Arc<AtomicU8>);

impl PhaseCell {
    pub(super) fn get(&self) -> Phase {
        match self.0.load(Ordering::SeqCst) {
            0 => Phase::Fresh,
            1 => Phase::Running,
            _ => Phase::ShutDown,
        }
    }

    fn set(&self, phase: Phase) {
        self.0.store(phase as u8, Ordering::SeqCst);
    }
}

/// The service around the desk.
pub(super) struct Guard<D: Desk> {
    desk: D,
    table: Arc<Table<D::Snapshot>>,
    client: Client,
    pending: Pending,
    phase: PhaseCell,
    parcels: Parcels,
    /// Told the parent's process once it is known.
    parent: Option<oneshot::Sender<u32>>,
}

type Answer = Pin<
    Box<
        dyn Future<Output = std::result::Result<Option<Response>, std::convert::Infallible>> + Send,
    >,
>;

impl<D: Desk> Service<Request> for Guard<D> {
    type Response = Option<Response>;
    type Error = std::convert::Infallible;
    type Future = Answer;

    fn poll_ready(&mut self, _: &mut Context<'_>) -> Poll<std::result::Result<(), Self::Error>> {
        Poll::Ready(Ok(()))
    }

    fn call(&mut self, request: Request) -> Answer {
        let (method, id, ticket) = request.into_parts();
        let params = self.collect(ticket.as_ref());
        if let Some(id) = id {
            return self.request(id, &method, params);
        }
        self.notification(&method, params);
        no_answer()
    }
}

impl<D: Desk> Guard<D> {
    pub(super) fn new(
        desk: D,
        client: Client,
        pending: Pending,
        parcels: Parcels,
        parent: oneshot::Sender<u32>,
    ) -> Self {
        let (table, phase, parent) = (desk.table(), PhaseCell::default(), Some(parent));
        Self {
            desk,
            table,
            client,
            pending,
            phase,
            parcels,
            parent,
        }
    }

    pub(super) fn phase(&self) -> PhaseCell {
        self.phase.clone()
    }

    /// The params of the call with this ticket. Both come in one order; should the loop ever lose a
    /// call, its params are passed over.
    fn collect(&mut self, ticket: Option<&Value>) -> Value {
        let ticket = ticket
            .and_then(|ticket| ticket.get(0))
            .and_then(Value::as_u64);
        let mut parcels = std::iter::from_fn(|| self.parcels.try_recv().ok());
        parcels
            .find(|&(number, _)| Some(number) == ticket)
            .map(|(_, params)| params)
            .unwrap_or_default()
    }

    fn notification(&mut self, method: &str, params: Value) {
        if self.phase.get() != Phase::Running {
            return tracing::warn!("{method} outside initialize and shutdown is ignored");
        }
        if method == "$/cancelRequest" {
            return self.cancel(&params);
        }
        let desk = &mut self.desk;
        if catch_unwind(AssertUnwindSafe(|| desk.notify(method, params))).is_err() {
            tracing::error!("{method} failed inside the server");
        }
    }

    fn cancel(&self, params: &Value) {
        match params.get("id") {
            Some(Value::String(id)) => self.pending.cancel(&Id::String(id.clone())),
            Some(id) => drop(id.as_i64().map(|id| self.pending.cancel(&Id::Number(id)))),
            None => tracing::warn!("$/cancelRequest without an id"),
        }
    }

    fn request(&mut self, id: Id, method: &str, params: Value) -> Answer {
        match (self.phase.get(), method) {
            (Phase::Fresh, "initialize") => self.initialize(id, &params),
            (Phase::Fresh, _) => answer(id, Err(error(-32002, "the server is not initialized"))),
            (Phase::Running, "initialize") | (Phase::ShutDown, _) => {
                answer(id, Err(Error::invalid_request()))
            }
            (Phase::Running, "shutdown") => self.shut_down(id),
            (Phase::Running, method) => self.start(id, method, params),
        }
    }

    /// The answer leaves by the client's own queue, so that it precedes whatever the desk sends.
    fn initialize(&mut self, id: Id, params: &Value) -> Answer {
        let desk = &mut self.desk;
        let result = catch_unwind(AssertUnwindSafe(|| desk.initialize(params)));
        let result = result.unwrap_or_else(|_| Err(Error::internal_error()));
        if result.is_ok() {
            self.phase.set(Phase::Running);
            self.tell_parent(params);
        }
        self.client.answer(id, result);
        no_answer()
    }

    fn tell_parent(&mut self, params: &Value) {
        let parent = params
            .get("processId")
            .and_then(Value::as_u64)
            .and_then(|id| u32::try_from(id).ok());
        if let (Some(parent), Some(tell)) = (parent, self.parent.take()) {
            let _ = tell.send(parent);
        }
    }

    fn shut_down(&mut self, id: Id) -> Answer {
        self.phase.set(Phase::ShutDown);
        self.client.publisher.stop();
        answer(id, Ok(Value::Null))
    }

    fn start(&mut self, id: Id, method: &str, params: Value) -> Answer {
        let Some(handler) = self.table.handler(method) else {
            return answer(
                id,
                Err(Error {
                    data: Some(method.into()),
                    ..Error::method_not_found()
                }),
            );
        };
        let place = match self.pending.enter(id.clone()) {
            Ok(place) => place,
            Err(Full::SameId) => return answer(id, Err(Error::invalid_request())),
            Err(Full::TooMany) => {
                return answer(id, Err(error(-32802, "too many requests at once")));
            }
        };
        let desk = &mut self.desk;
        let Ok(snapshot) = catch_unwind(AssertUnwindSafe(|| desk.snapshot())) else {
            return answer(id, Err(Error::internal_error()));
        };
        let work = run(
            handler,
            snapshot,
            params,
            place,
            Arc::clone(&self.pending.threads),
        );
        let running = tokio::spawn(work);
        Box::pin(async move {
            let result = running
                .await
                .unwrap_or_else(|_| Err(Error::internal_error()));
            Ok(Some(Response::from_parts(id, result)))
        })
    }
}

/// Runs a handler on a thread that may block; answers at once when cancelled, whatever it does.
async fn run<S: Send + Sync + 'static>(
    handler: Handler<S>,
    snapshot: Arc<S>,
    params: Value,
    place: Place,
    threads: Arc<tokio::sync::Semaphore>,
) -> Result<Value> {
    let token = place.token.clone();
    let work = async {
        let permit = threads.acquire_owned().await;
        let token = token.clone();
        tokio::task::spawn_blocking(move || {
            let result = cancelled(&token).and_then(|()| handler(&snapshot, params, &token));
            drop(permit);
            result
        })
        .await
    };
    let result = tokio::select! {
        biased;
        () = token.cancelled() => Ok(Err(Error::request_cancelled())),
        result = work => result,
    };
    // What a cancelled handler returns may be half of it.
    cancelled(&token)?;
    // A handler that panics has its answer here, and its thread and its place are given back.
    result.unwrap_or_else(|_| {
        Err(error(
            ErrorCode::InternalError.code(),
            "the server failed on this request",
        ))
    })
}

fn error(code: i64, message: &'static str) -> Error {
    Error {
        message: message.into(),
        ..Error::new(ErrorCode::from(code))
    }
}

fn answer(id: Id, result: Result<Value>) -> Answer {
    Box::pin(std::future::ready(Ok(Some(Response::from_parts(
        id, result,
    )))))
}

fn no_answer() -> Answer {
    Box::pin(std::future::ready(Ok(None)))
}

/// For a handler that works long: asks its token, to end by `?`.
///
/// # Errors
/// The token is cancelled.
pub fn cancelled(token: &CancelToken) -> Result<()> {
    if token.is_cancelled() {
        Err(Error::request_cancelled())
    } else {
        Ok(())
    }
}
