//! The analyst: computes the newest snapshot beside the messages and hands on what it finds.
//!
//! One computation at a time; a newer snapshot cancels it. Nothing wakes it but a change.

use std::{
    collections::BTreeMap,
    path::{Path, PathBuf},
    sync::{Arc, Mutex, MutexGuard, PoisonError},
};

use ampwright_plan::sources::{self, Why};
use tokio::sync::watch;
use tower_lsp::lsp_types::{Diagnostic, Url};

use crate::{
    analysis::Study,
    refresh::{self, Refresh},
    state::Snapshot,
};

/// Works until the state is gone.
pub(crate) async fn work(mut jobs: watch::Receiver<Option<Arc<Snapshot>>>) {
    let mut refresh = Refresh::default();
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
            Ok(Ok(study)) => {
                tell(&snapshot, &study);
                tell_of_gone(&snapshot, &study);
                refresh.notice(&snapshot, &study);
            }
            Ok(Err(_)) => tracing::debug!("generation {} is outdated", snapshot.generation),
            Err(error) => tracing::error!("the computation failed: {error}"),
        }
        let old = std::mem::take(&mut *snapshot.bin.lock().unwrap_or_else(PoisonError::into_inner));
        drop(snapshot);
        if !old.is_empty() {
            tokio::task::spawn_blocking(move || drop(old));
        }
    }
}

fn tell(snapshot: &Snapshot, study: &Study) {
    snapshot.log.set_amount(snapshot.configured().first().log);
    if snapshot.support.pulls_findings() {
        let stale = snapshot.fetched.recall_stale(snapshot, study);
        if stale && snapshot.support.refreshes_findings() {
            refresh::findings(&snapshot.client);
        }
        return;
    }
    let publisher = &snapshot.client.publisher;
    for (url, document) in snapshot
        .files
        .documents
        .iter()
        .filter(|(_, document)| document.in_step())
    {
        let findings = snapshot.shown(study, url).into_owned();
        publisher.offer(url, document.version(), snapshot.generation, findings);
    }
    for (url, findings) in &snapshot.configured().findings {
        if snapshot.files.documents.get(url).is_none() {
            publisher.offer_closed(url, snapshot.generation, findings.clone());
        }
    }
}

/// Warns of files that were deleted or renamed away while a plan uses them.
fn tell_of_gone(snapshot: &Snapshot, study: &Study) {
    let gone = std::mem::take(&mut *snapshot.gone.lock().unwrap_or_else(PoisonError::into_inner));
    if gone.is_empty() {
        return;
    }
    let mut told = Vec::new();
    for computed in &study.plans {
        for unusable in &computed.plan.sources.unusable {
            let Some(url) = computed.urls.get(unusable.site.file as usize) else {
                continue;
            };
            let words = computed.plan.sources.words(unusable.site).trim_matches('"');
            let missed =
                matches!(unusable.why, Why::Unreadable(_)) && is_gone(snapshot, url, words, &gone);
            let line = (url, words.to_owned());
            if missed && !told.contains(&line) {
                told.push(line);
            }
        }
    }
    for (url, words) in told {
        let name = url
            .path_segments()
            .and_then(Iterator::last)
            .unwrap_or_default();
        snapshot.client.warn(&format!(
            "{name} uses \"{words}\", which is not there any more: what it held is missing from the plan"
        ));
    }
}

/// Whether what a file uses by these words is, or was in, one of these places.
fn is_gone(snapshot: &Snapshot, user: &Url, words: &str, gone: &[PathBuf]) -> bool {
    let used = snapshot
        .files
        .place(user)
        .and_then(|(folder, path)| Some(folder.join(sources::beside(&path, words)?)));
    used.is_some_and(|used: PathBuf| {
        gone.iter()
            .any(|gone: &PathBuf| used.starts_with(Path::new(gone)))
    })
}

/// What a client that fetches findings was given last. It fetches those of the text it changes by
/// itself; of other texts, whose findings change with that one, it has to be told.
#[derive(Debug, Default)]
pub(crate) struct Fetched(Mutex<BTreeMap<Url, Given>>);

#[derive(Debug)]
struct Given {
    /// The version, where the document was open.
    version: Option<i32>,
    findings: Vec<Diagnostic>,
    /// The client has been told that this is true no more.
    recalled: bool,
}

impl Given {
    fn is(&self, version: Option<i32>, findings: &[Diagnostic]) -> bool {
        self.version == version && self.findings == findings
    }
}

impl Fetched {
    /// Notes what is about to be given; told at once, where the text has changed meanwhile.
    pub(crate) fn note(&self, snapshot: &Snapshot, url: &Url, findings: &[Diagnostic]) {
        let given = Given {
            version: version(snapshot, url),
            findings: findings.to_vec(),
            recalled: false,
        };
        self.given().insert(url.clone(), given);
        // The look comes after the note: either the newer computation sees the note, or this sees it.
        if snapshot.support.refreshes_findings() && snapshot.outdated.is_cancelled() {
            refresh::findings(&snapshot.client);
        }
    }

    /// Whether the client was given just these, of the version that there is.
    pub(crate) fn has(&self, snapshot: &Snapshot, url: &Url, findings: &[Diagnostic]) -> bool {
        self.given().get(url).map_or(findings.is_empty(), |given| {
            given.is(version(snapshot, url), findings)
        })
    }

    /// Recalls what was given and is true no more, of texts that have not changed; whether any was.
    fn recall_stale(&self, snapshot: &Snapshot, study: &Study) -> bool {
        let mut any = false;
        for (url, given) in self.given().iter_mut().filter(|(_, given)| !given.recalled) {
            let same_text = given.version == version(snapshot, url);
            given.recalled = same_text && given.findings[..] != snapshot.shown(study, url)[..];
            any |= given.recalled;
        }
        any
    }

    fn given(&self) -> MutexGuard<'_, BTreeMap<Url, Given>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn version(snapshot: &Snapshot, url: &Url) -> Option<i32> {
    snapshot
        .files
        .documents
        .get(url)
        .map(|document| document.version())
}
