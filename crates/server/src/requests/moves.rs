//! Files and folders that are about to be renamed: the `use` lines that have to follow.

use std::path::{Component, Path, PathBuf};

use ampwright_notation::{Kind, Span};
use ampwright_plan::sources::beside;
use serde_json::{Value, json};
use tower_lsp::{
    jsonrpc::Result,
    lsp_types::{RenameFilesParams, Url, WorkspaceEdit, request::WillRenameFiles},
};

use crate::{
    edits::{Edits, workspace_edit},
    state::Snapshot,
    transport::{CancelToken, Table},
};

pub(super) fn register(table: Table<Snapshot>) -> Table<Snapshot> {
    let advertise = json!({"workspace": {"fileOperations": {"willRename": moved_files()}}});
    table.on::<WillRenameFiles>(advertise, rename)
}

/// The files and folders whose moving the server is told of.
pub(crate) fn moved_files() -> Value {
    json!({"filters": [
        {"scheme": "file", "pattern": {"glob": "**/*.boat", "matches": "file"}},
        {"scheme": "file", "pattern": {"glob": "**", "matches": "folder"}},
    ]})
}

/// Where things will be: a path, or what a folder holds, from its old place to its new one.
struct Moves(Vec<(PathBuf, PathBuf)>);

impl Moves {
    fn of(params: &RenameFilesParams) -> Self {
        let path = |url: &str| Url::parse(url).ok()?.to_file_path().ok();
        let moves = params.files.iter();
        let moves = moves.filter_map(|file| Some((path(&file.old_uri)?, path(&file.new_uri)?)));
        Self(moves.collect())
    }

    fn after(&self, path: &Path) -> PathBuf {
        let moved = self.0.iter().find_map(|(old, new)| {
            let rest = path.strip_prefix(old).ok()?;
            // Joining nothing would add a slash.
            Some(if rest.as_os_str().is_empty() {
                new.clone()
            } else {
                new.join(rest)
            })
        });
        moved.unwrap_or_else(|| path.to_owned())
    }
}

fn rename(
    snapshot: &Snapshot,
    params: &RenameFilesParams,
    cancel: &CancelToken,
) -> Result<Option<WorkspaceEdit>> {
    let moves = Moves::of(params);
    let study = snapshot.study(cancel)?;
    let mut edits = Edits::new();
    for (url, read) in &study.files {
        let Some((folder, path)) = snapshot.files.place(url) else {
            continue;
        };
        for (at, name) in read.uses() {
            let Some(used) = beside(&path, name) else {
                continue;
            };
            let (user, used) = (folder.join(&path), folder.join(used));
            match follow(&moves, &folder, &user, &used) {
                Follow::Stays => {}
                Follow::As(name) => edits.entry(url.clone()).or_default().push((at, format!("\"{name}\""))),
                Follow::Lost => snapshot.client.warn(&format!(
                    "\"{name}\" will not be found any more: what a plan uses lies in its own workspace folder"
                )),
            }
        }
    }
    if edits.is_empty() {
        return Ok(None);
    }
    workspace_edit(snapshot, edits).map(Some)
}

/// What becomes of a `use` line.
#[derive(Debug, PartialEq)]
enum Follow {
    Stays,
    As(String),
    Lost,
}

fn follow(moves: &Moves, folder: &Path, user: &Path, used: &Path) -> Follow {
    let (new_user, new_used) = (moves.after(user), moves.after(used));
    let before = from_to(user, used);
    let after = from_to(&new_user, &new_used);
    if before == after {
        return Follow::Stays;
    }
    let inside = new_user.starts_with(folder) && new_used.starts_with(folder);
    match after.filter(|name| inside && !name.contains('"')) {
        Some(name) => Follow::As(name),
        None => Follow::Lost,
    }
}

/// The path of `used` as a file at `user` writes it.
fn from_to(user: &Path, used: &Path) -> Option<String> {
    let from: Vec<Component<'_>> = user.parent()?.components().collect();
    let to: Vec<Component<'_>> = used.components().collect();
    let common = from.iter().zip(&to).take_while(|(a, b)| a == b).count();
    let up = from[common..].iter().map(|_| Some(".."));
    let down = to[common..].iter().map(|part| part.as_os_str().to_str());
    Some(up.chain(down).collect::<Option<Vec<_>>>()?.join("/"))
}

impl crate::plans::ReadFile {
    /// What the file uses: where that is written, and the words between the quotes.
    fn uses(&self) -> impl Iterator<Item = (std::ops::Range<usize>, &str)> {
        let bytes = |at: u32, span: Span| (at + span.start) as usize..(at + span.end) as usize;
        self.file().chunks.iter().filter_map(move |chunk| {
            let name = chunk.thing.name.as_ref()?;
            let is_use = chunk.thing.kind == Some(Kind::Use);
            is_use.then(|| (bytes(chunk.at, name.span), &*name.value))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn followed(old: &str, new: &str, user: &str, used: &str) -> Follow {
        let moves = Moves(vec![(old.into(), new.into())]);
        follow(&moves, Path::new("/w"), Path::new(user), Path::new(used))
    }

    #[test]
    fn a_use_line_follows_the_file_and_its_user() {
        let to = |name: &str| Follow::As(name.to_owned());
        let lights = "/w/b/lights.boat";
        assert_eq!(
            followed(lights, "/w/b/lamps.boat", "/w/b/a.boat", lights),
            to("lamps.boat")
        );
        assert_eq!(
            followed(lights, "/w/c/lamps.boat", "/w/b/a.boat", lights),
            to("../c/lamps.boat")
        );
        assert_eq!(
            followed("/w/b/a.boat", "/w/a.boat", "/w/b/a.boat", lights),
            to("b/lights.boat")
        );
        assert_eq!(
            followed("/w/b", "/w/c/d", "/w/a.boat", lights),
            to("c/d/lights.boat")
        );
        assert_eq!(
            followed("/w/b", "/w/c/d", "/w/b/a.boat", lights),
            Follow::Stays
        );
        assert_eq!(
            followed("/w/x", "/w/y", "/w/b/a.boat", lights),
            Follow::Stays
        );
        assert_eq!(
            followed(lights, "/v/lights.boat", "/w/b/a.boat", lights),
            Follow::Lost
        );
        assert_eq!(
            followed(lights, "/w/b/a\"b.boat", "/w/b/a.boat", lights),
            Follow::Lost
        );
    }
}
