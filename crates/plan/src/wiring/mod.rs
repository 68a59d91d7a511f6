//! The wiring graph: terminals are nodes; conductors, contacts and parts are branches.
//!
//! Built from the runs alone, in the order of the text; each branch keeps the words that made it.
//! What a run gets wrong is a finding on its own line, and the run goes on past it.

mod back;
mod build;
mod conductor;
mod contact;
mod ends;
mod follow;
mod parts;
mod stops;
mod terminal;

use ampwright_notation::tree::Position;
use petgraph::graph::{NodeIndex, UnGraph};
use rustc_hash::FxHashMap;

use crate::{model::PartId, site::Site};

pub use build::build;
pub use conductor::{Conductor, Way};
pub use contact::{Contact, Device, Rest};
pub use ends::{Draw, DrawKind, Law, Supply, SupplyKind};
pub use follow::to_size as follow_size;
pub(crate) use parts::panel;
pub use terminal::{Node, Term, node_name};

/// The graph's type.
pub type Graph = UnGraph<Node, Link, u32>;

/// What joins two terminals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Link {
    /// A conductor, by its place in [`Wiring::conductors`].
    Conductor(u32),
    /// A contact, by its place in [`Wiring::contacts`].
    Contact(u32),
    /// A part that draws, by its place in [`Wiring::draws`].
    Draw(u32),
    /// A part that supplies, by its place in [`Wiring::supplies`].
    Supply(u32),
    /// Joined inside a box: the two negatives of a converter that is not isolated.
    Inside,
    /// Two steps joined because what stands between them could not be read.
    Gap,
}

/// A conductor's end that names a post or stud: `cabin-negative post 3`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NamedPost {
    /// The bar.
    pub part: PartId,
    /// A stud rather than a post.
    pub stud: bool,
    /// Its number.
    pub number: u32,
    /// The stop that says so.
    pub site: Site,
}

/// The whole wiring.
#[derive(Clone, Debug, Default)]
pub struct Wiring {
    /// The graph.
    pub graph: Graph,
    /// Its conductors in the order of the text.
    pub conductors: Vec<Conductor>,
    /// Its contacts.
    pub contacts: Vec<Contact>,
    /// What draws.
    pub draws: Vec<Draw>,
    /// What supplies.
    pub supplies: Vec<Supply>,
    /// Posts and studs that a run names.
    pub posts: Vec<NamedPost>,
    /// For each selector its positions.
    pub selectors: Vec<(PartId, Vec<Position>)>,
    /// Every stop: its site, its part, where it enters and where it leaves.
    pub stops: Vec<Visit>,
    /// Runs that could not be followed wholly, with the words that stopped them.
    pub gaps: Vec<Gap>,
    terminals: FxHashMap<(PartId, Term), NodeIndex>,
}

/// A stop of a run.
#[derive(Clone, Copy, Debug)]
pub struct Visit {
    /// The run.
    pub run: u32,
    /// The stop's words.
    pub site: Site,
    /// The part.
    pub part: Option<PartId>,
    /// Where the run comes in.
    pub enter: NodeIndex,
    /// Where it goes on.
    pub leave: NodeIndex,
}

/// Words in a run that could not be followed.
#[derive(Clone, Copy, Debug)]
pub struct Gap {
    /// The run.
    pub run: u32,
    /// The words.
    pub site: Site,
    /// The node that stands for them.
    pub node: NodeIndex,
}

impl Wiring {
    /// The node of a part's terminal, where a run or the part itself has made one.
    pub fn terminal(&self, part: PartId, term: Term) -> Option<NodeIndex> {
        self.terminals.get(&(part, term)).copied()
    }

    /// The conductors that end on a node.
    pub fn conductors_at(&self, node: NodeIndex) -> impl Iterator<Item = u32> {
        self.graph
            .edges(node)
            .filter_map(|edge| match edge.weight() {
                Link::Conductor(index) => Some(*index),
                _ => None,
            })
    }
}
