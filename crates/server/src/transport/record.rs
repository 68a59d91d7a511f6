//! The record of a conversation: every message of both sides, one line of JSON each, with its time.
//!
//! Written as it happens, so that it is whole where the process ends badly; bounded, so that a
//! forgotten one fills no disk.

use std::{
    fs::{File, OpenOptions},
    io::{self, Write},
    path::Path,
    sync::{Arc, Mutex, PoisonError},
    time::Instant,
};

use serde::{Deserialize, de::IgnoredAny};
use serde_json::Value;

/// The most bytes that a record holds; the conversation goes on without it.
pub const MOST_RECORDED: u64 = 64 << 20;

/// Who sent a message.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// The editor.
    Client,
    /// This server.
    Server,
}

/// One line of a record.
#[derive(Debug, Deserialize)]
pub struct Line {
    /// Milliseconds since the record began.
    pub at: u64,
    /// Who sent it.
    pub from: Side,
    /// The message as it was sent.
    pub message: Value,
}

/// Reads a record.
///
/// # Errors
/// The number of the first line that is none of a record, counted from 1.
pub fn read(text: &str) -> Result<Vec<Line>, usize> {
    let lines = text.lines().enumerate();
    let line = |(index, line)| serde_json::from_str(line).map_err(|_| index + 1);
    lines.map(line).collect()
}

/// A record that is being written. Cheap to clone.
#[derive(Clone, Debug)]
pub struct Record(Arc<Mutex<Open>>);

#[derive(Debug)]
struct Open {
    file: Option<File>,
    left: u64,
    begun: Instant,
}

impl Record {
    /// Begins a record in a new file of at most so many bytes.
    ///
    /// # Errors
    /// The file is there already, or cannot be made.
    pub fn create(path: &Path, most: u64) -> io::Result<Self> {
        let file = OpenOptions::new().write(true).create_new(true).open(path)?;
        Ok(Self(Arc::new(Mutex::new(Open {
            file: Some(file),
            left: most,
            begun: Instant::now(),
        }))))
    }

    /// Writes a message down. A body that is no JSON is no message and is left out.
    pub(super) fn note(&self, from: Side, body: &[u8]) {
        let is_message = serde_json::from_slice::<IgnoredAny>(body).is_ok();
        let Some(message) = std::str::from_utf8(body).ok().filter(|_| is_message) else {
            return;
        };
        let side = match from {
            Side::Client => "client",
            Side::Server => "server",
        };
        let mut open = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let at = open.begun.elapsed().as_millis();
        let mut line = format!(r#"{{"at":{at},"from":"{side}","message":{message}}}"#);
        // Between its members a message may hold line ends, which a line cannot; inside strings they
        // are escaped.
        line.retain(|letter| letter != '\n' && letter != '\r');
        line.push('\n');
        open.write(line.as_bytes());
    }
}

impl Open {
    fn write(&mut self, line: &[u8]) {
        let Some(file) = &mut self.file else { return };
        let fits = line.len() as u64 <= self.left;
        let written = if fits { file.write_all(line) } else { Ok(()) };
        self.left = self.left.saturating_sub(line.len() as u64);
        if let Err(error) = written {
            tracing::error!("the record ends here: {error}");
            self.file = None;
        } else if !fits {
            tracing::warn!("the record is full and ends here");
            self.file = None;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_is_lines_is_bounded_and_overwrites_nothing() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("session.jsonl");
        let record = Record::create(&path, 150).expect("made");
        record.note(Side::Client, b"{\"id\":\r\n1}");
        record.note(Side::Client, b"{no message");
        record.note(Side::Server, br#"{"id":1,"result":"\n"}"#);
        record.note(Side::Server, &[b'1'; 200]);
        record.note(Side::Server, b"2");
        let text = std::fs::read_to_string(&path).expect("read");
        let lines: Vec<Line> = text
            .lines()
            .map(|line| serde_json::from_str(line).expect("a line"))
            .collect();
        assert_eq!(lines.len(), 2, "{text}");
        assert_eq!(lines[0].from, Side::Client);
        assert_eq!(lines[1].message["result"], "\n");
        let again = Record::create(&path, 100).expect_err("it is there");
        assert_eq!(again.kind(), io::ErrorKind::AlreadyExists);
    }
}
