//! What helps while a line is written, through the protocol: swatches, links, names typed together,
//! what a line may say, its indentation; and what feeds what.

mod support;

use serde_json::{Value, json};
use support::{
    client::Said,
    writing::{ENCODINGS, PLAN, Writing, able, address, edited, folder, list, number, text},
};

#[test]
fn colours_have_swatches_and_words() -> Said<()> {
    for encoding in ENCODINGS {
        let plan = PLAN.replace("back black", "back GNYE");
        let mut writing = Writing::alone(encoding, able(encoding), &plan)?;
        let asked = writing.whole();
        let found = writing.client().ask("textDocument/documentColor", asked)?;
        let words: Vec<String> = list(&found)
            .iter()
            .map(|one| writing.words(&one["range"]))
            .collect();
        assert_eq!(words, ["red", "red", "red", "GN", "YE"]);
        for (which, first) in [(0, "red"), (4, "YE")] {
            let mut asked = writing.whole();
            asked["color"] = found[which]["color"].clone();
            asked["range"] = found[which]["range"].clone();
            let offered = writing
                .client()
                .ask("textDocument/colorPresentation", asked)?;
            assert_eq!(offered[0]["label"], first);
            assert_eq!(offered[0]["textEdit"]["range"], found[which]["range"]);
        }
        writing.end()?;
    }
    Ok(())
}

#[test]
fn a_used_file_is_a_link() -> Said<()> {
    let root = "boat b system 12 V\nuse \"lamp.boat\"\nuse \"gone.boat\"\n";
    let (_kept, path) = folder(&[("b.boat", root), ("lamp.boat", "load l pump 5 A spare\n")])?;
    let mut writing = Writing::of(&[&path], able("utf-16"), &path.join("b.boat"))?;
    let asked = writing.whole();
    let links = writing.client().ask("textDocument/documentLink", asked)?;
    assert_eq!(list(&links).len(), 1, "{links}");
    assert_eq!(writing.words(&links[0]["range"]), "\"lamp.boat\"");
    assert_eq!(links[0]["target"], json!(address(&path.join("lamp.boat"))));
    writing.end()
}

#[test]
fn a_name_and_its_uses_are_typed_together() -> Said<()> {
    for encoding in ENCODINGS {
        let mut writing = Writing::alone(encoding, able(encoding), PLAN)?;
        let asked = writing.last("лампа #", 4);
        let linked = writing
            .client()
            .ask("textDocument/linkedEditingRange", asked)?;
        let words: Vec<String> = list(&linked["ranges"])
            .iter()
            .map(|at| writing.words(at))
            .collect();
        assert_eq!(words, ["лампа", "лампа"]);
        let asked = writing.last("2.5 mm2", 1);
        assert_eq!(
            writing
                .client()
                .ask("textDocument/linkedEditingRange", asked)?,
            Value::Null
        );
        writing.end()?;
    }
    Ok(())
}

#[test]
fn a_line_tells_what_it_may_say() -> Said<()> {
    let mut writing = Writing::alone("utf-16", able("utf-16"), &format!("{PLAN}fuse f blade "))?;
    let asked = writing.last("blade ", "blade ".len());
    let help = writing.client().ask("textDocument/signatureHelp", asked)?;
    let told = &help["signatures"][0];
    let label = text(&told["label"]);
    assert!(label.starts_with("fuse NAME "), "{label}");
    let active = &told["parameters"][number(&help["activeParameter"])]["label"];
    assert_eq!(&label[number(&active[0])..number(&active[1])], "A");
    let asked = writing.last("# Над", 4);
    assert_eq!(
        writing.client().ask("textDocument/signatureHelp", asked)?,
        Value::Null
    );
    writing.end()
}

#[test]
fn a_line_that_is_begun_is_indented() -> Said<()> {
    for encoding in ENCODINGS {
        let begun = PLAN.replace("# 🔦 в каюте\n", "# 🔦 в каюте\n\n");
        let mut writing = Writing::alone(encoding, able(encoding), &begun)?;
        let mut asked = writing.last("в каюте\n", "в каюте\n".len());
        asked["ch"] = json!("\n");
        asked["options"] = json!({"tabSize": 4, "insertSpaces": true});
        let edits = writing
            .client()
            .ask("textDocument/onTypeFormatting", asked)?;
        let expected = PLAN.replace("# 🔦 в каюте\n", "# 🔦 в каюте\n    \n");
        assert_eq!(edited(&writing, &edits), expected, "{encoding}");
        writing.end()?;
    }
    Ok(())
}

#[test]
fn a_name_leads_to_its_declaration() -> Said<()> {
    let mut writing = Writing::alone("utf-16", able("utf-16"), PLAN)?;
    let asked = writing.last("лампа #", 4);
    let found = writing.client().ask("textDocument/declaration", asked)?;
    assert_eq!(found[0]["range"]["start"]["line"], 6, "{found}");
    writing.end()
}

#[test]
fn what_feeds_a_part_and_what_it_feeds() -> Said<()> {
    for encoding in ENCODINGS {
        let mut writing = Writing::alone(encoding, able(encoding), PLAN)?;
        let asked = writing.last("house-isolator", 3);
        let items = writing
            .client()
            .ask("textDocument/prepareCallHierarchy", asked)?;
        assert_eq!(items[0]["name"], "house-isolator");
        let asked = json!({"item": items[0]});
        let fed_by = writing
            .client()
            .ask("callHierarchy/incomingCalls", asked.clone())?;
        assert_eq!(list(&fed_by).len(), 1, "{fed_by}");
        assert_eq!(fed_by[0]["from"]["name"], "house-fuse");
        assert_eq!(
            writing.words(&fed_by[0]["fromRanges"][0]),
            "2.5 mm2 red 0.3 m"
        );
        let feeds = writing.client().ask("callHierarchy/outgoingCalls", asked)?;
        assert_eq!(feeds[0]["to"]["name"], "лампа");
        assert_eq!(feeds[0]["to"]["detail"], "load");
        assert_eq!(
            writing.words(&feeds[0]["fromRanges"][0]),
            "2.5 mm2 red 0.5 m"
        );
        let asked = writing.last("2.5 mm2", 1);
        assert_eq!(
            writing
                .client()
                .ask("textDocument/prepareCallHierarchy", asked)?,
            Value::Null
        );
        writing.end()?;
    }
    Ok(())
}

/// What is advertised is answered: each request of the table is asked with what every one takes.
#[test]
fn nothing_is_advertised_that_is_not_answered() -> Said<()> {
    let mut writing = Writing::alone("utf-16", able("utf-16"), PLAN)?;
    let requests = [
        ("semanticTokensProvider", "textDocument/semanticTokens/full"),
        ("inlayHintProvider", "textDocument/inlayHint"),
        ("codeLensProvider", "textDocument/codeLens"),
        ("codeActionProvider", "textDocument/codeAction"),
        ("colorProvider", "textDocument/documentColor"),
        ("documentLinkProvider", "textDocument/documentLink"),
        (
            "linkedEditingRangeProvider",
            "textDocument/linkedEditingRange",
        ),
        ("signatureHelpProvider", "textDocument/signatureHelp"),
        ("callHierarchyProvider", "textDocument/prepareCallHierarchy"),
        ("declarationProvider", "textDocument/declaration"),
        ("definitionProvider", "textDocument/definition"),
        (
            "documentHighlightProvider",
            "textDocument/documentHighlight",
        ),
        ("hoverProvider", "textDocument/hover"),
        ("completionProvider", "textDocument/completion"),
        ("documentSymbolProvider", "textDocument/documentSymbol"),
        ("workspaceSymbolProvider", "workspace/symbol"),
        ("foldingRangeProvider", "textDocument/foldingRange"),
        ("selectionRangeProvider", "textDocument/selectionRange"),
        ("documentFormattingProvider", "textDocument/formatting"),
        (
            "documentRangeFormattingProvider",
            "textDocument/rangeFormatting",
        ),
        (
            "documentOnTypeFormattingProvider",
            "textDocument/onTypeFormatting",
        ),
        ("renameProvider", "textDocument/prepareRename"),
        ("referencesProvider", "textDocument/references"),
        ("diagnosticProvider", "textDocument/diagnostic"),
    ];
    let mut asked = writing.last("лампа #", 4);
    asked["range"] = json!({"start": asked["position"], "end": asked["position"]});
    asked["positions"] = json!([asked["position"]]);
    asked["context"] = json!({"diagnostics": [], "includeDeclaration": true, "triggerKind": 1, "isRetrigger": false});
    asked["options"] = json!({"tabSize": 4, "insertSpaces": true});
    asked["ch"] = json!("\n");
    asked["query"] = json!("");
    let advertised = writing
        .capabilities
        .as_object()
        .cloned()
        .unwrap_or_default();
    let known = [
        "positionEncoding",
        "textDocumentSync",
        "workspace",
        "executeCommandProvider",
    ];
    for provider in advertised.keys().filter(|key| !known.contains(&&***key)) {
        let request = requests.iter().find(|(known, _)| known == provider);
        let (_, method) = request.ok_or_else(|| format!("{provider} is not asked"))?;
        writing.client().ask(method, asked.clone())?;
    }
    assert_eq!(
        requests
            .iter()
            .filter(|(known, _)| advertised.contains_key(*known))
            .count(),
        requests.len()
    );
    writing.end()
}
