//! The air that charged batteries want, place by place.
//!
//! EN 50272-2 with its figures for boost charge: what gathers under a deck does not ask whether the
//! charger was meant to boost. Batteries of one place add up.

use std::collections::{BTreeMap, BTreeSet};

use ampwright_electrics::ventilation::{self, Ventilation};
use ampwright_notation::Key;

use super::{Circuit, charging::Charging};
use crate::{
    model::{Facts, PartId},
    wiring::{Supply, SupplyKind},
};

/// A battery that gives off gas while it is charged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gassing {
    /// The battery.
    pub part: PartId,
    /// What it is, with its ampere-hours and its volts.
    pub block: ampwright_electrics::battery::Block,
    /// The air and the openings it wants.
    pub wants: Ventilation,
    /// Something can charge it.
    pub charged: bool,
}

impl Gassing {
    /// Whether it has caps and breathes always, or valves that open only when it is overcharged.
    pub fn is_vented(&self) -> bool {
        self.block.chemistry == ampwright_electrics::battery::Chemistry::Flooded
    }
}

/// The batteries of one place and the air they want.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// The place, an index into [`crate::Model::places`]; `None` for batteries that name none.
    pub place: Option<u32>,
    /// Its batteries that give off gas, in the order of the text.
    pub batteries: Vec<Gassing>,
    /// Air for those that are charged, m³/h.
    pub air: f64,
    /// Free area for them, each for inlet and outlet, cm².
    pub opening: f64,
    /// What the place has, cm², where the plan says it.
    pub openings: Option<f64>,
    /// The place is in the open.
    pub open_air: bool,
    /// What can charge them all together, W.
    pub watts: f64,
    /// What the strongest source can charge them with by itself, W.
    pub strongest: f64,
}

impl Room {
    fn add(&mut self, battery: Gassing) {
        self.batteries.push(battery);
        if battery.charged {
            self.air += battery.wants.air.value;
            self.opening += battery.wants.opening.value;
        }
    }

    /// Those that something can charge.
    pub fn charged(&self) -> impl Iterator<Item = &Gassing> {
        self.batteries.iter().filter(|battery| battery.charged)
    }

    /// Whether the air is enough; nothing where the plan does not say what there is.
    pub fn suffices(&self) -> Option<bool> {
        if self.open_air || self.opening <= 0.0 {
            return Some(true);
        }
        self.openings.map(|there| there + 1e-6 >= self.opening)
    }
}

/// Every place with batteries that give off gas, those that name no place last.
pub(super) fn rooms(circuit: &Circuit<'_>, charging: &Charging) -> Vec<Room> {
    let mut rooms: BTreeMap<u32, Room> = BTreeMap::new();
    let mut rates: BTreeMap<u32, BTreeSet<u32>> = BTreeMap::new();
    for (supply, index) in circuit.wiring.supplies.iter().zip(0u32..) {
        if supply.kind != SupplyKind::Battery {
            continue;
        }
        let bank = circuit.banks.of_supply.get(&index);
        let charged_in = bank.and_then(|&bank| charging.of_bank.get(bank as usize));
        let charged_in = charged_in.map_or(&[][..], Vec::as_slice);
        let Some(battery) = circuit.gassing(index, !charged_in.is_empty()) else {
            continue;
        };
        let place = place_of(circuit, supply.part);
        let key = place.unwrap_or(u32::MAX);
        let room = rooms.entry(key).or_insert_with(|| room(circuit, place));
        room.add(battery);
        rates.entry(key).or_default().extend(charged_in);
    }
    for (key, rates) in &rates {
        if let Some(room) = rooms.get_mut(key) {
            let rates = rates
                .iter()
                .filter_map(|&rate| charging.rates.get(rate as usize));
            let sources = rates.flat_map(|rate| rate.sources.iter().map(|&(source, _)| source));
            let watts = circuit.charging_watts(&sources.collect());
            room.watts = watts.iter().sum();
            room.strongest = watts.into_iter().fold(0.0, f64::max);
        }
    }
    rooms.into_values().collect()
}

fn place_of(circuit: &Circuit<'_>, part: PartId) -> Option<u32> {
    circuit
        .model
        .places
        .find(circuit.facts(part).name(Key::In)?)
}

fn room(circuit: &Circuit<'_>, place: Option<u32>) -> Room {
    let named = place.and_then(|place| circuit.model.places.list.get(place as usize));
    let facts = named.map(|named| Facts::of(circuit.sources, named.thing, &named.like));
    Room {
        place,
        batteries: Vec::new(),
        air: 0.0,
        opening: 0.0,
        openings: facts.as_ref().and_then(|facts| facts.amount(Key::Openings)),
        open_air: facts.is_some_and(|facts| facts.has(Key::OpenAir)),
        watts: 0.0,
        strongest: 0.0,
    }
}

impl Circuit<'_> {
    /// A battery that gives off gas; nothing for one that does not.
    fn gassing(&self, supply: u32, charged: bool) -> Option<Gassing> {
        let wired = &self.wiring.supplies[supply as usize];
        let block = self.block_of(wired);
        let wants = ventilation::wanted(block.chemistry, block.capacity, block.nominal)?;
        Some(Gassing {
            part: wired.part,
            block,
            wants,
            charged,
        })
    }

    /// What each source charges with, W: at its most and at the voltage it holds.
    fn charging_watts(&self, sources: &BTreeSet<u32>) -> Vec<f64> {
        let mut by_part: BTreeMap<PartId, f64> = BTreeMap::new();
        let wired = sources
            .iter()
            .map(|&source| &self.wiring.supplies[source as usize]);
        // What a converter takes from one bank for another is counted where it comes from.
        let passes_on = |supply: &Supply| supply.kind == SupplyKind::ChargingConverter;
        let all_pass_on = wired.clone().all(passes_on);
        for wired in wired.filter(|supply| all_pass_on || !passes_on(supply)) {
            let volts = self.source_volts(wired);
            let together = self.most_together(wired.part).unwrap_or(f64::INFINITY);
            let watts = by_part.entry(wired.part).or_default();
            *watts = (*watts + volts * self.most_of(wired)).min(volts * together);
        }
        by_part.into_values().collect()
    }
}
