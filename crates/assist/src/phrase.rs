//! The trade's words for moments, conductors, devices and how figures are known.

use ampwright_electrics::source::{Sourced, Tag};
use ampwright_notation::Kind;
use ampwright_plan::{
    Circuit, Finding, Plan, say,
    study::cables::{AmbientFrom, Cable, DesignBy},
    wiring::{Conductor, Contact, Device, Link},
};
use petgraph::graph::NodeIndex;

/// What a moment is called; empty for one that is not there.
pub(crate) fn moment(plan: &Plan, index: usize) -> String {
    plan.moment_name(index)
}

/// The name of what draws.
pub(crate) fn draw(plan: &Plan, draw: u32) -> String {
    plan.draw_name(draw)
}

/// The name of what supplies.
pub(crate) fn supply(plan: &Plan, supply: u32) -> String {
    plan.supply_name(supply)
}

/// What asks for a conductor's design current.
pub(crate) fn asked_by(plan: &Plan, by: DesignBy) -> String {
    plan.asked_by(by)
}

/// `16 mm² red`, `twin 2.5 mm²`, `core 2 of mast-cable`, with its length.
pub(crate) fn conductor(plan: &Plan, conductor: &Conductor) -> String {
    let mut words: Vec<String> = Vec::new();
    if let Some((multicore, core)) = conductor.core {
        words.push(format!("core {core} of {}", plan.model.get(multicore).name));
    } else if conductor.twin {
        words.push("twin".to_owned());
    } else if conductor.parallel > 1 {
        words.push(format!("{} parallel", conductor.parallel));
    }
    words.extend(conductor.size.map(say::size));
    words.extend(
        conductor
            .colour
            .map(ampwright_notation::tree::Colour::to_word),
    );
    words.extend(conductor.metres.map(say::metres));
    words.join(" ")
}

/// `house-fuse 80 A`, `cabin-panel way 2, fuse 10 A`, `lights-switch`.
pub(crate) fn device(circuit: &Circuit<'_>, contact: &Contact) -> String {
    let name = circuit.contact_name(contact);
    let rating = contact.protects.map(say::amps);
    let name = if contact.pole > 1 {
        format!("{name} pole {}", contact.pole)
    } else {
        name
    };
    match (contact.device, rating) {
        (Device::WayFuse(_), Some(rating)) => format!("{name}, fuse {rating}"),
        (Device::WayBreaker(_), Some(rating)) => format!("{name}, breaker {rating}"),
        (_, Some(rating)) => format!("{name} {rating}"),
        _ => name,
    }
}

/// A terminal for people; a busbar or joint by its name.
pub(crate) fn node(plan: &Plan, node: NodeIndex) -> String {
    ampwright_plan::wiring::node_name(plan, node)
}

/// A tag as it stands in a table's row, in words: `CP` is "common practice".
pub(crate) fn tag(tag: &str) -> &'static str {
    tag_of(tag).map_or("", Tag::words)
}

/// The tag of a table's row.
pub(crate) fn tag_of(tag: &str) -> Option<Tag> {
    Some(match tag {
        "S1" => Tag::S1,
        "S2" => Tag::S2,
        "D" => Tag::D,
        "CP" => Tag::CP,
        "M" => Tag::M,
        _ => return None,
    })
}

/// Where a figure comes from, for standing between brackets: "33 CFR 183.425, Table 5; two quotations".
pub(crate) fn cited<T>(figure: &Sourced<T>) -> String {
    format!("{}; {}", figure.source, figure.tag)
}

/// Where a conductor's ambient comes from: `50 °C in engine-bay`.
pub(crate) fn ambient(plan: &Plan, cable: &Cable) -> String {
    let degrees = format!("{} °C", ampwright_notation::units::plain(cable.ambient));
    match cable.ambient_from {
        AmbientFrom::Place(place) => {
            let name = plan.model.places.list.get(place as usize);
            format!("{degrees} in {}", name.map_or("", |place| &place.name))
        }
        AmbientFrom::Boat => format!("{degrees}, the boat's"),
        AmbientFrom::Rule => {
            let rule = plan.study.base.rules.ambient();
            format!("{degrees}, since the plan says none ({})", cited(&rule))
        }
    }
}

/// The voltage that per cents are of at a node, V.
pub(crate) fn island_volts(plan: &Plan, node: NodeIndex) -> f64 {
    let base = &plan.study.base;
    let live = base.live.get(node.index()).copied().flatten();
    let home = || base.home.get(node.index()).copied().flatten();
    let of_bank = |supply: u32| {
        let bank = base.banks.of_supply.get(&supply)?;
        base.banks.list.get(*bank as usize).map(|bank| bank.volts)
    };
    live.map(|reach| reach.volts)
        .or_else(|| home().and_then(|reach| of_bank(reach.source)))
        .filter(|volts| *volts > 0.0)
        .unwrap_or(base.system)
}

/// `8.2 A`. Sums of nothing are minus nought, which nobody wants to read.
pub(crate) fn amps(amps: f64) -> String {
    say::amps(amps + 0.0)
}

/// A sentence's first letter made large.
pub(crate) fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters
        .next()
        .map(|first| first.to_uppercase().collect::<String>());
    first.unwrap_or_default() + letters.as_str()
}

/// `1 conductor`, `3 conductors`.
pub(crate) fn count(number: usize, what: &str) -> String {
    let s = if number == 1 { "" } else { "s" };
    format!("{number} {what}{s}")
}

/// An article and a kind's word: "a fuse", "an isolator".
pub(crate) fn a_kind(kind: Kind) -> String {
    let word = kind.word();
    let article = if word.starts_with(['a', 'e', 'i', 'o', 'u']) {
        "an"
    } else {
        "a"
    };
    format!("{article} {word}")
}

/// Which conductor or contact an edge is.
pub(crate) fn link(plan: &Plan, edge: petgraph::graph::EdgeIndex) -> Option<Link> {
    plan.wiring.graph.edge_weight(edge).copied()
}

/// The drop that a load is allowed and by whom: "The limit is 10 % (the document; two quotations)."
pub(crate) fn drop_limit(plan: &Plan, draw: u32) -> Option<String> {
    let base = &plan.study.base;
    let class = *base.class.get(draw as usize)?;
    let critical = base.critical.get(draw as usize).copied().unwrap_or(false);
    let own = if critical {
        base.own_critical_drop
    } else {
        base.own_drop
    };
    if let Some(own) = own {
        return Some(format!(
            "The limit is {}, the boat's own.",
            say::percent(own)
        ));
    }
    let limits = base
        .rules
        .checked_limits(|rules| rules.drop_limit(class, critical));
    let words: Vec<String> = limits
        .map(|(_, limit)| format!("{} ({})", say::percent(limit.value), cited(&limit)))
        .collect();
    (!words.is_empty()).then(|| format!("The limit is {}.", words.join(" and ")))
}

/// An accepted finding: which, on what, how far, why and who says so.
pub(crate) fn accepted(plan: &Plan, finding: &Finding) -> Option<String> {
    let accepted = finding.accepted.as_ref()?;
    let site = finding.site;
    let thing = plan.sources.thing(ampwright_plan::ThingRef {
        file: site.file,
        thing: site.thing,
    });
    let on = thing.and_then(|thing| {
        Some(format!(
            " on {} {}",
            thing.kind?.word(),
            thing.name.as_ref()?.value
        ))
    });
    let figure = finding.figure.map(|figure| {
        format!(
            ", {} where {} are allowed",
            figure.shown(figure.measured),
            figure.shown(figure.allowed)
        )
    });
    Some(format!(
        "{}{}{}, {}",
        finding.code.word(),
        on.unwrap_or_default(),
        figure.unwrap_or_default(),
        accepted.words()
    ))
}

/// What the most of a device is, as a share of what its conductor may carry, and by whom.
pub(crate) fn ceiling(plan: &Plan) -> String {
    let base = &plan.study.base;
    let system = ampwright_electrics::quantity::Volts(base.system);
    let ceiling = base.rules.ceiling(system);
    format!(
        "{} of what it may carry ({})",
        say::percent(100.0 * ceiling.value),
        cited(&ceiling)
    )
}
