//! What the client can do, read from the raw JSON.
//!
//! lsp-types 0.94 misnames `workspace.diagnostics` and knows nothing of later versions, and one
//! detail that it does not know must not fail the whole: so nothing here is parsed into its types.

use serde_json::Value;

/// The client's capabilities.
#[derive(Clone, Debug, Default)]
pub struct ClientSupport {
    capabilities: Value,
}

impl ClientSupport {
    /// Takes them from the params of `initialize`.
    pub fn of(initialize: &Value) -> Self {
        Self {
            capabilities: initialize.get("capabilities").cloned().unwrap_or_default(),
        }
    }

    /// Whether a flag, named by its JSON pointer below `capabilities`, is set.
    pub fn has(&self, pointer: &str) -> bool {
        self.capabilities
            .pointer(pointer)
            .and_then(Value::as_bool)
            .unwrap_or(false)
    }

    /// Whether a list below `capabilities` holds a name.
    pub fn lists(&self, pointer: &str, name: &str) -> bool {
        let list = self.capabilities.pointer(pointer).and_then(Value::as_array);
        list.is_some_and(|list| list.iter().any(|item| item.as_str() == Some(name)))
    }

    /// Whether edits of several files may come with versions; else they go by `changes`.
    pub fn document_changes(&self) -> bool {
        self.has("/workspace/workspaceEdit/documentChanges")
    }

    /// Whether the client fetches findings itself; then they are not pushed as well, since it would
    /// show them twice.
    pub fn pulls_findings(&self) -> bool {
        self.capabilities
            .pointer("/textDocument/diagnostic")
            .is_some_and(Value::is_object)
    }

    /// Whether the client can be told to fetch findings anew.
    pub fn refreshes_findings(&self) -> bool {
        self.has("/workspace/diagnostics/refreshSupport")
    }

    /// Whether an action's edit may be worked out when it is chosen.
    pub fn resolves_edits(&self) -> bool {
        self.lists("/textDocument/codeAction/resolveSupport/properties", "edit")
            && self.has("/textDocument/codeAction/dataSupport")
    }

    /// Whether the client can be asked to watch files.
    pub fn watches_files(&self) -> bool {
        self.has("/workspace/didChangeWatchedFiles/dynamicRegistration")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn capabilities_are_found_by_the_names_of_the_protocol() {
        let support = ClientSupport::of(&json!({"capabilities": {
            "workspace": {"diagnostics": {"refreshSupport": true}, "workspaceEdit": {"documentChanges": "yes"}},
            "textDocument": {"diagnostic": {}, "hover": {"contentFormat": ["markdown"]}},
        }}));
        assert!(support.refreshes_findings() && support.pulls_findings());
        assert!(!support.document_changes(), "not a boolean");
        assert!(support.lists("/textDocument/hover/contentFormat", "markdown"));
        assert!(!ClientSupport::of(&json!(null)).pulls_findings());
    }
}
