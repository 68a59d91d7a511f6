//! The settings: what a writer may choose of how plans are shown. Nothing here changes what a plan
//! means; its rules stand in the plan.
//!
//! They come from three places with the same keys, each above the one before: `ampwright.toml` in the
//! workspace's root, the client's initialization options, its workspace configuration. What is set
//! nowhere is as [`KEYS`] has it. A setting that cannot be is told of and counts as not set.

mod given;
mod schema;

use std::{borrow::Cow, collections::BTreeMap, ops::Range};

use ampwright_notation::suggest::nearest;
use serde_json::Value;
use tower_lsp::lsp_types::{Diagnostic, DiagnosticSeverity};

use crate::log::Amount;
use given::{Entry, Given};

pub use schema::schema;

/// The settings file of a workspace.
pub const FILE: &str = "ampwright.toml";

/// A setting that there is.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    /// Its path, with dots between the tables.
    pub path: &'static str,
    /// What it does, in one sentence.
    pub says: &'static str,
    /// What it may be.
    pub kind: Kind,
}

/// What a setting may be.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// On or off, and which it is unless set.
    Switch(bool),
    /// One of these words, and which it is unless set.
    Choice(&'static [&'static str], &'static str),
}

const fn switch(path: &'static str, says: &'static str) -> Key {
    Key {
        path,
        says,
        kind: Kind::Switch(true),
    }
}

/// Every setting.
pub const KEYS: [Key; 8] = [
    switch(
        "inlayHints.conductors",
        "Show the current and the drop behind each conductor.",
    ),
    switch("inlayHints.loads", "Show the volts behind each load."),
    switch(
        "inlayHints.busbars",
        "Show the posts that are taken behind each busbar.",
    ),
    switch(
        "inlayHints.marks",
        "Show the made mark behind each conductor that has none written.",
    ),
    switch(
        "inlayHints.returns",
        "Show what `back` makes: length, colour and mark.",
    ),
    switch(
        "codeLens",
        "Show totals above runs, above the boat and above cases.",
    ),
    Key {
        path: "mildestFinding",
        says: "Show findings from this severity up; errors are always shown.",
        kind: Kind::Choice(&["advice", "warning", "error"], "advice"),
    },
    Key {
        path: "log",
        says: "How much the server logs.",
        kind: Kind::Choice(&Amount::WORDS, "warn"),
    },
];

/// What editors keep under the same name for themselves, and send along.
const EDITORS_OWN: [&str; 2] = ["command", "trace"];

/// The settings as they hold for a folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settings {
    /// Which inlay hints are shown.
    pub inlay_hints: InlayHints,
    /// Whether code lenses are.
    pub code_lens: bool,
    /// The mildest findings that are.
    pub mildest: Mildest,
    /// How much is logged.
    pub log: Amount,
}

/// Which inlay hints are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(clippy::struct_excessive_bools, reason = "each is a switch of its own")]
pub struct InlayHints {
    /// Current and drop of conductors.
    pub conductors: bool,
    /// Volts of loads.
    pub loads: bool,
    /// Posts of busbars.
    pub busbars: bool,
    /// Marks that are made.
    pub marks: bool,
    /// What `back` makes.
    pub returns: bool,
}

/// The mildest findings that are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mildest {
    /// All.
    #[default]
    Advice,
    /// Warnings and errors.
    Warning,
    /// Errors alone.
    Error,
}

impl Mildest {
    /// Those of some findings that are shown.
    pub(crate) fn of(self, findings: &[Diagnostic]) -> Cow<'_, [Diagnostic]> {
        let mildest = match self {
            Self::Advice => return Cow::Borrowed(findings),
            Self::Warning => DiagnosticSeverity::WARNING,
            Self::Error => DiagnosticSeverity::ERROR,
        };
        // The protocol's numbers rise as severity falls.
        let shown =
            |finding: &&Diagnostic| finding.severity.is_none_or(|severity| severity <= mildest);
        Cow::Owned(findings.iter().filter(shown).cloned().collect())
    }
}

impl Default for Settings {
    fn default() -> Self {
        Self::of(&[])
    }
}

impl Settings {
    /// The settings of these places, the later above the earlier.
    pub fn of(places: &[&Set]) -> Self {
        let places = Places(places);
        Self {
            inlay_hints: InlayHints {
                conductors: places.is_on("inlayHints.conductors"),
                loads: places.is_on("inlayHints.loads"),
                busbars: places.is_on("inlayHints.busbars"),
                marks: places.is_on("inlayHints.marks"),
                returns: places.is_on("inlayHints.returns"),
            },
            code_lens: places.is_on("codeLens"),
            mildest: match places.choice("mildestFinding") {
                "warning" => Mildest::Warning,
                "error" => Mildest::Error,
                _ => Mildest::Advice,
            },
            log: Amount::of(places.choice("log")).unwrap_or_default(),
        }
    }
}

struct Places<'a>(&'a [&'a Set]);

impl Places<'_> {
    fn last(&self, path: &str) -> Option<Chosen> {
        let chosen = |set: &&Set| set.chosen.get(path).copied();
        let default = KEYS.iter().find(|key| key.path == path);
        let default = default.map(|key| match key.kind {
            Kind::Switch(on) => Chosen::Switch(on),
            Kind::Choice(_, word) => Chosen::Word(word),
        });
        self.0.iter().rev().find_map(chosen).or(default)
    }

    fn is_on(&self, path: &str) -> bool {
        matches!(self.last(path), Some(Chosen::Switch(true)))
    }

    fn choice(&self, path: &str) -> &'static str {
        match self.last(path) {
            Some(Chosen::Word(word)) => word,
            _ => "",
        }
    }
}

/// What one place sets, and what is wrong with it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Set {
    chosen: BTreeMap<&'static str, Chosen>,
    /// What cannot be, where the place is a text.
    pub faults: Vec<Fault>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Chosen {
    Switch(bool),
    Word(&'static str),
}

/// A setting that cannot be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Its bytes in the text; none where there is no text.
    pub at: Range<usize>,
    /// What is wrong, in one sentence.
    pub message: String,
}

/// More faults than these are not told: the file is no settings file.
const MOST_FAULTS: usize = 50;

impl Set {
    /// Reads what a client sends; `null` sets nothing.
    pub fn from_json(value: &Value) -> Self {
        let mut set = Self::default();
        match given::from_json(value) {
            Given::Table(entries) => {
                let ours = |entry: &Entry| !EDITORS_OWN.contains(&&*entry.key);
                set.take(entries.into_iter().filter(ours).collect(), "");
            }
            Given::Nothing => {}
            _ => set.fault(0..0, "the settings are not an object".to_owned()),
        }
        set
    }

    /// Reads the text of a settings file.
    pub fn from_toml(text: &str) -> Self {
        let mut set = Self::default();
        let (entries, flaws) = given::from_toml(text);
        set.take(entries, "");
        for (at, message) in flaws {
            set.fault(at, message);
        }
        set.faults.sort_by_key(|fault| fault.at.start);
        set
    }

    fn take(&mut self, entries: Vec<Entry>, within: &str) {
        for entry in entries {
            let path = format!("{within}{}", entry.key);
            if let Some(key) = KEYS.iter().find(|key| key.path == path) {
                self.choose(key, &entry);
            } else if KEYS.iter().any(|key| inside(key, &path)) {
                match entry.value {
                    Given::Table(entries) => self.take(entries, &format!("{path}.")),
                    Given::Nothing => {}
                    _ => self.fault(
                        entry.at,
                        format!("`{path}` is a table of settings, not one setting"),
                    ),
                }
            } else {
                self.fault(entry.key_at, unknown(&path));
            }
        }
    }

    fn choose(&mut self, key: &Key, entry: &Entry) {
        let chosen = match (key.kind, &entry.value) {
            (_, Given::Nothing) => return,
            (Kind::Switch(_), Given::Switch(on)) => Some(Chosen::Switch(*on)),
            (Kind::Choice(words, _), Given::Word(word)) => words
                .iter()
                .find(|known| *known == word)
                .map(|word| Chosen::Word(word)),
            _ => None,
        };
        match chosen {
            Some(chosen) => drop(self.chosen.insert(key.path, chosen)),
            None => self.fault(
                entry.at.clone(),
                format!("`{}` is {}", key.path, allowed(key.kind)),
            ),
        }
    }

    fn fault(&mut self, at: Range<usize>, message: String) {
        if self.faults.len() < MOST_FAULTS {
            self.faults.push(Fault { at, message });
        }
    }
}

/// Whether a path is a table that a key stands in.
fn inside(key: &Key, path: &str) -> bool {
    key.path
        .strip_prefix(path)
        .is_some_and(|rest| rest.starts_with('.'))
}

fn unknown(path: &str) -> String {
    let near = nearest(path, KEYS.iter().map(|key| key.path));
    match near {
        Some(near) => format!("`{path}` is no setting; did you mean `{near}`?"),
        None => format!("`{path}` is no setting"),
    }
}

fn allowed(kind: Kind) -> String {
    match kind {
        Kind::Switch(_) => "`true` or `false`".to_owned(),
        Kind::Choice(words, _) => format!("one of \"{}\"", words.join("\", \"")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn told(set: &Set) -> Vec<&str> {
        set.faults.iter().map(|fault| &*fault.message).collect()
    }

    #[test]
    fn every_key_is_read_into_the_settings() {
        let default = Settings::default();
        for key in KEYS {
            let other = match key.kind {
                Kind::Switch(on) => json!(!on),
                Kind::Choice(words, word) => json!(words.iter().find(|other| **other != word)),
            };
            let mut parts = key.path.rsplit('.');
            let last = parts.next().unwrap_or_default();
            let value = parts.fold(json!({last: other}), |value, part| json!({part: value}));
            let set = Set::from_json(&value);
            assert_eq!(told(&set), [""; 0]);
            assert_ne!(Settings::of(&[&set]), default, "{}", key.path);
            let text = format!("{} = {other}\n", key.path);
            assert_eq!(
                Settings::of(&[&Set::from_toml(&text)]),
                Settings::of(&[&set]),
                "{text}"
            );
        }
    }

    #[test]
    fn a_later_place_stands_above_an_earlier_one() {
        let file =
            Set::from_toml("codeLens = false\nlog = \"debug\"\n[inlayHints]\nloads = false\n");
        let client =
            Set::from_json(&json!({"codeLens": true, "inlayHints": {"marks": false}, "log": null}));
        let settings = Settings::of(&[&file, &client]);
        assert!(settings.code_lens && settings.inlay_hints.conductors);
        assert!(!settings.inlay_hints.loads && !settings.inlay_hints.marks);
        assert_eq!(settings.log, Amount::Debug);
    }

    #[test]
    fn what_cannot_be_is_told_on_its_words_and_the_rest_holds() {
        let text =
            "codeLens = 1\n\n[inlayHints]\nlods = false\nmarks = false\n\n[rules]\nset = \"x\"\n";
        let set = Set::from_toml(text);
        let told: Vec<_> = set
            .faults
            .iter()
            .map(|fault| (&text[fault.at.clone()], &*fault.message))
            .collect();
        let expected = [
            ("1", "`codeLens` is `true` or `false`"),
            (
                "lods",
                "`inlayHints.lods` is no setting; did you mean `inlayHints.loads`?",
            ),
            ("rules", "`rules` is no setting"),
        ];
        assert_eq!(told, expected);
        assert!(!Settings::of(&[&set]).inlay_hints.marks);
        let broken =
            Set::from_toml("codeLens = \nlog = \"loud\"\nlog = 'off'\ninlayHints = true\n");
        assert!(broken.faults.len() >= 3, "{:?}", broken.faults);
    }

    #[test]
    fn nothing_that_a_client_sends_is_passed_over() {
        let set = Set::from_json(
            &json!({"command": ["x"], "mildestFinding": "info", "inlayHints": 4, "Log": "off"}),
        );
        let expected = [
            "`Log` is no setting; did you mean `log`?",
            "`inlayHints` is a table of settings, not one setting",
            "`mildestFinding` is one of \"advice\", \"warning\", \"error\"",
        ];
        assert_eq!(told(&set), expected);
        assert_eq!(
            told(&Set::from_json(&json!([1]))),
            ["the settings are not an object"]
        );
        assert_eq!(told(&Set::from_json(&json!(null))), [""; 0]);
    }
}
