//! `serve`: an editor's server over the standard streams.

use std::{process::ExitCode, sync::Arc};

use ampwright_server::plans::Plans;
use anyhow::Context;

/// Serves until the editor leaves.
pub(crate) fn run() -> anyhow::Result<ExitCode> {
    ampwright_server::serve_stdio(Arc::new(Plans)).context("the server could not start")
}
