//! What is no part: runs, places, cables, cases; and the parts of which only their facts are told.

use ampwright_notation::{Key, Kind};
use ampwright_plan::{
    Facts, PartId, Plan,
    model::Named,
    say,
    study::moments::{Label, Moment},
};

use crate::{doc::Doc, phrase};

/// A run: its ends, its length, what it carries.
pub(super) fn run(plan: &Plan, index: u32) -> Doc {
    let Some(named) = plan.model.runs.list.get(index as usize) else {
        return Doc::default();
    };
    let mut doc = super::head(plan, &named.name, Kind::Run, named.thing);
    let own: Vec<usize> = plan
        .wiring
        .conductors
        .iter()
        .enumerate()
        .filter(|(_, conductor)| conductor.run == index)
        .map(|(index, _)| index)
        .collect();
    let metres: f64 = own
        .iter()
        .filter_map(|&index| plan.wiring.conductors[index].metres)
        .sum();
    let most = own
        .iter()
        .map(|&index| plan.study.cables[index].design)
        .max_by(|a, b| a.amps.total_cmp(&b.amps));
    if let Some(most) = most {
        doc.say(format!(
            "{}, {} in all; at most {}, in {}.",
            phrase::count(own.len(), "conductor"),
            say::metres(metres),
            phrase::amps(most.amps),
            phrase::asked_by(plan, most.by)
        ));
    }
    doc
}

/// A place: how warm it is and what is known of it.
pub(super) fn place(plan: &Plan, index: u32) -> Doc {
    let Some((named, facts)) = of_space(plan, &plan.model.places.list, index) else {
        return Doc::default();
    };
    let mut doc = super::head(plan, &named.name, Kind::Place, named.thing);
    let rules = plan.study.base.rules;
    let warm = match (facts.amount(Key::Ambient), facts.has(Key::EngineSpace)) {
        (Some(celsius), _) => format!("{} °C.", ampwright_notation::units::plain(celsius)),
        (None, true) => {
            let engine = rules.engine_space();
            format!(
                "An engine space: {} ({}).",
                engine.value,
                phrase::cited(&engine)
            )
        }
        (None, false) => "As warm as the boat's ambient.".to_owned(),
    };
    doc.say(warm);
    let lie = plan
        .wiring
        .conductors
        .iter()
        .filter(|conductor| conductor.places.contains(&index))
        .count();
    super::charge::place(plan, index, &mut doc);
    doc.say(match lie {
        0 => "No conductor names it.".to_owned(),
        1 => "1 conductor names it.".to_owned(),
        _ => format!("{lie} conductors name it."),
    });
    doc
}

/// A cable: what it is made of and how much of it there is.
pub(super) fn cable(plan: &Plan, index: u32) -> Doc {
    let Some((named, facts)) = of_space(plan, &plan.model.cables.list, index) else {
        return Doc::default();
    };
    let mut doc = super::head(plan, &named.name, Kind::Cable, named.thing);
    let metal = if facts.has(Key::Copper) {
        "Bare copper"
    } else {
        "Tinned copper"
    };
    let strands = if facts.has(Key::Stranded) {
        "stranded"
    } else {
        "flexible"
    };
    doc.say(format!("{metal}, {strands}."));
    if let Some(celsius) = facts.amount(Key::Insulation) {
        doc.say(format!(
            "Its insulation stands {} °C.",
            ampwright_notation::units::plain(celsius)
        ));
    }
    super::defaults(&mut doc, Kind::Cable, &facts);
    doc
}

/// A case: what is on and what it takes together.
pub(super) fn case(plan: &Plan, index: u32) -> Doc {
    let Some(named) = plan.model.cases.list.get(index as usize) else {
        return Doc::default();
    };
    let mut doc = super::head(plan, &named.name, Kind::Case, named.thing);
    let mut moments = plan.study.rule.moments.iter().map(|solved| &solved.moment);
    if let Some(moment) = moments.find(|moment| moment.label == Label::Case(index)) {
        doc.say(draws(plan, moment));
        doc.say(charges(plan, moment));
    }
    doc
}

fn draws(plan: &Plan, moment: &Moment) -> String {
    let total: f64 = moment.draws.iter().map(|(_, amps)| amps).sum();
    let word =
        |&(draw, amps): &(u32, f64)| format!("{} {}", phrase::draw(plan, draw), phrase::amps(amps));
    let on: Vec<String> = moment.draws.iter().map(word).collect();
    if on.is_empty() {
        return String::new();
    }
    format!("{} together: {}.", phrase::amps(total), super::listed(&on))
}

fn charges(plan: &Plan, moment: &Moment) -> String {
    let word = |&(supply, amps): &(u32, f64)| {
        format!("{} {}", phrase::supply(plan, supply), phrase::amps(amps))
    };
    let charging: Vec<String> = moment.charging.iter().map(word).collect();
    if charging.is_empty() {
        return String::new();
    }
    format!("Charging: {}.", super::listed(&charging))
}

/// Any other part: what it is in the trade, and what it leaves to its defaults.
pub(super) fn other(plan: &Plan, part: PartId) -> Doc {
    let named = plan.model.get(part);
    let facts = plan.model.facts(&plan.sources, part);
    let mut doc = super::head(plan, &named.name, named.kind, named.thing);
    doc.say(format!(
        "{}: {}.",
        phrase::sentence(named.kind.word()),
        named.kind.row().meaning
    ));
    for (index, supply) in plan
        .wiring
        .supplies
        .iter()
        .enumerate()
        .filter(|(_, supply)| supply.part == part)
    {
        let most = supply.amps.min(plan.circuit().controller_most(supply));
        if most.is_finite() {
            doc.say(format!(
                "{} gives at most {}.",
                phrase::supply(plan, index as u32),
                phrase::amps(most)
            ));
        }
        let days = &plan.study.energy.sources;
        if let Some(day) = days.iter().find(|day| day.supply == index as u32) {
            doc.say(format!("In a day: {}.", crate::day::source(plan, day)));
        }
    }
    super::charge::array(plan, part, &mut doc);
    if let (Kind::Converter, Some(&draw)) = (named.kind, plan.study.base.draw_of.get(&part)) {
        super::load::circuit(plan, draw, &mut doc);
    }
    if named.kind == Kind::Multicore {
        doc.say(cores(plan, part, facts.count(Key::Cores).unwrap_or(0)));
    }
    super::defaults(&mut doc, named.kind, &facts);
    doc
}

fn cores(plan: &Plan, part: PartId, cores: u32) -> String {
    let used: Vec<String> = (1..=cores.min(100))
        .filter_map(|core| {
            let conductor = plan
                .wiring
                .conductors
                .iter()
                .find(|conductor| conductor.core == Some((part, core)))?;
            let run = plan.model.runs.list.get(conductor.run as usize)?;
            Some(format!("core {core} in {}", run.name))
        })
        .collect();
    format!(
        "{} of {cores} cores used: {}.",
        used.len(),
        super::listed(&used)
    )
}

fn of_space<'a>(plan: &'a Plan, list: &'a [Named], index: u32) -> Option<(&'a Named, Facts<'a>)> {
    let named = list.get(index as usize)?;
    Some((named, Facts::of(&plan.sources, named.thing, &named.like)))
}
