//! Telling a client to ask again for what it was given of texts that it did not change itself.

use std::{
    sync::{
        Arc, Weak,
        atomic::{AtomicBool, Ordering},
    },
    time::Duration,
};

use ampwright_plan::Plan;
use serde_json::Value;

use crate::{
    analysis::Study,
    state::Snapshot,
    transport::{Client, Generation},
};

/// How long a client may think about it.
const PATIENCE: Duration = Duration::from_secs(30);

/// Several changes at a stroke are told once.
const GATHERING: Duration = Duration::from_millis(200);

/// What can be asked for again: the client's flag, the request, and the server's capability that it
/// makes sense with.
const KINDS: [(&str, &str, &str); 3] = [
    (
        "inlayHint",
        "workspace/inlayHint/refresh",
        "inlayHintProvider",
    ),
    ("codeLens", "workspace/codeLens/refresh", "codeLensProvider"),
    (
        "semanticTokens",
        "workspace/semanticTokens/refresh",
        "semanticTokensProvider",
    ),
];

/// Notices what a client has to be told.
#[derive(Debug, Default)]
pub(crate) struct Refresh {
    told: Generation,
    /// The plans of the last study, to know those that are new; none is kept alive for it.
    known: Vec<Weak<Plan>>,
    under_way: Arc<AtomicBool>,
}

impl Refresh {
    /// Tells the client where this study changes what it was given of other texts.
    pub(crate) fn notice(&mut self, snapshot: &Snapshot, study: &Study) {
        let elsewhere = snapshot.elsewhere > self.told;
        let beside = self.is_new_beside(snapshot, study);
        self.known = study
            .plans
            .iter()
            .map(|computed| Arc::downgrade(&computed.plan))
            .collect();
        if elsewhere || beside {
            self.told = snapshot.elsewhere;
            self.tell(snapshot);
        }
    }

    /// Whether a plan was computed anew of which more than one file is open: the client asks again by
    /// itself for the one that was changed.
    fn is_new_beside(&self, snapshot: &Snapshot, study: &Study) -> bool {
        let documents = &snapshot.files.documents;
        study.plans.iter().any(|computed| {
            let open = computed
                .urls
                .iter()
                .filter(|url| documents.get(url).is_some());
            open.count() > 1
                && !self
                    .known
                    .iter()
                    .any(|known| known.as_ptr() == Arc::as_ptr(&computed.plan))
        })
    }

    fn tell(&self, snapshot: &Snapshot) {
        let wanted = KINDS.into_iter().filter(|(flag, _, capability)| {
            snapshot
                .support
                .has(&format!("/workspace/{flag}/refreshSupport"))
                && snapshot.provides(capability)
        });
        let methods: Vec<&str> = wanted.map(|(_, method, _)| method).collect();
        if methods.is_empty() || self.under_way.swap(true, Ordering::SeqCst) {
            return;
        }
        let (client, under_way) = (snapshot.client.clone(), Arc::clone(&self.under_way));
        tokio::spawn(async move {
            tokio::time::sleep(GATHERING).await;
            // Before the asking, so that what changes from here on is told again.
            under_way.store(false, Ordering::SeqCst);
            for method in methods {
                ask(&client, method).await;
            }
        });
    }
}

/// Tells a client to fetch the findings again.
pub(crate) fn findings(client: &Client) {
    let client = client.clone();
    tokio::spawn(async move { ask(&client, "workspace/diagnostic/refresh").await });
}

async fn ask(client: &Client, method: &str) {
    if let Err(error) = client.ask(method, &Value::Null, PATIENCE).await {
        tracing::debug!("{method} was not taken: {error}");
    }
}
