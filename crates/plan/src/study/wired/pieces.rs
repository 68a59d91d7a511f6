//! The plan in pieces that do not feel each other.
//!
//! Current flows round. So what no single terminal divides, loads and sources counted in (a block of
//! the graph), settles by itself: hulls that share one negative, and the banks of one boat that
//! meet in a bar. A moment is settled only where something is on in it, or stands otherwise than at
//! rest; what it leaves alone is settled once.

use std::{collections::BTreeMap, sync::Arc};

use ampwright_electrics::flow::{Blocks, NONE};
use petgraph::graph::{EdgeIndex, NodeIndex};

use crate::{
    study::{
        Circuit,
        moments::{Moment, Stand},
        rule::ByRule,
    },
    wiring::{Link, Rest},
};

/// What settles by itself, all in the order of the wiring.
#[derive(Default)]
pub(super) struct Piece {
    nodes: Vec<NodeIndex>,
    pub(super) edges: Vec<EdgeIndex>,
    pub(super) contacts: Vec<u32>,
    pub(super) supplies: Vec<u32>,
    pub(super) draws: Vec<u32>,
    pub(super) banks: Vec<usize>,
    /// The moments that touch it, and the first that does not: each by its number, with what is on
    /// in the piece.
    pub(super) moments: Vec<(usize, Moment)>,
}

impl Piece {
    /// A whole plan as one.
    pub(super) fn whole(circuit: &Circuit<'_>) -> Self {
        let graph = &circuit.wiring.graph;
        Self::of(
            circuit,
            graph.node_indices().collect(),
            graph.edge_indices().collect(),
        )
    }

    fn of(circuit: &Circuit<'_>, mut nodes: Vec<NodeIndex>, mut edges: Vec<EdgeIndex>) -> Self {
        nodes.sort_unstable();
        edges.sort_unstable();
        let mut piece = Self {
            nodes,
            ..Self::default()
        };
        for link in edges
            .iter()
            .filter_map(|&edge| circuit.wiring.graph.edge_weight(edge))
        {
            match *link {
                Link::Contact(index) => piece.contacts.push(index),
                Link::Supply(index) => piece.supplies.push(index),
                Link::Draw(index) => piece.draws.push(index),
                _ => {}
            }
        }
        for list in [&mut piece.contacts, &mut piece.supplies, &mut piece.draws] {
            list.sort_unstable();
        }
        let of_supply = &circuit.banks.of_supply;
        let banks = piece
            .supplies
            .iter()
            .filter_map(|supply| of_supply.get(supply));
        piece.banks = banks.map(|&bank| bank as usize).collect();
        piece.banks.sort_unstable();
        piece.banks.dedup();
        piece.edges = edges;
        piece
    }

    pub(super) fn size(&self) -> usize {
        self.nodes.len()
    }

    /// A node's number in the piece; [`NONE`] for one outside it.
    pub(super) fn id(&self, node: NodeIndex) -> u32 {
        let found = self.nodes.binary_search(&node);
        found.map_or(NONE, |place| place as u32)
    }

    /// An edge's place in [`Piece::edges`].
    pub(super) fn place(&self, edge: EdgeIndex) -> Option<usize> {
        self.edges.binary_search(&edge).ok()
    }

    /// What a moment of the plan is in the piece.
    pub(super) fn moment(&self, rule: &ByRule, index: usize) -> Option<Moment> {
        let touched = self
            .moments
            .binary_search_by_key(&index, |(known, _)| *known);
        match touched {
            Ok(place) => self.moments.get(place).map(|(_, moment)| moment.clone()),
            Err(_) => rule.moments.get(index).map(|solved| bare(&solved.moment)),
        }
    }
}

/// A moment with nothing on.
fn bare(moment: &Moment) -> Moment {
    Moment {
        label: moment.label,
        closed: moment.closed.clone(),
        only: moment.only,
        draws: Vec::new(),
        charging: Vec::new(),
    }
}

/// A plan's pieces, and how the contacts stand where loads and sources are taken alone.
pub(super) struct Pieces {
    pub(super) list: Vec<Piece>,
    pub(super) stands: Vec<(Stand, Arc<[bool]>)>,
    pub(super) charging: Vec<Arc<[bool]>>,
}

impl Pieces {
    pub(super) fn of(circuit: &Circuit<'_>, rule: &ByRule) -> Self {
        let mut list = split(circuit);
        Whose::of(circuit, &list).deal(circuit, rule, &mut list);
        let supplies = 0..circuit.wiring.supplies.len() as u32;
        let charging = circuit.states_of_charging().map(|(_, mut closed)| {
            circuit.set_charging(&mut closed, supplies.clone(), |_| false);
            closed.into()
        });
        Self {
            list,
            stands: stands(circuit, rule),
            charging: charging.collect(),
        }
    }
}

/// The blocks in which a current can flow: those that a source stands in.
fn split(circuit: &Circuit<'_>) -> Vec<Piece> {
    let graph = &circuit.wiring.graph;
    let edges = graph.raw_edges().iter();
    let ends = |edge: &petgraph::graph::Edge<Link>| {
        (edge.source().index() as u32, edge.target().index() as u32)
    };
    let ends: Vec<(u32, u32)> = edges.map(ends).collect();
    let blocks = Blocks::new(graph.node_count() as u32, &ends);
    let block = |block: u32| {
        let edges = blocks.edges(block).iter();
        let edges: Vec<EdgeIndex> = edges.map(|&edge| EdgeIndex::new(edge as usize)).collect();
        let is_source =
            |&edge: &EdgeIndex| matches!(graph.edge_weight(edge), Some(Link::Supply(_)));
        (edges.len() > 1 && edges.iter().any(is_source)).then(|| {
            let hanging = blocks.hanging(block).iter().copied();
            let nodes = hanging.chain([blocks.top(block)]);
            let nodes = nodes.map(|node| NodeIndex::new(node as usize));
            Piece::of(circuit, nodes.collect(), edges)
        })
    };
    (0..blocks.count()).filter_map(block).collect()
}

/// How the contacts stand for each load alone.
fn stands(circuit: &Circuit<'_>, rule: &ByRule) -> Vec<(Stand, Arc<[bool]>)> {
    let mut stands: Vec<(Stand, Arc<[bool]>)> = Vec::new();
    for draw in 0..circuit.wiring.draws.len() as u32 {
        let stand = rule.alone_stand(draw);
        // Few stands differ, and neighbours mostly agree.
        if !stands.iter().rev().any(|(known, _)| *known == stand) {
            let mut closed = circuit.standing(stand);
            circuit.set(&mut closed, Rest::Momentary, true);
            stands.push((stand, closed.into()));
        }
    }
    stands
}

/// The piece of each draw, supply and contact.
struct Whose {
    draws: Vec<Option<usize>>,
    supplies: Vec<Option<usize>>,
    contacts: Vec<Option<usize>>,
}

impl Whose {
    fn of(circuit: &Circuit<'_>, pieces: &[Piece]) -> Self {
        let wiring = circuit.wiring;
        let mut whose = Self {
            draws: vec![None; wiring.draws.len()],
            supplies: vec![None; wiring.supplies.len()],
            contacts: vec![None; wiring.contacts.len()],
        };
        for (index, piece) in pieces.iter().enumerate() {
            for (list, owned) in [
                (&mut whose.draws, &piece.draws),
                (&mut whose.supplies, &piece.supplies),
                (&mut whose.contacts, &piece.contacts),
            ] {
                for &one in owned {
                    list[one as usize] = Some(index);
                }
            }
        }
        whose
    }

    /// Gives each piece its moments.
    fn deal(&self, circuit: &Circuit<'_>, rule: &ByRule, pieces: &mut [Piece]) {
        let rest = circuit.at_rest();
        let mut quiet: Vec<usize> = (0..pieces.len()).collect();
        for (index, solved) in rule.moments.iter().enumerate() {
            let touched = self.touched(circuit, &rest, &solved.moment);
            quiet.retain(|&piece| {
                let idle = !touched.contains_key(&piece);
                if idle {
                    pieces[piece].moments.push((index, bare(&solved.moment)));
                }
                !idle
            });
            for (piece, moment) in touched {
                pieces[piece].moments.push((index, moment));
            }
        }
    }

    /// What a moment is in each piece in which it is not as at rest.
    fn touched(
        &self,
        circuit: &Circuit<'_>,
        rest: &[bool],
        moment: &Moment,
    ) -> BTreeMap<usize, Moment> {
        let mut touched: BTreeMap<usize, Moment> = BTreeMap::new();
        let contacts = rest.iter().zip(moment.closed.iter()).zip(&self.contacts);
        let moved = contacts.filter_map(|((rest, closed), piece)| piece.filter(|_| rest != closed));
        let supplies = (0u32..).zip(&self.supplies);
        let away = supplies.filter(|(supply, _)| !circuit.feeds(*supply, moment.only));
        for piece in moved.chain(away.filter_map(|(_, piece)| *piece)) {
            touched.entry(piece).or_insert_with(|| bare(moment));
        }
        let of = |list: &[Option<usize>], one: u32| list.get(one as usize).copied().flatten();
        for &(draw, amps) in &moment.draws {
            if let Some(piece) = of(&self.draws, draw) {
                let own = touched.entry(piece).or_insert_with(|| bare(moment));
                own.draws.push((draw, amps));
            }
        }
        for &(supply, amps) in &moment.charging {
            if let Some(piece) = of(&self.supplies, supply) {
                let own = touched.entry(piece).or_insert_with(|| bare(moment));
                own.charging.push((supply, amps));
            }
        }
        touched
    }
}
