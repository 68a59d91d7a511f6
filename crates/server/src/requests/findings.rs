//! Findings as a client fetches them: of one document, and of the whole workspace.

use std::hash::{DefaultHasher, Hash, Hasher};

use serde_json::{Value, json};
use tower_lsp::{
    jsonrpc::Result,
    lsp_types::{DocumentDiagnosticParams, Url, WorkspaceDiagnosticParams},
};

use crate::{
    analysis::Study,
    state::Snapshot,
    transport::{CancelToken, Table, cancelled},
};

pub(super) fn register(table: Table<Snapshot>) -> Table<Snapshot> {
    let advertise = json!({"diagnosticProvider": {
        "identifier": "ampwright",
        "interFileDependencies": true,
        "workspaceDiagnostics": true,
    }});
    table
        .method("textDocument/diagnostic", advertise, document)
        .method("workspace/diagnostic", Value::Null, workspace)
}

fn document(
    snapshot: &Snapshot,
    params: &DocumentDiagnosticParams,
    cancel: &CancelToken,
) -> Result<Value> {
    snapshot.text(&params.text_document.uri)?;
    let study = snapshot.study(cancel)?;
    Ok(report(
        snapshot,
        &study,
        &params.text_document.uri,
        params.previous_result_id.as_deref(),
    ))
}

fn workspace(
    snapshot: &Snapshot,
    params: &WorkspaceDiagnosticParams,
    cancel: &CancelToken,
) -> Result<Value> {
    let study = snapshot.study(cancel)?;
    let mut items = Vec::new();
    for url in snapshot.files.boats() {
        cancelled(cancel)?;
        let open = snapshot.files.documents.get(&url);
        if open.is_some_and(|document| !document.in_step()) {
            continue;
        }
        let previous = params
            .previous_result_ids
            .iter()
            .find(|previous| previous.uri == url);
        let mut item = report(
            snapshot,
            &study,
            &url,
            previous.map(|previous| &*previous.value),
        );
        item["uri"] = json!(url);
        item["version"] = json!(open.map(|document| document.version()));
        items.push(item);
    }
    Ok(json!({ "items": items }))
}

/// The findings of a file, or that they are those that the client already has.
fn report(snapshot: &Snapshot, study: &Study, url: &Url, previous: Option<&str>) -> Value {
    let findings = study
        .findings
        .get(url)
        .map(Vec::as_slice)
        .unwrap_or_default();
    snapshot.fetched.note(snapshot, url, findings);
    let items = json!(findings);
    let mut hasher = DefaultHasher::new();
    items.to_string().hash(&mut hasher);
    let id = format!("{:016x}", hasher.finish());
    if previous == Some(&*id) {
        return json!({"kind": "unchanged", "resultId": id});
    }
    json!({"kind": "full", "resultId": id, "items": items})
}
