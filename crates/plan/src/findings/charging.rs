//! What charges: sources that may lose their battery, controllers beyond their limits, currents too fast.

use super::Desk;
use crate::finding::Finding;

pub(super) fn find(_desk: &Desk<'_>, _found: &mut Vec<Finding>) {}
