//! A strict client: it takes nothing that the protocol does not say, and forgets nothing.
//!
//! Needs std and `serde_json` alone and talks over any pair of pipes, so that tests of the transport in
//! one process and tests of the program over its standard streams use this same file. On drop it
//! fails when a message was left unread, a request unanswered, or the server not shut down.
#![allow(dead_code, reason = "each test takes what it needs")]
#![allow(
    clippy::needless_pass_by_value,
    reason = "params are written in place, as `json!` gives them"
)]

use std::{
    collections::{BTreeSet, VecDeque},
    io::{BufRead, BufReader, Read, Write},
    sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel},
    thread,
    time::{Duration, Instant},
};

use serde_json::{Value, json};

/// A value, or what went wrong.
pub(crate) type Said<T> = Result<T, String>;

enum Event {
    Message(Value),
    Broken(String),
    End,
}

/// The client.
pub(crate) struct Client {
    writer: Option<Box<dyn Write + Send>>,
    inbox: Receiver<Event>,
    unread: VecDeque<Value>,
    owed: BTreeSet<i64>,
    last: i64,
    ended: bool,
    may_leave: BTreeSet<&'static str>,
    shut_down: bool,
    failed: bool,
    /// How long anything is waited for: generous, since it is never what is measured.
    pub(crate) limit: Duration,
}

impl Client {
    /// A client that reads the server's output and writes its input.
    pub(crate) fn over(
        reader: impl Read + Send + 'static,
        writer: impl Write + Send + 'static,
    ) -> Self {
        let (post, inbox) = channel();
        thread::spawn(move || read_all(BufReader::new(reader), &post));
        Self {
            writer: Some(Box::new(writer)),
            inbox,
            unread: VecDeque::new(),
            owed: BTreeSet::new(),
            last: 0,
            ended: false,
            may_leave: BTreeSet::new(),
            shut_down: false,
            failed: false,
            limit: Duration::from_mins(1),
        }
    }

    /// Sends bytes as they are.
    pub(crate) fn send_bytes(&mut self, bytes: &[u8]) -> Said<()> {
        let writer = self.writer.as_mut().ok_or("the input is closed")?;
        let sent = writer.write_all(bytes).and_then(|()| writer.flush());
        self.note(sent.map_err(|error| format!("the server does not read: {error}")))
    }

    /// Sends a message in a frame.
    pub(crate) fn send(&mut self, message: &Value) -> Said<()> {
        self.send_bytes(&frame(&message.to_string()))
    }

    /// Sends a notification; `null` params are none.
    pub(crate) fn notify(&mut self, method: &str, params: Value) -> Said<()> {
        self.send(&call(json!({"jsonrpc": "2.0", "method": method}), params))
    }

    /// Sends a request; its id. `null` params are none.
    pub(crate) fn request(&mut self, method: &str, params: Value) -> Said<i64> {
        self.last += 1;
        let id = self.last;
        self.owed.insert(id);
        self.send(&call(
            json!({"jsonrpc": "2.0", "id": id, "method": method}),
            params,
        ))?;
        Ok(id)
    }

    /// Sends a request whose params are `null`, as JSON-RPC does not have it and clients do.
    pub(crate) fn request_with_null(&mut self, method: &str) -> Said<i64> {
        self.last += 1;
        let id = self.last;
        self.owed.insert(id);
        self.send(&json!({"jsonrpc": "2.0", "id": id, "method": method, "params": null}))?;
        Ok(id)
    }

    /// Answers a request of the server's.
    pub(crate) fn reply(&mut self, request: &Value, result: Value) -> Said<()> {
        self.send(&json!({"jsonrpc": "2.0", "id": request["id"], "result": result}))
    }

    /// Waits for the answer to a request: the result, or the error as `Err` inside.
    pub(crate) fn answer(&mut self, id: i64) -> Said<Result<Value, Value>> {
        let message = self.wait(&format!("the answer to {id}"), |message| {
            message["id"] == json!(id) && message.get("method").is_none()
        })?;
        Ok(match message.get("error") {
            Some(error) => Err(error.clone()),
            None => Ok(message["result"].clone()),
        })
    }

    /// Asks and waits for a result.
    pub(crate) fn ask(&mut self, method: &str, params: Value) -> Said<Value> {
        let id = self.request(method, params)?;
        let answer = self.answer(id)?;
        self.note(answer.map_err(|error| format!("{method} was refused: {error}")))
    }

    /// Asks and waits for a refusal; its code.
    pub(crate) fn ask_in_vain(&mut self, method: &str, params: Value) -> Said<i64> {
        let id = self.request(method, params)?;
        self.refused(id)
    }

    /// Waits for the refusal of a request; its code.
    pub(crate) fn refused(&mut self, id: i64) -> Said<i64> {
        let answer = self.answer(id)?;
        let error = self.note(
            answer.map_or_else(Ok, |result| Err(format!("{id} was not refused: {result}"))),
        )?;
        error["code"]
            .as_i64()
            .ok_or_else(|| format!("a refusal without a code: {error}"))
    }

    /// Waits for a refusal of something that had no readable id; its code.
    pub(crate) fn refusal(&mut self) -> Said<i64> {
        let message = self.wait("a refusal", |message| {
            message["id"].is_null() && message.get("error").is_some()
        })?;
        message["error"]["code"]
            .as_i64()
            .ok_or_else(|| format!("a refusal without a code: {message}"))
    }

    /// Waits for a notification or request of the server's with this method: the whole message.
    pub(crate) fn incoming(&mut self, method: &str) -> Said<Value> {
        self.wait(method, |message| message["method"] == json!(method))
    }

    /// Opens the conversation; what the server can do.
    pub(crate) fn initialize(&mut self, params: Value) -> Said<Value> {
        let result = self.ask("initialize", params)?;
        self.notify("initialized", json!({}))?;
        Ok(result["capabilities"].clone())
    }

    /// Closes the conversation as the protocol says and waits for the end of the output.
    pub(crate) fn shut_down(&mut self) -> Said<()> {
        let result = self.ask("shutdown", Value::Null)?;
        let nothing = if result.is_null() {
            Ok(())
        } else {
            Err(format!("shutdown answered {result}"))
        };
        self.note(nothing)?;
        self.say_goodbye()
    }

    /// Sends `exit` and waits for the end of the output.
    pub(crate) fn say_goodbye(&mut self) -> Said<()> {
        self.notify("exit", Value::Null)?;
        self.shut_down = true;
        self.wait_for_end()
    }

    /// Waits until the server closes its output.
    pub(crate) fn wait_for_end(&mut self) -> Said<()> {
        let deadline = Instant::now() + self.limit;
        while !self.ended {
            self.receive("the end", deadline)?;
        }
        Ok(())
    }

    /// Closes the server's input.
    pub(crate) fn close_input(&mut self) {
        self.writer = None;
    }

    /// Takes back every demand that dropping makes: for a server that is meant to end badly.
    pub(crate) fn forgive(&mut self) {
        self.failed = true;
    }

    /// Messages of the server's with this method need not be read.
    pub(crate) fn may_leave(&mut self, method: &'static str) {
        self.may_leave.insert(method);
    }

    fn wait(&mut self, what: &str, fits: impl Fn(&Value) -> bool) -> Said<Value> {
        let deadline = Instant::now() + self.limit;
        loop {
            if let Some(at) = self.unread.iter().position(&fits) {
                return Ok(self.unread.remove(at).unwrap_or_default());
            }
            if self.ended {
                return self.note(Err(format!("{what} did not come before the end")));
            }
            self.receive(what, deadline)?;
        }
    }

    fn receive(&mut self, what: &str, deadline: Instant) -> Said<()> {
        let event = self
            .inbox
            .recv_timeout(deadline.saturating_duration_since(Instant::now()));
        let outcome = match event {
            Ok(Event::Message(message)) => self.take(message),
            Ok(Event::Broken(why)) => Err(why),
            Ok(Event::End) | Err(RecvTimeoutError::Disconnected) => {
                self.ended = true;
                Ok(())
            }
            Err(RecvTimeoutError::Timeout) => {
                Err(format!("{what} did not come within {:?}", self.limit))
            }
        };
        self.note(outcome)
    }

    fn take(&mut self, message: Value) -> Said<()> {
        let expected = message.get("method").is_some()
            || message["id"].is_null()
            || message["id"]
                .as_i64()
                .is_some_and(|id| self.owed.remove(&id));
        if !expected {
            return Err(format!("an answer that nobody asked for: {message}"));
        }
        self.unread.push_back(message);
        Ok(())
    }

    fn note<T>(&mut self, outcome: Said<T>) -> Said<T> {
        self.failed |= outcome.is_err();
        outcome
    }
}

impl Drop for Client {
    fn drop(&mut self) {
        if self.failed || thread::panicking() {
            return;
        }
        while let Ok(Event::Message(message)) = self.inbox.try_recv() {
            self.unread.push_back(message);
        }
        let may_leave = std::mem::take(&mut self.may_leave);
        self.unread.retain(|message| {
            !message["method"]
                .as_str()
                .is_some_and(|method| may_leave.contains(method))
        });
        assert!(self.unread.is_empty(), "left unread: {:#?}", self.unread);
        assert!(self.owed.is_empty(), "never answered: {:?}", self.owed);
        assert!(self.shut_down && self.ended, "the server was not shut down");
    }
}

fn call(mut message: Value, params: Value) -> Value {
    if !params.is_null() {
        message["params"] = params;
    }
    message
}

/// A body in its frame.
pub(crate) fn frame(body: &str) -> Vec<u8> {
    format!("Content-Length: {}\r\n\r\n{body}", body.len()).into_bytes()
}

fn read_all(mut reader: impl BufRead, post: &Sender<Event>) {
    loop {
        let event = read_one(&mut reader).unwrap_or_else(Event::Broken);
        let go_on = matches!(event, Event::Message(_));
        if post.send(event).is_err() || !go_on {
            return;
        }
    }
}

fn read_one(reader: &mut impl BufRead) -> Said<Event> {
    let mut line = String::new();
    if reader
        .read_line(&mut line)
        .map_err(|error| error.to_string())?
        == 0
    {
        return Ok(Event::End);
    }
    let length = line
        .strip_prefix("Content-Length: ")
        .and_then(|rest| rest.strip_suffix("\r\n"));
    let length = length
        .and_then(|length| length.parse().ok())
        .ok_or_else(|| format!("no header: {line:?}"))?;
    let mut body = vec![0; 2];
    reader
        .read_exact(&mut body)
        .map_err(|error| error.to_string())?;
    if body != b"\r\n" {
        return Err(format!("the headers do not end: {body:?}"));
    }
    body.resize(length, 0);
    reader
        .read_exact(&mut body)
        .map_err(|error| error.to_string())?;
    let message: Value = serde_json::from_slice(&body).map_err(|error| error.to_string())?;
    check_shape(&message)?;
    Ok(Event::Message(message))
}

fn check_shape(message: &Value) -> Said<()> {
    let has = |key| message.get(key).is_some();
    let kinds = [has("method"), has("result"), has("error")]
        .into_iter()
        .filter(|&has| has)
        .count();
    let answered = has("method") || has("id");
    if message["jsonrpc"] == json!("2.0") && kinds == 1 && answered {
        Ok(())
    } else {
        Err(format!("not a message: {message}"))
    }
}
