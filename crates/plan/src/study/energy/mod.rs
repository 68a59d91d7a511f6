//! The energy of a day: what the loads take out of each bank, what the sources put back, how long
//! it lasts without them.
//!
//! Ampere-hours at the bank's nominal voltage. A load draws on the banks that feed it at rest; where
//! several are joined they share it by their ampere-hours. What lies behind a converter draws on
//! whatever feeds its input, with the converter's loss. A source charges the banks that it is
//! joined to while it charges, by their ampere-hours too: banks that are joined then, or at rest,
//! are balanced together. What a battery itself loses between charging and discharging is not counted.

mod reach;
mod sources;

use std::sync::Arc;

use ampwright_electrics::{
    battery::{Block, Chemistry},
    energy::{DAY, Spell, Store},
    quantity::AmpHours,
};
use ampwright_notation::Key;

use super::{Circuit, banks::Bank};
use crate::wiring::DrawKind;

use reach::Reached;

pub use sources::{Hours, Making};

/// Which banks bear something, and which share of it each; the shares make one.
pub type Shares = Arc<[(u32, f64)]>;

/// A load's day.
#[derive(Clone, Debug)]
pub struct LoadDay {
    /// The draw; for a converter that charges its input.
    pub draw: u32,
    /// Its current at its own voltage, and its hours.
    pub spell: Spell,
    /// What one ampere of it takes out of the bank, A: more than one behind a converter that raises
    /// the voltage.
    pub per_amp: f64,
    /// The banks that feed it at rest.
    pub banks: Shares,
}

impl LoadDay {
    /// What it takes out of its banks in a day, Ah.
    pub fn takes(&self) -> f64 {
        self.spell.charge().0 * self.per_amp
    }
}

/// A source's day.
#[derive(Clone, Debug)]
pub struct SourceDay {
    /// The supply.
    pub supply: u32,
    /// Its current at its bank, and its hours.
    pub spell: Spell,
    /// How its current came about.
    pub making: Making,
    /// Whose hours count.
    pub hours: Hours,
    /// The banks that it charges.
    pub banks: Shares,
}

impl SourceDay {
    /// What it puts into its banks in a day, Ah.
    pub fn gives(&self) -> f64 {
        self.spell.charge().0
    }
}

/// A bank's day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BankDay {
    /// What it holds and how much of that is used.
    pub store: Store,
    /// Its plan says how much of it is used.
    pub usable_said: bool,
    /// What loads take out of it in a day, Ah.
    pub takes: f64,
    /// What sources put into it in a day, Ah.
    pub gives: f64,
    /// The share of it that the loads use up in a day, Peukert counted.
    pub share: f64,
    /// The first of the banks that are balanced together with it.
    pub group: u32,
}

impl BankDay {
    /// Days that it lasts with nothing charging; infinite where nothing draws on it.
    pub fn days(&self) -> f64 {
        self.store.days(self.share)
    }
}

/// The banks that are balanced together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Balance {
    /// The banks.
    pub banks: Vec<u32>,
    /// What loads take out of them in a day, Ah.
    pub takes: f64,
    /// What sources put into them in a day, Ah.
    pub gives: f64,
}

impl Balance {
    /// What has to be charged besides to break even, Ah; 0 where what is there does.
    pub fn lacks(&self) -> f64 {
        (self.takes - self.gives).max(0.0)
    }
}

/// The energy of a day.
#[derive(Clone, Debug, Default)]
pub struct Energy {
    /// The loads that say how long they run, and inverters and charging converters likewise.
    pub loads: Vec<LoadDay>,
    /// Loads that do not say it.
    pub silent: Vec<u32>,
    /// The sources that say how long they charge.
    pub sources: Vec<SourceDay>,
    /// For each bank its day.
    pub banks: Vec<BankDay>,
}

impl Energy {
    /// Sums the day up.
    pub fn of(circuit: &Circuit<'_>) -> Self {
        let mut energy = Self::default();
        if circuit.banks.list.is_empty() {
            energy.silent = loads(circuit)
                .filter(|&draw| hours(circuit, draw).is_none())
                .collect();
            return energy;
        }
        let (rest, charging) = (Reached::at_rest(circuit), Reached::charging(circuit));
        energy.banks = banks(circuit, &rest, &charging);
        energy.take(circuit, &rest);
        energy.give(circuit, &rest, &charging);
        energy.sum();
        energy
    }

    fn take(&mut self, circuit: &Circuit<'_>, rest: &Reached<'_>) {
        for draw in loads(circuit) {
            match hours(circuit, draw) {
                Some(hours) => self.load(circuit, rest, draw, hours),
                None if circuit.wiring.draws[draw as usize].kind == DrawKind::Load => {
                    self.silent.push(draw);
                }
                None => {}
            }
        }
    }

    fn load(&mut self, circuit: &Circuit<'_>, rest: &Reached<'_>, draw: u32, hours: f64) {
        let plus = circuit.wiring.draws[draw as usize].plus;
        if let Some((banks, per_amp)) = rest.feeding(plus) {
            let amps = circuit.nominal_amps(draw);
            self.loads.push(LoadDay {
                draw,
                spell: Spell { amps, hours },
                per_amp,
                banks,
            });
        }
    }

    fn sum(&mut self) {
        for load in &self.loads {
            let plain = Spell {
                amps: load.spell.amps * load.per_amp,
                hours: load.spell.hours,
            };
            for &(bank, share) in load.banks.iter() {
                let own = Spell {
                    amps: plain.amps * share,
                    ..plain
                };
                if let Some(bank) = self.banks.get_mut(bank as usize) {
                    bank.takes += own.charge().0;
                    bank.share += bank.store.used_by(own);
                }
            }
        }
        for source in &self.sources {
            for &(bank, share) in source.banks.iter() {
                if let Some(bank) = self.banks.get_mut(bank as usize) {
                    bank.gives += source.gives() * share;
                }
            }
        }
    }

    /// What a day takes out of all banks, Ah; `None` where they differ in voltage, so that their
    /// ampere-hours do not add up, or where nothing says its hours.
    pub fn takes(&self, banks: &[Bank]) -> Option<f64> {
        let volts = banks.first()?.volts;
        let alike = banks.iter().all(|bank| (bank.volts - volts).abs() < 1e-6);
        let all = self.banks.iter().map(|bank| bank.takes).sum();
        (alike && !self.loads.is_empty()).then_some(all)
    }

    /// The banks that are balanced together, in the order of the first of each.
    pub fn balances(&self) -> Vec<Balance> {
        let mut balances: std::collections::BTreeMap<u32, Balance> =
            std::collections::BTreeMap::new();
        for (index, bank) in (0u32..).zip(&self.banks) {
            let balance = balances.entry(bank.group).or_default();
            balance.banks.push(index);
            balance.takes += bank.takes;
            balance.gives += bank.gives;
        }
        balances.into_values().collect()
    }

    /// The sources that charge a bank and say for how long.
    pub fn sources_of(&self, bank: u32) -> impl Iterator<Item = &SourceDay> {
        let charges = move |source: &&SourceDay| source.banks.iter().any(|(of, _)| *of == bank);
        self.sources.iter().filter(charges)
    }
}

/// The draws that can say how long they run in a day.
fn loads(circuit: &Circuit<'_>) -> impl Iterator<Item = u32> {
    let draws = (0u32..).zip(&circuit.wiring.draws);
    draws
        .filter(|(_, draw)| matches!(draw.kind, DrawKind::Load | DrawKind::Inverter))
        .map(|(index, _)| index)
}

/// Hours in a day: said, or as a share of the day.
fn hours(circuit: &Circuit<'_>, draw: u32) -> Option<f64> {
    let facts = circuit.facts(circuit.wiring.draws[draw as usize].part);
    let share = || Some(DAY * facts.amount(Key::Percent)? / 100.0);
    facts.amount(Key::Daily).or_else(share)
}

fn banks(circuit: &Circuit<'_>, rest: &Reached<'_>, charging: &Reached<'_>) -> Vec<BankDay> {
    let groups = reach::groups(circuit, &[rest, charging]);
    let banks = circuit.banks.list.iter().zip(groups);
    banks
        .map(|(bank, group)| {
            let (store, usable_said) = circuit.store_of(bank);
            BankDay {
                store,
                usable_said,
                takes: 0.0,
                gives: 0.0,
                share: 0.0,
                group,
            }
        })
        .collect()
}

impl Circuit<'_> {
    /// A bank as a day sees it, and whether the plan says how much of it is used. Blocks in series
    /// hold the same charge over again; of several batteries the most careful figure counts.
    pub fn store_of(&self, bank: &Bank) -> (Store, bool) {
        let blocks: Vec<(Block, Option<f64>)> = bank
            .supplies
            .iter()
            .map(|&supply| {
                let supply = &self.wiring.supplies[supply as usize];
                let usable = self.facts(supply.part).amount(Key::Usable);
                (self.block_of(supply), usable.map(|percent| percent / 100.0))
            })
            .collect();
        let said = blocks.iter().any(|(_, usable)| usable.is_some());
        let usable = |(block, usable): &(Block, Option<f64>)| {
            usable.unwrap_or(block.chemistry.usable().value)
        };
        let exponent =
            |(block, _): &(Block, Option<f64>)| Chemistry::peukert_exponent(block.chemistry).value;
        let store = Store {
            capacity: self.capacity_of(bank),
            usable: blocks.iter().map(usable).fold(1.0, f64::min),
            exponent: blocks.iter().map(exponent).fold(1.0, f64::max),
        };
        (store, said)
    }

    /// What a bank holds: of its batteries' ampere-hours those that stand side by side.
    pub fn capacity_of(&self, bank: &Bank) -> AmpHours {
        let each = bank.supplies.iter();
        let each = each.map(|&supply| self.block_of(&self.wiring.supplies[supply as usize]));
        let all: f64 = each.map(|block| block.capacity.0).sum();
        let strings = bank.tops.len().max(1) as f64 / bank.batteries.len().max(1) as f64;
        AmpHours(all * strings)
    }
}
