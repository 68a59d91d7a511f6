//! The largest current of each branch of a block over what crosses it, one crossing at a time.
//!
//! Along a chain a crossing's current changes only where it enters or leaves: spans of branches,
//! painted largest first.

use super::alone::Alone;
use super::chains::{Chains, Seat};
use super::kernel::Kernel;
use super::routes::Crossing;

/// Neighbouring branches of a chain that carry the same.
#[derive(Debug, Clone, Copy)]
struct Span {
    start: u32,
    end: u32,
    amps: f64,
    pair: u32,
}

#[derive(Debug)]
pub(super) struct Spans<'a> {
    chains: &'a Chains,
    kernel: &'a Kernel,
    list: Vec<Span>,
    /// For each chain the largest of what passes all of it.
    whole: Vec<Span>,
    share: Vec<f64>,
}

impl<'a> Spans<'a> {
    pub(super) fn new(chains: &'a Chains, kernel: &'a Kernel) -> Spans<'a> {
        let whole = |chain: &super::chains::Chain| Span {
            start: chain.start,
            end: chain.end,
            amps: 0.0,
            pair: 0,
        };
        Spans {
            chains,
            kernel,
            list: Vec::new(),
            whole: chains.list.iter().map(whole).collect(),
            share: vec![0.0; chains.list.len()],
        }
    }

    pub(super) fn add(&mut self, crossing: &Crossing, from: Seat, to: Seat) {
        self.kernel.share(self.chains, from, to, &mut self.share);
        let cuts = [Cut::new(from, 1.0), Cut::new(to, -1.0)];
        for (chain, (whole, &share)) in (0u32..).zip(self.whole.iter_mut().zip(&self.share)) {
            if cuts.iter().any(|cut| cut.chain == Some(chain)) {
                continue;
            }
            let amps = crossing.part(share);
            if amps > whole.amps {
                (whole.amps, whole.pair) = (amps, crossing.pair);
            }
        }
        self.cut(crossing, cuts[0], cuts);
        if cuts[1].chain != cuts[0].chain {
            self.cut(crossing, cuts[1], cuts);
        }
    }

    /// Adds the spans of one cut's chain.
    fn cut(&mut self, crossing: &Crossing, of: Cut, cuts: [Cut; 2]) {
        let Some(chain) = of.chain else { return };
        let (share, whole) = (self.share[chain as usize], self.whole[chain as usize]);
        let cuts = cuts.map(|cut| {
            if cut.chain == of.chain {
                cut
            } else {
                Cut::NONE
            }
        });
        let (first, second) = (
            cuts[0].after.min(cuts[1].after),
            cuts[0].after.max(cuts[1].after),
        );
        let length = whole.end - whole.start;
        for (start, end) in [(0, first), (first, second), (second, length)] {
            if start < end {
                let amps = share + cuts[0].amps(start) + cuts[1].amps(start);
                self.list.push(Span {
                    start: whole.start + start,
                    end: whole.start + end,
                    amps: crossing.part(amps),
                    pair: crossing.pair,
                });
            }
        }
    }

    /// Gives each branch its largest; `core` holds the branch of each edge.
    pub(super) fn paint(mut self, core: &[u32], out: &mut Alone) {
        self.list.append(&mut self.whole);
        self.list.retain(|span| span.amps > 0.0);
        self.list
            .sort_by(|a, b| b.amps.total_cmp(&a.amps).then(a.pair.cmp(&b.pair)));
        let edges = &self.chains.edges;
        let mut next: Vec<u32> = (0..=edges.len() as u32).collect();
        for span in &self.list {
            let mut at = bare(&mut next, span.start);
            while at < span.end {
                out.raise(core[edges[at as usize] as usize], span.amps, span.pair);
                next[at as usize] = at + 1;
                at = bare(&mut next, at);
            }
        }
    }
}

/// The first edge from `at` on that is not painted, with path halving.
fn bare(next: &mut [u32], mut at: u32) -> u32 {
    while next[at as usize] != at {
        let over = next[next[at as usize] as usize];
        next[at as usize] = over;
        at = over;
    }
    at
}

/// A current entering (or leaving) within a chain.
#[derive(Debug, Clone, Copy)]
struct Cut {
    chain: Option<u32>,
    after: u32,
    part: f64,
    sign: f64,
}

impl Cut {
    const NONE: Cut = Cut {
        chain: None,
        after: 0,
        part: 0.0,
        sign: 0.0,
    };

    fn new(seat: Seat, sign: f64) -> Cut {
        match seat {
            Seat::Joint(_) => Cut::NONE,
            Seat::Inside { chain, after, part } => Cut {
                chain: Some(chain),
                after,
                part,
                sign,
            },
        }
    }

    /// What one ampere sends along the chain's edge behind `edge` others, both ends of the chain
    /// at one potential.
    fn amps(self, edge: u32) -> f64 {
        let along = if edge < self.after {
            self.part - 1.0
        } else {
            self.part
        };
        self.sign * along
    }
}
