//! What the sources put into their banks in a day.

use ampwright_electrics::{
    defaults,
    energy::{Spell, converted},
    quantity::{Volts, Watts},
};
use ampwright_notation::{Key, Kind};
use rustc_hash::FxHashMap;

use super::{Energy, LoadDay, Shares, SourceDay, reach::Reached};
use crate::{
    model::{Facts, PartId},
    study::Circuit,
    wiring::{Supply, SupplyKind, panel},
};

/// Converters that charge are summed up to so many, since each asks what its battery still lacks;
/// of those beyond no charge is counted, so that the day comes out poorer.
const MOST_THROUGH: usize = 32;

/// How a source's current came about.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Making {
    /// Its own figure.
    Rated,
    /// Panels behind a controller that finds their best point: their power in full sun, W, its
    /// efficiency as a share of one, and the voltage that it is brought to, V.
    Converted {
        /// W.
        watts: f64,
        /// A share of one.
        efficiency: f64,
        /// V.
        volts: f64,
        /// What that would be without the controller's limit, A.
        whole: f64,
    },
    /// Panels whose own current is passed on, and what that would be without the controller's
    /// limit, A.
    Passed {
        /// A.
        whole: f64,
    },
}

impl Making {
    /// What the panels would give in full sun without the controller's limit, A.
    pub const fn whole(self) -> Option<f64> {
        match self {
            Self::Rated => None,
            Self::Converted { whole, .. } | Self::Passed { whole } => Some(whole),
        }
    }
}

/// Whose hours count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hours {
    /// Its own, or those of its panels.
    Own,
    /// As much of a source's on its input's bank, or of a charger's on the mains, as it runs with it.
    Of(PartId),
}

impl Energy {
    pub(super) fn give(
        &mut self,
        circuit: &Circuit<'_>,
        rest: &Reached<'_>,
        charging: &Reached<'_>,
    ) {
        let arrays: FxHashMap<u32, &[u32]> = circuit
            .arrays
            .iter()
            .map(|array| (array.controller, &array.panels[..]))
            .collect();
        let supplies = (0u32..).zip(&circuit.wiring.supplies);
        let (last, first): (Vec<_>, Vec<_>) = supplies
            .filter(|(_, supply)| supply.kind.charges())
            .partition(|(_, supply)| supply.kind == SupplyKind::ChargingConverter);
        for (index, supply) in first {
            let day = match supply.kind {
                SupplyKind::Controller => arrays
                    .get(&index)
                    .and_then(|arrays| solar(circuit, charging, index, arrays)),
                SupplyKind::InverterCharger => with_the_mains(circuit, charging, index, supply),
                _ => rated(circuit, charging, index, supply),
            };
            self.sources.extend(day);
        }
        // They run while another source charges the bank at their input, few as they are.
        for (index, supply) in last.into_iter().take(MOST_THROUGH) {
            self.charge_through(circuit, rest, charging, index, supply);
        }
    }

    fn charge_through(
        &mut self,
        circuit: &Circuit<'_>,
        rest: &Reached<'_>,
        charging: &Reached<'_>,
        index: u32,
        supply: &Supply,
    ) {
        let Some((input, ratio)) = rest.input_of(index) else {
            return;
        };
        let (Some(banks), Some((from, per_amp))) =
            (charging.joined(supply.plus), charging.feeding(input))
        else {
            return;
        };
        let runs = |source: &&SourceDay| {
            let charges = |of: u32| source.banks.iter().any(|(bank, _)| *bank == of);
            from.iter().any(|&(bank, _)| charges(bank))
        };
        let longest = self.sources.iter().filter(runs).reduce(|most, next| {
            if next.spell.hours > most.spell.hours {
                next
            } else {
                most
            }
        });
        let Some((hours, part)) = longest.map(|source| {
            let part = circuit.wiring.supplies[source.supply as usize].part;
            (source.spell.hours, part)
        }) else {
            return;
        };
        // It takes no more than its battery needs: a full one asks for nothing.
        let hours = hours.min(self.lacks(&banks) / supply.amps);
        if hours.is_nan() || hours <= 0.0 {
            return;
        }
        let spell = Spell {
            amps: supply.amps,
            hours,
        };
        self.loads
            .extend(circuit.draw_of.get(&supply.part).map(|&draw| LoadDay {
                draw,
                spell: Spell {
                    amps: supply.amps * ratio,
                    hours,
                },
                per_amp,
                banks: from,
            }));
        self.sources.push(SourceDay {
            supply: index,
            spell,
            making: Making::Rated,
            hours: Hours::Of(part),
            banks,
        });
    }
}

impl Energy {
    /// What loads take out of some banks in a day more than sources put back, as far as they are
    /// summed, Ah.
    fn lacks(&self, banks: &Shares) -> f64 {
        let of = |shares: &Shares, all: f64| {
            let own = shares
                .iter()
                .filter(|(bank, _)| banks.iter().any(|(of, _)| of == bank));
            all * own.map(|(_, share)| share).sum::<f64>()
        };
        let taken = self.loads.iter().map(|load| of(&load.banks, load.takes()));
        let given = self
            .sources
            .iter()
            .map(|source| of(&source.banks, source.gives()));
        (taken.sum::<f64>() - given.sum::<f64>()).max(0.0)
    }
}

/// An alternator, or a charger's output: its own figure for its own hours. What a charger of several
/// outputs gives altogether is shared by them alike.
fn rated(
    circuit: &Circuit<'_>,
    charging: &Reached<'_>,
    index: u32,
    supply: &Supply,
) -> Option<SourceDay> {
    let facts = circuit.facts(supply.part);
    let hours = facts.amount(Key::Daily)?;
    let outputs = circuit.supplies_of(supply.part);
    let used = outputs.filter(|(_, output)| charging.joined(output.plus).is_some());
    let used = used.count().max(1) as f64;
    let all = facts.amount(Key::Amps).unwrap_or(supply.amps);
    Some(SourceDay {
        supply: index,
        spell: Spell {
            amps: supply.amps.min(all / used),
            hours,
        },
        making: Making::Rated,
        hours: Hours::Own,
        banks: charging.joined(supply.plus)?,
    })
}

/// An inverter that charges does so from the mains, for as long as a charger is on them.
fn with_the_mains(
    circuit: &Circuit<'_>,
    charging: &Reached<'_>,
    index: u32,
    supply: &Supply,
) -> Option<SourceDay> {
    let chargers = circuit
        .model
        .ids()
        .filter(|(_, part)| part.kind == Kind::Charger);
    let hours = chargers.filter_map(|(id, _)| Some((circuit.facts(id).amount(Key::Daily)?, id)));
    let (hours, of) = hours.reduce(|most, next| if next.0 > most.0 { next } else { most })?;
    Some(SourceDay {
        supply: index,
        spell: Spell {
            amps: supply.amps,
            hours,
        },
        making: Making::Rated,
        hours: Hours::Of(of),
        banks: charging.joined(supply.plus)?,
    })
}

/// A solar controller: its panels' peak-sun hours at what it makes of them, up to its limit.
fn solar(
    circuit: &Circuit<'_>,
    charging: &Reached<'_>,
    index: u32,
    arrays: &[u32],
) -> Option<SourceDay> {
    let supply = &circuit.wiring.supplies[index as usize];
    let own = circuit.facts(supply.part);
    let passes = own.word(Key::Technology) == Some("pwm");
    let volts = circuit.volts_at(supply.plus);
    let efficiency = own
        .amount(Key::Efficiency)
        .map_or(defaults::MPPT.value, |percent| percent / 100.0);
    let (mut watts, mut whole, mut charge) = (0.0, 0.0, 0.0);
    for &array in arrays {
        let facts = circuit.facts(circuit.wiring.supplies[array as usize].part);
        let power = power(&facts);
        let amps = if passes {
            working_amps(&facts)
        } else {
            converted(Watts(power), efficiency, Volts(volts)).0
        };
        watts += power;
        whole += amps;
        charge += amps * facts.amount(Key::Daily).unwrap_or(0.0);
    }
    let hours = charge / whole;
    let making = if passes {
        Making::Passed { whole }
    } else {
        Making::Converted {
            watts,
            efficiency,
            volts,
            whole,
        }
    };
    (charge > 0.0 && hours.is_finite()).then_some(())?;
    Some(SourceDay {
        supply: index,
        spell: Spell {
            amps: whole.min(supply.amps),
            hours,
        },
        making,
        hours: Hours::Own,
        banks: charging.joined(supply.plus)?,
    })
}

/// An array's power in full sun, W.
fn power(facts: &Facts<'_>) -> f64 {
    let count = |key| f64::from(facts.count(key).unwrap_or(1));
    facts.amount(Key::Watts).unwrap_or(0.0) * count(Key::Series) * count(Key::Parallel)
}

/// An array's current at its best power, A.
fn working_amps(facts: &Facts<'_>) -> f64 {
    let strings = f64::from(facts.count(Key::Parallel).unwrap_or(1));
    panel(facts).working().map_or(0.0, |amps| amps.0 * strings)
}
