//! The rows of what switches, protects and measures.

use super::{EVERY_PART, IGNITION_PROTECTED, amps};
use crate::table::{Choice, FactRow, Key, Kind, KindRow, Shape, Space, row::over};
use crate::units::Dimension as D;

const PATTERN: &[Choice] = &[
    Choice {
        word: "blade",
        meaning: "the flat plug-in fuse of cars, up to some 40 A; breaks about 1 kA",
    },
    Choice {
        word: "strip",
        meaning: "a bare or windowed strip held by two screws, for large currents",
    },
    Choice {
        word: "bolt-down",
        meaning: "a sealed fuse bolted between two studs, for a battery's main feed",
    },
    Choice {
        word: "cartridge",
        meaning: "a tube with a cap at each end, in a holder",
    },
    Choice {
        word: "class-t",
        meaning: "a fast, sealed fuse that can stop the huge fault current of a lithium bank",
    },
];

const ACTION: &[Choice] = &[
    Choice {
        word: "thermal",
        meaning: "trips by warmth, after a delay that is longer for smaller overloads",
    },
    Choice {
        word: "magnetic",
        meaning: "trips by a coil, nearly at once, whatever the temperature",
    },
];

const fn breaks(default: &'static str) -> FactRow {
    FactRow::new(Key::Breaks, "breaks", Shape::Quantity(D::Current), "breaks 10 kA",
        "the largest fault current it can stop without bursting, printed on it or on its data sheet").or(default).within(over(0.0, 1e6))
}

const RATED_VOLTS: FactRow = FactRow::new(
    Key::RatedVolts,
    "volts",
    Shape::Quantity(D::Potential),
    "volts 58 V",
    "the highest voltage it may be used at",
)
.or("not checked");

const TWO_POLE: FactRow = FactRow::flag(
    Key::TwoPole,
    "two-pole",
    "opens the positive and the negative together; wired by `pole 1` and `pole 2`",
);

const NORMALLY_OPEN: FactRow = FactRow::flag(
    Key::NormallyOpen,
    "normally-open",
    "is open unless someone closes it: an emergency link between two batteries",
);

part!(
    ISOLATOR,
    Isolator,
    "isolator",
    "isolator house-isolator 250 A",
    "the main switch that takes everything off a battery",
    [
        amps("the most current it may carry for ever").needed(),
        TWO_POLE,
        NORMALLY_OPEN,
        IGNITION_PROTECTED,
    ]
);

part!(
    SWITCH,
    Switch,
    "switch",
    "switch lights-switch 10 A",
    "opens and closes one circuit; it protects nothing",
    [
        amps("the most current it may carry").needed(),
        TWO_POLE,
        NORMALLY_OPEN,
        FactRow::flag(
            Key::Momentary,
            "momentary",
            "a push button: open unless it is held"
        )
        .group(1),
        FactRow::flag(
            Key::Automatic,
            "automatic",
            "works by itself: a float, a thermostat"
        )
        .group(1),
        IGNITION_PROTECTED,
    ]
);

part!(
    SELECTOR,
    Selector,
    "selector",
    "selector battery-selector 250 A positions off 1 2 both",
    "joins its common terminal to one of several batteries, to both, or to none",
    [
        amps("the most current it may carry for ever").needed(),
        FactRow::new(
            Key::Positions,
            "positions",
            Shape::Positions,
            "positions off 1 2 both",
            "the positions of its knob, in order"
        )
        .or("off 1 2 both"),
        IGNITION_PROTECTED,
    ]
);

part!(
    RELAY,
    Relay,
    "relay",
    "relay charge-relay 120 A closes 13.3 V opens 12.8 V",
    "a switch that another circuit or a voltage works: a battery combiner, a starter solenoid",
    [
        amps("the most current its contact may carry").needed(),
        FactRow::new(
            Key::Coil,
            "coil",
            Shape::Quantity(D::Current),
            "coil 0.2 A",
            "the current its coil draws while it is pulled"
        )
        .or("0 A"),
        FactRow::new(
            Key::Closes,
            "closes",
            Shape::Quantity(D::Potential),
            "closes 13.3 V",
            "it closes by itself when a battery at either side reaches this voltage"
        )
        .or("its coil works it")
        .within(over(0.0, 60.0)),
        FactRow::new(
            Key::Opens,
            "opens",
            Shape::Quantity(D::Potential),
            "opens 12.8 V",
            "it opens again below this voltage"
        )
        .or("its coil works it")
        .within(over(0.0, 60.0)),
        FactRow::flag(
            Key::NormallyClosed,
            "normally-closed",
            "its contact is closed while its coil is dead"
        ),
        IGNITION_PROTECTED,
    ]
);

part!(
    FUSE,
    Fuse,
    "fuse",
    "fuse house-fuse bolt-down 80 A breaks 10 kA",
    "melts when more than its rating flows, and so keeps the cable behind it from burning",
    [
        FactRow::new(
            Key::Pattern,
            "",
            Shape::Choice(PATTERN),
            "bolt-down",
            "how it is built, which decides what fault it can stop"
        )
        .needed(),
        amps("its rating: the current it carries for ever").needed(),
        breaks(
            "blade 1 kA, strip 2 kA, bolt-down 1 kA up to 140 A and 2 kA above (S1), class-t 20 kA (M); others not checked"
        ),
        RATED_VOLTS,
        IGNITION_PROTECTED,
    ]
);

part!(
    BREAKER,
    Breaker,
    "breaker",
    "breaker windlass-breaker 80 A thermal",
    "trips when more than its rating flows, and can be set again",
    [
        amps("its rating: the current it carries for ever").needed(),
        FactRow::new(
            Key::Action,
            "",
            Shape::Choice(ACTION),
            "thermal",
            "how it trips"
        )
        .or("thermal"),
        breaks("not checked"),
        RATED_VOLTS,
        TWO_POLE,
        IGNITION_PROTECTED,
    ]
);

part!(
    SHUNT,
    Shunt,
    "shunt",
    "shunt monitor-shunt 500 A",
    "a measured resistance in the negative by which a battery monitor counts amperes",
    [
        amps("the current it is made for").needed(),
        FactRow::new(
            Key::Volts,
            "",
            Shape::Bare(D::Potential),
            "50 mV",
            "the volts across it at that current"
        )
        .tagged("50 mV", "CP")
        .within(over(0.0, 1.0)),
    ]
);
