//! A message: its JSON checked, its shape made certain.
//!
//! tower-lsp ends at the first message it cannot read, so it is given only the head of a call, written
//! anew. The params, checked here, go round it as they are: no text is copied and parsed twice more.

use serde_json::{Map, Value, json};
use tower_lsp::jsonrpc::{Error, ErrorCode, Id};

/// What the client sent.
#[derive(Debug, PartialEq)]
pub(crate) enum Message {
    Call(Call),
    /// The answer to a request of the server's.
    Answer {
        id: Id,
        result: Result<Value, Error>,
    },
}

/// A request (with `id`) or a notification.
#[derive(Debug, PartialEq)]
pub(crate) struct Call {
    pub(crate) id: Option<Id>,
    pub(crate) method: String,
    /// `null` where there are none.
    pub(crate) params: Value,
}

impl Call {
    /// The call as tower-lsp reads it, with a number in place of its params.
    pub(crate) fn head(&self, ticket: u64) -> Vec<u8> {
        let mut head = json!({"jsonrpc": "2.0", "method": self.method, "params": [ticket]});
        if let Some(id) = &self.id {
            head["id"] = json!(id);
        }
        head.to_string().into_bytes()
    }
}

/// A message that cannot be taken, and whether JSON-RPC has it answered.
#[derive(Debug, PartialEq)]
pub(crate) struct Refused {
    pub(crate) id: Id,
    pub(crate) code: ErrorCode,
    pub(crate) why: String,
}

impl Message {
    /// Reads a frame's body.
    pub(crate) fn read(body: &[u8]) -> Result<Self, Refused> {
        let text =
            std::str::from_utf8(body).map_err(|error| unreadable(format!("not UTF-8: {error}")))?;
        let value: Value =
            serde_json::from_str(text).map_err(|error| unreadable(error.to_string()))?;
        match value {
            Value::Object(members) => from_members(members),
            _ => Err(invalid(Id::Null, "a message is one JSON object")),
        }
    }
}

fn from_members(mut members: Map<String, Value>) -> Result<Message, Refused> {
    let id = members.remove("id").map(to_id).transpose()?;
    let known = id.clone().unwrap_or(Id::Null);
    if members.get("jsonrpc").and_then(Value::as_str) != Some("2.0") {
        return Err(invalid(known, "\"jsonrpc\" is not \"2.0\""));
    }
    match (members.remove("method"), id) {
        (Some(Value::String(method)), id) => {
            let params = members.remove("params").unwrap_or_default();
            Ok(Message::Call(Call { id, method, params }))
        }
        (Some(_), _) => Err(invalid(known, "\"method\" is not a string")),
        (None, Some(id)) => to_answer(id, members),
        (None, None) => Err(invalid(Id::Null, "neither \"method\" nor \"id\"")),
    }
}

fn to_answer(id: Id, mut members: Map<String, Value>) -> Result<Message, Refused> {
    if let Some(error) = members.remove("error").filter(|error| !error.is_null()) {
        return Ok(Message::Answer {
            id,
            result: Err(to_error(&error)),
        });
    }
    match members.remove("result") {
        Some(result) => Ok(Message::Answer {
            id,
            result: Ok(result),
        }),
        None => Err(invalid(id, "neither \"method\", \"result\" nor \"error\"")),
    }
}

fn to_error(error: &Value) -> Error {
    let code = error
        .get("code")
        .and_then(Value::as_i64)
        .map_or(ErrorCode::InternalError, ErrorCode::from);
    let message = error
        .get("message")
        .and_then(Value::as_str)
        .unwrap_or_default()
        .to_owned();
    Error {
        code,
        message: message.into(),
        data: error.get("data").cloned(),
    }
}

fn to_id(value: Value) -> Result<Id, Refused> {
    match value {
        Value::Null => Ok(Id::Null),
        Value::String(id) => Ok(Id::String(id)),
        value => value
            .as_i64()
            .map(Id::Number)
            .ok_or_else(|| invalid(Id::Null, "an id that is no whole number")),
    }
}

fn unreadable(why: String) -> Refused {
    Refused {
        id: Id::Null,
        code: ErrorCode::ParseError,
        why,
    }
}

fn invalid(id: Id, why: &str) -> Refused {
    Refused {
        id,
        code: ErrorCode::InvalidRequest,
        why: why.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tower_lsp::jsonrpc::Request;

    fn read(text: &str) -> Message {
        Message::read(text.as_bytes()).expect(text)
    }

    fn code(body: &[u8]) -> i64 {
        Message::read(body).expect_err("refused").code.code()
    }

    #[test]
    fn null_params_are_no_params_and_the_last_of_two_keys_counts() {
        let text =
            r#"{"jsonrpc":"2.0","jsonrpc":"2.0","id":1,"id":2,"method":"shutdown","params":null}"#;
        let call = Call {
            id: Some(Id::Number(2)),
            method: "shutdown".into(),
            params: Value::Null,
        };
        assert_eq!(read(text), Message::Call(call));
    }

    #[test]
    fn a_head_is_what_tower_lsp_reads() {
        for (text, id) in [
            (
                r#"{"jsonrpc":"2.0","id":-4,"method":"a/\u2028","params":[1]}"#,
                Some(Id::Number(-4)),
            ),
            (
                r#"{"jsonrpc":"2.0","id":null,"method":"a/\u2028"}"#,
                Some(Id::Null),
            ),
            (r#"{"jsonrpc":"2.0","method":"a/\u2028","result":1}"#, None),
        ] {
            let Message::Call(call) = read(text) else {
                panic!("{text}")
            };
            let request: Request = serde_json::from_slice(&call.head(7)).expect("a request");
            assert_eq!(
                request.into_parts(),
                ("a/\u{2028}".into(), id, Some(json!([7])))
            );
        }
    }

    #[test]
    fn answers_of_any_shape_become_the_one_shape() {
        let answer =
            read(r#"{"jsonrpc":"2.0","id":"a","result":null,"error":{"code":-1.5,"extra":1}}"#);
        let error = Error {
            code: ErrorCode::InternalError,
            message: "".into(),
            data: None,
        };
        assert_eq!(
            answer,
            Message::Answer {
                id: Id::String("a".into()),
                result: Err(error)
            }
        );
        let answer = read(r#"{"jsonrpc":"2.0","id":3,"result":null,"error":null}"#);
        assert_eq!(
            answer,
            Message::Answer {
                id: Id::Number(3),
                result: Ok(Value::Null)
            }
        );
    }

    #[test]
    fn what_json_rpc_calls_invalid_is_told_apart_from_what_is_no_json() {
        for body in [
            &b""[..],
            b"{",
            b"\xff\xfe",
            br#"{"a":"\ud800"}"#,
            br#"{"a":1e999}"#,
            &[b'['; 5000],
        ] {
            assert_eq!(code(body), -32700, "{body:?}");
        }
        for body in [
            &b"[]"[..],
            b"1",
            b"{}",
            br#"{"jsonrpc":"1.0","method":"a"}"#,
            br#"{"jsonrpc":"2.0","method":7}"#,
            br#"{"jsonrpc":"2.0","id":1.5,"method":"a"}"#,
            br#"{"jsonrpc":"2.0","id":18446744073709551615,"method":"a"}"#,
            br#"{"jsonrpc":"2.0","id":1}"#,
        ] {
            assert_eq!(code(body), -32600, "{}", String::from_utf8_lossy(body));
        }
    }
}
