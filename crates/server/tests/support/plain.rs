//! The test desk on tower-lsp alone, used as its documentation shows: what the transport is for.

#![allow(clippy::unused_async, reason = "tower-lsp takes no other handlers")]

use std::{sync::Mutex, time::Duration};

use serde_json::{Value, json};
use tokio::io::{AsyncRead, AsyncWrite};
use tower_lsp::{
    Client, LanguageServer, LspService, Server,
    jsonrpc::Result,
    lsp_types::{
        DidChangeTextDocumentParams, InitializeParams, InitializeResult, request::Request,
    },
};

use super::Gate;

struct Plain {
    client: Client,
    gate: Gate,
    text: Mutex<String>,
}

enum Question {}

impl Request for Question {
    type Params = Value;
    type Result = Value;
    const METHOD: &'static str = "test/question";
}

pub(crate) async fn serve(input: impl AsyncRead + Unpin, output: impl AsyncWrite + Unpin) -> u8 {
    let plain = |client| Plain {
        client,
        gate: Gate::default(),
        text: Mutex::default(),
    };
    let (service, socket) = LspService::build(plain)
        .custom_method("test/ping", Plain::ping)
        .custom_method("test/read", Plain::read)
        .custom_method("test/panic", Plain::panic)
        .custom_method("test/panicQuietly", Plain::panic_quietly)
        .custom_method("test/block", Plain::block)
        .custom_method("test/release", Plain::release)
        .custom_method("test/await", Plain::wait)
        .custom_method("test/impatient", Plain::impatient)
        .finish();
    Server::new(input, output, socket).serve(service).await;
    0
}

#[tower_lsp::async_trait]
impl LanguageServer for Plain {
    async fn initialize(&self, _: InitializeParams) -> Result<InitializeResult> {
        Ok(InitializeResult::default())
    }

    async fn did_change(&self, params: DidChangeTextDocumentParams) {
        // As a handler does that reads a file or asks for a setting before it stores.
        tokio::time::sleep(Duration::from_millis(
            (params.text_document.version % 3) as u64,
        ))
        .await;
        self.text
            .lock()
            .expect("no panic inside")
            .push_str(&params.content_changes[0].text);
    }

    async fn shutdown(&self) -> Result<()> {
        Ok(())
    }
}

impl Plain {
    async fn ping(&self) -> Result<Value> {
        Ok(json!("pong"))
    }

    async fn read(&self) -> Result<Value> {
        Ok(json!(*self.text.lock().expect("no panic inside")))
    }

    async fn panic(&self) -> Result<Value> {
        panic!("meant to")
    }

    async fn panic_quietly(&self) {
        panic!("meant to")
    }

    async fn block(&self) -> Result<Value> {
        self.gate.wait();
        Ok(json!("released"))
    }

    async fn release(&self) {
        self.gate.open();
    }

    async fn wait(&self) -> Result<Value> {
        self.client.send_request::<Question>(Value::Null).await
    }

    async fn impatient(&self) -> Result<Value> {
        let question = self.client.send_request::<Question>(Value::Null);
        tokio::time::timeout(Duration::from_millis(1), question)
            .await
            .unwrap_or_else(|_| Ok(json!("late")))
    }
}
