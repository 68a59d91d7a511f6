//! The server as a client meets it, with a computation that is only a test's: it finds the word
//! `wrong` in every text, follows `use PATH`, and can be told to be slow or to panic.

mod support;

use std::{fs, path::Path, sync::Arc, time::Duration};

use ampwright_server::{
    analysis::{Analyse, Study},
    files::Files,
    transport::{CancelToken, Options},
};
use serde_json::{Value, json};
use support::{
    Gate, Talk,
    client::{Client, Said},
};
use tower_lsp::lsp_types::{Diagnostic, Url};

/// Opens its gate once it has begun to be slow.
struct WordFinder(Gate);

impl Analyse for WordFinder {
    fn analyse(
        &self,
        files: &Files,
        _: Option<&Arc<Study>>,
        cancel: &CancelToken,
    ) -> Option<Study> {
        let mut study = Study::default();
        for url in files.boats() {
            let Ok(text) = files.read(&url) else { continue };
            assert!(!text.text.contains("panic"), "meant to");
            if text.text.contains("slow") {
                self.0.open();
            }
            while text.text.contains("slow") && !cancel.is_cancelled() {
                std::thread::sleep(Duration::from_millis(1));
            }
            if cancel.is_cancelled() {
                return None;
            }
            study.findings.insert(url.clone(), find(files, &url, &text));
        }
        Some(study)
    }
}

fn find(files: &Files, url: &Url, text: &ampwright_server::documents::Text) -> Vec<Diagnostic> {
    let words = |word: &'static str| {
        text.text
            .match_indices(word)
            .map(move |(at, _)| at..at + word.len())
    };
    let mut found: Vec<Diagnostic> = words("wrong")
        .map(|bytes| Diagnostic::new_simple(files.range(text, bytes), "wrong".into()))
        .collect();
    for bytes in words("use ") {
        let name = text.text[bytes.end..]
            .split_whitespace()
            .next()
            .unwrap_or_default();
        let used = files
            .place(url)
            .and_then(|(folder, _)| files.address(&folder, name));
        let said = used.map_or("nowhere".into(), |used| {
            files
                .read(&used)
                .map_or_else(|why| why.to_string(), |text| text.text.clone())
        });
        found.push(Diagnostic::new_simple(files.range(text, bytes), said));
    }
    found
}

fn start() -> Talk {
    start_with(Gate::default())
}

fn start_with(gate: Gate) -> Talk {
    Talk::over(|input, output| async move {
        ampwright_server::serve(
            input,
            output,
            Options::default(),
            Arc::new(WordFinder(gate)),
        )
        .await
        .code()
    })
}

fn begin(params: Value) -> Said<(Talk, Value)> {
    let mut talk = start();
    let capabilities = talk.client.initialize(params)?;
    Ok((talk, capabilities))
}

fn end(mut talk: Talk) -> Said<()> {
    talk.client.shut_down()?;
    assert_eq!(talk.code()?, 0);
    Ok(())
}

const CURLEW: &str = "untitled:curlew.boat";

fn open(client: &mut Client, url: &str, version: i32, text: &str) -> Said<()> {
    let document = json!({"uri": url, "languageId": "boat", "version": version, "text": text});
    client.notify("textDocument/didOpen", json!({"textDocument": document}))
}

#[allow(
    clippy::needless_pass_by_value,
    reason = "changes are written in place, as `json!` gives them"
)]
fn change(client: &mut Client, url: &str, version: i32, changes: Value) -> Said<()> {
    let document = json!({"uri": url, "version": version});
    client.notify(
        "textDocument/didChange",
        json!({"textDocument": document, "contentChanges": changes}),
    )
}

fn close(client: &mut Client, url: &str) -> Said<()> {
    client.notify(
        "textDocument/didClose",
        json!({"textDocument": {"uri": url}}),
    )
}

fn range(start: (u32, u32), end: (u32, u32)) -> Value {
    json!({"start": {"line": start.0, "character": start.1}, "end": {"line": end.0, "character": end.1}})
}

/// Messages with their starts.
type Found = Vec<(u64, u64, String)>;

/// The next list that is pushed: its address, its version, and what was found.
fn pushed(client: &mut Client) -> Said<(String, Value, Found)> {
    let params = client.incoming("textDocument/publishDiagnostics")?["params"].clone();
    let found = params["diagnostics"]
        .as_array()
        .cloned()
        .unwrap_or_default();
    let place =
        |found: &Value, key: &str| found["range"]["start"][key].as_u64().unwrap_or(u64::MAX);
    let found = found.iter().map(|found| {
        let message = found["message"].as_str().unwrap_or_default().to_owned();
        (place(found, "line"), place(found, "character"), message)
    });
    Ok((
        params["uri"].as_str().unwrap_or_default().to_owned(),
        params["version"].clone(),
        found.collect(),
    ))
}

fn wrong(line: u64, character: u64) -> (u64, u64, String) {
    (line, character, "wrong".into())
}

#[test]
fn findings_are_pushed_with_the_version_and_taken_back_on_closing() -> Said<()> {
    let (mut talk, _) = begin(json!({"capabilities": {}}))?;
    let client = &mut talk.client;
    open(client, CURLEW, 1, "all well\n")?;
    assert_eq!(pushed(client)?, (CURLEW.into(), json!(1), vec![]));
    change(
        client,
        CURLEW,
        2,
        json!([{"range": range((0, 4), (0, 8)), "text": "wrong"}]),
    )?;
    assert_eq!(
        pushed(client)?,
        (CURLEW.into(), json!(2), vec![wrong(0, 4)])
    );
    close(client, CURLEW)?;
    assert_eq!(pushed(client)?, (CURLEW.into(), json!(2), vec![]));
    change(client, CURLEW, 3, json!([{"text": "wrong"}]))?;
    open(client, CURLEW, 1, "wrong")?;
    assert_eq!(
        pushed(client)?,
        (CURLEW.into(), json!(1), vec![wrong(0, 0)])
    );
    client.notify(
        "workspace/didDeleteFiles",
        json!({"files": [{"uri": CURLEW}]}),
    )?;
    assert_eq!(pushed(client)?, (CURLEW.into(), json!(1), vec![]));
    let made_again = json!({"changes": [{"uri": CURLEW, "type": 1}]});
    client.notify("workspace/didChangeWatchedFiles", made_again)?;
    assert_eq!(
        pushed(client)?,
        (CURLEW.into(), json!(1), vec![wrong(0, 0)])
    );
    end(talk)
}

#[test]
fn each_encoding_counts_as_agreed() -> Said<()> {
    for (encoding, character) in [("utf-8", 8), ("utf-16", 4), ("utf-32", 3)] {
        let general = json!({"positionEncodings": [encoding, "utf-16"]});
        let (mut talk, capabilities) = begin(json!({"capabilities": {"general": general}}))?;
        assert_eq!(capabilities["positionEncoding"], json!(encoding));
        let client = &mut talk.client;
        open(client, CURLEW, 1, "é🛥 \r\nx")?;
        pushed(client)?;
        let place = range((0, character - 1), (0, character));
        change(
            client,
            CURLEW,
            2,
            json!([{"range": place, "text": "_wrong"}]),
        )?;
        assert_eq!(
            pushed(client)?.2,
            vec![wrong(0, u64::from(character))],
            "{encoding}"
        );
        end(talk)?;
    }
    Ok(())
}

#[test]
fn an_impossible_change_puts_a_document_out_of_step_until_its_whole_text_comes() -> Said<()> {
    let bad = [
        (
            2,
            json!([{"range": range((7, 0), (7, 0)), "text": "wrong"}]),
        ),
        (
            2,
            json!([{"range": range((0, 3), (0, 1)), "text": "wrong"}]),
        ),
        (1, json!([{"text": "wrong, and old"}])),
        (
            2,
            json!([{"range": {"start": {"line": -1, "character": 0}, "end": {}}, "text": "wrong"}]),
        ),
    ];
    for (version, changes) in bad {
        let (mut talk, _) = begin(json!({"capabilities": {}}))?;
        let client = &mut talk.client;
        open(client, CURLEW, 1, "text")?;
        pushed(client)?;
        change(client, CURLEW, version, changes)?;
        client.incoming("window/showMessage")?;
        change(
            client,
            CURLEW,
            3,
            json!([{"range": range((0, 0), (0, 0)), "text": "wrong "}]),
        )?;
        let asked = json!({"textDocument": {"uri": CURLEW}});
        assert_eq!(
            client.ask_in_vain("textDocument/diagnostic", asked.clone())?,
            -32801
        );
        change(client, CURLEW, 4, json!([{"text": "it is wrong"}]))?;
        assert_eq!(
            pushed(client)?,
            (CURLEW.into(), json!(4), vec![wrong(0, 6)])
        );
        assert_eq!(
            client.ask("textDocument/diagnostic", asked)?["items"]
                .as_array()
                .map(Vec::len),
            Some(1)
        );
        end(talk)?;
    }
    Ok(())
}

#[test]
fn a_burst_ends_with_its_last_version_and_no_older_list_follows_a_newer() -> Said<()> {
    let (mut talk, _) = begin(json!({"capabilities": {}}))?;
    let client = &mut talk.client;
    open(client, CURLEW, 1, "")?;
    let last = 300;
    for version in 2..=last {
        change(
            client,
            CURLEW,
            version,
            json!([{"range": range((0, 0), (0, 0)), "text": "wrong "}]),
        )?;
    }
    let mut before = 0;
    while before < i64::from(last) {
        let (_, version, found) = pushed(client)?;
        let version = version.as_i64().ok_or("no version")?;
        assert!(version > before);
        assert_eq!(Ok(found.len()), usize::try_from(version - 1));
        before = version;
    }
    end(talk)
}

#[test]
fn a_computation_that_has_begun_is_dropped_for_a_newer_text() -> Said<()> {
    let begun = Gate::default();
    let mut talk = start_with(begun.clone());
    let client = &mut talk.client;
    client.initialize(json!({"capabilities": {}}))?;
    open(client, CURLEW, 1, "slow")?;
    begun.wait();
    change(client, CURLEW, 2, json!([{"text": "wrong"}]))?;
    assert_eq!(
        pushed(client)?,
        (CURLEW.into(), json!(2), vec![wrong(0, 0)])
    );
    end(talk)
}

#[test]
fn a_failed_computation_is_survived_while_a_slow_request_goes_on() -> Said<()> {
    let (mut talk, _) = begin(json!({"capabilities": {}}))?;
    let client = &mut talk.client;
    open(client, CURLEW, 1, "slow")?;
    let slow = client.request(
        "textDocument/diagnostic",
        json!({"textDocument": {"uri": CURLEW}}),
    )?;
    change(client, CURLEW, 2, json!([{"text": "panic"}]))?;
    let failing = client.request(
        "textDocument/diagnostic",
        json!({"textDocument": {"uri": CURLEW}}),
    )?;
    assert_eq!(client.refused(failing)?, -32603);
    change(client, CURLEW, 3, json!([{"text": "wrong"}]))?;
    assert_eq!(
        pushed(client)?,
        (CURLEW.into(), json!(3), vec![wrong(0, 0)])
    );
    client.notify("$/cancelRequest", json!({"id": slow}))?;
    assert_eq!(client.refused(slow)?, -32800);
    end(talk)
}

#[test]
fn a_client_that_fetches_findings_is_not_pushed_to_and_told_of_what_changed_elsewhere() -> Said<()>
{
    let folder = tempfile::tempdir().map_err(|error| error.to_string())?;
    let address = |name: &str| {
        Url::from_file_path(folder.path().join(name))
            .map(String::from)
            .unwrap_or_default()
    };
    let capabilities = json!({
        "textDocument": {"diagnostic": {}},
        "workspace": {"diagnostics": {"refreshSupport": true}},
    });
    let (mut talk, _) = begin(json!({"capabilities": capabilities, "rootUri": address("")}))?;
    let client = &mut talk.client;
    open(client, &address("curlew.boat"), 1, "use lights.boat")?;
    open(client, &address("lights.boat"), 1, "dark")?;
    let asked = json!({"textDocument": {"uri": address("curlew.boat")}});
    let first = client.ask("textDocument/diagnostic", asked.clone())?;
    assert_eq!(first["items"][0]["message"], "dark");
    let again =
        json!({"textDocument": asked["textDocument"], "previousResultId": first["resultId"]});
    assert_eq!(
        client.ask("textDocument/diagnostic", again)?["kind"],
        "unchanged"
    );
    change(
        client,
        &address("lights.boat"),
        2,
        json!([{"text": "bright"}]),
    )?;
    let refresh = client.incoming("workspace/diagnostic/refresh")?;
    client.reply(&refresh, Value::Null)?;
    let all = client.ask("workspace/diagnostic", json!({"previousResultIds": []}))?;
    let items = all["items"].as_array().ok_or("no items")?;
    let versions: Vec<_> = items
        .iter()
        .map(|item| (item["uri"].clone(), item["version"].clone()))
        .collect();
    assert_eq!(
        versions,
        [
            (json!(address("curlew.boat")), json!(1)),
            (json!(address("lights.boat")), json!(2))
        ]
    );
    assert_eq!(items[0]["items"][0]["message"], "bright");
    end(talk)
}

fn write(folder: &Path, name: &str, text: &str) -> Said<String> {
    fs::write(folder.join(name), text).map_err(|error| error.to_string())?;
    Url::from_file_path(folder.join(name))
        .map(String::from)
        .map_err(|()| "no address".into())
}

#[test]
fn an_open_document_stands_before_the_disk_and_nothing_outside_is_read() -> Said<()> {
    let outer = tempfile::tempdir().map_err(|error| error.to_string())?;
    let folder = outer.path().join("boats & more");
    fs::create_dir(&folder).map_err(|error| error.to_string())?;
    write(outer.path(), "secret.boat", "secret")?;
    let lights = write(&folder, "lights.boat", "on disk")?;
    let plan = write(&folder, "plan.boat", "")?;
    // One folder, none (the document's own stands in), each with another spelling of an address.
    for (root, lights) in [
        (
            json!(Url::from_file_path(&folder).map_err(|()| "no address")?),
            lights.clone(),
        ),
        (Value::Null, lights.replace("%20", " ").replace('&', "%26")),
    ] {
        let (mut talk, _) = begin(json!({"capabilities": {}, "rootUri": root}))?;
        let client = &mut talk.client;
        let said = |found: Found| found.into_iter().map(|(.., said)| said).collect::<Vec<_>>();
        open(
            client,
            &plan,
            1,
            "use lights.boat use ../secret.boat use none.boat",
        )?;
        let outside = "it is outside the workspace";
        assert_eq!(
            said(pushed(client)?.2),
            ["on disk", outside, "there is no such file"]
        );
        open(client, &lights, 1, "as edited")?;
        let mut lists = [pushed(client)?, pushed(client)?];
        lists.sort_by_key(|list| list.2.len());
        assert_eq!(
            said(lists[1].2.clone()),
            ["as edited", outside, "there is no such file"]
        );
        end(talk)?;
    }
    Ok(())
}

#[test]
fn files_are_watched_where_the_client_can_and_a_change_on_disk_is_seen() -> Said<()> {
    let folder = tempfile::tempdir().map_err(|error| error.to_string())?;
    let lights = write(folder.path(), "lights.boat", "old")?;
    let plan = write(folder.path(), "plan.boat", "")?;
    let watching = json!({"workspace": {"didChangeWatchedFiles": {"dynamicRegistration": true}}});
    let (mut talk, _) = begin(json!({"capabilities": watching}))?;
    let client = &mut talk.client;
    let registration = client.incoming("client/registerCapability")?;
    assert_eq!(
        registration["params"]["registrations"][0]["method"],
        "workspace/didChangeWatchedFiles"
    );
    client.reply(&registration, Value::Null)?;
    open(client, &plan, 1, "use lights.boat")?;
    assert_eq!(pushed(client)?.2[0].2, "old");
    write(folder.path(), "lights.boat", "newer")?;
    client.notify(
        "workspace/didChangeWatchedFiles",
        json!({"changes": [{"uri": lights, "type": 2}]}),
    )?;
    assert_eq!(pushed(client)?.2[0].2, "newer");
    end(talk)
}

#[test]
fn a_text_that_is_too_large_is_refused_in_words() -> Said<()> {
    let (mut talk, _) = begin(json!({"capabilities": {}}))?;
    let client = &mut talk.client;
    open(client, CURLEW, 1, &"x".repeat((8 << 20) + 1))?;
    let message = client.incoming("window/showMessage")?;
    let words = message["params"]["message"].as_str().unwrap_or_default();
    assert!(words.contains("above 8 MiB"), "{words}");
    end(talk)
}

#[test]
fn nothing_counts_before_initialize_and_after_shutdown() -> Said<()> {
    let mut talk = start();
    let client = &mut talk.client;
    open(client, CURLEW, 1, "wrong")?;
    assert_eq!(
        client.ask_in_vain("textDocument/diagnostic", json!({}))?,
        -32002
    );
    assert_eq!(client.ask_in_vain("shutdown", Value::Null)?, -32002);
    client.initialize(json!({"capabilities": {}}))?;
    assert_eq!(
        client.ask_in_vain("initialize", json!({"capabilities": {}}))?,
        -32600
    );
    assert_eq!(
        client.ask_in_vain("textDocument/unheardOf", json!({}))?,
        -32601
    );
    assert_eq!(
        client.ask_in_vain("textDocument/diagnostic", json!({"textDocument": 4}))?,
        -32602
    );
    let asked = json!({"textDocument": {"uri": CURLEW}});
    assert_eq!(
        client.ask_in_vain("textDocument/diagnostic", asked.clone())?,
        -32602,
        "it is not open"
    );
    client.ask("shutdown", Value::Null)?;
    open(client, CURLEW, 1, "wrong")?;
    assert_eq!(
        client.ask_in_vain("textDocument/diagnostic", asked)?,
        -32600
    );
    assert_eq!(client.ask_in_vain("shutdown", Value::Null)?, -32600);
    client.say_goodbye()
}

#[test]
fn a_whole_conversation_sent_at_once_is_answered_in_full() -> Said<()> {
    let mut talk = start();
    let client = &mut talk.client;
    let first = client.request("initialize", json!({"capabilities": {}}))?;
    client.notify("initialized", json!({}))?;
    open(client, CURLEW, 1, "wrong")?;
    let second = client.request(
        "textDocument/diagnostic",
        json!({"textDocument": {"uri": CURLEW}}),
    )?;
    let third = client.request("shutdown", Value::Null)?;
    client.may_leave("textDocument/publishDiagnostics");
    client.say_goodbye()?;
    assert!(client.answer(first)?.is_ok());
    assert_eq!(
        client
            .answer(second)?
            .map(|report| report["items"][0]["message"].clone()),
        Ok(json!("wrong"))
    );
    assert_eq!(client.answer(third)?, Ok(Value::Null));
    Ok(())
}

/// The protocol's requests behind each capability that a server may advertise.
const BEHIND: [(&str, &[&str]); 28] = [
    (
        "callHierarchyProvider",
        &["textDocument/prepareCallHierarchy"],
    ),
    ("codeActionProvider", &["textDocument/codeAction"]),
    ("codeLensProvider", &["textDocument/codeLens"]),
    (
        "colorProvider",
        &[
            "textDocument/documentColor",
            "textDocument/colorPresentation",
        ],
    ),
    ("completionProvider", &["textDocument/completion"]),
    ("declarationProvider", &["textDocument/declaration"]),
    ("definitionProvider", &["textDocument/definition"]),
    (
        "diagnosticProvider",
        &["textDocument/diagnostic", "workspace/diagnostic"],
    ),
    ("documentFormattingProvider", &["textDocument/formatting"]),
    (
        "documentHighlightProvider",
        &["textDocument/documentHighlight"],
    ),
    ("documentLinkProvider", &["textDocument/documentLink"]),
    (
        "documentOnTypeFormattingProvider",
        &["textDocument/onTypeFormatting"],
    ),
    (
        "documentRangeFormattingProvider",
        &["textDocument/rangeFormatting"],
    ),
    ("documentSymbolProvider", &["textDocument/documentSymbol"]),
    ("executeCommandProvider", &["workspace/executeCommand"]),
    ("foldingRangeProvider", &["textDocument/foldingRange"]),
    ("hoverProvider", &["textDocument/hover"]),
    ("inlayHintProvider", &["textDocument/inlayHint"]),
    (
        "linkedEditingRangeProvider",
        &["textDocument/linkedEditingRange"],
    ),
    ("referencesProvider", &["textDocument/references"]),
    (
        "renameProvider",
        &["textDocument/rename", "textDocument/prepareRename"],
    ),
    ("selectionRangeProvider", &["textDocument/selectionRange"]),
    (
        "semanticTokensProvider",
        &["textDocument/semanticTokens/full"],
    ),
    ("signatureHelpProvider", &["textDocument/signatureHelp"]),
    ("workspaceSymbolProvider", &["workspace/symbol"]),
    ("positionEncoding", &[]),
    ("textDocumentSync", &[]),
    ("workspace", &[]),
];

#[test]
fn only_what_is_answered_is_advertised() -> Said<()> {
    let (mut talk, capabilities) = begin(json!({"capabilities": {}}))?;
    for capability in capabilities.as_object().ok_or("no object")?.keys() {
        let behind = BEHIND.iter().find(|(known, _)| known == capability);
        let Some((_, methods)) = behind else {
            panic!("{capability} is not known to this test")
        };
        for method in *methods {
            let id = talk.client.request(method, json!({}))?;
            let refusal = talk.client.answer(id)?.err().unwrap_or_default();
            assert_ne!(
                refusal["code"],
                json!(-32601),
                "{capability} without {method}"
            );
        }
    }
    end(talk)
}
