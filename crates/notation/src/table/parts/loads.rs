//! The rows of what uses current.

use super::{EARTHED, EVERY_PART, IGNITION_PROTECTED, amps, volts};
use crate::table::{FactRow, Key, Kind, KindRow, Shape, Space, row::over, words::LOAD_CLASSES};
use crate::units::Dimension as D;

part!(
    LOAD,
    Load,
    "load",
    "load fresh-pump \"Fresh-water pump\" pump 7 A",
    "whatever uses electricity: a lamp, a pump, a plotter",
    [
        FactRow::new(
            Key::Class,
            "",
            Shape::Choice(&LOAD_CLASSES),
            "pump",
            "what kind of load it is: rules differ"
        )
        .or("other"),
        FactRow::new(
            Key::Amps,
            "",
            Shape::Bare(D::Current),
            "7 A",
            "the current it draws at any voltage"
        )
        .one_of()
        .group(1),
        FactRow::new(
            Key::Watts,
            "",
            Shape::Bare(D::Power),
            "6 x 2.4 W",
            "the power it draws at any voltage"
        )
        .one_of()
        .group(1),
        FactRow::new(
            Key::Ohms,
            "",
            Shape::Bare(D::Resistance),
            "2 ohm",
            "its resistance: it draws less when the voltage falls"
        )
        .one_of()
        .group(1)
        .within(over(0.0, 1e6)),
        volts(
            "its nominal voltage, where it differs from its circuit's",
            "its circuit's"
        ),
        FactRow::new(
            Key::Daily,
            "",
            Shape::Bare(D::Daily),
            "0.4 h/day",
            "how long it runs in a day"
        )
        .or("not counted in the day's energy")
        .group(2),
        FactRow::new(
            Key::Percent,
            "",
            Shape::Bare(D::Percent),
            "30 %",
            "the share of the day it runs"
        )
        .or("not counted in the day's energy")
        .group(2),
        FactRow::flag(
            Key::Critical,
            "critical",
            "vital to safety, so that its cables may lose fewer volts"
        )
        .or("as its class says"),
        FactRow::new(
            Key::Minimum,
            "minimum",
            Shape::Quantity(D::Potential),
            "minimum 11 V",
            "the lowest voltage it works at"
        )
        .tagged("10.5 V in a 12 V system, as an advice", "CP")
        .within(over(0.0, 60.0)),
        FactRow::new(
            Key::Starting,
            "starting",
            Shape::AmpsTime,
            "starting 10 A 180 s",
            "its whole current on starting, and for how long"
        )
        .or("no more than it runs on"),
        FactRow::new(
            Key::ShortTime,
            "short-time",
            Shape::Quantity(D::Time),
            "short-time 180 s",
            "it runs only that long: a starter, a windlass, a thruster"
        )
        .or("runs as long as one likes; a starter 5 s"),
        FactRow::new(
            Key::Spread,
            "spread",
            Shape::Maybe(D::Length),
            "spread 3 m",
            "a row of lamps that sit evenly along its last conductor, or the last metres of it"
        )
        .or("all at the end"),
        EARTHED,
        IGNITION_PROTECTED,
    ]
);

part!(
    SOCKET,
    Socket,
    "socket",
    "socket chart-socket 10 A",
    "a socket for what is plugged in; it draws nothing unless a case says how much",
    [
        amps("the most current it may give").needed(),
        IGNITION_PROTECTED,
    ]
);
