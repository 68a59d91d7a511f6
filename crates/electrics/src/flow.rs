//! What can flow for ever through the live net with no device opening, and how far a node lies from
//! a battery.
//!
//! The live net is all that joins to a source's positive: conductors and contacts without limit,
//! devices with their rating, diodes one way. Plain numbers in amperes and metres. May use petgraph
//! and nothing else of this crate.
//!
//! ```
//! use ampwright_electrics::flow::{Edge, LiveNet, sustained};
//!
//! // Two fuses of 100 A side by side feed one conductor: it must bear 200 A for ever.
//! let fuse = Edge { a: 0, b: 1, cap: 100.0, one_way: false, conductor: false };
//! let wire = Edge { a: 1, b: 2, cap: f64::INFINITY, one_way: false, conductor: true };
//! let net = LiveNet { nodes: 3, edges: &[fuse, fuse, wire], sources: &[(0, f64::INFINITY)] };
//! assert!((sustained(&net)[2].amps - 200.0).abs() < 1e-9);
//! ```

mod block;
pub(crate) mod blocks;
mod bound;
mod cut;
mod distance;
mod feed;
mod sustain;
pub(crate) mod union;
pub(crate) mod ways;

pub use blocks::Blocks;
pub use distance::distances;
pub use sustain::sustained;

/// No node, no edge, no block.
pub const NONE: u32 = u32::MAX;

/// One way through the live net. Ends outside the net carry nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// One end; the anode of a diode.
    pub a: u32,
    /// The other end; the cathode of a diode.
    pub b: u32,
    /// The most it lets pass for ever, in amperes: a device's rating, infinite for conductors and
    /// contacts without one. One that is not a number counts as infinite, the safe reading; a
    /// negative one as 0.
    pub cap: f64,
    /// True where current passes from `a` to `b` only.
    pub one_way: bool,
    /// True for a conductor, false for a device or contact; for the caller's use.
    pub conductor: bool,
}

/// The live net of one moment or of all moments at once.
#[derive(Debug, Clone, Copy)]
pub struct LiveNet<'a> {
    /// Number of nodes; they are numbered from 0.
    pub nodes: u32,
    /// The ways between them.
    pub edges: &'a [Edge],
    /// Sources at nodes and the most each gives for ever, in amperes: infinite for batteries.
    pub sources: &'a [(u32, f64)],
}

/// What an edge must bear for ever. In a ring of more than five hundred devices the amperes are an
/// upper bound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sustained {
    /// Amperes into a short at one of its ends: the greater of the maximum flows from all sources
    /// to its two ends with the edge itself taken out.
    pub amps: f64,
    /// Amperes into a short along it: the maximum flow to both ends together where they stay joined
    /// through anything live without it; else `amps`.
    pub ring_amps: f64,
    /// The smallest device (edge with a finite cap) on the widest path from any source to the end
    /// with the greater flow (of two equal ends, the narrower). None where `amps` is infinite or
    /// zero, or where only a source limits it.
    pub device: Option<u32>,
}

impl Sustained {
    const NOTHING: Sustained = Sustained {
        amps: 0.0,
        ring_amps: 0.0,
        device: None,
    };
}

impl Edge {
    /// Amperes it lets pass, cleaned.
    fn limit(&self) -> f64 {
        clean(self.cap)
    }

    fn is_in(&self, nodes: u32) -> bool {
        self.a < nodes && self.b < nodes
    }

    /// True where both ends are one as far as flow goes.
    fn is_solid(&self) -> bool {
        !self.one_way && self.limit() == f64::INFINITY
    }
}

fn clean(amps: f64) -> f64 {
    if amps.is_nan() {
        f64::INFINITY
    } else {
        amps.max(0.0)
    }
}
