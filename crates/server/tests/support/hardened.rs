//! The test desk behind the transport.

use std::{sync::Arc, time::Duration};

use ampwright_server::transport::{self, AskError, CancelToken, Client, Desk, Options, Table};
use serde_json::{Value, json};
use tokio::io::{AsyncRead, AsyncWrite};
use tower_lsp::jsonrpc::Result;

use super::Gate;

/// Few enough for a test to go beyond.
pub(crate) const MOST_PENDING: usize = 60;

pub(crate) struct TestDesk {
    client: Client,
    gate: Gate,
    text: String,
}

pub(crate) struct Seen {
    client: Client,
    gate: Gate,
    text: String,
}

pub(crate) async fn serve(
    input: impl AsyncRead + Unpin + Send + 'static,
    output: impl AsyncWrite + Unpin + Send + 'static,
) -> u8 {
    let options = Options {
        most_pending: MOST_PENDING,
        threads: 8,
        parent_every: Duration::from_millis(20),
        farewell: Duration::from_secs(2),
        record: None,
    };
    let desk = |client| TestDesk {
        client,
        gate: Gate::default(),
        text: String::new(),
    };
    transport::serve(input, output, options, desk).await.code()
}

impl Desk for TestDesk {
    type Snapshot = Seen;

    fn table(&self) -> Arc<Table<Seen>> {
        let none = || Value::Null;
        let table = Table::default()
            .method("test/ping", none(), |_, (): &(), _| Ok("pong"))
            .method("test/read", none(), |seen: &Seen, (): &(), _| {
                Ok(seen.text.clone())
            })
            .method("test/panic", none(), |_, (): &(), _| -> Result<()> {
                panic!("meant to")
            })
            .method("test/block", none(), |seen: &Seen, (): &(), _| {
                seen.gate.wait();
                Ok("released")
            })
            .method("test/await", none(), |seen: &Seen, (): &(), cancel| {
                Ok(question(seen, 60_000, cancel))
            })
            .method("test/impatient", none(), |seen: &Seen, (): &(), cancel| {
                Ok(question(seen, 1, cancel))
            });
        Arc::new(table)
    }

    fn initialize(&mut self, _: &Value) -> Result<Value> {
        Ok(json!({"capabilities": {}}))
    }

    fn notify(&mut self, method: &str, params: Value) {
        match method {
            "textDocument/didChange" => {
                self.text += params
                    .pointer("/contentChanges/0/text")
                    .and_then(Value::as_str)
                    .unwrap_or("?");
            }
            "test/panicQuietly" => panic!("meant to"),
            "test/release" => self.gate.open(),
            _ => {}
        }
    }

    fn snapshot(&mut self) -> Arc<Seen> {
        Arc::new(Seen {
            client: self.client.clone(),
            gate: self.gate.clone(),
            text: self.text.clone(),
        })
    }
}

fn question(seen: &Seen, limit: u64, cancel: &CancelToken) -> Value {
    match seen.client.ask_and_wait(
        "test/question",
        &Value::Null,
        Duration::from_millis(limit),
        cancel,
    ) {
        Ok(answer) => answer,
        Err(AskError::Late) => json!("late"),
        Err(error) => json!(error.to_string()),
    }
}
