//! Boats in which something is wrong with a short circuit.

use super::Boat;

pub(crate) const BOATS: &[Boat] = &[];
