//! Settings as they are written, the same value from JSON and from TOML.

use std::ops::Range;

use serde_json::Value;
use toml::{
    Spanned,
    de::{DeTable, DeValue},
};

/// A value.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Given {
    Nothing,
    Switch(bool),
    Word(String),
    Table(Vec<Entry>),
    /// A number, a list, a date: nothing that a setting is.
    Other,
}

/// A key and its value, with their bytes; none in JSON.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Entry {
    pub(super) key: String,
    pub(super) key_at: Range<usize>,
    pub(super) value: Given,
    pub(super) at: Range<usize>,
}

pub(super) fn from_json(value: &Value) -> Given {
    match value {
        Value::Null => Given::Nothing,
        Value::Bool(on) => Given::Switch(*on),
        Value::String(word) => Given::Word(word.clone()),
        Value::Object(members) => Given::Table(members.iter().map(json_entry).collect()),
        Value::Number(_) | Value::Array(_) => Given::Other,
    }
}

fn json_entry((key, value): (&String, &Value)) -> Entry {
    Entry {
        key: key.clone(),
        key_at: 0..0,
        value: from_json(value),
        at: 0..0,
    }
}

/// The entries of a text, and where and why it cannot be read.
pub(super) fn from_toml(text: &str) -> (Vec<Entry>, Vec<(Range<usize>, String)>) {
    let (table, errors) = DeTable::parse_recoverable(text);
    let flaw = |error: &toml::de::Error| {
        let at = error.span().unwrap_or(0..0);
        (at, format!("this cannot be read: {}", error.message()))
    };
    (entries(table.get_ref()), errors.iter().map(flaw).collect())
}

fn entries(table: &DeTable<'_>) -> Vec<Entry> {
    let entry = |(key, value): (&Spanned<_>, &Spanned<DeValue<'_>>)| Entry {
        key: std::borrow::Cow::<'_, str>::to_string(key.get_ref()),
        key_at: key.span(),
        value: from_value(value.get_ref()),
        at: value.span(),
    };
    table.iter().map(entry).collect()
}

fn from_value(value: &DeValue<'_>) -> Given {
    match value {
        DeValue::Boolean(on) => Given::Switch(*on),
        DeValue::String(word) => Given::Word(word.to_string()),
        DeValue::Table(table) => Given::Table(entries(table)),
        _ => Given::Other,
    }
}
