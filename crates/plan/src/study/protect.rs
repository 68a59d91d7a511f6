//! What protects each conductor: sustained currents, distances from the posts, short taps.
//!
//! Everything here takes all contacts as closed and all selector positions at once. A stop that
//! could not be read ends the live net: what lies beyond it is not judged, and a finding says so.

use ampwright_electrics::{
    flow::{Edge, LiveNet, Sustained, distances, sustained},
    rules::Lie,
};
use petgraph::graph::{EdgeIndex, NodeIndex};
use rustc_hash::FxHashSet;

use super::{
    Circuit,
    cables::Cable,
    reach::{Direction, Net, search, way_to},
    returns,
};
use crate::wiring::{Contact, DrawKind, Link, SupplyKind, Term};

/// A current that one device lets through where it should not.
#[derive(Clone, Debug, PartialEq)]
pub struct Exceeded {
    /// The conductor nearest to the device.
    pub conductor: u32,
    /// What can flow for ever, A.
    pub amps: f64,
    /// What the rule allows on the conductor, A.
    pub allowed: f64,
    /// The device that the figure comes from, an index into the wiring's contacts.
    pub device: Option<u32>,
    /// More conductors of the same run behind the same device.
    pub others: Vec<u32>,
    /// Only the sum of both ends of a ring exceeds: no single section ever carries it.
    pub ring_only: bool,
}

/// A conductor that nothing protects.
#[derive(Clone, Debug, PartialEq)]
pub struct Unfused {
    /// The first conductor past the distance.
    pub conductor: u32,
    /// Its farthest point from a battery's post along the cable, m.
    pub farthest: f64,
    /// The distance that applies to it, m.
    pub allowed: f64,
    /// The post.
    pub post: NodeIndex,
    /// The others that the same device would protect.
    pub others: Vec<u32>,
    /// The nearest device further on, an index into the wiring's contacts, and how far from the post it stands, m.
    pub lost: Option<(u32, f64)>,
    /// Only just past: bare, at most 0.20 m; or a charging lead close to a cranking one.
    pub advice: bool,
}

/// What protects the conductors.
#[derive(Clone, Debug, Default)]
pub struct Protection {
    /// For each conductor of the live net what can flow for ever.
    pub sustained: Vec<Option<Sustained>>,
    /// For each conductor of the home net what can flow for ever, A, and the device behind the figure.
    pub returns: Vec<Option<(f64, Option<u32>)>>,
    /// For each node its distance from a battery's post with no device between, m.
    pub from_post: Vec<Option<f64>>,
    /// Conductors exempt as cranking feeds.
    pub cranking: FxHashSet<u32>,
    /// What nothing protects, one for each missing device.
    pub unfused: Vec<Unfused>,
    /// What a device does not protect, one for each device and run.
    pub exceeded: Vec<Exceeded>,
}

/// The live net as the flow algorithms want it.
pub(super) struct Flow {
    pub(super) edges: Vec<Edge>,
    /// For each of them its edge in the graph.
    pub(super) of: Vec<EdgeIndex>,
    pub(super) lengths: Vec<f64>,
}

impl Protection {
    /// Computes it.
    pub fn of(circuit: &Circuit<'_>, cables: &[Cable]) -> Self {
        let flow = circuit.live_flow();
        let sources: Vec<(u32, f64)> = circuit
            .live_sources()
            .map(|(node, amps, _)| (node.index() as u32, amps))
            .collect();
        let nodes = circuit.wiring.graph.node_count() as u32;
        let net = LiveNet {
            nodes,
            edges: &flow.edges,
            sources: &sources,
        };
        let found = sustained(&net);
        let mut protection = Self::default();
        protection.sustained = circuit.per_conductor(&flow, &found);
        let posts: Vec<u32> = circuit
            .battery_posts()
            .map(|node| node.index() as u32)
            .collect();
        protection.from_post = distances(&net, &flow.lengths, &posts);
        let unfused_net = circuit.unfused_net();
        protection.cranking = circuit.cranking(&unfused_net);
        let judge = Judge::new(circuit, cables, &protection, &unfused_net);
        let returns = returns::returns(circuit, &judge.sustained_but_taps());
        let (unfused, exceeded) = judge.verdict(&returns);
        Self {
            returns,
            unfused,
            exceeded,
            ..protection
        }
    }
}

impl Circuit<'_> {
    /// Every conductor and contact of the live net; what an unread stop leads on to is left out.
    pub(super) fn live_flow(&self) -> Flow {
        let mut flow = Flow {
            edges: Vec::new(),
            of: Vec::new(),
            lengths: Vec::new(),
        };
        for (index, edge) in self.wiring.graph.raw_edges().iter().enumerate() {
            let (a, b) = (edge.source(), edge.target());
            let (cap, one_way, metres) = match edge.weight {
                Link::Conductor(conductor) if self.wiring.graph[a].term != Term::Unknown => (
                    f64::INFINITY,
                    false,
                    self.wiring.conductors[conductor as usize]
                        .metres
                        .unwrap_or(0.0),
                ),
                Link::Contact(contact) => {
                    let contact = &self.wiring.contacts[contact as usize];
                    (
                        contact.protects.unwrap_or(f64::INFINITY),
                        contact.one_way,
                        0.0,
                    )
                }
                _ => continue,
            };
            if self.live[a.index()].is_none() || self.live[b.index()].is_none() {
                continue;
            }
            let conductor = matches!(edge.weight, Link::Conductor(_));
            flow.edges.push(Edge {
                a: a.index() as u32,
                b: b.index() as u32,
                cap,
                one_way,
                conductor,
            });
            flow.of.push(EdgeIndex::new(index));
            flow.lengths.push(metres);
        }
        flow
    }

    /// Each source's `+`, the most it gives for ever, and its supply.
    pub(super) fn live_sources(&self) -> impl Iterator<Item = (NodeIndex, f64, u32)> {
        self.wiring
            .supplies
            .iter()
            .enumerate()
            .map(|(index, supply)| {
                (
                    supply.plus,
                    supply.amps.min(self.controller_most(supply)),
                    index as u32,
                )
            })
    }

    /// Every battery's `+`.
    pub(super) fn battery_posts(&self) -> impl Iterator<Item = NodeIndex> {
        self.wiring
            .supplies
            .iter()
            .filter(|supply| supply.kind == SupplyKind::Battery)
            .map(|supply| supply.plus)
    }

    fn per_conductor(&self, flow: &Flow, found: &[Sustained]) -> Vec<Option<Sustained>> {
        let mut list = vec![None; self.wiring.conductors.len()];
        for (edge, &graph_edge) in flow.of.iter().enumerate() {
            let Some(Link::Conductor(conductor)) = self.wiring.graph.edge_weight(graph_edge) else {
                continue;
            };
            let device = found[edge]
                .device
                .and_then(|edge| self.contact_of(flow.of[edge as usize]));
            list[*conductor as usize] = Some(Sustained {
                device,
                ..found[edge]
            });
        }
        list
    }

    fn contact_of(&self, edge: EdgeIndex) -> Option<u32> {
        match self.wiring.graph.edge_weight(edge)? {
            Link::Contact(index) => Some(*index),
            _ => None,
        }
    }

    /// What a battery's post reaches with no protective device between.
    pub(super) fn unfused_net(&self) -> Net {
        let posts = self
            .wiring
            .supplies
            .iter()
            .enumerate()
            .filter(|(_, supply)| supply.kind == SupplyKind::Battery);
        let starts: Vec<(NodeIndex, u32, f64)> = posts
            .map(|(index, supply)| (supply.plus, index as u32, 0.0))
            .collect();
        search(self.wiring, &starts, Direction::Out, |_, link| match link {
            Link::Conductor(index) => {
                self.wiring.graph[self.wiring.conductors[*index as usize].from].term
                    != Term::Unknown
            }
            Link::Contact(index) => self.wiring.contacts[*index as usize].protects.is_none(),
            _ => false,
        })
    }

    /// The shortest way without a device from a battery's post to each starter.
    fn cranking(&self, unfused: &Net) -> FxHashSet<u32> {
        let starters = self
            .wiring
            .draws
            .iter()
            .enumerate()
            .filter(|(index, draw)| {
                draw.kind == DrawKind::Load
                    && self.class[*index] == ampwright_electrics::rules::LoadClass::Starter
            });
        let mut cranking = FxHashSet::default();
        for (_, starter) in starters {
            cranking.extend(
                way_to(unfused, starter.plus).filter_map(|(edge, _)| self.conductor_of(edge)),
            );
        }
        cranking
    }

    /// The conductor of an edge.
    pub fn conductor_of(&self, edge: EdgeIndex) -> Option<u32> {
        match self.wiring.graph.edge_weight(edge)? {
            Link::Conductor(index) => Some(*index),
            _ => None,
        }
    }

    /// How a conductor lies, for the distance that applies to it.
    pub fn lie(&self, conductor: u32) -> Lie {
        let conductor = &self.wiring.conductors[conductor as usize];
        let on_post =
            |node: NodeIndex| self.kind_at(node) == Some(ampwright_notation::Kind::Battery);
        match (
            conductor.sheathed,
            on_post(conductor.from) || on_post(conductor.to),
        ) {
            (false, _) => Lie::Bare,
            (true, false) => Lie::Sheathed,
            (true, true) => Lie::SheathedAtPost,
        }
    }

    /// The distance within which a conductor may go without a device, m.
    pub fn distance(&self, conductor: u32) -> f64 {
        self.rules
            .distance(self.lie(conductor))
            .map_or(0.0, |distance| distance.value.0)
    }
}

/// A part of the live net whose every end is a device: how far they stand, and what they let through together.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Tap {
    metres: f64,
    rating: f64,
    device: Option<u32>,
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

/// Holds every live conductor against what protects it.
struct Judge<'a> {
    circuit: &'a Circuit<'a>,
    cables: &'a [Cable],
    protection: &'a Protection,
    unfused: &'a Net,
    taps: Vec<Option<Tap>>,
    /// Conductors whose sustained current is over their ceiling.
    over: Vec<bool>,
    /// For each conductor metres of over-loaded conductor above it in one piece.
    above: Vec<f64>,
}

impl<'a> Judge<'a> {
    fn new(
        circuit: &'a Circuit<'a>,
        cables: &'a [Cable],
        protection: &'a Protection,
        unfused: &'a Net,
    ) -> Self {
        let count = circuit.wiring.conductors.len();
        let mut judge = Self {
            circuit,
            cables,
            protection,
            unfused,
            taps: Vec::new(),
            over: vec![false; count],
            above: vec![0.0; count],
        };
        for index in 0..count {
            let amps = protection.sustained[index].map_or(0.0, |sustained| sustained.amps);
            judge.over[index] = amps > judge.allowed(index as u32) + 1e-6;
        }
        let order = judge.live_order();
        judge.measure_above(&order);
        judge.taps = judge.find_taps(&order);
        judge
    }

    /// The ceiling of a conductor, A; infinite where its size is unknown.
    fn allowed(&self, conductor: u32) -> f64 {
        self.circuit.ceiling_of(&self.cables[conductor as usize])
    }

    /// The live nodes, each after the one it is reached from.
    fn live_order(&self) -> Vec<NodeIndex> {
        let live = &self.circuit.live;
        let mut children: Vec<Vec<u32>> = vec![Vec::new(); live.len()];
        let mut order = Vec::new();
        for (node, reach) in live.iter().enumerate() {
            match reach {
                Some(reach) if reach.by.is_some() => children[reach.from.index()].push(node as u32),
                Some(_) => order.push(NodeIndex::new(node)),
                None => {}
            }
        }
        let mut next = 0;
        while let Some(&node) = order.get(next) {
            order.extend(
                children[node.index()]
                    .iter()
                    .map(|&child| NodeIndex::new(child as usize)),
            );
            next += 1;
        }
        order
    }

    fn up(&self, node: NodeIndex) -> Option<(NodeIndex, &'a Link)> {
        let reach = self.circuit.live[node.index()]?;
        Some((
            reach.from,
            self.circuit.wiring.graph.edge_weight(reach.by?)?,
        ))
    }

    fn measure_above(&mut self, order: &[NodeIndex]) {
        let mut piece = vec![0.0; self.circuit.live.len()];
        for &node in order {
            let Some((from, link)) = self.up(node) else {
                continue;
            };
            piece[node.index()] = match link {
                Link::Conductor(index) => {
                    self.above[*index as usize] = piece[from.index()];
                    let metres = self.circuit.wiring.conductors[*index as usize]
                        .metres
                        .unwrap_or(0.0);
                    if self.over[*index as usize] {
                        piece[from.index()] + metres
                    } else {
                        0.0
                    }
                }
                Link::Contact(index)
                    if self.circuit.wiring.contacts[*index as usize]
                        .protects
                        .is_some() =>
                {
                    0.0
                }
                _ => piece[from.index()],
            };
        }
    }

    /// From the far ends back: where every way on ends at a device.
    fn find_taps(&self, order: &[NodeIndex]) -> Vec<Option<Tap>> {
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
    fn tap_below(&self, conductor: u32) -> Option<Tap> {
        let wired = &self.circuit.wiring.conductors[conductor as usize];
        let far = [wired.from, wired.to].into_iter().find(|end| {
            self.circuit.live[end.index()].and_then(|reach| reach.by) == Some(wired.edge)
        })?;
        self.taps[far.index()].filter(|tap| tap.device.is_some())
    }

    /// The live conductors' sustained currents without the short taps: what their device lets
    /// through is what their circuit's return has to carry.
    fn sustained_but_taps(&self) -> Vec<Option<Sustained>> {
        let taps = |index: u32| {
            self.over[index as usize]
                && self
                    .tap_below(index)
                    .is_some_and(|tap| self.is_short(index, tap))
        };
        let all = self.protection.sustained.iter().enumerate();
        all.map(|(index, sustained)| sustained.filter(|_| !taps(index as u32)))
            .collect()
    }

    fn verdict(&self, returns: &returns::Returns) -> (Vec<Unfused>, Vec<Exceeded>) {
        let mut exceeded: Vec<Exceeded> = Vec::new();
        let mut bare: Vec<u32> = Vec::new();
        for index in 0..self.circuit.wiring.conductors.len() as u32 {
            if let Some(sustained) = self.protection.sustained[index as usize] {
                self.judge_live(index, sustained, &mut bare, &mut exceeded);
            } else if let Some((amps, device)) = returns[index as usize] {
                self.exceed(&mut exceeded, index, amps, device, false);
            }
        }
        (self.group_unfused(bare), self.group_exceeded(exceeded))
    }

    fn judge_live(
        &self,
        index: u32,
        sustained: Sustained,
        bare: &mut Vec<u32>,
        exceeded: &mut Vec<Exceeded>,
    ) {
        let wired = &self.circuit.wiring.conductors[index as usize];
        if self.is_bonding(wired) {
            return;
        }
        if sustained.amps.is_infinite() {
            let link =
                self.circuit.banks.link_of[index as usize].is_some() && self.is_short_link(index);
            if link || self.protection.cranking.contains(&index) {
                return;
            }
            if self
                .farthest(index)
                .is_some_and(|farthest| farthest > self.circuit.distance(index) + 1e-6)
            {
                bare.push(index);
            } else if let Some(tap) = self.tap_below(index) {
                self.exceed(exceeded, index, tap.rating, tap.device, false);
            }
            return;
        }
        match self.tap_below(index) {
            Some(tap) if self.over[index as usize] && self.is_short(index, tap) => {
                self.exceed(
                    exceeded,
                    index,
                    tap.rating.min(sustained.amps),
                    tap.device,
                    false,
                );
            }
            _ => {
                self.exceed(exceeded, index, sustained.amps, sustained.device, false);
                if !self.over[index as usize] {
                    self.exceed(exceeded, index, sustained.ring_amps, sustained.device, true);
                }
            }
        }
    }

    fn exceed(
        &self,
        list: &mut Vec<Exceeded>,
        conductor: u32,
        amps: f64,
        device: Option<u32>,
        ring_only: bool,
    ) {
        let allowed = self.allowed(conductor);
        if amps.is_finite() && amps > allowed + 1e-6 {
            list.push(Exceeded {
                conductor,
                amps,
                allowed,
                device,
                others: Vec::new(),
                ring_only,
            });
        }
    }

    fn is_short(&self, index: u32, tap: Tap) -> bool {
        let metres = self.circuit.wiring.conductors[index as usize]
            .metres
            .unwrap_or(f64::INFINITY);
        self.above[index as usize] + metres + tap.metres <= self.circuit.distance(index) + 1e-6
    }

    fn is_bonding(&self, wired: &crate::wiring::Conductor) -> bool {
        [wired.from, wired.to]
            .into_iter()
            .any(|node| self.circuit.kind_at(node) == Some(ampwright_notation::Kind::Bond))
    }

    /// Links up to 72 in and in one place go without a device.
    fn is_short_link(&self, index: u32) -> bool {
        let wired = &self.circuit.wiring.conductors[index as usize];
        let most = self.circuit.rules.bank_link_distance().value.0;
        let place = |node| super::cables::place_of(self.circuit, node);
        let in_one = match (place(wired.from), place(wired.to)) {
            (Some(a), Some(b)) => a == b,
            _ => true,
        };
        wired.metres.unwrap_or(0.0) <= most + 1e-6 && in_one
    }

    /// The farthest point of a conductor from a battery's post, along the cable, m.
    fn farthest(&self, index: u32) -> Option<f64> {
        let wired = &self.circuit.wiring.conductors[index as usize];
        let at = |node: NodeIndex| self.protection.from_post[node.index()];
        let metres = wired.metres.unwrap_or(0.0);
        match (at(wired.from), at(wired.to)) {
            (Some(a), Some(b)) => Some(f64::midpoint(a + b, metres)),
            (Some(one), None) | (None, Some(one)) => Some(one + metres),
            (None, None) => None,
        }
    }

    fn nearest_end(&self, index: u32) -> f64 {
        let wired = &self.circuit.wiring.conductors[index as usize];
        let at = |node: NodeIndex| self.protection.from_post[node.index()].unwrap_or(f64::INFINITY);
        at(wired.from).min(at(wired.to))
    }

    /// One finding for one missing device: conductors that leave a post by one and the same first conductor.
    fn group_unfused(&self, bare: Vec<u32>) -> Vec<Unfused> {
        let mut groups: std::collections::BTreeMap<(usize, u32), Vec<u32>> =
            std::collections::BTreeMap::new();
        for index in bare {
            groups.entry(self.root_of(index)).or_default().push(index);
        }
        groups
            .into_iter()
            .filter_map(|((post, _), list)| self.unfused_group(NodeIndex::new(post), list))
            .collect()
    }

    fn unfused_group(&self, post: NodeIndex, mut list: Vec<u32>) -> Option<Unfused> {
        list.sort_by(|&a, &b| {
            self.nearest_end(a)
                .total_cmp(&self.nearest_end(b))
                .then(a.cmp(&b))
        });
        let (&conductor, others) = list.split_first()?;
        let farthest = self.farthest(conductor)?;
        let near_starter = list.iter().all(|&index| self.charges_a_starter(index));
        let just = self.circuit.lie(conductor) == Lie::Bare
            && farthest <= BARE_ADVICE + 1e-6
            && others.is_empty();
        Some(Unfused {
            conductor,
            farthest,
            allowed: self.circuit.distance(conductor),
            post,
            others: others.to_vec(),
            lost: self.lost_device(&list),
            advice: just || near_starter,
        })
    }

    /// The post and the first conductor by which the way to a conductor leaves it; links of the
    /// bank and the cranking feed are part of the post.
    fn root_of(&self, index: u32) -> (usize, u32) {
        let wired = &self.circuit.wiring.conductors[index as usize];
        let near = [wired.from, wired.to]
            .into_iter()
            .min_by(|a, b| {
                let at = |node: &NodeIndex| {
                    self.protection.from_post[node.index()].unwrap_or(f64::INFINITY)
                };
                at(a).total_cmp(&at(b))
            })
            .unwrap_or(wired.from);
        let mut root = (near.index(), index);
        for (edge, from) in way_to(self.unfused, near) {
            match self.circuit.conductor_of(edge) {
                Some(conductor) if self.circuit.banks.link_of[conductor as usize].is_some() => {
                    return (from.index(), root.1);
                }
                Some(conductor) => root = (from.index(), conductor),
                None => root.0 = from.index(),
            }
        }
        root
    }

    /// The protective device nearest to a post that these conductors lead to.
    fn lost_device(&self, list: &[u32]) -> Option<(u32, f64)> {
        let ends = list.iter().flat_map(|&index| {
            let wired = &self.circuit.wiring.conductors[index as usize];
            [wired.from, wired.to]
        });
        let devices = ends.flat_map(|node| {
            let at = self.protection.from_post[node.index()].unwrap_or(f64::INFINITY);
            self.circuit
                .wiring
                .graph
                .edges(node)
                .filter_map(move |edge| match edge.weight() {
                    Link::Contact(index) => Some((*index, at)),
                    _ => None,
                })
        });
        let protects = |&(index, _): &(u32, f64)| {
            self.circuit.wiring.contacts[index as usize]
                .protects
                .is_some()
        };
        devices
            .filter(protects)
            .min_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)))
    }

    /// From the cranking way to an alternator within 72 in and in the same place.
    fn charges_a_starter(&self, index: u32) -> bool {
        use ampwright_notation::Kind;
        let wired = &self.circuit.wiring.conductors[index as usize];
        let ends = [wired.from, wired.to];
        let alternator = ends
            .iter()
            .any(|&node| self.circuit.kind_at(node) == Some(Kind::Alternator));
        let on_cranking = ends.iter().any(|&node| {
            self.circuit
                .wiring
                .conductors_at(node)
                .any(|other| self.protection.cranking.contains(&other))
        });
        alternator && on_cranking && self.is_short_link(index)
    }

    /// One finding for one device and run.
    fn group_exceeded(&self, list: Vec<Exceeded>) -> Vec<Exceeded> {
        let mut groups: std::collections::BTreeMap<(u32, Option<u32>, bool), Exceeded> =
            std::collections::BTreeMap::new();
        for one in list {
            let run = self.circuit.wiring.conductors[one.conductor as usize].run;
            match groups.entry((run, one.device, one.ring_only)) {
                std::collections::btree_map::Entry::Vacant(place) => {
                    place.insert(one);
                }
                std::collections::btree_map::Entry::Occupied(mut known) => {
                    let known = known.get_mut();
                    // The tightest conductor stands for the group: mending it less than wholly shows the next.
                    if one.allowed < known.allowed {
                        let mut others = std::mem::take(&mut known.others);
                        others.insert(0, known.conductor);
                        *known = Exceeded { others, ..one };
                    } else {
                        known.others.push(one.conductor);
                    }
                }
            }
        }
        groups.into_values().collect()
    }
}

/// Bare and at most this far: an advice, m (electrics.md's own band over the 7 in of 33 CFR 183.455).
const BARE_ADVICE: f64 = 0.20;

impl Circuit<'_> {
    /// The most a device may let through to a conductor, A; infinite where its size is unknown.
    pub fn ceiling_of(&self, cable: &Cable) -> f64 {
        let Some(ampacity) = &cable.ampacity else {
            return f64::INFINITY;
        };
        self.rules
            .ceiling(ampwright_electrics::quantity::Volts(self.system))
            .value
            * ampacity.value.0
    }

    /// A contact's rating as a protective device, with its name for people.
    pub fn contact_name(&self, contact: &Contact) -> String {
        use crate::wiring::Device;
        let part = &self.model.get(contact.part).name;
        match contact.device {
            Device::WayFuse(way) | Device::WayBreaker(way) | Device::WaySwitch(way) => {
                format!("{part} way {way}")
            }
            Device::Main => format!("the main breaker of {part}"),
            _ => part.to_string(),
        }
    }
}
