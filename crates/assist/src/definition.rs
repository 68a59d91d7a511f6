//! From a name to the thing that carries it, in whichever file of the plan that stands.

use ampwright_plan::{Plan, sources::beside};

use crate::{
    cursor::{FileRange, extent, file_of},
    names::{self, Symbol},
};

/// Where a definition stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Target {
    /// The words that were pointed at.
    pub from: FileRange,
    /// The name that defines it.
    pub name: FileRange,
    /// The whole thing, its note included.
    pub whole: FileRange,
}

/// The definitions of what stands at an offset. On a panel's own way: the runs that start there.
pub fn definition(plan: &Plan, file: u32, offset: usize) -> Vec<Target> {
    let Some((symbol, from)) = names::symbol_at(plan, file, offset) else {
        return Vec::new();
    };
    if let Symbol::File(path) = &symbol {
        return used_file(plan, &from, path).into_iter().collect();
    }
    let all = names::all(plan, &symbol);
    let is_here = |range: &FileRange| *range == from;
    let on_way = matches!(symbol, Symbol::Way(..))
        && all
            .iter()
            .any(|(range, defines)| *defines && is_here(range));
    all.into_iter()
        .filter(|(_, defines)| *defines != on_way)
        .map(|(name, _)| Target {
            whole: whole(plan, &name),
            from: from.clone(),
            name,
        })
        .collect()
}

fn used_file(plan: &Plan, from: &FileRange, path: &str) -> Option<Target> {
    let user = plan.sources.list.get(from.file as usize)?;
    let path = beside(&user.path, path)?;
    let index = plan
        .sources
        .list
        .iter()
        .position(|source| *source.path == *path)?;
    let start = FileRange {
        file: index as u32,
        range: 0..0,
    };
    Some(Target {
        from: from.clone(),
        name: start.clone(),
        whole: start,
    })
}

/// The thing that a range lies in.
fn whole(plan: &Plan, name: &FileRange) -> FileRange {
    let chunk = file_of(plan, name.file).and_then(|file| file.chunk_at(name.range.start));
    let range = chunk.map_or(name.range.clone(), |(_, chunk)| extent(chunk));
    FileRange {
        file: name.file,
        range,
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use ampwright_notation::File;
    use ampwright_plan::{Plan, Sources};

    use super::definition;
    use crate::fixture::pointed;

    /// The cursor leads to what is marked, and to nothing else.
    fn check(fixture: &str) {
        let here = pointed(fixture);
        let found: Vec<_> = definition(&here.plan, 0, here.at)
            .into_iter()
            .map(|target| target.name.range)
            .collect();
        assert_eq!(found, here.marked, "{fixture}");
    }

    #[test]
    fn a_stop_leads_to_its_part() {
        check("fuse f blade 5 A\n     ^\nrun a\n    f$0 feed\n    1 mm2 1 m\n    f out\n");
    }

    #[test]
    fn a_run_and_a_load_of_one_name_are_two_things() {
        check("run fridge\n    fr$0idge +\nload fridge refrigerator 4 A\n     ^^^^^^\n");
    }

    #[test]
    fn places_cables_cores_and_likes() {
        check("place bilge\n      ^^^^^\nrun a in bi$0lge\n");
        check("cable flex\n      ^^^^\nrun a\n    x +\n    1 mm2 fl$0ex 1 m\n    y\n");
        check(
            "multicore mast 3 cores 1 mm2 2 m\n          ^^^^\nrun a\n    x +\n    core 1 of $0mast\n    y\n",
        );
        check("battery a agm 5 Ah\n        ^\nbattery b like $0a\n");
        check("boat b system 12 V cable fl$0ex\ncable flex\n      ^^^^\n");
    }

    #[test]
    fn a_way_leads_to_its_line_and_back_to_its_runs() {
        check(
            "panel p\n    way 1 fuse 5 A\n        ^\nrun a\n    p way $01\n    1 mm2 1 m\n    x +\n",
        );
        check(
            "panel p\n    way $01 fuse 5 A\nrun a\n    p way 1\n          ^\n    1 mm2 1 m\n    x +\n",
        );
    }

    #[test]
    fn across_files() {
        let texts = [
            (
                "a.boat",
                "boat b system 12 V\nuse \"parts/b.boat\"\nrun r\n    f feed\n",
            ),
            ("parts/b.boat", "fuse f blade 5 A\n"),
        ];
        let read = |path: &str| {
            let text = texts.iter().find(|(known, _)| *known == path);
            text.map(|(_, text)| Arc::new(File::parse(text)))
                .ok_or_else(String::new)
        };
        let plan = Plan::of(Sources::gather("a.boat", &read).unwrap());
        let text = texts[0].1;
        let to_part = definition(&plan, 0, text.find("f feed").unwrap());
        assert_eq!(
            (to_part[0].name.file, to_part[0].name.range.clone()),
            (1, 5..6)
        );
        let to_file = definition(&plan, 0, text.find("parts").unwrap());
        assert_eq!(
            (to_file[0].name.file, to_file[0].name.range.clone()),
            (1, 0..0)
        );
    }
}
