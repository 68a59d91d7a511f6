//! `serve`: an editor's server over the standard streams.

use std::{process::ExitCode, sync::Arc};

use ampwright_server::{
    plans::Plans,
    transport::{MOST_RECORDED, Options, Record},
};
use anyhow::Context;

use crate::cli::ServeArgs;

/// Serves until the editor leaves.
pub(crate) fn run(args: &ServeArgs) -> anyhow::Result<ExitCode> {
    let record = |path| {
        Record::create(path, MOST_RECORDED)
            .with_context(|| format!("{}: the record cannot begin", path.display()))
    };
    let options = Options {
        record: args.record.as_deref().map(record).transpose()?,
        ..Options::default()
    };
    let served = ampwright_server::serve_stdio(options, Arc::new(Plans));
    served.context("the server could not start")
}
