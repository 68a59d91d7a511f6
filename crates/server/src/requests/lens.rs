//! Code lenses: where they stand at once, what they show when it is asked for.

use ampwright_assist::lens;
use serde::{Deserialize, Serialize};
use serde_json::json;
use tower_lsp::{
    jsonrpc::Result,
    lsp_types::{
        CodeLens, CodeLensParams, Command, Url,
        request::{CodeLensRequest, CodeLensResolve},
    },
};

use super::place::Asked;
use crate::{
    state::Snapshot,
    transport::{CancelToken, Table},
};

pub(super) fn register(table: Table<Snapshot>) -> Table<Snapshot> {
    table
        .on::<CodeLensRequest>(
            json!({"codeLensProvider": {"resolveProvider": true}}),
            lenses,
        )
        .on::<CodeLensResolve>(json!({}), resolve)
}

/// What a lens carries to be worked out by.
#[derive(Serialize, Deserialize)]
struct About {
    file: Url,
    at: usize,
}

fn lenses(
    snapshot: &Snapshot,
    params: &CodeLensParams,
    cancel: &CancelToken,
) -> Result<Option<Vec<CodeLens>>> {
    let url = &params.text_document.uri;
    let asked = Asked::about(snapshot, url, cancel)?;
    let Some((computed, file)) = asked.plan() else {
        return Ok(None);
    };
    if !snapshot.settings(url).code_lens {
        return Ok(Some(Vec::new()));
    }
    let found = lens::lenses(&computed.plan, file);
    let lenses = found.into_iter().map(|lens| CodeLens {
        range: asked.range(lens.at.clone()),
        command: None,
        data: Some(json!(About {
            file: url.clone(),
            at: lens.at.start,
        })),
    });
    Ok(Some(lenses.collect()))
}

/// A lens shows something and does nothing: its command has no name.
fn resolve(snapshot: &Snapshot, lens: &CodeLens, cancel: &CancelToken) -> Result<CodeLens> {
    let mut lens = lens.clone();
    let about = lens.data.as_ref();
    if let Some(about) = about.and_then(|data| About::deserialize(data).ok()) {
        let study = snapshot.study(cancel)?;
        let plan = study.plans_of(&about.file).next();
        let title = plan.and_then(|(computed, file)| lens::title(&computed.plan, file, about.at));
        lens.command = Some(Command::new(title.unwrap_or_default(), String::new(), None));
    }
    Ok(lens)
}
