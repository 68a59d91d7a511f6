//! The one publisher of findings: the latest version wins, nothing is told of an outdated one.
//!
//! Documents are marked here as they change, in the order of arrival; results come when they come.
//! What waits to be written is one list per document, so a client that reads slowly costs no memory.

use std::{
    collections::BTreeMap,
    sync::{Arc, Mutex, MutexGuard, PoisonError},
};

use tokio::sync::Notify;
use tower_lsp::lsp_types::{Diagnostic, PublishDiagnosticsParams, Url};

/// A count of changes to anything that findings are computed from.
pub type Generation = u64;

#[derive(Debug, Default)]
struct Slot {
    /// The version the client holds; `None` once closed or while its text is not known.
    version: Option<i32>,
    /// The generation of the document's last change: results before it are outdated.
    changed: Generation,
    /// The generation of the last result taken.
    taken: Generation,
    waiting: Option<Arc<PublishDiagnosticsParams>>,
    sent: Option<Arc<PublishDiagnosticsParams>>,
}

impl Slot {
    /// Lets a list wait, where the client does not have it already.
    fn wait_with(&mut self, params: PublishDiagnosticsParams) {
        let sent = self.sent.as_deref() == Some(&params);
        self.waiting = (!sent).then(|| Arc::new(params));
    }
}

#[derive(Debug, Default)]
struct Desk {
    slots: BTreeMap<Url, Slot>,
    stopped: bool,
}

/// The publisher. Cheap to clone.
#[derive(Clone, Debug, Default)]
pub struct Publisher {
    desk: Arc<Mutex<Desk>>,
    wake: Arc<Notify>,
}

impl Publisher {
    /// The document now is at `version`, since `generation`; what waited for it is outdated.
    pub fn changed(&self, url: &Url, version: i32, generation: Generation) {
        self.mark(url, Some(version), generation);
    }

    /// The document's text is not known from `generation` on.
    pub fn lost(&self, url: &Url, generation: Generation) {
        self.mark(url, None, generation);
    }

    /// The document is closed or deleted: its findings are taken back.
    pub fn closed(&self, url: &Url) {
        let mut desk = self.desk();
        let Some(slot) = desk.slots.get_mut(url) else {
            return;
        };
        let version = slot
            .version
            .or_else(|| slot.sent.as_ref().and_then(|sent| sent.version));
        *slot = Slot {
            waiting: Some(Arc::new(PublishDiagnosticsParams::new(
                url.clone(),
                Vec::new(),
                version,
            ))),
            changed: Generation::MAX,
            ..Slot::default()
        };
        self.wake.notify_one();
    }

    /// Offers what was found at `generation` in `version` of a document.
    pub fn offer(
        &self,
        url: &Url,
        version: i32,
        generation: Generation,
        findings: Vec<Diagnostic>,
    ) {
        let mut desk = self.desk();
        let stopped = desk.stopped;
        let Some(slot) = desk.slots.get_mut(url) else {
            return;
        };
        let current = slot.version == Some(version) && generation >= slot.changed.max(slot.taken);
        if stopped || !current {
            return;
        }
        slot.taken = generation;
        let params = PublishDiagnosticsParams::new(url.clone(), findings, Some(version));
        slot.wait_with(params);
        self.wake.notify_one();
    }

    /// Offers what was found at `generation` in a file that is not open.
    pub fn offer_closed(&self, url: &Url, generation: Generation, findings: Vec<Diagnostic>) {
        let mut desk = self.desk();
        if desk.stopped || (findings.is_empty() && !desk.slots.contains_key(url)) {
            return;
        }
        let slot = desk.slots.entry(url.clone()).or_default();
        if slot.version.is_some() || generation < slot.changed.max(slot.taken) {
            return;
        }
        slot.taken = generation;
        let params = PublishDiagnosticsParams::new(url.clone(), findings, None);
        slot.wait_with(params);
        self.wake.notify_one();
    }

    /// Nothing is sent from here on.
    pub(super) fn stop(&self) {
        let mut desk = self.desk();
        desk.stopped = true;
        desk.slots.clear();
    }

    /// Waits for the next list to be written. Dropping the wait loses nothing.
    pub(super) async fn next(&self) -> Arc<PublishDiagnosticsParams> {
        loop {
            if let Some(params) = self.take() {
                return params;
            }
            self.wake.notified().await;
        }
    }

    fn take(&self) -> Option<Arc<PublishDiagnosticsParams>> {
        let mut desk = self.desk();
        let (url, slot) = desk
            .slots
            .iter_mut()
            .find(|(_, slot)| slot.waiting.is_some())?;
        let params = slot.waiting.take();
        if slot.changed == Generation::MAX {
            let url = url.clone();
            desk.slots.remove(&url);
        } else {
            slot.sent.clone_from(&params);
        }
        params
    }

    fn mark(&self, url: &Url, version: Option<i32>, generation: Generation) {
        let mut desk = self.desk();
        let slot = desk.slots.entry(url.clone()).or_default();
        slot.version = version;
        slot.changed = generation;
        slot.waiting = None;
    }

    fn desk(&self) -> MutexGuard<'_, Desk> {
        self.desk.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tower_lsp::lsp_types::Range;

    fn url() -> Url {
        Url::parse("file:///curlew.boat").expect("a url")
    }

    fn found(text: &str) -> Vec<Diagnostic> {
        vec![Diagnostic::new_simple(Range::default(), text.to_owned())]
    }

    fn taken(publisher: &Publisher) -> Option<(Option<i32>, Vec<String>)> {
        let params = publisher.take()?;
        Some((
            params.version,
            params
                .diagnostics
                .iter()
                .map(|found| found.message.clone())
                .collect(),
        ))
    }

    #[test]
    fn the_latest_version_wins_and_the_outdated_are_never_told() {
        let publisher = Publisher::default();
        publisher.changed(&url(), 1, 1);
        publisher.offer(&url(), 1, 1, found("one"));
        publisher.changed(&url(), 2, 2);
        assert_eq!(
            taken(&publisher),
            None,
            "what waited is outdated by the change"
        );
        publisher.offer(&url(), 1, 1, found("late"));
        assert_eq!(taken(&publisher), None);
        publisher.offer(&url(), 2, 3, found("newer"));
        publisher.offer(&url(), 2, 2, found("older"));
        assert_eq!(taken(&publisher), Some((Some(2), vec!["newer".into()])));
        publisher.offer(&url(), 2, 4, found("newer"));
        assert_eq!(taken(&publisher), None, "the same again is not sent again");
    }

    #[test]
    fn a_closed_document_is_emptied_and_a_result_from_before_does_not_return() {
        let publisher = Publisher::default();
        publisher.changed(&url(), 1, 1);
        publisher.offer(&url(), 1, 1, found("one"));
        assert!(taken(&publisher).is_some());
        publisher.closed(&url());
        publisher.offer(&url(), 1, 2, found("ghost"));
        assert_eq!(taken(&publisher), Some((Some(1), vec![])));
        assert!(publisher.desk().slots.is_empty());
        publisher.closed(&url());
        assert_eq!(taken(&publisher), None);
        publisher.changed(&url(), 1, 5);
        publisher.offer(&url(), 1, 4, found("of the text before closing"));
        assert_eq!(taken(&publisher), None);
    }

    #[test]
    fn an_unknown_text_has_no_findings_until_it_is_known_again() {
        let publisher = Publisher::default();
        publisher.changed(&url(), 1, 1);
        publisher.lost(&url(), 2);
        publisher.offer(&url(), 1, 2, found("guess"));
        assert_eq!(taken(&publisher), None);
        publisher.changed(&url(), 3, 3);
        publisher.offer(&url(), 3, 3, found("known"));
        assert_eq!(taken(&publisher), Some((Some(3), vec!["known".into()])));
        publisher.stop();
        publisher.offer(&url(), 3, 9, found("after shutdown"));
        assert_eq!(taken(&publisher), None);
    }
}
