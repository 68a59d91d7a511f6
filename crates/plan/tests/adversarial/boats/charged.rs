//! Boats in which something is wrong with banks, and what charges them.

use super::Boat;

pub(crate) const BOATS: &[Boat] = &[];
