//! The sums of a day: what loads take, what sources give, how long a bank lasts.
//!
//! Ampere-hours at a bank's nominal voltage. What a battery itself loses between charging and
//! discharging is not counted. Knows no network.

use crate::{
    battery,
    quantity::{AmpHours, Amperes, Volts, Watts},
};

/// Hours in a day.
pub const DAY: f64 = 24.0;

/// A current that flows for some hours of a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spell {
    /// A.
    pub amps: f64,
    /// Hours in a day.
    pub hours: f64,
}

impl Spell {
    /// What it takes or gives in a day. Nothing where the figures are absurd.
    pub fn charge(self) -> AmpHours {
        let hours = self.amps * self.hours.clamp(0.0, DAY);
        AmpHours(if hours.is_finite() {
            hours.max(0.0)
        } else {
            0.0
        })
    }
}

/// A bank as a day sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Store {
    /// Its rated capacity.
    pub capacity: AmpHours,
    /// The share of it that is used before it is charged again.
    pub usable: f64,
    /// Peukert's exponent.
    pub exponent: f64,
}

impl Store {
    /// What may be used of it.
    pub fn usable_charge(&self) -> AmpHours {
        AmpHours(self.capacity.0 * self.usable)
    }

    /// The share of the bank that a load uses up in a day: its hours over how long the bank lasts
    /// at its current by Peukert's law in the rated form, and never less than its plain
    /// ampere-hours: below the rated current no more is believed to be in the bank than is printed
    /// on it.
    pub fn used_by(&self, load: Spell) -> f64 {
        let plain = load.charge().0 / self.capacity.0;
        let rated = battery::RATED_HOURS.value;
        let lasts = battery::lasts(self.capacity, rated, self.exponent, Amperes(load.amps));
        (load.hours.clamp(0.0, DAY) * 3600.0 / lasts.0).max(plain)
    }

    /// Days that it lasts while loads use `share` of it each day; infinite where they use nothing.
    pub fn days(&self, share: f64) -> f64 {
        if share > 0.0 {
            self.usable / share
        } else {
            f64::INFINITY
        }
    }
}

/// The current of solar panels behind a controller that finds their best point, at the volts that
/// it charges with.
pub fn converted(power: Watts, efficiency: f64, charging: Volts) -> Amperes {
    Amperes(power.0 * efficiency / charging.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: f64, b: f64) {
        assert!((a - b).abs() < 1e-9, "{a} {b}");
    }

    #[test]
    fn a_day_is_a_sum() {
        close(
            Spell {
                amps: 7.0,
                hours: 0.4,
            }
            .charge()
            .0,
            2.8,
        );
        close(
            Spell {
                amps: f64::INFINITY,
                hours: 1.0,
            }
            .charge()
            .0,
            0.0,
        );
        close(
            Spell {
                amps: 1.0,
                hours: 99.0,
            }
            .charge()
            .0,
            24.0,
        );
        // 100 W at 95 % and 14.4 V.
        close(
            converted(Watts(100.0), 0.95, Volts(14.4)).0,
            6.597_222_222_222,
        );
    }

    /// 100 Ah rated at 20 h, exponent 1.2. At 5 A, its rated current, it lasts 20 h whatever the
    /// exponent: 2 h take a tenth. At 20 A it lasts 20 x (100 / 400)^1.2 = 3.789 h: 1 h takes
    /// 0.2639 of it, not 0.2. At 1 A 24 h take 0.24, though the law alone would say 0.174.
    #[test]
    fn a_large_current_takes_more_than_its_ampere_hours() {
        let bank = Store {
            capacity: AmpHours(100.0),
            usable: 0.5,
            exponent: 1.2,
        };
        let used = |amps, hours| bank.used_by(Spell { amps, hours });
        close(used(5.0, 2.0), 0.1);
        close(used(20.0, 1.0), 1.0 / (20.0 * 0.25f64.powf(1.2)));
        close(used(1.0, 24.0), 0.24);
        close(used(0.0, 24.0), 0.0);
        // Half the bank at a tenth a day: five days.
        close(bank.days(used(5.0, 2.0)), 5.0);
        assert!(bank.days(0.0).is_infinite());
        close(bank.usable_charge().0, 50.0);
    }
}
