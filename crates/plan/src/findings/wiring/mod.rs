//! The family *wiring*: what is joined to what, and what should not be.
//!
//! One cause gives one finding: what is in series is not called open too, what is wired the wrong
//! way round is not called unfed, and a dozen lamps behind one missing wire are one finding.

mod around;
mod bank;
mod colours;
mod cores;
mod ground;
mod ladder;
mod lengths;
mod open;
mod polarity;
mod series;
mod shorts;
mod stray;
mod unused;
mod voltage;

use super::Desk;
use crate::finding::Finding;
use ground::Ground;

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let ground = Ground::of(desk);
    let mut mute = open::Mute::default();
    shorts::find(&ground, found);
    polarity::find(&ground, &mut mute, found);
    polarity::wrong_way(&ground, found);
    around::find(&ground, found);
    series::find(&ground, &mut mute, found);
    open::find(&ground, &mut mute, found);
    cores::find(&ground, &mute, found);
    voltage::find(&ground, found);
    bank::find(&ground, found);
    unused::unwired(&ground, found);
    unused::never_on(&ground, found);
    stray::hull_return(&ground, found);
    stray::bonding_loop(&ground, found);
    stray::shunt_bypassed(&ground, found);
    colours::find(&ground, &mute, found);
    lengths::find(&ground, &mute, found);
}
