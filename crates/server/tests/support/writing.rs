//! A conversation about a plan that is being written.
#![allow(
    clippy::needless_pass_by_value,
    reason = "capabilities are written in place, as `json!` gives them"
)]

use std::{fs, path::Path, sync::Arc};

use ampwright_server::{plans::Plans, transport::Options};
use serde_json::{Value, json};

use super::{
    Talk,
    client::{Client, Said},
};

/// A sound plan whose names, note and title count differently in every encoding.
pub(crate) const PLAN: &str = "\
boat ялик \"Ялик 🛥\"
    system 12 V
battery house agm 60 Ah
fuse house-fuse blade 15 A breaks 5 kA
isolator house-isolator 100 A
# Над столом.
load лампа \"🔦 Lamp\" lighting 10 W
run лампа
    house +
    2.5 mm2 red 0.1 m
    house-fuse
    2.5 mm2 red 0.3 m
    house-isolator
    2.5 mm2 red 0.5 m
    лампа # 🔦 в каюте
    back black to house -
";

pub(crate) const ENCODINGS: [&str; 3] = ["utf-8", "utf-16", "utf-32"];

fn start_server() -> Talk {
    Talk::over(|input, output| async move {
        ampwright_server::serve(input, output, Options::default(), Arc::new(Plans))
            .await
            .code()
    })
}

/// Everything that the tests ask a client to be able to.
pub(crate) fn able(encoding: &str) -> Value {
    json!({
        "general": {"positionEncodings": [encoding]},
        "textDocument": {
            "hover": {"contentFormat": ["markdown", "plaintext"]},
            "definition": {"linkSupport": true},
            "documentSymbol": {"hierarchicalDocumentSymbolSupport": true},
            "publishDiagnostics": {"relatedInformation": true, "versionSupport": true},
            "completion": {"completionItem": {
                "snippetSupport": true, "documentationFormat": ["markdown"],
            }},
        },
        "workspace": {"workspaceEdit": {"documentChanges": true}},
    })
}

/// A conversation about the files of a folder, with one plan open.
pub(crate) struct Writing {
    pub(crate) talk: Talk,
    pub(crate) encoding: String,
    pub(crate) text: String,
    pub(crate) url: String,
    pub(crate) version: i32,
    /// What the server can do.
    pub(crate) capabilities: Value,
}

impl Writing {
    /// Opens a text that is on no disk.
    pub(crate) fn alone(encoding: &str, capabilities: Value, text: &str) -> Said<Self> {
        let start = json!({"capabilities": capabilities});
        Self::begin(encoding, start, "untitled:plan.boat".into(), text)
    }

    /// Opens a file of folders that are on disk.
    pub(crate) fn of(folders: &[&Path], capabilities: Value, file: &Path) -> Said<Self> {
        let folders: Vec<Value> = folders
            .iter()
            .map(|folder| json!({"uri": address(folder), "name": "boats"}))
            .collect();
        let start = json!({"capabilities": capabilities, "workspaceFolders": folders});
        let text = fs::read_to_string(file).map_err(|error| error.to_string())?;
        Self::begin("utf-16", start, address(file), &text)
    }

    pub(crate) fn begin(encoding: &str, start: Value, url: String, text: &str) -> Said<Self> {
        let mut talk = start_server();
        for method in [
            "textDocument/publishDiagnostics",
            "client/registerCapability",
        ] {
            talk.client.may_leave(method);
        }
        let capabilities = talk.client.initialize(start)?;
        let (encoding, text, version) = (encoding.to_owned(), text.to_owned(), 1);
        let document = json!({"uri": url, "languageId": "boat", "version": 1, "text": text});
        let opened = json!({"textDocument": document});
        talk.client.notify("textDocument/didOpen", opened)?;
        Ok(Self {
            talk,
            encoding,
            text,
            url,
            version,
            capabilities,
        })
    }

    pub(crate) fn client(&mut self) -> &mut Client {
        &mut self.talk.client
    }

    /// Replaces the whole text.
    pub(crate) fn write(&mut self, text: &str) -> Said<()> {
        self.version += 1;
        text.clone_into(&mut self.text);
        let document = json!({"uri": self.url, "version": self.version});
        let change = json!({"textDocument": document, "contentChanges": [{"text": text}]});
        self.client().notify("textDocument/didChange", change)
    }

    /// Where a byte of the text is.
    pub(crate) fn position(&self, byte: usize) -> Value {
        let line = self.text[..byte].matches('\n').count();
        let start = self.text[..byte].rfind('\n').map_or(0, |at| at + 1);
        json!({"line": line, "character": width(&self.encoding, &self.text[start..byte])})
    }

    /// The words that a range covers, where it is of one line.
    pub(crate) fn words(&self, range: &Value) -> String {
        let (start, end) = (&range["start"], &range["end"]);
        if start["line"] != end["line"] {
            return format!("{}..{}", start["line"], end["line"]);
        }
        let line = self.text.lines().nth(number(&start["line"])).unwrap_or("");
        let at = |position: &Value| {
            let wanted = number(&position["character"]);
            let fits = |at: &usize| width(&self.encoding, &line[..*at]) == wanted;
            let mut bounds = line.char_indices().map(|(at, _)| at);
            bounds.find(fits).unwrap_or(line.len())
        };
        line[at(start)..at(end)].to_owned()
    }

    /// The params of a request about the place `into` bytes behind the last `words` of the text.
    pub(crate) fn last(&self, words: &str, into: usize) -> Value {
        let byte = self.text.rfind(words).unwrap_or(0) + into;
        json!({"textDocument": {"uri": self.url}, "position": self.position(byte)})
    }

    /// The params of a request about the file.
    pub(crate) fn whole(&self) -> Value {
        json!({"textDocument": {"uri": self.url}})
    }

    /// The findings of this version as they are pushed: code, words, message.
    pub(crate) fn pushed(&mut self) -> Said<Vec<Value>> {
        loop {
            let message = self.client().incoming("textDocument/publishDiagnostics")?;
            let params = &message["params"];
            if params["uri"] == json!(self.url) && params["version"] == json!(self.version) {
                return Ok(list(&params["diagnostics"]).to_vec());
            }
        }
    }

    /// The codes of the findings, fetched, with the words they are on.
    pub(crate) fn fetched(&mut self) -> Said<Vec<String>> {
        let asked = self.whole();
        let report = self.client().ask("textDocument/diagnostic", asked)?;
        let shown = |found: &Value| {
            format!(
                "{} on {}",
                text(&found["code"]),
                self.words(&found["range"])
            )
        };
        Ok(list(&report["items"]).iter().map(shown).collect())
    }

    pub(crate) fn end(mut self) -> Said<()> {
        self.talk.client.shut_down()?;
        assert_eq!(self.talk.code()?, 0);
        Ok(())
    }
}

pub(crate) fn address(path: &Path) -> String {
    format!("file://{}", path.display())
}

pub(crate) fn width(encoding: &str, text: &str) -> usize {
    match encoding {
        "utf-8" => text.len(),
        "utf-16" => text.encode_utf16().count(),
        _ => text.chars().count(),
    }
}

pub(crate) fn number(value: &Value) -> usize {
    value.as_u64().map_or(usize::MAX, |number| number as usize)
}

pub(crate) fn text(value: &Value) -> &str {
    value.as_str().unwrap_or("nothing")
}

pub(crate) fn list(value: &Value) -> &[Value] {
    value.as_array().map(Vec::as_slice).unwrap_or_default()
}

/// A folder with these files, its links followed.
pub(crate) fn folder(files: &[(&str, &str)]) -> Said<(tempfile::TempDir, std::path::PathBuf)> {
    let wrong = |error: std::io::Error| error.to_string();
    let folder = tempfile::tempdir().map_err(wrong)?;
    let path = folder.path().canonicalize().map_err(wrong)?;
    for (name, text) in files {
        fs::write(path.join(name), text).map_err(wrong)?;
    }
    Ok((folder, path))
}

/// A text with edits of one file made in it.
pub(crate) fn edited(writing: &Writing, edits: &Value) -> String {
    let mut lines: Vec<String> = writing.text.lines().map(str::to_owned).collect();
    let mut edits = list(edits).to_vec();
    edits.sort_by_key(|edit| {
        std::cmp::Reverse((
            number(&edit["range"]["start"]["line"]),
            number(&edit["range"]["start"]["character"]),
        ))
    });
    for edit in &edits {
        let line = &mut lines[number(&edit["range"]["start"]["line"])];
        let at = |position: &Value| {
            let wanted = number(&position["character"]);
            let mut bounds = line.char_indices().map(|(at, _)| at).chain([line.len()]);
            bounds.find(|&at| width(&writing.encoding, &line[..at]) == wanted)
        };
        let (start, end) = (at(&edit["range"]["start"]), at(&edit["range"]["end"]));
        line.replace_range(start.unwrap_or(0)..end.unwrap_or(0), text(&edit["newText"]));
    }
    lines.join("\n") + "\n"
}
