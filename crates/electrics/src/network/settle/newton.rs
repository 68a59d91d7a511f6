//! Newton's method for constant-power loads close to the most their cables can carry.
//!
//! With `V` the volts at the loads, `i = P / V` and `R` the ohms between the loads, each step
//! solves `(1 - R D) d = F` with `D = P / V^2`, in the symmetric form `(1 - Q R Q) y = Q F`, `Q`
//! the root of `D`, by conjugate gradients; each product with `R` is one near-linear solution of
//! the network. From above, the steps fall to the upper solution without passing it. Where the
//! matrix is no longer positive definite there is none.

use super::Law;
use super::attempt::{Attempt, Outcome, REST};

/// Newton steps, and conjugate-gradient steps in each, at most.
const STEPS: u32 = 60;
const INNER: u32 = 60;

/// The inner solution need not be better than this: the next step mends it.
const INNER_REST: f64 = 1e-10;

impl Attempt<'_> {
    /// Continues from `volts`, which must not lie below the solution.
    pub(super) fn newton(&mut self, mut volts: Vec<f64>, rounds: &mut u32) -> Outcome {
        for _ in 0..STEPS {
            let amps = self.drawn(&volts);
            let solved = self.solve(&amps, rounds);
            self.set_amps(amps);
            if let Some(port) = self.overloaded() {
                return Outcome::Fails(self.across(port));
            }
            let excess: Vec<f64> = volts.iter().zip(&solved).map(|(v, s)| v - s).collect();
            let at_rest = self.is_at_rest();
            if at_rest && self.largest_part(excess.iter().copied()) <= REST {
                return if self.is_sound() {
                    Outcome::Settled
                } else {
                    Outcome::Exhausted
                };
            }
            let Some(step) = self.step(&volts, &excess, rounds) else {
                return Outcome::Fails(self.failing(&volts));
            };
            let next: Vec<f64> = volts.iter().zip(&step).map(|(v, s)| v - s).collect();
            if next.iter().any(|v| v.is_nan() || *v <= 0.0) {
                return Outcome::Fails(self.failing(&volts));
            }
            volts = next;
        }
        Outcome::Fails(self.failing(&volts))
    }

    /// The Newton step, None where the matrix is not positive definite.
    fn step(&mut self, volts: &[f64], excess: &[f64], rounds: &mut u32) -> Option<Vec<f64>> {
        let root = |(a, v): (&super::attempt::Active, &f64)| match a.law {
            Law::Power(watts) => watts.sqrt() / v,
            _ => 0.0,
        };
        let q: Vec<f64> = self.active.iter().zip(volts).map(root).collect();
        let mut rest = times(&q, excess);
        let mut y = vec![0.0; rest.len()];
        let mut along = rest.clone();
        let mut size = dot(&rest, &rest);
        let enough = size * INNER_REST * INNER_REST;
        for _ in 0..INNER {
            if size <= enough {
                break;
            }
            let fall = self.fall(&times(&q, &along), rounds);
            let image: Vec<f64> = along
                .iter()
                .zip(times(&q, &fall))
                .map(|(a, f)| a - f)
                .collect();
            let curvature = dot(&along, &image);
            if curvature.is_nan() || curvature <= 0.0 {
                return None;
            }
            add(&mut y, size / curvature, &along);
            add(&mut rest, -size / curvature, &image);
            let before = std::mem::replace(&mut size, dot(&rest, &rest));
            along = rest
                .iter()
                .zip(&along)
                .map(|(r, a)| r + size / before * a)
                .collect();
        }
        let fall = self.fall(&times(&q, &y), rounds);
        Some(excess.iter().zip(fall).map(|(e, f)| e + f).collect())
    }
}

fn times(a: &[f64], b: &[f64]) -> Vec<f64> {
    a.iter().zip(b).map(|(x, y)| x * y).collect()
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

fn add(to: &mut [f64], part: f64, of: &[f64]) {
    for (t, o) in to.iter_mut().zip(of) {
        *t += part * o;
    }
}
