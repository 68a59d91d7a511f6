//! The analyst: computes the newest snapshot beside the messages and hands on what it finds.
//!
//! One computation at a time; a newer snapshot cancels it. Nothing wakes it but a change.

use std::{
    collections::BTreeMap,
    sync::{Arc, Mutex, PoisonError},
    time::Duration,
};

use serde_json::Value;
use tokio::sync::watch;
use tower_lsp::lsp_types::{Diagnostic, Url};

use crate::{analysis::Study, state::Snapshot, transport::Client};

/// How long a client may think about a request of no consequence.
const PATIENCE: Duration = Duration::from_secs(30);

/// Works until the state is gone.
pub(crate) async fn work(mut jobs: watch::Receiver<Option<Arc<Snapshot>>>) {
    while jobs.changed().await.is_ok() {
        let Some(snapshot) = jobs.borrow_and_update().clone() else {
            continue;
        };
        let job = Arc::clone(&snapshot);
        let computed = tokio::task::spawn_blocking(move || job.study(&job.outdated));
        // A request of the same snapshot may be computing it already, and need not stop for this.
        let computed = tokio::select! {
            computed = computed => computed,
            () = snapshot.outdated.cancelled() => continue,
        };
        match computed {
            Ok(Ok(study)) => tell(&snapshot, &study),
            Ok(Err(_)) => tracing::debug!("generation {} is outdated", snapshot.generation),
            Err(error) => tracing::error!("the computation failed: {error}"),
        }
    }
}

fn tell(snapshot: &Snapshot, study: &Study) {
    if snapshot.support.pulls_findings() {
        if snapshot.fetched.forget_stale(snapshot, study) {
            refresh(&snapshot.client);
        }
        return;
    }
    for (url, document) in snapshot
        .files
        .documents
        .iter()
        .filter(|(_, document)| document.in_step())
    {
        let findings = study.findings.get(url).cloned().unwrap_or_default();
        snapshot
            .client
            .publisher
            .offer(url, document.version(), snapshot.generation, findings);
    }
}

fn refresh(client: &Client) {
    let client = client.clone();
    tokio::spawn(async move {
        if let Err(error) = client
            .ask("workspace/diagnostic/refresh", &Value::Null, PATIENCE)
            .await
        {
            tracing::debug!("findings elsewhere are not fetched anew: {error}");
        }
    });
}

/// What a client that fetches findings was given last. It fetches those of the text it changes by
/// itself; of other texts, whose findings change with that one, it has to be told.
#[derive(Debug, Default)]
pub(crate) struct Fetched(Mutex<BTreeMap<Url, Given>>);

/// The version of an open document, and its findings.
type Given = (Option<i32>, Vec<Diagnostic>);

impl Fetched {
    /// Notes what is about to be given; told at once, where the text has changed meanwhile.
    pub(crate) fn note(&self, snapshot: &Snapshot, url: &Url, findings: &[Diagnostic]) {
        if !snapshot.support.refreshes_findings() {
            return;
        }
        let given = (version(snapshot, url), findings.to_vec());
        self.0
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .insert(url.clone(), given);
        // The look comes after the note: either the newer computation sees the note, or this sees it.
        if snapshot.outdated.is_cancelled() {
            refresh(&snapshot.client);
        }
    }

    /// Forgets what was given and is true no more, of texts that have not changed; whether any was.
    fn forget_stale(&self, snapshot: &Snapshot, study: &Study) -> bool {
        let mut given = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let before = given.len();
        given.retain(|url, (given_version, findings)| {
            let now = study
                .findings
                .get(url)
                .map(Vec::as_slice)
                .unwrap_or_default();
            *given_version != version(snapshot, url) || findings == now
        });
        given.len() < before
    }
}

fn version(snapshot: &Snapshot, url: &Url) -> Option<i32> {
    snapshot
        .files
        .documents
        .get(url)
        .map(|document| document.version())
}
