//! The rows of where conductors meet and current is shared out.

use super::{EVERY_PART, IGNITION_PROTECTED, amps, outputs};
use crate::table::{Choice, FactRow, Key, Kind, KindRow, Shape, Space, row::from};
use crate::units::Dimension as D;

const POLARITY: &[Choice] = &[
    Choice {
        word: "positive",
        meaning: "the bar on the battery's + side",
    },
    Choice {
        word: "negative",
        meaning: "the bar on the battery's - side, where returns land",
    },
];

part!(
    BUSBAR,
    Busbar,
    "busbar",
    "busbar cabin-negative negative 100 A posts 10",
    "a bar of brass or copper with many screws, where conductors of one polarity meet",
    [
        FactRow::new(
            Key::Polarity,
            "",
            Shape::Choice(POLARITY),
            "negative",
            "which side of the battery it is on"
        )
        .needed(),
        FactRow::new(
            Key::Posts,
            "posts",
            Shape::Count,
            "posts 10",
            "how many small screws it has, one conductor each"
        )
        .one_of(),
        FactRow::new(
            Key::Studs,
            "studs",
            Shape::Count,
            "studs 2",
            "how many threaded bolts it has, for ring terminals"
        )
        .one_of(),
        FactRow::new(
            Key::Takes,
            "takes",
            Shape::Size,
            "takes 6 mm2",
            "the largest conductor that fits a post"
        )
        .or("any size"),
        amps("the most current it may carry").or("not checked"),
    ]
);

part!(
    PANEL,
    Panel,
    "panel",
    "panel cabin-panel 100 A\n    way 1 fuse 5 A\n    way 2 breaker 10 A\n    returns cabin-negative",
    "one feed parted into numbered ways, each with its fuse, breaker or switch",
    [
        amps("the most current it may carry; it protects nothing").or("not checked"),
        FactRow::flag(Key::Switched, "switched", "each way has its own switch"),
        FactRow::new(
            Key::Main,
            "main",
            Shape::Quantity(D::Current),
            "main 60 A",
            "a breaker of its own before all ways"
        )
        .or("none"),
        FactRow::new(
            Key::Returns,
            "returns",
            Shape::Name(Space::Part),
            "returns cabin-negative",
            "the bar where `back` lands for its circuits"
        )
        .or("each run says where"),
        IGNITION_PROTECTED,
    ]
);

part!(
    JOINT,
    Joint,
    "joint",
    "joint deck-plug poles 3",
    "a splice or a tee: conductors meet at one point; with `poles`, a connector of several points",
    [
        amps("the most current it may carry, each pole of a connector").or("not checked"),
        FactRow::new(
            Key::Poles,
            "poles",
            Shape::Count,
            "poles 3",
            "a connector or plug with this many separate points"
        )
        .or("one point"),
    ]
);

part!(
    DIODE,
    Diode,
    "diode",
    "diode charge-splitter 90 A outputs 2",
    "lets current pass one way only; a splitting diode charges two batteries without joining them",
    [
        amps("the most current it may carry").needed(),
        FactRow::new(
            Key::Drop,
            "drop",
            Shape::Quantity(D::Potential),
            "drop 0.7 V",
            "the volts it takes for itself"
        )
        .tagged("0.7 V", "CP")
        .within(from(0.0, 5.0)),
        outputs("how many ways out it has"),
    ]
);

part!(
    BLOCK,
    Block,
    "block",
    "block engine-1",
    "an engine block: a negative point where earthed parts land",
    []
);

part!(
    BOND,
    Bond,
    "bond",
    "bond earth-plate",
    "a bonding point: hull, shaft or earth plate; a conductor to it carries no load's return",
    []
);
