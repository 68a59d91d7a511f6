//! The state and its one owner: what notifications change and what requests see.

use std::{
    borrow::Cow,
    path::PathBuf,
    sync::{Arc, Mutex, OnceLock, PoisonError},
    time::Duration,
};

use serde::de::DeserializeOwned;
use serde_json::{Map, Value, json};
use tokio::sync::watch;
use tower_lsp::{
    jsonrpc::{Error, Result},
    lsp_types::{
        Diagnostic, DidChangeTextDocumentParams, DidChangeWatchedFilesParams,
        DidChangeWorkspaceFoldersParams, DidCloseTextDocumentParams, DidOpenTextDocumentParams,
        FileChangeType, TextDocumentPositionParams, Url,
    },
};

use crate::{
    analysis::{Analyse, Study},
    analyst::{self, Fetched},
    configured::{ClientSets, Configured},
    documents::{OutOfStep, Text},
    files::Files,
    log::Log,
    positions::Encoding,
    requests::{self, Painted},
    settings::{Set, Settings},
    support::ClientSupport,
    transport::{CancelToken, Client, Desk, Generation, Table},
    workspace::{self, Refused},
};

/// The study finished last, for the next one to build on.
pub(crate) type LastStudy = Arc<Mutex<Option<Arc<Study>>>>;

/// Studies that are needed no more and are taken apart when there is time.
pub(crate) type Bin = Arc<Mutex<Vec<Arc<Study>>>>;

/// The note by which settings come that the client was asked for.
const SETTINGS: &str = "ampwright/settings";

/// How long a client may think about what nobody waits for.
const PATIENCE: Duration = Duration::from_secs(30);

/// Files that were deleted or renamed away, until somebody has looked whether a plan misses them.
pub(crate) type Gone = Arc<Mutex<Vec<PathBuf>>>;

/// The state at one moment. What a request handler gets.
#[derive(Debug)]
pub struct Snapshot {
    /// The texts.
    pub files: Files,
    /// What the client can do.
    pub support: Arc<ClientSupport>,
    /// The way to the client.
    pub client: Client,
    /// The count of changes up to this moment.
    pub generation: Generation,
    /// Cancelled once a newer snapshot is computed: for the analyst, not for requests.
    pub(crate) outdated: CancelToken,
    pub(crate) fetched: Arc<Fetched>,
    /// The tokens that the client was given last.
    pub(crate) painted: Arc<Painted>,
    /// The last change that was not to the text of an open document.
    pub(crate) elsewhere: Generation,
    pub(crate) gone: Gone,
    pub(crate) log: Log,
    client_sets: Arc<ClientSets>,
    configured: OnceLock<Configured>,
    table: Arc<Table<Snapshot>>,
    analyse: Arc<dyn Analyse>,
    last: LastStudy,
    pub(crate) bin: Bin,
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
        let mut last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        let old = last.replace(Arc::clone(&computed));
        drop(last);
        // Taking a large study apart takes its time, which nobody should wait for.
        let mut bin = self.bin.lock().unwrap_or_else(PoisonError::into_inner);
        bin.extend(old.into_iter().chain(before));
        Ok(computed)
    }

    /// The settings as they hold for a file.
    pub fn settings(&self, url: &Url) -> &Settings {
        self.configured().of(&self.files, url)
    }

    /// Whether the server answers what goes by this capability.
    pub(crate) fn provides(&self, capability: &str) -> bool {
        self.table.capabilities().contains_key(capability)
    }

    pub(crate) fn configured(&self) -> &Configured {
        self.configured
            .get_or_init(|| Configured::read(&self.files, &self.client_sets))
    }

    /// The findings of a file that the writer wants shown; those of a settings file are its faults.
    pub(crate) fn shown<'s>(&'s self, study: &'s Study, url: &Url) -> Cow<'s, [Diagnostic]> {
        if let Some(faults) = self.configured().findings.get(url) {
            return Cow::Borrowed(faults);
        }
        let found = study.findings.get(url).map(Vec::as_slice);
        self.settings(url).mildest.of(found.unwrap_or_default())
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
    client_sets: Arc<ClientSets>,
    generation: Generation,
    elsewhere: Generation,
    gone: Gone,
    log: Log,
    last: LastStudy,
    bin: Bin,
    fetched: Arc<Fetched>,
    painted: Arc<Painted>,
    now: Option<Arc<Snapshot>>,
    to_analyst: watch::Sender<Option<Arc<Snapshot>>>,
}

impl State {
    /// A state, with its analyst at work beside it.
    pub(crate) fn new(client: Client, analyse: Arc<dyn Analyse>, log: Log) -> Self {
        let state = Self {
            log,
            ..Self::unattended(client, analyse)
        };
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
            client_sets: Arc::default(),
            generation: 0,
            elsewhere: 0,
            gone: Gone::default(),
            log: Log::default(),
            last: LastStudy::default(),
            bin: Bin::default(),
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

    /// Counts a change of something else than the text of an open document.
    fn next_elsewhere(&mut self) -> Generation {
        self.files.workspace.look_anew();
        self.elsewhere = self.next_generation();
        self.elsewhere
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
        self.next_elsewhere();
    }

    fn did_change_files(&mut self, params: &DidChangeWatchedFilesParams) {
        let generation = self.next_elsewhere();
        for change in &params.changes {
            match change.typ {
                // Where it is open, the text that the editor has is what there is.
                FileChangeType::DELETED if self.files.documents.get(&change.uri).is_some() => {}
                FileChangeType::DELETED => self.client.publisher.closed(&change.uri),
                // A file that other tools write anew is deleted and made again while it is open.
                _ => self.mark(&change.uri, None, generation),
            }
        }
    }

    /// Files deleted (`uri`) or renamed away (`oldUri`) in the editor.
    fn did_move_files(&mut self, params: &Value, member: &str) {
        let files = params.get("files").and_then(Value::as_array);
        let url = |file: &Value| Url::parse(file.get(member)?.as_str()?).ok();
        let urls: Vec<Url> = files.into_iter().flatten().filter_map(url).collect();
        self.next_elsewhere();
        for url in &urls {
            self.client.publisher.closed(url);
        }
        let paths = urls.iter().filter_map(|url| url.to_file_path().ok());
        let mut gone = self.gone.lock().unwrap_or_else(PoisonError::into_inner);
        gone.extend(paths);
    }

    /// Settings from the client, where it is not asked for them, or word that they have changed.
    fn did_change_settings(&mut self, params: &Value) {
        if self.support.has("/workspace/configuration") {
            self.ask_settings();
        } else {
            self.take_settings(
                params
                    .pointer("/settings/ampwright")
                    .unwrap_or(&Value::Null),
            );
        }
    }

    fn take_settings(&mut self, given: &Value) {
        let set = Set::from_json(given);
        if set == self.client_sets.configuration {
            return;
        }
        self.tell_faults(&set);
        let options = self.client_sets.options.clone();
        self.client_sets = Arc::new(ClientSets {
            options,
            configuration: set,
        });
        self.next_elsewhere();
        self.analyse_now();
    }

    fn tell_faults(&self, set: &Set) {
        for fault in &set.faults {
            self.client
                .warn(&format!("A setting is not taken: {}", fault.message));
        }
    }

    /// Asks the client for its settings; they come as a note to this state.
    fn ask_settings(&self) {
        let client = self.client.clone();
        tokio::spawn(async move {
            let items = json!({"items": [{"section": "ampwright"}]});
            match client
                .ask("workspace/configuration", &items, PATIENCE)
                .await
            {
                Ok(mut answer) => {
                    let settings = answer.get_mut(0).map(Value::take).unwrap_or_default();
                    client.note(SETTINGS, settings);
                }
                Err(error) => tracing::warn!("the editor's settings are not known: {error}"),
            }
        });
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

    /// What waits for the client to be ready.
    fn begin(&self) {
        self.log.send_to(&self.client);
        self.tell_faults(&self.client_sets.options);
        self.register();
        if self.support.has("/workspace/configuration") {
            self.ask_settings();
        }
        tracing::info!(
            "serving {} folders, counting in {}",
            self.folders.len(),
            self.files.encoding.name()
        );
    }

    /// Asks the client to watch the plans and the settings file, and to tell when its settings change;
    /// nobody waits for its consent.
    fn register(&self) {
        let watchers = ["**/*.boat", "**/ampwright.toml"].map(|glob| json!({"globPattern": glob}));
        let files = self.support.watches_files().then(|| {
            json!({
                "id": "files",
                "method": "workspace/didChangeWatchedFiles",
                "registerOptions": {"watchers": watchers},
            })
        });
        let settings = "/workspace/didChangeConfiguration/dynamicRegistration";
        let settings = self.support.has(settings).then(|| {
            json!({
                "id": "settings",
                "method": "workspace/didChangeConfiguration",
                "registerOptions": {"section": "ampwright"},
            })
        });
        let registrations: Vec<Value> = files.into_iter().chain(settings).collect();
        if registrations.is_empty() {
            return;
        }
        let client = self.client.clone();
        tokio::spawn(async move {
            let params = json!({"registrations": registrations});
            if let Err(error) = client
                .ask("client/registerCapability", &params, PATIENCE)
                .await
            {
                tracing::warn!("neither files nor settings are watched: {error}");
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
                    "fileOperations": {"didRename": requests::moved_files(), "didDelete": requests::moved_files()},
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
        self.files
            .workspace
            .trust_word(self.support.watches_files());
        let options = params.get("initializationOptions").unwrap_or(&Value::Null);
        self.client_sets = Arc::new(ClientSets {
            options: Set::from_json(options.get("ampwright").unwrap_or(options)),
            configuration: Set::default(),
        });
        self.set_folders(workspace::folders_of(params));
        let version = env!("CARGO_PKG_VERSION");
        Ok(
            json!({"capabilities": self.capabilities(), "serverInfo": {"name": "ampwright", "version": version}}),
        )
    }

    fn notify(&mut self, method: &str, params: Value) {
        match method {
            "initialized" => return self.begin(),
            "textDocument/didOpen" => self.act(method, params, Self::did_open),
            "textDocument/didChange" => self.did_change(params),
            "textDocument/didClose" => self.act(method, params, Self::did_close),
            "workspace/didChangeWorkspaceFolders" => {
                self.act(method, params, Self::did_change_folders);
            }
            "workspace/didChangeWatchedFiles" => self.act(method, params, Self::did_change_files),
            "workspace/didDeleteFiles" => self.did_move_files(&params, "uri"),
            "workspace/didRenameFiles" => self.did_move_files(&params, "oldUri"),
            "workspace/didChangeConfiguration" => return self.did_change_settings(&params),
            SETTINGS => return self.take_settings(&params),
            _ => return tracing::debug!("{method} is not acted on"),
        }
        self.analyse_now();
    }

    fn snapshot(&mut self) -> Arc<Snapshot> {
        let now = self.now.get_or_insert_with(|| {
            Arc::new(Snapshot {
                files: self.files.clone(),
                support: Arc::clone(&self.support),
                client: self.client.clone(),
                generation: self.generation,
                outdated: CancelToken::new(),
                fetched: Arc::clone(&self.fetched),
                painted: Arc::clone(&self.painted),
                elsewhere: self.elsewhere,
                gone: Arc::clone(&self.gone),
                log: self.log.clone(),
                client_sets: Arc::clone(&self.client_sets),
                configured: OnceLock::new(),
                table: Arc::clone(&self.table),
                analyse: Arc::clone(&self.analyse),
                last: Arc::clone(&self.last),
                bin: Arc::clone(&self.bin),
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
