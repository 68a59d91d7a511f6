//! The rows of what is no part: the boat, files, places, cables, multicores, runs and cases.

use super::{
    Choice, FactRow, Key, Kind, KindRow, Shape, Space,
    row::{from, over},
};
use crate::units::Dimension as D;

const RULES: &[Choice] = &[
    Choice {
        word: "baseline",
        meaning: "only figures that a published source shows; what holds unless another set is named",
    },
    Choice {
        word: "us-cfr-183",
        meaning: "the law of the United States for petrol boats, 33 CFR 183 subpart I",
    },
    Choice {
        word: "iso-13297",
        meaning: "the international standard for electrical systems of small craft, where its figures are known",
    },
    Choice {
        word: "abyc-e11",
        meaning: "the American boating council's standard E-11, by circular mils",
    },
];

const HULL: &[Choice] = &[
    Choice {
        word: "steel",
        meaning: "a steel hull: a fault to the hull finds its way back through it",
    },
    Choice {
        word: "aluminium",
        meaning: "an aluminium hull: stray current eats it, so nothing returns through it",
    },
    Choice {
        word: "grp",
        meaning: "glass-reinforced plastic, which does not conduct",
    },
    Choice {
        word: "wood",
        meaning: "a wooden hull, which does not conduct",
    },
    Choice {
        word: "ferro",
        meaning: "ferro-cement: steel mesh in cement",
    },
];

const FUEL: &[Choice] = &[
    Choice {
        word: "petrol",
        meaning: "petrol (gasoline): its vapour lies in the bilge and a spark lights it",
    },
    Choice {
        word: "diesel",
        meaning: "diesel oil",
    },
    Choice {
        word: "electric",
        meaning: "driven by an electric motor",
    },
    Choice {
        word: "none",
        meaning: "no engine",
    },
];

const LIKE: FactRow = FactRow::new(
    Key::Like,
    "like",
    Shape::Name(Space::Part),
    "like other-1",
    "takes over every fact of the other thing that is not said again",
)
.or("stands for itself");

pub(super) static BOAT: KindRow = KindRow {
    kind: Kind::Boat,
    word: "boat",
    meaning: "the boat: what holds for the whole plan; a plan has exactly one",
    space: Space::Boat,
    shared: &[],
    example: "boat curlew \"Curlew\" system 12 V",
    facts: &[
        FactRow::new(
            Key::System,
            "system",
            Shape::Quantity(D::Potential),
            "system 12 V",
            "the boat's nominal voltage, as printed on its batteries or the sum of those in series",
        )
        .needed()
        .within(over(0.0, 60.0)),
        FactRow::new(
            Key::Rules,
            "rules",
            Shape::Word(RULES),
            "rules baseline",
            "the set of rules the plan is checked against",
        )
        .or("baseline"),
        FactRow::new(
            Key::Ambient,
            "ambient",
            Shape::Quantity(D::Temperature),
            "ambient 30 C",
            "how warm it gets where cables lie and no place says otherwise",
        )
        .tagged("30 C", "S2"),
        FactRow::new(
            Key::CableName,
            "cable",
            Shape::Name(Space::Cable),
            "cable tinned-flex",
            "the cable of every conductor that names none",
        )
        .tagged("tinned, flexible, insulation 70 C", "CP"),
        FactRow::new(
            Key::Drop,
            "drop",
            Shape::Quantity(D::Percent),
            "drop 5 %",
            "the volts an ordinary load may lose in its cables, as a share of the system's",
        )
        .or("the rule set's")
        .within(over(0.0, 100.0)),
        FactRow::new(
            Key::CriticalDrop,
            "critical-drop",
            Shape::Quantity(D::Percent),
            "critical-drop 3 %",
            "the same for loads that are vital to safety",
        )
        .or("the rule set's")
        .within(over(0.0, 100.0)),
        FactRow::new(
            Key::Hull,
            "hull",
            Shape::Word(HULL),
            "hull steel",
            "what the hull is made of: a metal hull changes faults and bonding",
        )
        .or("one that does not conduct"),
        FactRow::new(
            Key::Fuel,
            "fuel",
            Shape::Word(FUEL),
            "fuel diesel",
            "what drives the boat: petrol vapour explodes",
        )
        .or("not known"),
    ],
};

pub(super) static USE: KindRow = KindRow {
    kind: Kind::Use,
    word: "use",
    meaning: "takes another file's things into this plan; its path is relative to this file",
    space: Space::File,
    shared: &[],
    example: "use \"engine.boat\"",
    facts: &[],
};

pub(super) static PLACE: KindRow = KindRow {
    kind: Kind::Place,
    word: "place",
    meaning: "a space on board where parts stand and cables lie: warm, wet, or with vapour",
    space: Space::Place,
    shared: &[],
    example: "place engine-bay engine-space",
    facts: &[
        FactRow::new(Key::Ambient, "ambient", Shape::Quantity(D::Temperature), "ambient 40 C",
            "how warm it gets there; counts before `engine-space`").or("the boat's"),
        FactRow::flag(Key::EngineSpace, "engine-space", "the engine's space: cables there carry less, because it is hot"),
        FactRow::flag(Key::PetrolVapour, "petrol-vapour", "petrol vapour may gather here: parts must not spark"),
        FactRow::new(Key::Openings, "openings", Shape::Quantity(D::Opening), "openings 60 cm2",
            "the free area of each ventilation opening, inlet and outlet: charging batteries give off gas that explodes").or("not known"),
        FactRow::flag(Key::OpenAir, "open-air", "on deck or otherwise in the open: gas blows away"),
        LIKE,
    ],
};

pub(super) static CABLE: KindRow = KindRow {
    kind: Kind::Cable,
    word: "cable",
    meaning: "a make of cable: what its conductors and its insulation are",
    space: Space::Cable,
    shared: &[],
    example: "cable tinned-flex tinned insulation 105 C",
    facts: &[
        FactRow::flag(Key::Copper, "copper", "bare copper strands").tagged("tinned", "CP").group(1),
        FactRow::flag(Key::Tinned, "tinned", "each strand is coated with tin, so that salt does not eat it").tagged("so unless `copper` is said", "CP").group(1),
        FactRow::new(Key::Insulation, "insulation", Shape::Quantity(D::Temperature), "insulation 105 C",
            "the temperature the insulation stands, printed on the cable: it decides how much current it may carry").tagged("70 C", "CP").within(from(40.0, 300.0)),
        FactRow::flag(Key::Flexible, "flexible", "fine strands (class 5 of IEC 60228), which stand vibration").tagged("so unless `stranded` is said", "CP").group(2),
        FactRow::flag(Key::Stranded, "stranded", "few thick strands (class 2 of IEC 60228)").tagged("flexible", "CP").group(2),
        FactRow::new(Key::Carries, "carries", Shape::SizeAmps, "carries 2.5 mm2 30 A",
            "the maker's own rated current at 30 °C for one size; one line for each size").or("the rule set's table").repeats(),
        LIKE,
    ],
};

pub(super) static MULTICORE: KindRow = KindRow {
    kind: Kind::Multicore,
    word: "multicore",
    meaning: "several cores in one sheath that different runs use, such as the cable up a mast",
    space: Space::Part,
    shared: super::parts::EVERY_PART_WITHOUT_PLACE,
    example: "multicore mast-cable 3 cores 1.5 mm2 12 m",
    facts: &[
        FactRow::new(
            Key::Cores,
            "cores",
            Shape::CountBefore,
            "3 cores",
            "how many cores it has",
        )
        .needed(),
        FactRow::new(
            Key::Section,
            "",
            Shape::BareSize,
            "1.5 mm2",
            "the size of each core",
        )
        .needed(),
        FactRow::new(
            Key::Length,
            "",
            Shape::Bare(D::Length),
            "12 m",
            "its length, measured along the cable",
        )
        .needed(),
        FactRow::new(
            Key::CableName,
            "",
            Shape::BareName,
            "tinned-flex",
            "the cable it is made of",
        )
        .or("the boat's"),
        FactRow::new(
            Key::In,
            "in",
            Shape::Name(Space::Place),
            "in mast",
            "a place it lies in; said once for each",
        )
        .or("the hottest of its two ends' places and the boat's ambient")
        .repeats(),
    ],
};

pub(super) static RUN: KindRow = KindRow {
    kind: Kind::Run,
    word: "run",
    meaning: "a wire written by following it: a stop, the conductor to the next stop, the next stop",
    space: Space::Run,
    shared: &[],
    example: "run pump\n    cabin-panel way 2\n    twin 2.5 mm2 5 m\n    fresh-pump\n    back",
    facts: &[
        FactRow::new(
            Key::In,
            "in",
            Shape::Name(Space::Place),
            "in engine-bay",
            "the place of every conductor of the run that names none",
        )
        .or("each conductor's own")
        .repeats(),
        FactRow::flag(
            Key::BypassesIsolator,
            "bypasses-isolator",
            "feeds its load past the main switch on purpose, with a protection of its own",
        ),
    ],
};

pub(super) static CASE: KindRow = KindRow {
    kind: Kind::Case,
    word: "case",
    meaning: "one moment on board: which loads and sources are on, how the switches stand",
    space: Space::Case,
    shared: &[],
    example: "case night \"Asleep at anchor\"\n    on anchor-light",
    facts: &[],
};
