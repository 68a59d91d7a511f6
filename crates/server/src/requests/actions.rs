//! What can be done about the words at the cursor, and each of these worked out when it is chosen.
//!
//! While the writer only moves about, what takes trials is listed and not worked out; asked for in
//! earnest it is, so that what cannot be done can say why.

use ampwright_assist::actions::{self, Made, Offer, Sort, Task};
use serde::{Deserialize, Serialize};
use serde_json::json;
use tower_lsp::{
    jsonrpc::{Error, Result},
    lsp_types::{
        CodeAction, CodeActionDisabled, CodeActionKind, CodeActionOrCommand, CodeActionParams,
        CodeActionResponse, CodeActionTriggerKind, Diagnostic, Url, WorkspaceEdit,
        request::{CodeActionRequest, CodeActionResolveRequest},
    },
};

use super::place::Asked;
use crate::{
    edits::{Edits, workspace_edit},
    plans::Computed,
    state::Snapshot,
    transport::{CancelToken, Table, cancelled},
};

/// The written form: not the protocol's `source.organizeImports`, which is about other things.
const WRITTEN: &str = "source.organize";

pub(super) fn register(table: Table<Snapshot>) -> Table<Snapshot> {
    let advertise = json!({"codeActionProvider": {
        "codeActionKinds": ["quickfix", "refactor.rewrite", "source.fixAll", WRITTEN],
        "resolveProvider": true,
    }});
    table
        .on::<CodeActionRequest>(advertise, offer)
        .on::<CodeActionResolveRequest>(json!({}), resolve)
}

/// What an action carries to be worked out by.
#[derive(Serialize, Deserialize)]
struct About {
    file: Url,
    version: Option<i32>,
    from: usize,
    to: usize,
    task: String,
}

fn offer(
    snapshot: &Snapshot,
    params: &CodeActionParams,
    cancel: &CancelToken,
) -> Result<Option<CodeActionResponse>> {
    let url = &params.text_document.uri;
    let asked = Asked::about(snapshot, url, cancel)?;
    let bytes = snapshot
        .text(url)?
        .bytes(params.range, snapshot.files.encoding);
    let Some((computed, file)) = asked.plan() else {
        return Ok(None);
    };
    let in_passing = params.context.trigger_kind == Some(CodeActionTriggerKind::AUTOMATIC);
    let only = params.context.only.as_deref();
    let wanted =
        |sort: Sort| only.is_none_or(|only| only.iter().any(|kind| holds(kind, &kind_of(sort))));
    let mut offers = actions::offers(&computed.plan, file, &bytes);
    // Nobody wants the whole file changed who only moves about in it.
    if only.is_some() || !in_passing {
        offers.extend(actions::of_file(&computed.plan, file));
    }
    offers.retain(|offer| wanted(offer.sort));
    let mut answer = Vec::new();
    for offer in offers {
        cancelled(cancel)?;
        let about = About {
            file: url.clone(),
            version: version(snapshot, url),
            from: bytes.start,
            to: bytes.end,
            task: offer.task.id(),
        };
        let lists_only = snapshot.support.resolves_edits() && (in_passing || !needs_trials(&offer));
        let made = (!lists_only)
            .then(|| actions::make(&computed.plan, offer.task, &|| cancel.is_cancelled()));
        answer.extend(shown(snapshot, &asked, computed, offer, &about, made)?);
    }
    Ok(Some(answer))
}

fn version(snapshot: &Snapshot, url: &Url) -> Option<i32> {
    let open = snapshot.files.documents.get(url);
    open.map(|document| document.version())
}

/// Whether one kind is another, or one of its sub-kinds.
fn holds(kind: &CodeActionKind, other: &CodeActionKind) -> bool {
    let rest = other.as_str().strip_prefix(kind.as_str());
    rest.is_some_and(|rest| rest.is_empty() || kind.as_str().is_empty() || rest.starts_with('.'))
}

fn kind_of(sort: Sort) -> CodeActionKind {
    match sort {
        Sort::Mend => CodeActionKind::QUICKFIX,
        Sort::Rewrite => CodeActionKind::REFACTOR_REWRITE,
        Sort::MendAll => CodeActionKind::SOURCE_FIX_ALL,
        Sort::Written => CodeActionKind::new(WRITTEN),
    }
}

/// Whether it may turn out that it cannot be done, which the list is to say.
const fn needs_trials(offer: &Offer) -> bool {
    !matches!(
        offer.task,
        Task::Mend(..) | Task::MendAll(_) | Task::Written(_)
    )
}

fn shown(
    snapshot: &Snapshot,
    asked: &Asked,
    computed: &Computed,
    offer: Offer,
    about: &About,
    made: Option<std::result::Result<Made, String>>,
) -> Result<Option<CodeActionOrCommand>> {
    let findings = offer.mends.iter();
    let diagnostics: Vec<Diagnostic> = findings
        .filter_map(|&index| {
            asked
                .study
                .diagnostic(computed, computed.plan.findings.get(index)?)
        })
        .collect();
    let mut action = CodeAction {
        kind: Some(kind_of(offer.sort)),
        title: offer.title,
        diagnostics: (!diagnostics.is_empty()).then_some(diagnostics),
        is_preferred: offer.preferred.then_some(true),
        data: Some(json!(about)),
        ..CodeAction::default()
    };
    match made {
        None => {}
        Some(Ok(made)) => {
            action.title = made.title.clone().unwrap_or(action.title);
            if !snapshot.support.resolves_edits() {
                action.edit = Some(edit(snapshot, computed, made)?);
            }
        }
        // A client that cannot show why would show something that does nothing.
        Some(Err(_)) if !snapshot.support.has(DISABLED) => return Ok(None),
        Some(Err(reason)) => action.disabled = Some(CodeActionDisabled { reason }),
    }
    Ok(Some(CodeActionOrCommand::CodeAction(action)))
}

const DISABLED: &str = "/textDocument/codeAction/disabledSupport";

fn edit(snapshot: &Snapshot, computed: &Computed, made: Made) -> Result<WorkspaceEdit> {
    let mut edits = Edits::new();
    for edit in made.edits {
        if let Some(url) = computed.urls.get(edit.at.file as usize) {
            let list = edits.entry(url.clone()).or_default();
            list.push((edit.at.range, edit.text));
        }
    }
    workspace_edit(snapshot, edits)
}

fn resolve(snapshot: &Snapshot, action: &CodeAction, cancel: &CancelToken) -> Result<CodeAction> {
    let about = action
        .data
        .as_ref()
        .and_then(|data| About::deserialize(data).ok());
    let about = about.ok_or_else(|| Error::invalid_params("an action of nothing"))?;
    if version(snapshot, &about.file) != about.version {
        return Err(Error::content_modified());
    }
    let asked = Asked::about(snapshot, &about.file, cancel)?;
    let (computed, file) = asked.plan().ok_or_else(Error::content_modified)?;
    let offers = actions::offers(&computed.plan, file, &(about.from..about.to));
    let offer = offers
        .into_iter()
        .chain(actions::of_file(&computed.plan, file))
        .find(|offer| offer.task.id() == about.task)
        .ok_or_else(Error::content_modified)?;
    let made = actions::make(&computed.plan, offer.task, &|| cancel.is_cancelled());
    cancelled(cancel)?;
    let made = made.map_err(|why| Error {
        message: why.into(),
        ..Error::invalid_params("")
    })?;
    Ok(CodeAction {
        edit: Some(edit(snapshot, computed, made)?),
        ..action.clone()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kind_holds_its_own_kinds_and_no_others() {
        let kind = |word: &'static str| CodeActionKind::new(word);
        assert!(holds(&kind("refactor"), &kind("refactor.rewrite")));
        assert!(holds(&kind("source.fixAll"), &kind("source.fixAll")));
        assert!(holds(&kind(""), &kind("quickfix")));
        assert!(!holds(&kind("source.organizeImports"), &kind(WRITTEN)));
        assert!(!holds(&kind("ref"), &kind("refactor.rewrite")));
    }
}
