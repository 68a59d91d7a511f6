//! Direct-current electrics of a boat: quantities, conductor and protection data, rule sets, and
//! the network. Up to 60 V; the alternating side of anything is out of scope.
//!
//! Knows no text and no plan. Every figure of the trade carries its document, its clause and how
//! far that document was seen ([`source`]); every computed value can show how it came about.
//!
//! ```
//! use ampwright_electrics::{AmpacityAsk, Celsius, RuleName, RuleSet, Size, Volts};
//!
//! let rules = RuleSet::get(RuleName::Baseline);
//! let engine_bay = AmpacityAsk {
//!     size: Size::Mm2(16.0),
//!     insulation: Celsius(105.0),
//!     ambient: rules.engine_space().value,
//!     bundled: 1,
//!     parallel: 1,
//!     system: Volts(12.0),
//!     carries: None,
//! };
//! let ampacity = rules.ampacity(&engine_bay);
//! assert_eq!(ampacity.value.to_string(), "102 A");
//! println!("{ampacity}"); // each step with its document, clause and tag
//! ```

pub mod ampacity;
pub mod battery;
pub mod conductor;
pub mod defaults;
pub mod drop;
pub mod energy;
pub mod flow;
pub mod heat;
pub mod network;
pub mod protection;
pub mod quantity;
pub mod rules;
pub mod solar;
pub mod source;
pub mod ventilation;

pub use ampacity::{Ampacity, AmpacityAsk};
pub use conductor::{AwgAreas, Metal, Size, Strands};
pub use quantity::{
    AmpHours, Amperes, Celsius, Metres, Ohms, Seconds, SquareMillimetres, Volts, Watts,
};
pub use rules::{Lie, LoadClass, Role, RuleName, RuleSet};
pub use source::{Sourced, Tag};
