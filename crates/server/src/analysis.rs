//! The seam to the computation: files in, a study out.
//!
//! Everything the server knows about boats comes through [`Analyse`]. It is called on a worker
//! thread, never on the one that reads messages, with a token that is cancelled as soon as a newer
//! text has come. A request that needs the study of its own snapshot gets it by
//! [`Snapshot::study`](crate::state::Snapshot::study): computed once, whoever asks first.

use std::{collections::BTreeMap, fmt, sync::Arc};

use tower_lsp::lsp_types::{Diagnostic, Url};

use crate::{
    files::Files,
    plans::{Computed, ReadFile},
    transport::CancelToken,
};

/// What was computed from the files at one moment.
#[derive(Clone, Debug, Default)]
pub struct Study {
    /// The findings, by the file that they are shown in.
    pub findings: BTreeMap<Url, Vec<Diagnostic>>,
    /// The plans, in the order of their roots' addresses.
    pub plans: Vec<Computed>,
    /// Every file that was read for them.
    pub files: BTreeMap<Url, ReadFile>,
    /// The texts that all this was computed from.
    pub of: Files,
}

/// The computation.
pub trait Analyse: Send + Sync + 'static {
    /// Computes the study of these files; `None` once `cancel` is cancelled. `before` is the last
    /// study that was finished, from which unchanged parts may be taken over.
    fn analyse(
        &self,
        files: &Files,
        before: Option<&Arc<Study>>,
        cancel: &CancelToken,
    ) -> Option<Study>;
}

impl fmt::Debug for dyn Analyse {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Analyse")
    }
}
