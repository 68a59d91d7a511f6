//! Where a name is written and where it is used.

use ampwright_assist::definition::Target;
use serde_json::json;
use tower_lsp::{
    jsonrpc::Result,
    lsp_types::{
        DocumentHighlight, DocumentHighlightKind, DocumentHighlightParams, GotoDefinitionParams,
        GotoDefinitionResponse, Location, LocationLink, ReferenceParams,
        request::{DocumentHighlightRequest, GotoDeclaration, GotoDefinition, References},
    },
};

use super::place::Asked;
use crate::{
    plans::Computed,
    state::Snapshot,
    transport::{CancelToken, Table},
};

pub(super) fn register(table: Table<Snapshot>) -> Table<Snapshot> {
    table
        .on::<GotoDefinition>(json!({"definitionProvider": true}), definition)
        // A thing is declared where it is defined; editors have a key for each.
        .on::<GotoDeclaration>(json!({"declarationProvider": true}), declaration)
        .on::<References>(json!({"referencesProvider": true}), references)
        .on::<DocumentHighlightRequest>(json!({"documentHighlightProvider": true}), highlight)
}

fn definition(
    snapshot: &Snapshot,
    params: &GotoDefinitionParams,
    cancel: &CancelToken,
) -> Result<Option<GotoDefinitionResponse>> {
    lead(
        snapshot,
        params,
        "/textDocument/definition/linkSupport",
        cancel,
    )
}

fn declaration(
    snapshot: &Snapshot,
    params: &GotoDefinitionParams,
    cancel: &CancelToken,
) -> Result<Option<GotoDefinitionResponse>> {
    lead(
        snapshot,
        params,
        "/textDocument/declaration/linkSupport",
        cancel,
    )
}

fn lead(
    snapshot: &Snapshot,
    params: &GotoDefinitionParams,
    takes_links: &str,
    cancel: &CancelToken,
) -> Result<Option<GotoDefinitionResponse>> {
    let (asked, byte) = Asked::at(snapshot, &params.text_document_position_params, cancel)?;
    let mut links: Vec<LocationLink> = Vec::new();
    for (computed, file) in asked.plans() {
        for target in ampwright_assist::definition::definition(&computed.plan, file, byte) {
            let link = link(&asked, computed, &target);
            links.extend(link.filter(|link| !links.contains(link)));
        }
    }
    if snapshot.support.has(takes_links) {
        return Ok(Some(GotoDefinitionResponse::Link(links)));
    }
    let name = |link: LocationLink| Location::new(link.target_uri, link.target_selection_range);
    let places = links.into_iter().map(name).collect();
    Ok(Some(GotoDefinitionResponse::Array(places)))
}

fn link(asked: &Asked, computed: &Computed, target: &Target) -> Option<LocationLink> {
    let name = asked.location(computed, &target.name)?;
    Some(LocationLink {
        origin_selection_range: Some(asked.range(target.from.range.clone())),
        target_uri: name.uri,
        target_range: asked.location(computed, &target.whole)?.range,
        target_selection_range: name.range,
    })
}

fn references(
    snapshot: &Snapshot,
    params: &ReferenceParams,
    cancel: &CancelToken,
) -> Result<Option<Vec<Location>>> {
    let (asked, byte) = Asked::at(snapshot, &params.text_document_position, cancel)?;
    let with_definition = params.context.include_declaration;
    let mut places: Vec<Location> = Vec::new();
    for (computed, file) in asked.plans() {
        let found =
            ampwright_assist::references::references(&computed.plan, file, byte, with_definition);
        places.extend(found.iter().filter_map(|at| asked.location(computed, at)));
    }
    places.sort_by(|a, b| (&a.uri, a.range.start).cmp(&(&b.uri, b.range.start)));
    places.dedup();
    Ok(Some(places))
}

fn highlight(
    snapshot: &Snapshot,
    params: &DocumentHighlightParams,
    cancel: &CancelToken,
) -> Result<Option<Vec<DocumentHighlight>>> {
    let (asked, byte) = Asked::at(snapshot, &params.text_document_position_params, cancel)?;
    let Some((computed, file)) = asked.plan() else {
        return Ok(None);
    };
    let found = ampwright_assist::highlight::highlight(&computed.plan, file, byte);
    let kind = |defines| {
        if defines {
            DocumentHighlightKind::WRITE
        } else {
            DocumentHighlightKind::READ
        }
    };
    let shown = found.into_iter().map(|one| DocumentHighlight {
        range: asked.range(one.range),
        kind: Some(kind(one.defines)),
    });
    Ok(Some(shown.collect()))
}
