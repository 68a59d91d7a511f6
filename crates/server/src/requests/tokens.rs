//! Semantic tokens: of a file, of what has changed in it since the last answer, of some lines.
//!
//! The types are the protocol's own, which every theme colours; what only a boat has is said by
//! modifiers: the role of a part and the side of a conductor.

use std::{
    collections::BTreeMap,
    hash::{DefaultHasher, Hash, Hasher},
    sync::{Mutex, PoisonError},
};

use ampwright_assist::tokens::{self, Role, Side, Token, What};
use serde_json::{Value, json};
use tower_lsp::{
    jsonrpc::Result,
    lsp_types::{
        Position, SemanticToken, SemanticTokens, SemanticTokensDelta, SemanticTokensDeltaParams,
        SemanticTokensEdit, SemanticTokensFullDeltaResult, SemanticTokensParams,
        SemanticTokensRangeParams, SemanticTokensRangeResult, SemanticTokensResult, Url,
        request::{
            SemanticTokensFullDeltaRequest, SemanticTokensFullRequest, SemanticTokensRangeRequest,
        },
    },
};

use super::place::Asked;
use crate::{
    state::Snapshot,
    transport::{CancelToken, Table},
};

/// The legend's types, in the order of their numbers.
const TYPES: [&str; 18] = [
    "keyword",
    "property",
    "enumMember",
    "namespace",
    "type",
    "class",
    "macro",
    "method",
    "struct",
    "variable",
    "parameter",
    "function",
    "event",
    "number",
    "modifier",
    "operator",
    "string",
    "comment",
];

/// The legend's modifiers, in the order of their bits.
const MODIFIERS: [&str; 11] = [
    "declaration",
    "documentation",
    "positive",
    "negative",
    "source",
    "protection",
    "switching",
    "distribution",
    "load",
    "colour",
    "mark",
];

pub(super) fn register(table: Table<Snapshot>) -> Table<Snapshot> {
    let advertise = json!({"semanticTokensProvider": {
        "legend": {"tokenTypes": TYPES, "tokenModifiers": MODIFIERS},
        "full": {"delta": true},
        "range": true,
    }});
    table
        .on::<SemanticTokensFullRequest>(advertise, full)
        .on::<SemanticTokensFullDeltaRequest>(Value::Null, delta)
        .on::<SemanticTokensRangeRequest>(Value::Null, range)
}

fn full(
    snapshot: &Snapshot,
    params: &SemanticTokensParams,
    cancel: &CancelToken,
) -> Result<Option<SemanticTokensResult>> {
    let url = &params.text_document.uri;
    let data = data(snapshot, url, None, cancel)?;
    let data = data.map(|data| snapshot.painted.whole(url, data));
    Ok(data.map(SemanticTokensResult::Tokens))
}

fn delta(
    snapshot: &Snapshot,
    params: &SemanticTokensDeltaParams,
    cancel: &CancelToken,
) -> Result<Option<SemanticTokensFullDeltaResult>> {
    let url = &params.text_document.uri;
    let data = data(snapshot, url, None, cancel)?;
    Ok(data.map(|data| {
        snapshot
            .painted
            .since(url, &params.previous_result_id, data)
    }))
}

fn range(
    snapshot: &Snapshot,
    params: &SemanticTokensRangeParams,
    cancel: &CancelToken,
) -> Result<Option<SemanticTokensRangeResult>> {
    let url = &params.text_document.uri;
    let text = snapshot.text(url)?;
    let bytes = text.bytes(params.range, snapshot.files.encoding);
    let data = data(snapshot, url, Some(&bytes), cancel)?;
    let tokens = data.map(|data| SemanticTokens {
        result_id: None,
        data,
    });
    Ok(tokens.map(SemanticTokensRangeResult::Tokens))
}

fn data(
    snapshot: &Snapshot,
    url: &Url,
    within: Option<&std::ops::Range<usize>>,
    cancel: &CancelToken,
) -> Result<Option<Vec<SemanticToken>>> {
    let asked = Asked::about(snapshot, url, cancel)?;
    let Some((computed, file)) = asked.plan() else {
        return Ok(None);
    };
    let found = tokens::tokens(&computed.plan, file, within);
    let mut before = Position::default();
    let relative = found.into_iter().map(|token| {
        let range = asked.range(token.range.clone());
        let at = range.start;
        let delta_line = at.line - before.line;
        let delta_start = at.character - if delta_line == 0 { before.character } else { 0 };
        before = at;
        SemanticToken {
            delta_line,
            delta_start,
            length: range.end.character.saturating_sub(at.character),
            token_type: type_of(token.what),
            token_modifiers_bitset: modifiers_of(&token),
        }
    });
    Ok(Some(relative.collect()))
}

const fn type_of(what: What) -> u32 {
    match what {
        What::Keyword => 0,
        What::Fact => 1,
        What::Word | What::Colour => 2,
        What::Place => 3,
        What::Cable => 4,
        What::Part(Role::Source) => 5,
        What::Part(Role::Protection) => 6,
        What::Part(Role::Switching) => 7,
        What::Part(Role::Distribution) => 8,
        What::Part(Role::Load) => 9,
        What::Unknown => 10,
        What::Run => 11,
        What::Case => 12,
        What::Number => 13,
        What::Unit => 14,
        What::Terminal => 15,
        What::Mark | What::Text => 16,
        What::Comment | What::Heading => 17,
    }
}

fn modifiers_of(token: &Token) -> u32 {
    let of_what = match token.what {
        What::Heading => Some(1),
        What::Part(Role::Source) => Some(4),
        What::Part(Role::Protection) => Some(5),
        What::Part(Role::Switching) => Some(6),
        What::Part(Role::Distribution) => Some(7),
        What::Part(Role::Load) => Some(8),
        What::Colour => Some(9),
        What::Mark => Some(10),
        _ => None,
    };
    let of_side = token.side.map(|side| match side {
        Side::Positive => 2,
        Side::Negative => 3,
    });
    let bits = [token.defines.then_some(0), of_what, of_side];
    bits.into_iter()
        .flatten()
        .fold(0, |set, bit| set | 1 << bit)
}

/// What a client was given last of each document, line by line: enough to tell what has changed.
///
/// A token's numbers are relative to the one before, so a line with tokens reads the same wherever
/// it has moved to; sixteen bytes stand for it.
#[derive(Debug, Default)]
pub(crate) struct Painted(Mutex<Given>);

#[derive(Debug, Default)]
struct Given {
    count: u64,
    of: BTreeMap<Url, (u64, Vec<Line>)>,
}

/// The tokens of a line: how many, and a hash of their numbers.
type Line = (u32, u64);

/// Of more documents than this the one given longest ago is forgotten; its next answer is whole.
const MOST_DOCUMENTS: usize = 64;

impl Painted {
    /// Forgets a document.
    pub(crate) fn forget(&self, url: &Url) {
        self.given().of.remove(url);
    }

    fn given(&self) -> std::sync::MutexGuard<'_, Given> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// All of it.
    fn whole(&self, url: &Url, data: Vec<SemanticToken>) -> SemanticTokens {
        let (id, _) = self.given().replace(url, lines(&data));
        SemanticTokens {
            result_id: Some(id.to_string()),
            data,
        }
    }

    /// What differs from the answer of that name; all of it where that is not known any more.
    fn since(
        &self,
        url: &Url,
        previous: &str,
        data: Vec<SemanticToken>,
    ) -> SemanticTokensFullDeltaResult {
        let now = lines(&data);
        let (id, before) = self.given().replace(url, now.clone());
        let result_id = Some(id.to_string());
        match before.filter(|(id, _)| id.to_string() == previous) {
            Some((_, before)) => SemanticTokensFullDeltaResult::TokensDelta(SemanticTokensDelta {
                result_id,
                edits: edit(&before, &now, &data).into_iter().collect(),
            }),
            None => SemanticTokensFullDeltaResult::Tokens(SemanticTokens { result_id, data }),
        }
    }
}

impl Given {
    /// Keeps what is given now under a new name, and hands out what was given before.
    fn replace(&mut self, url: &Url, lines: Vec<Line>) -> (u64, Option<(u64, Vec<Line>)>) {
        self.count += 1;
        let before = self.of.insert(url.clone(), (self.count, lines));
        if self.of.len() > MOST_DOCUMENTS {
            let oldest = self.of.iter().min_by_key(|(_, (id, _))| *id);
            if let Some(oldest) = oldest.map(|(url, _)| url.clone()) {
                self.of.remove(&oldest);
            }
        }
        (self.count, before)
    }
}

fn lines(data: &[SemanticToken]) -> Vec<Line> {
    let of_line = |tokens: &[SemanticToken]| {
        let mut hasher = DefaultHasher::new();
        for token in tokens {
            (token.delta_line, token.delta_start, token.length).hash(&mut hasher);
            (token.token_type, token.token_modifiers_bitset).hash(&mut hasher);
        }
        (tokens.len() as u32, hasher.finish())
    };
    data.chunk_by(|_, next| next.delta_line == 0)
        .map(of_line)
        .collect()
}

/// The one edit that makes the old numbers the new ones; none where they are the same.
fn edit(before: &[Line], now: &[Line], data: &[SemanticToken]) -> Option<SemanticTokensEdit> {
    let same = |(a, b): &(&Line, &Line)| a == b;
    let front = before.iter().zip(now).take_while(same).count();
    let (old, new) = (&before[front..], &now[front..]);
    let back = old
        .iter()
        .rev()
        .zip(new.iter().rev())
        .take_while(same)
        .count();
    let (old, new) = (&old[..old.len() - back], &new[..new.len() - back]);
    if old.is_empty() && new.is_empty() {
        return None;
    }
    let count = |lines: &[Line]| lines.iter().map(|line| line.0).sum::<u32>();
    let start = count(&now[..front]);
    let fresh = data.get(start as usize..(start + count(new)) as usize);
    Some(SemanticTokensEdit {
        start: start * NUMBERS,
        delete_count: count(old) * NUMBERS,
        data: fresh.map(<[SemanticToken]>::to_vec),
    })
}

/// Numbers of one token.
const NUMBERS: u32 = 5;

#[cfg(test)]
mod tests {
    use super::*;

    fn token(delta_line: u32, delta_start: u32) -> SemanticToken {
        SemanticToken {
            delta_line,
            delta_start,
            length: 1,
            token_type: 0,
            token_modifiers_bitset: 0,
        }
    }

    fn url(name: usize) -> Url {
        Url::parse(&format!("untitled:{name}")).expect("a url")
    }

    fn made(before: &[SemanticToken], edits: &[SemanticTokensEdit]) -> Vec<SemanticToken> {
        let mut made = before.to_vec();
        for edit in edits {
            let start = (edit.start / NUMBERS) as usize;
            let end = start + (edit.delete_count / NUMBERS) as usize;
            made.splice(start..end, edit.data.clone().unwrap_or_default());
        }
        made
    }

    #[test]
    fn every_type_and_modifier_has_its_place_in_the_legend() {
        assert_eq!(TYPES[type_of(What::Comment) as usize], "comment");
        assert_eq!(TYPES[type_of(What::Part(Role::Load)) as usize], "variable");
        assert_eq!(TYPES[type_of(What::Unit) as usize], "modifier");
        let token = Token {
            range: 0..1,
            what: What::Mark,
            defines: true,
            side: Some(Side::Negative),
        };
        let set = modifiers_of(&token);
        let names = MODIFIERS
            .iter()
            .enumerate()
            .filter(|(bit, _)| set & 1 << bit != 0);
        let names: Vec<&str> = names.map(|(_, name)| *name).collect();
        assert_eq!(names, ["declaration", "negative", "mark"]);
    }

    /// The page for editors names every type and every modifier.
    #[test]
    fn the_legend_is_written_down() {
        let page = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../editors/README.md");
        let page = std::fs::read_to_string(page).expect("the page");
        for word in TYPES.iter().chain(&MODIFIERS) {
            let named = page
                .lines()
                .filter(|line| line.starts_with("| `"))
                .filter(|line| line.contains(&format!("`{word}`")));
            assert!(named.count() > 0, "{word}");
        }
    }

    #[test]
    fn a_difference_makes_the_new_tokens_of_the_old() {
        let texts: [&[SemanticToken]; 6] = [
            &[],
            &[token(0, 0), token(0, 4), token(1, 0), token(1, 2)],
            &[token(0, 0), token(0, 5), token(1, 0), token(1, 2)],
            &[token(0, 0), token(0, 4), token(2, 0), token(1, 2)],
            &[token(0, 0), token(0, 4), token(1, 2)],
            &[token(1, 0), token(1, 0), token(1, 0), token(1, 0)],
        ];
        for before in texts {
            for now in texts {
                let painted = Painted::default();
                let id = painted.whole(&url(0), before.to_vec()).result_id;
                let id = id.expect("a name");
                let SemanticTokensFullDeltaResult::TokensDelta(delta) =
                    painted.since(&url(0), &id, now.to_vec())
                else {
                    panic!("it was given just now");
                };
                assert_eq!(made(before, &delta.edits), now);
                assert_eq!(delta.edits.is_empty(), before == now);
            }
        }
    }

    #[test]
    fn what_is_forgotten_is_given_whole() {
        let painted = Painted::default();
        let first = painted.whole(&url(0), vec![token(0, 0)]).result_id;
        let first = first.expect("a name");
        let second = painted.since(&url(0), &first, vec![token(0, 1)]);
        assert!(matches!(
            second,
            SemanticTokensFullDeltaResult::TokensDelta(_)
        ));
        let stale = painted.since(&url(0), &first, vec![token(0, 1)]);
        assert!(matches!(stale, SemanticTokensFullDeltaResult::Tokens(_)));
        for name in 1..100 {
            painted.whole(&url(name), Vec::new());
        }
        assert_eq!(painted.given().of.len(), MOST_DOCUMENTS);
        painted.forget(&url(99));
        assert_eq!(painted.given().of.len(), MOST_DOCUMENTS - 1);
    }
}
