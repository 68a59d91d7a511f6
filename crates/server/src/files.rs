//! The files as a snapshot sees them: open documents first, the disk behind them.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
};

use tower_lsp::lsp_types::{Position, Range, Url};

use crate::{
    documents::{Documents, Text},
    positions::Encoding,
    settings,
    workspace::{Refused, Workspace},
};

/// Every text there is. Cheap to clone.
#[derive(Clone, Debug, Default)]
pub struct Files {
    /// The open documents.
    pub documents: Documents,
    /// The disk.
    pub workspace: Workspace,
    /// How the client counts characters.
    pub encoding: Encoding,
}

impl Files {
    /// The text at an address: as the editor has it where it is open, else as the disk has it.
    ///
    /// # Errors
    /// Why there is none, in words for the writer.
    pub fn read(&self, url: &Url) -> Result<Arc<Text>, Refused> {
        let path = url.to_file_path().ok();
        let open = self
            .documents
            .get(url)
            .or_else(|| self.documents.at(path.as_deref()?));
        match open {
            Some(document) if document.in_step() => Ok(Arc::clone(document.text())),
            Some(_) => Err(Refused::OutOfStep),
            None => self.workspace.read(&path.ok_or(Refused::Outside)?),
        }
    }

    /// A plan's place: the folder that bounds what it may use, and its path below that folder,
    /// with `/` between the parts. `None` outside the workspace.
    pub fn place(&self, url: &Url) -> Option<(PathBuf, String)> {
        let path = url.to_file_path().ok()?;
        let folder = self.workspace.folder_of(&path)?;
        let parts = path
            .strip_prefix(folder)
            .ok()?
            .iter()
            .map(|part| part.to_str());
        Some((
            folder.to_owned(),
            parts.collect::<Option<Vec<_>>>()?.join("/"),
        ))
    }

    /// The address of a path below a folder: the one the client uses, where the file is open.
    pub fn address(&self, folder: &Path, path: &str) -> Option<Url> {
        let path = folder.join(path);
        self.documents
            .address(&path)
            .cloned()
            .or_else(|| Url::from_file_path(&path).ok())
    }

    /// The plans: those of the workspace and those that are open, in the order of their addresses.
    pub fn boats(&self) -> Vec<Url> {
        let on_disk = self.workspace.boats().into_iter();
        let on_disk = on_disk.filter_map(|path| self.address(Path::new(""), path.to_str()?));
        let mut boats: Vec<Url> = on_disk
            .chain(self.documents.iter().map(|(url, _)| url.clone()))
            .filter(|url| !is_settings(url))
            .collect();
        boats.sort();
        boats.dedup();
        boats
    }

    /// The byte of a text that a position means.
    pub fn offset(&self, text: &Text, position: Position) -> usize {
        text.offset(position, self.encoding)
    }

    /// The positions of a range of a text's bytes.
    pub fn range(&self, text: &Text, bytes: std::ops::Range<usize>) -> Range {
        text.range(bytes, self.encoding)
    }
}

/// Whether an address is that of a settings file, which some clients open like a plan.
fn is_settings(url: &Url) -> bool {
    url.path_segments().and_then(Iterator::last) == Some(settings::FILE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_document_is_found_by_any_spelling_of_its_address() {
        let url = |text: &str| Url::parse(text).expect("a url");
        let mut files = Files::default();
        let opened = files
            .documents
            .open(url("file:///boats/a%26b.boat"), 1, "text");
        opened.expect("it fits");
        let read = files
            .read(&url("file:///boats/a&b.boat"))
            .expect("it is open");
        assert_eq!(read.text, "text");
        let address = files.address(Path::new("/boats"), "a&b.boat");
        assert_eq!(address, Some(url("file:///boats/a%26b.boat")));
    }
}
