//! Short circuits: the smallest and the largest current at every live conductor and device.
//!
//! **Smallest**: at the conductor's far end, its copper as hot as its insulation bears, batteries
//! half empty, every crimp and contact in the way, and one source alone: each battery by itself
//! (with those in series below it), and a converter where it is what feeds. Of more than
//! [`MOST_ORIGINS`] in one net those that give the least by themselves are taken. Chargers and
//! their like are not a source alone: what they give for ever is held against the conductor as its
//! sustained current.
//!
//! **Largest**: at a device's own output, copper cold, batteries full, every source at once,
//! nothing lost in crimps and contacts; a source that limits its current adds its limit. What a
//! conductor can meet at most is what its device can.
//!
//! **The way home** of a fault. Where one part lies behind, it is that part's own, for the smallest
//! from the last point on it that is no farther from the part along the cable than the fault (at
//! the part's `+` from its `-`). At a panel it begins at the bar that the panel `returns` to;
//! elsewhere where the ways home of all that lies behind meet, or, where nothing does, of all that
//! the source feeds; and then the smallest counts it as no better than the way out. The largest counts no way home at all within
//! [`NEAR_POST`] of a battery's post, on a metal hull, or where nothing lies behind; at a panel
//! from its bar, elsewhere from the first point that is no farther from the source than the device.
//!
//! Every contact counts as closed. What a splitting diode would have to pass backwards is no way.
//! Everything comes from two factorizations: one of the conductors alone, hot, one of the whole
//! network, cold; so the time grows with conductors times sources of one net, which is bounded.

mod clear;
mod cold;
mod copper;
mod devices;
mod hot;
mod tree;
mod ways;

use ampwright_electrics::{quantity::Seconds, source::Sourced};
use petgraph::graph::NodeIndex;

use super::{Circuit, cables::Cable, protect::Protection};

/// Sources of one net that are taken alone.
pub const MOST_ORIGINS: usize = 8;

/// Up to here along the cable from a battery's post a fault may find a way home that is as good as
/// none, m.
pub const NEAR_POST: f64 = 2.0;

/// A source that feeds a fault alone: a battery with those in series below it, or a converter.
#[derive(Clone, Debug, PartialEq)]
pub struct Origin {
    /// Its supply; of batteries in series the topmost.
    pub supply: u32,
    /// Where its current comes out.
    pub plus: NodeIndex,
    /// Where it comes home.
    pub minus: NodeIndex,
    /// What it holds without current, half empty, V.
    pub volts: f64,
    /// What is inside it, and between its blocks in series, ohm.
    pub ohms: f64,
    /// The most it gives, A; infinite for a battery.
    pub most: f64,
}

/// How a fault's current comes home.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Home {
    /// From this terminal: the circuit's own return.
    From(NodeIndex),
    /// From where the ways home of several circuits meet, no better than the way out.
    Shared(NodeIndex),
    /// Like the way out: nothing is known to lie behind.
    AsOut,
    /// Straight into this battery's post: nothing on the way home is counted.
    Straight(NodeIndex),
}

/// The smallest current of a short circuit: `amps = (volts - drops) / (source + out + home)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Smallest {
    /// A.
    pub amps: f64,
    /// What feeds it, an index into [`Faults::origins`].
    pub origin: u32,
    /// What drives it, V: the source's volts less those of diodes on the way.
    pub volts: f64,
    /// Inside the source, ohm.
    pub source_ohms: f64,
    /// On the way out, ohm.
    pub out_ohms: f64,
    /// On the way home, ohm.
    pub home_ohms: f64,
    /// Where it is.
    pub at: NodeIndex,
    /// How it comes home.
    pub home: Home,
}

/// The largest current of a short circuit: `amps = volts / ohms + added`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Largest {
    /// A.
    pub amps: f64,
    /// Between the two points with nothing joined, V.
    pub volts: f64,
    /// Of the whole network between them, ohm.
    pub ohms: f64,
    /// What sources that limit their current add, A.
    pub added: f64,
    /// Where it is.
    pub at: NodeIndex,
    /// How it comes home.
    pub home: Home,
}

/// A fault that its device may let heat a conductor for too long.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TooLong {
    /// A.
    pub amps: f64,
    /// The device, an index into the wiring's contacts.
    pub device: u32,
    /// By when it has opened; infinite where it need not open at all.
    pub opens: Sourced<Seconds>,
    /// How long the conductor bears the current.
    pub bears: Seconds,
}

/// What a short circuit does to a conductor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AtConductor {
    /// The smallest current, at its far end; `None` where no source alone reaches it.
    pub smallest: Option<Smallest>,
    /// What interrupts it, an index into the wiring's contacts; `None` for a stub before the first
    /// device, a bank's link or a cranking feed, and for what only limited sources feed.
    pub device: Option<u32>,
    /// What its device lets through for ever, A: two that feed one conductor share its fault.
    pub rating: f64,
    /// By when its device has opened at the smallest current; `None` where nothing is known of it.
    pub opens: Option<Sourced<Seconds>>,
    /// How long the conductor bears the smallest current, infinite for one it bears for ever.
    pub bears: Option<Seconds>,
    /// The smallest of one source outlasts what the conductor bears.
    pub not_cleared: Option<TooLong>,
    /// The largest does, or one between the two: a fault can be anywhere along the conductor.
    pub not_withstood: Option<TooLong>,
}

/// What a short circuit asks of a device.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AtDevice {
    /// The largest current, at its output.
    pub largest: Largest,
    /// The smallest that it has to interrupt, over the conductors it protects.
    pub smallest: Option<Smallest>,
    /// The nearest device before it, an index into the wiring's contacts.
    pub upstream: Option<u32>,
    /// The highest voltage that its island is charged with, V.
    pub charged_at: f64,
    /// The inner resistance of a battery that feeds it is not the plan's own.
    pub from_memory: bool,
    /// Loads and sources behind it.
    pub behind: u32,
}

/// Short circuits.
#[derive(Clone, Debug, Default)]
pub struct Faults {
    /// The sources that were taken alone.
    pub origins: Vec<Origin>,
    /// For each conductor its resistance, ohm: as hot as its insulation bears, with a crimp at each
    /// end; nothing where its size or length is unknown.
    pub hot_ohms: Vec<f64>,
    /// For each conductor of the live net.
    pub conductors: Vec<Option<AtConductor>>,
    /// For each contact that protects a live circuit.
    pub devices: Vec<Option<AtDevice>>,
    /// For each bank the largest current at its posts, A.
    pub banks: Vec<f64>,
    /// Sources that were not taken alone, since there are too many in one net.
    pub left_out: usize,
}

impl Faults {
    /// Computes them.
    pub fn of(circuit: &Circuit<'_>, cables: &[Cable], protection: &Protection) -> Self {
        if circuit.wiring.supplies.is_empty() {
            return Self::default();
        }
        let ohms = copper::conductors(circuit, cables, copper::Warmth::Hot);
        let ways = ways::Ways::of(circuit, &ohms);
        let hot = hot::Hot::of(circuit, ohms, &ways);
        let cold = cold::Cold::of(circuit, cables, &hot);
        let mut faults = Self {
            conductors: hot.conductors(circuit, protection),
            banks: cold.banks(circuit),
            devices: cold.devices(circuit, &ways, &hot),
            left_out: hot.left_out,
            origins: Vec::new(),
            hot_ohms: Vec::new(),
        };
        clear::judge(circuit, cables, protection, &hot, &mut faults);
        (faults.origins, faults.hot_ohms) = (hot.origins, hot.ohms);
        faults
    }

    /// What a short circuit does to a conductor of the live net.
    pub fn conductor(&self, index: u32) -> Option<&AtConductor> {
        self.conductors.get(index as usize)?.as_ref()
    }

    /// What a short circuit asks of a protective device, an index into the wiring's contacts.
    pub fn device(&self, contact: u32) -> Option<&AtDevice> {
        self.devices.get(contact as usize)?.as_ref()
    }
}
