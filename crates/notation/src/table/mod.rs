//! The one table: every kind of thing, its terminals and its facts, with what each word means.
//!
//! It drives the parser, the checks, hovers, completion, `explain` and the reference; nothing
//! about a kind or a fact is written down anywhere else. Units have their own table in
//! [`crate::units`]. Defaults stand here as text with the tag of their source; the figures
//! themselves belong to the electrics.

mod explain;
mod parts;
mod row;
mod terminals;
mod things;
mod words;

pub use explain::{Entry, Role, every_word, explain};
pub use row::{Choice, FactRow, KindRow, Need, Range, Shape, Space};
pub use terminals::{TerminalRow, terminals};
pub use words::{
    BACK_WORDS, CASE_WORDS, CONDUCTOR_WORDS, LINE_WORDS, LOAD_CLASSES, RESERVED_PARTS, STOP_WORDS,
    WordRow,
};

/// A kind of thing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)] // the table's rows say what each means
pub enum Kind {
    Boat,
    Use,
    Place,
    Cable,
    Battery,
    Solar,
    Controller,
    Alternator,
    Charger,
    Converter,
    Inverter,
    Isolator,
    Switch,
    Selector,
    Relay,
    Fuse,
    Breaker,
    Shunt,
    Busbar,
    Panel,
    Joint,
    Diode,
    Load,
    Socket,
    Block,
    Bond,
    Multicore,
    Run,
    Case,
}

/// A fact. One key serves several kinds where the word is the same; a bare quantity's key is its
/// dimension (`Amps`, `Volts`); a choice of words has a key of its own (`Chemistry`, `Class`).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)] // the table's rows say what each means
pub enum Key {
    // boat
    System,
    Rules,
    Ambient,
    CableName,
    Drop,
    CriticalDrop,
    Hull,
    Fuel,
    // place
    EngineSpace,
    PetrolVapour,
    Openings,
    OpenAir,
    // cable
    Copper,
    Tinned,
    Insulation,
    Flexible,
    Stranded,
    Carries,
    // bare quantities
    Amps,
    Volts,
    Watts,
    Ohms,
    AmpHours,
    Daily,
    Percent,
    // battery
    Chemistry,
    Resistance,
    ShortCircuit,
    Usable,
    ChargeLimit,
    // solar: Series and Parallel are counts
    Voc,
    Isc,
    Vmp,
    Imp,
    Series,
    Parallel,
    // controller: Technology is mppt/pwm
    Technology,
    MaxInput,
    Efficiency,
    // alternator, charger, converter, inverter; Charges has an Arg only on an inverter; Out is [Count, Quantity]
    Earthed,
    FieldCut,
    Outputs,
    Out,
    Input,
    Output,
    Charges,
    Isolated,
    Peak,
    // switching; Positions is a list of Arg::Word("off"/"both") and Arg::Count
    TwoPole,
    NormallyOpen,
    Momentary,
    Automatic,
    Positions,
    Coil,
    Closes,
    Opens,
    NormallyClosed,
    // protection: Pattern is blade/strip/bolt-down/cartridge/class-t, Action is thermal/magnetic
    Pattern,
    Action,
    Breaks,
    RatedVolts,
    // bars, panels, joints: Polarity is positive/negative
    Polarity,
    Posts,
    Studs,
    Takes,
    Switched,
    Main,
    Returns,
    Poles,
    // load: Class is the class word; Starting is [A] or [A, s]; Spread is [] or [m]
    Class,
    Critical,
    Minimum,
    Starting,
    ShortTime,
    Spread,
    IgnitionProtected,
    // multicore
    Cores,
    Section,
    Length,
    // every part; In may stand several times on a multicore
    In,
    Like,
    Spare,
    // run
    BypassesIsolator,
}

/// Every kind's row, in the order of [`Kind`].
static KINDS: [&KindRow; 29] = [
    &things::BOAT,
    &things::USE,
    &things::PLACE,
    &things::CABLE,
    &parts::BATTERY,
    &parts::SOLAR,
    &parts::CONTROLLER,
    &parts::ALTERNATOR,
    &parts::CHARGER,
    &parts::CONVERTER,
    &parts::INVERTER,
    &parts::ISOLATOR,
    &parts::SWITCH,
    &parts::SELECTOR,
    &parts::RELAY,
    &parts::FUSE,
    &parts::BREAKER,
    &parts::SHUNT,
    &parts::BUSBAR,
    &parts::PANEL,
    &parts::JOINT,
    &parts::DIODE,
    &parts::LOAD,
    &parts::SOCKET,
    &parts::BLOCK,
    &parts::BOND,
    &things::MULTICORE,
    &things::RUN,
    &things::CASE,
];

/// Every kind's row, in the order of the reference.
pub fn kinds() -> impl Iterator<Item = &'static KindRow> {
    KINDS.iter().copied()
}

impl Kind {
    /// All about this kind.
    pub fn row(self) -> &'static KindRow {
        KINDS[self as usize]
    }

    /// The kind of a word at the margin.
    pub fn parse(word: &str) -> Option<Self> {
        KINDS
            .iter()
            .find(|row| row.word == word)
            .map(|row| row.kind)
    }

    /// Its word.
    pub fn word(self) -> &'static str {
        self.row().word
    }

    /// Whether it is a part: something that is placed on the boat and that runs touch.
    pub fn is_part(self) -> bool {
        self.row().space == Space::Part
    }

    /// Its fact of a key.
    pub fn fact(self, key: Key) -> Option<&'static FactRow> {
        self.row().facts().find(|row| row.key == key)
    }

    /// Its fact that a word begins: the fact's own word, or one of the words it chooses from.
    pub fn fact_of_word(self, word: &str) -> Option<&'static FactRow> {
        let row = self.row();
        row.facts().find(|fact| fact.word == word).or_else(|| {
            row.facts
                .iter()
                .find(|fact| matches!(fact.shape, Shape::Choice(_)) && fact.choice(word).is_some())
        })
    }

    /// Its bare fact of a dimension.
    pub fn bare_fact(self, dimension: crate::units::Dimension) -> Option<&'static FactRow> {
        self.row()
            .facts
            .iter()
            .find(|fact| fact.bare_dimension() == Some(dimension))
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::{Kind, Need, Shape, kinds};

    #[test]
    fn the_rows_are_in_the_order_of_the_kinds() {
        for (index, row) in kinds().enumerate() {
            assert_eq!(row.kind as usize, index, "{}", row.word);
            assert_eq!(Kind::parse(row.word), Some(row.kind));
        }
    }

    #[test]
    fn a_kind_has_one_fact_of_each_key_word_and_dimension() {
        for row in kinds() {
            let mut keys = BTreeSet::new();
            let mut words = BTreeSet::new();
            for fact in row.facts() {
                assert!(keys.insert(fact.key), "{} {:?}", row.word, fact.key);
                let mut said: Vec<&str> = match fact.shape {
                    Shape::Choice(choices) => choices.iter().map(|choice| choice.word).collect(),
                    _ => Vec::new(),
                };
                said.extend((!fact.word.is_empty()).then_some(fact.word));
                said.extend(fact.bare_dimension().map(crate::units::Dimension::word));
                for word in said {
                    assert!(words.insert(word), "{} {word}", row.word);
                }
            }
        }
    }

    /// What the parser keeps one place for each of.
    #[test]
    fn groups_and_keys_are_few() {
        for fact in kinds().flat_map(super::KindRow::facts) {
            assert!(fact.group < 4 && (fact.key as u32) < u128::BITS);
        }
    }

    #[test]
    fn every_row_is_explained() {
        for row in kinds() {
            assert!(!row.meaning.is_empty(), "{}", row.word);
            for fact in row.facts() {
                assert!(
                    !fact.help.is_empty() && !fact.example.is_empty(),
                    "{} {:?}",
                    row.word,
                    fact.key
                );
                let silent = fact.need == Need::Optional && fact.default.is_empty();
                assert!(!silent, "{} {:?} says no default", row.word, fact.key);
            }
        }
    }
}
