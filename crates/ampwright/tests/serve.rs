//! `serve`: an editor's server behind the command that editors are set up with.
#![allow(clippy::expect_used, reason = "a test that cannot begin has failed")]

mod support;

use std::{
    io::{Read, Write},
    process::Stdio,
};

use support::{Folder, code, program};

fn framed(message: &serde_json::Value) -> Vec<u8> {
    let body = message.to_string();
    format!("Content-Length: {}\r\n\r\n{body}", body.len()).into_bytes()
}

/// Sends these messages and gives everything that came back, with the exit code.
fn session(args: &[&str], messages: &[serde_json::Value]) -> (String, i32) {
    let folder = Folder::new();
    let mut child = program(&folder.path())
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("it runs");
    let mut input = child.stdin.take().expect("an input");
    for message in messages {
        input.write_all(&framed(message)).expect("it listens");
    }
    let mut answers = String::new();
    let mut output = child.stdout.take().expect("an output");
    output.read_to_string(&mut answers).expect("text");
    // The input stays open until here: the server leaves because it was told to.
    drop(input);
    (answers, code(&child.wait_with_output().expect("it ends")))
}

#[test]
fn an_editor_comes_and_goes() {
    let hello = serde_json::json!({ "jsonrpc": "2.0", "id": 1, "method": "initialize", "params": { "capabilities": {} } });
    let bye = serde_json::json!({ "jsonrpc": "2.0", "id": 2, "method": "shutdown" });
    let exit = serde_json::json!({ "jsonrpc": "2.0", "method": "exit" });
    for args in [&["serve"][..], &["serve", "--stdio"]] {
        let (answers, code) = session(args, &[hello.clone(), bye.clone(), exit.clone()]);
        assert!(answers.starts_with("Content-Length: "), "{answers}");
        assert!(answers.contains("\"capabilities\""), "{answers}");
        assert_eq!(code, 0, "told to leave in due form");
    }
    let (_, code) = session(&["serve"], &[exit]);
    assert_eq!(code, 1, "told to leave without a shutdown");
}
