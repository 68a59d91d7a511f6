//! Boats in which something is wrong with volts and hours.

use super::Boat;

pub(crate) const BOATS: &[Boat] = &[];
