//! Editor features: pure functions of a computed plan and a byte offset in one of its files.
//!
//! One file for each feature. Nothing here knows a protocol, reads a disk or keeps a state: the
//! same plan gives the same answer. Places are byte ranges ([`FileRange`]), texts are small
//! documents ([`Doc`]) that are shown as Markdown or as plain text. May touch the plan, the
//! electrics and the notation below it.
//!
//! ```
//! use ampwright_assist::{hover::hover, way::{Way, worst}};
//! use ampwright_plan::Plan;
//!
//! let text = "boat skiff system 12 V\nbattery b agm 60 Ah\nload lamp lighting 2 A\n\
//!             run lamp\n    b +\n    1.5 mm2 3 m\n    lamp\n    1.5 mm2 3 m\n    b -\n";
//! let plan = Plan::of_text(text);
//! let at = text.find("1.5 mm2").unwrap();
//! let told = hover(&plan, 0, at).unwrap();
//! assert!(told.doc.markdown().contains("From b + to lamp +"));
//!
//! let way = Way::of(&plan, 0, worst(&plan, 0)).unwrap();
//! assert_eq!(format!("{:.3}", way.drop()), "0.131"); // 0.0164 x 2 A x 6 m / 1.5 mm²
//! ```

#![cfg_attr(test, allow(clippy::needless_raw_string_hashes))] // snapshots, as their tool writes them

pub mod actions;
pub mod colours;
pub mod complete;
pub mod definition;
pub mod doc;
pub mod explain;
pub mod folding;
pub mod format;
pub mod hierarchy;
pub mod highlight;
pub mod hints;
pub mod hover;
pub mod lens;
pub mod linked;
pub mod links;
pub mod names;
pub mod references;
pub mod rename;
pub mod selection;
pub mod signature;
pub mod summary;
pub mod symbols;
pub mod tokens;
pub mod unfold;
pub mod way;

mod bars;
mod cursor;
mod day;
mod defaults;
mod phrase;

#[cfg(test)]
mod fixture;
#[cfg(test)]
mod hostile;

pub use cursor::{Edit, FileRange};
pub use doc::Doc;
pub use explain::explain;
