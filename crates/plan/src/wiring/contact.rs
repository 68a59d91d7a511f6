//! Contacts: the paths through a part that can be closed or open.

use petgraph::graph::{EdgeIndex, NodeIndex};

use crate::{model::PartId, site::Site};

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

impl Contact {
    /// It can be open while the boat is in use: a switch, isolator, selector, relay, or a way of a
    /// panel whose ways have switches. A fuse or breaker by itself stays closed until it acts.
    pub fn can_open(&self) -> bool {
        self.rest != Rest::Always
    }
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
