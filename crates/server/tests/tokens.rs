//! Semantic tokens through the protocol: by position, by what has changed, by some lines.

mod support;

use serde_json::{Value, json};
use support::{
    client::Said,
    writing::{ENCODINGS, PLAN, Writing, able, list, number, text, width},
};

/// The numbers of an answer as `words type modifiers`, read with the legend as a client does.
fn painted(writing: &Writing, legend: &Value, data: &[Value]) -> Vec<String> {
    let lines: Vec<&str> = writing.text.lines().collect();
    let (mut line, mut start) = (0, 0);
    let tokens = data.chunks(5).map(|token| {
        let token: Vec<usize> = token.iter().map(number).collect();
        line += token[0];
        start = token[1] + if token[0] == 0 { start } else { 0 };
        let at = |wanted: usize| {
            let mut bounds = lines[line].char_indices().map(|(at, _)| at);
            let fits = |at: &usize| width(&writing.encoding, &lines[line][..*at]) == wanted;
            bounds.find(fits).unwrap_or(lines[line].len())
        };
        let words = &lines[line][at(start)..at(start + token[2])];
        let modifiers = list(&legend["tokenModifiers"]).iter().enumerate();
        let set = modifiers.filter(|(bit, _)| token[4] & (1 << bit) != 0);
        let set: Vec<&str> = set.map(|(_, name)| text(name)).collect();
        format!(
            "{words} {} {}",
            text(&legend["tokenTypes"][token[3]]),
            set.join("+")
        )
    });
    tokens.collect()
}

fn legend(writing: &Writing) -> Value {
    writing.capabilities["semanticTokensProvider"]["legend"].clone()
}

#[test]
fn words_are_told_apart_in_every_encoding() -> Said<()> {
    for encoding in ENCODINGS {
        let mut writing = Writing::alone(encoding, able(encoding), PLAN)?;
        let legend = legend(&writing);
        let asked = writing.whole();
        let all = writing
            .client()
            .ask("textDocument/semanticTokens/full", asked)?;
        let all = painted(&writing, &legend, list(&all["data"]));
        for expected in [
            "ялик namespace declaration",
            "\"Ялик 🛥\" string ",
            "# Над столом. comment ",
            "лампа variable declaration+load",
            "house-fuse macro declaration+protection",
            "red enumMember positive+colour",
            "лампа variable load",
            "# 🔦 в каюте comment ",
            "black enumMember negative+colour",
        ] {
            assert!(
                all.iter().any(|one| one == expected),
                "{expected}: {all:#?}"
            );
        }
        let mut asked = writing.whole();
        asked["range"] =
            json!({"start": {"line": 6, "character": 0}, "end": {"line": 6, "character": 99}});
        let some = writing
            .client()
            .ask("textDocument/semanticTokens/range", asked)?;
        let some = painted(&writing, &legend, list(&some["data"]));
        assert_eq!(some.len(), 6, "{some:?}");
        assert!(some.iter().all(|one| all.contains(one)), "{some:?}");
        writing.end()?;
    }
    Ok(())
}

#[test]
fn a_change_is_told_as_the_lines_that_differ() -> Said<()> {
    let mut writing = Writing::alone("utf-16", able("utf-16"), PLAN)?;
    let asked = writing.whole();
    let whole = "textDocument/semanticTokens/full";
    let first = writing.client().ask(whole, asked)?;
    let mut known = list(&first["data"]).to_vec();
    let mut id = first["resultId"].clone();
    let changes = [
        PLAN.replace("2.5 mm2 red 0.3 m", "2.5 mm2 red 0.3 m mark A1"),
        PLAN.to_owned(),
        format!("# one more line\n{PLAN}"),
        PLAN.replace("лампа", "фонарь 🔦"),
    ];
    for change in changes {
        writing.write(&change)?;
        let mut asked = writing.whole();
        asked["previousResultId"] = id.clone();
        let delta = "textDocument/semanticTokens/full/delta";
        let differs = writing.client().ask(delta, asked)?;
        for edit in list(&differs["edits"]) {
            let (start, count) = (number(&edit["start"]), number(&edit["deleteCount"]));
            known.splice(start..start + count, list(&edit["data"]).iter().cloned());
        }
        let asked = writing.whole();
        let now = writing.client().ask(whole, asked)?;
        assert_eq!(known, list(&now["data"]), "{change}");
        id = now["resultId"].clone();
        assert!(id.is_string());
    }
    let mut asked = writing.whole();
    asked["previousResultId"] = json!("what nobody gave");
    let all = writing
        .client()
        .ask("textDocument/semanticTokens/full/delta", asked)?;
    assert_eq!(list(&all["data"]), known);
    writing.end()
}
