//! A battery unfolded: its volts, its resistance, what of it may be used, and its part of the bank.

use ampwright_electrics::{
    battery::Charge,
    quantity::{Ohms, Volts, decimals},
};
use ampwright_notation::{Key, units::plain};
use ampwright_plan::{PartId, Plan, say, wiring::SupplyKind};

use super::{Found, Section, Step, Unfolding, charge, day};

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
        |ohms| Step::new("resistance inside", Ohms(ohms).to_string()).found(Found::Said),
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
        |percent| Step::new("usable", say::percent(percent)).found(Found::Said),
    );
    let itself = Section {
        title: "The battery",
        steps: vec![
            Step::new("capacity", format!("{} Ah", plain(block.capacity.0))).found(Found::Said),
            rest(Charge::Half, "at rest, half charged"),
            rest(Charge::Full, "at rest, full"),
            inside,
            usable,
        ],
    };
    let bank = plan.study.base.banks.of_supply.get(&index).copied();
    Some(Unfolding::of(
        format!("battery {}", plan.model.get(part).name),
        [
            itself,
            charge::share(plan, index),
            charge::charged(plan, supply, bank),
            charge::air_of(plan, supply),
            short(plan, bank),
            day::bank(plan, bank),
        ],
    ))
}

/// What flows in a short circuit of its bank's posts.
fn short(plan: &Plan, bank: Option<u32>) -> Section {
    let amps = bank.and_then(|bank| plan.study.faults.banks.get(bank as usize));
    let step = amps.map(|amps| {
        let step = Step::new("at the bank's posts, full and cold", say::amps(*amps));
        step.found(Found::ShortCold)
    });
    Section {
        title: "A short circuit",
        steps: step.into_iter().collect(),
    }
}
