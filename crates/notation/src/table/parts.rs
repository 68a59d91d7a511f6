//! The rows of the parts: sources, switching, protection, distribution, loads.

use super::{
    Choice, FactRow, Key, Kind, KindRow, Shape, Space,
    row::{from, over},
    words::LOAD_CLASSES,
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

const fn outputs(help: &'static str) -> FactRow {
    FactRow::new(Key::Outputs, "outputs", Shape::Count, "outputs 2", help).or("one")
}

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
const EARTHED: FactRow = FactRow::new(
    Key::Earthed,
    "earthed",
    Shape::Name(Space::Part),
    "earthed engine-1",
    "its negative is the engine block named, so that no run goes there",
)
.or("its `-` is wired by a run");
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

macro_rules! part {
    ($name:ident, $kind:ident, $word:literal, $example:literal, $meaning:literal, [$($fact:expr),* $(,)?]) => {
        pub(super) static $name: KindRow = KindRow {
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

part!(BATTERY, Battery, "battery", "battery house-1 agm 100 Ah",
    "stores the boat's electricity; nothing limits its current but what is wired to it", [
    FactRow::new(Key::Chemistry, "", Shape::Choice(CHEMISTRY), "agm", "what is inside, printed on the case").needed(),
    FactRow::new(Key::AmpHours, "", Shape::Bare(D::Charge), "100 Ah", "how much it holds, as printed on it").needed(),
    volts("its own nominal voltage, needed where the system is not 12 V", "12 V in a 12 V system"),
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
        .or("1.25 x its power over its vmp"),
        FactRow::new(
            Key::Vmp,
            "vmp",
            Shape::Quantity(D::Potential),
            "vmp 18 V",
            "the voltage at its best power"
        )
        .or("its power over its imp, or 18 V"),
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
            "14.4 V in a 12 V system (CP)"
        ),
        efficiency("95 %; a PWM passes the panel's current"),
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
        volts(
            "the voltage its regulator holds",
            "14.2 V in a 12 V system (CP)"
        ),
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
        volts(
            "the voltage it charges with",
            "14.4 V in a 12 V system (CP)"
        ),
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
    ]
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
            "blade 1 kA, strip 2 kA, bolt-down 2 kA (S1), class-t 20 kA (M); others not checked"
        ),
        RATED_VOLTS,
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
        FactRow::flag(
            Key::IgnitionProtected,
            "ignition-protected",
            "built so that it lights no vapour around it"
        )
        .or("not known to be"),
    ]
);

part!(
    SOCKET,
    Socket,
    "socket",
    "socket chart-socket 10 A",
    "a socket for what is plugged in; it draws nothing unless a case says how much",
    [amps("the most current it may give").needed(),]
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
