//! The pump on the way in: frames to messages, and only good ones on to tower-lsp.

use tokio::io::{AsyncRead, AsyncWriteExt, DuplexStream};
use tower_lsp::jsonrpc::{Error, ErrorCode, Id};

use super::{
    Client, Stopped,
    frame::{Fault, Frame, Frames, framed},
    message::{Message, Refused},
};

/// Reads until `exit`, the end of the input, or an error of it; closes `feed` on return.
pub(super) async fn run<R: AsyncRead + Unpin>(
    input: R,
    mut feed: DuplexStream,
    client: Client,
) -> Stopped {
    let mut frames = Frames::new(input);
    loop {
        let message = match frames.next().await {
            Ok(Some(Frame::Body(body))) => Message::read(&body),
            Ok(Some(Frame::Bad(fault))) => Err(Refused::from(&fault)),
            Ok(None) => return Stopped::EndOfInput,
            Err(error) => {
                tracing::error!("the input cannot be read: {error}");
                return Stopped::EndOfInput;
            }
        };
        match message {
            Ok(Message::Answer { id, result }) => client.answered(&id, result),
            Ok(Message::Call {
                id: None, method, ..
            }) if method == "exit" => return Stopped::Exit,
            Ok(call) => {
                if feed.write_all(&framed(&call.write())).await.is_err() {
                    return Stopped::EndOfInput;
                }
            }
            Err(refused) => refuse(&client, refused),
        }
    }
}

impl From<&Fault> for Refused {
    fn from(fault: &Fault) -> Self {
        let code = match fault {
            Fault::TooLarge(_) => ErrorCode::InvalidRequest,
            _ => ErrorCode::ParseError,
        };
        Self {
            id: Id::Null,
            code,
            why: fault.to_string(),
        }
    }
}

fn refuse(client: &Client, Refused { id, code, why }: Refused) {
    tracing::warn!("a message is refused: {why}");
    client.answer(
        id,
        Err(Error {
            message: why.into(),
            ..Error::new(code)
        }),
    );
}
