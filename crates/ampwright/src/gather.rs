//! From paths to plans: which files below them are plans, which are parts of one, which are neither.

use std::{
    collections::{BTreeMap, BTreeSet},
    fs,
    path::{Path, PathBuf},
    sync::Arc,
};

use ampwright_notation::{File, Kind};
use ampwright_plan::Sources;

use crate::disk::{self, Workspace};

/// A folder of more entries than this is given up: somebody asked for a whole disk.
const MOST_ENTRIES: usize = 100_000;

/// What the paths come to, in the order of the paths' names.
#[derive(Debug, Default)]
pub(crate) struct Gathered {
    /// The plans.
    pub(crate) plans: Vec<Gather>,
    /// Files without a `boat` that no plan uses.
    pub(crate) unused: Vec<PathBuf>,
    /// What could not be read, and why.
    pub(crate) unread: Vec<(PathBuf, String)>,
}

/// A plan's files.
#[derive(Debug)]
pub(crate) struct Gather {
    /// Where they are.
    pub(crate) workspace: Arc<Workspace>,
    /// The files, the root first.
    pub(crate) sources: Sources,
}

/// A file that was met.
#[derive(Clone, Debug)]
struct Met {
    workspace: Arc<Workspace>,
    relative: String,
    /// It was named itself, not found in a folder.
    named: bool,
}

impl Met {
    fn path(&self) -> PathBuf {
        self.workspace.root.join(&self.relative)
    }

    fn read(&self) -> disk::ReadFile {
        self.workspace.read(&self.relative)
    }

    fn sources(&self) -> Result<Sources, String> {
        Sources::gather(&self.relative, &|path| self.workspace.read(path))
    }
}

/// Finds the plans of these paths.
pub(crate) fn gather(paths: &[PathBuf]) -> Gathered {
    let mut gathered = Gathered::default();
    let files = Finder::default().find(paths, &mut gathered.unread);
    let mut parts = Vec::new();
    for met in files {
        match met.read() {
            Err(why) => gathered.unread.push((met.path(), why)),
            Ok(file) if has_boat(&file) => gathered.add(&met),
            Ok(file) => parts.push((met, file)),
        }
    }
    gathered.place_parts(parts);
    gathered.plans.sort_by_key(Gather::path);
    gathered.unused.sort();
    gathered
}

impl Gather {
    /// The root file's path.
    pub(crate) fn path(&self) -> PathBuf {
        let root = self.sources.list.first();
        root.map_or_else(PathBuf::new, |root| self.workspace.root.join(&*root.path))
    }

    fn uses(&self, met: &Met) -> bool {
        self.workspace.root == met.workspace.root
            && self
                .sources
                .list
                .iter()
                .any(|source| *source.path == *met.relative)
    }
}

impl Gathered {
    fn add(&mut self, met: &Met) {
        match met.sources() {
            Ok(sources) => self.plans.push(Gather {
                workspace: Arc::clone(&met.workspace),
                sources,
            }),
            Err(why) => self.unread.push((met.path(), why)),
        }
    }

    /// Files without a boat: parts of the plans found, or of a plan beside them, or of none.
    fn place_parts(&mut self, parts: Vec<(Met, Arc<File>)>) {
        for (met, file) in parts {
            if self.is_used(&met) || (met.named && self.add_users_beside(&met)) {
                continue;
            }
            // One that was asked for, or that cannot be read as it stands, is shown rather than passed over.
            let flawed = !file.flaws.is_empty()
                || file
                    .chunks
                    .iter()
                    .any(|chunk| !chunk.thing.flaws.is_empty());
            if met.named || flawed {
                self.add(&met);
            } else {
                self.unused.push(met.path());
            }
        }
    }

    fn is_used(&self, met: &Met) -> bool {
        self.plans.iter().any(|plan| plan.uses(met))
    }

    /// Adds the plans of the same folder that use this file.
    fn add_users_beside(&mut self, met: &Met) -> bool {
        let path = met.path();
        let Some(folder) = path.parent() else {
            return false;
        };
        for path in boats_in(folder) {
            let Some(relative) = met.workspace.relative(&path) else {
                continue;
            };
            let beside = Met {
                relative,
                ..met.clone()
            };
            let is_plan = beside.read().is_ok_and(|file| has_boat(&file));
            if is_plan && let Ok(sources) = beside.sources() {
                let plan = Gather {
                    workspace: Arc::clone(&met.workspace),
                    sources,
                };
                if plan.uses(met) {
                    self.plans.push(plan);
                }
            }
        }
        self.is_used(met)
    }
}

fn has_boat(file: &File) -> bool {
    file.chunks
        .iter()
        .any(|chunk| chunk.thing.kind == Some(Kind::Boat))
}

fn boats_in(folder: &Path) -> BTreeSet<PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    entries
        .map(|entry| entry.path())
        .filter(|path| is_boat(path))
        .collect()
}

fn is_boat(path: &Path) -> bool {
    path.extension().is_some_and(|end| end == "boat")
}

/// Every .boat file of these paths with its workspace, each once, in the order of their names.
pub(crate) fn files(paths: &[PathBuf], unread: &mut Vec<(PathBuf, String)>) -> Vec<PathBuf> {
    let met = Finder::default().find(paths, unread);
    met.iter().map(Met::path).collect()
}

#[derive(Default)]
struct Finder {
    workspaces: BTreeMap<PathBuf, Arc<Workspace>>,
    met: BTreeMap<PathBuf, Met>,
    entries: usize,
}

impl Finder {
    fn find(mut self, paths: &[PathBuf], unread: &mut Vec<(PathBuf, String)>) -> Vec<Met> {
        for given in paths {
            match given.canonicalize() {
                Err(error) => unread.push((given.clone(), disk::phrase(&error))),
                Ok(real) if real.is_dir() => self.folder(given, &real, unread),
                Ok(real) => {
                    let folder = real.parent().unwrap_or(&real);
                    let root = disk::root_of(folder);
                    self.meet(&root, real, true, unread);
                }
            }
        }
        self.met.into_values().collect()
    }

    fn folder(&mut self, given: &Path, real: &Path, unread: &mut Vec<(PathBuf, String)>) {
        let root = disk::root_of(real);
        let before = (self.met.len(), unread.len());
        let mut folders = vec![real.to_owned()];
        while let Some(folder) = folders.pop() {
            if let Err(why) = self.entries_of(&folder, &root, &mut folders, unread) {
                unread.push((folder, why));
            }
        }
        if (self.met.len(), unread.len()) == before {
            unread.push((given.to_owned(), "there is no .boat file in it".to_owned()));
        }
    }

    fn entries_of(
        &mut self,
        folder: &Path,
        root: &Path,
        folders: &mut Vec<PathBuf>,
        unread: &mut Vec<(PathBuf, String)>,
    ) -> Result<(), String> {
        for entry in fs::read_dir(folder).map_err(|error| disk::phrase(&error))? {
            let entry = entry.map_err(|error| disk::phrase(&error))?;
            self.entries += 1;
            if self.entries > MOST_ENTRIES {
                folders.clear();
                return Err(format!(
                    "there are over {MOST_ENTRIES} files below it: name a smaller folder"
                ));
            }
            let hidden = entry.file_name().as_encoded_bytes().first() == Some(&b'.');
            // The entry's own type: a link is not followed, or a circle of them would have no end.
            match entry.file_type() {
                Ok(kind) if kind.is_dir() && !hidden => folders.push(entry.path()),
                Ok(kind) if kind.is_file() && is_boat(&entry.path()) => {
                    self.meet(root, entry.path(), false, unread);
                }
                _ => {}
            }
        }
        Ok(())
    }

    fn meet(
        &mut self,
        root: &Path,
        real: PathBuf,
        named: bool,
        unread: &mut Vec<(PathBuf, String)>,
    ) {
        let workspace = self
            .workspaces
            .entry(root.to_owned())
            .or_insert_with(|| Arc::new(Workspace::at(root.to_owned())));
        let Some(relative) = workspace.relative(&real) else {
            unread.push((real, "its name is not UTF-8 text".to_owned()));
            return;
        };
        let met = Met {
            workspace: Arc::clone(workspace),
            relative,
            named,
        };
        self.met.entry(real).or_insert(met).named |= named;
    }
}
