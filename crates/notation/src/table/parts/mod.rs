//! The rows of the parts, and the facts that several of them share.

use super::{FactRow, Key, Shape, Space, row::over};
use crate::units::Dimension as D;

/// Writes the row of a part.
macro_rules! part {
    ($name:ident, $kind:ident, $word:literal, $example:literal, $meaning:literal, [$($fact:expr),* $(,)?]) => {
        pub(in crate::table) static $name: KindRow = KindRow {
            kind: Kind::$kind,
            word: $word,
            meaning: $meaning,
            space: Space::Part,
            shared: EVERY_PART,
            example: $example,
            facts: &[$($fact),*],
        };
    };
}

mod distribution;
mod loads;
mod sources;
mod switching;

pub(super) use self::{
    distribution::{BLOCK, BOND, BUSBAR, DIODE, JOINT, PANEL},
    loads::{LOAD, SOCKET},
    sources::{ALTERNATOR, BATTERY, CHARGER, CONTROLLER, CONVERTER, INVERTER, SOLAR},
    switching::{BREAKER, FUSE, ISOLATOR, RELAY, SELECTOR, SHUNT, SWITCH},
};

const IN: FactRow = FactRow::new(
    Key::In,
    "in",
    Shape::Name(Space::Place),
    "in engine-bay",
    "the place where it stands",
)
.or("nowhere in particular, at the boat's ambient");
const LIKE: FactRow = FactRow::new(
    Key::Like, "like", Shape::Name(Space::Part), "like other-1",
    "takes over every fact of the other part that is not said again, its place too, but never `allow`, `spare`, a title or ways",
).or("stands for itself");
const SPARE: FactRow = FactRow::flag(
    Key::Spare,
    "spare",
    "is on board but not wired yet, on purpose",
)
.or("it is wired");

const EVERY_PART: &[FactRow] = &[IN, LIKE, SPARE];
/// A multicore lies in places of its own.
pub(super) const EVERY_PART_WITHOUT_PLACE: &[FactRow] = &[LIKE, SPARE];

const fn amps(help: &'static str) -> FactRow {
    FactRow::new(Key::Amps, "", Shape::Bare(D::Current), "10 A", help)
}

const fn volts(help: &'static str, default: &'static str) -> FactRow {
    FactRow::new(Key::Volts, "", Shape::Bare(D::Potential), "12 V", help)
        .or(default)
        .within(over(0.0, 60.0))
}

const fn outputs(help: &'static str) -> FactRow {
    FactRow::new(Key::Outputs, "outputs", Shape::Count, "outputs 2", help).or("one")
}

const EARTHED: FactRow = FactRow::new(
    Key::Earthed,
    "earthed",
    Shape::Name(Space::Part),
    "earthed engine-1",
    "its negative is the engine block named, so that no run goes there",
)
.or("its `-` is wired by a run");

const IGNITION_PROTECTED: FactRow = FactRow::flag(
    Key::IgnitionProtected,
    "ignition-protected",
    "built so that it lights no vapour around it",
)
.or("not known to be");
