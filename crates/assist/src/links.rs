//! Links: a `use` line leads to the file that it brings in.

use std::ops::Range;

use ampwright_notation::Kind;
use ampwright_plan::{Plan, sources::beside};

use crate::cursor::file_of;

/// A link from a file's path to the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Link {
    /// The words.
    pub at: Range<usize>,
    /// The file, an index into [`ampwright_plan::Sources::list`].
    pub to: u32,
}

/// The links of a file. A line that brings nothing in is none.
pub fn links(plan: &Plan, file: u32) -> Vec<Link> {
    let Some((source, parsed)) = plan
        .sources
        .list
        .get(file as usize)
        .zip(file_of(plan, file))
    else {
        return Vec::new();
    };
    let uses = parsed
        .chunks
        .iter()
        .filter(|chunk| chunk.thing.kind == Some(Kind::Use));
    uses.filter_map(|chunk| {
        let name = chunk.thing.name.as_ref()?;
        let path = beside(&source.path, &name.value)?;
        let to = plan
            .sources
            .list
            .iter()
            .position(|source| *source.path == *path)?;
        Some(Link {
            at: chunk.absolute(name.span),
            to: to as u32,
        })
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use ampwright_notation::File;
    use ampwright_plan::{Plan, Sources};

    use super::links;

    #[test]
    fn a_used_file_is_linked_and_one_that_is_not_there_is_not() {
        let texts = [
            (
                "boats/a.boat",
                "boat a system 12 V\nuse \"../lamp.boat\" # in\nuse \"gone.boat\"\nuse \"../../x.boat\"\n",
            ),
            ("lamp.boat", "load l pump 5 A spare\n"),
        ];
        let read = |path: &str| {
            let found = texts.iter().find(|(name, _)| *name == path);
            let text = found.ok_or("it is not there")?.1;
            Ok(Arc::new(File::parse(text)))
        };
        let plan = Plan::of(Sources::gather("boats/a.boat", &read).unwrap());
        let found = links(&plan, 0);
        assert_eq!(found.len(), 1);
        assert_eq!(
            (&texts[0].1[found[0].at.clone()], found[0].to),
            ("\"../lamp.boat\"", 1)
        );
        assert!(links(&plan, 1).is_empty() && links(&plan, 9).is_empty());
    }
}
