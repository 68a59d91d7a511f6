//! What charging asks of batteries, of their air and of a controller, unfolded. Hovers say the same
//! steps in a sentence.

use ampwright_electrics::{
    battery::Block,
    quantity::Amperes,
    solar,
    source::{Sourced, Tag},
    ventilation,
};
use ampwright_notation::{Key, units::plain};
use ampwright_plan::{
    Plan, say,
    study::{
        air::{Gassing, Room},
        arrays::Array,
        charging::Rate,
        shares::{Asked, BankShares, Share, UNEQUAL},
    },
    wiring::Supply,
};

use super::{Found, Section, Step, day};
use crate::phrase;

/// A battery's part of what its bank gives, where others stand beside it.
pub(super) fn share(plan: &Plan, supply: u32) -> Section {
    let bank = plan.study.base.banks.of_supply.get(&supply);
    let shares = plan.study.shares.iter();
    let of_bank = |shares: &&BankShares| bank == Some(&shares.bank);
    let steps = shares.filter(of_bank).filter_map(|shares| {
        let own = shares.shares.iter().find(|share| share.supply == supply)?;
        Some(share_steps(plan, shares, own))
    });
    Section {
        title: "Its part of the bank",
        steps: steps.flatten().collect(),
    }
}

fn share_steps(plan: &Plan, shares: &BankShares, own: &Share) -> Vec<Step> {
    let amps = phrase::amps(shares.amps);
    let fair = Step::new("its part by ampere-hours", phrase::amps(own.fair));
    vec![
        Step::new(format!("the bank gives, in {}", when(plan, shares)), amps).found(Found::ByRule),
        fair.found(Found::Wiring),
        Step::new(
            "it gives, behind what is inside it and the bank's links",
            phrase::amps(own.amps),
        )
        .found(Found::AsWired),
        Step::new("off its part", say::percent(100.0 * own.off()))
            .by("difference / its part", off_worked(own))
            .found(Found::AsWired),
        Step::new(
            "off by more is worth a word",
            say::percent(100.0 * UNEQUAL.value),
        )
        .from(&UNEQUAL),
    ]
}

fn off_worked(own: &Share) -> String {
    if own.fair <= 0.0 {
        return String::new();
    }
    let (more, less) = (own.amps.max(own.fair), own.amps.min(own.fair));
    format!(
        "({} - {}) / {}",
        phrase::amps(more),
        phrase::amps(less),
        phrase::amps(own.fair)
    )
}

/// When a bank is asked for what it shares.
pub(crate) fn when(plan: &Plan, shares: &BankShares) -> String {
    match shares.asked {
        Asked::Moment(moment) => phrase::moment(plan, moment),
        Asked::Brief => "its largest brief load".to_owned(),
    }
}

/// What charges a battery's bank at its hardest, and what that bears.
pub(super) fn charged(plan: &Plan, supply: &Supply, bank: Option<u32>) -> Section {
    let mut steps = Vec::new();
    if let Some(rate) = bank.and_then(|bank| plan.study.charging.hardest(bank)) {
        steps.push(bears_itself(plan, supply));
        let bears = Step::new(
            "the bank bears, all of it that is joined",
            phrase::amps(rate.bears.amps),
        );
        steps.push(bears.found(Found::Wiring));
        steps.push(rate_step(plan, rate));
    }
    Section {
        title: "Charging",
        steps,
    }
}

fn bears_itself(plan: &Plan, supply: &Supply) -> Step {
    let facts = plan.model.facts(&plan.sources, supply.part);
    if let Some(said) = facts.amount(Key::ChargeLimit) {
        return Step::new("it bears", phrase::amps(said)).found(Found::Said);
    }
    let block = plan.circuit().block_of(supply);
    let limit = block.charge_limit();
    let share = block.chemistry.charge_acceptance();
    let step = Step::new("it bears", phrase::amps(limit.value.0));
    let worked = format!("{} × {} Ah", share.value, plain(block.capacity.0));
    step.by("A per Ah × capacity", worked).from(&share)
}

/// All that charges it together: `60 A alternator + 30 A mains`.
fn rate_step(plan: &Plan, rate: &Rate) -> Step {
    let words: Vec<String> = rate
        .sources
        .iter()
        .map(|&(source, amps)| format!("{} {}", phrase::amps(amps), phrase::supply(plan, source)))
        .collect();
    let sum: f64 = rate.sources.iter().map(|(_, amps)| amps).sum();
    let by = match &rate.sources[..] {
        &[(source, _)] => format!(", by {}", phrase::supply(plan, source)),
        _ => String::new(),
    };
    let what = format!("at its hardest it is charged with{by}");
    let step = Step::new(what, phrase::amps(rate.amps));
    let step = step.found(Found::Wiring);
    if words.len() > 1 && words.len() <= MOST && (sum - rate.amps).abs() < 1e-6 {
        step.by("", words.join(" + "))
    } else {
        step
    }
}

/// More sources than this are not written out.
const MOST: usize = 12;

/// The air that a battery wants while it is charged, and the openings for it.
pub(crate) fn air(battery: &Gassing) -> Vec<Step> {
    let Block {
        chemistry,
        capacity,
        nominal,
    } = battery.block;
    let Some(gassing) = ventilation::gassing(chemistry) else {
        return Vec::new();
    };
    let (air, opening) = (battery.wants.air, battery.wants.opening);
    let worked = format!(
        "{} × {} cells × {} mA/Ah × {} Ah / 1000",
        ventilation::AIR_PER_GASSING.value,
        plain(nominal.0 / 2.0),
        gassing.value,
        plain(capacity.0)
    );
    let flow = Step::new(
        "air while it is charged, Q",
        say::figure(air.value, "m³/h of air"),
    );
    let area = Step::new(
        "openings, each, in and out",
        say::figure(opening.value, "cm²"),
    );
    let through = format!(
        "{} × {}",
        ventilation::OPENING_PER_AIR.value,
        say::figure(air.value, "m³/h")
    );
    vec![
        flow.by("q × cells × gassing × capacity / 1000", worked)
            .from(&ventilation::AIR_PER_GASSING)
            .from(&gassing),
        area.by("28 × Q", through)
            .from(&ventilation::OPENING_PER_AIR),
    ]
}

/// The air of one battery.
pub(super) fn air_of(plan: &Plan, supply: &Supply) -> Section {
    let gassing = plan.study.rooms.iter().flat_map(|room| &room.batteries);
    let own = gassing.filter(|battery| battery.part == supply.part && battery.charged);
    Section {
        title: "Air",
        steps: own.flat_map(air).collect(),
    }
}

/// The air that a place's batteries want together, and what there is.
pub(super) fn room(plan: &Plan, room: &Room) -> Section {
    let each = room.charged().take(MOST);
    let mut steps: Vec<Step> = each
        .map(|battery| {
            let name = &plan.model.get(battery.part).name;
            let wants = say::figure(battery.wants.opening.value, "cm²");
            Step::new(format!("{name} wants openings"), wants).from(&ventilation::OPENING_PER_AIR)
        })
        .collect();
    if !steps.is_empty() {
        let count = room.charged().count();
        let together = Step::new(
            "together, each, in and out",
            say::figure(room.opening, "cm²"),
        );
        let parts: Vec<&str> = steps.iter().map(|step| step.value.as_str()).collect();
        let worked = if (2..=MOST).contains(&count) {
            parts.join(" + ")
        } else {
            String::new()
        };
        steps.push(together.by("", worked).found(Found::Wiring));
        steps.push(Step::new("there is", there_is(room)).found(Found::Said));
        let watts = Step::new("what charges them gives", say::figure(room.watts, "W"));
        let step = watts.found(Found::Wiring);
        steps.push(
            step.from(&ventilation::WELL_VENTILATED_ABOVE)
                .from(&ventilation::OWN_COMPARTMENT_ABOVE),
        );
    }
    Section {
        title: "Air for batteries",
        steps,
    }
}

/// What a place has of openings, in words.
pub(crate) fn there_is(room: &Room) -> String {
    match (room.open_air, room.openings) {
        (true, _) => "it lies in the open".to_owned(),
        (false, Some(there)) => format!("there are {}", say::figure(there, "cm²")),
        (false, None) => "the plan knows of none".to_owned(),
    }
}

/// The arrays that a supply belongs to, as their controller or as a panel.
pub(super) fn arrays(plan: &Plan, supply: u32) -> Section {
    let arrays = plan.study.base.arrays.iter();
    let own = |array: &&Array| array.controller == supply || array.panels.contains(&supply);
    let steps = arrays.filter(own);
    Section {
        title: "What the sun brings",
        steps: steps
            .flat_map(|array| [amperes(plan, array), volts(plan, array)])
            .flatten()
            .collect(),
    }
}

/// The currents of an array.
pub(crate) fn amperes(plan: &Plan, array: &Array) -> Vec<Step> {
    let short = Amperes(array.short_circuit);
    let circuit = solar::circuit_current(short);
    let least = solar::least_rating(short);
    let sum: Vec<String> = by_panel(plan, array)
        .map(|(supply, name)| format!("{} {name}", phrase::amps(supply.amps)))
        .collect();
    let all: f64 = by_panel(plan, array).map(|(supply, _)| supply.amps).sum();
    let together = if sum.len() > 1 && (all - array.short_circuit).abs() < 1e-6 {
        sum.join(" + ")
    } else {
        String::new()
    };
    let isc = Step::new(
        "into a short circuit its panels give, Isc",
        phrase::amps(short.0),
    );
    let isc = isc.by("", together).found(Found::Wiring);
    let times = |share: f64, of: f64| format!("{share} × {}", phrase::amps(of));
    vec![
        match unprinted(plan, array) {
            Some(figure) => isc.from(&figure),
            None => isc,
        },
        Step::new("the circuit counts as", phrase::amps(circuit.value.0))
            .by("1.25 × Isc", times(solar::CIRCUIT_CURRENT.value, short.0))
            .from(&circuit),
        Step::new(
            "conductor and device are chosen for",
            phrase::amps(least.value.0),
        )
        .by(
            "1.25 × that",
            times(solar::CONTINUOUS.value, circuit.value.0),
        )
        .from(&least),
        at_battery(plan, array),
    ]
}

fn by_panel<'a>(plan: &'a Plan, array: &'a Array) -> impl Iterator<Item = (&'a Supply, String)> {
    let named = |&panel: &u32| {
        let supply = plan.wiring.supplies.get(panel as usize)?;
        Some((supply, phrase::supply(plan, panel)))
    };
    array.panels.iter().filter_map(named)
}

/// Where the currents of panels are likely and not printed, what they rest on.
fn unprinted(plan: &Plan, array: &Array) -> Option<Sourced<f64>> {
    let mut panels = by_panel(plan, array);
    let silent = panels.any(|(supply, _)| {
        let panel = plan.circuit().panel_of(supply);
        panel.short_circuit.is_none() && panel.most().is_some()
    });
    silent.then_some(solar::SHORT_PER_WORKING)
}

fn at_battery(plan: &Plan, array: &Array) -> Step {
    let what = format!(
        "at the battery, by {}",
        phrase::supply(plan, array.controller)
    );
    let step = Step::new(what, phrase::amps(array.at_battery));
    let Some((share, volts)) = array.converted else {
        let passed = step.by(
            "it passes their current on",
            phrase::amps(array.short_circuit),
        );
        return passed.found(Found::Said);
    };
    let worked = format!(
        "{} × {} / {}",
        say::figure(array.watts, "W"),
        share,
        say::nominal(volts)
    );
    let step = step.by("P × efficiency / V", worked);
    day::efficient(plan, array.controller, step)
}

/// What stands on a panel's label is the plan's; what is likely says how it is known.
pub(super) fn printed_or<T>(step: Step, figure: &Sourced<T>) -> Step {
    if figure.tag == Tag::M {
        step.from(figure)
    } else {
        step.found(Found::Said)
    }
}

/// The voltages of an array: at 25 °C, freezing, and on the coldest morning that is counted with.
pub(crate) fn volts(plan: &Plan, array: &Array) -> Vec<Step> {
    let open = array.open_circuit.value;
    let freezing = array.freezing();
    let warm = Step::new("with nothing drawn, at 25 °C, Voc", say::volts(open.0));
    let by_cold = format!(
        "{} × (1 + {} × {})",
        say::volts(open.0),
        -solar::VOC_PER_KELVIN.value,
        plain(25.0 - solar::COLDEST.value.0)
    );
    let published = Step::new("on a freezing morning", say::volts(freezing.value.0)).by(
        "1.1 × Voc",
        format!("{} × {}", solar::VOC_AT_FREEZING.value, say::volts(open.0)),
    );
    let cold = Step::new(
        format!("at {}", say::celsius(solar::COLDEST.value.0)),
        say::volts(array.coldest().0),
    );
    let mut steps = vec![
        printed_or(warm, &array.open_circuit),
        published.from(&solar::VOC_AT_FREEZING),
        cold.by(
            "Voc × (1 + share for each degree × degrees below 25 °C)",
            by_cold,
        )
        .from(&solar::VOC_PER_KELVIN)
        .from(&solar::COLDEST),
    ];
    let controller = plan.wiring.supplies.get(array.controller as usize);
    let bears = controller.and_then(|supply| {
        plan.model
            .facts(&plan.sources, supply.part)
            .amount(Key::MaxInput)
    });
    steps.extend(
        bears.map(|bears| {
            Step::new("its controller stands", say::nominal(bears)).found(Found::Said)
        }),
    );
    steps
}
