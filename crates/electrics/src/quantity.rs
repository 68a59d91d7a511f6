//! Quantities with their units in the type, so that volts are never added to amperes.
//!
//! Each is one `f64` in its base unit. Only the arithmetic that means something is there, and
//! printing is for people: as many digits as the trade reads off an instrument. May touch nothing else.

use std::{
    fmt,
    iter::Sum,
    ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign},
};

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $show:expr) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, serde::Serialize, serde::Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);

        impl $name {
            /// The smaller of two; never NaN unless both are.
            #[must_use]
            pub const fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }

            /// The greater of two; never NaN unless both are.
            #[must_use]
            pub const fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }

            /// The magnitude.
            #[must_use]
            pub const fn abs(self) -> Self {
                Self(self.0.abs())
            }

            /// Whether it is a number and not unlimited.
            pub const fn is_finite(self) -> bool {
                self.0.is_finite()
            }

            /// The order of two, total over every value, for sorting.
            pub fn total_cmp(&self, other: &Self) -> std::cmp::Ordering {
                self.0.total_cmp(&other.0)
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                let show: fn(f64) -> String = $show;
                f.pad(&show(self.0))
            }
        }
    };
}

/// What only a quantity with a true zero has: sums, multiples, ratios.
macro_rules! ratio_scale {
    ($($name:ident)*) => {$(
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }
        impl SubAssign for $name {
            fn sub_assign(&mut self, other: Self) {
                self.0 -= other.0;
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
        impl Mul<$name> for f64 {
            type Output = $name;
            fn mul(self, quantity: $name) -> $name {
                $name(self * quantity.0)
            }
        }
        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }
        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                Self(items.map(|item| item.0).sum())
            }
        }
    )*};
}

/// `a * b = c`, with the commuted product and both quotients.
macro_rules! product {
    ($($a:ident * $b:ident = $c:ident;)*) => {$(
        impl Mul<$b> for $a {
            type Output = $c;
            fn mul(self, other: $b) -> $c {
                $c(self.0 * other.0)
            }
        }
        impl Mul<$a> for $b {
            type Output = $c;
            fn mul(self, other: $a) -> $c {
                $c(self.0 * other.0)
            }
        }
        impl Div<$a> for $c {
            type Output = $b;
            fn div(self, other: $a) -> $b {
                $b(self.0 / other.0)
            }
        }
        impl Div<$b> for $c {
            type Output = $a;
            fn div(self, other: $b) -> $a {
                $a(self.0 / other.0)
            }
        }
    )*};
}

quantity!(
    /// Electromotive force or drop, V.
    Volts,
    |v| format!("{} V", decimals(v, 2))
);
quantity!(
    /// Current, A. Infinite where nothing limits it.
    Amperes,
    |a| format!("{} A", digits(a))
);
quantity!(
    /// Resistance, ohm. Shown in milliohm below one.
    Ohms,
    |r| if r != 0.0 && r.abs() < 1.0 { format!("{} m\u{3a9}", digits(r * 1e3)) } else { format!("{} \u{3a9}", digits(r)) }
);
quantity!(
    /// Length, m.
    Metres,
    |m| format!("{} m", decimals(m, 2))
);
quantity!(
    /// Area of a conductor's cross-section, mm².
    SquareMillimetres,
    |s| format!("{} mm\u{b2}", digits(s))
);
quantity!(
    /// Temperature, °C. A difference of two is a plain number of kelvins.
    Celsius,
    |t| format!("{} \u{b0}C", decimals(t, 1))
);
quantity!(
    /// Power or heat, W.
    Watts,
    |w| format!("{} W", digits(w))
);
quantity!(
    /// Charge, Ah.
    AmpHours,
    |q| format!("{} Ah", digits(q))
);
quantity!(
    /// Time, s.
    Seconds,
    |t| format!("{} s", digits(t))
);

ratio_scale!(Volts Amperes Ohms Metres SquareMillimetres Watts AmpHours Seconds);
product! {
    Amperes * Ohms = Volts;
    Volts * Amperes = Watts;
}

impl Sub for Celsius {
    type Output = f64;
    fn sub(self, other: Self) -> f64 {
        self.0 - other.0
    }
}

impl Add<f64> for Celsius {
    type Output = Self;
    fn add(self, kelvins: f64) -> Self {
        Self(self.0 + kelvins)
    }
}

impl Amperes {
    /// The charge that flows in a time.
    pub fn for_time(self, time: Seconds) -> AmpHours {
        AmpHours(self.0 * time.0 / SECONDS_OF_AN_HOUR)
    }
}

impl AmpHours {
    /// How long the charge lasts at a current.
    pub fn at(self, current: Amperes) -> Seconds {
        Seconds(self.0 / current.0 * SECONDS_OF_AN_HOUR)
    }
}

const SECONDS_OF_AN_HOUR: f64 = 3600.0;

/// Three significant digits, whole above a hundred, without trailing zeros.
pub fn digits(value: f64) -> String {
    decimals(
        value,
        if value.abs() >= 100.0 {
            0
        } else if value.abs() >= 10.0 {
            1
        } else {
            2
        },
    )
}

/// `places` decimals for values from one up, three significant digits below, without trailing zeros.
pub fn decimals(value: f64, places: usize) -> String {
    if value.is_infinite() {
        return if value > 0.0 {
            "\u{221e}".into()
        } else {
            "-\u{221e}".into()
        };
    }
    let small = value != 0.0 && value.abs() < 1.0;
    let places = if small {
        (3 - leading(value)).clamp(3, 9) as usize
    } else {
        places
    };
    let text = format!("{value:.places$}");
    let text = if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.')
    } else {
        &text
    };
    if text == "-0" {
        "0".into()
    } else {
        text.into()
    }
}

/// The power of ten just above a value below one: 0 for 0.127, -2 for 0.00127.
fn leading(value: f64) -> i32 {
    value.abs().log10().floor() as i32 + 1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn people_read_sensible_digits() {
        let shown = [
            Amperes(8.2).to_string(),
            Volts(0.127).to_string(),
            Volts(12.652_3).to_string(),
            Amperes(102.0).to_string(),
            Amperes(35.7).to_string(),
            Ohms(0.001_24).to_string(),
            Ohms(0.0).to_string(),
            Metres(0.178).to_string(),
            SquareMillimetres(0.5).to_string(),
            Celsius(50.0).to_string(),
            Amperes(f64::INFINITY).to_string(),
            Watts(-0.000_000_000_1).to_string(),
            AmpHours(1200.0).to_string(),
        ];
        let expected = [
            "8.2 A",
            "0.127 V",
            "12.65 V",
            "102 A",
            "35.7 A",
            "1.24 m\u{3a9}",
            "0 \u{3a9}",
            "0.178 m",
            "0.5 mm\u{b2}",
            "50 \u{b0}C",
            "\u{221e} A",
            "0 W",
            "1200 Ah",
        ];
        assert_eq!(shown, expected);
    }

    #[test]
    fn units_follow_from_the_arithmetic() {
        assert_eq!(Amperes(2.0) * Ohms(3.0), Volts(6.0));
        assert_eq!(Volts(6.0) / Ohms(3.0), Amperes(2.0));
        assert_eq!(Volts(12.0) * Amperes(2.0), Watts(24.0));
        assert_eq!(Watts(24.0) / Volts(12.0), Amperes(2.0));
        assert!((Celsius(50.0) - Celsius(30.0) - 20.0).abs() < f64::EPSILON);
        assert_eq!(Amperes(10.0).for_time(Seconds(1800.0)), AmpHours(5.0));
        assert_eq!(AmpHours(5.0).at(Amperes(10.0)), Seconds(1800.0));
    }
}
