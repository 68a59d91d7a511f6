//! A conversation with the program over its standard streams, with the moment of each arrival.
//!
//! The clock stops when the last byte of a message is there; what it says is looked at afterwards,
//! so that the client's own work is no part of any figure.

use std::{
    io::{BufRead, BufReader, Read, Write},
    path::Path,
    process::{Child, ChildStdin, ChildStdout, Command, Stdio},
    time::Instant,
};

use serde::Deserialize;
use serde_json::{Value, json};

/// A value, or what went wrong.
pub(crate) type Said<T> = Result<T, String>;

/// The program at work, and what was sent to it.
pub(crate) struct Session {
    child: Child,
    input: ChildStdin,
    output: BufReader<ChildStdout>,
    last: i64,
    /// What the server said it can do.
    pub(crate) capabilities: Value,
}

/// A message as it arrived.
pub(crate) struct Arrival {
    at: Instant,
    body: Vec<u8>,
}

/// What tells messages apart: the rest is not even read.
#[derive(Deserialize)]
struct Head {
    id: Option<Value>,
    method: Option<String>,
    params: Option<About>,
    error: Option<Value>,
}

#[derive(Deserialize)]
struct About {
    uri: Option<String>,
    version: Option<i32>,
}

impl Session {
    /// Starts the program with this folder as its workspace.
    pub(crate) fn start(program: &Path, folder: Option<&Path>) -> Said<Self> {
        let mut child = Command::new(program)
            .arg("serve")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .map_err(|error| format!("{}: {error}", program.display()))?;
        let (Some(input), Some(output)) = (child.stdin.take(), child.stdout.take()) else {
            return Err("the program has no streams".into());
        };
        let mut session = Self {
            child,
            input,
            output: BufReader::with_capacity(1 << 20, output),
            last: 0,
            capabilities: Value::Null,
        };
        let folders = folder.map(|folder| json!([{"uri": address(folder), "name": "boats"}]));
        let able = json!({
            "general": {"positionEncodings": ["utf-16"]},
            "textDocument": {
                "completion": {"completionItem": {"snippetSupport": true}},
                "publishDiagnostics": {"versionSupport": true, "relatedInformation": true},
                "semanticTokens": {"requests": {"full": {"delta": true}}, "formats": ["relative"]},
            },
        });
        let params = json!({"processId": null, "capabilities": able, "workspaceFolders": folders});
        let (result, _) = session.ask("initialize", &params)?;
        session.capabilities = result["capabilities"].clone();
        session.notify("initialized", &json!({}))?;
        Ok(session)
    }

    /// The number of the program's process.
    pub(crate) fn process(&self) -> u32 {
        self.child.id()
    }

    /// Sends a notification.
    pub(crate) fn notify(&mut self, method: &str, params: &Value) -> Said<()> {
        self.send(&json!({"jsonrpc": "2.0", "method": method, "params": params}))
    }

    /// Sends a request and does not wait; its id.
    pub(crate) fn request(&mut self, method: &str, params: &Value) -> Said<i64> {
        self.last += 1;
        let id = self.last;
        self.send(&json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params}))?;
        Ok(id)
    }

    /// Asks and waits: the result, and when it was there.
    pub(crate) fn ask(&mut self, method: &str, params: &Value) -> Said<(Value, Instant)> {
        let id = self.request(method, params)?;
        self.answer(id)
    }

    /// Waits for an answer; findings that come before it are passed over.
    pub(crate) fn answer(&mut self, id: i64) -> Said<(Value, Instant)> {
        let arrival = self.until(|head| head.method.is_none() && head.id == Some(json!(id)))?;
        let mut message: Value =
            serde_json::from_slice(&arrival.body).map_err(|error| error.to_string())?;
        Ok((message["result"].take(), arrival.at))
    }

    /// Waits for the findings of a version: when they were there.
    pub(crate) fn findings(&mut self, uri: &str, version: i32) -> Said<Instant> {
        Ok(self.arrived_findings(uri, version)?.at)
    }

    /// The same, and the findings.
    pub(crate) fn read_findings(&mut self, uri: &str, version: i32) -> Said<Vec<Value>> {
        let arrival = self.arrived_findings(uri, version)?;
        let mut message: Value =
            serde_json::from_slice(&arrival.body).map_err(|error| error.to_string())?;
        match message["params"]["diagnostics"].take() {
            Value::Array(findings) => Ok(findings),
            other => Err(format!("findings that are no list: {other}")),
        }
    }

    fn arrived_findings(&mut self, uri: &str, version: i32) -> Said<Arrival> {
        self.until(|head| {
            head.method.as_deref() == Some("textDocument/publishDiagnostics")
                && head.params.as_ref().is_some_and(|about| {
                    about.uri.as_deref() == Some(uri) && about.version == Some(version)
                })
        })
    }

    /// Reads on to a message; a refusal of anything is an end.
    fn until(&mut self, fits: impl Fn(&Head) -> bool) -> Said<Arrival> {
        loop {
            let arrival = self.read()?;
            let head: Head =
                serde_json::from_slice(&arrival.body).map_err(|error| error.to_string())?;
            if let Some(error) = head.error {
                return Err(format!("the server refused: {error}"));
            }
            if fits(&head) {
                return Ok(arrival);
            }
        }
    }

    fn read(&mut self) -> Said<Arrival> {
        let mut length = None;
        loop {
            let mut line = String::new();
            let read = self.output.read_line(&mut line);
            if read.map_err(|error| error.to_string())? == 0 {
                return Err("the program has ended".into());
            }
            if line == "\r\n" {
                break;
            }
            length = line
                .strip_prefix("Content-Length: ")
                .and_then(|length| length.trim_end().parse().ok());
        }
        let mut body = vec![0; length.ok_or("a message without a length")?];
        self.output
            .read_exact(&mut body)
            .map_err(|error| error.to_string())?;
        Ok(Arrival {
            at: Instant::now(),
            body,
        })
    }

    fn send(&mut self, message: &Value) -> Said<()> {
        let body = message.to_string();
        let frame = format!("Content-Length: {}\r\n\r\n{body}", body.len());
        let sent = self.input.write_all(frame.as_bytes());
        sent.map_err(|error| format!("the program does not read: {error}"))
    }

    /// Leaves as the protocol says.
    pub(crate) fn end(mut self) -> Said<()> {
        self.ask("shutdown", &Value::Null)?;
        self.notify("exit", &Value::Null)?;
        let ended = self.child.wait().map_err(|error| error.to_string())?;
        if ended.success() {
            Ok(())
        } else {
            Err(format!("the program ended with {ended}"))
        }
    }
}

/// The address of a path.
pub(crate) fn address(path: &Path) -> String {
    format!("file://{}", path.display())
}
