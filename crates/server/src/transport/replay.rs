//! A recorded conversation, had again: what the client said is sent to a server, and what the server
//! says now is held against what it said then.
//!
//! A message of the client's is sent when everything that the server had said before it has come, so
//! that the same text meets the same computation. What depends on who is quicker is no difference:
//! lists of versions that were skipped then, requests that were answered before they were cancelled,
//! the log.

use std::{collections::BTreeMap, collections::BTreeSet, io, time::Duration};

use serde_json::{Value, json};
use tokio::{
    io::{AsyncWriteExt, DuplexStream, ReadHalf, WriteHalf, duplex, split},
    sync::mpsc::{UnboundedReceiver, unbounded_channel},
    time::timeout,
};

use super::{
    frame::{Frame, Frames, framed},
    record::{Line, Side},
};

/// The streams that a replayed server reads and writes.
pub type Streams = (ReadHalf<DuplexStream>, WriteHalf<DuplexStream>);

/// What a replay came to.
#[derive(Debug, Default)]
pub struct Replayed {
    /// Messages of the client that were sent.
    pub sent: usize,
    /// Messages of the server that were held against the record.
    pub compared: usize,
    /// What differs.
    pub differences: Vec<Difference>,
    /// What the server said in place of each of its lines, to write the record anew.
    pub now: Vec<Option<Value>>,
}

/// A message that is not as it was recorded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// The line of the record, counted from 1.
    pub line: usize,
    /// Which message, and whether it differs, is missing or comes besides.
    pub what: String,
    /// What differs in it, each with its path in the message.
    pub places: Vec<String>,
}

/// Differences in one message that are told; the rest are as many again.
const MOST_TOLD: usize = 10;

/// How long a message of the server's is waited for: generous, it is never what is measured. Once one
/// did not come, others may not either.
const PATIENCE: Duration = Duration::from_secs(20);
const LITTLE_PATIENCE: Duration = Duration::from_secs(1);

/// Plays the lines to a server that `serve` starts.
///
/// # Errors
/// The server ends before the record does.
pub async fn replay<F>(lines: &[Line], serve: impl FnOnce(Streams) -> F) -> io::Result<Replayed>
where
    F: Future + Send + 'static,
    F::Output: Send + 'static,
{
    let (near, far) = duplex(1 << 20);
    let (reader, writer) = split(near);
    let served = tokio::spawn(serve(split(far)));
    let (post, inbox) = unbounded_channel();
    let reading = tokio::spawn(async move {
        let mut frames = Frames::new(reader);
        while let Ok(Some(Frame::Body(body))) = frames.next().await {
            let message = serde_json::from_slice(&body).unwrap_or_default();
            if post.send(message).is_err() {
                break;
            }
        }
    });
    let mut player = Player {
        writer,
        inbox,
        heard: Vec::new(),
        ids: BTreeMap::new(),
        asked: BTreeMap::new(),
        cancelled: BTreeSet::new(),
        patience: PATIENCE,
        replayed: Replayed::default(),
    };
    for (index, line) in lines.iter().enumerate() {
        player.play(index + 1, line).await?;
    }
    player.rest(lines.len());
    reading.abort();
    served.abort();
    Ok(player.replayed)
}

struct Player {
    writer: WriteHalf<DuplexStream>,
    inbox: UnboundedReceiver<Value>,
    /// What the server said and nothing in the record has been found for yet.
    heard: Vec<Value>,
    /// The ids of the server's own requests: then and now.
    ids: BTreeMap<String, Value>,
    /// What the client asked, by its ids.
    asked: BTreeMap<String, String>,
    cancelled: BTreeSet<String>,
    patience: Duration,
    replayed: Replayed,
}

impl Player {
    async fn play(&mut self, number: usize, line: &Line) -> io::Result<()> {
        match line.from {
            Side::Client => self.say(&line.message).await,
            Side::Server => {
                self.hear(number, &line.message).await;
                Ok(())
            }
        }
    }

    async fn say(&mut self, recorded: &Value) -> io::Result<()> {
        let mut message = recorded.clone();
        match (method(recorded), recorded.get("id")) {
            ("", Some(id)) => message["id"] = self.ids.get(&id.to_string()).unwrap_or(id).clone(),
            ("$/cancelRequest", None) => {
                self.cancelled.insert(recorded["params"]["id"].to_string());
            }
            // The client of then is not the one that must live now.
            ("initialize", Some(_)) => message["params"]["processId"] = Value::Null,
            _ => {}
        }
        if let Some(id) = recorded.get("id").filter(|_| !method(recorded).is_empty()) {
            self.asked
                .insert(id.to_string(), method(recorded).to_owned());
        }
        self.replayed.sent += 1;
        let body = message.to_string();
        self.writer.write_all(&framed(body.as_bytes())).await
    }

    async fn hear(&mut self, number: usize, recorded: &Value) {
        if method(recorded) == "window/logMessage" {
            return self.replayed.now.push(None);
        }
        let found = self.wait_for(recorded).await;
        let Some(now) = found else {
            self.replayed.now.push(None);
            let what = self.name(recorded);
            self.patience = LITTLE_PATIENCE;
            return self.differ(number, format!("{what} does not come"), Vec::new());
        };
        self.replayed.compared += 1;
        if let Some(id) = recorded.get("id").filter(|_| !method(recorded).is_empty()) {
            self.ids.insert(id.to_string(), now["id"].clone());
        }
        if !self.may_differ(recorded, &now) {
            let mut told = Vec::new();
            for member in ["params", "result", "error"] {
                let mut path = format!("/{member}");
                compare(&recorded[member], &now[member], &mut path, &mut told);
            }
            if !told.is_empty() {
                let what = self.name(recorded);
                self.differ(number, format!("{what} differs"), told);
            }
        }
        self.replayed.now.push(Some(now));
    }

    async fn wait_for(&mut self, recorded: &Value) -> Option<Value> {
        loop {
            if let Some(at) = self.heard.iter().position(|heard| is_same(recorded, heard)) {
                return Some(self.heard.remove(at));
            }
            let next = timeout(self.patience, self.inbox.recv()).await;
            self.heard.push(next.ok()??);
        }
    }

    /// What a newer server can do, and what only the clock decides.
    fn may_differ(&self, recorded: &Value, now: &Value) -> bool {
        let Some(id) = recorded.get("id").filter(|_| method(recorded).is_empty()) else {
            return false;
        };
        let id = id.to_string();
        let begins = self
            .asked
            .get(&id)
            .is_some_and(|asked| asked == "initialize");
        let dropped =
            |message: &Value| matches!(message["error"]["code"].as_i64(), Some(-32802..=-32800));
        begins || (self.cancelled.contains(&id) && (dropped(recorded) || dropped(now)))
    }

    fn name(&self, recorded: &Value) -> String {
        match (method(recorded), recorded.get("id")) {
            ("", Some(id)) => {
                let asked = self.asked.get(&id.to_string()).map_or("?", |asked| asked);
                format!("the answer to {asked}")
            }
            (method, _) => method.to_owned(),
        }
    }

    fn differ(&mut self, line: usize, what: String, places: Vec<String>) {
        self.replayed
            .differences
            .push(Difference { line, what, places });
    }

    /// What is shown now and was not then.
    fn rest(&mut self, lines: usize) {
        while let Ok(message) = self.inbox.try_recv() {
            self.heard.push(message);
        }
        let heard = std::mem::take(&mut self.heard);
        for message in heard
            .iter()
            .filter(|heard| method(heard) == "window/showMessage")
        {
            let said = &message["params"]["message"];
            self.differ(
                lines,
                format!("window/showMessage comes besides: {said}"),
                Vec::new(),
            );
        }
    }
}

fn method(message: &Value) -> &str {
    message["method"].as_str().unwrap_or_default()
}

/// Whether a message stands for a recorded one, whatever it says.
fn is_same(recorded: &Value, heard: &Value) -> bool {
    let alike = |pointer| recorded.pointer(pointer) == heard.pointer(pointer);
    match method(recorded) {
        "" => method(heard).is_empty() && alike("/id"),
        "textDocument/publishDiagnostics" => {
            alike("/method") && alike("/params/uri") && alike("/params/version")
        }
        "$/progress" => alike("/method") && alike("/params/token"),
        _ => alike("/method"),
    }
}

/// Tells where two values differ, by the path of the difference.
fn compare(then: &Value, now: &Value, path: &mut String, told: &mut Vec<String>) {
    if then == now || told.len() >= MOST_TOLD {
        return;
    }
    let before = path.len();
    match (then, now) {
        (Value::Object(a), Value::Object(b)) => {
            let keys: BTreeSet<&String> = a.keys().chain(b.keys()).collect();
            for key in keys {
                path.push('/');
                path.push_str(key);
                compare(&then[key], &now[key], path, told);
                path.truncate(before);
            }
        }
        (Value::Array(a), Value::Array(b)) if a.len() == b.len() => {
            for (index, (a, b)) in a.iter().zip(b).enumerate() {
                path.push('/');
                path.push_str(&index.to_string());
                compare(a, b, path, told);
                path.truncate(before);
            }
        }
        _ => told.push(format!("{path}: then {}, now {}", short(then), short(now))),
    }
}

fn short(value: &Value) -> String {
    const MOST: usize = 200;
    let text = value.to_string();
    match text.char_indices().nth(MOST) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text,
    }
}

impl Replayed {
    /// The lines with what the server says now in its places; those that did not come are left out.
    pub fn rewritten(&self, lines: &[Line]) -> Vec<Value> {
        let mut now = self.now.iter();
        let mut rewritten = Vec::new();
        for line in lines {
            let (side, message) = match line.from {
                Side::Client => ("client", Some(line.message.clone())),
                Side::Server => ("server", now.next().cloned().flatten()),
            };
            let Some(mut message) = message else { continue };
            if let (Side::Server, Some(id)) = (line.from, line.message.get("id")) {
                message["id"] = id.clone();
            }
            rewritten.push(json!({"at": line.at, "from": side, "message": message}));
        }
        rewritten
    }
}
