//! What charges: sources that may lose their battery, controllers beyond their limits, currents too fast.

mod cut_off;

use std::collections::BTreeMap;

use ampwright_electrics::{solar, ventilation};
use ampwright_notation::Key;

use super::{Desk, registry::Code};
use crate::{
    finding::{Finding, Severity},
    model::PartId,
    say,
    site::Site,
    study::{
        arrays::{Array, COLDEST},
        charging::{Rate, held_together},
    },
    wiring::{Rest, Supply, SupplyKind},
};

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    cut_off::find(desk, found);
    for array in &desk.plan.study.base.arrays {
        found.extend(overvoltage(desk, array));
        found.extend(overcurrent(desk, array));
    }
    too_fast(desk, found);
    bare_panels(desk, found);
    supplies_that_charge(desk, found);
    chattering(desk, found);
}

/// A charging relay that opens no lower than it closes has no state to stay in.
fn chattering(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let contacts = desk.plan.wiring.contacts.iter();
    for relay in contacts.filter(|contact| contact.rest == Rest::Charging) {
        let facts = desk.circuit.facts(relay.part);
        let volts = facts.amount(Key::Closes).zip(facts.amount(Key::Opens));
        let Some((closes, opens)) = volts.filter(|(closes, opens)| opens >= closes) else {
            continue;
        };
        let message = format!(
            "{} closes at {} and opens below {}: it would close and open without end; it has to open lower.",
            desk.part_name(relay.part),
            say::volts(closes),
            say::volts(opens),
        );
        let site = desk.fact_site(relay.part, Key::Opens);
        found
            .push(Finding::new(Code::ImpossibleValue, site, message).measuring(opens, closes, "V"));
    }
}

impl Desk<'_> {
    fn supply(&self, supply: u32) -> &Supply {
        &self.plan.wiring.supplies[supply as usize]
    }

    fn part_name(&self, part: PartId) -> &str {
        &self.plan.model.get(part).name
    }

    /// The names of some supplies' parts, each once.
    fn supplies_named(&self, supplies: impl Iterator<Item = u32>) -> String {
        let mut parts: Vec<PartId> = supplies.map(|supply| self.supply(supply).part).collect();
        parts.sort_unstable();
        parts.dedup();
        let name = |part: &PartId| self.part_name(*part);
        match parts.as_slice() {
            [] => String::new(),
            [one] => name(one).to_owned(),
            [one, other] => format!("{} and {}", name(one), name(other)),
            [one, rest @ ..] => format!("{} and {} more", name(one), rest.len()),
        }
    }
}

/// The published cold factor makes an error; what only a colder morning or a likely figure of a
/// silent label exceeds makes an advice.
fn overvoltage(desk: &Desk<'_>, array: &Array) -> Option<Finding> {
    let controller = desk.supply(array.controller);
    let by_rule = array.freezing();
    let Some(most) = desk.circuit.facts(controller.part).amount(Key::MaxInput) else {
        return unknown_input(desk, array, by_rule.value.0);
    };
    let coldest = array.coldest().0;
    let (volts, severity, when) = if by_rule.value.0 > most + 1e-6 && by_rule.tag.may_be_error() {
        (
            by_rule.value.0,
            Severity::Error,
            "on a freezing morning (NEC 690.7(A))".to_owned(),
        )
    } else if coldest.max(by_rule.value.0) > most + 1e-6 {
        let when = format!(
            "on a morning of {} (common practice)",
            say::celsius(COLDEST.0)
        );
        (coldest.max(by_rule.value.0), Severity::Advice, when)
    } else {
        return None;
    };
    let likely = if array.open_circuit.tag.may_be_error() {
        ""
    } else {
        ", as far as can be guessed without their voc"
    };
    let message = format!(
        "The panels of {} reach {} {when}{likely}, with nothing drawn, and {} stands {}.",
        first_panel(desk, array),
        say::volts(volts),
        desk.part_name(controller.part),
        say::volts(most),
    );
    let site = desk.fact_site(controller.part, Key::MaxInput);
    let finding = Finding::new(Code::ControllerOvervoltage, site, message);
    Some(beside_panels(
        desk,
        array,
        finding.at(severity).measuring(volts, most, "V"),
    ))
}

/// A controller whose input's limit is not written, behind panels that not every one stands.
fn unknown_input(desk: &Desk<'_>, array: &Array, volts: f64) -> Option<Finding> {
    let controller = desk.supply(array.controller);
    let island = desk.circuit.volts_at(controller.plus);
    if volts <= solar::INPUT_PER_BATTERY.value * island {
        return None;
    }
    let touch = if volts > TOUCHED {
        "; this plan checks nothing above 60 V, and it is dangerous to touch"
    } else {
        ""
    };
    let message = format!(
        "The panels of {} reach {} on a freezing morning (NEC 690.7(A)), and what {} stands is not written: look for max-input on its label{touch}.",
        first_panel(desk, array),
        say::volts(volts),
        desk.part_name(controller.part),
    );
    let site = desk.name_site(controller.part);
    let finding = Finding::new(Code::ControllerOvervoltage, site, message).at(Severity::Advice);
    Some(beside_panels(desk, array, finding))
}

/// Above this direct current is dangerous to touch, V.
const TOUCHED: f64 = 60.0;

fn first_panel<'a>(desk: &'a Desk<'_>, array: &Array) -> &'a str {
    let first = array.panels.first();
    first.map_or("", |&panel| desk.part_name(desk.supply(panel).part))
}

fn beside_panels(desk: &Desk<'_>, array: &Array, finding: Finding) -> Finding {
    array.panels.iter().fold(finding, |finding, &panel| {
        finding.beside(desk.name_site(desk.supply(panel).part), "feeds it")
    })
}

/// A PWM passes what the panels give. An MPPT limits itself: that the sun's best is lost is an
/// advice, and only where it is lost even at the voltage at which the battery is full.
fn overcurrent(desk: &Desk<'_>, array: &Array) -> Option<Finding> {
    let controller = desk.supply(array.controller);
    let rated = controller.amps;
    let facts = desk.circuit.facts(controller.part);
    let finding = if facts.word(Key::Technology) == Some("pwm") {
        passes_too_much(desk, array, controller)?
    } else {
        let volts = desk.circuit.source_volts(controller);
        let island = desk.circuit.volts_at(controller.plus);
        let amps = array.at_battery * (island / volts).min(1.0);
        if amps <= rated + 1e-6 {
            return None;
        }
        let message = format!(
            "In full sun the panels are good for {} at the battery, and {} holds back all above its {}.",
            say::amps(amps),
            desk.part_name(controller.part),
            say::amps(rated),
        );
        let site = desk.fact_site(controller.part, Key::Amps);
        Finding::new(Code::ControllerOvercurrent, site, message)
            .at(Severity::Advice)
            .measuring(amps, rated, "A")
    };
    Some(beside_panels(desk, array, finding))
}

fn passes_too_much(desk: &Desk<'_>, array: &Array, controller: &Supply) -> Option<Finding> {
    let rated = controller.amps;
    let circuit =
        solar::circuit_current(ampwright_electrics::quantity::Amperes(array.short_circuit));
    if circuit.value.0 <= rated + 1e-6 {
        return None;
    }
    let severity = if array.short_circuit > rated + 1e-6 {
        Severity::Error
    } else {
        Severity::Warning
    };
    let known = desk.panels_say_their_current(array);
    let message = format!(
        "The panels give {} into a short circuit, which counts as {} ({}), and {} passes at most {}.",
        say::amps(array.short_circuit),
        say::amps(circuit.value.0),
        circuit.source,
        desk.part_name(controller.part),
        say::amps(rated),
    );
    let site = desk.fact_site(controller.part, Key::Amps);
    let finding = Finding::new(Code::ControllerOvercurrent, site, message);
    let severity = if known { severity } else { Severity::Advice };
    Some(finding.at(severity).measuring(circuit.value.0, rated, "A"))
}

impl Desk<'_> {
    /// Whether each panel's short-circuit current is said: what is guessed makes no more than an
    /// advice.
    fn panels_say_their_current(&self, array: &Array) -> bool {
        let says = |panel: &u32| {
            let facts = self.circuit.facts(self.supply(*panel).part);
            facts.has(Key::Isc)
        };
        array.panels.iter().all(says)
    }
}

/// One finding for one set of banks that are charged together, at its hardest.
fn too_fast(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let charging = &desk.plan.study.charging;
    let mut told: Vec<&Rate> = Vec::new();
    for bank in 0..charging.of_bank.len() as u32 {
        let Some(rate) = charging.hardest(bank) else {
            continue;
        };
        if rate.amps <= rate.bears.amps + 1e-6
            || told.iter().any(|known| std::ptr::eq(*known, rate))
        {
            continue;
        }
        told.push(rate);
        found.push(charged_too_fast(desk, rate));
    }
}

/// Beyond what a maker says one source alone is an error; several, which may never run together,
/// and what only common practice limits are an advice. So is an alternator on a battery that
/// cranks: a start takes little out of it.
fn charged_too_fast(desk: &Desk<'_>, rate: &Rate) -> Finding {
    let plan = desk.plan;
    let banks = rate.banks.iter();
    let banks: Vec<_> = banks
        .filter_map(|&bank| plan.study.base.banks.list.get(bank as usize))
        .collect();
    let batteries = || banks.iter().flat_map(|bank| bank.supplies.iter().copied());
    let counts = |source: u32| !(rate.cranks && desk.supply(source).kind == SupplyKind::Alternator);
    let alone = rate.sources.iter().filter(|(source, _)| counts(*source));
    let alone = alone.map(|(_, amps)| *amps).fold(0.0, f64::max);
    let by = if rate.bears.assumed {
        "by common practice for kind and size"
    } else {
        "by the charge-limit written"
    };
    let severity = if !rate.bears.assumed && alone > rate.bears.amps + 1e-6 {
        Severity::Error
    } else {
        Severity::Advice
    };
    let sources = desk.supplies_named(rate.sources.iter().map(|&(source, _)| source));
    let gives = if rate.sources.len() > 1 {
        "give"
    } else {
        "gives"
    };
    let message = format!(
        "{sources} {gives} up to {} into {}, which should take no more than {} {by}.",
        say::amps(rate.amps),
        desk.supplies_named(batteries()),
        say::amps(rate.bears.amps),
    );
    let first = batteries().next().map(|supply| desk.supply(supply).part);
    let site = first.map_or_else(Site::nowhere, |part| desk.fact_site(part, Key::ChargeLimit));
    let finding = Finding::new(Code::ChargeTooFast, site, message)
        .at(severity)
        .measuring(rate.amps, rate.bears.amps, "A");
    rate.sources
        .iter()
        .fold(finding, |finding, &(source, amps)| {
            let gives = format!("gives up to {}", say::amps(amps));
            finding.beside(desk.name_site(desk.supply(source).part), gives)
        })
}

/// Panels on a battery with no controller between charge it for ever. What a full battery turns
/// into gas at the rate that its ventilation counts with is let pass.
fn bare_panels(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let charging = &desk.plan.study.charging;
    let solar = |source: &&(u32, f64)| desk.supply(source.0).kind == SupplyKind::Solar;
    let mut told: Vec<u32> = Vec::new();
    for rate in &charging.rates {
        let bears: f64 = rate
            .banks
            .iter()
            .map(|&bank| gassing_amps(desk, bank))
            .sum();
        let panels: f64 = rate
            .sources
            .iter()
            .filter(solar)
            .map(|(_, amps)| amps)
            .sum();
        let Some(&(first, _)) = rate.sources.iter().find(solar) else {
            continue;
        };
        if panels <= bears + 1e-6 || told.contains(&first) {
            continue;
        }
        told.push(first);
        found.push(bare(desk, rate, first, panels, bears));
    }
}

/// What a bank's batteries turn into gas when they are full and overcharged, A.
fn gassing_amps(desk: &Desk<'_>, bank: u32) -> f64 {
    let Some(bank) = desk.plan.study.base.banks.list.get(bank as usize) else {
        return 0.0;
    };
    let side_by_side = bank.tops.iter().filter_map(|top| {
        let mut supplies = bank.supplies.iter();
        let supply = supplies.find(|&&supply| desk.supply(supply).plus == *top)?;
        let block = desk.circuit.block_of(desk.supply(*supply));
        let per_hour = ventilation::gassing(block.chemistry)?.value / 1000.0;
        Some(per_hour * block.capacity.0)
    });
    side_by_side.sum()
}

/// A converter that is not said to charge, on a battery: a supply holds its voltage for ever.
fn supplies_that_charge(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let supplies = || desk.plan.wiring.supplies.iter();
    let mut converters = supplies()
        .filter(|supply| supply.kind == SupplyKind::Converter)
        .peekable();
    if converters.peek().is_none() {
        return;
    }
    let held = held_together(&desk.circuit);
    let mut battery_on: BTreeMap<u32, PartId> = BTreeMap::new();
    for battery in supplies().filter(|supply| supply.kind == SupplyKind::Battery) {
        let piece = held.find(battery.plus.index() as u32);
        battery_on.entry(piece).or_insert(battery.part);
    }
    for converter in converters {
        let piece = held.find(converter.plus.index() as u32);
        if let Some(&battery) = battery_on.get(&piece) {
            found.push(never_ends(desk, converter, battery));
        }
    }
}

fn never_ends(desk: &Desk<'_>, converter: &Supply, battery: PartId) -> Finding {
    let name = desk.part_name(converter.part);
    let message = format!(
        "The output of {name} is joined to {} and {name} is not said to charge: a supply does not stop when a battery is full. Say charges if its maker does, or part the two.",
        desk.part_name(battery),
    );
    Finding::new(Code::ChargeTooFast, desk.name_site(converter.part), message)
        .at(Severity::Warning)
        .beside(desk.name_site(battery), "this battery")
}

fn bare(desk: &Desk<'_>, rate: &Rate, panel: u32, amps: f64, bears: f64) -> Finding {
    let part = desk.supply(panel).part;
    let banks = rate.banks.iter();
    let banks = banks.filter_map(|&bank| desk.plan.study.base.banks.list.get(bank as usize));
    let into = desk.supplies_named(banks.flat_map(|bank| bank.supplies.iter().copied()));
    let message = format!(
        "{} feeds {into} with up to {} and no controller between: nothing stops it when the battery is full, and all above {} turns into gas and heat.",
        desk.part_name(part),
        say::amps(amps),
        say::amps(bears),
    );
    Finding::new(Code::ChargeTooFast, desk.name_site(part), message)
        .at(Severity::Warning)
        .measuring(amps, bears, "A")
}
