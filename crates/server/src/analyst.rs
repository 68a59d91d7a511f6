//! The analyst: computes the newest snapshot beside the messages and hands on what it finds.
//!
//! One computation at a time; a newer snapshot cancels it. Nothing wakes it but a change.

use std::{collections::BTreeMap, sync::Arc, time::Duration};

use serde_json::Value;
use tokio::sync::watch;
use tower_lsp::lsp_types::{Diagnostic, Url};

use crate::{analysis::Study, state::Snapshot};

/// What was last told of each open document.
type Told = BTreeMap<Url, (i32, Vec<Diagnostic>)>;

/// Works until the state is gone.
pub(crate) async fn work(mut jobs: watch::Receiver<Option<Arc<Snapshot>>>) {
    let mut told = Told::new();
    while jobs.changed().await.is_ok() {
        let Some(snapshot) = jobs.borrow_and_update().clone() else { continue };
        let job = Arc::clone(&snapshot);
        let computed = tokio::task::spawn_blocking(move || job.study(&job.outdated)).await;
        match computed {
            Ok(Ok(study)) => told = tell(&snapshot, &study, &told),
            Ok(Err(_)) => tracing::debug!("generation {} is outdated", snapshot.generation),
            Err(error) => tracing::error!("the computation failed: {error}"),
        }
    }
}

fn tell(snapshot: &Snapshot, study: &Study, before: &Told) -> Told {
    let in_step = snapshot.files.documents.iter().filter(|(_, document)| document.in_step());
    let found = |url: &Url| study.findings.get(url).cloned().unwrap_or_default();
    let now: Told = in_step.map(|(url, document)| (url.clone(), (document.version(), found(url)))).collect();
    if snapshot.support.pulls_findings() {
        refresh(snapshot, before, &now);
    } else {
        for (url, (version, findings)) in &now {
            snapshot.client.publisher.offer(url, *version, snapshot.generation, findings.clone());
        }
    }
    now
}

/// A client that fetches findings fetches those of the text it changes; of the others, whose
/// findings changed with it, it has to be told.
fn refresh(snapshot: &Snapshot, before: &Told, now: &Told) {
    let elsewhere = now.iter().any(|(url, (version, findings))| {
        before.get(url).is_some_and(|(told, were)| told == version && were != findings)
    });
    if elsewhere && snapshot.support.refreshes_findings() {
        let client = snapshot.client.clone();
        tokio::spawn(async move {
            let limit = Duration::from_secs(30);
            if let Err(error) = client.ask("workspace/diagnostic/refresh", &Value::Null, limit).await {
                tracing::debug!("findings elsewhere are not fetched anew: {error}");
            }
        });
    }
}
