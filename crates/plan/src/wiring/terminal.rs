//! Terminals, the nodes of the graph, and what people call them.

use ampwright_notation::Kind;
use petgraph::graph::NodeIndex;

use crate::{
    Plan,
    model::{Part, PartId},
};

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

/// A terminal for people: `house-1 +`, `cabin-panel way 2`, `deck-plug pole 1`.
pub fn node_name(plan: &Plan, node: NodeIndex) -> String {
    let Some(weight) = plan.wiring.graph.node_weight(node) else {
        return String::new();
    };
    match (weight.part, weight.term) {
        (Some(part), term) => named(plan.model.get(part), term),
        (None, Term::Splice) => "the unbroken core".to_owned(),
        (None, _) => "an unknown stop".to_owned(),
    }
}

fn named(part: &Part, term: Term) -> String {
    let words = words(part.kind, term);
    if words.is_empty() {
        part.name.to_string()
    } else {
        format!("{} {words}", part.name)
    }
}

/// What follows the part's name; nothing where the name alone says it.
fn words(kind: Kind, term: Term) -> String {
    let (input, output) = sides(kind);
    match term {
        Term::Plus => "+".to_owned(),
        Term::Minus => "-".to_owned(),
        Term::Feed(pole) => feed(kind, pole),
        Term::Out(pole) => out(kind, pole),
        Term::Common => "common".to_owned(),
        Term::Tap(tap) if kind == Kind::Selector => tap.to_string(),
        Term::Tap(tap) => format!("out {tap}"),
        Term::Way(way) => format!("way {way}"),
        Term::Pole(pole) => format!("pole {pole}"),
        Term::CoilPlus => "coil +".to_owned(),
        Term::CoilMinus => "coil -".to_owned(),
        Term::InPlus => format!("{input} +"),
        Term::InMinus => format!("{input} -"),
        Term::OutPlus => format!("{output} +"),
        Term::OutMinus => format!("{output} -"),
        Term::Inside | Term::Bar | Term::Splice | Term::Unknown => String::new(),
    }
}

/// The two sides of a box, as the notation calls them.
const fn sides(kind: Kind) -> (&'static str, &'static str) {
    if matches!(kind, Kind::Controller) {
        ("pv", "battery")
    } else {
        ("input", "output")
    }
}

fn feed(kind: Kind, pole: u32) -> String {
    match (kind, pole) {
        (Kind::Panel, 1) => String::new(),
        (Kind::Shunt, 1) => "battery".to_owned(),
        (_, 1) => "feed".to_owned(),
        _ => format!("pole {pole} feed"),
    }
}

fn out(kind: Kind, pole: u32) -> String {
    match (kind, pole) {
        (Kind::Shunt, 1) => "system".to_owned(),
        (_, 1) => "out".to_owned(),
        _ => format!("pole {pole} out"),
    }
}
