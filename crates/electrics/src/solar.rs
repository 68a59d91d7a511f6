//! Solar panels: what a silent label is taken to say, and what the cold and a bright day add to it.

use crate::{
    quantity::{Amperes, Celsius, Volts, Watts},
    source::{Sourced, Tag},
};

const NOT_SEEN: &str = "no document was seen; the true figure is on the panel's label";

/// Voltage at best power of a panel whose label is not copied: that of 36 cells, the lowest in use,
/// so that the current comes out high.
pub const WORKING_VOLTS: Sourced<Volts> = Sourced::new(Volts(17.0), Tag::M, NOT_SEEN);

/// Voltage at best power as a share of the open-circuit voltage.
pub const WORKING_PER_OPEN: Sourced<f64> = Sourced::new(0.83, Tag::M, NOT_SEEN);

/// Short-circuit current over the current at best power.
pub const SHORT_PER_WORKING: Sourced<f64> = Sourced::new(1.08, Tag::M, NOT_SEEN);

/// Up to how many times its battery's voltage every controller stands at its panels' side: panels
/// made for a battery reach about twice its voltage.
pub const INPUT_PER_BATTERY: Sourced<f64> =
    Sourced::new(2.2, Tag::CP, "common practice, no source");

/// One panel as a plan states it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Panel {
    /// Rated power.
    pub power: Option<Watts>,
    /// Open-circuit voltage.
    pub open_circuit: Option<Volts>,
    /// Short-circuit current.
    pub short_circuit: Option<Amperes>,
    /// Voltage at best power.
    pub working_volts: Option<Volts>,
    /// Current at best power.
    pub working_amps: Option<Amperes>,
}

impl Panel {
    /// The most it gives for ever: its printed short-circuit current, else what its other figures
    /// make likely. `None` where not even its power is known.
    pub fn most(&self) -> Option<Sourced<Amperes>> {
        match self.short_circuit {
            Some(printed) => Some(Sourced::new(printed, Tag::D, "as printed on the panel")),
            None => self
                .working()
                .map(|amps| SHORT_PER_WORKING.map(|share| amps * share)),
        }
    }

    /// Its open-circuit voltage at 25 °C: the printed one, else what its other figures make likely.
    pub fn open_volts(&self) -> Sourced<Volts> {
        if let Some(printed) = self.open_circuit {
            return Sourced::new(printed, Tag::D, "as printed on the panel");
        }
        let working = self.working_volts.unwrap_or(WORKING_VOLTS.value);
        WORKING_PER_OPEN.map(|share| working * (1.0 / share))
    }

    /// Its current at best power: what is printed, else its power over the volts at which it gives it.
    pub fn working(&self) -> Option<Amperes> {
        let open = || Some(self.open_circuit? * WORKING_PER_OPEN.value);
        let volts = || {
            self.working_volts
                .or_else(open)
                .filter(|volts| volts.0 > 0.0)
                .unwrap_or(WORKING_VOLTS.value)
        };
        self.working_amps.or_else(|| Some(self.power? / volts()))
    }
}

/// Change of open-circuit voltage per kelvin from 25 °C, as a share: crystalline panels.
pub const VOC_PER_KELVIN: Sourced<f64> =
    Sourced::new(-0.003, Tag::CP, "common practice, no source");

/// Open-circuit voltage at 0 °C over that at 25 °C, as the code prints it for crystalline panels.
pub const VOC_AT_FREEZING: Sourced<f64> = Sourced::new(1.10, Tag::S1, "NEC 690.7(A), at 0 \u{b0}C");

/// The coldest bright morning that is counted with where no colder one is known.
pub const COLDEST: Sourced<Celsius> =
    Sourced::new(Celsius(-20.0), Tag::CP, "common practice, no source");

/// What the circuit of a panel is taken to carry, over its short-circuit current.
pub const CIRCUIT_CURRENT: Sourced<f64> = Sourced::new(1.25, Tag::S2, "NEC 690.8");

/// What conductor and device are chosen for, over the current of the circuit.
pub const CONTINUOUS: Sourced<f64> = Sourced::new(1.25, Tag::S2, "NEC 690.8");

/// Open-circuit voltage at a panel's temperature, by the line of [`VOC_PER_KELVIN`].
pub fn open_circuit(voc: Volts, panel: Celsius) -> Volts {
    voc * (1.0 + VOC_PER_KELVIN.value * (panel.0 - 25.0)).max(0.0)
}

/// Open-circuit voltage of a freezing morning, the published figure: what may be held against a
/// controller as a limit.
pub fn open_circuit_at_freezing(voc: Volts) -> Sourced<Volts> {
    VOC_AT_FREEZING.map(|share| voc * share)
}

/// The current that a panel's circuit is taken to carry.
pub fn circuit_current(short_circuit: Amperes) -> Sourced<Amperes> {
    CIRCUIT_CURRENT.map(|share| short_circuit * share)
}

/// The least rating of conductor and device in a panel's circuit.
pub fn least_rating(short_circuit: Amperes) -> Sourced<Amperes> {
    CONTINUOUS.map(|share| circuit_current(short_circuit).value * share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_printed_counts_before_what_is_likely() {
        let silent = Panel {
            power: Some(Watts(100.0)),
            ..Panel::default()
        };
        let amps = |panel: Panel| panel.most().map(|most| most.value.0);
        let likely = 100.0 / WORKING_VOLTS.value.0 * SHORT_PER_WORKING.value;
        assert_eq!(amps(silent), Some(likely));
        let working = Panel {
            working_volts: Some(Volts(20.0)),
            ..silent
        };
        assert_eq!(amps(working), Some(5.0 * SHORT_PER_WORKING.value));
        let printed = Panel {
            short_circuit: Some(Amperes(5.8)),
            ..working
        };
        assert_eq!(amps(printed), Some(5.8));
        assert_eq!(amps(Panel::default()), None);
    }
}
