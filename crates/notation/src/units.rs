//! Units and the quantities written with them: the table of units, and numbers to and from text.

/// A measured number. `value` is in the dimension's base unit: V, A, W, ohm, Ah, m, mm², °C, s,
/// cm², %, h/day (hours of a day).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantity {
    /// In the base unit of `dimension`.
    pub value: f64,
    /// What it measures.
    pub dimension: Dimension,
    /// The unit it was written in.
    pub unit: Unit,
}

/// What a quantity measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)]
pub enum Dimension {
    Potential,
    Current,
    Power,
    Resistance,
    Charge,
    Energy,
    Length,
    /// A conductor's cross-section, mm² or AWG.
    Section,
    Temperature,
    Time,
    /// Free area of an opening, cm².
    Opening,
    Percent,
    /// Hours per day.
    Daily,
}

/// A unit as written; [`UNITS`] says all about each.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)]
pub enum Unit {
    Volt,
    Millivolt,
    Ampere,
    Milliampere,
    Kiloampere,
    Watt,
    Kilowatt,
    AmpereHour,
    WattHour,
    KilowattHour,
    Ohm,
    Milliohm,
    Metre,
    Centimetre,
    Millimetre,
    Foot,
    Inch,
    SquareMillimetre,
    Awg,
    SquareCentimetre,
    DegreeCelsius,
    DegreeFahrenheit,
    Percent,
    Second,
    Minute,
    Hour,
    HourPerDay,
    MinutePerDay,
}

/// A conductor's size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Size {
    /// Cross-section in mm².
    Mm2(f64),
    /// American wire gauge; 0 is 1/0, -1 is 2/0, -2 is 3/0, -3 is 4/0.
    Awg(i8),
}

/// All about one unit.
#[derive(Clone, Copy, Debug)]
pub struct UnitRow {
    /// The unit.
    pub unit: Unit,
    /// What it measures.
    pub dimension: Dimension,
    /// How it is written in a plan.
    pub ascii: &'static str,
    /// How it is shown to people.
    pub printed: &'static str,
    /// Other ways to write it that are read too.
    pub also: &'static [&'static str],
    /// One of this unit in the dimension's base unit.
    pub factor: f64,
    /// What it is, in plain words.
    pub meaning: &'static str,
}

const fn row(
    unit: Unit,
    dimension: Dimension,
    ascii: &'static str,
    printed: &'static str,
    factor: f64,
    meaning: &'static str,
) -> UnitRow {
    UnitRow {
        unit,
        dimension,
        ascii,
        printed,
        also: &[],
        factor,
        meaning,
    }
}

const fn also(also: &'static [&'static str], row: UnitRow) -> UnitRow {
    UnitRow { also, ..row }
}

use Dimension as D;

/// Every unit, in the order of [`Unit`].
#[rustfmt::skip] // one unit a line
pub static UNITS: [UnitRow; 28] = [
    row(Unit::Volt, D::Potential, "V", "V", 1.0, "volt, the pressure that drives the current"),
    row(Unit::Millivolt, D::Potential, "mV", "mV", 1e-3, "millivolt, a thousandth of a volt"),
    row(Unit::Ampere, D::Current, "A", "A", 1.0, "ampere, how much current flows"),
    row(Unit::Milliampere, D::Current, "mA", "mA", 1e-3, "milliampere, a thousandth of an ampere"),
    row(Unit::Kiloampere, D::Current, "kA", "kA", 1e3, "kiloampere, a thousand amperes"),
    row(Unit::Watt, D::Power, "W", "W", 1.0, "watt, power: volts times amperes"),
    row(Unit::Kilowatt, D::Power, "kW", "kW", 1e3, "kilowatt, a thousand watts"),
    row(Unit::AmpereHour, D::Charge, "Ah", "Ah", 1.0, "ampere-hour, one ampere for one hour"),
    row(Unit::WattHour, D::Energy, "Wh", "Wh", 1.0, "watt-hour, one watt for one hour"),
    row(Unit::KilowattHour, D::Energy, "kWh", "kWh", 1e3, "kilowatt-hour, a thousand watt-hours"),
    also(&["Ω", "\u{2126}"], row(Unit::Ohm, D::Resistance, "ohm", "Ω", 1.0, "ohm, resistance: volts for each ampere")),
    also(&["mΩ", "m\u{2126}"], row(Unit::Milliohm, D::Resistance, "mohm", "mΩ", 1e-3, "milliohm, a thousandth of an ohm")),
    row(Unit::Metre, D::Length, "m", "m", 1.0, "metre"),
    row(Unit::Centimetre, D::Length, "cm", "cm", 0.01, "centimetre"),
    row(Unit::Millimetre, D::Length, "mm", "mm", 0.001, "millimetre"),
    row(Unit::Foot, D::Length, "ft", "ft", 0.3048, "foot, 0.3048 m"),
    row(Unit::Inch, D::Length, "inch", "inch", 0.0254, "inch, 0.0254 m (`in` is the word for a place)"),
    also(&["mm²"], row(Unit::SquareMillimetre, D::Section, "mm2", "mm²", 1.0, "square millimetre of copper, the size of a conductor")),
    row(Unit::Awg, D::Section, "AWG", "AWG", 1.0, "American wire gauge: the smaller the number, the thicker the conductor (ASTM B258)"),
    also(&["cm²"], row(Unit::SquareCentimetre, D::Opening, "cm2", "cm²", 1.0, "square centimetre, the free area of an opening")),
    also(&["°C"], row(Unit::DegreeCelsius, D::Temperature, "C", "°C", 1.0, "degree Celsius")),
    also(&["°F"], row(Unit::DegreeFahrenheit, D::Temperature, "F", "°F", 5.0 / 9.0, "degree Fahrenheit")),
    row(Unit::Percent, D::Percent, "%", "%", 1.0, "per cent, parts of a hundred"),
    row(Unit::Second, D::Time, "s", "s", 1.0, "second"),
    row(Unit::Minute, D::Time, "min", "min", 60.0, "minute"),
    row(Unit::Hour, D::Time, "h", "h", 3600.0, "hour"),
    row(Unit::HourPerDay, D::Daily, "h/day", "h/day", 1.0, "hours in a day"),
    row(Unit::MinutePerDay, D::Daily, "min/day", "min/day", 1.0 / 60.0, "minutes in a day"),
];

/// What people write for a unit that is not read, and the unit they mean.
static MISSPELT: [(&str, Unit); 41] = [
    ("volt", Unit::Volt),
    ("volts", Unit::Volt),
    ("amp", Unit::Ampere),
    ("amps", Unit::Ampere),
    ("ampere", Unit::Ampere),
    ("amperes", Unit::Ampere),
    ("watt", Unit::Watt),
    ("watts", Unit::Watt),
    ("ohms", Unit::Ohm),
    ("milliohm", Unit::Milliohm),
    ("milliohms", Unit::Milliohm),
    ("metre", Unit::Metre),
    ("metres", Unit::Metre),
    ("meter", Unit::Metre),
    ("meters", Unit::Metre),
    ("mtr", Unit::Metre),
    ("foot", Unit::Foot),
    ("feet", Unit::Foot),
    ("inches", Unit::Inch),
    ("in", Unit::Inch),
    ("sqmm", Unit::SquareMillimetre),
    ("mmq", Unit::SquareMillimetre),
    ("qmm", Unit::SquareMillimetre),
    ("ga", Unit::Awg),
    ("gauge", Unit::Awg),
    ("sqcm", Unit::SquareCentimetre),
    ("degC", Unit::DegreeCelsius),
    ("degF", Unit::DegreeFahrenheit),
    ("celsius", Unit::DegreeCelsius),
    ("fahrenheit", Unit::DegreeFahrenheit),
    ("percent", Unit::Percent),
    ("sec", Unit::Second),
    ("secs", Unit::Second),
    ("second", Unit::Second),
    ("seconds", Unit::Second),
    ("mins", Unit::Minute),
    ("minute", Unit::Minute),
    ("minutes", Unit::Minute),
    ("hr", Unit::Hour),
    ("hour", Unit::Hour),
    ("hours", Unit::Hour),
];

impl Unit {
    /// All about this unit.
    pub fn row(self) -> &'static UnitRow {
        &UNITS[self as usize]
    }

    /// The unit written as one word (`mm2`, `Ω`); the daily ones are of three tokens.
    pub fn find(word: &str) -> Option<Self> {
        Some(match word.as_bytes() {
            b"V" => Self::Volt,
            b"A" => Self::Ampere,
            b"W" => Self::Watt,
            b"m" => Self::Metre,
            b"C" => Self::DegreeCelsius,
            b"F" => Self::DegreeFahrenheit,
            b"s" => Self::Second,
            b"h" => Self::Hour,
            b"%" => Self::Percent,
            b"mm2" => Self::SquareMillimetre,
            b"Ah" => Self::AmpereHour,
            b"mm" => Self::Millimetre,
            _ => return Self::find_rare(word),
        })
    }

    fn find_rare(word: &str) -> Option<Self> {
        let row = UNITS
            .iter()
            .find(|row| row.ascii == word || row.also.contains(&word))?;
        (row.dimension != Dimension::Daily).then_some(row.unit)
    }

    /// The unit that a word which is none was meant to be: `amps`, `MM2`, `feet`.
    pub fn guess(word: &str) -> Option<Self> {
        let misspelt = MISSPELT
            .iter()
            .find(|(other, _)| other.eq_ignore_ascii_case(word));
        misspelt.map(|&(_, unit)| unit).or_else(|| {
            let row = UNITS
                .iter()
                .find(|row| row.ascii.eq_ignore_ascii_case(word))?;
            Some(row.unit)
        })
    }

    /// How it is written in a plan.
    pub fn ascii(self) -> &'static str {
        self.row().ascii
    }

    /// How it is shown to people.
    pub fn printed(self) -> &'static str {
        self.row().printed
    }

    /// A number of this unit in the dimension's base unit.
    pub fn to_base(self, number: f64) -> f64 {
        match self {
            Self::DegreeFahrenheit => (number - 32.0) * 5.0 / 9.0,
            Self::Awg => awg_area(number),
            unit => number * unit.row().factor,
        }
    }

    /// A value in the dimension's base unit as a number of this unit.
    pub fn from_base(self, value: f64) -> f64 {
        match self {
            Self::DegreeFahrenheit => value * 9.0 / 5.0 + 32.0,
            Self::Awg => awg_number(value),
            unit => value / unit.row().factor,
        }
    }
}

/// Area in mm² of a solid conductor of a gauge, by the formula of ASTM B258.
fn awg_area(gauge: f64) -> f64 {
    let diameter = 0.127 * 92f64.powf((36.0 - gauge) / 39.0);
    std::f64::consts::FRAC_PI_4 * diameter * diameter
}

fn awg_number(area: f64) -> f64 {
    let diameter = (area / std::f64::consts::FRAC_PI_4).sqrt();
    36.0 - 39.0 * (diameter / 0.127).log(92.0)
}

impl Dimension {
    /// Its units, the usual one first.
    pub fn units(self) -> impl Iterator<Item = &'static UnitRow> {
        UNITS.iter().filter(move |row| row.dimension == self)
    }

    /// What it measures, as a word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Potential => "voltage",
            Self::Current => "current",
            Self::Power => "power",
            Self::Resistance => "resistance",
            Self::Charge => "charge",
            Self::Energy => "energy",
            Self::Length => "length",
            Self::Section => "conductor size",
            Self::Temperature => "temperature",
            Self::Time => "time",
            Self::Opening => "free area",
            Self::Percent => "percentage",
            Self::Daily => "time in a day",
        }
    }

    /// Its units as a list for a sentence: `m, cm, mm, ft or inch`.
    pub fn choices(self) -> String {
        either(self.units().map(|row| row.ascii))
    }
}

/// A list for a sentence: `a, b or c`.
pub fn either<'a>(words: impl IntoIterator<Item = &'a str>) -> String {
    let words: Vec<&str> = words.into_iter().collect();
    match words.split_last() {
        Some((last, [])) => (*last).to_owned(),
        Some((last, rest)) => format!("{} or {last}", rest.join(", ")),
        None => String::new(),
    }
}

impl Quantity {
    /// A number of a unit.
    pub fn new(number: f64, unit: Unit) -> Self {
        Self {
            value: unit.to_base(number),
            dimension: unit.row().dimension,
            unit,
        }
    }

    /// The number in the unit it was written in.
    pub fn number(self) -> f64 {
        self.unit.from_base(self.value)
    }

    /// As it is written in a plan: `2.5 mm2`.
    pub fn ascii(self) -> String {
        format!("{} {}", plain(self.number()), self.unit.ascii())
    }

    /// As it is shown to people: `2.5 mm²`.
    pub fn printed(self) -> String {
        format!("{} {}", plain(self.number()), self.unit.printed())
    }
}

/// A number without the noise of binary fractions: at most nine significant digits.
pub fn plain(number: f64) -> String {
    let rounded: f64 = format!("{number:.8e}").parse().unwrap_or(number);
    format!("{rounded}")
}

impl Size {
    /// Its copper area in mm²; a gauge's by the formula of ASTM B258.
    pub fn area(self) -> f64 {
        match self {
            Self::Mm2(area) => area,
            Self::Awg(gauge) => awg_area(f64::from(gauge)),
        }
    }

    /// As it is written in a plan: `2.5 mm2`, `2/0 AWG`.
    pub fn ascii(self) -> String {
        self.with_unit("mm2")
    }

    /// As it is shown to people: `2.5 mm²`, `2/0 AWG`.
    pub fn printed(self) -> String {
        self.with_unit("mm²")
    }

    fn with_unit(self, unit: &str) -> String {
        match self {
            Self::Mm2(area) => format!("{} {unit}", plain(area)),
            Self::Awg(gauge) if gauge <= 0 => format!("{}/0 AWG", 1 - i32::from(gauge)),
            Self::Awg(gauge) => format!("{gauge} AWG"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Quantity, Size, UNITS, Unit, plain};

    #[test]
    fn the_table_is_in_the_order_of_the_units() {
        for (index, row) in UNITS.iter().enumerate() {
            assert_eq!(row.unit as usize, index, "{}", row.ascii);
        }
    }

    #[test]
    fn every_spelling_is_found() {
        for row in UNITS.iter().filter(|row| !row.ascii.contains('/')) {
            for spelling in row.also.iter().chain([&row.ascii]) {
                assert_eq!(Unit::find(spelling), Some(row.unit), "{spelling}");
            }
        }
        assert_eq!(Unit::find("in"), None);
        assert_eq!(Unit::guess("MM2"), Some(Unit::SquareMillimetre));
        assert_eq!(Unit::guess("feet"), Some(Unit::Foot));
    }

    #[test]
    fn there_and_back() {
        for row in &UNITS {
            let quantity = Quantity::new(7.0, row.unit);
            assert!((quantity.number() - 7.0).abs() < 1e-9, "{}", row.ascii);
        }
        assert!((Quantity::new(77.0, Unit::DegreeFahrenheit).value - 25.0).abs() < 1e-9);
    }

    // ASTM B258: 36 AWG is 0.005 inch and 4/0 AWG is 0.460 inch in diameter, by definition.
    #[test]
    fn gauges_by_definition() {
        let area = |inch: f64| std::f64::consts::FRAC_PI_4 * (inch * 25.4).powi(2);
        assert!((Size::Awg(36).area() - area(0.005)).abs() < 1e-9);
        assert!((Size::Awg(-3).area() - area(0.46)).abs() < 1e-6);
    }

    #[test]
    fn shown() {
        assert_eq!(Size::Awg(-1).ascii(), "2/0 AWG");
        assert_eq!(Size::Awg(10).printed(), "10 AWG");
        assert_eq!(Size::Mm2(2.5).printed(), "2.5 mm²");
        assert_eq!(Quantity::new(0.1 + 0.2, Unit::Milliohm).printed(), "0.3 mΩ");
        assert_eq!(plain(1e300), format!("{}", 1e300));
    }
}
