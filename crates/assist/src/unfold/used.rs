//! The figures that a plan rests on: those of its rule set that something in it is held against or
//! computed with, and the defaults that it leaves in force. Each once, however often it is used.

mod faults;
mod more;

use std::collections::{BTreeSet, HashSet};

use ampwright_electrics::{
    ampacity::{Ampacity, Lookup},
    conductor::resistance_per_metre,
    quantity::Volts,
    rules::RuleSet,
    source::{Sourced, Tag},
};
use ampwright_notation::{Key, Kind};
use ampwright_plan::{Plan, study::cables::AmbientFrom};

/// A figure that something in the plan rests on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Used {
    /// What it is.
    pub what: String,
    /// Its value, for people; empty where it is a list.
    pub value: String,
    /// Document and clause, or the reason.
    pub source: String,
    /// How it is known.
    pub tag: Tag,
}

/// What gathers them, a function a field. A new limit or default gets its line here.
const GATHERERS: &[fn(&Plan, &mut Gathered)] = &[
    ampacities,
    ambients,
    formula,
    drops,
    protection,
    sizes,
    more::copper,
    more::contacts,
    more::batteries,
    more::charging,
    more::sources,
    more::panels,
    more::loads,
    more::fittings,
    more::large_banks,
    faults::gather,
    defaults,
];

/// Every figure that the plan rests on, in order of what it is.
pub fn of(plan: &Plan) -> Vec<Used> {
    let mut gathered = Gathered::default();
    for gather in GATHERERS {
        gather(plan, &mut gathered);
    }
    let list = gathered.list.into_iter();
    list.map(|(what, value, source, tag)| Used {
        what,
        value,
        source,
        tag,
    })
    .collect()
}

#[derive(Default)]
struct Gathered {
    list: BTreeSet<(String, String, String, Tag)>,
}

impl Gathered {
    fn add<T>(&mut self, what: impl Into<String>, figure: &Sourced<T>, value: impl Into<String>) {
        let source = figure.source.to_owned();
        self.list
            .insert((what.into(), value.into(), source, figure.tag));
    }

    fn shown<T: std::fmt::Display>(&mut self, what: impl Into<String>, figure: Option<Sourced<T>>) {
        if let Some(figure) = figure {
            let value = figure.value.to_string();
            self.add(what, &figure, value);
        }
    }
}

/// The rule set, and the published one beside it where a limit is weak.
fn checked<T>(
    plan: &Plan,
    limit: impl Fn(&'static RuleSet) -> Option<Sourced<T>>,
) -> Vec<Sourced<T>> {
    let limits = plan.study.base.rules.checked_limits(limit);
    limits.map(|(_, limit)| limit).collect()
}

fn ampacities(plan: &Plan, to: &mut Gathered) {
    let cables = plan.study.cables.iter();
    let all = cables.flat_map(|cable| cable.ampacity.iter().chain(&cable.published));
    // Conductors of one kind share theirs.
    let mut seen: HashSet<*const Ampacity> = HashSet::new();
    for ampacity in all.filter(|ampacity| seen.insert(std::sync::Arc::as_ptr(ampacity))) {
        let size = ampacity.ask.size;
        match ampacity.lookup {
            Lookup::Cell {
                printed,
                row,
                column,
            } => {
                let what = format!("ampacity of {} at {}", row.size, column.printed);
                to.add(what, &printed, format!("{} A", printed.value));
                if let Some(share) = column.reason {
                    let what = format!(
                        "insulation of {} by that of {}",
                        column.used, column.printed
                    );
                    to.shown(what, Some(share));
                }
            }
            Lookup::Maker => to.add(
                format!("the maker's current of {size}"),
                &ampacity.base,
                format!("{} A", ampacity.base.value),
            ),
        }
        for (what, factor) in [
            ("ambient factor", ampacity.ambient),
            ("bundling factor", ampacity.bundling),
        ] {
            if (factor.value - 1.0).abs() > 1e-9 {
                to.shown(what, Some(factor));
            }
        }
    }
}

fn ambients(plan: &Plan, to: &mut Gathered) {
    let rules = plan.study.base.rules;
    let from_rule =
        |cable: &&ampwright_plan::study::cables::Cable| cable.ambient_from == AmbientFrom::Rule;
    if plan.study.cables.iter().any(|cable| from_rule(&cable)) {
        to.shown("ambient", Some(rules.ambient()));
    }
    let engine = plan.model.places.list.iter().any(|place| {
        let facts = ampwright_plan::Facts::of(&plan.sources, place.thing, &place.like);
        facts.has(ampwright_notation::Key::EngineSpace)
            && facts.amount(ampwright_notation::Key::Ambient).is_none()
    });
    if engine {
        to.shown("temperature of an engine space", Some(rules.engine_space()));
    }
}

fn formula(plan: &Plan, to: &mut Gathered) {
    let rules = plan.study.base.rules;
    let mut seen: HashSet<(u64, bool)> = HashSet::new();
    for (wired, cable) in plan.wiring.conductors.iter().zip(&plan.study.cables) {
        let Some(size) = wired.size else { continue };
        let metal = cable.stuff.metal;
        let cold = resistance_per_metre(size, metal, rules.areas());
        if seen.insert((cold.value.to_bits(), metal.tinned)) {
            let value = format!("{:.4} mΩ/m", cold.value * 1e3);
            to.add(format!("resistance of {size}"), &cold, value);
        }
    }
    if !plan.wiring.conductors.is_empty() {
        to.shown(
            "constant of the drop formula",
            Some(rules.drop_formula().constant),
        );
    }
}

fn drops(plan: &Plan, to: &mut Gathered) {
    let base = &plan.study.base;
    let mut seen = HashSet::new();
    for (&class, &critical) in base.class.iter().zip(&base.critical) {
        if seen.insert((class, critical)) {
            for limit in checked(plan, |rules| rules.drop_limit(class, critical)) {
                to.add(
                    format!("drop limit of {class}"),
                    &limit,
                    format!("{} %", limit.value),
                );
            }
        }
    }
    if base.class.iter().any(|&class| base.rules.is_vital(class)) {
        to.add("classes vital to safety", &base.rules.vital(), "");
    }
    if plan.model.parts.iter().any(|part| part.kind == Kind::Panel) {
        for limit in checked(plan, RuleSet::feeder_drop_limit) {
            to.add(
                "drop limit of a panel's feed",
                &limit,
                format!("{} %", limit.value),
            );
        }
    }
}

fn protection(plan: &Plan, to: &mut Gathered) {
    let circuit = plan.circuit();
    let system = Volts(plan.study.base.system);
    if plan.wiring.conductors.is_empty() {
        return;
    }
    for ceiling in checked(plan, |rules| Some(rules.ceiling(system))) {
        to.add(
            "largest device, of the ampacity",
            &ceiling,
            format!("{} %", 100.0 * ceiling.value),
        );
    }
    let posts = &plan.study.protection.from_post;
    let mut seen = HashSet::new();
    for (wired, index) in plan.wiring.conductors.iter().zip(0u32..) {
        let near = [wired.from, wired.to];
        let bare = near
            .iter()
            .any(|node| posts.get(node.index()).is_some_and(Option::is_some));
        let lie = circuit.lie(index);
        if bare && seen.insert(lie) {
            for distance in checked(plan, |rules| rules.distance(lie)) {
                to.add(
                    "distance of a device from the post",
                    &distance,
                    distance.value.to_string(),
                );
            }
        }
    }
    let links = &plan.study.base.banks.link_of;
    if links.iter().any(Option::is_some) {
        to.shown(
            "length of a link in a bank",
            Some(plan.study.base.rules.bank_link_distance()),
        );
    }
    if !plan.study.protection.cranking.is_empty() {
        let exempt = plan.study.base.rules.cranking_exempt();
        if let Some(exempt) = exempt {
            to.add("cranking cables need no device", &exempt, "");
        }
    }
}

fn sizes(plan: &Plan, to: &mut Gathered) {
    let mut seen = HashSet::new();
    for wired in &plan.wiring.conductors {
        if seen.insert(wired.sheathed) {
            for least in checked(plan, |rules| rules.minimum_size(wired.sheathed)) {
                to.add("smallest conductor", &least, least.value.to_string());
            }
        }
    }
}

/// Defaults that the gatherers above tell more exactly, with their documents.
const ELSEWHERE: &[Key] = &[
    Key::Ambient,
    Key::ChargeLimit,
    Key::Drop,
    Key::Efficiency,
    Key::Isc,
    Key::Minimum,
    Key::Resistance,
    Key::Usable,
    Key::Vmp,
    Key::Volts,
];

/// What the notation's table takes where the plan says nothing.
fn defaults(plan: &Plan, to: &mut Gathered) {
    let all = crate::defaults::all(plan).into_iter();
    for used in all.filter(|used| !ELSEWHERE.contains(&used.key)) {
        let what = format!("{} {}", used.kind.word(), used.what);
        to.list.insert((what, used.value, String::new(), used.tag));
    }
}
