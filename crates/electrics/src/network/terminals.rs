//! A network seen from two of its nodes: Thévenin's volts behind Thévenin's ohms.
//!
//! What one load alone gets, and what one source alone gives, follow in closed form: a plan of ten
//! thousand loads needs one solution and its resistances instead of ten thousand solutions.

use super::Law;

/// A network as two of its nodes show it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Terminals {
    /// Volts between them with nothing joined to them.
    pub volts: f64,
    /// Ohms behind those volts.
    pub ohms: f64,
}

/// What a load gets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fed {
    /// Volts across it.
    pub volts: f64,
    /// Amperes through it.
    pub amps: f64,
}

impl Terminals {
    /// What a load here alone gets; None where the network can never give it what it asks for, or
    /// gives nothing at all.
    ///
    /// A constant power has two solutions below the most that can be delivered; a load that is
    /// switched on comes to rest at the upper one.
    ///
    /// ```
    /// use ampwright_electrics::network::{Law, Terminals};
    ///
    /// // 12 V behind 0.5 ohm gives at most 12² / (4 x 0.5) = 72 W.
    /// let far = Terminals { volts: 12.0, ohms: 0.5 };
    /// assert_eq!(far.most_watts(), 72.0);
    /// assert_eq!(far.feed(Law::Power(64.0)).map(|fed| fed.volts), Some(8.0));
    /// assert_eq!(far.feed(Law::Power(73.0)), None);
    /// ```
    pub fn feed(self, law: Law) -> Option<Fed> {
        let Self { volts, ohms } = self;
        if !(volts > 0.0 && volts.is_finite() && ohms >= 0.0 && ohms.is_finite()) {
            return None;
        }
        let fed = match law {
            Law::Current(amps) => Fed {
                volts: volts - amps * ohms,
                amps,
            },
            Law::Power(watts) => {
                let root = (volts * volts - 4.0 * ohms * watts).sqrt();
                let volts = f64::midpoint(volts, root);
                Fed {
                    volts,
                    amps: watts / volts,
                }
            }
            Law::Resistance(load) => {
                let amps = volts / (load + ohms);
                Fed {
                    volts: amps * load,
                    amps,
                }
            }
        };
        (fed.volts > 0.0 && fed.amps.is_finite()).then_some(fed)
    }

    /// The most power that can be taken here; infinite where nothing limits it.
    pub fn most_watts(self) -> f64 {
        self.volts * self.volts / (4.0 * self.ohms)
    }

    /// What a source here alone gives that holds `volts` up to `amps`, A; never less than nothing.
    pub fn charge(self, volts: f64, amps: f64) -> f64 {
        let lacks = (volts - self.volts).max(0.0);
        if lacks >= self.ohms * amps {
            amps
        } else {
            lacks / self.ohms
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Branch, Limited, Load, Solver, settle};
    use super::*;

    /// 12.5 V behind 0.1 ohm, and 0.2 ohm each way to the load.
    fn circuit() -> Vec<Branch> {
        let branch = |from, to, ohms, emf| Branch {
            from,
            to,
            ohms,
            emf,
        };
        vec![
            branch(0, 1, 0.1, 12.5),
            branch(1, 2, 0.2, 0.0),
            branch(3, 0, 0.2, 0.0),
        ]
    }

    fn seen() -> Terminals {
        let solver = Solver::new(4, &circuit());
        let open = solver.solve(&[]);
        Terminals {
            volts: open.volts[2] - open.volts[3],
            ohms: solver.resistances(&[(2, 3)])[0].high,
        }
    }

    #[test]
    fn a_load_alone_gets_what_the_whole_network_gives_it() {
        for law in [
            Law::Current(5.0),
            Law::Power(50.0),
            Law::Power(78.0),
            Law::Resistance(2.0),
        ] {
            let load = Load {
                plus: 2,
                minus: 3,
                law,
            };
            let whole = settle(4, &circuit(), &[load], &[]);
            let fed = seen().feed(law).unwrap_or(Fed {
                volts: 0.0,
                amps: 0.0,
            });
            assert!((fed.volts - whole.load_volts[0]).abs() < 1e-9, "{law:?}");
            assert!((fed.amps - whole.load_amps[0]).abs() < 1e-9, "{law:?}");
        }
        // 12.5² / (4 x 0.5) = 78.125 W.
        assert!((seen().most_watts() - 78.125).abs() < 1e-9);
        assert_eq!(seen().feed(Law::Power(78.2)), None);
        assert_eq!(seen().feed(Law::Current(25.0)), None);
    }

    #[test]
    fn a_source_alone_gives_what_the_whole_network_takes() {
        for (volts, amps) in [(14.5, 10.0), (14.5, 2.0), (12.0, 10.0)] {
            let source = Limited {
                plus: 2,
                minus: 3,
                volts,
                amps,
            };
            let whole = settle(4, &circuit(), &[], &[source]);
            let gives = seen().charge(volts, amps);
            assert!((gives - whole.source_amps[0]).abs() < 1e-9, "{volts} V");
        }
    }

    #[test]
    fn absurd_terminals_feed_nothing() {
        for (volts, ohms) in [(f64::NAN, 1.0), (12.0, f64::INFINITY), (-12.0, 1.0)] {
            assert_eq!(Terminals { volts, ohms }.feed(Law::Current(1.0)), None);
        }
        let seen = Terminals {
            volts: 12.0,
            ohms: 0.0,
        };
        for law in [Law::Power(f64::NAN), Law::Current(f64::INFINITY)] {
            assert_eq!(seen.feed(law), None);
        }
    }
}
