//! The language server: the only crate that knows the protocol.
//!
//! `transport` moves messages and knows no boats. `documents`, `workspace` and `files` keep the
//! texts, `positions` counts in them. `state` owns it all and gives each request a snapshot;
//! `analyst` computes beside it through the seam in `analysis`. `requests` has one file per group.
//!
//! The output is the protocol: nothing here prints, and what is logged goes through `tracing`.
#![deny(clippy::print_stdout)]

pub mod analysis;
mod analyst;
mod configured;
pub mod documents;
pub mod edits;
pub mod files;
pub mod log;
pub mod plans;
pub mod positions;
mod progress;
mod refresh;
mod requests;
pub mod settings;
pub mod state;
pub mod support;
pub mod transport;
pub mod workspace;

use std::{process::ExitCode, sync::Arc};

use tokio::io::{AsyncRead, AsyncWrite};

use analysis::Analyse;
use log::Log;
use state::State;
use transport::{Ended, Options, RecordedLine, Replayed};

/// Serves one client over these streams.
pub async fn serve<R, W>(input: R, output: W, options: Options, analyse: Arc<dyn Analyse>) -> Ended
where
    R: AsyncRead + Unpin + Send + 'static,
    W: AsyncWrite + Unpin + Send + 'static,
{
    serve_logging(input, output, options, analyse, Log::default()).await
}

async fn serve_logging<R, W>(
    input: R,
    output: W,
    options: Options,
    analyse: Arc<dyn Analyse>,
    log: Log,
) -> Ended
where
    R: AsyncRead + Unpin + Send + 'static,
    W: AsyncWrite + Unpin + Send + 'static,
{
    let desk = |client| State::new(client, analyse, log);
    transport::serve(input, output, options, desk).await
}

/// Serves one client over the standard streams, on a runtime of its own, and takes the log.
///
/// # Errors
/// The system gives no runtime.
pub fn serve_stdio(options: Options, analyse: Arc<dyn Analyse>) -> std::io::Result<ExitCode> {
    let log = Log::default();
    log.install();
    // One thread reads and writes; whatever computes has a thread of its own.
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()?;
    let (input, output) = (tokio::io::stdin(), tokio::io::stdout());
    let ended = runtime.block_on(serve_logging(input, output, options, analyse, log));
    // A read of the standard input cannot be called back; it ends with the process.
    runtime.shutdown_background();
    Ok(ExitCode::from(ended.code()))
}

/// Has a recorded conversation again with a server in this process.
///
/// # Errors
/// The system gives no runtime, or the server ends before the record does.
pub fn replay(lines: &[RecordedLine], analyse: Arc<dyn Analyse>) -> std::io::Result<Replayed> {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()?;
    let replayed = runtime.block_on(transport::replay(lines, |(input, output)| {
        serve(input, output, Options::default(), analyse)
    }));
    runtime.shutdown_background();
    replayed
}
