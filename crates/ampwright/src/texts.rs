//! A plan's texts for printing: paths as the reader knows them, lines and columns.

use std::{
    cell::OnceCell,
    ops::Range,
    path::{Path, PathBuf},
};

use ampwright_plan::{Plan, Site};

use crate::visible::visible;

/// A place in a text: line and column from 1, the column in characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Place {
    pub(crate) line: usize,
    pub(crate) column: usize,
}

/// A file's text and where its lines begin.
#[derive(Debug)]
pub(crate) struct Text {
    pub(crate) text: String,
    starts: Vec<u32>,
}

/// The texts of a plan, each made when it is first needed.
#[derive(Debug)]
pub(crate) struct Texts<'a> {
    plan: &'a Plan,
    root: &'a Path,
    here: PathBuf,
    made: Vec<OnceCell<Text>>,
}

impl Text {
    fn new(text: String) -> Self {
        let ends = text.bytes().enumerate().filter(|&(_, byte)| byte == b'\n');
        let starts = std::iter::once(0)
            .chain(ends.map(|(at, _)| at as u32 + 1))
            .collect();
        Self { text, starts }
    }

    /// The line of an offset, from 0.
    pub(crate) fn line(&self, offset: usize) -> usize {
        self.starts
            .partition_point(|&start| start as usize <= offset)
            .saturating_sub(1)
    }

    /// A line's bytes without its ending, `line` from 0.
    pub(crate) fn line_range(&self, line: usize) -> Range<usize> {
        let at = |line: usize| {
            self.starts
                .get(line)
                .map_or(self.text.len(), |&start| start as usize)
        };
        let (start, end) = (at(line), at(line + 1));
        let without_ending = self.text[start..end].trim_end_matches(['\n', '\r']);
        start..start + without_ending.len()
    }

    /// Where an offset stands for people.
    pub(crate) fn place(&self, offset: usize) -> Place {
        let offset = self.text.floor_char_boundary(offset);
        let line = self.line(offset);
        let start = self.line_range(line).start;
        Place {
            line: line + 1,
            column: self.text[start..offset].chars().count() + 1,
        }
    }
}

impl<'a> Texts<'a> {
    /// The texts of a plan whose workspace is `root`.
    pub(crate) fn new(plan: &'a Plan, root: &'a Path) -> Self {
        Self {
            plan,
            root,
            here: here(),
            made: plan.sources.list.iter().map(|_| OnceCell::new()).collect(),
        }
    }

    /// A file's text.
    pub(crate) fn text(&self, file: u32) -> Option<&Text> {
        let source = self.plan.sources.list.get(file as usize)?;
        let cell = self.made.get(file as usize)?;
        Some(cell.get_or_init(|| Text::new(source.file.text())))
    }

    /// A file's path from where the reader stands.
    pub(crate) fn path(&self, file: u32) -> String {
        let source = self.plan.sources.list.get(file as usize);
        source.map_or_else(String::new, |source| {
            from(&self.here, &self.root.join(&*source.path))
        })
    }

    /// The bytes of a site, inside its text whatever the site says.
    pub(crate) fn range(&self, site: Site) -> Range<usize> {
        let range = self.plan.sources.range(site);
        let Some(text) = self.text(site.file) else {
            return 0..0;
        };
        let start = text.text.floor_char_boundary(range.start);
        start..text.text.floor_char_boundary(range.end).max(start)
    }

    /// Where a site begins and ends for people.
    pub(crate) fn places(&self, site: Site) -> (Place, Place) {
        let range = self.range(site);
        let start = Place { line: 1, column: 1 };
        self.text(site.file).map_or((start, start), |text| {
            (text.place(range.start), text.place(range.end))
        })
    }
}

/// The folder that the reader stands in.
pub(crate) fn here() -> PathBuf {
    let here = std::env::current_dir().unwrap_or_default();
    here.canonicalize().unwrap_or(here)
}

/// A path from where the reader stands, fit for a terminal.
pub(crate) fn from(here: &Path, path: &Path) -> String {
    let near = path.strip_prefix(here).unwrap_or(path);
    visible(&near.to_string_lossy()).replace('\\', "/")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_counted_in_characters() {
        let text = Text::new("boat möwe\r\n    system 12 V\n".to_owned());
        assert_eq!(text.place(8), Place { line: 1, column: 8 });
        assert_eq!(text.place(16), Place { line: 2, column: 5 });
        assert_eq!(&text.text[text.line_range(0)], "boat möwe");
        assert_eq!(text.place(999), Place { line: 3, column: 1 });
    }
}
