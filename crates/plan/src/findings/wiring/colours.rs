//! `colour-mismatch`: a colour that says something else than the conductor does.
//!
//! The rule set's colours where it has any; in every set a return in red and a positive in black
//! (common practice, no source).

use std::collections::BTreeSet;

use ampwright_electrics::rules::{LoadClass, Role};
use ampwright_notation::{
    Kind, Span,
    colour::Basic,
    tree::{Colour, Step},
};
use rustc_hash::{FxHashMap, FxHashSet};

use super::{super::registry::Code, ground::Ground, open::Mute};
use crate::{
    finding::Finding,
    site::Site,
    wiring::{Conductor, Term},
};

/// What a conductor is, as far as its colour should say.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
enum Side {
    Positive,
    Negative,
    Bonding,
}

pub(super) fn find(ground: &Ground<'_>, mute: &Mute, found: &mut Vec<Finding>) {
    let wiring = &ground.desk.plan.wiring;
    // In a ring of batteries no side is the positive one.
    let banks = &ground.desk.plan.study.base.banks.list;
    if banks.iter().any(|bank| bank.tops.is_empty()) {
        return;
    }
    if wiring.conductors.iter().all(|one| one.colour.is_none()) {
        return;
    }
    let classes = classes(ground);
    let mut said: FxHashSet<(u32, Side, Option<Basic>)> = FxHashSet::default();
    for conductor in &wiring.conductors {
        let Some(colour) = conductor.colour else {
            continue;
        };
        let Some(side) = side(ground, conductor).filter(|_| !ends_wrong(ground, mute, conductor))
        else {
            continue;
        };
        let own = classes.get(&conductor.run);
        let Some(wanted) = wanted(ground, side, colour, own) else {
            continue;
        };
        if said.insert((conductor.run, side, colour.basic[0])) {
            found.push(mismatch(ground, conductor, side, colour, &wanted));
        }
    }
}

/// A conductor at a load that is wired wrong is not what its colour was meant for.
fn ends_wrong(ground: &Ground<'_>, mute: &Mute, conductor: &Conductor) -> bool {
    [conductor.from, conductor.to].into_iter().any(|end| {
        ground
            .part(end)
            .is_some_and(|part| mute.open.contains(&part) || mute.parts.contains(&part))
    })
}

/// The classes of the loads at which a run stops.
fn classes(ground: &Ground<'_>) -> FxHashMap<u32, BTreeSet<LoadClass>> {
    let base = &ground.desk.plan.study.base;
    let mut classes: FxHashMap<u32, BTreeSet<LoadClass>> = FxHashMap::default();
    for visit in &ground.desk.plan.wiring.stops {
        let draw = visit.part.and_then(|part| base.draw_of.get(&part));
        if let Some(&draw) = draw {
            classes
                .entry(visit.run)
                .or_default()
                .insert(base.class[draw as usize]);
        }
    }
    classes
}

/// On which side a conductor lies with both its ends; what is dead, shorted or unread says nothing.
fn side(ground: &Ground<'_>, conductor: &Conductor) -> Option<Side> {
    let base = &ground.desk.plan.study.base;
    let ends = [conductor.from, conductor.to];
    // A load's return that lands on the bonding is `hull-return`, and no bonding conductor.
    let bonded = ends.iter().any(|&end| ground.kind(end) == Some(Kind::Bond));
    let returns = ends.iter().any(|&end| {
        ground
            .part(end)
            .is_some_and(|part| base.draw_of.contains_key(&part))
    });
    if bonded {
        return Some(if returns {
            Side::Negative
        } else {
            Side::Bonding
        });
    }
    if ends
        .iter()
        .any(|&end| ground.desk.plan.wiring.graph[end].term == Term::Unknown)
    {
        return None;
    }
    let of = |end: petgraph::graph::NodeIndex| match (
        base.live[end.index()].is_some(),
        base.home[end.index()].is_some(),
    ) {
        (true, false) => Some(Side::Positive),
        (false, true) => Some(Side::Negative),
        _ => None,
    };
    let (a, b) = (of(ends[0])?, of(ends[1])?);
    (a == b).then_some(a)
}

/// The colours that would do, where this one does not; the likeliest first.
fn wanted(
    ground: &Ground<'_>,
    side: Side,
    colour: Colour,
    classes: Option<&BTreeSet<LoadClass>>,
) -> Option<Vec<String>> {
    let rules = ground.desk.circuit.rules;
    let mut list: Vec<String> = Vec::new();
    match side {
        Side::Positive => {
            for &class in classes.into_iter().flatten() {
                list.extend_from_slice(rules.colours(Role::Class(class)));
            }
            list.extend_from_slice(rules.colours(Role::Positive));
            list.extend_from_slice(rules.colours(Role::Accessory));
        }
        Side::Negative => list.extend_from_slice(rules.colours(Role::Negative)),
        Side::Bonding => list.extend_from_slice(rules.colours(Role::Bonding)),
    }
    let first = colour.basic[0];
    let (usual, never) = match side {
        Side::Positive => ("red", Some(Basic::Black)),
        Side::Negative => ("black", Some(Basic::Red)),
        Side::Bonding => ("green", None),
    };
    // A second colour tells circuits of one side apart.
    let fits = list
        .iter()
        .any(|known| *known == colour.to_word() || first.is_some_and(|one| one.word() == *known));
    let bad = if list.is_empty() {
        never.is_some() && first == never
    } else {
        !fits
    };
    if !bad {
        return None;
    }
    if list.is_empty() {
        list.push(usual.to_owned());
    }
    list.dedup();
    Some(list)
}

fn mismatch(
    ground: &Ground<'_>,
    conductor: &Conductor,
    side: Side,
    colour: Colour,
    wanted: &[String],
) -> Finding {
    let what = match side {
        Side::Positive => "a positive conductor",
        Side::Negative => "a return",
        Side::Bonding => "a bonding conductor",
    };
    let first = wanted.first().map_or("", String::as_str);
    let message = format!(
        "This is {what} in {}; whoever opens the panel expects {}.",
        colour.to_word(),
        wanted.join(" or "),
    );
    let finding = Finding::new(Code::ColourMismatch, conductor.site, message);
    match colour_span(ground, conductor.site) {
        Some(span) => finding.mended_by(
            format!("write {first}"),
            Site {
                span,
                ..conductor.site
            },
            first,
        ),
        None => finding,
    }
}

/// The colour's own words on a conductor's or `back`'s line.
fn colour_span(ground: &Ground<'_>, site: Site) -> Option<Span> {
    let (at, steps) = ground.step(site)?;
    match steps.get(at)? {
        Step::Conductor(line) => line.colour.map(|colour| colour.span),
        Step::Back(back) => back.colour.map(|colour| colour.span),
        _ => None,
    }
}
