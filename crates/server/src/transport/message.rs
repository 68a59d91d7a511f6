//! A message: its JSON checked, its shape made certain.
//!
//! tower-lsp ends at the first message it cannot read, so what is handed on to it is written anew
//! from a value that is known to be read: one key once, `params` absent rather than `null`, errors
//! in the one form it takes.

use serde_json::{Map, Value, json};
use tower_lsp::jsonrpc::{Error, ErrorCode, Id};

/// What the client sent.
#[derive(Debug, PartialEq)]
pub(crate) enum Message {
    /// A request (with `id`) or a notification.
    Call {
        id: Option<Id>,
        method: String,
        params: Option<Value>,
    },
    /// The answer to a request of the server's.
    Answer {
        id: Id,
        result: Result<Value, Error>,
    },
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

    /// The message as tower-lsp reads it.
    pub(crate) fn write(self) -> Vec<u8> {
        let mut members = Map::from_iter([("jsonrpc".to_owned(), json!("2.0"))]);
        let mut put = |key: &str, value: Value| members.insert(key.to_owned(), value);
        match self {
            Self::Call { id, method, params } => {
                put("method", method.into());
                id.map(|id| put("id", json!(id)));
                params.map(|params| put("params", params));
            }
            Self::Answer { id, result } => {
                put("id", json!(id));
                match result {
                    Ok(result) => put("result", result),
                    Err(error) => put("error", json!(error)),
                };
            }
        }
        Value::Object(members).to_string().into_bytes()
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
            let params = members.remove("params").filter(|params| !params.is_null());
            Ok(Message::Call { id, method, params })
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

    fn call(text: &str) -> Message {
        Message::read(text.as_bytes()).expect(text)
    }

    fn code(body: &[u8]) -> i64 {
        Message::read(body).expect_err("refused").code.code()
    }

    #[test]
    fn null_params_are_no_params_and_the_last_of_two_keys_counts() {
        let message = call(
            r#"{"jsonrpc":"2.0","jsonrpc":"2.0","id":1,"id":2,"method":"shutdown","params":null}"#,
        );
        assert_eq!(
            message,
            Message::Call {
                id: Some(Id::Number(2)),
                method: "shutdown".into(),
                params: None
            }
        );
        assert_eq!(
            message.write(),
            br#"{"id":2,"jsonrpc":"2.0","method":"shutdown"}"#
        );
    }

    #[test]
    fn answers_of_any_shape_become_the_one_shape() {
        let answer =
            call(r#"{"jsonrpc":"2.0","id":"a","result":null,"error":{"code":-1.5,"extra":1}}"#);
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
        let answer = call(r#"{"jsonrpc":"2.0","id":3,"result":null,"error":null}"#);
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

    #[test]
    fn what_is_written_is_read_again_alike() {
        for text in [
            r#"{"jsonrpc":"2.0","id":-4,"method":"a/b","params":[1,2.5,"\u2028"]}"#,
            r#"{"jsonrpc":"2.0","method":"a"}"#,
            r#"{"jsonrpc":"2.0","id":1,"error":{"code":-32800,"message":"m","data":[1]}}"#,
        ] {
            let again = Message::read(&call(text).write()).expect("read again");
            assert_eq!(again, call(text));
        }
    }
}
