//! The files on disk: the only module that reads one, and only inside the workspace.
//!
//! The workspace is the client's folders, or, where it has none, the folders of the open documents.
//! A path is followed to its end before it is judged, so no link leads out. What is read is kept
//! until the file changes; what cannot be taken is refused with words for the writer.

use std::{
    collections::BTreeMap,
    fmt, fs, io,
    io::Read,
    path::{Component, Path, PathBuf},
    sync::{Arc, Mutex, PoisonError},
    time::{Duration, Instant, SystemTime},
};

use serde_json::Value;
use tower_lsp::lsp_types::Url;

use crate::documents::{LARGEST, Text};

/// Bounds of what is kept and of what is searched.
const MOST_KEPT: usize = 64 << 20;
const MOST_ENTRIES: usize = 100_000;

/// Why a file is not read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// It is not in the workspace, or not a file's address.
    Outside,
    /// It cannot be read: the system's words.
    Unreadable(String),
    /// It is above [`LARGEST`].
    TooLarge,
    /// It is not UTF-8; the byte at which that shows.
    NotText(usize),
    /// It is open, and what the client has is not known.
    OutOfStep,
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Outside => f.write_str("it is outside the workspace"),
            Self::Unreadable(why) => f.write_str(why),
            Self::TooLarge => write!(f, "it is above {} MiB", LARGEST >> 20),
            Self::NotText(at) => write!(f, "it is not UTF-8 text (byte {at})"),
            Self::OutOfStep => {
                f.write_str("the editor and the server have lost step on it; open it anew")
            }
        }
    }
}

impl std::error::Error for Refused {}

#[derive(Debug)]
struct Kept {
    stamp: (Option<SystemTime>, u64),
    text: Arc<Text>,
}

/// A folder as the client names it, and where that leads.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Folder {
    given: PathBuf,
    real: PathBuf,
}

/// The folders, and what was read from them. Cheap to clone; clones share what was read.
#[derive(Clone, Debug, Default)]
pub struct Workspace {
    folders: Arc<Vec<Folder>>,
    stand_in: bool,
    kept: Arc<Mutex<BTreeMap<PathBuf, Kept>>>,
    trusts: bool,
    looked: Arc<Mutex<Looked>>,
}

/// What the disk was seen to hold. Where the client tells of changes, this stands for a moment: a
/// keystroke does not ask for a thousand files whether they are still the same.
#[derive(Debug, Default)]
struct Looked {
    since: Option<Instant>,
    boats: Option<Vec<PathBuf>>,
    texts: BTreeMap<PathBuf, Arc<Text>>,
}

/// So long: a client may tell late, or not of every file.
const MOMENT: Duration = Duration::from_secs(2);

impl Looked {
    /// This, where it is still to be trusted, else empty.
    fn fresh(&mut self) -> &mut Self {
        if self.since.is_none_or(|since| since.elapsed() > MOMENT) {
            *self = Self {
                since: Some(Instant::now()),
                ..Self::default()
            };
        }
        self
    }
}

impl Workspace {
    /// Whether the client tells when files change.
    pub fn trust_word(&mut self, trusts: bool) {
        self.trusts = trusts;
    }

    /// Forgets what the disk was seen to hold: something has changed. Snapshots from before keep it.
    pub fn look_anew(&mut self) {
        self.looked = Arc::default();
    }

    fn looked<T>(&self, get: impl FnOnce(&mut Looked) -> Option<T>) -> Option<T> {
        let mut looked = self.looked.lock().unwrap_or_else(PoisonError::into_inner);
        self.trusts.then(|| get(looked.fresh())).flatten()
    }

    /// Makes these the folders. Those that are not on disk are left out.
    pub fn set_folders(&mut self, folders: impl IntoIterator<Item = PathBuf>) {
        let real = |given: PathBuf| given.canonicalize().ok().map(|real| Folder { given, real });
        let mut folders: Vec<Folder> = folders.into_iter().filter_map(real).collect();
        folders.sort();
        folders.dedup();
        self.folders = Arc::new(folders);
        self.stand_in = false;
        self.look_anew();
    }

    /// Makes these stand in for folders that the client does not name. They may be anything, a home
    /// folder or the root: what an open plan uses is read from them, but they are not searched.
    pub fn stand_in(&mut self, folders: impl IntoIterator<Item = PathBuf>) {
        self.set_folders(folders);
        self.stand_in = true;
    }

    /// The folders, as the client names them, in order.
    pub fn folders(&self) -> impl Iterator<Item = &Path> {
        self.folders.iter().map(|folder| &*folder.given)
    }

    /// The innermost folder that a path lies in, as the client names it.
    pub fn folder_of(&self, path: &Path) -> Option<&Path> {
        let plain = path
            .components()
            .all(|part| !matches!(part, Component::ParentDir));
        let holding = self
            .folders
            .iter()
            .map(|folder| &*folder.given)
            .filter(|given| plain && path.starts_with(given));
        holding.max_by_key(|given| given.components().count())
    }

    /// Reads a file of the workspace.
    ///
    /// # Errors
    /// Why it is not read, in words for the writer.
    pub fn read(&self, path: &Path) -> Result<Arc<Text>, Refused> {
        // Before the disk is asked: nothing outside is even told to be there or not.
        self.folder_of(path).ok_or(Refused::Outside)?;
        if let Some(text) = self.looked(|looked| looked.texts.get(path).cloned()) {
            return Ok(text);
        }
        let text = self.look_at(path)?;
        self.looked(|looked| looked.texts.insert(path.to_owned(), Arc::clone(&text)));
        Ok(text)
    }

    fn look_at(&self, path: &Path) -> Result<Arc<Text>, Refused> {
        let real = path.canonicalize().map_err(|error| unreadable(&error))?;
        if !self
            .folders
            .iter()
            .any(|folder| real.starts_with(&folder.real))
        {
            return Err(Refused::Outside);
        }
        let about = fs::metadata(&real).map_err(|error| unreadable(&error))?;
        if !about.is_file() {
            return Err(Refused::Unreadable("it is not a file".into()));
        }
        let stamp = (about.modified().ok(), about.len());
        if let Some(text) = self.kept(&real, stamp) {
            return Ok(text);
        }
        let text = Arc::new(Text::new(read_bounded(&real)?));
        self.keep(
            real,
            Kept {
                stamp,
                text: Arc::clone(&text),
            },
        );
        Ok(text)
    }

    /// The plans of the workspace, in order. Hidden folders are not searched, links not followed.
    pub fn boats(&self) -> Vec<PathBuf> {
        if self.stand_in {
            return Vec::new();
        }
        if let Some(boats) = self.looked(|looked| looked.boats.clone()) {
            return boats;
        }
        let boats = self.search();
        self.looked(|looked| looked.boats.replace(boats.clone()));
        boats
    }

    fn search(&self) -> Vec<PathBuf> {
        let mut found = Vec::new();
        let mut left = MOST_ENTRIES;
        let mut folders: Vec<PathBuf> = self
            .folders
            .iter()
            .map(|folder| folder.given.clone())
            .collect();
        while let Some(folder) = folders.pop() {
            for entry in fs::read_dir(&folder)
                .into_iter()
                .flatten()
                .flatten()
                .take(left)
            {
                left -= 1;
                let hidden = entry.file_name().as_encoded_bytes().starts_with(b".");
                match entry.file_type() {
                    Ok(kind) if kind.is_dir() && !hidden => folders.push(entry.path()),
                    Ok(kind) if kind.is_file() && is_boat(&entry.path()) => {
                        found.push(entry.path());
                    }
                    _ => {}
                }
            }
        }
        found.sort();
        found.dedup();
        found
    }

    fn kept(&self, real: &Path, stamp: (Option<SystemTime>, u64)) -> Option<Arc<Text>> {
        let kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        kept.get(real)
            .filter(|kept| kept.stamp == stamp)
            .map(|kept| Arc::clone(&kept.text))
    }

    fn keep(&self, real: PathBuf, new: Kept) {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let size: usize = kept.values().map(|kept| kept.text.text.len()).sum();
        if size + new.text.text.len() > MOST_KEPT {
            kept.clear();
        }
        kept.insert(real, new);
    }
}

fn is_boat(path: &Path) -> bool {
    path.extension()
        .is_some_and(|extension| extension == "boat")
}

/// Reads to one byte above the bound, whatever length the system claims.
fn read_bounded(path: &Path) -> Result<String, Refused> {
    let file = fs::File::open(path).map_err(|error| unreadable(&error))?;
    let mut bytes = Vec::new();
    file.take(LARGEST as u64 + 1)
        .read_to_end(&mut bytes)
        .map_err(|error| unreadable(&error))?;
    if bytes.len() > LARGEST {
        return Err(Refused::TooLarge);
    }
    String::from_utf8(bytes).map_err(|error| Refused::NotText(error.utf8_error().valid_up_to()))
}

fn unreadable(error: &io::Error) -> Refused {
    match error.kind() {
        io::ErrorKind::NotFound => Refused::Unreadable("there is no such file".into()),
        io::ErrorKind::PermissionDenied => Refused::Unreadable("it may not be read".into()),
        _ => Refused::Unreadable(error.to_string()),
    }
}

/// The folders that a client names when it begins: its list, or the root of older clients.
pub(crate) fn folders_of(initialize: &Value) -> Vec<PathBuf> {
    let path = |url: &str| Url::parse(url).ok()?.to_file_path().ok();
    let list = initialize.get("workspaceFolders").and_then(Value::as_array);
    let listed = list
        .into_iter()
        .flatten()
        .filter_map(|folder| folder.get("uri")?.as_str());
    let root_url = initialize.get("rootUri").and_then(Value::as_str);
    let root_path = initialize.get("rootPath").and_then(Value::as_str);
    let folders: Vec<PathBuf> = listed.filter_map(path).collect();
    if folders.is_empty() {
        root_url
            .and_then(path)
            .or(root_path.map(PathBuf::from))
            .into_iter()
            .collect()
    } else {
        folders
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn workspace(folder: &Path) -> Workspace {
        let mut workspace = Workspace::default();
        workspace.set_folders([folder.to_owned()]);
        workspace
    }

    #[test]
    fn a_file_is_read_anew_when_it_has_changed() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("curlew.boat");
        let workspace = workspace(folder.path());
        fs::write(&path, "one").expect("written");
        let first = workspace.read(&path).expect("read");
        assert!(Arc::ptr_eq(&first, &workspace.read(&path).expect("read")));
        fs::write(&path, "three").expect("written");
        assert_eq!(&*workspace.read(&path).expect("read").text, "three");
    }

    #[test]
    fn where_the_client_tells_of_changes_the_disk_is_not_asked_each_time() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("curlew.boat");
        let mut workspace = workspace(folder.path());
        workspace.trust_word(true);
        fs::write(&path, "one").expect("written");
        assert_eq!(workspace.boats(), [&*path]);
        let snapshot = workspace.clone();
        workspace.read(&path).expect("read");
        fs::remove_file(&path).expect("removed");
        assert_eq!(&*workspace.read(&path).expect("kept").text, "one");
        workspace.look_anew();
        assert!(workspace.read(&path).is_err());
        assert_eq!(workspace.boats(), Vec::<PathBuf>::new());
        assert_eq!(
            snapshot.boats(),
            [&*path],
            "what was asked before sees what was there"
        );
    }

    #[test]
    fn nothing_outside_the_workspace_is_read() {
        let outer = tempfile::tempdir().expect("a folder");
        let inner = outer.path().join("boats");
        fs::create_dir(&inner).expect("made");
        fs::write(outer.path().join("secret.boat"), "x").expect("written");
        let workspace = workspace(&inner);
        assert_eq!(
            workspace.read(&inner.join("../secret.boat")).err(),
            Some(Refused::Outside)
        );
        assert_eq!(
            workspace.read(&outer.path().join("none.boat")).err(),
            Some(Refused::Outside)
        );
        assert_eq!(
            workspace.read(Path::new("/dev/null")).err(),
            Some(Refused::Outside)
        );
        assert_eq!(workspace.folder_of(&inner.join("../secret.boat")), None);
        assert_eq!(workspace.folder_of(&inner.join("a/b.boat")), Some(&*inner));
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink(outer.path(), inner.join("link")).expect("linked");
            assert_eq!(
                workspace.read(&inner.join("link/secret.boat")).err(),
                Some(Refused::Outside)
            );
            assert_eq!(workspace.boats(), Vec::<PathBuf>::new());
        }
    }

    #[test]
    fn what_cannot_be_a_plan_is_refused_in_words() {
        let folder = tempfile::tempdir().expect("a folder");
        let workspace = workspace(folder.path());
        let words = |name: &str| {
            workspace
                .read(&folder.path().join(name))
                .err()
                .map(|why| why.to_string())
        };
        fs::write(folder.path().join("bytes.boat"), b"boat\n\xff").expect("written");
        let large = fs::File::create(folder.path().join("large.boat")).expect("made");
        large.set_len(LARGEST as u64 + 1).expect("sized");
        assert_eq!(
            words("bytes.boat").as_deref(),
            Some("it is not UTF-8 text (byte 5)")
        );
        assert_eq!(words("large.boat").as_deref(), Some("it is above 8 MiB"));
        assert_eq!(words("none.boat").as_deref(), Some("there is no such file"));
        assert_eq!(words(".").as_deref(), Some("it is not a file"));
    }

    #[test]
    fn plans_are_found_in_order_and_hidden_folders_left_alone() {
        let folder = tempfile::tempdir().expect("a folder");
        for name in ["b.boat", "a/c.boat", ".git/d.boat", "notes.txt"] {
            let path = folder.path().join(name);
            fs::create_dir_all(path.parent().expect("a parent")).expect("made");
            fs::write(path, "").expect("written");
        }
        let mut stand_in = Workspace::default();
        stand_in.stand_in([folder.path().to_owned()]);
        assert_eq!(stand_in.boats(), Vec::<PathBuf>::new());
        assert!(stand_in.read(&folder.path().join("b.boat")).is_ok());
        let expected = ["a/c.boat", "b.boat"].map(|name| folder.path().join(name));
        assert_eq!(workspace(folder.path()).boats(), expected);
    }

    #[test]
    fn the_folders_come_from_whichever_field_the_client_fills() {
        let folders = |params: Value| folders_of(&params);
        let listed = json!({"workspaceFolders": [{"uri": "file:///a", "name": "a"}], "rootUri": "file:///b"});
        assert_eq!(folders(listed), [PathBuf::from("/a")]);
        assert_eq!(
            folders(json!({"workspaceFolders": null, "rootUri": "file:///b"})),
            [PathBuf::from("/b")]
        );
        assert_eq!(
            folders(json!({"rootUri": null, "rootPath": "/c"})),
            [PathBuf::from("/c")]
        );
        assert_eq!(folders(json!({"rootUri": 4})), Vec::<PathBuf>::new());
    }
}
