//! Inlay hints, and what there is to say of one.

use ampwright_assist::hints::{self, Options};
use serde::{Deserialize, Serialize};
use serde_json::json;
use tower_lsp::{
    jsonrpc::Result,
    lsp_types::{
        InlayHint, InlayHintLabel, InlayHintParams, InlayHintTooltip, Url,
        request::{InlayHintRequest, InlayHintResolveRequest},
    },
};

use super::{hover::markup, place::Asked};
use crate::{
    settings::InlayHints,
    state::Snapshot,
    transport::{CancelToken, Table},
};

pub(super) fn register(table: Table<Snapshot>) -> Table<Snapshot> {
    table
        .on::<InlayHintRequest>(
            json!({"inlayHintProvider": {"resolveProvider": true}}),
            shown,
        )
        .on::<InlayHintResolveRequest>(json!({}), resolve)
}

/// What a hint carries to be told of by.
#[derive(Serialize, Deserialize)]
struct About {
    file: Url,
    about: usize,
}

fn shown(
    snapshot: &Snapshot,
    params: &InlayHintParams,
    cancel: &CancelToken,
) -> Result<Option<Vec<InlayHint>>> {
    let url = &params.text_document.uri;
    let asked = Asked::about(snapshot, url, cancel)?;
    let bytes = snapshot
        .text(url)?
        .bytes(params.range, snapshot.files.encoding);
    let Some((computed, file)) = asked.plan() else {
        return Ok(None);
    };
    let options = options(snapshot.settings(url).inlay_hints);
    let found = hints::hints(&computed.plan, file, &bytes, options);
    let hints = found.into_iter().map(|hint| InlayHint {
        position: asked.range(hint.at..hint.at).start,
        label: InlayHintLabel::String(hint.text),
        kind: None,
        text_edits: None,
        tooltip: None,
        padding_left: Some(true),
        padding_right: None,
        data: Some(json!(About {
            file: url.clone(),
            about: hint.about,
        })),
    });
    Ok(Some(hints.collect()))
}

const fn options(settings: InlayHints) -> Options {
    Options {
        conductors: settings.conductors,
        loads: settings.loads,
        busbars: settings.busbars,
        marks: settings.marks,
        returns: settings.returns,
    }
}

fn resolve(snapshot: &Snapshot, hint: &InlayHint, cancel: &CancelToken) -> Result<InlayHint> {
    let mut hint = hint.clone();
    let about = hint.data.as_ref();
    if let Some(about) = about.and_then(|data| About::deserialize(data).ok()) {
        let study = snapshot.study(cancel)?;
        let plan = study.plans_of(&about.file).next();
        let doc = plan.and_then(|(computed, file)| hints::tell(&computed.plan, file, about.about));
        let formats = "/textDocument/hover/contentFormat";
        hint.tooltip =
            doc.map(|doc| InlayHintTooltip::MarkupContent(markup(snapshot, formats, &doc)));
    }
    Ok(hint)
}
