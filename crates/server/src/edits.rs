//! Edits of several files as the client takes them.

use std::{collections::BTreeMap, ops::Range};

use tower_lsp::{
    jsonrpc::Result,
    lsp_types::{
        DocumentChanges, OneOf, OptionalVersionedTextDocumentIdentifier, TextDocumentEdit,
        TextEdit, Url, WorkspaceEdit,
    },
};

use crate::state::Snapshot;

/// New words for ranges of bytes, by file.
pub type Edits = BTreeMap<Url, Vec<(Range<usize>, String)>>;

/// The edits for a client: with the version that each was made for where it can check that, else
/// plainly.
///
/// # Errors
/// A file cannot be read or is out of step: an edit of it would be a guess.
pub fn workspace_edit(snapshot: &Snapshot, edits: Edits) -> Result<WorkspaceEdit> {
    let by_file = edits
        .into_iter()
        .map(|(url, edits)| text_edits(snapshot, url, edits));
    let by_file: Vec<(Url, Vec<TextEdit>)> = by_file.collect::<Result<_>>()?;
    if !snapshot.support.document_changes() {
        return Ok(WorkspaceEdit::new(by_file.into_iter().collect()));
    }
    let versioned = by_file
        .into_iter()
        .map(|(url, edits)| versioned(snapshot, url, edits));
    let changes = DocumentChanges::Edits(versioned.collect());
    Ok(WorkspaceEdit {
        document_changes: Some(changes),
        ..WorkspaceEdit::default()
    })
}

fn text_edits(
    snapshot: &Snapshot,
    url: Url,
    edits: Vec<(Range<usize>, String)>,
) -> Result<(Url, Vec<TextEdit>)> {
    let text = snapshot.text(&url)?;
    let edit = |(bytes, new)| TextEdit::new(snapshot.files.range(&text, bytes), new);
    Ok((url, edits.into_iter().map(edit).collect()))
}

fn versioned(snapshot: &Snapshot, uri: Url, edits: Vec<TextEdit>) -> TextDocumentEdit {
    let version = snapshot
        .files
        .documents
        .get(&uri)
        .map(|document| document.version());
    TextDocumentEdit {
        text_document: OptionalVersionedTextDocumentIdentifier { uri, version },
        edits: edits.into_iter().map(OneOf::Left).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::state::tests::snapshot;
    use serde_json::json;

    fn url(name: &str) -> Url {
        Url::parse(&format!("untitled:{name}")).expect("a url")
    }

    fn edits() -> Edits {
        Edits::from([
            (url("a"), vec![(3..5, "lamp".to_owned())]),
            (url("b"), vec![(0..1, "x".to_owned())]),
        ])
    }

    fn range(start: u32, end: u32) -> serde_json::Value {
        json!({"start": {"line": 0, "character": start}, "end": {"line": 0, "character": end}})
    }

    #[test]
    fn edits_are_versioned_where_the_client_can_tell() {
        let versioned =
            json!({"capabilities": {"workspace": {"workspaceEdit": {"documentChanges": true}}}});
        let texts = [("a", 4, "é load"), ("b", 7, "b")]
            .map(|(name, version, text)| (url(name), version, text));
        let edit = workspace_edit(&snapshot(&versioned, &texts), edits()).expect("an edit");
        let expected = json!({"documentChanges": [
            {"textDocument": {"uri": "untitled:a", "version": 4}, "edits": [{"range": range(2, 4), "newText": "lamp"}]},
            {"textDocument": {"uri": "untitled:b", "version": 7}, "edits": [{"range": range(0, 1), "newText": "x"}]},
        ]});
        assert_eq!(json!(edit), expected);
        let edit = workspace_edit(&snapshot(&json!({}), &texts), edits()).expect("an edit");
        let expected = json!({"changes": {
            "untitled:a": [{"range": range(2, 4), "newText": "lamp"}],
            "untitled:b": [{"range": range(0, 1), "newText": "x"}],
        }});
        assert_eq!(json!(edit), expected);
    }

    #[test]
    fn a_file_that_is_not_known_is_not_edited() {
        let snapshot = snapshot(&json!({}), &[(url("a"), 1, "load")]);
        assert!(workspace_edit(&snapshot, edits()).is_err());
    }
}
