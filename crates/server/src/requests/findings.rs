//! Findings as a client fetches them: of one document, and of the whole workspace.

use std::{
    collections::BTreeMap,
    hash::{DefaultHasher, Hash, Hasher},
};

use serde_json::{Map, Value, json};
use tower_lsp::{
    jsonrpc::Result,
    lsp_types::{DocumentDiagnosticParams, Url, WorkspaceDiagnosticParams},
};

use crate::{
    analysis::Study,
    progress::{Progress, partial},
    state::Snapshot,
    transport::{CancelToken, Table, cancelled},
};

/// Files whose findings go in one part of a result.
const FILES_A_PART: usize = 100;

/// Other files whose findings come along with those of one: a client asks for the rest by itself.
const MOST_RELATED: usize = 100;

pub(super) fn register(table: Table<Snapshot>) -> Table<Snapshot> {
    let advertise = json!({"diagnosticProvider": {
        "identifier": "ampwright",
        "interFileDependencies": true,
        "workspaceDiagnostics": true,
        "workDoneProgress": true,
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
    let url = &params.text_document.uri;
    snapshot.text(url)?;
    let study = snapshot.study(cancel)?;
    let mut result = report(snapshot, &study, url, params.previous_result_id.as_deref());
    if snapshot
        .support
        .has("/textDocument/diagnostic/relatedDocumentSupport")
    {
        let related = related(snapshot, &study, url);
        if !related.is_empty() {
            result["relatedDocuments"] = Value::Object(related);
        }
    }
    Ok(result)
}

/// The findings of the other files of a file's plans, where the client does not have them yet.
fn related(snapshot: &Snapshot, study: &Study, url: &Url) -> Map<String, Value> {
    let mut related = Map::new();
    let files = study
        .plans_of(url)
        .flat_map(|(computed, _)| &*computed.urls);
    for other in files.filter(|other| *other != url) {
        let known = related.contains_key(other.as_str())
            || snapshot
                .fetched
                .has(snapshot, other, &snapshot.shown(study, other));
        if !known && is_followed(snapshot, other) {
            related.insert(other.to_string(), report(snapshot, study, other, None));
        }
        if related.len() >= MOST_RELATED {
            break;
        }
    }
    related
}

fn workspace(
    snapshot: &Snapshot,
    params: &WorkspaceDiagnosticParams,
    cancel: &CancelToken,
) -> Result<Value> {
    let token = params.work_done_progress_params.work_done_token.as_ref();
    let progress = Progress::begin(&snapshot.client, token, "Checking plans");
    let study = snapshot.study(cancel)?;
    let known = params.previous_result_ids.iter();
    let known: BTreeMap<&Url, &str> = known.map(|known| (&known.uri, &*known.value)).collect();
    let files = files(snapshot);
    let mut items = Vec::new();
    for (done, url) in files.iter().enumerate() {
        cancelled(cancel)?;
        items.push(item(snapshot, &study, url, known.get(url).copied()));
        if items.len() == FILES_A_PART {
            progress.report(done + 1, files.len());
            let token = params.partial_result_params.partial_result_token.as_ref();
            if partial(&snapshot.client, token, &json!({ "items": items })) {
                items.clear();
            }
        }
    }
    Ok(json!({ "items": items }))
}

/// The plans and the settings files, but for texts that are not known.
fn files(snapshot: &Snapshot) -> Vec<Url> {
    let settings = snapshot.configured().findings.iter();
    let settings = settings
        .filter(|(_, faults)| !faults.is_empty())
        .map(|(url, _)| url.clone());
    let mut files: Vec<Url> = snapshot.files.boats().into_iter().chain(settings).collect();
    files.retain(|url| is_followed(snapshot, url));
    files
}

fn is_followed(snapshot: &Snapshot, url: &Url) -> bool {
    let open = snapshot.files.documents.get(url);
    open.is_none_or(|document| document.in_step())
}

fn item(snapshot: &Snapshot, study: &Study, url: &Url, previous: Option<&str>) -> Value {
    let open = snapshot.files.documents.get(url);
    let mut item = report(snapshot, study, url, previous);
    item["uri"] = json!(url);
    item["version"] = json!(open.map(|document| document.version()));
    item
}

/// The findings of a file, or that they are those that the client already has.
fn report(snapshot: &Snapshot, study: &Study, url: &Url, previous: Option<&str>) -> Value {
    let findings = snapshot.shown(study, url);
    snapshot.fetched.note(snapshot, url, &findings);
    let items = json!(findings);
    let mut hasher = DefaultHasher::new();
    items.to_string().hash(&mut hasher);
    let id = format!("{:016x}", hasher.finish());
    if previous == Some(&*id) {
        return json!({"kind": "unchanged", "resultId": id});
    }
    json!({"kind": "full", "resultId": id, "items": items})
}
