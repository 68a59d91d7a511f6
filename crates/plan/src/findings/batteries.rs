//! How a bank's batteries share, what joins them, and the air round them.

use super::Desk;
use crate::finding::Finding;

pub(super) fn find(_desk: &Desk<'_>, _found: &mut Vec<Finding>) {}
