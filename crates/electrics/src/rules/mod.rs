//! Rule sets: what a standard, a law or common sense asks of a boat's direct-current wiring.
//!
//! A rule set is one data file in `data/rules` and one ampacity table in `data/tables`; no limit
//! stands anywhere else in the program, and each carries its document, clause and tag. What a
//! set does not speak of is `None`, and a finding without a value does not exist in that set.

mod class;
mod embedded;
pub(crate) mod file;

use std::{fmt, str::FromStr};

pub use class::{LoadClass, UnknownWord};
use file::{ByClass, Cited, FormulaName, RuleFile, Table};

use crate::{
    conductor::{AwgAreas, Size, area},
    drop::{DropForm, DropFormula},
    quantity::{AmpHours, Amperes, Celsius, Metres, Volts},
    source::Sourced,
};

/// A rule set by name.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    serde::Serialize,
    serde::Deserialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum RuleName {
    /// Only figures seen in a published source.
    #[default]
    Baseline,
    /// The law of the United States.
    #[serde(rename = "us-cfr-183")]
    UsCfr183,
    /// The international standard.
    #[serde(rename = "iso-13297")]
    Iso13297,
    /// The American trade standard.
    #[serde(rename = "abyc-e11")]
    AbycE11,
}

impl RuleName {
    /// Every rule set, the default first.
    pub const ALL: [Self; 4] = [
        Self::Baseline,
        Self::UsCfr183,
        Self::Iso13297,
        Self::AbycE11,
    ];

    /// The name as a plan writes it.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Baseline => "baseline",
            Self::UsCfr183 => "us-cfr-183",
            Self::Iso13297 => "iso-13297",
            Self::AbycE11 => "abyc-e11",
        }
    }
}

impl fmt::Display for RuleName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

impl FromStr for RuleName {
    type Err = UnknownWord;

    fn from_str(text: &str) -> Result<Self, UnknownWord> {
        Self::ALL
            .into_iter()
            .find(|name| name.as_str() == text)
            .ok_or_else(|| UnknownWord(text.into()))
    }
}

/// How an unprotected conductor lies, which decides how long it may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Lie {
    /// By itself, or in a sheath for part of its length.
    Bare,
    /// In a sheath, conduit or enclosure all the way.
    Sheathed,
    /// The same, with one end on a battery's post.
    SheathedAtPost,
}

/// What a conductor is for, which decides its colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// Positive conductors without a colour of their own class.
    Positive,
    /// Returns.
    Negative,
    /// Bonding conductors.
    Bonding,
    /// The positive of a load of a class.
    Class(LoadClass),
    /// The feed of accessories.
    Accessory,
}

/// Which text of a standard counts, where two differ.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Edition {
    /// By the cranking amperes connected.
    Older,
    /// By what the bank can deliver.
    #[default]
    Newer,
}

/// One rule set. Obtained by [`RuleSet::get`].
#[derive(Debug)]
pub struct RuleSet {
    name: RuleName,
    file: RuleFile,
    pub(crate) table: &'static Table,
    from_memory: usize,
}

impl RuleSet {
    /// The rule set of a name.
    pub fn get(name: RuleName) -> &'static Self {
        embedded::rule_set(name)
    }

    /// Its name.
    pub const fn name(&self) -> RuleName {
        self.name
    }

    /// Its title for people.
    pub fn title(&self) -> &str {
        &self.file.title
    }

    /// How many of its figures are from memory, table cells included: a plan's summary says so.
    pub const fn from_memory_count(&self) -> usize {
        self.from_memory
    }

    /// The set of published limits that is checked too, at full severity, wherever a limit of
    /// this one is from memory. `None` for that set itself.
    pub fn published_fallback(&self) -> Option<&'static Self> {
        (self.name != RuleName::Baseline).then(|| Self::get(RuleName::Baseline))
    }

    /// A limit of this set, and after it the published one wherever this set's may be no more
    /// than an advice: both are checked, and each says whose it is.
    pub fn checked_limits<T>(
        &'static self,
        limit: impl Fn(&'static Self) -> Option<Sourced<T>>,
    ) -> impl Iterator<Item = (RuleName, Sourced<T>)> {
        let own = limit(self);
        let weak = own.as_ref().is_some_and(|own| !own.tag.may_be_error());
        let fallback = self.published_fallback().filter(|_| weak);
        let published = fallback.and_then(|set| Some((set.name, limit(set)?)));
        own.map(|own| (self.name, own)).into_iter().chain(published)
    }

    /// Where the set was written for petrol boats only, the clause that says so.
    pub fn written_for_petrol(&self) -> Option<Sourced<bool>> {
        taken(self.file.written_for_petrol.as_ref())
    }

    /// What a gauge's area means under this set.
    pub const fn areas(&self) -> AwgAreas {
        self.file.areas
    }

    /// The ambient that a plan has unless it says otherwise: the table's own.
    pub fn ambient(&self) -> Sourced<Celsius> {
        self.table.ambient.map(Celsius)
    }

    /// The temperature of an engine space.
    pub fn engine_space(&self) -> Sourced<Celsius> {
        self.file.engine_space.0.map(Celsius)
    }

    /// The system voltage from which conductors in a bundle are derated, where not at any.
    pub fn bundling_from(&self) -> Option<Sourced<Volts>> {
        in_unit(self.file.bundling_from_volts.as_ref(), Volts)
    }
}

/// Voltage drop.
impl RuleSet {
    /// The largest drop of a load's circuit, per cent of its island's nominal voltage.
    ///
    /// A class that the set names has its own; a critical or vital load has the critical limit
    /// where that is lower. `None` where the set limits no drop.
    pub fn drop_limit(&self, class: LoadClass, critical: bool) -> Option<Sourced<f64>> {
        let drop = &self.file.drop;
        let strict = critical || self.is_vital(class);
        let critical = drop
            .critical
            .as_ref()
            .filter(|_| strict)
            .map(|cited| cited.0);
        let own = of_class(&drop.by_class, class).map(|cited| cited.0);
        let least = own
            .into_iter()
            .chain(critical)
            .min_by(|a, b| a.value.total_cmp(&b.value));
        least.or_else(|| taken(drop.other.as_ref()))
    }

    /// The largest drop of a panel's main feed, there and back, per cent; where the set has one.
    pub fn feeder_drop_limit(&self) -> Option<Sourced<f64>> {
        taken(self.file.drop.feeder.as_ref())
    }

    /// Whether a class counts as critical without being told.
    pub fn is_vital(&self, class: LoadClass) -> bool {
        self.file.drop.vital.0.value.contains(&class)
    }

    /// Where the list of vital classes comes from.
    pub fn vital(&self) -> Sourced<&[LoadClass]> {
        let vital = &self.file.drop.vital.0;
        Sourced::new(vital.value.as_slice(), vital.tag, vital.source)
    }

    /// The formula that an examiner recomputes by hand.
    pub fn drop_formula(&self) -> DropFormula {
        let form = match self.file.drop.formula.0.value {
            FormulaName::Metric => DropForm::Metric,
            FormulaName::CircularMils => DropForm::CircularMils,
        };
        DropFormula {
            form,
            constant: self.file.drop.constant.0,
        }
    }

    /// Resistance of one conductor by the rule's own formula, ohm/m.
    pub fn drop_resistance(&self, size: Size) -> Sourced<f64> {
        let formula = self.drop_formula();
        formula
            .constant
            .map(|_| formula.ohm_mm2_per_metre() / area(size, self.areas()).0)
    }
}

/// Overcurrent protection.
impl RuleSet {
    /// The largest device as a share of the *derated* ampacity, in every set: where a law
    /// speaks of its table, the table's notes are taken as part of it, which is the safe reading.
    pub fn ceiling(&self, system: Volts) -> Sourced<f64> {
        self.ceiling_at(system).cited.0
    }

    /// Where no standard rating lies at the ceiling: the share of the derated ampacity within
    /// which the next standard rating up may be taken.
    pub fn next_size_up_within(&self, system: Volts) -> Option<Sourced<f64>> {
        let ceiling = self.ceiling_at(system);
        ceiling
            .next_size_up_within
            .map(|share| ceiling.cited.0.map(|_| share))
    }

    fn ceiling_at(&self, system: Volts) -> &file::Ceiling {
        let ceilings = &self.file.protection.ceiling;
        let reached = ceilings
            .iter()
            .rev()
            .find(|ceiling| ceiling.from_volts <= system.0);
        reached.unwrap_or(&ceilings[0])
    }

    /// How far along an unprotected conductor a device may stand.
    pub fn distance(&self, lie: Lie) -> Option<Sourced<Metres>> {
        let protection = &self.file.protection;
        let cited = match lie {
            Lie::Bare => &protection.bare,
            Lie::Sheathed => &protection.sheathed,
            Lie::SheathedAtPost => &protection.sheathed_at_post,
        };
        Some(cited.0.map(Metres))
    }

    /// Up to here a bare conductor past its distance is an advice: another rule would allow it.
    pub fn bare_advice_distance(&self) -> Option<Sourced<Metres>> {
        in_unit(self.file.protection.bare_advice.as_ref(), Metres)
    }

    /// How long a link inside one bank may be without a device.
    pub fn bank_link_distance(&self) -> Sourced<Metres> {
        self.file.protection.bank_link.0.map(Metres)
    }

    /// How far from the starter's cable an alternator may be, for a missing device at the battery's end to be an advice.
    pub fn alternator_distance(&self) -> Sourced<Metres> {
        self.file.protection.alternator.0.map(Metres)
    }

    /// How far from a charging source its device may stand.
    pub fn charging_source_distance(&self) -> Option<Sourced<Metres>> {
        in_unit(self.file.protection.charging_source.as_ref(), Metres)
    }

    /// The largest device of a generator or alternator, as a share of its rating.
    pub fn generator_share(&self) -> Option<Sourced<f64>> {
        taken(self.file.protection.generator_share.as_ref())
    }

    /// Whether a source that limits its own current needs no device at its own end.
    pub fn self_limiting_exempt(&self) -> Option<Sourced<bool>> {
        taken(self.file.protection.self_limiting_exempt.as_ref())
    }

    /// Whether the conductors from battery to starter need no device.
    pub fn cranking_exempt(&self) -> Option<Sourced<bool>> {
        taken(self.file.protection.cranking_exempt.as_ref())
    }

    /// What a device must be able to interrupt at a bank, where the set says so.
    ///
    /// The newer text asks for the bank's own short-circuit current, which the caller knows; here
    /// is only what it asks of large banks, and only where that current exceeds 10 kA.
    pub fn interrupting(&self, edition: Edition, bank: Bank) -> Option<Interrupting> {
        let protection = &self.file.protection;
        match edition {
            Edition::Older => {
                let fits = |row: &&file::Interrupting| {
                    row.up_to.is_none_or(|up_to| bank.cranking.0 <= up_to)
                };
                let row = protection.interrupting.iter().find(fits)?;
                Some(Interrupting {
                    main: row.main.map(Amperes),
                    branch: row.branch.map(Amperes),
                })
            }
            Edition::Newer => {
                let large = protection.large_bank.as_ref()?;
                let is_large =
                    bank.cranking.0 >= large.cranking || bank.capacity.0 >= large.amp_hours;
                let asked = large.cited.0.map(Amperes);
                (is_large && bank.short_circuit.0 > large.asked_above).then_some(Interrupting {
                    main: asked,
                    branch: asked,
                })
            }
        }
    }
}

/// What interrupting capacity depends on. Parallel strings add, blocks in series do not.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bank {
    /// Cranking amperes connected in all; zero where not known.
    pub cranking: Amperes,
    /// Its capacity.
    pub capacity: AmpHours,
    /// The current into a short at its posts.
    pub short_circuit: Amperes,
}

/// Interrupting capacity that is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interrupting {
    /// Of the device at the bank.
    pub main: Sourced<Amperes>,
    /// Of a device behind it.
    pub branch: Sourced<Amperes>,
}

/// Conductors and fittings.
impl RuleSet {
    /// The smallest conductor, by itself or inside a sheath. Compare by area.
    pub fn minimum_size(&self, sheathed: bool) -> Option<Sourced<Size>> {
        let minimum = &self.file.minimum_size;
        let cited = if sheathed {
            &minimum.sheathed
        } else {
            &minimum.bare
        };
        Some(cited.0.map(|written| written.0))
    }

    /// A conductor up to this long may be smaller than the smallest.
    pub fn minimum_size_exempt_length(&self) -> Option<Sourced<Metres>> {
        Some(self.file.minimum_size.exempt_up_to.0.map(Metres))
    }

    /// Circuits of electronics below this current may have smaller conductors, where the set says so.
    pub fn minimum_size_exempt_electronics(&self) -> Option<Sourced<Amperes>> {
        in_unit(self.file.minimum_size.electronics_below.as_ref(), Amperes)
    }

    /// How many conductors may sit on one stud.
    pub fn studs_limit(&self) -> Option<Sourced<u32>> {
        taken(self.file.fitting.studs.as_ref())
    }

    /// Whether a class may be joined ahead of the isolator if it has its own device; `None`
    /// where the set says nothing of isolators.
    pub fn bypass(&self, class: LoadClass) -> Option<Sourced<bool>> {
        let bypass = &self.file.fitting.bypass.as_ref()?.0;
        Some(Sourced::new(
            bypass.value.contains(&class),
            bypass.tag,
            bypass.source,
        ))
    }

    /// The colours a conductor may have, and where that stands; `None` where the set asks for none.
    ///
    /// Words are the basic colours of IEC 60757, several on one conductor joined by `/` in its order.
    /// A class without a colour of its own has the colours of any positive.
    pub fn colours_of(&self, role: Role) -> Option<Sourced<&[String]>> {
        let colours = &self.file.colours;
        let cited = match role {
            Role::Positive => colours.positive.as_ref(),
            Role::Negative => colours.negative.as_ref(),
            Role::Bonding => colours.bonding.as_ref(),
            Role::Accessory => colours.accessory.as_ref(),
            Role::Class(class) => of_class(&colours.by_class, class),
        }?;
        Some(Sourced::new(
            cited.0.value.as_slice(),
            cited.0.tag,
            cited.0.source,
        ))
    }

    /// The colours a conductor may have; empty where the set asks for none.
    pub fn colours(&self, role: Role) -> &[String] {
        self.colours_of(role).map_or(&[], |colours| colours.value)
    }
}

fn taken<T: Copy>(cited: Option<&Cited<T>>) -> Option<Sourced<T>> {
    cited.map(|cited| cited.0)
}

fn in_unit<T>(cited: Option<&Cited<f64>>, unit: fn(f64) -> T) -> Option<Sourced<T>> {
    cited.map(|cited| cited.0.map(unit))
}

fn of_class<T>(list: &[ByClass<T>], class: LoadClass) -> Option<&Cited<T>> {
    list.iter()
        .find(|entry| entry.class == class)
        .map(|entry| &entry.cited)
}
