//! Completion, with what is to be said of an item when it is asked for.

use ampwright_assist::complete::{self, Item, What};
use serde::{Deserialize, Serialize};
use serde_json::json;
use tower_lsp::{
    jsonrpc::Result,
    lsp_types::{
        CompletionItem, CompletionItemKind, CompletionList, CompletionParams, CompletionResponse,
        CompletionTextEdit, Documentation, InsertTextFormat, TextEdit, Url,
        request::{Completion, ResolveCompletionItem},
    },
};

use super::{hover::markup, place::Asked};
use crate::{
    state::Snapshot,
    transport::{CancelToken, Table},
};

/// A space opens the next word of a line; the others are what a letter would not open by itself.
const OPENING: [&str; 2] = [" ", "-"];

pub(super) fn register(table: Table<Snapshot>) -> Table<Snapshot> {
    let advertise =
        json!({"completionProvider": {"resolveProvider": true, "triggerCharacters": OPENING}});
    table
        .on::<Completion>(advertise, offer)
        .on::<ResolveCompletionItem>(json!({}), resolve)
}

/// What an item carries to be resolved by.
#[derive(Serialize, Deserialize)]
struct About {
    file: Url,
    about: String,
}

fn offer(
    snapshot: &Snapshot,
    params: &CompletionParams,
    cancel: &CancelToken,
) -> Result<Option<CompletionResponse>> {
    let at = &params.text_document_position;
    let (asked, byte) = Asked::at(snapshot, at, cancel)?;
    let Some((computed, file)) = asked.plan() else {
        return Ok(None);
    };
    let snippets = snapshot
        .support
        .has("/textDocument/completion/completionItem/snippetSupport");
    let items = complete::complete(&computed.plan, file, byte);
    let all = items.len() < complete::MOST_ITEMS;
    let usable = items
        .into_iter()
        .filter(|item| snippets || !item.is_snippet)
        .enumerate();
    let items = usable
        .map(|(index, item)| shown(&asked, &at.text_document.uri, index, item))
        .collect();
    Ok(Some(CompletionResponse::List(CompletionList {
        is_incomplete: !all,
        items,
    })))
}

fn shown(asked: &Asked, file: &Url, index: usize, item: Item) -> CompletionItem {
    let about = About {
        file: file.clone(),
        about: item.about,
    };
    CompletionItem {
        kind: Some(picture(item.what)),
        detail: Some(item.detail).filter(|detail| !detail.is_empty()),
        sort_text: Some(format!("{index:04}")),
        insert_text_format: item.is_snippet.then_some(InsertTextFormat::SNIPPET),
        text_edit: Some(CompletionTextEdit::Edit(TextEdit::new(
            asked.range(item.edit.at.range),
            item.edit.text,
        ))),
        data: (!about.about.is_empty()).then(|| json!(about)),
        label: item.label,
        ..CompletionItem::default()
    }
}

const fn picture(what: What) -> CompletionItemKind {
    match what {
        What::Kind => CompletionItemKind::KEYWORD,
        What::Fact => CompletionItemKind::PROPERTY,
        What::Word => CompletionItemKind::ENUM_MEMBER,
        What::Value => CompletionItemKind::VALUE,
        What::Unit => CompletionItemKind::UNIT,
        What::Name => CompletionItemKind::REFERENCE,
        What::Colour => CompletionItemKind::COLOR,
        What::Code => CompletionItemKind::CONSTANT,
        What::Snippet => CompletionItemKind::SNIPPET,
    }
}

fn resolve(
    snapshot: &Snapshot,
    item: &CompletionItem,
    cancel: &CancelToken,
) -> Result<CompletionItem> {
    let mut item = item.clone();
    let about = item
        .data
        .as_ref()
        .and_then(|data| About::deserialize(data).ok());
    if let Some(about) = about {
        let study = snapshot.study(cancel)?;
        let doc = study
            .plans_of(&about.file)
            .next()
            .and_then(|(computed, _)| complete::resolve(&computed.plan, &about.about));
        item.documentation = doc.map(|doc| {
            let formats = "/textDocument/completion/completionItem/documentationFormat";
            Documentation::MarkupContent(markup(snapshot, formats, &doc))
        });
    }
    Ok(item)
}
