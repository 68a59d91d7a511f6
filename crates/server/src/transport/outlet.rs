//! The pump on the way out: the one writer of the output.
//!
//! Three things meet here, each in its order: the client's queue, the answers of tower-lsp's loop,
//! the publisher's lists. A frame is never written while another is half written.

use std::io;

use serde::Serialize;
use tokio::{
    io::{AsyncWrite, AsyncWriteExt, DuplexStream},
    sync::mpsc,
};
use tower_lsp::lsp_types::PublishDiagnosticsParams;

use super::{
    frame::{Frame, Frames, framed},
    publisher::Publisher,
    record::{Record, Side},
};

/// A list of findings on its way. Written without a tree of values between: it is the largest message
/// and the one that follows every keystroke.
#[derive(Serialize)]
struct Push<'a> {
    jsonrpc: &'static str,
    method: &'static str,
    params: &'a PublishDiagnosticsParams,
}

impl<'a> Push<'a> {
    const fn of(params: &'a PublishDiagnosticsParams) -> Self {
        Self {
            jsonrpc: "2.0",
            method: "textDocument/publishDiagnostics",
            params,
        }
    }
}

/// Writes until the loop's answers end, then what is left in the queue.
pub(super) async fn run<W: AsyncWrite + Unpin>(
    mut output: W,
    answers: DuplexStream,
    mut mail: mpsc::Receiver<Vec<u8>>,
    publisher: Publisher,
    record: Option<Record>,
) -> io::Result<()> {
    let mut output = Outlet {
        output: &mut output,
        record,
    };
    let mut answers = Frames::new(answers);
    loop {
        let body = tokio::select! {
            biased;
            Some(body) = mail.recv() => body,
            frame = answers.next() => match frame? {
                Some(Frame::Body(body)) => body,
                Some(Frame::Bad(fault)) => {
                    tracing::error!("an answer was lost: {fault}");
                    continue;
                }
                None => break,
            },
            findings = publisher.next() => match serde_json::to_vec(&Push::of(&findings)) {
                Ok(body) => body,
                Err(error) => {
                    tracing::error!("findings were lost: {error}");
                    continue;
                }
            },
        };
        output.write(&body).await?;
    }
    while let Ok(body) = mail.try_recv() {
        output.write(&body).await?;
    }
    Ok(())
}

struct Outlet<'a, W> {
    output: &'a mut W,
    record: Option<Record>,
}

impl<W: AsyncWrite + Unpin> Outlet<'_, W> {
    async fn write(&mut self, body: &[u8]) -> io::Result<()> {
        if let Some(record) = &self.record {
            record.note(Side::Server, body);
        }
        self.output.write_all(&framed(body)).await?;
        self.output.flush().await
    }
}
