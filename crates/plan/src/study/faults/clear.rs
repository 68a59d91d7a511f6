//! Whether a device opens before the copper is too hot.
//!
//! A conductor whose device exceeds it by the rule has that finding and no second one; a short tap
//! is excused from the fault by its length, a link and a cranking feed have no device to ask.

use ampwright_electrics::{
    conductor,
    protection::{
        heating::Copper,
        opening::{opens_by, steps},
    },
    quantity::{Amperes, Celsius, Seconds, SquareMillimetres},
    source::Sourced,
};

use ampwright_notation::Kind;

use super::{AtConductor, Faults, Smallest, TooLong, hot::Hot};
use crate::study::{Circuit, cables::Cable, protect::Protection};

/// Holds every live conductor against what its device lets through, and gives each device the
/// smallest current that it has to interrupt.
pub(super) fn judge(
    circuit: &Circuit<'_>,
    cables: &[Cable],
    protection: &Protection,
    hot: &Hot,
    faults: &mut Faults,
) {
    let mut excused = protection.short_taps.clone();
    let exceeded = protection.exceeded.iter();
    for index in exceeded.flat_map(|one| one.others.iter().chain([&one.conductor])) {
        excused[*index as usize] = true;
    }
    for index in 0..faults.conductors.len() {
        let Some(at) = faults.conductors[index].as_mut() else {
            continue;
        };
        let Some(device) = at
            .device
            .and_then(|device| faults.devices.get_mut(device as usize)?.as_mut())
        else {
            continue;
        };
        if let Some(smallest) = at.smallest {
            let least = |known: Smallest| {
                if smallest.amps < known.amps {
                    smallest
                } else {
                    known
                }
            };
            device.smallest = Some(device.smallest.map_or(smallest, least));
        }
        let asked = Asked {
            circuit,
            copper: circuit.copper_of(index as u32, &cables[index]),
            device: at.device.unwrap_or_default(),
            rating: rating(circuit, protection, index, device.largest.added),
        };
        at.rating = asked.rating;
        asked.time(at);
        if !excused[index] && !is_another_fault(circuit, index) {
            asked.judge(at, hot.faults(circuit, index), device.largest.amps);
        }
    }
}

/// A bonding conductor, or one that joins a `+` to a `-`, which is a finding of its own.
fn is_another_fault(circuit: &Circuit<'_>, index: usize) -> bool {
    let wired = &circuit.wiring.conductors[index];
    let ends = [wired.from, wired.to];
    let bonds = ends
        .iter()
        .any(|&end| circuit.kind_at(end) == Some(Kind::Bond));
    bonds || ends.iter().all(|end| circuit.home[end.index()].is_some())
}

/// Before a device's next limit begins.
const JUST_BELOW: f64 = 1.0 - 1e-6;

/// A conductor and the device that protects it.
struct Asked<'a> {
    circuit: &'a Circuit<'a>,
    copper: Option<Copper>,
    device: u32,
    rating: f64,
}

impl Asked<'_> {
    /// How the smallest fault ends, whatever comes of it.
    fn time(&self, at: &mut AtConductor) {
        let amps = at.smallest.map(|smallest| Amperes(smallest.amps));
        at.opens = amps.and_then(|amps| self.opens(amps));
        at.bears = self
            .copper
            .zip(amps)
            .map(|(copper, amps)| copper.bears(amps));
    }

    /// By when the device has opened; `None` where nothing is known of it.
    fn opens(&self, amps: Amperes) -> Option<Sourced<Seconds>> {
        let contact = &self.circuit.wiring.contacts[self.device as usize];
        opens_by(self.circuit.opener(contact)?, Amperes(self.rating), amps)
    }

    fn too_long(&self, amps: f64) -> Option<TooLong> {
        let copper = self.copper?;
        let opens = self.opens(Amperes(amps))?;
        let bears = copper.bears(Amperes(amps));
        let exceeds = amps > copper.ampacity.0 && opens.value.0 > bears.0;
        exceeds.then_some(TooLong {
            amps,
            device: self.device,
            opens,
            bears,
        })
    }

    /// A short circuit can be anywhere along the conductor, so that its current takes any value
    /// between the two; those at which the device lets the most through, and the largest.
    fn along(&self, least: f64, largest: f64) -> impl Iterator<Item = f64> {
        let contact = &self.circuit.wiring.contacts[self.device as usize];
        let opener = self.circuit.opener(contact);
        let rating = Amperes(self.rating);
        let steps = opener
            .into_iter()
            .flat_map(move |opener| steps(opener, rating));
        steps
            .map(|step| step.0 * JUST_BELOW)
            .filter(move |amps| *amps > least && *amps < largest)
            .chain([largest])
    }

    fn judge(&self, at: &mut AtConductor, smallest: impl Iterator<Item = Smallest>, largest: f64) {
        let worse = |a: TooLong, b: TooLong| {
            let ratio = |one: &TooLong| one.opens.value.0 / one.bears.0;
            if ratio(&b) > ratio(&a) { b } else { a }
        };
        at.not_cleared = smallest
            .filter_map(|smallest| self.too_long(smallest.amps))
            .reduce(worse);
        if at.not_cleared.is_none() {
            let least = at.smallest.map_or(largest, |smallest| smallest.amps);
            let along = self.along(least, largest);
            at.not_withstood = along.filter_map(|amps| self.too_long(amps)).reduce(worse);
        }
    }
}

/// What devices let through for ever together, A: two that feed one conductor share its fault. What
/// limited sources give besides passes no device.
fn rating(circuit: &Circuit<'_>, protection: &Protection, index: usize, limited: f64) -> f64 {
    let Some(sustained) = protection.sustained[index] else {
        return 0.0;
    };
    let own = sustained
        .device
        .and_then(|device| circuit.wiring.contacts[device as usize].protects)
        .unwrap_or(0.0);
    own.max(sustained.amps - limited)
}

impl Circuit<'_> {
    /// A conductor as far as its warmth goes; `None` where its size is not said or no table has it.
    pub fn copper_of(&self, index: u32, cable: &Cable) -> Option<Copper> {
        let wired = self.wiring.conductors.get(index as usize)?;
        let one = conductor::area(wired.size?, self.rules.areas());
        let may = cable.may_carry().strict();
        may.is_finite().then_some(Copper {
            area: SquareMillimetres(one.0 * f64::from(wired.parallel.max(1))),
            insulation: Celsius(cable.stuff.insulation),
            ambient: Celsius(cable.ambient),
            ampacity: Amperes(may),
        })
    }
}
