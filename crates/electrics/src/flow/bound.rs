//! Blocks too large for maximum flows at every edge: the safe reading instead.
//!
//! No flow to a node exceeds what all others feed in, nor what the devices round its zone let
//! through. Both are known in one pass. They may be above the maximum flow, never below: a sound
//! boat of a thousand devices in one ring may get an advice too many.

use super::block::Block;
use super::feed::{Feed, all_but_each};
use super::{NONE, Sustained};

/// Classes of links x links for which the flows are computed: a ring of five hundred devices, a
/// fifth of a second.
const BUDGET: usize = 300_000;

impl Block {
    /// True where maximum flows would take too long.
    pub(super) fn is_large(&self) -> bool {
        let links = self.links.len();
        let classes = || {
            (0u32..)
                .zip(self.classes())
                .filter(|(k, class)| k == class)
                .count()
        };
        links.saturating_mul(links) > BUDGET && links.saturating_mul(classes()) > BUDGET
    }

    /// At least what reaches each node from the others.
    pub(super) fn give_safely(&self) -> Vec<Feed> {
        let zone = self.zones(NONE);
        let (round, ways) = (self.rounds(&zone), self.ways(NONE, NONE));
        let mut gives = all_but_each(&self.feeds);
        for members in self.members(&zone) {
            let own: Vec<Feed> = members.iter().map(|&n| self.feeds[n as usize]).collect();
            for (&n, beside) in members.iter().zip(all_but_each(&own)) {
                let most = beside.amps + round[zone[n as usize] as usize];
                let give = &mut gives[n as usize];
                *give = Feed {
                    amps: give.amps.min(most),
                    way: ways[n as usize],
                };
            }
        }
        gives
    }

    /// At least what each link must bear.
    pub(super) fn sustained_safely(&self) -> Vec<Sustained> {
        let total: f64 = self.feeds.iter().map(|f| f.amps).sum();
        let at: Vec<Feed> = self
            .feeds
            .iter()
            .zip(self.give_safely())
            .map(|(f, g)| f.and(g))
            .collect();
        let bear = |link: &super::block::Link| {
            let (a, b) = (at[link.a as usize], at[link.b as usize]);
            let (amps, worse) = if b.amps > a.amps {
                (b.amps, b)
            } else {
                (a.amps, a)
            };
            let named = worse
                .way
                .device
                .filter(|d| amps < f64::INFINITY && d.1 != link.edge);
            let ring_amps = amps.max((a.amps + b.amps).min(total));
            Sustained {
                amps,
                ring_amps,
                device: named.map(|d| d.1),
            }
        };
        self.links.iter().map(bear).collect()
    }

    /// What the links round each zone let into it, by zone.
    fn rounds(&self, zone: &[u32]) -> Vec<f64> {
        let mut round = vec![0.0; zone.len()];
        for link in &self.links {
            for (from, to) in link
                .arcs()
                .map(|(f, t)| (zone[f as usize], zone[t as usize]))
            {
                round[to as usize] += if from == to { 0.0 } else { link.cap };
            }
        }
        round
    }
}

#[cfg(test)]
mod tests {
    use super::super::block::Link;
    use super::*;

    /// A ring of devices with two sources on it.
    fn ring(devices: u32) -> Block {
        let link = |k: u32| Link {
            a: k,
            b: (k + 1) % devices,
            edge: k,
            cap: f64::from(10 + k % 7),
            one_way: false,
        };
        let mut feeds = vec![Feed::NONE; devices as usize];
        feeds[0] = Feed::source(f64::INFINITY);
        feeds[devices as usize / 3] = Feed::source(20.0);
        Block {
            feeds,
            links: (0..devices).map(link).collect(),
        }
    }

    #[test]
    fn the_safe_reading_is_never_below_the_flow() {
        let ring = ring(30);
        assert!(!ring.is_large());
        for (safe, exact) in ring.sustained_safely().iter().zip(ring.sustained()) {
            assert!(
                safe.amps >= exact.amps && safe.ring_amps >= exact.ring_amps,
                "{safe:?} {exact:?}"
            );
        }
        for (safe, exact) in ring.give_safely().iter().zip(ring.give_each()) {
            assert!(safe.amps >= exact.amps, "{safe:?} {exact:?}");
        }
    }

    #[test]
    fn only_many_devices_make_a_block_large() {
        assert!(ring(1000).is_large());
        let mut conductors = ring(1000);
        conductors
            .links
            .iter_mut()
            .for_each(|l| l.cap = f64::INFINITY);
        assert!(!conductors.is_large());
    }
}
