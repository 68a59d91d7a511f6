//! Progress and partial results, by the tokens that a client sends with a request.

use serde_json::{Value, json};
use tower_lsp::lsp_types::ProgressToken;

use crate::transport::Client;

/// Work that a client follows, where it sent a token for it; it ends when this is dropped.
#[derive(Debug)]
pub(crate) struct Progress<'a> {
    client: &'a Client,
    token: Option<&'a ProgressToken>,
}

impl<'a> Progress<'a> {
    /// Begins work under a title that can be cancelled.
    pub(crate) fn begin(client: &'a Client, token: Option<&'a ProgressToken>, title: &str) -> Self {
        let progress = Self { client, token };
        progress
            .send(&json!({"kind": "begin", "title": title, "cancellable": true, "percentage": 0}));
        progress
    }

    /// So much of all is done.
    pub(crate) fn report(&self, done: usize, all: usize) {
        let percentage = (done * 100).checked_div(all).unwrap_or(100);
        let message = format!("{done} of {all}");
        self.send(&json!({"kind": "report", "message": message, "percentage": percentage}));
    }

    fn send(&self, value: &Value) {
        send(self.client, self.token, value);
    }
}

impl Drop for Progress<'_> {
    fn drop(&mut self) {
        self.send(&json!({"kind": "end"}));
    }
}

/// A part of a result ahead of the whole; whether the client takes parts.
pub(crate) fn partial(client: &Client, token: Option<&ProgressToken>, part: &Value) -> bool {
    send(client, token, part);
    token.is_some()
}

fn send(client: &Client, token: Option<&ProgressToken>, value: &Value) {
    if let Some(token) = token {
        client.notify("$/progress", &json!({"token": token, "value": value}));
    }
}
