//! The traps of tower-lsp, each as a conversation with a server.
//!
//! Every conversation is held twice: with the test desk behind the transport, where it must go
//! well, and with the same desk on tower-lsp alone, where it must not: so each one is known to be
//! able to fail, and a later tower-lsp that needs the transport no more would be noticed.

mod support;

use std::process::{Command, Stdio};

use serde_json::{Value, json};
use support::{
    Kind, Talk,
    client::{Said, frame},
    hardened::MOST_PENDING,
};

/// Holds one conversation. Tower-lsp alone need not end well: it is caught at the trap or not at all.
fn hold(kind: Kind, talk_about: impl Fn(&mut Talk) -> Said<()>) -> Said<()> {
    let mut talk = Talk::start(kind);
    let mut outcome = talk_about(&mut talk);
    if kind == Kind::Hardened && talk.is_open() {
        outcome = outcome.and_then(|()| close(&mut talk));
    }
    if kind == Kind::Plain || outcome.is_err() {
        talk.client.forgive();
    }
    outcome
}

fn open(talk: &mut Talk) -> Said<()> {
    talk.client
        .initialize(json!({"capabilities": {}, "processId": null}))
        .map(drop)
}

fn ping(talk: &mut Talk) -> Said<()> {
    same(talk.client.ask("test/ping", Value::Null)?, json!("pong"))
}

fn close(talk: &mut Talk) -> Said<()> {
    talk.client.shut_down()?;
    same(talk.code()?, 0)
}

#[allow(
    clippy::needless_pass_by_value,
    reason = "what is compared is made in place"
)]
fn same<T: PartialEq + std::fmt::Debug>(found: T, expected: T) -> Said<()> {
    if found == expected {
        Ok(())
    } else {
        Err(format!("{found:?} instead of {expected:?}"))
    }
}

fn edits_stay_in_order_under_load(talk: &mut Talk) -> Said<()> {
    open(talk)?;
    let client = &mut talk.client;
    let waiting = client.request("test/await", Value::Null)?;
    let mut expected = String::new();
    for version in 1..=400 {
        let text = format!("{version} ");
        client.notify(
            "textDocument/didChange",
            json!({"textDocument": {"uri": "file:///a", "version": version}, "contentChanges": [{"text": text}]}),
        )?;
        expected += &text;
    }
    let read = client.ask("test/read", Value::Null)?;
    same(read.as_str(), Some(expected.as_str()))?;
    let question = client.incoming("test/question")?;
    client.reply(&question, json!("answer"))?;
    same(client.answer(waiting)?, Ok(json!("answer")))
}

fn replies_come_through_a_flood(talk: &mut Talk) -> Said<()> {
    open(talk)?;
    let client = &mut talk.client;
    let waiting = (0..4)
        .map(|_| client.request("test/await", Value::Null))
        .collect::<Said<Vec<_>>>()?;
    let questions = waiting
        .iter()
        .map(|_| client.incoming("test/question"))
        .collect::<Said<Vec<_>>>()?;
    for _ in 0..500 {
        client.notify("test/nothing", json!({}))?;
    }
    let pings = (0..40)
        .map(|_| client.request("test/ping", Value::Null))
        .collect::<Said<Vec<_>>>()?;
    for question in &questions {
        client.reply(question, json!("answer"))?;
    }
    for id in waiting {
        same(client.answer(id)?, Ok(json!("answer")))?;
    }
    for id in pings {
        same(client.answer(id)?, Ok(json!("pong")))?;
    }
    Ok(())
}

fn exit_ends_it_with_the_input_open(talk: &mut Talk) -> Said<()> {
    open(talk)?;
    close(talk)
}

fn exit_without_shutdown_ends_it_with_another_code(talk: &mut Talk) -> Said<()> {
    open(talk)?;
    talk.client.notify("exit", Value::Null)?;
    same(talk.code()?, 1)
}

fn end_of_input_ends_it_while_a_handler_waits(talk: &mut Talk) -> Said<()> {
    open(talk)?;
    talk.client.request("test/await", Value::Null)?;
    talk.client.incoming("test/question")?;
    talk.client.close_input();
    same(talk.code()?, 1)
}

fn the_end_of_the_parent_ends_it(talk: &mut Talk) -> Said<()> {
    let mut parent = Command::new("sleep")
        .arg("600")
        .stdin(Stdio::null())
        .spawn()
        .map_err(|error| error.to_string())?;
    let begun = talk
        .client
        .initialize(json!({"capabilities": {}, "processId": parent.id()}));
    let served = begun.and_then(|_| ping(talk));
    parent
        .kill()
        .and_then(|()| parent.wait())
        .map_err(|error| error.to_string())?;
    served?;
    same(talk.code()?, 1)
}

fn a_panic_is_an_answer(talk: &mut Talk) -> Said<()> {
    open(talk)?;
    same(talk.client.ask_in_vain("test/panic", Value::Null)?, -32603)?;
    ping(talk)?;
    Ok(())
}

fn a_panic_in_a_notification_is_survived(talk: &mut Talk) -> Said<()> {
    open(talk)?;
    talk.client.notify("test/panicQuietly", Value::Null)?;
    ping(talk)
}

fn a_blocking_handler_stalls_nobody(talk: &mut Talk) -> Said<()> {
    open(talk)?;
    let blocked = talk.client.request("test/block", Value::Null)?;
    ping(talk)?;
    talk.client.notify("test/release", Value::Null)?;
    same(talk.client.answer(blocked)?, Ok(json!("released")))?;
    Ok(())
}

fn a_request_is_cancelled_while_all_places_are_taken(talk: &mut Talk) -> Said<()> {
    open(talk)?;
    let client = &mut talk.client;
    let waiting = (0..20)
        .map(|_| client.request("test/await", Value::Null))
        .collect::<Said<Vec<_>>>()?;
    for id in waiting {
        client.notify("$/cancelRequest", json!({"id": id}))?;
        same(client.refused(id)?, -32800)?;
    }
    // Those that had begun have asked.
    talk.client.may_leave("test/question");
    ping(talk)
}

fn too_many_requests_are_refused_not_kept(talk: &mut Talk) -> Said<()> {
    open(talk)?;
    let client = &mut talk.client;
    let blocked = (0..MOST_PENDING)
        .map(|_| client.request("test/block", Value::Null))
        .collect::<Said<Vec<_>>>()?;
    for _ in 0..20 {
        same(client.ask_in_vain("test/ping", Value::Null)?, -32802)?;
    }
    client.notify("test/release", Value::Null)?;
    for id in blocked {
        same(client.answer(id)?, Ok(json!("released")))?;
    }
    ping(talk)?;
    Ok(())
}

fn a_reply_after_the_wait_was_given_up_harms_nobody(talk: &mut Talk) -> Said<()> {
    open(talk)?;
    let client = &mut talk.client;
    same(client.ask("test/impatient", Value::Null)?, json!("late"))?;
    let question = client.incoming("test/question")?;
    client.reply(&question, json!("late"))?;
    ping(talk)?;
    Ok(())
}

fn null_params_are_none(talk: &mut Talk) -> Said<()> {
    open(talk)?;
    let client = &mut talk.client;
    let id = client.request("test/ping", Value::Null)?;
    same(client.answer(id)?, Ok(json!("pong")))?;
    let id = client.request_with_null("test/ping")?;
    same(client.answer(id)?, Ok(json!("pong")))
}

/// What is told to hold a conversation: a name, bytes, and the refusal that they get, if any.
type Oddity = (&'static str, Vec<u8>, Option<i64>);

const NOTHING: &str = r#"{"jsonrpc":"2.0","method":"test/nothing"}"#;

fn oddities() -> Vec<Oddity> {
    [
        odd_heads_that_count(),
        odd_heads_that_do_not(),
        odd_bodies(),
    ]
    .concat()
}

fn odd_heads_that_count() -> Vec<Oddity> {
    let length = NOTHING.len();
    let heads = [
        ("a lower-case header", format!("content-length: {length}")),
        ("an upper-case header", format!("CONTENT-LENGTH: {length}")),
        (
            "no charset",
            format!("Content-Length: {length}\r\nContent-Type: application/vscode-jsonrpc"),
        ),
        (
            "a quoted charset",
            format!("Content-Type: a/b; charset=\"UTF-8\"\r\nContent-Length: {length}"),
        ),
        (
            "a third header",
            format!("Content-Length: {length}\r\nX-One: 1\r\nX-Two: 2"),
        ),
    ];
    heads
        .map(|(name, head)| (name, under(&head), None))
        .to_vec()
}

fn odd_heads_that_do_not() -> Vec<Oddity> {
    let utf_16 = format!(
        "Content-Length: {}\r\nContent-Type: a/b; charset=utf-16",
        NOTHING.len()
    );
    let parse_error = Some(-32700);
    vec![
        ("another charset", under(&utf_16), parse_error),
        ("no length", under("X-One: 1"), parse_error),
        (
            "a length that is no number",
            under("Content-Length: many"),
            parse_error,
        ),
        (
            "a negative length",
            under("Content-Length: -1"),
            parse_error,
        ),
        (
            "an unbelievable length",
            under("Content-Length: 99999999999999999999999"),
            parse_error,
        ),
        ("a bare body", NOTHING.into(), parse_error),
        (
            "bytes that are no text",
            b"\x00\xff\xfe\r\n\r\n".to_vec(),
            parse_error,
        ),
    ]
}

fn under(head: &str) -> Vec<u8> {
    format!("{head}\r\n\r\n{NOTHING}").into_bytes()
}

fn odd_bodies() -> Vec<Oddity> {
    let deep = format!("{}{}", "[".repeat(100_000), "]".repeat(100_000));
    let bodies = [
        ("no JSON", "{\"jsonrpc\":", Some(-32700)),
        (
            "no message",
            r#"{"jsonrpc":"1.0","method":"a"}"#,
            Some(-32600),
        ),
        ("a batch", &format!("[{NOTHING}]"), Some(-32600)),
        (
            "half a pair",
            r#"{"jsonrpc":"2.0","method":"a","params":{"a":"\ud83d"}}"#,
            Some(-32700),
        ),
        (
            "too large a number",
            r#"{"jsonrpc":"2.0","method":"a","params":[1e999]}"#,
            Some(-32700),
        ),
        ("too deep a nest", &deep, Some(-32700)),
        (
            "a key twice",
            r#"{"jsonrpc":"2.0","method":"a","method":"test/nothing"}"#,
            None,
        ),
        (
            "a long error",
            r#"{"jsonrpc":"2.0","id":99,"error":{"code":1,"message":"m","a":1}}"#,
            None,
        ),
        (
            "a short error",
            r#"{"jsonrpc":"2.0","id":99,"error":{}}"#,
            None,
        ),
    ];
    let no_text = (
        "no text",
        b"Content-Length: 2\r\n\r\n\xff\xfe".to_vec(),
        Some(-32700),
    );
    bodies
        .map(|(name, body, refusal)| (name, frame(body), refusal))
        .into_iter()
        .chain([no_text])
        .collect()
}

fn odd_bytes_are_survived(talk: &mut Talk, bytes: &[u8], refusal: Option<i64>) -> Said<()> {
    open(talk)?;
    talk.client.send_bytes(bytes)?;
    ping(talk)?;
    if let Some(code) = refusal {
        same(talk.client.refusal()?, code)?;
    }
    Ok(())
}

macro_rules! traps {
    ($($name:ident),* $(,)?) => {
        mod hardened {
            $(#[test] fn $name() { super::hold(super::Kind::Hardened, super::$name).unwrap(); })*
        }
        mod plain {
            $(#[test] fn $name() {
                let outcome = super::hold(super::Kind::Plain, super::$name);
                assert!(outcome.is_err(), "tower-lsp alone does this too: the transport need not");
            })*
        }
    };
}

traps! {
    edits_stay_in_order_under_load,
    replies_come_through_a_flood,
    exit_ends_it_with_the_input_open,
    exit_without_shutdown_ends_it_with_another_code,
    end_of_input_ends_it_while_a_handler_waits,
    the_end_of_the_parent_ends_it,
    a_panic_is_an_answer,
    a_panic_in_a_notification_is_survived,
    a_blocking_handler_stalls_nobody,
    a_request_is_cancelled_while_all_places_are_taken,
    too_many_requests_are_refused_not_kept,
    a_reply_after_the_wait_was_given_up_harms_nobody,
    null_params_are_none,
}

#[test]
fn hardened_survives_every_oddity() {
    for (name, bytes, refusal) in oddities() {
        hold(Kind::Hardened, |talk| {
            odd_bytes_are_survived(talk, &bytes, refusal)
        })
        .unwrap_or_else(|error| panic!("{name}: {error}"));
    }
}

#[test]
fn plain_survives_no_oddity() {
    let threads: Vec<_> = oddities()
        .into_iter()
        .map(|(name, bytes, refusal)| {
            std::thread::spawn(move || {
                (
                    name,
                    hold(Kind::Plain, |talk| {
                        odd_bytes_are_survived(talk, &bytes, refusal)
                    }),
                )
            })
        })
        .collect();
    for thread in threads {
        let (name, outcome) = thread.join().expect("no panic");
        assert!(outcome.is_err(), "{name}: tower-lsp alone survives it too");
    }
}

#[test]
fn a_closed_output_ends_it() {
    let mut talk = Talk::over(|input, output| {
        drop(output);
        let (closed, _) = tokio::io::duplex(1);
        support::hardened::serve(input, closed)
    });
    talk.client.forgive();
    talk.client.request("initialize", json!({})).unwrap();
    assert_eq!(talk.code(), Ok(1));
}
