//! The words that are neither kinds nor facts: load classes, and the words of runs, panels and
//! cases.

use super::Choice;

/// A word of the notation's lines.
#[derive(Debug)]
pub struct WordRow {
    /// The word.
    pub word: &'static str,
    /// How it is used: `way N`.
    pub pattern: &'static str,
    /// What it means, in plain words.
    pub meaning: &'static str,
}

const fn word(word: &'static str, pattern: &'static str, meaning: &'static str) -> WordRow {
    WordRow {
        word,
        pattern,
        meaning,
    }
}

const fn class(word: &'static str, meaning: &'static str) -> Choice {
    Choice { word, meaning }
}

/// The classes of loads; a rule set gives each its limits and exemptions.
pub static LOAD_CLASSES: [Choice; 13] = [
    class("lighting", "lamps for seeing by"),
    class(
        "navigation",
        "navigation lights: others must see the boat, so their volts count as vital",
    ),
    class(
        "pump",
        "a pump that is not the bilge's: fresh water, shower, washdown",
    ),
    class(
        "bilge-pump",
        "the pump that keeps the boat afloat; vital, and often left on with the main switch off",
    ),
    class(
        "blower",
        "the fan that clears petrol vapour before the engine is started; vital",
    ),
    class(
        "electronics",
        "instruments, radios, plotters, whatever needs steady volts",
    ),
    class("motor", "any other motor: windlass, thruster, winch, fan"),
    class(
        "heater",
        "what makes warmth by current: a plate, a blanket, a kettle",
    ),
    class(
        "refrigerator",
        "a refrigerator or freezer, which runs for part of the day",
    ),
    class("alarm", "a gas, fire, smoke or bilge alarm; vital"),
    class(
        "memory",
        "what keeps a clock or a setting alive, with a tiny current at all times",
    ),
    class(
        "starter",
        "an engine's starter motor: hundreds of amperes for a few seconds",
    ),
    class("other", "none of these"),
];

/// Words that begin a line of a run, or that a thing of any kind may use.
pub static LINE_WORDS: [WordRow; 6] = [
    word(
        "back",
        "back [to STOP]",
        "the return conductor: from the load's negative along the way come, to the bar that the panel returns to or to the stop named",
    ),
    word(
        "allow",
        "allow FINDING [up to FIGURE] \"reason\" [by \"who\"]",
        "accepts a finding on purpose; it stays in every report as accepted, with the reason",
    ),
    word(
        "x",
        "6 x 2.4 W",
        "so many of them: what one load draws is multiplied",
    ),
    word(
        "up",
        "up to FIGURE",
        "how far an allowance reaches; beyond it the finding counts again",
    ),
    word("by", "by \"who\"", "who answers for an allowance"),
    word(
        "way",
        "way N fuse A [\"title\"]",
        "one of a panel's numbered circuits, with what protects or switches it",
    ),
];

/// Words of a conductor's line.
pub static CONDUCTOR_WORDS: [WordRow; 8] = [
    word(
        "twin",
        "twin 2.5 mm2 5 m",
        "two cores in one sheath: one goes out, `back` takes the other home",
    ),
    word(
        "core",
        "core 3 of NAME",
        "one core of a multicore, which has the size and length",
    ),
    word(
        "parallel",
        "2 parallel 35 mm2",
        "equal conductors side by side, which share the current",
    ),
    word("of", "core 3 of NAME", "of which multicore"),
    word(
        "in",
        "in PLACE",
        "the place it lies in; where it lies in several, the hottest counts",
    ),
    word(
        "bundled",
        "bundled N",
        "how many current-carrying conductors lie in its bundle, itself included: they warm each other",
    ),
    word(
        "sheathed",
        "sheathed",
        "in a sheath, conduit or enclosure for its whole length, so that nothing chafes it",
    ),
    word(
        "mark",
        "mark D3",
        "what is tied on both ends of the cable, so that one finds it again",
    ),
];

/// Words of a `back` line that a conductor's line does not have.
pub static BACK_WORDS: [WordRow; 1] = [word(
    "to",
    "back to STOP",
    "where the return ends, where it is not the panel's own bar",
)];

/// Words of a stop.
pub static STOP_WORDS: [WordRow; 12] = [
    word(
        "pole",
        "NAME pole N",
        "one of the separate ways through a connector or a two-pole part",
    ),
    word(
        "pv",
        "NAME pv +",
        "a controller's side towards the solar panels",
    ),
    word(
        "battery",
        "NAME battery +",
        "a controller's or shunt's side towards the battery",
    ),
    word(
        "input",
        "NAME input +",
        "a converter's side that takes current",
    ),
    word(
        "output",
        "NAME output +",
        "a converter's side that gives current",
    ),
    word(
        "system",
        "NAME system",
        "a shunt's side away from the battery, where everything else is joined",
    ),
    word("feed", "NAME feed", "the terminal where current comes in"),
    word(
        "out",
        "NAME out [N]",
        "the terminal where current goes out; with a number, which one",
    ),
    word(
        "common",
        "NAME common",
        "a selector's terminal that is joined to the chosen one",
    ),
    word(
        "coil",
        "NAME coil +",
        "a relay's own small circuit that pulls its contact",
    ),
    word(
        "post",
        "NAME post N",
        "a small screw of a busbar, for one conductor",
    ),
    word(
        "stud",
        "NAME stud N",
        "a threaded bolt of a busbar, for ring terminals",
    ),
];

/// Words of a case's lines.
pub static CASE_WORDS: [WordRow; 6] = [
    word(
        "on",
        "on NAME [A or W]",
        "the load or source runs; a current or power says how much",
    ),
    word("off", "off NAME", "it does not run"),
    word(
        "open",
        "open NAME",
        "the switch or isolator is open: no current passes",
    ),
    word("close", "close NAME", "it is closed: current passes"),
    word(
        "set",
        "set NAME POSITION",
        "the selector stands at that position",
    ),
    word(
        "both",
        "set NAME both",
        "a selector joins all its terminals to the common one",
    ),
];

/// What no part may be called, since a run's line could not be told from a stop.
pub static RESERVED_PARTS: [&str; 4] = ["twin", "core", "back", "allow"];
