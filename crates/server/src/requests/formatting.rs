//! The written form of a file, or of some lines of it; the indentation of a line that is begun.

use ampwright_assist::{Edit, format};
use serde_json::json;
use tower_lsp::{
    jsonrpc::Result,
    lsp_types::{
        DocumentFormattingParams, DocumentOnTypeFormattingParams, DocumentRangeFormattingParams,
        TextEdit,
        request::{Formatting, OnTypeFormatting, RangeFormatting},
    },
};

use super::place::Asked;
use crate::{
    state::Snapshot,
    transport::{CancelToken, Table},
};

pub(super) fn register(table: Table<Snapshot>) -> Table<Snapshot> {
    table
        .on::<Formatting>(json!({"documentFormattingProvider": true}), whole)
        .on::<RangeFormatting>(json!({"documentRangeFormattingProvider": true}), some)
        .on::<OnTypeFormatting>(
            json!({"documentOnTypeFormattingProvider": {"firstTriggerCharacter": "\n"}}),
            begun,
        )
}

fn whole(
    snapshot: &Snapshot,
    params: &DocumentFormattingParams,
    cancel: &CancelToken,
) -> Result<Option<Vec<TextEdit>>> {
    let asked = Asked::about(snapshot, &params.text_document.uri, cancel)?;
    let Some((computed, file)) = asked.plan() else {
        return Ok(None);
    };
    Ok(Some(shown(&asked, format::file(&computed.plan, file))))
}

fn some(
    snapshot: &Snapshot,
    params: &DocumentRangeFormattingParams,
    cancel: &CancelToken,
) -> Result<Option<Vec<TextEdit>>> {
    let url = &params.text_document.uri;
    let asked = Asked::about(snapshot, url, cancel)?;
    let bytes = snapshot
        .text(url)?
        .bytes(params.range, snapshot.files.encoding);
    let Some((computed, file)) = asked.plan() else {
        return Ok(None);
    };
    Ok(Some(shown(
        &asked,
        format::range(&computed.plan, file, &bytes),
    )))
}

/// A line that was just begun: indented as what stands above it asks.
fn begun(
    snapshot: &Snapshot,
    params: &DocumentOnTypeFormattingParams,
    cancel: &CancelToken,
) -> Result<Option<Vec<TextEdit>>> {
    let (asked, byte) = Asked::at(snapshot, &params.text_document_position, cancel)?;
    let Some((computed, file)) = asked.plan() else {
        return Ok(None);
    };
    Ok(Some(shown(
        &asked,
        format::begun(&computed.plan, file, byte),
    )))
}

fn shown(asked: &Asked, edits: Vec<Edit>) -> Vec<TextEdit> {
    edits
        .into_iter()
        .map(|edit| TextEdit::new(asked.range(edit.at.range), edit.text))
        .collect()
}
