//! The pump on the way in: frames to messages, and only good ones on to tower-lsp.

use std::io;

use serde_json::Value;
use tokio::{
    io::{AsyncRead, AsyncWriteExt, DuplexStream},
    sync::mpsc,
};
use tower_lsp::jsonrpc::{Error, ErrorCode, Id};

use super::{
    Client, Stopped,
    client::OwnNotes,
    frame::{Fault, Frame, Frames, framed},
    message::{Call, Message, Refused},
    record::{Record, Side},
};

/// Params on their way round the loop, each under its call's ticket.
pub(super) type Parcels = mpsc::Receiver<(u64, Value)>;

/// Parcels under way at a time: what bounds the memory of messages that were read but not acted on.
const MOST_PARCELS: usize = 16;

/// The way into tower-lsp's loop: heads through it, params round it.
pub(super) struct Feed {
    heads: DuplexStream,
    parcels: mpsc::Sender<(u64, Value)>,
    last: u64,
}

impl Feed {
    pub(super) fn new(heads: DuplexStream) -> (Self, Parcels) {
        let (parcels, taken) = mpsc::channel(MOST_PARCELS);
        (
            Self {
                heads,
                parcels,
                last: 0,
            },
            taken,
        )
    }

    /// The parcel goes first, so that it is there when its head arrives.
    async fn pass(&mut self, mut call: Call) -> io::Result<()> {
        self.last += 1;
        let parcel = (self.last, std::mem::take(&mut call.params));
        self.parcels
            .send(parcel)
            .await
            .map_err(|_| io::ErrorKind::BrokenPipe)?;
        self.heads.write_all(&framed(&call.head(self.last))).await
    }
}

/// Reads until `exit`, the end of the input, or an error of it; closes `feed` on return.
pub(super) async fn run<R: AsyncRead + Unpin>(
    input: R,
    mut feed: Feed,
    client: Client,
    mut own: OwnNotes,
    record: Option<Record>,
) -> Stopped {
    let mut frames = Frames::new(input);
    loop {
        let frame = tokio::select! {
            frame = frames.next() => frame,
            Some((method, params)) = own.recv() => {
                let method = method.to_owned();
                if feed.pass(Call { id: None, method, params }).await.is_err() {
                    return Stopped::Failed;
                }
                continue;
            }
        };
        let message = match frame {
            Ok(Some(Frame::Body(body))) => {
                if let Some(record) = &record {
                    record.note(Side::Client, &body);
                }
                Message::read(&body)
            }
            Ok(Some(Frame::Bad(fault))) => Err(Refused::from(&fault)),
            Ok(None) => return Stopped::EndOfInput,
            Err(error) => {
                tracing::error!("the input cannot be read: {error}");
                return Stopped::EndOfInput;
            }
        };
        match message {
            Ok(Message::Answer { id, result }) => client.answered(&id, result),
            Ok(Message::Call(call)) if call.id.is_none() && call.method == "exit" => {
                return Stopped::Exit;
            }
            Ok(Message::Call(call)) => {
                if feed.pass(call).await.is_err() {
                    return Stopped::Failed;
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
