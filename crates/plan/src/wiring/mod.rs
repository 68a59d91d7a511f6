//! The wiring graph: terminals are nodes; conductors, contacts and parts are branches.
//!
//! Built from the runs alone, in the order of the text; each branch keeps the words that made it.
//! What a run gets wrong is a finding on its own line, and the run goes on past it.

mod back;
mod build;
mod follow;
mod parts;
mod stops;

use std::sync::Arc;

use ampwright_electrics::conductor::Size;
use ampwright_notation::tree::{Colour, Position};
use petgraph::graph::{EdgeIndex, NodeIndex, UnGraph};
use rustc_hash::FxHashMap;

use crate::{model::PartId, site::Site};

/// The graph's type.
pub type Graph = UnGraph<Node, Link, u32>;

/// A terminal of a part. Poles and ways count from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Term {
    /// `+` of a battery, load, source.
    Plus,
    /// `-` of the same.
    Minus,
    /// `feed` of a pole; a panel's feed is pole 1.
    Feed(u32),
    /// `out` of a pole.
    Out(u32),
    /// A selector's common.
    Common,
    /// A selector's, charger's or splitting diode's numbered terminal.
    Tap(u32),
    /// The outgoing terminal of a panel's way.
    Way(u32),
    /// A panel's bar behind its main breaker.
    Inside,
    /// A bar, joint, block or bonding point.
    Bar,
    /// A separate point of a connector.
    Pole(u32),
    /// `coil +`.
    CoilPlus,
    /// `coil -`.
    CoilMinus,
    /// `pv +` or `input +`.
    InPlus,
    /// `pv -` or `input -`.
    InMinus,
    /// `battery +` or `output +`.
    OutPlus,
    /// `battery -` or `output -`.
    OutMinus,
    /// Where a core goes on unbroken past a part that only the other core enters.
    Splice,
    /// A stop that could not be read, or whose name is unknown.
    Unknown,
}

/// A terminal in the graph.
#[derive(Clone, Copy, Debug)]
pub struct Node {
    /// The part; `None` for a splice and an unknown stop.
    pub part: Option<PartId>,
    /// Which of its terminals.
    pub term: Term,
}

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

/// What a contact is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Device {
    /// A fuse by itself.
    Fuse,
    /// A breaker by itself.
    Breaker,
    /// A way of a panel with a fuse.
    WayFuse(u32),
    /// A way of a panel with a breaker.
    WayBreaker(u32),
    /// A way of a panel with a switch and no protection.
    WaySwitch(u32),
    /// A panel's main breaker.
    Main,
    /// An isolator.
    Isolator,
    /// A switch.
    Switch,
    /// A selector's path from this numbered terminal to its common.
    Selector(u32),
    /// A relay's contact.
    Relay,
    /// A shunt.
    Shunt,
    /// A splitting diode's path to this output.
    Diode(u32),
}

/// When a contact is closed at rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rest {
    /// It cannot be opened by hand, or nobody does.
    Always,
    /// Closed until opened.
    Closed,
    /// Open until closed.
    Open,
    /// Open until pressed.
    Momentary,
    /// Open until its float or thermostat closes it.
    Automatic,
    /// Closed exactly when a charging source is on at either side.
    Charging,
    /// Closed in these positions of its selector.
    Position,
}

/// A contact: a path through a part that current can take.
#[derive(Clone, Copy, Debug)]
pub struct Contact {
    /// The part.
    pub part: PartId,
    /// What it is.
    pub device: Device,
    /// Its pole, from 1.
    pub pole: u32,
    /// How it stands at rest.
    pub rest: Rest,
    /// Rating as a protective device, A.
    pub protects: Option<f64>,
    /// What it may carry, A.
    pub carries: Option<f64>,
    /// Current can only go from `feed` to `out`.
    pub one_way: bool,
    /// The side a run enters by.
    pub feed: NodeIndex,
    /// The side a run leaves by.
    pub out: NodeIndex,
    /// Its edge.
    pub edge: EdgeIndex,
    /// The words that define it.
    pub site: Site,
}

/// What draws.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DrawKind {
    /// A load.
    Load,
    /// A socket: draws nothing unless a case says how much.
    Socket,
    /// A converter's input.
    Converter,
    /// An inverter.
    Inverter,
    /// A relay's coil.
    Coil,
}

/// How a load's current follows its voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Law {
    /// Constant current, A.
    Amps(f64),
    /// Constant power, W.
    Watts(f64),
    /// Resistance, ohm.
    Ohms(f64),
}

/// Something that draws current from `plus` to `minus`.
#[derive(Clone, Copy, Debug)]
pub struct Draw {
    /// The part.
    pub part: PartId,
    /// What it is.
    pub kind: DrawKind,
    /// Its `+`.
    pub plus: NodeIndex,
    /// Its `-`.
    pub minus: NodeIndex,
    /// What it draws at its full; `None` where the text does not say.
    pub law: Option<Law>,
}

/// What supplies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SupplyKind {
    /// A battery.
    Battery,
    /// An alternator.
    Alternator,
    /// A mains charger's output.
    Charger(u32),
    /// A solar controller's battery side.
    Controller,
    /// Solar panels.
    Solar,
    /// A converter's output that feeds an island.
    Converter,
    /// A converter's output that charges a battery.
    ChargingConverter,
    /// A combined inverter and charger.
    InverterCharger,
}

impl SupplyKind {
    /// A source that can be switched on to charge.
    pub const fn charges(self) -> bool {
        !matches!(self, Self::Battery | Self::Converter | Self::Solar)
    }
}

/// Something that supplies current out of `plus`, back into `minus`.
#[derive(Clone, Copy, Debug)]
pub struct Supply {
    /// The part.
    pub part: PartId,
    /// What it is.
    pub kind: SupplyKind,
    /// Its `+`.
    pub plus: NodeIndex,
    /// Its `-`.
    pub minus: NodeIndex,
    /// The most it gives, A; infinite for a battery.
    pub amps: f64,
    /// Its nominal voltage, V; `None`: the boat's.
    pub volts: Option<f64>,
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

pub use build::build;
pub use follow::to_size as follow_size;

/// A terminal for people: `house-1 +`, `cabin-panel way 2`, `deck-plug pole 1`.
pub fn node_name(plan: &crate::Plan, node: NodeIndex) -> String {
    let Some(weight) = plan.wiring.graph.node_weight(node) else {
        return String::new();
    };
    let Some(part) = weight.part else {
        return if weight.term == Term::Splice {
            "the unbroken core".to_owned()
        } else {
            "an unknown stop".to_owned()
        };
    };
    let part = plan.model.get(part);
    let sides = if part.kind == ampwright_notation::Kind::Controller {
        ("pv", "battery")
    } else {
        ("input", "output")
    };
    let name = &part.name;
    match weight.term {
        Term::Plus => format!("{name} +"),
        Term::Minus => format!("{name} -"),
        Term::Feed(1) if part.kind == ampwright_notation::Kind::Panel => name.to_string(),
        Term::Feed(1) if part.kind == ampwright_notation::Kind::Shunt => format!("{name} battery"),
        Term::Out(1) if part.kind == ampwright_notation::Kind::Shunt => format!("{name} system"),
        Term::Feed(1) => format!("{name} feed"),
        Term::Out(1) => format!("{name} out"),
        Term::Feed(pole) => format!("{name} pole {pole} feed"),
        Term::Out(pole) => format!("{name} pole {pole} out"),
        Term::Common => format!("{name} common"),
        Term::Tap(tap) if part.kind == ampwright_notation::Kind::Selector => {
            format!("{name} {tap}")
        }
        Term::Tap(tap) => format!("{name} out {tap}"),
        Term::Way(way) => format!("{name} way {way}"),
        Term::Pole(pole) => format!("{name} pole {pole}"),
        Term::CoilPlus => format!("{name} coil +"),
        Term::CoilMinus => format!("{name} coil -"),
        Term::InPlus => format!("{name} {} +", sides.0),
        Term::InMinus => format!("{name} {} -", sides.0),
        Term::OutPlus => format!("{name} {} +", sides.1),
        Term::OutMinus => format!("{name} {} -", sides.1),
        Term::Inside | Term::Bar | Term::Splice | Term::Unknown => name.to_string(),
    }
}
