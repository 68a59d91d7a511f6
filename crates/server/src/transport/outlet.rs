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
};

/// Writes until the loop's answers end, then what is left in the queue.
pub(super) async fn run<W: AsyncWrite + Unpin>(
    mut output: W,
    answers: DuplexStream,
    mut mail: mpsc::Receiver<Vec<u8>>,
    publisher: Publisher,
) -> io::Result<()> {
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
        write(&mut output, &body).await?;
    }
    while let Ok(body) = mail.try_recv() {
        write(&mut output, &body).await?;
    }
    Ok(())
}

async fn write<W: AsyncWrite + Unpin>(output: &mut W, body: &[u8]) -> io::Result<()> {
    output.write_all(&framed(body)).await?;
    output.flush().await
}
