//! Sizes that carry the current, ratings that protect the conductor.

use ampwright_electrics::{
    ampacity::AmpacityAsk,
    conductor::{self, Size},
    protection,
    quantity::{Celsius, Volts},
    rules::RuleName,
};
use ampwright_notation::{Key, Thing};
use ampwright_plan::{
    Facts, PartId, Plan, say,
    study::cables::{Cable, DEFAULT_INSULATION, contact_design},
    wiring::{Contact, Device},
};

use crate::phrase;

use super::{
    List,
    rank::{FITS, POOR},
};

/// Whether a busbar is one of the negative side.
pub(super) fn is_negative(plan: &Plan, part: PartId) -> bool {
    plan.model.facts(&plan.sources, part).word(Key::Polarity) == Some("negative")
}

/// The sizes of the series that the plan uses.
fn series(plan: &Plan) -> Vec<Size> {
    let rules = plan.study.base.rules;
    let american = || matches!(rules.name(), RuleName::UsCfr183 | RuleName::AbycE11);
    let used = plan
        .wiring
        .conductors
        .iter()
        .find_map(|conductor| conductor.size);
    let gauges = used.map_or_else(american, |size| matches!(size, Size::Awg(_)));
    let like = if gauges {
        Size::Awg(10)
    } else {
        Size::Mm2(1.0)
    };
    conductor::series(like, rules.areas()).collect()
}

/// Where a conductor would lie and what it would be made of, °C both.
#[derive(Clone, Copy)]
struct Lies {
    ambient: f64,
    insulation: f64,
}

impl Lies {
    /// As the conductors of a run do; where it has none, as the boat's cable at the boat's ambient.
    fn of(plan: &Plan, beside: Option<&Cable>) -> Self {
        if let Some(cable) = beside {
            return Self {
                ambient: cable.ambient,
                insulation: cable.stuff.insulation,
            };
        }
        let boat = plan
            .model
            .boat
            .map(|boat| Facts::of(&plan.sources, boat, &[]));
        let cable = boat
            .as_ref()
            .and_then(|boat| boat.name(Key::CableName))
            .and_then(|name| plan.model.cables.find(name));
        let named = cable.and_then(|cable| plan.model.cables.list.get(cable as usize));
        let insulation = named.and_then(|named| {
            Facts::of(&plan.sources, named.thing, &named.like).amount(Key::Insulation)
        });
        let ambient = boat.and_then(|boat| boat.amount(Key::Ambient));
        Self {
            ambient: ambient.unwrap_or(plan.study.base.rules.ambient().value.0),
            insulation: insulation.unwrap_or(DEFAULT_INSULATION),
        }
    }

    /// What a size may carry there, A.
    fn carries(self, plan: &Plan, size: Size) -> f64 {
        let ask = AmpacityAsk {
            size,
            insulation: Celsius(self.insulation),
            ambient: Celsius(self.ambient),
            bundled: 1,
            parallel: 1,
            system: Volts(plan.study.base.system),
            carries: None,
        };
        plan.study.base.rules.ampacity(&ask).value.0
    }
}

/// The most loaded conductor of a run.
fn beside(plan: &Plan, run: u32) -> Option<&Cable> {
    let own = plan
        .wiring
        .conductors
        .iter()
        .zip(&plan.study.cables)
        .filter(|(conductor, _)| conductor.run == run);
    own.map(|(_, cable)| cable)
        .max_by(|a, b| a.design.amps.total_cmp(&b.design.amps))
}

/// What the loads of a run's stops take, the largest of them, A.
fn largest_load(plan: &Plan, thing: &Thing) -> Option<f64> {
    let parts = thing
        .stops()
        .filter_map(|stop| plan.model.part(&stop.name.value));
    let draws = parts.filter_map(|part| plan.study.base.draw_of.get(&part));
    draws
        .map(|&draw| plan.circuit().nominal_amps(draw))
        .reduce(f64::max)
}

fn written(size: Size) -> String {
    match size {
        Size::Mm2(area) => format!("{} mm2", ampwright_notation::units::plain(area)),
        Size::Awg(_) => say::size(size),
    }
}

impl List<'_> {
    /// The sizes that are made: those that carry the run's current first, the smallest of them on top.
    pub(super) fn sizes(&mut self, before: &str, rank: u32) {
        let plan = self.plan;
        let thing = self.line.thing;
        let run = thing.and_then(|thing| plan.model.runs.find(&thing.name.as_ref()?.value));
        let beside = run.and_then(|run| beside(plan, run));
        let carried = beside
            .map(|cable| cable.design.amps)
            .filter(|amps| *amps > 0.0);
        let needed = carried.or_else(|| largest_load(plan, thing?));
        let lies = Lies::of(plan, beside);
        for size in series(plan) {
            let may = lies.carries(plan, size);
            let too_small = needed.is_some_and(|amps| may + 1e-6 < amps);
            let asked = needed.map_or_else(String::new, |amps| {
                let amps = phrase::amps(amps);
                if too_small {
                    format!(", too little for {amps}")
                } else {
                    format!(", {amps} are needed")
                }
            });
            let label = format!("{before}{}", written(size));
            let detail = format!("carries {}{asked}", phrase::amps(may));
            self.add_value(label, if too_small { POOR } else { rank }, detail);
        }
    }

    /// Standard ratings: those above the load and within what the conductors bear first.
    pub(super) fn ratings(&mut self, rank: u32, contact: Option<&Contact>) {
        let bounds = contact.map(|contact| bounds(self.plan, contact));
        for rating in protection::ratings() {
            let amps = rating.value.0;
            let (fits, detail) = match bounds {
                Some((load, _)) if amps < load => {
                    (false, format!("below the {} that flow", phrase::amps(load)))
                }
                Some((_, ceiling)) if amps > ceiling => (
                    false,
                    format!(
                        "above the {} that the conductor may carry",
                        phrase::amps(ceiling)
                    ),
                ),
                Some((load, _)) if load > 0.0 => (true, format!("for {}", phrase::amps(load))),
                _ => (true, "a standard rating".to_owned()),
            };
            let rank = match (fits, bounds) {
                (false, _) => POOR,
                (true, Some((load, _))) if load > 0.0 => FITS,
                (true, _) => rank,
            };
            self.add_value(
                format!("{} A", ampwright_notation::units::plain(amps)),
                rank,
                detail,
            );
        }
    }
}

/// What flows through a device, and what the weakest conductor behind it lets it be, A.
fn bounds(plan: &Plan, contact: &Contact) -> (f64, f64) {
    let circuit = plan.circuit();
    let index = plan
        .wiring
        .contacts
        .iter()
        .position(|other| other.edge == contact.edge);
    let behind = plan
        .study
        .protection
        .sustained
        .iter()
        .zip(&plan.study.cables)
        .filter(|(found, _)| {
            found.is_some_and(|found| {
                found.device.is_some() && found.device.map(|device| device as usize) == index
            })
        });
    let ceiling = behind
        .map(|(_, cable)| circuit.ceiling_of(cable).strict())
        .fold(f64::INFINITY, f64::min);
    (contact_design(&plan.study.rule, contact.edge).amps, ceiling)
}

/// The contact of a part, or of one of its ways.
pub(super) fn contact(plan: &Plan, part: PartId, way: Option<u32>) -> Option<&Contact> {
    let number = |contact: &Contact| match contact.device {
        Device::WayFuse(number) | Device::WayBreaker(number) | Device::WaySwitch(number) => {
            Some(number)
        }
        _ => None,
    };
    plan.wiring
        .contacts
        .iter()
        .find(|contact| contact.part == part && (way.is_none() || number(contact) == way))
}
