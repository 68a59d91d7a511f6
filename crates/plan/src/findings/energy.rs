//! The family *energy*: what arrives at a load (`arrival`), and what a day costs.

use super::{Desk, arrival, registry::Code};
use crate::{
    finding::Finding,
    say,
    study::energy::{Balance, Energy, SourceDay},
};

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    if !Desk::is_shorted(found) {
        arrival::find(desk, found);
    }
    let energy = &desk.plan.study.energy;
    found.extend(
        energy
            .balances()
            .iter()
            .filter_map(|balance| budget_deficit(desk, energy, balance)),
    );
}

/// Only where a source that charges these banks says for how long: where none does nothing is
/// known of what comes in.
fn budget_deficit(desk: &Desk<'_>, energy: &Energy, balance: &Balance) -> Option<Finding> {
    let sources = sources(energy, balance);
    if sources.is_empty() || balance.lacks() <= 1e-6 {
        return None;
    }
    let most = |bank: &&u32| energy.banks[**bank as usize].takes;
    let worst = *balance.banks.iter().reduce(|worst, next| {
        if most(&next) > most(&worst) + 1e-9 {
            next
        } else {
            worst
        }
    })?;
    let message = said(desk, energy, balance, worst);
    let battery = *desk.circuit.banks.list[worst as usize].batteries.first()?;
    let mut finding = Finding::new(Code::BudgetDeficit, desk.name_site(battery), message)
        .measuring(balance.takes, balance.gives, "Ah");
    for source in sources.iter().take(MOST_NAMED) {
        let supply = &desk.plan.wiring.supplies[source.supply as usize];
        let message = format!(
            "{} gives {} for {}: {}",
            desk.plan.supply_name(source.supply),
            say::amps(source.spell.amps),
            say::figure(source.spell.hours, "h"),
            say::figure(source.gives(), "Ah"),
        );
        finding = finding.beside(desk.name_site(supply.part), message);
    }
    Some(finding)
}

fn sources<'a>(energy: &'a Energy, balance: &Balance) -> Vec<&'a SourceDay> {
    let charges = |source: &&SourceDay| {
        let mut banks = source.banks.iter();
        banks.any(|(bank, _)| balance.banks.contains(bank))
    };
    energy.sources.iter().filter(charges).collect()
}

fn said(desk: &Desk<'_>, energy: &Energy, balance: &Balance, worst: u32) -> String {
    let banks = balance.banks.iter();
    let usable: f64 = banks
        .map(|bank| energy.banks[*bank as usize].store.usable_charge().0)
        .sum();
    let silent = match energy.silent.len() {
        0 => "",
        _ => " at least",
    };
    format!(
        "A day takes{silent} {} out of {} and puts {} back: {} more have to be charged each day, or what may be used of it is gone after {}.",
        say::figure(balance.takes, "Ah"),
        desk.plan.bank_name(worst),
        say::figure(balance.gives, "Ah"),
        say::figure(balance.lacks(), "Ah"),
        say::days(usable / balance.lacks()),
    )
}

/// Sources named beside the bank.
const MOST_NAMED: usize = 8;
