//! The constants of copper, contacts, batteries, charging and panels that a plan rests on.

use std::collections::HashSet;

use ampwright_electrics::{
    battery::{self, Charge},
    conductor::COPPER_ALPHA,
    defaults, heat, protection,
    quantity::Amperes,
    rules::{self, Edition, LoadClass, Role},
    solar, ventilation,
};
use ampwright_notation::{Key, Kind};
use ampwright_plan::{
    Plan,
    study::{air::Room, cables::contact_design, shares::UNEQUAL},
    wiring::{Device, DrawKind, Supply, SupplyKind},
};

use super::Gathered;

/// Copper's warmth, and what crimps add.
pub(super) fn copper(plan: &Plan, to: &mut Gathered) {
    if plan.wiring.conductors.is_empty() {
        return;
    }
    to.shown(
        "growth of copper's resistance, for each kelvin",
        Some(COPPER_ALPHA),
    );
    to.shown("resistance of a crimp", Some(defaults::POST));
    to.add("how warm a conductor grows", &heat::LAW, "");
    let margin = format!("{} K", heat::MARGIN.value);
    to.add(
        "how near its insulation's limit is hot",
        &heat::MARGIN,
        margin,
    );
}

/// What contacts lose, and the ratings that are made.
pub(super) fn contacts(plan: &Plan, to: &mut Gathered) {
    // There are two series of ratings, and nothing more to look for once both are there.
    let mut series: HashSet<&str> = HashSet::new();
    for contact in &plan.wiring.contacts {
        let silent = |key| {
            let facts = plan.model.facts(&plan.sources, contact.part);
            facts.amount(key).is_none()
        };
        match (contact.device, contact.protects) {
            (Device::Shunt, _) if silent(Key::Volts) => {
                to.shown("volts across a shunt at its rating", Some(defaults::SHUNT));
            }
            (Device::Diode(_), _) if silent(Key::Drop) => {
                to.shown("volts that a diode takes", Some(defaults::DIODE));
            }
            (_, Some(_)) => {
                to.shown(
                    "drop of a device at its rating",
                    Some(defaults::DEVICE_DROP),
                );
                if series.len() < 2 {
                    let design = contact_design(&plan.study.rule, contact.edge);
                    let rating = protection::smallest_above(Amperes(design.amps));
                    if let Some(rating) = rating.filter(|rating| series.insert(rating.source)) {
                        to.add("series of ratings", &rating, "");
                    }
                }
            }
            (Device::Shunt | Device::Diode(_), None) => {}
            (_, None) => to.shown("resistance of a switch", Some(defaults::SWITCH)),
        }
    }
}

fn of_kind(plan: &Plan, is_kind: impl Fn(SupplyKind) -> bool) -> impl Iterator<Item = &Supply> {
    let supplies = plan.wiring.supplies.iter();
    supplies.filter(move |supply| is_kind(supply.kind))
}

/// What a silent battery is taken to be.
pub(super) fn batteries(plan: &Plan, to: &mut Gathered) {
    for supply in of_kind(plan, |kind| kind == SupplyKind::Battery) {
        let chemistry = plan.circuit().block_of(supply).chemistry;
        let facts = plan.model.facts(&plan.sources, supply.part);
        let half = chemistry.rest_volts(Charge::Half);
        let full = chemistry.rest_volts(Charge::Full);
        to.shown(
            format!("rest voltage of {chemistry} batteries, half charged"),
            Some(half),
        );
        to.shown(
            format!("rest voltage of {chemistry} batteries, full"),
            Some(full),
        );
        if facts.amount(Key::Resistance).is_none() {
            let ohms = chemistry.resistance();
            to.shown(
                format!("inner resistance of {chemistry} batteries"),
                Some(ohms),
            );
        }
        if facts.amount(Key::Usable).is_none() {
            let share = chemistry.usable();
            to.shown(
                format!("usable share of {chemistry} batteries"),
                Some(share),
            );
        }
        if !plan.study.energy.loads.is_empty() {
            let exponent = chemistry.peukert_exponent();
            to.shown(
                format!("Peukert's exponent of {chemistry} batteries"),
                Some(exponent),
            );
            to.shown(
                "hours that a capacity is rated for",
                Some(battery::RATED_HOURS),
            );
        }
    }
}

/// What charging asks of batteries and of the air round them.
pub(super) fn charging(plan: &Plan, to: &mut Gathered) {
    let banks = &plan.study.base.banks;
    for (supply, index) in plan.wiring.supplies.iter().zip(0u32..) {
        let bank = banks.of_supply.get(&index);
        let charged = bank.is_some_and(|&bank| plan.study.charging.hardest(bank).is_some());
        let facts = plan.model.facts(&plan.sources, supply.part);
        if charged && facts.amount(Key::ChargeLimit).is_none() {
            let chemistry = plan.circuit().block_of(supply).chemistry;
            let what = format!("charging current of {chemistry} batteries, A per Ah");
            to.shown(what, Some(chemistry.charge_acceptance()));
        }
    }
    if !plan.study.shares.is_empty() {
        to.add("an unequal share", &UNEQUAL, "20 %");
    }
    let charged = plan.study.rooms.iter().flat_map(Room::charged);
    for battery in charged {
        let chemistry = battery.block.chemistry;
        to.shown(
            format!("gassing of {chemistry} batteries, mA per Ah"),
            ventilation::gassing(chemistry),
        );
        to.shown(
            "air for gas, m³/h per A and cell",
            Some(ventilation::AIR_PER_GASSING),
        );
        to.shown("openings, cm² per m³/h", Some(ventilation::OPENING_PER_AIR));
        to.shown(
            "charging that wants well-ventilated batteries, W",
            Some(ventilation::WELL_VENTILATED_ABOVE),
        );
        to.shown(
            "charging that wants a compartment for batteries, W",
            Some(ventilation::OWN_COMPARTMENT_ABOVE),
        );
    }
}

/// What silent sources hold, and what silent boxes lose.
pub(super) fn sources(plan: &Plan, to: &mut Gathered) {
    for supply in of_kind(plan, SupplyKind::charges) {
        let converter = supply.kind == SupplyKind::ChargingConverter;
        if supply.volts.is_none() || converter {
            match supply.kind {
                SupplyKind::Alternator => {
                    to.shown(
                        "voltage of an alternator, of 12 V",
                        Some(defaults::ALTERNATOR),
                    );
                }
                _ => to.shown(
                    "voltage of a charger or controller, of 12 V",
                    Some(defaults::CHARGER),
                ),
            }
        }
    }
    // What a fault is held against where nothing that charges says its voltage.
    if plan.study.faults.devices.iter().any(Option::is_some) {
        to.shown(
            "voltage of a charger or controller, of 12 V",
            Some(defaults::CHARGER),
        );
    }
    for part in &plan.model.parts {
        let facts = || ampwright_plan::Facts::of(&plan.sources, part.thing, &part.like);
        let usual = match part.kind {
            Kind::Controller => ("efficiency of a controller", defaults::MPPT),
            Kind::Converter => ("efficiency of a converter", defaults::CONVERTER),
            Kind::Inverter => ("efficiency of an inverter", defaults::INVERTER),
            _ => continue,
        };
        if facts().amount(Key::Efficiency).is_none() && facts().word(Key::Technology) != Some("pwm")
        {
            to.shown(usual.0, Some(usual.1));
        }
    }
}

/// What silent panels are taken to be, and what cold and a bright day add.
pub(super) fn panels(plan: &Plan, to: &mut Gathered) {
    for supply in of_kind(plan, |kind| kind == SupplyKind::Solar) {
        let panel = plan.circuit().panel_of(supply);
        let no_amps = panel.short_circuit.is_none();
        let no_volts = panel.working_volts.is_none();
        if no_amps && panel.most().is_some() {
            to.shown(
                "short-circuit current over that at best power",
                Some(solar::SHORT_PER_WORKING),
            );
        }
        let guessed =
            no_volts && (no_amps && panel.working_amps.is_none() || panel.open_circuit.is_none());
        if guessed && panel.open_circuit.is_none() {
            to.shown(
                "voltage of a panel at best power",
                Some(solar::WORKING_VOLTS),
            );
        }
        if guessed || panel.open_circuit.is_none() {
            to.shown(
                "voltage at best power over that with nothing drawn",
                Some(solar::WORKING_PER_OPEN),
            );
        }
        to.shown(
            "what a panel's circuit counts as, of its short-circuit current",
            Some(solar::CIRCUIT_CURRENT),
        );
        to.shown(
            "what conductor and device are chosen for, of the circuit's current",
            Some(solar::CONTINUOUS),
        );
    }
    if !plan.study.base.arrays.is_empty() {
        to.shown(
            "panel volts on a freezing morning, of those at 25 °C",
            Some(solar::VOC_AT_FREEZING),
        );
        to.shown("panel volts for each kelvin", Some(solar::VOC_PER_KELVIN));
        to.shown("the coldest morning", Some(solar::COLDEST));
    }
}

/// The voltage below which a silent load gets too little.
pub(super) fn loads(plan: &Plan, to: &mut Gathered) {
    let mut seen: HashSet<bool> = HashSet::new();
    for draw in &plan.wiring.draws {
        let facts = plan.model.facts(&plan.sources, draw.part);
        let silent = facts.amount(Key::Minimum).is_none();
        if draw.kind != DrawKind::Socket && silent && seen.insert(silent) {
            to.shown(
                "voltage too low for a load, of 12 V",
                Some(defaults::LOW_VOLTS),
            );
        }
    }
}

/// How conductors and loads are joined on: studs, colours, what needs no isolator.
pub(super) fn fittings(plan: &Plan, to: &mut Gathered) {
    let rules = plan.study.base.rules;
    let conductors = &plan.wiring.conductors;
    if conductors.is_empty() {
        return;
    }
    to.shown("conductors on a stud", rules.studs_limit());
    to.shown(
        "length of a conductor that may be smaller",
        rules.minimum_size_exempt_length(),
    );
    to.shown(
        "distance from the post that is an advice",
        rules.bare_advice_distance(),
    );
    if conductors
        .iter()
        .any(|conductor| conductor.colour.is_some())
    {
        for (role, what) in [
            (Role::Positive, "colours of positive conductors"),
            (Role::Negative, "colours of negative conductors"),
            (Role::Bonding, "colours of bonding conductors"),
        ] {
            if let Some(colours) = rules.colours_of(role) {
                to.add(what, &colours, colours.value.join(", "));
            }
        }
    }
    let classes: HashSet<LoadClass> = plan.study.base.class.iter().copied().collect();
    for class in classes {
        if let Some(may) = rules.bypass(class).filter(|may| may.value) {
            to.add("classes that may bypass the isolator", &may, "");
        }
    }
}

/// What a main device at a large bank has to stop.
pub(super) fn large_banks(plan: &Plan, to: &mut Gathered) {
    let banks = plan.study.base.banks.list.iter();
    for (bank, amps) in banks.zip(&plan.study.faults.banks) {
        let bank = rules::Bank {
            cranking: Amperes(0.0),
            capacity: plan.circuit().capacity_of(bank),
            short_circuit: Amperes(*amps),
        };
        let asked = plan.study.base.rules.interrupting(Edition::Newer, bank);
        to.shown(
            "what a large bank's main device has to stop",
            asked.map(|asked| asked.main),
        );
    }
}
