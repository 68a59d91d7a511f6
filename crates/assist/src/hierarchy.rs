//! What feeds a part, and what it feeds: one step along the live side, for following a circuit part
//! by part in either direction.

use std::collections::BTreeMap;

use ampwright_notation::Kind;
use ampwright_plan::{PartId, Plan, wiring::Link};
use petgraph::graph::NodeIndex;

use crate::{
    cursor::FileRange,
    names::{self, Symbol},
    phrase,
    way::part_site,
};

/// A part of the hierarchy.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item {
    /// The part.
    pub part: PartId,
    /// Its name.
    pub name: String,
    /// Its kind.
    pub kind: Kind,
    /// Where its name stands.
    pub at: FileRange,
}

/// A neighbour and the conductors between.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Neighbour {
    /// The part.
    pub item: Item,
    /// The lines of the conductors that join the two.
    pub through: Vec<FileRange>,
}

/// The part at an offset.
pub fn item(plan: &Plan, file: u32, offset: usize) -> Option<Item> {
    let (symbol, _) = names::symbol_at(plan, file, offset)?;
    match symbol {
        Symbol::Part(name) | Symbol::Way(name, _) => of_part(plan, plan.model.part(&name)?),
        _ => None,
    }
}

/// The parts that feed a part, in the order of the text.
pub fn fed_by(plan: &Plan, part: PartId) -> Vec<Neighbour> {
    let nodes = plan.wiring.graph.node_indices();
    let own = nodes.filter(|&node| part_of(plan, node) == Some(part));
    gathered(plan, own.filter_map(|node| upstream(plan, node)))
}

/// The parts that a part feeds, in the order of the text.
pub fn feeds(plan: &Plan, part: PartId) -> Vec<Neighbour> {
    let nodes = plan.wiring.graph.node_indices();
    let fed = nodes.filter_map(|node| {
        let (above, through) = upstream(plan, node)?;
        (above == part).then_some((part_of(plan, node)?, through))
    });
    gathered(plan, fed)
}

fn of_part(plan: &Plan, part: PartId) -> Option<Item> {
    // An id of another plan names nothing here.
    let named = plan.model.parts.get(part.0 as usize)?;
    Some(Item {
        part,
        name: named.name.to_string(),
        kind: named.kind,
        at: part_site(plan, part)?,
    })
}

fn part_of(plan: &Plan, node: NodeIndex) -> Option<PartId> {
    plan.wiring.graph.node_weight(node)?.part
}

/// The part that current comes from to a terminal, and the conductors on the way; `None` where the
/// terminal is reached from its own part, or not at all.
fn upstream(plan: &Plan, node: NodeIndex) -> Option<(PartId, Vec<u32>)> {
    let own = part_of(plan, node)?;
    let (mut at, mut through) = (node, Vec::new());
    for _ in 0..plan.study.base.live.len() {
        let reach = plan.study.base.live.get(at.index()).copied().flatten()?;
        if let Some(Link::Conductor(index)) = phrase::link(plan, reach.by?) {
            through.push(index);
        }
        at = reach.from;
        match part_of(plan, at) {
            Some(part) if part == own => return None,
            Some(part) => return Some((part, through)),
            None => {}
        }
    }
    None
}

fn gathered(plan: &Plan, found: impl Iterator<Item = (PartId, Vec<u32>)>) -> Vec<Neighbour> {
    let mut by_part: BTreeMap<PartId, Vec<u32>> = BTreeMap::new();
    for (part, through) in found {
        by_part.entry(part).or_default().extend(through);
    }
    let neighbour = |(part, through): (PartId, Vec<u32>)| {
        let mut through: Vec<FileRange> = through
            .iter()
            .filter_map(|&index| plan.wiring.conductors.get(index as usize))
            .map(|conductor| FileRange::of(plan, conductor.site))
            .collect();
        through.sort_by_key(FileRange::order);
        through.dedup();
        Some(Neighbour {
            item: of_part(plan, part)?,
            through,
        })
    };
    by_part.into_iter().filter_map(neighbour).collect()
}

#[cfg(test)]
mod tests {
    use expect_test::{Expect, expect};

    use super::{Neighbour, fed_by, feeds, item};
    use crate::fixture::{CURLEW, curlew_at};

    fn check(at: &str, expected: &Expect) {
        let here = curlew_at(at, 1);
        let part = item(&here.plan, 0, here.at).unwrap().part;
        let shown = |list: Vec<Neighbour>| {
            let lines = list.into_iter().map(|neighbour| {
                let through: Vec<&str> = neighbour
                    .through
                    .iter()
                    .map(|line| &CURLEW[line.range.clone()])
                    .collect();
                format!("  {} by {}", neighbour.item.name, through.join("; "))
            });
            lines.collect::<Vec<_>>().join("\n")
        };
        let text = format!(
            "fed by\n{}\nfeeds\n{}",
            shown(fed_by(&here.plan, part)),
            shown(feeds(&here.plan, part))
        );
        expected.assert_eq(&text);
    }

    #[test]
    fn from_the_battery_to_the_load() {
        check(
            "house-1 agm",
            &expect![[r#"
            fed by

            feeds
              house-fuse by 16 mm2 red 0.15 m in engine-bay"#]],
        );
        check(
            "cabin-panel 100",
            &expect![[r#"
            fed by
              house-isolator by 16 mm2 red 7 m
            feeds
              fresh-pump by twin 2.5 mm2 5 m
              lights-switch by 1.5 mm2 red 4 m
              deck-plug by 1.5 mm2 red 5 m; 1.5 mm2 red 5 m"#]],
        );
        check(
            "fresh-pump \"",
            &expect![[r#"
            fed by
              cabin-panel by twin 2.5 mm2 5 m
            feeds
        "#]],
        );
    }

    #[test]
    fn what_is_no_part_has_no_place_in_it() {
        let here = curlew_at("evening", 1);
        assert!(item(&here.plan, 0, here.at).is_none());
    }
}
