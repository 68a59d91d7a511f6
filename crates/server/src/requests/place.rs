//! From a request's position to a plan, a file of it and a byte; and back from bytes to positions.

use std::sync::Arc;

use ampwright_assist::FileRange;
use tower_lsp::{
    jsonrpc::Result,
    lsp_types::{Location, Range, TextDocumentPositionParams, Url},
};

use crate::{analysis::Study, plans::Computed, state::Snapshot, transport::CancelToken};

/// The study, and the address that a request is about.
pub(super) struct Asked {
    pub(super) study: Arc<Study>,
    url: Url,
}

impl Asked {
    /// The study of the snapshot, for a file that can be trusted.
    pub(super) fn about(snapshot: &Snapshot, url: &Url, cancel: &CancelToken) -> Result<Self> {
        snapshot.text(url)?;
        Ok(Self {
            study: snapshot.study(cancel)?,
            url: url.clone(),
        })
    }

    /// The same for a position, with the byte that it means.
    pub(super) fn at(
        snapshot: &Snapshot,
        at: &TextDocumentPositionParams,
        cancel: &CancelToken,
    ) -> Result<(Self, usize)> {
        let (_, byte) = snapshot.place(at)?;
        Ok((Self::about(snapshot, &at.text_document.uri, cancel)?, byte))
    }

    /// The first plan that the file belongs to. A part of several is answered for by the first.
    pub(super) fn plan(&self) -> Option<(&Computed, u32)> {
        self.study.plans_of(&self.url).next()
    }

    /// Every plan that the file belongs to.
    pub(super) fn plans(&self) -> impl Iterator<Item = (&Computed, u32)> {
        self.study.plans_of(&self.url)
    }

    /// The positions of a range of the asked file.
    pub(super) fn range(&self, bytes: std::ops::Range<usize>) -> Range {
        self.study.positions(&self.url, bytes).unwrap_or_default()
    }

    /// Where a range of a plan's file is.
    pub(super) fn location(&self, computed: &Computed, at: &FileRange) -> Option<Location> {
        let uri = computed.urls.get(at.file as usize)?.clone();
        let range = self.study.positions(&uri, at.range.clone())?;
        Some(Location { uri, range })
    }
}
