//! Direct-current electrics of a boat: quantities, conductor and protection data, rule sets, and
//! the network. Up to 60 V; the alternating side of anything is out of scope.
//!
//! Knows no text and no plan. Every figure of the trade carries its document, its clause and how
//! far that document was seen ([`source`]); every computed value can show how it came about.

pub mod ampacity;
pub mod conductor;
pub mod drop;
pub mod flow;
pub mod network;
pub mod quantity;
pub mod rules;
pub mod source;

pub use ampacity::{Ampacity, AmpacityAsk};
pub use conductor::{AwgAreas, Metal, Size, Strands};
pub use quantity::{AmpHours, Amperes, Celsius, Metres, Ohms, Seconds, SquareMillimetres, Volts, Watts};
pub use rules::{Lie, LoadClass, Role, RuleName, RuleSet};
pub use source::{Sourced, Tag};
