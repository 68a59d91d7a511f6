//! What current comes from and goes to: the parts that draw and the parts that supply.

use petgraph::graph::NodeIndex;

use crate::model::PartId;

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
