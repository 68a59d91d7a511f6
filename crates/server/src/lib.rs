//! The language server: the only crate that knows the protocol.
//!
//! `transport` moves messages; `documents` and `positions` keep texts; later rooms hang on them.
//! The output is the protocol: nothing here prints, and what is logged goes through `tracing`.
#![deny(clippy::print_stdout)]

pub mod documents;
pub mod positions;
pub mod transport;
