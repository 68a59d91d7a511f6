//! Hover: what a conductor carries, a load gets, a word means.

use serde_json::json;
use tower_lsp::{
    jsonrpc::Result,
    lsp_types::{
        Hover, HoverContents, HoverParams, MarkupContent, MarkupKind, request::HoverRequest,
    },
};

use super::place::Asked;
use crate::{
    state::Snapshot,
    transport::{CancelToken, Table},
};

pub(super) fn register(table: Table<Snapshot>) -> Table<Snapshot> {
    table.on::<HoverRequest>(json!({"hoverProvider": true}), hover)
}

fn hover(snapshot: &Snapshot, params: &HoverParams, cancel: &CancelToken) -> Result<Option<Hover>> {
    let (asked, byte) = Asked::at(snapshot, &params.text_document_position_params, cancel)?;
    let Some((computed, file)) = asked.plan() else {
        return Ok(None);
    };
    let found = ampwright_assist::hover::hover(&computed.plan, file, byte);
    Ok(found.map(|found| Hover {
        contents: HoverContents::Markup(markup(
            snapshot,
            "/textDocument/hover/contentFormat",
            &found.doc,
        )),
        range: Some(asked.range(found.at.range)),
    }))
}

/// Markdown where the client takes it at this place of its capabilities, else plain text.
pub(super) fn markup(
    snapshot: &Snapshot,
    formats: &str,
    doc: &ampwright_assist::Doc,
) -> MarkupContent {
    if snapshot.support.lists(formats, "markdown") {
        return MarkupContent {
            kind: MarkupKind::Markdown,
            value: doc.markdown(),
        };
    }
    MarkupContent {
        kind: MarkupKind::PlainText,
        value: doc.plain(),
    }
}
