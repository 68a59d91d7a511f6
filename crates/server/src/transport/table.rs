//! The table of requests: one line each, with what it lets the server advertise.

use std::{collections::BTreeMap, fmt, sync::Arc};

use serde::{Serialize, de::DeserializeOwned};
use serde_json::{Map, Value};
use tower_lsp::{
    jsonrpc::{Error, Result},
    lsp_types::request::Request,
};

use super::CancelToken;

/// A request handler on raw JSON.
pub(crate) type Handler<S> = Arc<dyn Fn(&S, Value, &CancelToken) -> Result<Value> + Send + Sync>;

/// The requests that are answered. What is advertised is what stands here, and nothing else.
pub struct Table<S> {
    handlers: BTreeMap<&'static str, Handler<S>>,
    capabilities: Map<String, Value>,
}

impl<S> fmt::Debug for Table<S> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_set().entries(self.handlers.keys()).finish()
    }
}

impl<S: 'static> Default for Table<S> {
    fn default() -> Self {
        Self {
            handlers: BTreeMap::new(),
            capabilities: Map::new(),
        }
    }
}

impl<S: 'static> Table<S> {
    /// Adds a request of the protocol. `advertise` is merged into the server's capabilities.
    #[must_use]
    pub fn on<R: Request>(
        self,
        advertise: Value,
        handler: fn(&S, &R::Params, &CancelToken) -> Result<R::Result>,
    ) -> Self
    where
        R::Params: 'static,
        R::Result: 'static,
    {
        self.method(R::METHOD, advertise, handler)
    }

    /// Adds a request by name: those that lsp-types does not know.
    #[must_use]
    pub fn method<P, R>(
        mut self,
        name: &'static str,
        advertise: Value,
        handler: fn(&S, &P, &CancelToken) -> Result<R>,
    ) -> Self
    where
        P: DeserializeOwned + 'static,
        R: Serialize + 'static,
    {
        let raw = move |snapshot: &S, params: Value, cancel: &CancelToken| {
            let params = serde_json::from_value(params)
                .map_err(|error| Error::invalid_params(error.to_string()))?;
            let result = handler(snapshot, &params, cancel)?;
            serde_json::to_value(result).map_err(|_| Error::internal_error())
        };
        self.handlers.insert(name, Arc::new(raw));
        if let Value::Object(advertised) = advertise {
            merge(&mut self.capabilities, advertised);
        }
        self
    }

    /// What the requests of this table let a server advertise.
    pub fn capabilities(&self) -> &Map<String, Value> {
        &self.capabilities
    }

    pub(super) fn handler(&self, method: &str) -> Option<Handler<S>> {
        self.handlers.get(method).cloned()
    }
}

/// Adds `more` to `base`, object by object; where both say something else, `more` wins.
pub(crate) fn merge(base: &mut Map<String, Value>, more: Map<String, Value>) {
    for (key, value) in more {
        match (base.get_mut(&key), value) {
            (Some(Value::Object(inner)), Value::Object(value)) => merge(inner, value),
            (_, value) => drop(base.insert(key, value)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;
    use tower_lsp::lsp_types::request::{Completion, ResolveCompletionItem};

    #[test]
    fn what_is_registered_is_advertised_together() {
        let table = Table::<()>::default()
            .on::<Completion>(
                json!({"completionProvider": {"triggerCharacters": [" "]}}),
                |(), _, _| Ok(None),
            )
            .on::<ResolveCompletionItem>(
                json!({"completionProvider": {"resolveProvider": true}}),
                |(), item, _| Ok(item.clone()),
            );
        let expected =
            json!({"completionProvider": {"triggerCharacters": [" "], "resolveProvider": true}});
        assert_eq!(Value::Object(table.capabilities().clone()), expected);
        assert!(table.handler("textDocument/completion").is_some());
        assert!(table.handler("textDocument/hover").is_none());
    }
}
