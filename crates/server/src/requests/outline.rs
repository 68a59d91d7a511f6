//! The outline of a file, things found by name anywhere, folds and growing selections.

use ampwright_assist::{
    folding::{self, What},
    selection,
    symbols::{self, Role},
};
use ampwright_notation::Kind;
use serde_json::json;
use tower_lsp::{
    jsonrpc::Result,
    lsp_types::{
        DocumentSymbol, DocumentSymbolParams, DocumentSymbolResponse, FoldingRange,
        FoldingRangeKind, FoldingRangeParams, Location, Range, SelectionRange,
        SelectionRangeParams, SymbolInformation, SymbolKind, TextDocumentPositionParams,
        WorkspaceSymbolParams, WorkspaceSymbolResponse,
        request::{
            DocumentSymbolRequest, FoldingRangeRequest, SelectionRangeRequest,
            WorkspaceSymbolRequest,
        },
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
        .on::<DocumentSymbolRequest>(json!({"documentSymbolProvider": true}), document_symbols)
        .on::<WorkspaceSymbolRequest>(json!({"workspaceSymbolProvider": true}), workspace_symbols)
        .on::<FoldingRangeRequest>(json!({"foldingRangeProvider": true}), folds)
        .on::<SelectionRangeRequest>(json!({"selectionRangeProvider": true}), selections)
}

fn document_symbols(
    snapshot: &Snapshot,
    params: &DocumentSymbolParams,
    cancel: &CancelToken,
) -> Result<Option<DocumentSymbolResponse>> {
    let url = &params.text_document.uri;
    let asked = Asked::about(snapshot, url, cancel)?;
    let Some((computed, file)) = asked.plan() else {
        return Ok(None);
    };
    let found = symbols::document(&computed.plan, file);
    if snapshot
        .support
        .has("/textDocument/documentSymbol/hierarchicalDocumentSymbolSupport")
    {
        let nested = found
            .into_iter()
            .map(|symbol| nested(&asked, symbol))
            .collect();
        return Ok(Some(DocumentSymbolResponse::Nested(nested)));
    }
    let mut flat = Vec::new();
    for symbol in found {
        flatten(&asked, url, symbol, None, &mut flat);
    }
    Ok(Some(DocumentSymbolResponse::Flat(flat)))
}

#[allow(deprecated)] // the protocol's own field, which its type demands
fn nested(asked: &Asked, symbol: symbols::Symbol) -> DocumentSymbol {
    DocumentSymbol {
        name: symbol.name,
        detail: Some(symbol.detail).filter(|detail| !detail.is_empty()),
        kind: picture(symbol.role),
        tags: None,
        deprecated: None,
        range: asked.range(symbol.range),
        selection_range: asked.range(symbol.selection),
        children: Some(
            symbol
                .children
                .into_iter()
                .map(|child| nested(asked, child))
                .collect(),
        ),
    }
}

#[allow(deprecated)] // the protocol's own field, which its type demands
fn flatten(
    asked: &Asked,
    url: &tower_lsp::lsp_types::Url,
    symbol: symbols::Symbol,
    under: Option<&str>,
    flat: &mut Vec<SymbolInformation>,
) {
    flat.push(SymbolInformation {
        name: symbol.name.clone(),
        kind: picture(symbol.role),
        tags: None,
        deprecated: None,
        location: Location {
            uri: url.clone(),
            range: asked.range(symbol.range),
        },
        container_name: under.map(str::to_owned),
    });
    for child in symbol.children {
        flatten(asked, url, child, Some(&symbol.name), flat);
    }
}

/// The picture that an editor shows beside a name: the protocol has none of boats, so these are
/// the nearest that tell the roles apart.
fn picture(role: Role) -> SymbolKind {
    match role {
        Role::Heading => SymbolKind::NAMESPACE,
        Role::Way => SymbolKind::FIELD,
        Role::Unknown => SymbolKind::NULL,
        Role::Thing(kind) => picture_of(kind),
    }
}

/// The picture of a kind of thing.
pub(super) fn picture_of(kind: Kind) -> SymbolKind {
    match kind {
        Kind::Boat => SymbolKind::MODULE,
        Kind::Use => SymbolKind::FILE,
        Kind::Place => SymbolKind::PACKAGE,
        Kind::Cable | Kind::Multicore => SymbolKind::CLASS,
        Kind::Run => SymbolKind::FUNCTION,
        Kind::Case => SymbolKind::EVENT,
        Kind::Load | Kind::Socket => SymbolKind::OBJECT,
        Kind::Fuse | Kind::Breaker => SymbolKind::KEY,
        Kind::Isolator | Kind::Switch | Kind::Selector | Kind::Relay => SymbolKind::BOOLEAN,
        Kind::Panel | Kind::Busbar | Kind::Joint | Kind::Block | Kind::Bond => SymbolKind::STRUCT,
        _ => SymbolKind::INTERFACE,
    }
}

/// More answers than this help nobody to find anything.
const MOST_FOUND: usize = 256;

fn workspace_symbols(
    snapshot: &Snapshot,
    params: &WorkspaceSymbolParams,
    cancel: &CancelToken,
) -> Result<Option<WorkspaceSymbolResponse>> {
    let study = snapshot.study(cancel)?;
    let mut list: Vec<SymbolInformation> = Vec::new();
    for computed in &study.plans {
        let found = symbols::workspace(&computed.plan, &params.query, MOST_FOUND);
        list.extend(
            found
                .into_iter()
                .filter_map(|found| information(&study, computed, found)),
        );
    }
    list.dedup_by(|a, b| a.location == b.location);
    list.truncate(MOST_FOUND);
    Ok(Some(WorkspaceSymbolResponse::Flat(list)))
}

#[allow(deprecated)] // the protocol's own field, which its type demands
fn information(
    study: &crate::analysis::Study,
    computed: &Computed,
    found: symbols::Found,
) -> Option<SymbolInformation> {
    let uri = computed.urls.get(found.at.file as usize)?.clone();
    let range: Range = study.positions(&uri, found.at.range)?;
    Some(SymbolInformation {
        name: found.name,
        kind: picture(found.role),
        tags: None,
        deprecated: None,
        location: Location { uri, range },
        container_name: Some(found.detail).filter(|detail| !detail.is_empty()),
    })
}

fn folds(
    snapshot: &Snapshot,
    params: &FoldingRangeParams,
    cancel: &CancelToken,
) -> Result<Option<Vec<FoldingRange>>> {
    let asked = Asked::about(snapshot, &params.text_document.uri, cancel)?;
    let Some((computed, file)) = asked.plan() else {
        return Ok(None);
    };
    let folds = folding::folds(&computed.plan, file)
        .into_iter()
        .map(|fold| {
            let range = asked.range(fold.range);
            FoldingRange {
                start_line: range.start.line,
                start_character: Some(range.start.character),
                end_line: range.end.line,
                end_character: Some(range.end.character),
                kind: Some(match fold.what {
                    What::Comment => FoldingRangeKind::Comment,
                    What::Heading | What::Thing => FoldingRangeKind::Region,
                }),
                collapsed_text: None,
            }
        });
    Ok(Some(folds.collect()))
}

fn selections(
    snapshot: &Snapshot,
    params: &SelectionRangeParams,
    cancel: &CancelToken,
) -> Result<Option<Vec<SelectionRange>>> {
    let asked = Asked::about(snapshot, &params.text_document.uri, cancel)?;
    let Some((computed, file)) = asked.plan() else {
        return Ok(None);
    };
    let mut answers = Vec::new();
    for &position in &params.positions {
        let at = TextDocumentPositionParams::new(params.text_document.clone(), position);
        let (_, byte) = snapshot.place(&at)?;
        let around = selection::selections(&computed.plan, file, byte);
        let outermost = SelectionRange {
            range: Range::new(position, position),
            parent: None,
        };
        let grown = around.into_iter().rev().fold(None, |parent, bytes| {
            Some(SelectionRange {
                range: asked.range(bytes),
                parent: parent.map(Box::new),
            })
        });
        answers.push(grown.unwrap_or(outermost));
    }
    Ok(Some(answers))
}
