//! Whether the blocks of a bank add up: whichever way one goes from one point to another, it is as
//! many volts.

use std::collections::VecDeque;

use rustc_hash::{FxHashMap, FxHashSet};

/// A block between two points that are joined by conductors alone.
pub(super) struct Rung {
    pub(super) block: u32,
    pub(super) minus: u32,
    pub(super) plus: u32,
    pub(super) volts: f64,
}

/// A block that does not fit where it stands.
pub(super) struct Odd {
    pub(super) block: u32,
    /// What the other blocks hold between its posts, V.
    pub(super) others: f64,
    /// One of them.
    pub(super) by: u32,
}

/// How a point was reached from the one below it in the search: its volts above the first point,
/// and the rung.
#[derive(Clone, Copy)]
struct Reached {
    volts: f64,
    by: Option<(usize, u32)>,
}

/// A bank's blocks and the points between them.
pub(super) struct Ladder {
    rungs: Vec<Rung>,
    at: FxHashMap<u32, Vec<usize>>,
    reached: FxHashMap<u32, Reached>,
}

/// Rungs one after another, each with whether it is passed from - to +.
type Round = Vec<(usize, bool)>;

/// Loops of a bank that are looked round for the block to name; beyond them it is the one that
/// closes the loop, so that many wrong ones cost no more.
const MOST_LOOPS: usize = 16;

impl Ladder {
    pub(super) fn of(rungs: Vec<Rung>) -> Self {
        let mut at: FxHashMap<u32, Vec<usize>> = FxHashMap::default();
        for (index, rung) in rungs.iter().enumerate() {
            // A block whose posts are joined is a short, and found as one.
            if rung.minus != rung.plus {
                at.entry(rung.minus).or_default().push(index);
                at.entry(rung.plus).or_default().push(index);
            }
        }
        Self {
            rungs,
            at,
            reached: FxHashMap::default(),
        }
    }

    /// The blocks whose own volts are not of one class with what the others hold between their posts.
    pub(super) fn odd(mut self, same: fn(f64, f64) -> bool) -> Vec<Odd> {
        let Some(first) = self.rungs.first().map(|rung| rung.minus) else {
            return Vec::new();
        };
        let closing = self.climb(first);
        let wrong = closing
            .into_iter()
            .filter(|&index| !same(self.rungs[index].volts, self.between(index)));
        let mut named = FxHashSet::default();
        let odd = wrong.enumerate().map(|(count, index)| {
            if count < MOST_LOOPS {
                self.minority(index)
            } else {
                self.closer(index)
            }
        });
        odd.filter(|odd| named.insert(odd.block)).collect()
    }

    /// Reaches every point from the first; what is left are the rungs that close a loop.
    fn climb(&mut self, first: u32) -> Vec<usize> {
        let start = Reached {
            volts: 0.0,
            by: None,
        };
        self.reached.insert(first, start);
        let mut queue = VecDeque::from([(first, 0.0)]);
        let mut done: FxHashSet<usize> = FxHashSet::default();
        let mut closing = Vec::new();
        while let Some((point, volts)) = queue.pop_front() {
            for &index in self.at.get(&point).into_iter().flatten() {
                if !done.insert(index) {
                    continue;
                }
                let rung = &self.rungs[index];
                let (other, volts) = if rung.minus == point {
                    (rung.plus, volts + rung.volts)
                } else {
                    (rung.minus, volts - rung.volts)
                };
                if self.reached.contains_key(&other) {
                    closing.push(index);
                    continue;
                }
                let by = Some((index, point));
                self.reached.insert(other, Reached { volts, by });
                queue.push_back((other, volts));
            }
        }
        closing
    }

    fn volts(&self, point: u32) -> f64 {
        self.reached
            .get(&point)
            .map_or(0.0, |reached| reached.volts)
    }

    fn between(&self, index: usize) -> f64 {
        let rung = &self.rungs[index];
        self.volts(rung.plus) - self.volts(rung.minus)
    }

    /// The block that closes a loop, as the odd one.
    fn closer(&self, index: usize) -> Odd {
        let rung = &self.rungs[index];
        let by = [rung.plus, rung.minus]
            .into_iter()
            .find_map(|point| self.reached.get(&point)?.by)
            .map_or(rung.block, |(by, _)| self.rungs[by].block);
        Odd {
            block: rung.block,
            others: self.between(index),
            by,
        }
    }

    /// Going round a loop, the one block that is passed the other way than all others; where there
    /// is no such one, the block that closes it.
    fn minority(&self, index: usize) -> Odd {
        let mut round = self.round(index);
        round.push((index, true));
        let (with, against): (Round, Round) = round.iter().partition(|(_, along)| *along);
        let alone = match (with.len(), against.len()) {
            (1, 2..) => with[0].0,
            (2.., 1) => against[0].0,
            _ => return self.closer(index),
        };
        let sum: f64 = round
            .iter()
            .map(|&(at, along)| {
                if along {
                    self.rungs[at].volts
                } else {
                    -self.rungs[at].volts
                }
            })
            .sum();
        let own = self.rungs[alone].volts;
        let others = if with.len() == 1 {
            own - sum
        } else {
            own + sum
        };
        let by = round
            .iter()
            .map(|&(at, _)| at)
            .filter(|&at| at != alone)
            .min();
        Odd {
            block: self.rungs[alone].block,
            others,
            by: by.map_or(self.rungs[alone].block, |at| self.rungs[at].block),
        }
    }

    /// The rungs from a closing rung's + back to its -, each with whether it is passed from - to +.
    fn round(&self, index: usize) -> Round {
        let rung = &self.rungs[index];
        let (mut up, mut down) = (self.to_first(rung.plus), self.to_first(rung.minus));
        while up.last().is_some() && up.last().map(|step| step.0) == down.last().map(|step| step.0)
        {
            up.pop();
            down.pop();
        }
        up.extend(down.into_iter().rev().map(|(at, along)| (at, !along)));
        up
    }

    fn to_first(&self, from: u32) -> Round {
        let mut steps = Vec::new();
        let mut point = from;
        while let Some((index, before)) = self.reached.get(&point).and_then(|reached| reached.by) {
            steps.push((index, self.rungs[index].minus == point));
            point = before;
        }
        steps
    }
}
