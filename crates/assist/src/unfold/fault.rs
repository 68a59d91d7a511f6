//! Short circuits unfolded: the smallest and the largest current, by when a device has ended it, and
//! how long the copper bears it. Hovers say the same steps in a sentence.

use ampwright_electrics::{
    battery::Charge,
    conductor::{COPPER_ALPHA, resistance_per_metre, temperature_factor},
    defaults,
    protection::{adiabatic, heating, opening},
    quantity::{Amperes, Celsius, decimals},
    source::Sourced,
};
use ampwright_notation::Key;
use ampwright_plan::{
    Plan, say,
    study::faults::{AtConductor, AtDevice, Home, Largest, Origin, Smallest},
    wiring::{Contact, Supply, SupplyKind},
};

use super::{
    Found, Section, Step,
    conductor::{over, per_metre},
};
use crate::phrase;

/// What a short circuit does to a conductor.
pub(super) fn conductor(plan: &Plan, index: u32) -> Section {
    let mut steps = Vec::new();
    if let Some(at) = plan.study.faults.conductor(index)
        && let Some(least) = &at.smallest
    {
        steps.extend(parts(plan, least));
        steps.extend(hot(plan, index));
        steps.push(smallest(plan, least));
        steps.extend(ends(plan, index, at, least));
    }
    Section {
        title: "A short circuit",
        steps,
    }
}

/// How a fault at a load's own terminals ends.
pub(super) fn load(plan: &Plan, draw: u32) -> Section {
    let least = at_load(plan, draw).and_then(|at| at.smallest.as_ref());
    let steps = least.map_or_else(Vec::new, |least| {
        let mut steps = parts(plan, least);
        steps.push(smallest(plan, least));
        steps
    });
    Section {
        title: "A short circuit at it",
        steps,
    }
}

/// The last conductor before a load, where a fault at its far end is one at the load.
pub(crate) fn at_load(plan: &Plan, draw: u32) -> Option<&AtConductor> {
    let wired = plan.wiring.draws.get(draw as usize)?;
    let at = plan.wiring.conductors_at(wired.plus);
    let at = at.filter_map(|index| plan.study.faults.conductor(index));
    at.filter(|at| at.smallest.is_some_and(|least| least.at == wired.plus))
        .last()
}

/// What a short circuit asks of a device.
pub(super) fn device(plan: &Plan, index: u32, contact: &Contact) -> Section {
    let mut steps = Vec::new();
    if let Some(at) = plan.study.faults.device(index) {
        steps.push(
            Step::new("the largest comes home", home(plan, at.largest.home)).found(Found::Wiring),
        );
        steps.push(largest(plan, at));
        steps.extend(at.smallest.iter().map(|least| smallest(plan, least)));
        steps.push(breaks(plan, contact).unwrap_or_else(|| {
            Step::new("it can stop", "not known and not asked").found(Found::Said)
        }));
        steps.extend(rated_volts(plan, contact));
        let charged = say::nominal(at.charged_at);
        steps.push(Step::new("its circuit is charged at", charged).found(Found::Wiring));
    }
    Section {
        title: "A short circuit",
        steps,
    }
}

/// The largest current, right behind a device.
pub(crate) fn largest(plan: &Plan, at: &AtDevice) -> Step {
    let Largest {
        amps,
        volts,
        ohms,
        added,
        ..
    } = at.largest;
    let what = "the largest, right behind it";
    if volts <= 0.0 || !ohms.is_finite() {
        let step = Step::new(what, phrase::amps(amps)).found(Found::Wiring);
        return Step {
            formula: "what limited sources add, no battery among them".to_owned(),
            ..step
        };
    }
    let alone = format!("{} / {}", say::volts(volts), milliohms(ohms));
    let (formula, worked) = if added > 0.0 {
        let worked = format!("{alone} + {}", phrase::amps(added));
        ("E / R + what limited sources add", worked)
    } else {
        ("E / R", alone)
    };
    let step = Step::new(what, phrase::amps(amps))
        .by(formula, worked)
        .found(Found::ShortCold);
    let unsaid = batteries(plan).find(|supply| at.from_memory && !says_inside(plan, supply));
    match unsaid {
        Some(supply) => step.from(&plan.circuit().block_of(supply).resistance()),
        None => step,
    }
}

/// How the largest comes home, in words.
pub(crate) fn home(plan: &Plan, home: Home) -> String {
    match home {
        Home::Straight(_) => "with nothing counted on the way home".to_owned(),
        Home::From(node) | Home::Shared(node) => {
            format!("coming home from {}", phrase::node(plan, node))
        }
        Home::AsOut => "coming home like its way out".to_owned(),
    }
}

/// The smallest current, from one source alone.
pub(crate) fn smallest(plan: &Plan, least: &Smallest) -> Step {
    let what = format!(
        "the smallest, at {} and from {} alone",
        phrase::node(plan, least.at),
        origin_name(plan, least)
    );
    let step = Step::new(what, phrase::amps(least.amps)).found(Found::ShortHot);
    if is_limited(plan, least) {
        return Step {
            formula: "all that it gives".to_owned(),
            ..step
        };
    }
    let worked = format!(
        "{} / ({} in it + {} out + {} home)",
        say::volts(least.volts),
        milliohms(least.source_ohms),
        milliohms(least.out_ohms),
        milliohms(least.home_ohms)
    );
    step.by("E / (R in it + R out + R home)", worked)
}

fn origin<'a>(plan: &'a Plan, least: &Smallest) -> Option<&'a Origin> {
    plan.study.faults.origins.get(least.origin as usize)
}

pub(crate) fn origin_name(plan: &Plan, least: &Smallest) -> String {
    origin(plan, least).map_or_else(String::new, |origin| phrase::supply(plan, origin.supply))
}

fn is_limited(plan: &Plan, least: &Smallest) -> bool {
    origin(plan, least).is_some_and(|origin| least.amps >= origin.most)
}

fn batteries(plan: &Plan) -> impl Iterator<Item = &Supply> {
    let supplies = plan.wiring.supplies.iter();
    supplies.filter(|supply| supply.kind == SupplyKind::Battery)
}

/// Whether the plan says what is inside a battery, one way or the other.
fn says_inside(plan: &Plan, supply: &Supply) -> bool {
    let facts = plan.model.facts(&plan.sources, supply.part);
    let says = |key| facts.amount(key).is_some_and(|value| value > 0.0);
    says(Key::Resistance) || says(Key::ShortCircuit)
}

/// What the smallest current is made of.
fn parts(plan: &Plan, least: &Smallest) -> Vec<Step> {
    let Some(origin) = origin(plan, least) else {
        return Vec::new();
    };
    let supply = plan.wiring.supplies.get(origin.supply as usize);
    let battery = supply.filter(|supply| supply.kind == SupplyKind::Battery);
    let name = phrase::supply(plan, origin.supply);
    let mut steps = vec![match battery {
        Some(battery) => Step::new(format!("{name}, half empty"), say::volts(origin.volts))
            .from(&plan.circuit().block_of(battery).rest_volts(Charge::Half)),
        None => Step::new(format!("{name} holds"), say::volts(origin.volts)).found(Found::Wiring),
    }];
    if origin.volts - least.volts > 1e-9 {
        let worked = format!(
            "{} - {}",
            say::volts(origin.volts),
            say::volts(origin.volts - least.volts)
        );
        let step = Step::new("behind the diodes on the way, E", say::volts(least.volts));
        steps.push(step.by("E - what they take", worked).from(&defaults::DIODE));
    }
    let inside = Step::new("R in it", milliohms(least.source_ohms));
    steps.push(match battery {
        Some(battery) if !says_inside(plan, battery) => {
            inside.from(&plan.circuit().block_of(battery).resistance())
        }
        _ => inside.found(Found::Said),
    });
    let out = Step::new("R out", milliohms(least.out_ohms)).found(Found::ShortHot);
    steps.push(crimped(out));
    let what = match least.home {
        Home::From(node) => format!("R home, from {}", phrase::node(plan, node)),
        Home::Shared(node) => format!(
            "R home, from {}, no better than out",
            phrase::node(plan, node)
        ),
        Home::AsOut | Home::Straight(_) => "R home, like out".to_owned(),
    };
    let home = Step::new(what, milliohms(least.home_ohms)).found(Found::ShortHot);
    steps.push(crimped(home));
    steps
}

/// Every crimp and contact on the way counts.
fn crimped(step: Step) -> Step {
    step.from(&defaults::POST)
}

/// The conductor's own part: as hot as its insulation bears.
fn hot(plan: &Plan, index: u32) -> Option<Step> {
    let wired = plan.wiring.conductors.get(index as usize)?;
    let cable = plan.study.cables.get(index as usize)?;
    let ohms = *plan.study.faults.hot_ohms.get(index as usize)?;
    let (size, metres) = wired.size.zip(wired.metres)?;
    let cold = resistance_per_metre(size, cable.stuff.metal, plan.study.base.rules.areas());
    let warm = temperature_factor(Celsius(cable.stuff.insulation));
    let worked = format!(
        "({} × {} × {} + 2 × {})",
        per_metre(cold.value),
        decimals(warm, 4),
        say::metres(metres),
        defaults::POST.value
    );
    let what = format!(
        "of that this conductor, at the {} that its insulation bears",
        Celsius(cable.stuff.insulation)
    );
    let step = Step::new(what, milliohms(ohms));
    let step = step.by(
        over("(r20 × w × L + 2 × crimp)", wired),
        over(&worked, wired),
    );
    Some(step.from(&cold).from(&COPPER_ALPHA).from(&defaults::POST))
}

/// By when the device has ended it and how long the copper bears it.
fn ends(plan: &Plan, index: u32, at: &AtConductor, least: &Smallest) -> Vec<Step> {
    let device = at
        .device
        .and_then(|device| plan.wiring.contacts.get(device as usize));
    let Some(contact) = device else {
        let words = "no device stands before it that could stop it";
        return vec![Step::new("what ends it", words).found(Found::Wiring)];
    };
    let mut steps = vec![opens(plan, contact, at, least)];
    steps.extend(copper(plan, index, at, least));
    steps
}

/// By when a device has opened.
fn opens(plan: &Plan, contact: &Contact, at: &AtConductor, least: &Smallest) -> Step {
    let name = phrase::device(&plan.circuit(), contact);
    let what = format!("{name} has opened within");
    let Some(by) = &at.opens else {
        return Step::new(what, "not known and not asked").found(Found::Said);
    };
    if !by.value.0.is_finite() {
        return Step::new(what, "it need not open at that").from(by);
    }
    let current = Amperes(least.amps);
    let opener = plan.circuit().opener(contact);
    let printed = opener.and_then(|opener| opening::printed(opener, Amperes(at.rating), current));
    let step = Step::new(what, clock(by.value.0)).from(by);
    match printed.and_then(|printed| printed.value) {
        Some(printed) => {
            let worked = format!(
                "{} s × ({} × {} / {})²",
                printed.seconds,
                printed.multiple,
                phrase::amps(at.rating),
                phrase::amps(least.amps)
            );
            step.by("t printed × (multiple × rating / I)²", worked)
        }
        None => step,
    }
}

/// How long the copper bears it: without giving off heat, and with.
fn copper(plan: &Plan, index: u32, at: &AtConductor, least: &Smallest) -> Vec<Step> {
    let cable = plan.study.cables.get(index as usize);
    let copper = cable.and_then(|cable| plan.circuit().copper_of(index, cable));
    let (Some(copper), Some(bears)) = (copper, at.bears) else {
        return Vec::new();
    };
    let k = adiabatic::k(copper.insulation);
    let time = adiabatic::longest_time(Amperes(least.amps), copper.area, k.value);
    let worked = format!(
        "({} × {} / {})²",
        decimals(k.value, 2),
        copper.area,
        phrase::amps(least.amps)
    );
    let bare = Step::new("the copper bears it, giving off no heat", clock(time.0));
    let given = Step::new("and with what it gives off", for_how_long(bears.0));
    vec![
        bare.by("(k × S / I)²", worked).from(&k),
        given.from(&heating::LAW),
    ]
}

pub(crate) fn for_how_long(seconds: f64) -> String {
    if seconds.is_finite() {
        clock(seconds)
    } else {
        "for ever".to_owned()
    }
}

/// Seconds, however many: what is worked out is compared with what it is worked out from.
fn clock(seconds: f64) -> String {
    if seconds < 0.1 {
        say::figure(seconds * 1e3, "ms")
    } else {
        say::figure(seconds, "s")
    }
}

/// What a device can break, and where that figure comes from.
pub(crate) fn breaks(plan: &Plan, contact: &Contact) -> Option<Step> {
    let breaks = plan.circuit().breaks(contact)?;
    let step = Step::new("it can stop", phrase::amps(breaks.value));
    Some(said_or(plan, contact, Key::Breaks, step, &breaks))
}

/// The highest voltage that it may be used at.
pub(crate) fn rated_volts(plan: &Plan, contact: &Contact) -> Option<Step> {
    let volts = plan.circuit().rated_volts(contact)?;
    let step = Step::new("up to", say::nominal(volts.value));
    Some(said_or(plan, contact, Key::RatedVolts, step, &volts))
}

fn said_or(plan: &Plan, contact: &Contact, key: Key, step: Step, figure: &Sourced<f64>) -> Step {
    if plan.circuit().says(contact, key) {
        step.found(Found::Said)
    } else {
        step.from(figure)
    }
}

/// A resistance as people say it.
pub(super) fn milliohms(ohms: f64) -> String {
    if ohms >= 1.0 {
        say::figure(ohms, "Ω")
    } else {
        say::figure(ohms * 1e3, "mΩ")
    }
}
