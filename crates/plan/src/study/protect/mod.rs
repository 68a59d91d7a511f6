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

mod judge;
mod taps;

use super::{
    Circuit,
    cables::Cable,
    limits::Limit,
    reach::{Direction, Net, search, way_to},
    returns,
};
use crate::finding::Severity;
use crate::wiring::{Contact, DrawKind, Link, SupplyKind, Term};
use judge::Judge;

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
    /// How bad it can be at most.
    pub severity: Severity,
}

/// A conductor that nothing protects.
#[derive(Clone, Debug, PartialEq)]
pub struct Unfused {
    /// The first conductor past the distance.
    pub conductor: u32,
    /// Its farthest point from a battery's post along the cable, m.
    pub farthest: f64,
    /// How far the last of the others ends, m.
    pub reaches: f64,
    /// The distance that applies to it, m.
    pub allowed: f64,
    /// The post.
    pub post: NodeIndex,
    /// The others that the same device would protect.
    pub others: Vec<u32>,
    /// The nearest device further on, an index into the wiring's contacts, and how far from the post it stands, m.
    pub lost: Option<(u32, f64)>,
    /// How bad it can be at most: an advice where another published figure would allow it, or for
    /// a charging lead close to a cranking one.
    pub severity: Severity,
    /// The conductor is within the distance, but what it feeds has no device at all.
    pub direct: bool,
    /// It leaves a cranking feed and ends at a device within the distance from there.
    pub tap: bool,
}

/// A link of a bank that goes without a device though it is too long or leaves their place.
#[derive(Clone, Debug, PartialEq)]
pub struct LongLink {
    /// The bank, an index into [`super::banks::Banks::list`].
    pub bank: u32,
    /// Its longest such link, an index into the wiring's conductors.
    pub conductor: u32,
    /// Its length, m.
    pub metres: f64,
    /// What a link may be long, m; nothing where it is short enough and leaves its place.
    pub allowed: Option<f64>,
    /// The bank's other such links.
    pub others: Vec<u32>,
    /// How bad it can be at most.
    pub severity: Severity,
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
    /// For each conductor whether its length excuses it from the device before it: a short tap.
    pub short_taps: Vec<bool>,
    /// What nothing protects, one for each missing device.
    pub unfused: Vec<Unfused>,
    /// What a device does not protect, one for each device and run.
    pub exceeded: Vec<Exceeded>,
    /// Links of banks that want a device, one for each bank.
    pub long_links: Vec<LongLink>,
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
        let mut protection = Self {
            sustained: circuit.per_conductor(&flow, &found),
            ..Self::default()
        };
        let posts: Vec<u32> = circuit
            .battery_posts()
            .map(|node| node.index() as u32)
            .collect();
        protection.from_post = distances(&net, &flow.lengths, &posts);
        let unfused_net = circuit.unfused_net();
        protection.cranking = circuit.cranking(&unfused_net);
        let judge = Judge::new(circuit, cables, &protection, &unfused_net);
        let roots = returns::Root::all(circuit);
        let all_together = circuit.wiring.supplies.len() == 1 || roots.len() > returns::MOST_ROOTS;
        let together = judge.without_taps(&protection.sustained);
        let returns = returns::returns(circuit, &roots, &together, |root| {
            if all_together {
                return None;
            }
            let sources: Vec<(u32, f64)> = root
                .tops
                .iter()
                .map(|top| (top.index() as u32, root.amps))
                .collect();
            let found = sustained(&LiveNet {
                nodes,
                edges: &flow.edges,
                sources: &sources,
            });
            Some(judge.without_taps(&circuit.per_conductor(&flow, &found)))
        });
        let verdict = judge.verdict(&returns);
        let short_taps = judge.short_taps();
        Self {
            returns,
            short_taps,
            unfused: verdict.unfused,
            exceeded: verdict.exceeded,
            long_links: verdict.long_links,
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
    pub(crate) fn unfused_net(&self) -> Net {
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

    /// Up to here a bare conductor past its distance is an advice, m.
    fn bare_advice(&self) -> f64 {
        let rules = [Some(self.rules), self.rules.published_fallback()];
        let metres = rules
            .into_iter()
            .flatten()
            .find_map(ampwright_electrics::RuleSet::bare_advice_distance);
        metres.map_or(0.0, |metres| metres.value.0)
    }

    /// How far along a conductor a device may stand, m.
    pub fn distance_of(&self, conductor: u32) -> Limit {
        self.distance(self.lie(conductor))
    }
}

impl Circuit<'_> {
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
