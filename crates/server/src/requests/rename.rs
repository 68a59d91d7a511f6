//! Renaming a part, a run, a place, a mark in every file of every plan that it belongs to.

use serde_json::json;
use tower_lsp::{
    jsonrpc::{Error, Result},
    lsp_types::{
        PrepareRenameResponse, RenameParams, TextDocumentPositionParams, WorkspaceEdit,
        request::{PrepareRenameRequest, Rename},
    },
};

use super::place::Asked;
use crate::{
    edits::{Edits, workspace_edit},
    state::Snapshot,
    transport::{CancelToken, Table},
};

pub(super) fn register(table: Table<Snapshot>) -> Table<Snapshot> {
    table
        .on::<Rename>(json!({"renameProvider": {"prepareProvider": true}}), rename)
        .on::<PrepareRenameRequest>(json!({}), prepare)
}

fn prepare(
    snapshot: &Snapshot,
    params: &TextDocumentPositionParams,
    cancel: &CancelToken,
) -> Result<Option<PrepareRenameResponse>> {
    let (asked, byte) = Asked::at(snapshot, params, cancel)?;
    let Some((computed, file)) = asked.plan() else {
        return Ok(None);
    };
    let found = ampwright_assist::rename::prepare(&computed.plan, file, byte).map_err(refused)?;
    let range = asked.range(found.at.range);
    Ok(Some(PrepareRenameResponse::RangeWithPlaceholder {
        range,
        placeholder: found.name,
    }))
}

fn rename(
    snapshot: &Snapshot,
    params: &RenameParams,
    cancel: &CancelToken,
) -> Result<Option<WorkspaceEdit>> {
    let (asked, byte) = Asked::at(snapshot, &params.text_document_position, cancel)?;
    let mut edits = Edits::new();
    for (computed, file) in asked.plans() {
        let found = ampwright_assist::rename::rename(&computed.plan, file, byte, &params.new_name)
            .map_err(refused)?;
        for edit in found {
            let Some(url) = computed.urls.get(edit.at.file as usize) else {
                continue;
            };
            let list = edits.entry(url.clone()).or_default();
            let edit = (edit.at.range, edit.text);
            if !list.contains(&edit) {
                list.push(edit);
            }
        }
    }
    if edits.is_empty() {
        return Ok(None);
    }
    workspace_edit(snapshot, edits).map(Some)
}

/// Why not, in words for the writer.
fn refused(why: String) -> Error {
    Error {
        message: why.into(),
        ..Error::invalid_params("")
    }
}
