//! Every request that carries positions means the same bytes in each of the three encodings.

mod support;

use serde_json::{Value, json};
use support::{
    client::Said,
    writing::{ENCODINGS, PLAN, Writing, able, address, folder, list, number, width},
};

/// The protocol's requests with positions in them, by the capability that the server advertises, and
/// what is asked besides the place.
fn asked(capability: &str) -> Option<Vec<(&'static str, Value)>> {
    let options = json!({"options": {"tabSize": 4, "insertSpaces": true}});
    let requests = match capability {
        "callHierarchyProvider" => vec![("textDocument/prepareCallHierarchy", json!({}))],
        "codeActionProvider" => vec![(
            "textDocument/codeAction",
            json!({"context": {"diagnostics": []}}),
        )],
        "codeLensProvider" => vec![("textDocument/codeLens", json!({}))],
        "colorProvider" => vec![("textDocument/documentColor", json!({}))],
        "completionProvider" => vec![("textDocument/completion", json!({}))],
        "declarationProvider" => vec![("textDocument/declaration", json!({}))],
        "definitionProvider" => vec![("textDocument/definition", json!({}))],
        "diagnosticProvider" => vec![("textDocument/diagnostic", json!({}))],
        "documentFormattingProvider" => vec![("textDocument/formatting", options)],
        "documentHighlightProvider" => vec![("textDocument/documentHighlight", json!({}))],
        "documentLinkProvider" => vec![("textDocument/documentLink", json!({}))],
        "documentOnTypeFormattingProvider" => {
            let mut typed = options;
            typed["ch"] = json!("\n");
            vec![("textDocument/onTypeFormatting", typed)]
        }
        "documentRangeFormattingProvider" => vec![("textDocument/rangeFormatting", options)],
        "documentSymbolProvider" => vec![("textDocument/documentSymbol", json!({}))],
        "foldingRangeProvider" => vec![("textDocument/foldingRange", json!({}))],
        "hoverProvider" => vec![("textDocument/hover", json!({}))],
        "inlayHintProvider" => vec![("textDocument/inlayHint", json!({}))],
        "linkedEditingRangeProvider" => vec![("textDocument/linkedEditingRange", json!({}))],
        "referencesProvider" => {
            let with = json!({"context": {"includeDeclaration": true}});
            vec![("textDocument/references", with)]
        }
        "renameProvider" => vec![
            ("textDocument/prepareRename", json!({})),
            ("textDocument/rename", json!({"newName": "фонарь"})),
        ],
        "selectionRangeProvider" => vec![("textDocument/selectionRange", json!({}))],
        "semanticTokensProvider" => vec![
            ("textDocument/semanticTokens/full", json!({})),
            ("textDocument/semanticTokens/range", json!({})),
        ],
        "signatureHelpProvider" => vec![("textDocument/signatureHelp", json!({}))],
        "workspaceSymbolProvider" => vec![("workspace/symbol", json!({"query": "лам"}))],
        _ => return None,
    };
    Some(requests)
}

/// Capabilities that are no request with a position.
const WITHOUT_POSITIONS: [&str; 4] = [
    "executeCommandProvider",
    "positionEncoding",
    "textDocumentSync",
    "workspace",
];

/// The byte that a position means.
fn byte(writing: &Writing, position: &Value) -> usize {
    let lines = writing.text.split_inclusive('\n');
    let before: usize = lines
        .clone()
        .take(number(&position["line"]))
        .map(str::len)
        .sum();
    let line = lines.clone().nth(number(&position["line"])).unwrap_or("");
    let wanted = number(&position["character"]);
    let mut bounds = line.char_indices().map(|(at, _)| at).chain([line.len()]);
    let within = bounds.find(|&at| width(&writing.encoding, &line[..at]) >= wanted);
    before + within.unwrap_or(line.len())
}

/// An answer with bytes in place of its positions, and of the lengths of tokens.
fn in_bytes(writing: &Writing, answer: &Value) -> Value {
    match answer {
        Value::Object(members) if members.len() == 2 && members.contains_key("character") => {
            json!(byte(writing, answer))
        }
        Value::Object(members) if members.contains_key("startCharacter") => {
            let at = |line, character| {
                byte(
                    writing,
                    &json!({"line": answer[line], "character": answer[character]}),
                )
            };
            json!([
                at("startLine", "startCharacter"),
                at("endLine", "endCharacter")
            ])
        }
        Value::Object(members) => members
            .iter()
            .filter(|(key, _)| *key != "resultId")
            .map(|(key, value)| {
                let tokens = key == "data" && value.get(0).is_some_and(Value::is_u64);
                let value = if tokens {
                    token_bytes(writing, value)
                } else {
                    in_bytes(writing, value)
                };
                (key.clone(), value)
            })
            .collect(),
        Value::Array(items) => items.iter().map(|item| in_bytes(writing, item)).collect(),
        other => other.clone(),
    }
}

fn token_bytes(writing: &Writing, data: &Value) -> Value {
    let data: Vec<usize> = list(data).iter().map(number).collect();
    let (mut line, mut character) = (0, 0);
    let mut tokens = Vec::new();
    for token in data.chunks(5) {
        character = if token[0] == 0 {
            character + token[1]
        } else {
            token[1]
        };
        line += token[0];
        let at = |character| byte(writing, &json!({"line": line, "character": character}));
        tokens.push(json!([
            at(character),
            at(character + token[2]),
            token[3],
            token[4]
        ]));
    }
    Value::Array(tokens)
}

/// Every answer about a place, in bytes; positions and ranges are asked for in whatever form each
/// request takes them.
fn answers(encoding: &str, text: &str, place: usize) -> Said<Vec<(String, Value)>> {
    let mut writing = Writing::alone(encoding, able(encoding), text)?;
    let (start, end) = (writing.position(place), writing.position(text.len()));
    let mut answers = Vec::new();
    let capabilities = writing.capabilities.clone();
    for capability in capabilities
        .as_object()
        .into_iter()
        .flatten()
        .map(|(name, _)| &**name)
    {
        let Some(requests) = asked(capability) else {
            assert!(
                WITHOUT_POSITIONS.contains(&capability),
                "{capability} is not asked for here"
            );
            continue;
        };
        for (method, mut params) in requests {
            params["textDocument"] = json!({"uri": writing.url});
            params["position"] = start.clone();
            params["positions"] = json!([start]);
            params["range"] = json!({"start": start, "end": end});
            let id = writing.client().request(method, params)?;
            let answer = writing
                .client()
                .answer(id)?
                .unwrap_or_else(|refused| refused);
            answers.push((method.to_owned(), in_bytes(&writing, &answer)));
        }
    }
    writing.end()?;
    Ok(answers)
}

#[test]
fn every_answer_is_the_same_in_bytes() -> Said<()> {
    // A fuse too large, a line out of the written form, a name that is not there: something for all.
    let text = PLAN
        .replace("blade 15 A", "blade 60 A")
        .replace("lighting 10 W", "lighting   10 W");
    let slip = PLAN.replace("    лампа # 🔦 в каюте", "    лампь # 🔦 в каюте");
    let places = [
        (&text, "лампа # 🔦", 2),
        (&text, "🔦 Lamp\" lighting", "🔦 Lamp\" ".len()),
        (&text, "2.5 mm2 red 0.5", 2),
        (&slip, "лампь", "ламп".len()),
    ];
    for (text, words, into) in places {
        let place = text.rfind(words).unwrap_or(0) + into;
        let first = answers(ENCODINGS[0], text, place)?;
        assert!(
            first
                .iter()
                .filter(|(_, answer)| answer.as_array().is_some_and(|a| !a.is_empty()))
                .count()
                > 3
        );
        for encoding in &ENCODINGS[1..] {
            let other = answers(encoding, text, place)?;
            assert_eq!(first.len(), other.len());
            for (first, other) in first.iter().zip(&other) {
                assert_eq!(first, other, "{encoding}, at {words}");
            }
        }
    }
    Ok(())
}

#[test]
fn a_use_line_is_edited_at_its_words_in_every_encoding() -> Said<()> {
    let root = "boat ялик \"Ялик 🛥\"\nuse \"🔦/лампа.boat\"\n";
    for encoding in ENCODINGS {
        let (_kept, path) = folder(&[("ялик.boat", root)])?;
        std::fs::create_dir(path.join("🔦")).map_err(|error| error.to_string())?;
        let lamp = path.join("🔦/лампа.boat");
        std::fs::write(&lamp, "load лампа lighting 10 W\n").map_err(|error| error.to_string())?;
        let folders = json!([{"uri": address(&path), "name": "boats"}]);
        let start = json!({"capabilities": able(encoding), "workspaceFolders": folders});
        let url = address(&path.join("ялик.boat"));
        let mut writing = Writing::begin(encoding, start, url, root)?;
        let files = json!({"files": [{"oldUri": address(&lamp), "newUri": address(&path.join("свет.boat"))}]});
        let edit = writing.client().ask("workspace/willRenameFiles", files)?;
        let edit = &edit["documentChanges"][0]["edits"][0];
        assert_eq!(edit["newText"], "\"свет.boat\"");
        assert_eq!(
            writing.words(&edit["range"]),
            "\"🔦/лампа.boat\"",
            "{encoding}"
        );
        writing.end()?;
    }
    Ok(())
}
