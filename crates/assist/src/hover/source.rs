//! A battery and its bank: what they hold, give and are joined by.

use ampwright_electrics::battery::Charge;
use ampwright_notation::Key;
use ampwright_plan::{
    PartId, Plan, say,
    study::{
        banks::Bank,
        moments::{Label, Stand},
    },
    wiring::{Link, Supply, SupplyKind},
};

use crate::{
    doc::{Doc, Line, Table},
    phrase,
};

/// All about a battery.
pub(super) fn battery(plan: &Plan, part: PartId) -> Doc {
    let named = plan.model.get(part);
    let facts = plan.model.facts(&plan.sources, part);
    let mut doc = super::head(plan, &named.name, named.kind, named.thing);
    let supplies = plan.wiring.supplies.iter().enumerate();
    let own = supplies
        .filter(|(_, supply)| supply.part == part && supply.kind == SupplyKind::Battery)
        .map(|(index, supply)| (index as u32, supply))
        .next();
    if let Some((index, supply)) = own {
        doc.say(holds(plan, supply));
        if let Some(bank) = bank_of(plan, index) {
            doc.say(bank_line(plan, bank));
            doc.list(links(plan, bank));
            doc.table(gives(plan, bank, index));
            let bank = plan.study.base.banks.of_supply.get(&index);
            doc.say(bank.map_or_else(String::new, |&bank| crate::day::bank(plan, bank)));
        }
        super::charge::battery(plan, index, &mut doc);
    }
    super::defaults(&mut doc, named.kind, &facts);
    doc
}

fn bank_of(plan: &Plan, supply: u32) -> Option<&Bank> {
    let banks = &plan.study.base.banks;
    banks.list.get(*banks.of_supply.get(&supply)? as usize)
}

fn holds(plan: &Plan, supply: &Supply) -> String {
    let facts = plan.model.facts(&plan.sources, supply.part);
    let block = plan.circuit().block_of(supply);
    let capacity = facts.amount(Key::AmpHours).map_or_else(
        || "How much it holds is not said.".to_owned(),
        |hours| format!("It holds {} Ah.", ampwright_notation::units::plain(hours)),
    );
    let rest = block.rest_volts(Charge::Half);
    let inside = match facts.amount(Key::Resistance) {
        Some(ohms) => format!(
            "Its inner resistance is {} mΩ.",
            ampwright_notation::units::plain(ohms * 1e3)
        ),
        None => format!(
            "Its inner resistance is taken as {} ({}).",
            block.resistance().value,
            block.resistance().tag
        ),
    };
    format!(
        "{capacity} Half charged it rests at {} ({}). {inside}",
        rest.value, rest.tag
    )
}

fn bank_line(plan: &Plan, bank: &Bank) -> String {
    if bank.batteries.len() < 2 {
        return String::new();
    }
    let names: Vec<String> = bank
        .batteries
        .iter()
        .map(|&part| plan.model.get(part).name.to_string())
        .collect();
    let capacity = plan.circuit().capacity_of(bank).0;
    format!(
        "A bank of {} at {}: {}. Its links:",
        format_args!("{} Ah", ampwright_notation::units::plain(capacity)),
        say::nominal(bank.volts),
        super::listed(&names)
    )
}

fn links(plan: &Plan, bank: &Bank) -> Vec<Line> {
    let link = |&index: &u32| {
        let conductor = &plan.wiring.conductors[index as usize];
        let ends = format!(
            "{} to {}",
            phrase::node(plan, conductor.from),
            phrase::node(plan, conductor.to)
        );
        Line::from(format!("{}, {ends}", phrase::conductor(plan, conductor)))
    };
    bank.links.iter().take(super::MOST).map(link).collect()
}

/// What the bank gives by the rule in each case, and this battery's part of it as wired.
fn gives(plan: &Plan, bank: &Bank, supply: u32) -> Table {
    let shares = bank.batteries.len() > 1;
    let mut table = Table::new(if shares {
        &["moment", "the bank gives", "this one, as wired"]
    } else {
        &["moment", "gives"]
    });
    let edges = edges(plan, bank);
    let is_worth = |label: &Label| matches!(label, Label::Case(_) | Label::Everything(Stand::REST));
    let moments = plan.study.rule.moments.iter().enumerate();
    for (index, solved) in moments
        .filter(|(_, solved)| is_worth(&solved.moment.label))
        .take(super::MOST)
    {
        let amps = whole(plan, bank, &edges, &solved.amps);
        if amps.abs() < 1e-9 {
            continue;
        }
        let given = [phrase::moment(plan, index), given(amps)].map(Line::from);
        let own = shares.then(|| share(plan, index, &edges, supply));
        table.row(given.into_iter().chain(own));
    }
    table
}

/// The supplies of a bank and their edges.
fn edges(plan: &Plan, bank: &Bank) -> Vec<(u32, usize)> {
    let edges = plan.wiring.graph.edge_indices();
    let supply = |edge| match phrase::link(plan, edge)? {
        Link::Supply(index) if bank.supplies.contains(&index) => Some((index, edge.index())),
        _ => None,
    };
    edges.filter_map(supply).collect()
}

/// What comes out at the top of a bank, A.
fn whole(plan: &Plan, bank: &Bank, edges: &[(u32, usize)], amps: &[f64]) -> f64 {
    let is_top = |supply: u32| {
        bank.tops
            .contains(&plan.wiring.supplies[supply as usize].plus)
    };
    let tops = edges.iter().filter(|(supply, _)| is_top(*supply));
    tops.filter_map(|(_, edge)| amps.get(*edge)).sum()
}

/// What comes out of it; while it is charged it takes.
fn given(amps: f64) -> String {
    if amps < 0.0 {
        format!("takes {}", phrase::amps(-amps))
    } else {
        phrase::amps(amps)
    }
}

fn share(plan: &Plan, moment: usize, edges: &[(u32, usize)], supply: u32) -> Line {
    let edge = edges.iter().find(|(index, _)| *index == supply);
    let wired = plan.as_wired(moment);
    let amps = edge.and_then(|(_, edge)| wired.as_ref()?.amps.get(*edge).copied());
    amps.map_or_else(Line::default, |amps| given(amps).into())
}
