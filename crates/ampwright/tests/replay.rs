//! `serve --record` and `replay`: a session written down and had again.
#![allow(clippy::expect_used, reason = "a test that cannot begin has failed")]

mod support;

use std::{
    fs,
    io::{BufRead, BufReader, Read, Write},
    path::Path,
    process::Stdio,
};

use serde_json::{Value, json};
use support::{Folder, code, program, transcript};

const URL: &str = "untitled:teal.boat";

const TEAL: &str = "boat teal\n    system 12 V\nload lamp lighting 10 W\nrun lamp\n    hose +\n";

fn framed(message: &Value) -> Vec<u8> {
    let body = message.to_string();
    format!("Content-Length: {}\r\n\r\n{body}", body.len()).into_bytes()
}

fn read(output: &mut impl BufRead) -> Value {
    let mut line = String::new();
    output.read_line(&mut line).expect("a header");
    let length = line
        .trim()
        .strip_prefix("Content-Length: ")
        .expect("a length");
    let mut body = vec![0; length.parse::<usize>().expect("a number") + 2];
    output.read_exact(&mut body).expect("a body");
    serde_json::from_slice(&body).expect("a message")
}

/// A short session, recorded; every message of the server is awaited before the next of the editor.
fn record(folder: &Path, file: &str) {
    let mut child = program(folder)
        .args(["serve", "--record", file])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("it runs");
    let mut input = child.stdin.take().expect("an input");
    let mut output = BufReader::new(child.stdout.take().expect("an output"));
    let document = json!({"uri": URL, "languageId": "boat", "version": 1, "text": TEAL});
    let changed = json!({"textDocument": {"uri": URL, "version": 2}, "contentChanges": [{"text": TEAL.replace("hose", "house")}]});
    let at = json!({"textDocument": {"uri": URL}, "position": {"line": 3, "character": 5}});
    for (message, answered) in [
        (
            json!({"id": 1, "method": "initialize", "params": {"processId": 4_000_000, "capabilities": {}}}),
            true,
        ),
        (json!({"method": "initialized", "params": {}}), false),
        (
            json!({"method": "textDocument/didOpen", "params": {"textDocument": document}}),
            true,
        ),
        (
            json!({"method": "textDocument/didChange", "params": changed}),
            true,
        ),
        (
            json!({"id": "two", "method": "textDocument/definition", "params": at}),
            true,
        ),
        (json!({"id": 3, "method": "shutdown"}), true),
        (json!({"method": "exit"}), false),
    ] {
        let mut message = message;
        message["jsonrpc"] = json!("2.0");
        input.write_all(&framed(&message)).expect("it listens");
        if answered {
            read(&mut output);
        }
    }
    output.read_to_end(&mut Vec::new()).expect("the end");
    assert_eq!(code(&child.wait_with_output().expect("it ends")), 0);
}

#[test]
fn a_session_is_written_down_and_had_again() {
    let folder = Folder::new();
    let path = folder.path();
    record(&path, "session.jsonl");
    let text = fs::read_to_string(path.join("session.jsonl")).expect("a record");
    let lines: Vec<Value> = text
        .lines()
        .map(|line| serde_json::from_str(line).expect("JSON lines"))
        .collect();
    assert_eq!(lines.len(), 12, "{text}");
    assert!(
        lines
            .iter()
            .all(|line| line["at"].is_u64() && line["message"]["jsonrpc"] == "2.0")
    );
    let again = transcript(&path, &["replay", "session.jsonl"]);
    assert_eq!(
        again,
        "7 messages of the editor, 5 of the server: all as recorded\nexit 0\n"
    );
}

#[test]
fn what_differs_is_told_by_its_path() {
    let folder = Folder::new();
    let path = folder.path();
    record(&path, "session.jsonl");
    let text = fs::read_to_string(path.join("session.jsonl")).expect("a record");
    // As if the name had been another then.
    let other = text.replacen("called hose:", "called hoes:", 1);
    assert_ne!(other, text, "the finding names what it is about");
    fs::write(path.join("other.jsonl"), other).expect("written");
    let told = transcript(&path, &["replay", "other.jsonl"]);
    assert!(
        told.contains("textDocument/publishDiagnostics differs\n    /params/diagnostics/"),
        "{told}"
    );
    assert!(told.contains("/message: then \""), "{told}");
    assert!(told.ends_with("1 differs\nexit 1\n"), "{told}");
}

#[test]
fn nothing_is_overwritten_and_what_is_no_record_is_refused() {
    let folder = Folder::new();
    let path = folder.path();
    fs::write(path.join("plan.boat"), TEAL).expect("written");
    let told = transcript(&path, &["serve", "--record", "plan.boat"]);
    assert!(
        told.contains("plan.boat: the record cannot begin"),
        "{told}"
    );
    assert!(told.ends_with("exit 2\n"), "{told}");
    assert_eq!(
        fs::read_to_string(path.join("plan.boat")).expect("there"),
        TEAL
    );
    let told = transcript(&path, &["replay", "plan.boat"]);
    assert_eq!(
        told,
        "stderr: ampwright: plan.boat: line 1 is none of a record\nexit 2\n"
    );
}
