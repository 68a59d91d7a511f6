//! The state and its one owner: what notifications change and what requests see.

use std::{
    path::PathBuf,
    sync::{Arc, Mutex, PoisonError},
};

use serde::de::DeserializeOwned;
use serde_json::{Map, Value, json};
use tokio::sync::watch;
use tower_lsp::{
    jsonrpc::{Error, Result},
    lsp_types::{
        DidChangeTextDocumentParams, DidChangeWatchedFilesParams, DidChangeWorkspaceFoldersParams,
        DidCloseTextDocumentParams, DidOpenTextDocumentParams, FileChangeType,
        TextDocumentPositionParams, Url,
    },
};

use crate::{
    analysis::{Analyse, Study},
    analyst::{self, Fetched},
    documents::{OutOfStep, Text},
    files::Files,
    positions::Encoding,
    requests::{self, Painted},
    support::ClientSupport,
    transport::{CancelToken, Client, Desk, Generation, Table},
    workspace::{self, Refused},
};

/// The study finished last, for the next one to build on.
pub(crate) type LastStudy = Arc<Mutex<Option<Arc<Study>>>>;

/// The state at one moment. What a request handler gets.
#[derive(Debug)]
pub struct Snapshot {
    /// The texts.
    pub files: Files,
    /// What the client can do.
    pub support: Arc<ClientSupport>,
    /// The settings of the client, as it sent them.
    pub settings: Arc<Value>,
    /// The way to the client.
    pub client: Client,
    /// The count of changes up to this moment.
    pub generation: Generation,
    /// Cancelled once a newer snapshot is computed: for the analyst, not for requests.
    pub(crate) outdated: CancelToken,
    pub(crate) fetched: Arc<Fetched>,
    /// The tokens that the client was given last.
    pub(crate) painted: Arc<Painted>,
    analyse: Arc<dyn Analyse>,
    last: LastStudy,
    study: Mutex<Option<Arc<Study>>>,
}

impl Snapshot {
    /// The study of these files, computed by whoever asks first; the others wait for it.
    ///
    /// # Errors
    /// `cancel` is cancelled.
    pub fn study(&self, cancel: &CancelToken) -> Result<Arc<Study>> {
        // A panic in the computation leaves nothing half done here: the lock holds only the result.
        let mut study = self.study.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(study) = &*study {
            return Ok(Arc::clone(study));
        }
        let before = self
            .last
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone();
        let computed = self.analyse.analyse(&self.files, before.as_ref(), cancel);
        let computed = Arc::new(computed.ok_or_else(Error::request_cancelled)?);
        *study = Some(Arc::clone(&computed));
        *self.last.lock().unwrap_or_else(PoisonError::into_inner) = Some(Arc::clone(&computed));
        Ok(computed)
    }

    /// The text and the byte in it that a request is about.
    ///
    /// # Errors
    /// As [`Snapshot::text`].
    pub fn place(&self, at: &TextDocumentPositionParams) -> Result<(Arc<Text>, usize)> {
        let text = self.text(&at.text_document.uri)?;
        let byte = self.files.offset(&text, at.position);
        Ok((text, byte))
    }

    /// The text that a request is about. Refused while the document is out of step, since every
    /// position in the answer would be a guess.
    ///
    /// # Errors
    /// There is no text, or none to be trusted: the request's answer.
    pub fn text(&self, url: &Url) -> Result<Arc<Text>> {
        self.files.read(url).map_err(|why| match why {
            Refused::OutOfStep => Error {
                message: why.to_string().into(),
                ..Error::content_modified()
            },
            why => Error::invalid_params(format!("{url}: {why}")),
        })
    }
}

/// The owner.
#[derive(Debug)]
pub(crate) struct State {
    client: Client,
    table: Arc<Table<Snapshot>>,
    analyse: Arc<dyn Analyse>,
    files: Files,
    /// Whether the client named folders; else those of the open documents stand in.
    has_folders: bool,
    folders: Vec<PathBuf>,
    support: Arc<ClientSupport>,
    settings: Arc<Value>,
    generation: Generation,
    last: LastStudy,
    fetched: Arc<Fetched>,
    painted: Arc<Painted>,
    now: Option<Arc<Snapshot>>,
    to_analyst: watch::Sender<Option<Arc<Snapshot>>>,
}

impl State {
    /// A state, with its analyst at work beside it.
    pub(crate) fn new(client: Client, analyse: Arc<dyn Analyse>) -> Self {
        let state = Self::unattended(client, analyse);
        tokio::spawn(analyst::work(state.to_analyst.subscribe()));
        state
    }

    /// A state that nothing is computed for until somebody asks.
    fn unattended(client: Client, analyse: Arc<dyn Analyse>) -> Self {
        Self {
            client,
            table: Arc::new(requests::table()),
            analyse,
            files: Files::default(),
            has_folders: false,
            folders: Vec::new(),
            support: Arc::default(),
            settings: Arc::default(),
            generation: 0,
            last: LastStudy::default(),
            fetched: Arc::default(),
            painted: Arc::default(),
            now: None,
            to_analyst: watch::Sender::new(None),
        }
    }

    /// Counts a change; the snapshot before it is outdated.
    fn next_generation(&mut self) -> Generation {
        self.generation += 1;
        if let Some(before) = self.now.take() {
            before.outdated.cancel();
        }
        self.generation
    }

    fn analyse_now(&mut self) {
        let now = self.snapshot();
        self.to_analyst.send_replace(Some(now));
    }

    fn act<P: DeserializeOwned>(
        &mut self,
        method: &str,
        params: Value,
        act: impl FnOnce(&mut Self, &P),
    ) {
        match serde_json::from_value(params) {
            Ok(params) => act(self, &params),
            Err(error) => tracing::warn!("{method} cannot be read: {error}"),
        }
    }

    fn did_open(&mut self, params: &DidOpenTextDocumentParams) {
        let document = &params.text_document;
        let generation = self.next_generation();
        let opened =
            self.files
                .documents
                .open(document.uri.clone(), document.version, &document.text);
        self.mark(&document.uri, Some(opened), generation);
        self.follow_open_folders();
    }

    fn did_change(&mut self, params: Value) {
        let url = params.pointer("/textDocument/uri").and_then(Value::as_str);
        let Some(url) = url.and_then(|url| Url::parse(url).ok()) else {
            return tracing::warn!("a change of no document");
        };
        let generation = self.next_generation();
        let documents = &mut self.files.documents;
        let changed = match serde_json::from_value::<DidChangeTextDocumentParams>(params) {
            Ok(params) => {
                let version = params.text_document.version;
                documents.change(&url, version, &params.content_changes, self.files.encoding)
            }
            // A change that cannot be read is still a change: its document is out of step.
            Err(_) => documents.unreadable(&url),
        };
        self.mark(&url, changed, generation);
    }

    fn did_close(&mut self, params: &DidCloseTextDocumentParams) {
        let url = &params.text_document.uri;
        self.next_generation();
        self.painted.forget(url);
        if self.files.documents.close(url) {
            self.client.publisher.closed(url);
        }
        self.follow_open_folders();
    }

    /// Tells the publisher where a document stands, and the writer when it has lost step.
    fn mark(
        &self,
        url: &Url,
        outcome: Option<std::result::Result<(), OutOfStep>>,
        generation: Generation,
    ) {
        let Some(document) = self.files.documents.get(url) else {
            return;
        };
        if document.in_step() {
            self.client
                .publisher
                .changed(url, document.version(), generation);
        } else {
            self.client.publisher.lost(url, generation);
        }
        if let Some(Err(why)) = outcome {
            let name = url
                .path_segments()
                .and_then(Iterator::last)
                .unwrap_or(url.as_str());
            self.client.warn(&format!(
                "{name} is not followed until it is opened anew: {why}"
            ));
        }
    }

    fn did_change_folders(&mut self, params: &DidChangeWorkspaceFoldersParams) {
        let path = |url: &Url| url.to_file_path().ok();
        let removed: Vec<PathBuf> = params
            .event
            .removed
            .iter()
            .filter_map(|folder| path(&folder.uri))
            .collect();
        self.folders.retain(|folder| !removed.contains(folder));
        self.folders.extend(
            params
                .event
                .added
                .iter()
                .filter_map(|folder| path(&folder.uri)),
        );
        self.set_folders(self.folders.clone());
        self.next_generation();
    }

    fn did_change_files(&mut self, params: &DidChangeWatchedFilesParams) {
        let generation = self.next_generation();
        for change in &params.changes {
            match change.typ {
                FileChangeType::DELETED => self.client.publisher.closed(&change.uri),
                // A file that other tools write anew is deleted and made again while it is open.
                _ => self.mark(&change.uri, None, generation),
            }
        }
    }

    fn did_delete_files(&mut self, params: &Value) {
        let files = params.get("files").and_then(Value::as_array);
        for url in files
            .into_iter()
            .flatten()
            .filter_map(|file| Url::parse(file.get("uri")?.as_str()?).ok())
        {
            self.client.publisher.closed(&url);
        }
        self.next_generation();
    }

    fn did_change_settings(&mut self, params: &Value) {
        self.settings = Arc::new(params.get("settings").cloned().unwrap_or_default());
        self.next_generation();
    }

    fn set_folders(&mut self, folders: Vec<PathBuf>) {
        self.has_folders = !folders.is_empty();
        self.folders.clone_from(&folders);
        self.files.workspace.set_folders(folders);
        self.follow_open_folders();
    }

    fn follow_open_folders(&mut self) {
        if !self.has_folders {
            let folder = |url: &Url| url.to_file_path().ok()?.parent().map(PathBuf::from);
            let folders: Vec<PathBuf> = self
                .files
                .documents
                .iter()
                .filter_map(|(url, _)| folder(url))
                .collect();
            self.files.workspace.stand_in(folders);
        }
    }

    /// Asks the client to watch the plans and the settings file; nobody waits for its consent.
    fn watch_files(&self) {
        if !self.support.watches_files() {
            return;
        }
        let client = self.client.clone();
        let watchers = ["**/*.boat", "**/ampwright.toml"].map(|glob| json!({"globPattern": glob}));
        let registration = json!({"registrations": [{
            "id": "files",
            "method": "workspace/didChangeWatchedFiles",
            "registerOptions": {"watchers": watchers},
        }]});
        tokio::spawn(async move {
            let limit = std::time::Duration::from_secs(30);
            if let Err(error) = client
                .ask("client/registerCapability", &registration, limit)
                .await
            {
                tracing::warn!("files are not watched: {error}");
            }
        });
    }

    fn capabilities(&self) -> Value {
        let mut capabilities = Map::from_iter([
            (
                "positionEncoding".to_owned(),
                json!(self.files.encoding.name()),
            ),
            (
                "textDocumentSync".to_owned(),
                json!({"openClose": true, "change": 2}),
            ),
            (
                "workspace".to_owned(),
                json!({
                    "workspaceFolders": {"supported": true, "changeNotifications": true},
                    "fileOperations": {"didDelete": {"filters": [{"pattern": {"glob": "**/*.boat"}}]}},
                }),
            ),
        ]);
        crate::transport::merge(&mut capabilities, self.table.capabilities().clone());
        Value::Object(capabilities)
    }
}

impl Desk for State {
    type Snapshot = Snapshot;

    fn table(&self) -> Arc<Table<Snapshot>> {
        Arc::clone(&self.table)
    }

    fn initialize(&mut self, params: &Value) -> Result<Value> {
        self.support = Arc::new(ClientSupport::of(params));
        self.files.encoding = Encoding::negotiate(params);
        self.settings = Arc::new(
            params
                .get("initializationOptions")
                .cloned()
                .unwrap_or_default(),
        );
        self.set_folders(workspace::folders_of(params));
        let version = env!("CARGO_PKG_VERSION");
        Ok(
            json!({"capabilities": self.capabilities(), "serverInfo": {"name": "ampwright", "version": version}}),
        )
    }

    fn notify(&mut self, method: &str, params: Value) {
        match method {
            "initialized" => return self.watch_files(),
            "textDocument/didOpen" => self.act(method, params, Self::did_open),
            "textDocument/didChange" => self.did_change(params),
            "textDocument/didClose" => self.act(method, params, Self::did_close),
            "workspace/didChangeWorkspaceFolders" => {
                self.act(method, params, Self::did_change_folders);
            }
            "workspace/didChangeWatchedFiles" => self.act(method, params, Self::did_change_files),
            "workspace/didDeleteFiles" => self.did_delete_files(&params),
            "workspace/didChangeConfiguration" => self.did_change_settings(&params),
            _ => return tracing::debug!("{method} is not acted on"),
        }
        self.analyse_now();
    }

    fn snapshot(&mut self) -> Arc<Snapshot> {
        let now = self.now.get_or_insert_with(|| {
            Arc::new(Snapshot {
                files: self.files.clone(),
                support: Arc::clone(&self.support),
                settings: Arc::clone(&self.settings),
                client: self.client.clone(),
                generation: self.generation,
                outdated: CancelToken::new(),
                fetched: Arc::clone(&self.fetched),
                painted: Arc::clone(&self.painted),
                analyse: Arc::clone(&self.analyse),
                last: Arc::clone(&self.last),
                study: Mutex::default(),
            })
        });
        Arc::clone(now)
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use tower_lsp::lsp_types::{Position, TextDocumentIdentifier};

    struct Nothing;

    impl Analyse for Nothing {
        fn analyse(
            &self,
            _: &Files,
            _: Option<&Arc<Study>>,
            cancel: &CancelToken,
        ) -> Option<Study> {
            (!cancel.is_cancelled()).then(Study::default)
        }
    }

    /// What requests see of these open texts, after `initialize` with these params.
    pub(crate) fn snapshot(initialize: &Value, texts: &[(Url, i32, &str)]) -> Arc<Snapshot> {
        let mut state = State::unattended(Client::nowhere(), Arc::new(Nothing));
        state.initialize(initialize).expect("initialized");
        for (url, version, text) in texts {
            let document =
                json!({"uri": url, "languageId": "boat", "version": version, "text": text});
            state.notify("textDocument/didOpen", json!({ "textDocument": document }));
        }
        state.snapshot()
    }

    #[test]
    fn a_study_is_computed_once_and_not_for_a_cancelled_request() {
        let snapshot = snapshot(&json!({}), &[]);
        let cancelled = CancelToken::new();
        cancelled.cancel();
        assert!(snapshot.study(&cancelled).is_err());
        let first = snapshot.study(&CancelToken::new()).expect("computed");
        assert!(Arc::ptr_eq(
            &first,
            &snapshot.study(&cancelled).expect("kept")
        ));
    }

    #[test]
    fn a_place_is_counted_as_agreed() {
        let url = Url::parse("untitled:a").expect("a url");
        let snapshot = snapshot(&json!({}), &[(url.clone(), 1, "🛥 load")]);
        let at =
            TextDocumentPositionParams::new(TextDocumentIdentifier::new(url), Position::new(0, 3));
        assert_eq!(snapshot.place(&at).expect("a place").1, 5);
    }
}
