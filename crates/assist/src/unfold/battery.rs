//! A battery unfolded: its volts, its resistance, what of it may be used, and its part of the bank.

use ampwright_electrics::{
    battery::Charge,
    quantity::{Ohms, Volts, decimals},
};
use ampwright_notation::{Key, units::plain};
use ampwright_plan::{PartId, Plan, say, wiring::SupplyKind};

use super::{Section, Step, Unfolding};

pub(super) fn unfold(plan: &Plan, part: PartId) -> Option<Unfolding> {
    let supplies = (0u32..).zip(&plan.wiring.supplies);
    let (index, supply) = supplies
        .filter(|(_, supply)| supply.kind == SupplyKind::Battery)
        .find(|(_, supply)| supply.part == part)?;
    let block = plan.circuit().block_of(supply);
    let facts = plan.model.facts(&plan.sources, part);
    let twelves = block.nominal.0 / 12.0;
    let scaled = |of_twelve: Volts| format!("{of_twelve} × {} / 12 V", Volts(block.nominal.0));
    let rest = |charge: Charge, words: &str| {
        let sourced = block.rest_volts(charge);
        let one = block.chemistry.rest_volts(charge).value;
        let step = Step::new(words, sourced.value.to_string());
        step.by("of 12 V × nominal / 12 V", scaled(one))
            .from(&sourced)
    };
    let inside = facts.amount(Key::Resistance).map_or_else(
        || {
            let own = block.resistance();
            let one = block.chemistry.resistance().value;
            let (capacity, twelves) = (plain(block.capacity.0), decimals(twelves, 2));
            let step = Step::new("resistance inside", own.value.to_string());
            step.by(
                "of 100 Ah at 12 V × 100 Ah / capacity × nominal / 12 V",
                format!("{one} × 100 / {capacity} × {twelves}"),
            )
            .from(&own)
        },
        |ohms| Step::new("resistance inside, as said", Ohms(ohms).to_string()),
    );
    let usable = facts.amount(Key::Usable).map_or_else(
        || {
            let share = block.chemistry.usable();
            let of = plain(block.capacity.0 * share.value);
            let (part, capacity) = (decimals(share.value, 2), plain(block.capacity.0));
            let step = Step::new("usable", format!("{of} Ah"));
            step.by("share × capacity", format!("{part} × {capacity} Ah"))
                .from(&share)
        },
        |percent| Step::new("usable, as said", say::percent(percent)),
    );
    let itself = Section {
        title: "The battery",
        steps: vec![
            Step::new("capacity", format!("{} Ah", plain(block.capacity.0))),
            rest(Charge::Half, "at rest, half charged"),
            rest(Charge::Full, "at rest, full"),
            inside,
            usable,
        ],
    };
    // What it may be charged with, its fault current and its days belong here, a section each.
    Some(Unfolding::of(
        format!("battery {}", plan.model.get(part).name),
        [itself, share(plan, index)],
    ))
}

/// Its part of what the bank gives in `everything`, where it is not alone in it.
fn share(plan: &Plan, index: u32) -> Section {
    let mut steps = Vec::new();
    let bank = plan.study.base.banks.of_supply.get(&index);
    let bank = bank.and_then(|&bank| plan.study.base.banks.list.get(bank as usize));
    if let Some(bank) = bank.filter(|bank| bank.supplies.len() > 1) {
        let rule = &plan.study.rule;
        let most = rule.moments.iter().position(|solved| {
            solved.moment.label
                == ampwright_plan::study::moments::Label::Everything(
                    ampwright_plan::study::moments::Stand::REST,
                )
        });
        let wired = most.and_then(|moment| plan.as_wired(moment));
        let edges = plan.wiring.graph.edge_indices();
        let amps = |supply: u32| {
            let is_own = |edge: &petgraph::graph::EdgeIndex| {
                plan.wiring.graph.edge_weight(*edge)
                    == Some(&ampwright_plan::wiring::Link::Supply(supply))
            };
            let edge = edges.clone().find(is_own)?;
            wired.as_ref()?.amps.get(edge.index()).copied()
        };
        let own = amps(index).unwrap_or(0.0);
        let all: Vec<f64> = bank
            .supplies
            .iter()
            .filter_map(|&supply| amps(supply))
            .collect();
        let whole: f64 = all.iter().sum();
        if whole.abs() > 1e-9 {
            let worked = format!("{} / {}", say::amps(own), say::amps(whole));
            let step = Step::new(
                "its share in everything, as wired",
                say::percent(100.0 * own / whole),
            );
            steps.push(step.by("its current / all of theirs", worked));
        }
    }
    Section {
        title: "Its part of the bank",
        steps,
    }
}
