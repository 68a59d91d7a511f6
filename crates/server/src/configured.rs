//! The settings as they hold at one moment: the client's, and above which folder's file they stand.

use std::{
    collections::BTreeMap,
    path::{Path, PathBuf},
};

use tower_lsp::lsp_types::{Diagnostic, DiagnosticSeverity, NumberOrString, Url};

use crate::{
    documents::Text,
    files::Files,
    settings::{self, Fault, Set, Settings},
    workspace::Refused,
};

/// What a client sets.
#[derive(Debug, Default)]
pub(crate) struct ClientSets {
    /// When it begins.
    pub(crate) options: Set,
    /// In its workspace configuration.
    pub(crate) configuration: Set,
}

/// The settings of every folder.
#[derive(Debug)]
pub(crate) struct Configured {
    /// For what lies in no folder.
    general: Settings,
    by_folder: BTreeMap<PathBuf, Settings>,
    /// What is wrong in the settings files, also where that is nothing.
    pub(crate) findings: BTreeMap<Url, Vec<Diagnostic>>,
}

impl Configured {
    /// Reads the settings files of the folders.
    pub(crate) fn read(files: &Files, client: &ClientSets) -> Self {
        let mut configured = Self {
            general: Settings::of(&[&client.options, &client.configuration]),
            by_folder: BTreeMap::new(),
            findings: BTreeMap::new(),
        };
        for folder in files.workspace.folders() {
            let Some(url) = files.address(folder, settings::FILE) else {
                continue;
            };
            let (set, findings) = read_file(files, folder, &url);
            let settings = Settings::of(&[&set, &client.options, &client.configuration]);
            configured.by_folder.insert(folder.to_owned(), settings);
            configured.findings.insert(url, findings);
        }
        configured
    }

    /// The settings for a file.
    pub(crate) fn of(&self, files: &Files, url: &Url) -> &Settings {
        let path = url.to_file_path().ok();
        let folder = path.and_then(|path| files.workspace.folder_of(&path).map(Path::to_owned));
        folder
            .and_then(|folder| self.by_folder.get(&folder))
            .unwrap_or(&self.general)
    }

    /// What is one for the whole server: the first folder's.
    pub(crate) fn first(&self) -> &Settings {
        self.by_folder.values().next().unwrap_or(&self.general)
    }
}

fn read_file(files: &Files, folder: &Path, url: &Url) -> (Set, Vec<Diagnostic>) {
    let path = folder.join(settings::FILE);
    if files.documents.at(&path).is_none() && !path.exists() {
        return (Set::default(), Vec::new());
    }
    match files.read(url) {
        Ok(text) => {
            let set = Set::from_toml(&text.text);
            let findings = set.faults.iter().map(|fault| finding(files, &text, fault));
            let findings = findings.collect();
            (set, findings)
        }
        // The writer was told when it lost step.
        Err(Refused::OutOfStep) => (Set::default(), Vec::new()),
        Err(why) => {
            let message = format!("the settings cannot be read: {why}");
            let fault = Fault { at: 0..0, message };
            let finding = finding(files, &Text::new(String::new()), &fault);
            (Set::default(), vec![finding])
        }
    }
}

fn finding(files: &Files, text: &Text, fault: &Fault) -> Diagnostic {
    Diagnostic {
        range: files.range(text, fault.at.clone()),
        severity: Some(DiagnosticSeverity::WARNING),
        code: Some(NumberOrString::String("wrong-setting".to_owned())),
        source: Some("ampwright".to_owned()),
        message: fault.message.clone(),
        ..Diagnostic::default()
    }
}
