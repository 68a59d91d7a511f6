//! Conversations about folders: findings of many files, files that move and vanish, settings.

#![allow(
    clippy::needless_pass_by_value,
    reason = "capabilities are written in place, as `json!` gives them"
)]

mod support;

use std::{fs, path::Path, sync::Arc};

use ampwright_server::{plans::Plans, transport::Options};
use serde_json::{Value, json};
use support::{
    Talk,
    client::{Client, Said},
};

/// A boat whose lamp is in another file.
const BOAT: &str = "boat teal system 12 V\nuse \"lamp.boat\"\nbattery house agm 20 Ah\nfuse house-fuse blade 15 A\nisolator house-isolator 100 A\n";

const LAMP: &str = "load lamp lighting 10 W\nrun lamp\n    house +\n    2.5 mm2 red 0.1 m\n    house-fuse\n    2.5 mm2 red 0.3 m\n    house-isolator\n    2.5 mm2 red 0.5 m\n    lamp\n    back black to house -\n";

/// The slip that makes one finding on the lamp: the fuse is too large for its cable.
const TOO_LARGE: (&str, &str) = ("blade 15 A", "blade 60 A");

fn start() -> Talk {
    Talk::over(|input, output| async move {
        ampwright_server::serve(input, output, Options::default(), Arc::new(Plans))
            .await
            .code()
    })
}

/// A folder with these files, its links followed.
fn folder(files: &[(&str, &str)]) -> Said<(tempfile::TempDir, std::path::PathBuf)> {
    let wrong = |error: std::io::Error| error.to_string();
    let folder = tempfile::tempdir().map_err(wrong)?;
    let path = folder.path().canonicalize().map_err(wrong)?;
    for (name, text) in files {
        let file = path.join(name);
        fs::create_dir_all(file.parent().unwrap_or(&path)).map_err(wrong)?;
        fs::write(file, text).map_err(wrong)?;
    }
    Ok((folder, path))
}

fn address(path: &Path) -> String {
    format!("file://{}", path.display())
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or("nothing")
}

fn list(value: &Value) -> &[Value] {
    value.as_array().map(Vec::as_slice).unwrap_or_default()
}

/// A conversation about folders.
fn begin(folders: &[&Path], capabilities: Value, options: Value) -> Said<Talk> {
    let mut talk = start();
    let folders: Vec<Value> = folders
        .iter()
        .map(|folder| json!({"uri": address(folder), "name": "boats"}))
        .collect();
    let params = json!({"capabilities": capabilities, "workspaceFolders": folders, "initializationOptions": options});
    talk.client.initialize(params)?;
    Ok(talk)
}

fn end(mut talk: Talk) -> Said<()> {
    talk.client.shut_down()?;
    assert_eq!(talk.code()?, 0);
    Ok(())
}

fn open(client: &mut Client, file: &Path) -> Said<()> {
    let text = fs::read_to_string(file).map_err(|error| error.to_string())?;
    let document = json!({"uri": address(file), "languageId": "boat", "version": 1, "text": text});
    client.notify("textDocument/didOpen", json!({"textDocument": document}))
}

fn write(client: &mut Client, file: &Path, version: i32, text: &str) -> Said<()> {
    let document = json!({"uri": address(file), "version": version});
    let params = json!({"textDocument": document, "contentChanges": [{"text": text}]});
    client.notify("textDocument/didChange", params)
}

fn codes(findings: &Value) -> Vec<&str> {
    list(findings)
        .iter()
        .map(|found| text(&found["code"]))
        .collect()
}

/// The next findings pushed for a file.
fn pushed(client: &mut Client, file: &Path) -> Said<Value> {
    loop {
        let message = client.incoming("textDocument/publishDiagnostics")?;
        if message["params"]["uri"] == json!(address(file)) {
            return Ok(message["params"].clone());
        }
    }
}

fn fetched(client: &mut Client, file: &Path) -> Said<Value> {
    client.ask(
        "textDocument/diagnostic",
        json!({"textDocument": {"uri": address(file)}}),
    )
}

/// Each file of the workspace that has findings, with their codes.
fn in_workspace(client: &mut Client, root: &Path) -> Said<Vec<String>> {
    let report = client.ask("workspace/diagnostic", json!({"previousResultIds": []}))?;
    let root = address(root);
    let shown = |item: &Value| {
        let name = text(&item["uri"]).replace(&root, "");
        format!("{name}: {}", codes(&item["items"]).join(" "))
    };
    let found = list(&report["items"])
        .iter()
        .filter(|item| !list(&item["items"]).is_empty());
    Ok(found.map(shown).collect())
}

fn pulling() -> Value {
    json!({"textDocument": {"diagnostic": {"relatedDocumentSupport": true}}})
}

#[test]
fn a_change_brings_the_findings_of_the_files_that_it_touches() -> Said<()> {
    let (_kept, path) = folder(&[("boat.boat", BOAT), ("lamp.boat", LAMP)])?;
    let boat = path.join("boat.boat");
    let mut talk = begin(&[&path], pulling(), Value::Null)?;
    open(&mut talk.client, &boat)?;
    let report = fetched(&mut talk.client, &boat)?;
    assert_eq!(
        report.get("relatedDocuments"),
        None,
        "nothing is to be said of the lamp"
    );
    write(
        &mut talk.client,
        &boat,
        2,
        &BOAT.replace(TOO_LARGE.0, TOO_LARGE.1),
    )?;
    let report = fetched(&mut talk.client, &boat)?;
    let lamp = &report["relatedDocuments"][address(&path.join("lamp.boat"))];
    assert_eq!(lamp["kind"], "full");
    assert_eq!(codes(&lamp["items"]), ["fuse-exceeds-conductor"]);
    let report = fetched(&mut talk.client, &boat)?;
    assert_eq!(report.get("relatedDocuments"), None, "the client has them");
    write(&mut talk.client, &boat, 3, BOAT)?;
    let report = fetched(&mut talk.client, &boat)?;
    let lamp = &report["relatedDocuments"][address(&path.join("lamp.boat"))];
    assert_eq!(lamp["items"], json!([]), "they are taken back");
    end(talk)
}

#[test]
fn a_workspace_comes_in_parts_with_progress_and_unchanged_files_are_only_named() -> Said<()> {
    let names: Vec<String> = (0..230)
        .map(|number| format!("boat-{number:03}.boat"))
        .collect();
    let files: Vec<(&str, &str)> = names
        .iter()
        .map(|name| (&**name, "boat teal\nloadd lamp\n"))
        .collect();
    let (_kept, path) = folder(&files)?;
    let mut talk = begin(&[&path], pulling(), Value::Null)?;
    let asked = json!({"previousResultIds": [], "workDoneToken": "work", "partialResultToken": 7});
    let last = talk.client.ask("workspace/diagnostic", asked)?;
    let mut parts = Vec::new();
    let mut work = Vec::new();
    while parts.len() < 2 || work.last().is_none_or(|last| last != "end") {
        let progress = talk.client.incoming("$/progress")?["params"].clone();
        if progress["token"] == 7 {
            parts.push(list(&progress["value"]["items"]).to_vec());
        } else {
            work.push(text(&progress["value"]["kind"]).to_owned());
        }
    }
    parts.push(list(&last["items"]).to_vec());
    assert_eq!(
        parts.iter().map(Vec::len).collect::<Vec<_>>(),
        [100, 100, 30]
    );
    assert_eq!(work, ["begin", "report", "report", "end"]);
    let items = parts.concat();
    assert!(items.iter().all(|item| !list(&item["items"]).is_empty()));
    let known: Vec<Value> = items
        .iter()
        .map(|item| json!({"uri": item["uri"], "value": item["resultId"]}))
        .collect();
    let whole = talk.client.ask(
        "workspace/diagnostic",
        json!({ "previousResultIds": known }),
    )?;
    assert_eq!(list(&whole["items"]).len(), 230);
    assert!(
        list(&whole["items"])
            .iter()
            .all(|item| item["kind"] == "unchanged")
    );
    end(talk)
}

#[test]
fn folders_come_and_go() -> Said<()> {
    let wrong = BOAT
        .replace("use \"lamp.boat\"\n", "")
        .replace("20 Ah", "60 A");
    let (_first, first) = folder(&[("a.boat", &wrong)])?;
    let (_second, second) = folder(&[("b.boat", &wrong)])?;
    let mut talk = begin(&[&first], pulling(), Value::Null)?;
    let files = |client: &mut Client| -> Said<Vec<String>> {
        let report = client.ask("workspace/diagnostic", json!({"previousResultIds": []}))?;
        Ok(list(&report["items"])
            .iter()
            .map(|item| text(&item["uri"]).to_owned())
            .collect())
    };
    let (a, b) = (
        address(&first.join("a.boat")),
        address(&second.join("b.boat")),
    );
    assert_eq!(files(&mut talk.client)?, [&*a]);
    for (added, removed, expected) in [
        (vec![&second], vec![], vec![&*a, &*b]),
        (vec![], vec![&first], vec![&*b]),
        (vec![&first], vec![&second], vec![&*a]),
    ] {
        let named = |folders: Vec<&std::path::PathBuf>| -> Vec<Value> {
            folders
                .iter()
                .map(|folder| json!({"uri": address(folder), "name": "boats"}))
                .collect()
        };
        let event = json!({"added": named(added), "removed": named(removed)});
        talk.client.notify(
            "workspace/didChangeWorkspaceFolders",
            json!({ "event": event }),
        )?;
        let mut expected = expected;
        expected.sort_unstable();
        assert_eq!(files(&mut talk.client)?, expected);
    }
    end(talk)
}

#[test]
fn a_file_that_vanishes_while_it_is_open_keeps_its_findings() -> Said<()> {
    let wrong = BOAT
        .replace("use \"lamp.boat\"\n", "")
        .replace("20 Ah", "60 A");
    let (_kept, path) = folder(&[("boat.boat", &wrong)])?;
    let boat = path.join("boat.boat");
    let mut talk = begin(&[&path], json!({}), Value::Null)?;
    open(&mut talk.client, &boat)?;
    let before = pushed(&mut talk.client, &boat)?;
    assert!(!list(&before["diagnostics"]).is_empty());
    fs::remove_file(&boat).map_err(|error| error.to_string())?;
    let gone = json!({"changes": [{"uri": address(&boat), "type": 3}]});
    talk.client
        .notify("workspace/didChangeWatchedFiles", gone)?;
    // Asking makes certain that the deletion has been acted on: nothing was taken back.
    let after = fetched(&mut talk.client, &boat)?;
    assert_eq!(after["items"], before["diagnostics"]);
    write(&mut talk.client, &boat, 2, &wrong)?;
    assert_eq!(pushed(&mut talk.client, &boat)?["version"], 2);
    end(talk)
}

#[test]
fn a_used_file_that_is_deleted_is_missed_aloud() -> Said<()> {
    let (_kept, path) = folder(&[
        ("boat.boat", BOAT),
        ("lamp.boat", LAMP),
        ("other.boat", "boat other\n"),
    ])?;
    let mut talk = begin(&[&path], json!({}), Value::Null)?;
    for name in ["other.boat", "lamp.boat"] {
        let file = path.join(name);
        fs::remove_file(&file).map_err(|error| error.to_string())?;
        let files = json!({"files": [{"uri": address(&file)}]});
        talk.client.notify("workspace/didDeleteFiles", files)?;
    }
    let said = talk.client.incoming("window/showMessage")?;
    let expected = "boat.boat uses \"lamp.boat\", which is not there any more: what it held is missing from the plan";
    assert_eq!(said["params"]["message"], expected);
    end(talk)
}

#[test]
fn a_renamed_file_is_followed_by_the_lines_that_use_it() -> Said<()> {
    let (_kept, path) = folder(&[("boat.boat", BOAT), ("lamp.boat", LAMP)])?;
    let able = json!({"workspace": {"workspaceEdit": {"documentChanges": true}}});
    let mut talk = begin(&[&path], able, Value::Null)?;
    open(&mut talk.client, &path.join("boat.boat"))?;
    pushed(&mut talk.client, &path.join("boat.boat"))?;
    let (old, new) = (path.join("lamp.boat"), path.join("lights/saloon.boat"));
    let files = json!({"files": [{"oldUri": address(&old), "newUri": address(&new)}]});
    let edit = talk
        .client
        .ask("workspace/willRenameFiles", files.clone())?;
    let boat = address(&path.join("boat.boat"));
    let expected = json!({"documentChanges": [{
        "textDocument": {"uri": boat, "version": 1},
        "edits": [{
            "range": {"start": {"line": 1, "character": 4}, "end": {"line": 1, "character": 15}},
            "newText": "\"lights/saloon.boat\"",
        }],
    }]});
    assert_eq!(edit, expected);
    // A client that renames without having asked is told what the plan now misses.
    fs::create_dir_all(path.join("lights")).map_err(|error| error.to_string())?;
    fs::rename(&old, &new).map_err(|error| error.to_string())?;
    talk.client.notify("workspace/didRenameFiles", files)?;
    let said = talk.client.incoming("window/showMessage")?;
    assert!(
        text(&said["params"]["message"]).contains("lamp.boat"),
        "{said}"
    );
    pushed(&mut talk.client, &path.join("boat.boat"))?;
    end(talk)
}

/// A plan with an advice and nothing above it.
const ADVISED: &str = "boat teal\n    system 12 V\nload lamp lighting 10 W\n";

#[test]
fn settings_come_from_the_file_the_options_and_the_configuration() -> Said<()> {
    let all = |client: &mut Client, path: &Path| in_workspace(client, path);
    let (_kept, path) = folder(&[("boat.boat", ADVISED), ("ampwright.toml", "")])?;
    let mut talk = begin(&[&path], pulling(), Value::Null)?;
    let shown = all(&mut talk.client, &path)?;
    assert_eq!(shown.len(), 1, "{shown:?}");
    end(talk)?;
    let strict = "mildestFinding = \"error\"\n";
    fs::write(path.join("ampwright.toml"), strict).map_err(|error| error.to_string())?;
    let mut talk = begin(&[&path], pulling(), Value::Null)?;
    assert_eq!(all(&mut talk.client, &path)?, [""; 0], "the file is heeded");
    end(talk)?;
    let mut talk = begin(&[&path], pulling(), json!({"mildestFinding": "advice"}))?;
    assert_eq!(
        all(&mut talk.client, &path)?,
        shown,
        "the client stands above it"
    );
    let settings = json!({"settings": {"ampwright": {"mildestFinding": "error"}}});
    talk.client
        .notify("workspace/didChangeConfiguration", settings)?;
    assert_eq!(
        all(&mut talk.client, &path)?,
        [""; 0],
        "and its configuration above its options"
    );
    end(talk)
}

#[test]
fn a_client_that_can_be_asked_for_its_settings_is_asked() -> Said<()> {
    let (_kept, path) = folder(&[("boat.boat", ADVISED)])?;
    let mut able = pulling();
    able["workspace"] =
        json!({"configuration": true, "didChangeConfiguration": {"dynamicRegistration": true}});
    let mut talk = begin(&[&path], able, Value::Null)?;
    let registered = talk.client.incoming("client/registerCapability")?;
    assert_eq!(
        registered["params"]["registrations"][0]["method"],
        "workspace/didChangeConfiguration"
    );
    talk.client.reply(&registered, Value::Null)?;
    let asked = talk.client.incoming("workspace/configuration")?;
    assert_eq!(asked["params"]["items"], json!([{"section": "ampwright"}]));
    talk.client.reply(
        &asked,
        json!([{"mildestFinding": "warnings", "command": ["ampwright"]}]),
    )?;
    let said = talk.client.incoming("window/showMessage")?;
    let expected =
        "A setting is not taken: `mildestFinding` is one of \"advice\", \"warning\", \"error\"";
    assert_eq!(said["params"]["message"], expected);
    assert_eq!(in_workspace(&mut talk.client, &path)?.len(), 1);
    talk.client.notify(
        "workspace/didChangeConfiguration",
        json!({"settings": null}),
    )?;
    let asked = talk.client.incoming("workspace/configuration")?;
    talk.client
        .reply(&asked, json!([{"mildestFinding": "error"}]))?;
    // The answer goes its way through the server; only what it brings about is seen from here.
    let settled = (0..200).any(|_| {
        std::thread::sleep(std::time::Duration::from_millis(5));
        in_workspace(&mut talk.client, &path).is_ok_and(|shown| shown.is_empty())
    });
    assert!(settled);
    end(talk)
}

#[test]
fn a_wrong_setting_is_a_finding_in_its_file_or_a_message() -> Said<()> {
    let wrong = "codeLens = \"no\"\n[inlayHints]\nload = true\n";
    let (_kept, path) = folder(&[("boat.boat", ADVISED), ("ampwright.toml", wrong)])?;
    let file = path.join("ampwright.toml");
    let mut talk = begin(&[&path], json!({}), json!({"ampwright": {"log": "loud"}}))?;
    let said = talk.client.incoming("window/showMessage")?;
    assert!(
        text(&said["params"]["message"]).contains("`log` is one of"),
        "{said}"
    );
    open(&mut talk.client, &path.join("boat.boat"))?;
    let found = pushed(&mut talk.client, &file)?;
    let messages: Vec<_> = list(&found["diagnostics"])
        .iter()
        .map(|found| {
            (
                found["range"]["start"]["line"].clone(),
                text(&found["message"]),
            )
        })
        .collect();
    let expected = [
        (json!(0), "`codeLens` is `true` or `false`"),
        (
            json!(2),
            "`inlayHints.load` is no setting; did you mean `inlayHints.loads`?",
        ),
    ];
    assert_eq!(messages, expected);
    let shown = in_workspace(&mut talk.client, &path)?;
    assert_eq!(
        shown.last().map(String::as_str),
        Some("/ampwright.toml: wrong-setting wrong-setting")
    );
    // Mended in the editor, not yet on disk.
    open(&mut talk.client, &file)?;
    assert_eq!(pushed(&mut talk.client, &file)?["version"], 1);
    write(&mut talk.client, &file, 2, "codeLens = false\n")?;
    let mended = loop {
        let found = pushed(&mut talk.client, &file)?;
        if found["version"] == 2 {
            break found;
        }
    };
    assert_eq!(mended["diagnostics"], json!([]));
    talk.client.may_leave("textDocument/publishDiagnostics");
    end(talk)
}

#[test]
fn what_changes_beside_the_text_that_is_written_is_asked_for_again() -> Said<()> {
    let (_kept, path) = folder(&[("boat.boat", BOAT), ("lamp.boat", LAMP)])?;
    let kinds = ["inlayHint", "codeLens", "semanticTokens"];
    let mut able = json!({"workspace": {}});
    for kind in kinds {
        able["workspace"][kind] = json!({"refreshSupport": true});
    }
    let mut talk = begin(&[&path], able, Value::Null)?;
    talk.client.may_leave("textDocument/publishDiagnostics");
    let (boat, lamp) = (path.join("boat.boat"), path.join("lamp.boat"));
    open(&mut talk.client, &boat)?;
    pushed(&mut talk.client, &boat)?;
    write(&mut talk.client, &boat, 2, &BOAT.replace("20 Ah", "80 Ah"))?;
    pushed(&mut talk.client, &boat)?;
    let refreshed = |client: &mut Client| -> Said<()> {
        for kind in kinds {
            let asked = client.incoming(&format!("workspace/{kind}/refresh"))?;
            client.reply(&asked, Value::Null)?;
        }
        Ok(())
    };
    // One file alone was open and nothing is to be asked for again: the first that is comes from
    // the second file of the plan.
    open(&mut talk.client, &lamp)?;
    write(&mut talk.client, &boat, 3, &BOAT.replace("20 Ah", "90 Ah"))?;
    refreshed(&mut talk.client)?;
    let settings = json!({"settings": {"ampwright": {"codeLens": false}}});
    talk.client
        .notify("workspace/didChangeConfiguration", settings)?;
    refreshed(&mut talk.client)?;
    for kind in kinds {
        talk.client.may_leave(match kind {
            "inlayHint" => "workspace/inlayHint/refresh",
            "codeLens" => "workspace/codeLens/refresh",
            _ => "workspace/semanticTokens/refresh",
        });
    }
    end(talk)
}
