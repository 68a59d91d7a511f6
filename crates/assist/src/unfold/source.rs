//! What charges and what converts, unfolded: what it gives and holds, and what the sun brings.

use ampwright_electrics::{defaults, quantity::Volts, solar};
use ampwright_notation::Key;
use ampwright_plan::{
    PartId, Plan, say,
    wiring::{Supply, SupplyKind},
};

use super::{Found, Section, Step, Unfolding, charge, day};
use crate::phrase;

/// Each output of a part.
pub(super) fn unfold(plan: &Plan, part: PartId) -> Vec<Unfolding> {
    let supplies = (0u32..).zip(&plan.wiring.supplies);
    let own = supplies.filter(|(_, supply)| supply.part == part);
    own.filter(|(_, supply)| supply.kind != SupplyKind::Battery)
        .map(|(index, supply)| {
            let sections = [
                gives(plan, supply),
                charge::arrays(plan, index),
                day::source(plan, index),
            ];
            Unfolding::of(phrase::supply(plan, index), sections)
        })
        .collect()
}

fn gives(plan: &Plan, supply: &Supply) -> Section {
    let most = plan.circuit().most_of(supply);
    let mut steps = match supply.kind {
        SupplyKind::Solar => panel(plan, supply),
        _ => vec![holds(plan, supply)],
    };
    if most.is_finite() && supply.kind != SupplyKind::Solar {
        let step = Step::new("it gives at most", phrase::amps(most));
        let by_panels = plan.circuit().controller_most(supply) < supply.amps;
        steps.push(step.found(if by_panels {
            Found::Wiring
        } else {
            Found::Said
        }));
    }
    Section {
        title: "What it gives",
        steps,
    }
}

/// The voltage at its own terminals.
fn holds(plan: &Plan, supply: &Supply) -> Step {
    let circuit = plan.circuit();
    let volts = circuit.source_volts(supply);
    let step = Step::new("it holds", say::volts(volts));
    let charging = supply.kind == SupplyKind::ChargingConverter;
    let said = supply.volts.filter(|said| *said > 0.0 && !charging);
    if said.is_some() || supply.kind == SupplyKind::Converter {
        return step.found(Found::Said);
    }
    let twelve = match supply.kind {
        SupplyKind::Alternator => defaults::ALTERNATOR,
        _ => defaults::CHARGER,
    };
    let own = supply.volts.filter(|volts| *volts > 0.0);
    let nominal = own.unwrap_or_else(|| circuit.volts_at(supply.plus));
    let worked = format!("{} × {} / 12 V", twelve.value, Volts(nominal));
    step.by("of 12 V × nominal / 12 V", worked).from(&twelve)
}

/// One panel of those that a thing stands for, and what is likely where its label is not copied.
fn panel(plan: &Plan, supply: &Supply) -> Vec<Step> {
    let one = plan.circuit().panel_of(supply);
    let facts = plan.model.facts(&plan.sources, supply.part);
    let count = |key| facts.count(key).unwrap_or(1);
    let mut steps = Vec::new();
    if let Some(most) = one.most() {
        let step = Step::new("one panel into a short circuit", phrase::amps(most.value.0));
        let worked = most.value.0 / solar::SHORT_PER_WORKING.value;
        let step = if one.short_circuit.is_none() {
            let worked = format!(
                "{} × {}",
                solar::SHORT_PER_WORKING.value,
                phrase::amps(worked)
            );
            let step = step.by("likely share × current at best power", worked);
            match (one.working_amps, one.working_volts) {
                (None, None) => step.from(&solar::WORKING_VOLTS),
                _ => step,
            }
        } else {
            step
        };
        steps.push(charge::printed_or(step, &most));
    }
    let open = one.open_volts();
    let step = Step::new("one panel with nothing drawn", say::volts(open.value.0));
    steps.push(charge::printed_or(step, &open));
    let together = Step::new(
        "all of them into a short circuit",
        phrase::amps(supply.amps),
    );
    let strings = count(Key::Parallel);
    steps.push(match steps.first().filter(|_| one.most().is_some()) {
        Some(first) => {
            let worked = format!("{} × {strings}", first.value);
            together.by("one × strings side by side", worked)
        }
        None => together.found(Found::Said),
    });
    steps
}
