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
pub mod documents;
pub mod edits;
pub mod files;
pub mod plans;
pub mod positions;
mod requests;
pub mod state;
pub mod support;
pub mod transport;
pub mod workspace;

use std::{process::ExitCode, sync::Arc};

use tokio::io::{AsyncRead, AsyncWrite};

use analysis::Analyse;
use state::State;
use transport::{Ended, Options};

/// Serves one client over these streams.
pub async fn serve<R, W>(input: R, output: W, options: Options, analyse: Arc<dyn Analyse>) -> Ended
where
    R: AsyncRead + Unpin + Send + 'static,
    W: AsyncWrite + Unpin + Send + 'static,
{
    transport::serve(input, output, options, |client| State::new(client, analyse)).await
}

/// Serves one client over the standard streams, on a runtime of its own.
///
/// # Errors
/// The system gives no runtime.
pub fn serve_stdio(analyse: Arc<dyn Analyse>) -> std::io::Result<ExitCode> {
    // One thread reads and writes; whatever computes has a thread of its own.
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()?;
    let ended = runtime.block_on(serve(
        tokio::io::stdin(),
        tokio::io::stdout(),
        Options::default(),
        analyse,
    ));
    // A read of the standard input cannot be called back; it ends with the process.
    runtime.shutdown_background();
    Ok(ExitCode::from(ended.code()))
}
