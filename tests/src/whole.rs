//! The whole boats as lines of text, to be changed one line at a time and checked again.

use std::{collections::BTreeMap, fmt::Write, ops::Range, sync::Arc};

use ampwright_notation::File;
use ampwright_plan::{Plan, Sources};

/// A boat's files as lines, the root first.
#[derive(Clone, Debug)]
pub struct Whole {
    root: String,
    files: BTreeMap<String, Page>,
}

/// One file: its lines, and what they were read as.
#[derive(Clone, Debug)]
struct Page {
    lines: Vec<String>,
    file: Arc<File>,
}

impl Page {
    fn of(lines: Vec<String>) -> Self {
        let mut text = String::new();
        for line in &lines {
            let _ = writeln!(text, "{line}");
        }
        let file = Arc::new(File::parse(&text));
        Self { lines, file }
    }
}

/// A thing of a file: its head line and what is indented below it.
#[derive(Clone, Debug)]
pub struct Thing {
    /// The file.
    pub path: String,
    /// Its lines, the head first.
    pub lines: Range<usize>,
    /// The head's words.
    pub head: Vec<String>,
}

impl Thing {
    /// Its kind and name; empty words where the head has none.
    pub fn kind_and_name(&self) -> (&str, &str) {
        let word = |at: usize| self.head.get(at).map_or("", |word| word.as_str());
        (word(0), word(1))
    }
}

impl Whole {
    /// A boat below `examples`, with the files that stand beside it.
    ///
    /// # Panics
    /// It cannot be read.
    pub fn read(name: &str) -> Self {
        let folder = format!("{}/../examples/{name}", env!("CARGO_MANIFEST_DIR"));
        let entries = std::fs::read_dir(&folder).unwrap_or_else(|why| panic!("{folder}: {why}"));
        let mut files = BTreeMap::new();
        for path in entries.flatten().map(|entry| entry.path()) {
            let text = std::fs::read_to_string(&path).unwrap_or_else(|why| panic!("{why}"));
            let file = path
                .file_name()
                .and_then(|name| name.to_str())
                .unwrap_or_default();
            files.insert(
                file.to_owned(),
                Page::of(text.lines().map(str::to_owned).collect()),
            );
        }
        let root = format!("{name}.boat");
        Self { root, files }
    }

    /// A boat of these files, the first of them its root.
    pub fn of(files: &[(&str, &str)]) -> Self {
        let page = |text: &str| Page::of(text.lines().map(str::to_owned).collect());
        let pages = files
            .iter()
            .map(|(path, text)| ((*path).to_owned(), page(text)));
        Self {
            root: files
                .first()
                .map_or_else(String::new, |(path, _)| (*path).to_owned()),
            files: pages.collect(),
        }
    }

    /// Its plan.
    ///
    /// # Panics
    /// A file that it uses is missing.
    pub fn plan(&self) -> Plan {
        let read = |path: &str| {
            let page = self.files.get(path).ok_or_else(|| format!("no {path}"))?;
            Ok(page.file.clone())
        };
        let sources = Sources::gather(&self.root, &read).unwrap_or_else(|why| panic!("{why}"));
        assert!(sources.unusable.is_empty(), "{:?}", sources.unusable);
        Plan::of(sources)
    }

    /// The names of its files, the root's first.
    pub fn paths(&self) -> Vec<String> {
        let others = self.files.keys().filter(|path| **path != self.root);
        std::iter::once(&self.root).chain(others).cloned().collect()
    }

    /// A file's lines.
    pub fn lines(&self, path: &str) -> &[String] {
        self.files.get(path).map_or(&[], |page| &page.lines)
    }

    /// Every thing of every file.
    pub fn things(&self) -> Vec<Thing> {
        self.files
            .iter()
            .flat_map(|(path, page)| things(path, &page.lines))
            .collect()
    }

    /// The thing of a kind and name, if there is one.
    pub fn thing(&self, kind: &str, name: &str) -> Option<Thing> {
        self.things()
            .into_iter()
            .find(|thing| thing.kind_and_name() == (kind, name))
    }

    /// The same boat with these lines of a file in place of others.
    #[must_use]
    pub fn with(&self, path: &str, lines: Range<usize>, new: &[String]) -> Self {
        let mut boat = self.clone();
        let mut text = self.lines(path).to_vec();
        text.splice(lines, new.iter().cloned());
        boat.files.insert(path.to_owned(), Page::of(text));
        boat
    }

    /// The same boat with one line changed.
    #[must_use]
    pub fn with_line(&self, path: &str, line: usize, new: impl Into<String>) -> Self {
        self.with(path, line..line + 1, &[new.into()])
    }
}

fn things(path: &str, lines: &[String]) -> Vec<Thing> {
    let is_head = |line: &String| {
        line.chars()
            .next()
            .is_some_and(|c| !c.is_whitespace() && c != '#')
    };
    let heads: Vec<usize> = (0..lines.len()).filter(|&at| is_head(&lines[at])).collect();
    let below = |head: usize| {
        let rest = lines[head + 1..].iter();
        head + 1 + rest.take_while(|line| line.starts_with(' ')).count()
    };
    heads
        .into_iter()
        .map(|head| Thing {
            path: path.to_owned(),
            lines: head..below(head),
            head: lines[head].split_whitespace().map(str::to_owned).collect(),
        })
        .collect()
}
