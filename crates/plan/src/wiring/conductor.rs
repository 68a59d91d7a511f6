//! Conductors: what a run is made of between its stops.

use std::sync::Arc;

use ampwright_electrics::conductor::Size;
use ampwright_notation::tree::Colour;
use petgraph::graph::{EdgeIndex, NodeIndex};

use crate::{model::PartId, site::Site};

/// Whether a conductor leads out along its run or home again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Written as a conductor.
    Out,
    /// Made by `back`, or written after it.
    Home,
}

/// A conductor.
#[derive(Clone, Debug)]
#[allow(clippy::struct_excessive_bools)] // each is a word of the line, and any may stand with any
pub struct Conductor {
    /// Its run, an index into [`crate::Model::runs`].
    pub run: u32,
    /// The line that made it: its own, or `back`'s.
    pub site: Site,
    /// Out or home.
    pub way: Way,
    /// Made by `back` rather than written.
    pub made: bool,
    /// Its size; `None` where it could not be read.
    pub size: Option<Size>,
    /// Equal conductors side by side.
    pub parallel: u32,
    /// Its cable, an index into [`crate::Model::cables`]; `None`: the boat's.
    pub cable: Option<u32>,
    /// Its length in metres; `None` where it could not be read.
    pub metres: Option<f64>,
    /// The last metres of it along which its lamps sit evenly; 0 where none do.
    pub spread: f64,
    /// The places it names, indices into [`crate::Model::places`].
    pub places: Vec<u32>,
    /// Current-carrying conductors in its bundle, itself included.
    pub bundled: u32,
    /// In a sheath, conduit or enclosure for its whole length.
    pub sheathed: bool,
    /// The multicore and core.
    pub core: Option<(PartId, u32)>,
    /// A core of a twin.
    pub twin: bool,
    /// Its colour.
    pub colour: Option<Colour>,
    /// What is tied on both its ends.
    pub mark: Arc<str>,
    /// The mark was made, not written.
    pub mark_made: bool,
    /// Where it starts in the order of the run.
    pub from: NodeIndex,
    /// Where it ends.
    pub to: NodeIndex,
    /// Its edge in the graph.
    pub edge: EdgeIndex,
}

impl Conductor {
    /// Metres that count for the drop: of a spread row, current falls evenly to nothing, so half.
    pub fn drop_metres(&self) -> f64 {
        let metres = self.metres.unwrap_or(0.0);
        metres - self.spread.min(metres) / 2.0
    }
}
