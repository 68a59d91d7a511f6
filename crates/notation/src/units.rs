//! Units and the quantities written with them.

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

/// A unit as written. To be settled by the table of units.
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
