//! What the plan does not say and is taken to be so: each with its tag, as the notation's table
//! states it.

use std::collections::BTreeMap;

use ampwright_electrics::source::Tag;
use ampwright_notation::{Key, Kind, table::FactRow};
use ampwright_plan::{Facts, Plan, ThingRef, model::Space};

/// A default that was used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Used {
    /// The kind of thing that says nothing.
    pub(crate) kind: Kind,
    /// The fact that is not said.
    pub(crate) key: Key,
    /// What is said of: `insulation`, `resistance`.
    pub(crate) what: String,
    /// What holds, with its tag in words.
    pub(crate) value: String,
    /// How it is known.
    pub(crate) tag: Tag,
    /// How many things say nothing.
    pub(crate) times: usize,
}

/// The tagged facts that a thing leaves to their defaults. Facts that exclude each other count once.
pub(crate) fn of(kind: Kind, facts: &Facts<'_>) -> Vec<&'static FactRow> {
    let mut groups: Vec<u8> = Vec::new();
    let said = |row: &&FactRow| facts.has(row.key);
    let grouped: Vec<u8> = kind
        .row()
        .facts()
        .filter(said)
        .map(|row| row.group)
        .collect();
    let silent = kind
        .row()
        .facts()
        .filter(|row| !row.tag.is_empty() && !facts.has(row.key));
    silent
        .filter(|row| row.group == 0 || !grouped.contains(&row.group))
        .filter(|row| {
            let first = row.group == 0 || !groups.contains(&row.group);
            groups.push(row.group);
            first
        })
        .collect()
}

/// A default in words: `resistance: 4 mohm (from memory)`.
pub(crate) fn line(row: &FactRow) -> String {
    format!("{}: {}", what(row), value(row))
}

fn what(row: &FactRow) -> String {
    if row.word.is_empty() {
        row.pattern()
    } else {
        row.word.to_owned()
    }
}

fn value(row: &FactRow) -> String {
    format!("{} ({})", row.default, crate::phrase::tag(row.tag))
}

/// Every default of the plan, in the order of the table.
pub(crate) fn all(plan: &Plan) -> Vec<Used> {
    let mut used: BTreeMap<(Kind, usize), Used> = BTreeMap::new();
    for (kind, facts) in things(plan) {
        for row in of(kind, &facts) {
            let place = kind.row().facts().position(|other| other.key == row.key);
            let entry = used
                .entry((kind, place.unwrap_or(0)))
                .or_insert_with(|| Used {
                    kind,
                    key: row.key,
                    what: what(row),
                    value: value(row),
                    tag: crate::phrase::tag_of(row.tag).unwrap_or(Tag::CP),
                    times: 0,
                });
            entry.times += 1;
        }
    }
    used.into_values().collect()
}

/// The boat, cables, places and parts with their facts.
fn things(plan: &Plan) -> impl Iterator<Item = (Kind, Facts<'_>)> {
    let facts = |thing: ThingRef, like: &[ThingRef]| Facts::of(&plan.sources, thing, like);
    let boat = plan.model.boat.map(|boat| (Kind::Boat, facts(boat, &[])));
    let named = move |kind: Kind, space: &'_ Space| {
        let list = space
            .list
            .iter()
            .map(|named| (kind, facts(named.thing, &named.like)));
        list.collect::<Vec<_>>()
    };
    let parts = plan
        .model
        .parts
        .iter()
        .map(move |part| (part.kind, facts(part.thing, &part.like)));
    boat.into_iter()
        .chain(named(Kind::Cable, &plan.model.cables))
        .chain(named(Kind::Place, &plan.model.places))
        .chain(parts)
}
