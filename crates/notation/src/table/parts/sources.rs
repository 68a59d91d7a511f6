//! The rows of what gives and converts current.

use super::{EARTHED, EVERY_PART, IGNITION_PROTECTED, amps, outputs, volts};
use crate::table::{
    Choice, FactRow, Key, Kind, KindRow, Shape, Space,
    row::{from, over},
};
use crate::units::Dimension as D;

const CHEMISTRY: &[Choice] = &[
    Choice {
        word: "flooded",
        meaning: "lead plates in liquid acid, with caps to top up; it gases, and must be aired",
    },
    Choice {
        word: "agm",
        meaning: "sealed lead-acid with the acid held in glass mats; gives high currents",
    },
    Choice {
        word: "gel",
        meaning: "sealed lead-acid with the acid set as a gel; charged slowly",
    },
    Choice {
        word: "lithium",
        meaning: "lithium iron phosphate with its own management; nearly all of it is usable, and its fault current is high",
    },
];

const TECHNOLOGY: &[Choice] = &[
    Choice {
        word: "mppt",
        meaning: "finds the panel's best voltage and converts it: nothing is wasted",
    },
    Choice {
        word: "pwm",
        meaning: "joins the panel to the battery in pulses: the panel works at the battery's voltage",
    },
];

const fn hours(help: &'static str, default: &'static str) -> FactRow {
    FactRow::new(Key::Daily, "", Shape::Bare(D::Daily), "4 h/day", help).or(default)
}

const fn efficiency(tagged: &'static str) -> FactRow {
    FactRow::new(
        Key::Efficiency,
        "efficiency",
        Shape::Quantity(D::Percent),
        "efficiency 90 %",
        "how much of what goes in comes out; the rest is warmth",
    )
    .tagged(tagged, "CP")
    .within(over(0.0, 100.0))
}

part!(BATTERY, Battery, "battery", "battery house-1 agm 100 Ah",
    "stores the boat's electricity; nothing limits its current but what is wired to it", [
    FactRow::new(Key::Chemistry, "", Shape::Choice(CHEMISTRY), "agm", "what is inside, printed on the case").needed(),
    FactRow::new(Key::AmpHours, "", Shape::Bare(D::Charge), "100 Ah", "how much it holds, as printed on it").needed(),
    volts("its own nominal voltage, needed where the system is not 12 V", "the system's"),
    FactRow::new(Key::Resistance, "resistance", Shape::Quantity(D::Resistance), "resistance 4 mohm",
        "its inner resistance, from the data sheet: it limits the fault current and drops volts under load")
        .tagged("by chemistry and size: at 12 V and 100 Ah flooded 6, gel 5, AGM 4, lithium 3 mohm", "M").within(from(0.0, 10.0)),
    FactRow::new(Key::ShortCircuit, "short-circuit", Shape::Quantity(D::Current), "short-circuit 2 kA",
        "the current it gives into a dead short, from the data sheet").or("from its resistance").within(over(0.0, 1e6)),
    FactRow::new(Key::Usable, "usable", Shape::Quantity(D::Percent), "usable 50 %",
        "how much of it may be used before it must be charged").tagged("lead-acid 50 %, lithium 80 %", "CP").within(over(0.0, 100.0)),
    FactRow::new(Key::ChargeLimit, "charge-limit", Shape::Quantity(D::Current), "charge-limit 20 A",
        "the most current it may be charged with, from the data sheet")
        .tagged("flooded and gel 0.2, AGM 0.3, lithium 0.5 A for each Ah", "CP"),
]);

part!(
    SOLAR,
    Solar,
    "solar",
    "solar roof-panels 100 W parallel 2",
    "solar panels of one make; all figures are those of one panel, those of the array are shown",
    [
        FactRow::new(
            Key::Watts,
            "",
            Shape::Bare(D::Power),
            "100 W",
            "the rated power of one panel"
        )
        .needed(),
        FactRow::new(
            Key::Voc,
            "voc",
            Shape::Quantity(D::Potential),
            "voc 22 V",
            "open-circuit voltage: what it shows with nothing joined, highest on a cold bright day"
        )
        .or("not checked"),
        FactRow::new(
            Key::Isc,
            "isc",
            Shape::Quantity(D::Current),
            "isc 6 A",
            "short-circuit current: the most it can give"
        )
        .tagged("1.08 times its imp", "M"),
        FactRow::new(
            Key::Vmp,
            "vmp",
            Shape::Quantity(D::Potential),
            "vmp 18 V",
            "the voltage at its best power"
        )
        .tagged("0.83 of its voc, else 17 V", "M"),
        FactRow::new(
            Key::Imp,
            "imp",
            Shape::Quantity(D::Current),
            "imp 5.5 A",
            "the current at its best power"
        )
        .or("its power over its vmp"),
        FactRow::new(
            Key::Series,
            "series",
            Shape::Count,
            "series 2",
            "how many panels stand one after another: their volts add"
        )
        .or("1"),
        FactRow::new(
            Key::Parallel,
            "parallel",
            Shape::Count,
            "parallel 2",
            "how many panels, or strings of them, stand side by side: their amperes add"
        )
        .or("1"),
        hours(
            "peak-sun hours: the day's sunshine as hours at full power",
            "not counted in the day's energy"
        ),
    ]
);

part!(
    CONTROLLER,
    Controller,
    "controller",
    "controller roof-ctl mppt 20 A",
    "stands between solar panels and the battery, and charges it as it likes to be charged",
    [
        FactRow::new(
            Key::Technology,
            "",
            Shape::Choice(TECHNOLOGY),
            "mppt",
            "how it brings the panel's power to the battery"
        )
        .or("mppt"),
        amps("the most current it gives to the battery").needed(),
        FactRow::new(
            Key::MaxInput,
            "max-input",
            Shape::Quantity(D::Potential),
            "max-input 75 V",
            "the highest panel voltage it stands; above it, it dies"
        )
        .or("not checked"),
        volts(
            "the voltage it holds the battery at while it charges",
            "14.4 V in a 12 V system"
        )
        .practice(),
        efficiency("95 %; a PWM passes the panel's current"),
        IGNITION_PROTECTED,
    ]
);

part!(
    ALTERNATOR,
    Alternator,
    "alternator",
    "alternator engine-alternator 80 A",
    "the engine's generator; taken off the battery while it turns, its voltage leaps and ruins it",
    [
        amps("the most current it gives, printed on it").needed(),
        volts("the voltage its regulator holds", "14.2 V in a 12 V system").practice(),
        hours(
            "how long the engine runs in a day",
            "not counted in the day's energy"
        ),
        EARTHED,
        FactRow::flag(
            Key::FieldCut,
            "field-cut",
            "a switch cuts its field before its output opens, so that its voltage cannot leap"
        ),
        IGNITION_PROTECTED,
    ]
);

part!(
    CHARGER,
    Charger,
    "charger",
    "charger shore-charger 30 A",
    "charges batteries from the shore's mains; its alternating side is not part of a plan",
    [
        amps("the most current it gives, all outputs together").needed(),
        volts("the voltage it charges with", "14.4 V in a 12 V system").practice(),
        outputs("how many batteries it charges at once, each at its own terminal `out N`"),
        FactRow::new(
            Key::Out,
            "out",
            Shape::CountAmps,
            "out 2 4 A",
            "the most one output gives, where that is less than all"
        )
        .or("each may give it all")
        .repeats(),
        hours(
            "how long it is on the shore's mains in a day",
            "not counted in the day's energy"
        ),
        IGNITION_PROTECTED,
    ]
);

part!(
    CONVERTER,
    Converter,
    "converter",
    "converter dc-dc input 12 V output 24 V 10 A",
    "makes one direct voltage from another, such as 12 V from 24 V",
    [
        FactRow::new(
            Key::Input,
            "input",
            Shape::Quantity(D::Potential),
            "input 12 V",
            "the nominal voltage it takes"
        )
        .needed()
        .within(over(0.0, 60.0)),
        FactRow::new(
            Key::Output,
            "output",
            Shape::Quantity(D::Potential),
            "output 24 V",
            "the nominal voltage it gives"
        )
        .needed()
        .within(over(0.0, 60.0)),
        amps("the most current it gives at its output").needed(),
        efficiency("90 %"),
        FactRow::flag(
            Key::Charges,
            "charges",
            "it charges a battery at its output"
        ),
        FactRow::flag(Key::Isolated, "isolated", "its two sides share no negative"),
        IGNITION_PROTECTED,
    ]
);

part!(
    INVERTER,
    Inverter,
    "inverter",
    "inverter galley-inverter 1000 W",
    "makes mains voltage from the battery; its alternating side is not part of a plan",
    [
        FactRow::new(
            Key::Watts,
            "",
            Shape::Bare(D::Power),
            "1000 W",
            "the power it gives for as long as one likes"
        )
        .needed(),
        FactRow::new(
            Key::Peak,
            "peak",
            Shape::Quantity(D::Power),
            "peak 2000 W",
            "the power it gives for a moment"
        )
        .or("its rated power"),
        efficiency("88 %"),
        hours(
            "how long it runs at full power in a day",
            "not counted in the day's energy"
        ),
        FactRow::new(
            Key::Charges,
            "charges",
            Shape::Quantity(D::Current),
            "charges 40 A",
            "it also charges the battery from the mains, with this current"
        )
        .or("it does not charge"),
        IGNITION_PROTECTED,
    ]
);
