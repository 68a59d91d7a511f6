//! What charges which bank, with how much, and what the panels do to a controller.
//!
//! Fuses, breakers and whatever is closed at rest count as closed: somebody charges with everything
//! switched on. Selectors are taken at each position in turn, relays once all open and once all
//! closed, diodes forwards only.

use std::collections::BTreeMap;

use ampwright_electrics::rules::LoadClass;
use ampwright_notation::{Key, Kind};
use petgraph::{graph::NodeIndex, unionfind::UnionFind};
use rustc_hash::{FxHashMap, FxHashSet};

use super::{Circuit, banks::Bank};
use crate::{
    model::PartId,
    wiring::{Contact, Device, Link, Rest, SupplyKind},
};

/// What charges the banks.
#[derive(Clone, Debug, Default)]
pub struct Charging {
    /// Each set of joined banks with what charges it, over all states of the contacts.
    pub rates: Vec<Rate>,
    /// For each bank those that it is part of, indices into `rates`.
    pub of_bank: Vec<Vec<u32>>,
}

/// What charges some joined banks together, each source at its most.
#[derive(Clone, Debug, PartialEq)]
pub struct Rate {
    /// The banks, joined while they are charged so.
    pub banks: Vec<u32>,
    /// Each source, an index into the wiring's supplies, with its most, A. The outputs of one
    /// charger together give no more than it does.
    pub sources: Vec<(u32, f64)>,
    /// All together, A. An alternator does not count into batteries that only common practice
    /// speaks of and that all crank an engine: a start takes so little out of them that the hard
    /// charge after it lasts for seconds.
    pub amps: f64,
    /// What the banks bear.
    pub bears: Bears,
    /// An engine is started from each of the banks.
    pub cranks: bool,
}

/// The charging current that batteries bear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bears {
    /// A.
    pub amps: f64,
    /// Some of it is common practice by kind and size, for the plan does not say it.
    pub assumed: bool,
}

impl Rate {
    fn hardness(&self) -> f64 {
        self.amps / self.bears.amps.max(1e-9)
    }
}

/// So many states of selectors and relays are told apart.
const MOST_STATES: usize = 64;
/// Behind diodes a source is followed through so many pieces.
const MOST_BEHIND_DIODES: usize = 64;

impl Charging {
    pub(super) fn of(circuit: &Circuit<'_>) -> Self {
        let mut charging = Self {
            rates: Vec::new(),
            of_bank: vec![Vec::new(); circuit.banks.list.len()],
        };
        let sources = circuit.charging_sources();
        if sources.is_empty() || charging.of_bank.is_empty() {
            return charging;
        }
        let board = Board::of(circuit, &sources);
        let mut known: FxHashSet<(Vec<u32>, Vec<u32>)> = FxHashSet::default();
        for state in board.states(circuit) {
            for rate in board.rates(&state) {
                let sources = rate.sources.iter().map(|&(source, _)| source);
                if known.insert((rate.banks.clone(), sources.collect())) {
                    charging.take(rate);
                }
            }
        }
        charging
    }

    fn take(&mut self, rate: Rate) {
        for &bank in &rate.banks {
            self.of_bank[bank as usize].push(self.rates.len() as u32);
        }
        self.rates.push(rate);
    }

    /// Everything that charges a bank, each state of the contacts by itself.
    pub fn of_bank(&self, bank: u32) -> impl Iterator<Item = &Rate> {
        let list = self.of_bank.get(bank as usize).into_iter().flatten();
        list.filter_map(|&rate| self.rates.get(rate as usize))
    }

    /// The state in which a bank is charged hardest for what it bears, the first of equals.
    pub fn hardest(&self, bank: u32) -> Option<&Rate> {
        self.of_bank(bank).reduce(|hardest, next| {
            if next.hardness() > hardest.hardness() + 1e-9 {
                next
            } else {
                hardest
            }
        })
    }
}

impl Circuit<'_> {
    /// What can charge: everything that is made to, and panels, which do wherever they are joined.
    fn charging_sources(&self) -> Vec<u32> {
        let supplies = self.wiring.supplies.iter().zip(0u32..);
        supplies
            .filter(|(supply, _)| supply.kind.charges() || supply.kind == SupplyKind::Solar)
            .map(|(_, index)| index)
            .collect()
    }

    /// Banks that a starter draws from.
    fn cranking_banks(&self) -> FxHashSet<u32> {
        let draws = self.wiring.draws.iter().zip(&self.class);
        let starters = draws.filter(|(_, class)| **class == LoadClass::Starter);
        starters
            .filter_map(|(starter, _)| {
                let source = self.live[starter.plus.index()]?.source;
                self.banks.of_supply.get(&source).copied()
            })
            .collect()
    }

    /// What a bank bears: its weakest battery decides, by its part of the ampere-hours.
    pub fn bank_bears(&self, bank: &Bank) -> Bears {
        let mut beside: BTreeMap<(u64, u64), f64> = BTreeMap::new();
        let key = |index: usize| {
            let stand = bank.stands.get(index);
            let height = stand.map_or((0.0, 0.0), |stand| (stand.level, stand.volts));
            (height.0.to_bits(), height.1.to_bits())
        };
        let batteries: Vec<(f64, Bears)> = bank.supplies.iter().map(|s| self.bears(*s)).collect();
        for (index, (hours, _)) in batteries.iter().enumerate() {
            *beside.entry(key(index)).or_default() += hours;
        }
        let whole = |(index, &(hours, bears)): (usize, &(f64, Bears))| {
            let together = beside.get(&key(index)).copied().unwrap_or(hours);
            let share = if hours > 0.0 { together / hours } else { 1.0 };
            Bears {
                amps: bears.amps * share,
                ..bears
            }
        };
        let weakest = batteries.iter().enumerate().map(whole);
        weakest
            .reduce(|least, next| if next.amps < least.amps { next } else { least })
            .unwrap_or(Bears {
                amps: f64::INFINITY,
                assumed: true,
            })
    }

    /// One battery's ampere-hours and what it bears.
    fn bears(&self, supply: u32) -> (f64, Bears) {
        let battery = &self.wiring.supplies[supply as usize];
        let block = self.block_of(battery);
        let said = self.facts(battery.part).amount(Key::ChargeLimit);
        let amps = said.unwrap_or_else(|| block.charge_limit().value.0);
        let bears = Bears {
            amps,
            assumed: said.is_none(),
        };
        (block.capacity.0, bears)
    }

    /// The most that a part gives by all its outputs together, A; nothing where they are not bound.
    pub(super) fn most_together(&self, part: PartId) -> Option<f64> {
        let is_charger = self.model.get(part).kind == Kind::Charger;
        is_charger.then(|| self.facts(part).amount(Key::Amps))?
    }
}

/// The pieces that hold together whatever is switched, and what joins them.
struct Board {
    /// How many pieces.
    pieces: usize,
    /// Selector paths and relays: the contact and the pieces at its ends.
    moving: Vec<(u32, u32, u32)>,
    /// Diodes, from where current comes to where it goes.
    diodes: Vec<(u32, u32)>,
    sources: Vec<Source>,
    banks: Vec<Charged>,
}

/// A source on the board.
#[derive(Clone, Copy)]
struct Source {
    supply: u32,
    part: PartId,
    piece: u32,
    /// The most it gives, A.
    most: f64,
    /// The most that its part gives by all its outputs together, A.
    together: f64,
    is_alternator: bool,
}

/// A bank on the board.
#[derive(Clone, Copy)]
struct Charged {
    bank: u32,
    /// The piece of its top.
    piece: u32,
    bears: Bears,
    /// An engine is started from it.
    cranks: bool,
}

impl Board {
    fn of(circuit: &Circuit<'_>, sources: &[u32]) -> Self {
        let held = held_together(circuit);
        let mut known: FxHashMap<u32, u32> = FxHashMap::default();
        let mut piece_of = |node: NodeIndex| {
            let next = known.len() as u32;
            *known.entry(held.find(node.index() as u32)).or_insert(next)
        };
        let contacts = circuit.wiring.contacts.iter().zip(0u32..);
        let (mut moving, mut diodes) = (Vec::new(), Vec::new());
        for (contact, index) in contacts {
            if moves(contact) {
                moving.push((index, piece_of(contact.feed), piece_of(contact.out)));
            } else if matches!(contact.device, Device::Diode(_)) {
                diodes.push((piece_of(contact.feed), piece_of(contact.out)));
            }
        }
        let source = |&supply: &u32| {
            let wired = &circuit.wiring.supplies[supply as usize];
            Source {
                supply,
                part: wired.part,
                piece: piece_of(wired.plus),
                most: circuit.most_of(wired),
                together: circuit.most_together(wired.part).unwrap_or(f64::INFINITY),
                is_alternator: wired.kind == SupplyKind::Alternator,
            }
        };
        let sources = sources.iter().map(source).collect();
        let cranking = circuit.cranking_banks();
        let charged = |(bank, index): (&Bank, u32)| {
            Some(Charged {
                bank: index,
                piece: piece_of(*bank.tops.first()?),
                bears: circuit.bank_bears(bank),
                cranks: cranking.contains(&index),
            })
        };
        let banks = circuit.banks.list.iter().zip(0u32..);
        let banks = banks.filter_map(charged).collect();
        Self {
            pieces: known.len(),
            moving,
            diodes,
            sources,
            banks,
        }
    }

    /// Every state of selectors and relays that is told apart: for each moving contact whether it
    /// is closed. Beyond the bound all of them at once stand for the rest.
    fn states(&self, circuit: &Circuit<'_>) -> Vec<Vec<bool>> {
        let mut states: Vec<Vec<bool>> = Vec::new();
        let rest = circuit.at_rest();
        let base = self.closed(&rest);
        let positions = circuit.selector_positions();
        let many = positions.len() * 2 > MOST_STATES;
        let mut turned = vec![base.clone()];
        for (part, position) in positions.into_iter().take(MOST_STATES / 2) {
            let mut closed = rest.clone();
            circuit.set_position(&mut closed, part, position);
            turned.push(self.closed(&closed));
        }
        for state in turned {
            let mut joined = state.clone();
            for (closed, &(contact, ..)) in joined.iter_mut().zip(&self.moving) {
                *closed |= circuit.wiring.contacts[contact as usize].device == Device::Relay;
            }
            states.extend([state, joined]);
        }
        if many {
            states.push(vec![true; self.moving.len()]);
        }
        states.dedup();
        states
    }

    fn closed(&self, contacts: &[bool]) -> Vec<bool> {
        let moving = self.moving.iter();
        moving
            .map(|&(contact, ..)| contacts[contact as usize])
            .collect()
    }

    /// What charges each piece that a bank hangs on.
    fn rates(&self, state: &[bool]) -> Vec<Rate> {
        let mut pieces = UnionFind::<u32>::new(self.pieces);
        let closed = self.moving.iter().zip(state).filter(|(_, closed)| **closed);
        for (&(_, a, b), _) in closed {
            pieces.union(a, b);
        }
        let mut onward: FxHashMap<u32, Vec<u32>> = FxHashMap::default();
        for &(from, to) in &self.diodes {
            let (from, to) = (pieces.find(from), pieces.find(to));
            onward.entry(from).or_default().push(to);
        }
        let mut banks: BTreeMap<u32, (Vec<Charged>, Vec<Source>)> = BTreeMap::new();
        for bank in &self.banks {
            let entry = banks.entry(pieces.find(bank.piece)).or_default();
            entry.0.push(*bank);
        }
        for source in &self.sources {
            for piece in behind(&onward, pieces.find(source.piece)) {
                if let Some((_, sources)) = banks.get_mut(&piece) {
                    sources.push(*source);
                }
            }
        }
        let charged = banks.values().filter(|(_, sources)| !sources.is_empty());
        charged
            .map(|(banks, sources)| rate(banks, sources))
            .collect()
    }
}

/// A piece and those that its current reaches through diodes.
fn behind(onward: &FxHashMap<u32, Vec<u32>>, piece: u32) -> Vec<u32> {
    let mut seen: FxHashSet<u32> = FxHashSet::from_iter([piece]);
    let mut list = vec![piece];
    let mut next = 0;
    while let Some(&piece) = list.get(next).filter(|_| list.len() < MOST_BEHIND_DIODES) {
        let further = onward.get(&piece).into_iter().flatten();
        list.extend(further.filter(|&&piece| seen.insert(piece)));
        next += 1;
    }
    list
}

fn rate(banks: &[Charged], sources: &[Source]) -> Rate {
    let assumed = banks.iter().any(|charged| charged.bears.assumed);
    let cranks = banks.iter().all(|charged| charged.cranks);
    let briefly = assumed && cranks;
    let mut by_part: BTreeMap<PartId, f64> = BTreeMap::new();
    for source in sources.iter().filter(|one| !(briefly && one.is_alternator)) {
        let sum = by_part.entry(source.part).or_default();
        *sum = (*sum + source.most).min(source.together);
    }
    Rate {
        banks: banks.iter().map(|charged| charged.bank).collect(),
        sources: sources.iter().map(|one| (one.supply, one.most)).collect(),
        amps: by_part.values().sum(),
        bears: Bears {
            amps: banks.iter().map(|charged| charged.bears.amps).sum(),
            assumed,
        },
        cranks,
    }
}

/// Selector paths and relays are taken both ways.
const fn moves(contact: &Contact) -> bool {
    matches!(contact.device, Device::Selector(_) | Device::Relay)
}

/// Nodes that conductors and contacts hold together that are closed at rest.
pub(crate) fn held_together(circuit: &Circuit<'_>) -> UnionFind<u32> {
    let graph = &circuit.wiring.graph;
    let mut held = UnionFind::new(graph.node_count());
    for edge in graph.raw_edges() {
        let holds = match edge.weight {
            Link::Conductor(_) | Link::Gap => true,
            Link::Contact(index) => {
                let contact = &circuit.wiring.contacts[index as usize];
                !moves(contact)
                    && !contact.one_way
                    && matches!(contact.rest, Rest::Always | Rest::Closed)
            }
            _ => false,
        };
        if holds {
            held.union(edge.source().index() as u32, edge.target().index() as u32);
        }
    }
    held
}
