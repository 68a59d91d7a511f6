//! What a short circuit does: how much flows, what interrupts it, what the copper bears; and what
//! may not spark where petrol vapour gathers.
//!
//! How bad each can be goes by how its limit is known. How fast most devices open is from memory,
//! so that what rests on it is an advice; the openings that UL 248-14 prints make a warning.

mod breaking;
mod clearing;
mod ignition;
mod ratings;
mod sources;

use super::Desk;
use crate::finding::Finding;

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    clearing::find(desk, found);
    breaking::find(desk, found);
    ratings::find(desk, found);
    sources::find(desk, found);
    ignition::find(desk, found);
}
