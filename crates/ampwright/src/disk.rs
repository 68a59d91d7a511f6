//! The disk: files of one workspace, read once, and never anything outside it.

use std::{
    collections::BTreeMap,
    fs::File,
    io::Read,
    path::{Path, PathBuf},
    sync::{Arc, Mutex, PoisonError},
};

use ampwright_notation::File as Parsed;

/// A file above this is refused, in bytes.
pub(crate) const LARGEST: u64 = ampwright_plan::sources::LARGEST as u64;

/// What marks a folder as a workspace.
const MARKS: [&str; 2] = [".git", "ampwright.toml"];

/// What came of reading a file.
pub(crate) type ReadFile = Result<Arc<Parsed>, String>;

/// A folder that bounds what its plans may read. Paths inside it are relative, with `/` between
/// their parts.
#[derive(Debug)]
pub(crate) struct Workspace {
    /// The folder, with every link followed.
    pub(crate) root: PathBuf,
    kept: Mutex<BTreeMap<String, ReadFile>>,
}

impl Workspace {
    /// The workspace at a root whose links have been followed.
    pub(crate) const fn at(root: PathBuf) -> Self {
        Self {
            root,
            kept: Mutex::new(BTreeMap::new()),
        }
    }

    /// Reads and parses a file.
    ///
    /// # Errors
    /// Why not, in one phrase.
    pub(crate) fn read(&self, relative: &str) -> ReadFile {
        let kept = || self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = kept().get(relative) {
            return known.clone();
        }
        let read = self
            .text(relative)
            .map(|text| Arc::new(Parsed::parse(&text)));
        kept().insert(relative.to_owned(), read.clone());
        read
    }

    fn text(&self, relative: &str) -> Result<String, String> {
        let real = self
            .root
            .join(relative)
            .canonicalize()
            .map_err(|error| phrase(&error))?;
        if !real.starts_with(&self.root) {
            return Err("it leads out of the workspace by a link".to_owned());
        }
        read_text(&real)
    }

    /// The path of a file inside this workspace.
    pub(crate) fn relative(&self, real: &Path) -> Option<String> {
        let parts = real
            .strip_prefix(&self.root)
            .ok()?
            .iter()
            .map(|part| part.to_str());
        parts
            .collect::<Option<Vec<_>>>()
            .map(|parts| parts.join("/"))
    }
}

/// The workspace folder of a folder: the nearest above it that is marked, else itself.
pub(crate) fn root_of(folder: &Path) -> PathBuf {
    let marked = |folder: &&Path| MARKS.iter().any(|mark| folder.join(mark).exists());
    folder.ancestors().find(marked).unwrap_or(folder).to_owned()
}

/// A file's text, never more of it than [`LARGEST`].
///
/// # Errors
/// Why not, in one phrase.
pub(crate) fn read_text(path: &Path) -> Result<String, String> {
    let about = path.metadata().map_err(|error| phrase(&error))?;
    if !about.is_file() {
        return Err("it is not a file".to_owned());
    }
    if about.len() > LARGEST {
        return Err(too_large());
    }
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(LARGEST + 1).read_to_end(&mut bytes))
        .map_err(|error| phrase(&error))?;
    if bytes.len() as u64 > LARGEST {
        return Err(too_large());
    }
    String::from_utf8(bytes).map_err(|error| {
        format!(
            "it is not UTF-8 text: the first wrong byte is number {}",
            error.utf8_error().valid_up_to() + 1
        )
    })
}

fn too_large() -> String {
    format!("it is above {} MiB, and no plan is", LARGEST >> 20)
}

/// The system's reason as a phrase, without its number.
pub(crate) fn phrase(error: &std::io::Error) -> String {
    use std::io::ErrorKind;
    match error.kind() {
        ErrorKind::NotFound => "there is no such file".to_owned(),
        ErrorKind::PermissionDenied => "reading it is not permitted".to_owned(),
        _ => error.to_string(),
    }
}
