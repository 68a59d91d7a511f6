//! The files of one plan: the root and what it uses, inside the workspace only.
//!
//! Nothing here reads a disk: the caller hands over a reader. Paths are relative to the workspace,
//! with `/` between their parts, and a path that would climb above the workspace is refused here,
//! before anybody is asked for it.

use std::{collections::BTreeMap, ops::Range, sync::Arc};

use ampwright_notation::{File, Kind, Thing};

use crate::site::{Site, ThingRef};

/// One file of a plan.
#[derive(Clone, Debug)]
pub struct Source {
    /// Path relative to the workspace.
    pub path: Arc<str>,
    /// The file as parsed.
    pub file: Arc<File>,
}

/// The files of one plan, the root first, the used ones in the order in which they are met.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    /// The files.
    pub list: Vec<Source>,
    /// `use` lines that bring nothing in, and why.
    pub unusable: Vec<Unusable>,
}

/// A `use` line that cannot be followed.
#[derive(Clone, Debug)]
pub struct Unusable {
    /// The line.
    pub site: Site,
    /// Why.
    pub why: Why,
}

/// Why a `use` line cannot be followed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Why {
    /// The path climbs above the workspace or is absolute.
    Outside,
    /// The reader could not give the file; its own words.
    Unreadable(String),
    /// The file uses, directly or through others, the file that uses it.
    Circle,
    /// More files than [`MOST_FILES`].
    TooMany,
}

/// A plan of more files than this is refused beyond them: it is a mistake or an attack.
pub const MOST_FILES: usize = 1_000;

/// The largest file that is read, in bytes: a fleet's worth of text. A larger one is a mistake or an
/// attack, and reading it would take memory by the gigabyte.
pub const LARGEST: usize = 8 << 20;

/// Gives a file of the workspace, or says in one phrase why not.
pub type Reader<'a> = dyn Fn(&str) -> Result<Arc<File>, String> + 'a;

impl Sources {
    /// The root and everything it uses.
    ///
    /// # Errors
    /// The root itself cannot be read; the reader's own words.
    pub fn gather(root: &str, read: &Reader<'_>) -> Result<Self, String> {
        let file = read(root)?;
        let mut sources = Self {
            list: vec![Source {
                path: root.into(),
                file,
            }],
            unusable: Vec::new(),
        };
        let mut known = BTreeMap::from([(root.to_owned(), 0u32)]);
        let mut parents = vec![None];
        let mut next = 0;
        while next < sources.list.len() {
            sources.follow_uses(next, read, &mut known, &mut parents);
            next += 1;
        }
        Ok(sources)
    }

    /// A plan of one text, for tests and tools.
    pub fn single(path: &str, text: &str) -> Self {
        Self {
            list: vec![Source {
                path: path.into(),
                file: Arc::new(File::parse(text)),
            }],
            unusable: Vec::new(),
        }
    }

    fn follow_uses(
        &mut self,
        index: usize,
        read: &Reader<'_>,
        known: &mut BTreeMap<String, u32>,
        parents: &mut Vec<Option<u32>>,
    ) {
        let Source { path, file } = self.list[index].clone();
        for (thing, chunk) in file.chunks.iter().enumerate() {
            let (Some(Kind::Use), Some(name)) = (chunk.thing.kind, &chunk.thing.name) else {
                continue;
            };
            let site = ThingRef {
                file: index as u32,
                thing: thing as u32,
            }
            .at(name.span);
            if let Err(why) = self.bring_in(&path, &name.value, index as u32, read, known, parents)
            {
                self.unusable.push(Unusable { site, why });
            }
        }
    }

    fn bring_in(
        &mut self,
        from: &str,
        name: &str,
        user: u32,
        read: &Reader<'_>,
        known: &mut BTreeMap<String, u32>,
        parents: &mut Vec<Option<u32>>,
    ) -> Result<(), Why> {
        let path = beside(from, name).ok_or(Why::Outside)?;
        if let Some(&index) = known.get(&path) {
            return if is_ancestor(parents, index, user) {
                Err(Why::Circle)
            } else {
                Ok(())
            };
        }
        if self.list.len() >= MOST_FILES {
            return Err(Why::TooMany);
        }
        let file = read(&path).map_err(Why::Unreadable)?;
        known.insert(path.clone(), self.list.len() as u32);
        parents.push(Some(user));
        self.list.push(Source {
            path: path.into(),
            file,
        });
        Ok(())
    }

    /// The thing a reference names.
    pub fn thing(&self, at: ThingRef) -> Option<&Thing> {
        self.list
            .get(at.file as usize)?
            .file
            .chunks
            .get(at.thing as usize)
            .map(|chunk| &*chunk.thing)
    }

    /// Every thing of the plan with its reference.
    pub fn things(&self) -> impl Iterator<Item = (ThingRef, &Thing)> {
        self.list.iter().enumerate().flat_map(|(file, source)| {
            source
                .file
                .chunks
                .iter()
                .enumerate()
                .map(move |(thing, chunk)| {
                    (
                        ThingRef {
                            file: file as u32,
                            thing: thing as u32,
                        },
                        &*chunk.thing,
                    )
                })
        })
    }

    /// The bytes of a site in its file.
    pub fn range(&self, site: Site) -> Range<usize> {
        let at = self
            .list
            .get(site.file as usize)
            .and_then(|source| source.file.chunks.get(site.thing as usize))
            .map_or(0, |chunk| chunk.at as usize);
        at + site.span.start as usize..at + site.span.end as usize
    }

    /// The words of a thing's name, or of its kind where it has none.
    pub fn name_site(&self, at: ThingRef) -> Site {
        let words = |thing: &Thing| {
            thing
                .name
                .as_ref()
                .map_or(thing.kind_span, |name| name.span)
        };
        at.at(self.thing(at).map(words).unwrap_or_default())
    }

    /// The words of a site.
    pub fn words(&self, site: Site) -> &str {
        self.thing(ThingRef {
            file: site.file,
            thing: site.thing,
        })
        .and_then(|thing| {
            thing
                .text
                .get(site.span.start as usize..site.span.end as usize)
        })
        .unwrap_or("")
    }
}

fn is_ancestor(parents: &[Option<u32>], candidate: u32, of: u32) -> bool {
    let mut at = Some(of);
    while let Some(index) = at {
        if index == candidate {
            return true;
        }
        at = parents.get(index as usize).copied().flatten();
    }
    false
}

/// The path that `name`, written in the file `from`, means; `None` where it leaves the workspace.
pub fn beside(from: &str, name: &str) -> Option<String> {
    if name.is_empty() || name.starts_with(['/', '\\']) || name.contains([':', '\\', '\0']) {
        return None;
    }
    let mut parts: Vec<&str> = from.split('/').collect();
    parts.pop();
    for part in name.split('/') {
        match part {
            "" | "." => {}
            ".." => {
                parts.pop()?;
            }
            part => parts.push(part),
        }
    }
    (!parts.is_empty()).then(|| parts.join("/"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_used_path_stays_inside_the_workspace() {
        assert_eq!(
            beside("boats/curlew.boat", "lights.boat").as_deref(),
            Some("boats/lights.boat")
        );
        assert_eq!(
            beside("boats/curlew.boat", "../common.boat").as_deref(),
            Some("common.boat")
        );
        assert_eq!(beside("curlew.boat", "../other.boat"), None);
        assert_eq!(beside("curlew.boat", "/etc/passwd"), None);
        assert_eq!(beside("curlew.boat", "c:\\x.boat"), None);
    }
}
