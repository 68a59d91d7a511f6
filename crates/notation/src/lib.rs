//! The notation: text to tokens to things with spans, and back to the written form.
//!
//! A [`File`] is a list of things; each thing begins at the margin and is lexed and parsed alone,
//! so a change to one thing leaves every other untouched. One table ([`table`]) of kinds, facts
//! and units drives the parser, the checks, hovers, completion and the reference.
//!
//! This crate knows no electricity, no files and no protocol.
//!
//! ```
//! use ampwright_notation::{File, Key, format::format};
//!
//! let file = File::parse("load fresh-pump pump 7A\n  minimum 11V\n");
//! let pump = &file.chunks[0].thing;
//! assert_eq!(pump.amount(Key::Minimum), Some(11.0));
//! assert!(file.all_flaws().is_empty());
//! assert_eq!(format(&file), "load fresh-pump pump 7 A\n    minimum 11 V\n");
//! ```
//!
//! Offsets are `u32`: a text of 4 GiB or more is for the caller to refuse.

pub mod colour;
pub mod flaw;
pub mod format;
pub mod reference;
pub mod suggest;
pub mod table;
pub mod token;
pub mod tree;
pub mod units;

mod access;
mod cut;
mod file;
mod parse;

pub use access::Element;
pub use file::{Chunk, File, MOST_FLAWS};
pub use flaw::{Code, Flaw, Mend};
pub use table::{Key, Kind};
pub use tree::{Span, Thing};
