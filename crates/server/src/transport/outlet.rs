//! The pump on the way out: the one writer of the output.
//!
//! Three things meet here, each in its order: the client's queue, the answers of tower-lsp's loop,
//! the publisher's lists. A frame is never written while another is half written.

use std::io;

use serde_json::json;
use tokio::{
    io::{AsyncWrite, AsyncWriteExt, DuplexStream},
    sync::mpsc,
};

use super::{
    frame::{Frame, Frames, framed},
    publisher::Publisher,
    record::{Record, Side},
};

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
            findings = publisher.next() => {
                let method = "textDocument/publishDiagnostics";
                json!({"jsonrpc": "2.0", "method": method, "params": findings}).to_string().into_bytes()
            }
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
