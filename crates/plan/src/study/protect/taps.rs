//! Short taps: pieces of the live net whose every end is a device.

use petgraph::graph::{EdgeIndex, NodeIndex};

use super::judge::Judge;
use crate::wiring::Link;

/// A part of the live net whose every end is a device: how far they stand, and what they let through together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Tap {
    pub(super) metres: f64,
    pub(super) rating: f64,
    pub(super) device: Option<u32>,
}

impl Tap {
    const NOTHING: Self = Self {
        metres: 0.0,
        rating: 0.0,
        device: None,
    };

    fn with(self, other: Self) -> Self {
        Self {
            metres: self.metres.max(other.metres),
            rating: self.rating + other.rating,
            device: self.device.or(other.device),
        }
    }
}

impl<'a> Judge<'a> {
    fn up(&self, node: NodeIndex) -> Option<(NodeIndex, &'a Link)> {
        let reach = self.circuit.live[node.index()]?;
        Some((
            reach.from,
            self.circuit.wiring.graph.edge_weight(reach.by?)?,
        ))
    }

    /// A tap begins where it leaves something thicker, or something that its protection suits.
    pub(super) fn measure_above(&mut self, order: &[NodeIndex]) {
        // Metres of over-loaded conductor that lead to each node, and the ceiling of the last.
        let mut piece = vec![(0.0, f64::INFINITY); self.circuit.live.len()];
        for &node in order {
            let Some((from, link)) = self.up(node) else {
                continue;
            };
            piece[node.index()] = match link {
                Link::Conductor(index) => self.piece_beyond(*index, piece[from.index()]),
                Link::Contact(index)
                    if self.circuit.wiring.contacts[*index as usize]
                        .protects
                        .is_some() =>
                {
                    (0.0, f64::INFINITY)
                }
                _ => piece[from.index()],
            };
        }
    }

    fn piece_beyond(&mut self, index: u32, (metres, ceiling): (f64, f64)) -> (f64, f64) {
        let own = self.allowed(index).strict();
        let above = if ceiling > own + 1e-6 { 0.0 } else { metres };
        self.above[index as usize] = above;
        if !self.over[index as usize] {
            return (0.0, f64::INFINITY);
        }
        (
            above
                + self.circuit.wiring.conductors[index as usize]
                    .metres
                    .unwrap_or(0.0),
            own,
        )
    }

    /// From the far ends back: where every way on ends at a device.
    pub(super) fn find_taps(&self, order: &[NodeIndex]) -> Vec<Option<Tap>> {
        let mut taps = vec![Some(Tap::NOTHING); self.circuit.live.len()];
        self.close_taps(&mut taps);
        for &node in order.iter().rev() {
            let Some((from, link)) = self.up(node) else {
                continue;
            };
            let own = match link {
                Link::Contact(index) => self.tap_of_contact(*index, taps[node.index()]),
                Link::Conductor(index) => taps[node.index()].map(|tap| Tap {
                    metres: tap.metres
                        + self.circuit.wiring.conductors[*index as usize]
                            .metres
                            .unwrap_or(0.0),
                    ..tap
                }),
                _ => None,
            };
            taps[from.index()] = taps[from.index()].zip(own).map(|(tap, own)| tap.with(own));
        }
        taps
    }

    fn tap_of_contact(&self, index: u32, beyond: Option<Tap>) -> Option<Tap> {
        match self.circuit.wiring.contacts[index as usize].protects {
            Some(rating) => Some(Tap {
                metres: 0.0,
                rating,
                device: Some(index),
            }),
            None => beyond,
        }
    }

    /// Where something draws, supplies, or a loop closes, a piece does not end at a device.
    fn close_taps(&self, taps: &mut [Option<Tap>]) {
        let live = &self.circuit.live;
        for (index, edge) in self.circuit.wiring.graph.raw_edges().iter().enumerate() {
            let ends = [edge.source(), edge.target()];
            let tree = ends.iter().any(|end| {
                live[end.index()].and_then(|reach| reach.by) == Some(EdgeIndex::new(index))
            });
            let closes = match edge.weight {
                Link::Draw(_) | Link::Supply(_) | Link::Gap => true,
                _ => !tree && ends.iter().all(|end| live[end.index()].is_some()),
            };
            if closes {
                for end in ends {
                    taps[end.index()] = None;
                }
            }
        }
    }

    /// Where a conductor's far end, away from the source, leads only to devices.
    pub(super) fn tap_below(&self, conductor: u32) -> Option<Tap> {
        let wired = &self.circuit.wiring.conductors[conductor as usize];
        let far = [wired.from, wired.to].into_iter().find(|end| {
            self.circuit.live[end.index()].and_then(|reach| reach.by) == Some(wired.edge)
        })?;
        self.taps[far.index()].filter(|tap| tap.device.is_some())
    }
}
