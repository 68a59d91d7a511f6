//! What each part brings into the graph by itself: its terminals, its contacts, what it draws and
//! what it supplies.

use ampwright_electrics::{
    defaults,
    quantity::{Amperes, Volts, Watts},
    solar::Panel,
};
use ampwright_notation::{
    Key, Kind, Span,
    tree::{Arg, Position, Way as PanelWay, WayDevice},
};
use petgraph::graph::NodeIndex;

use super::{
    Contact, Device, Draw, DrawKind, Law, Link, Node, Rest, Supply, SupplyKind, Term, Wiring,
    build::Builder,
};
use crate::{
    model::{Facts, PartId, amount},
    site::Site,
};

impl Wiring {
    /// The node of a terminal, made when first asked for.
    pub(super) fn node(&mut self, part: PartId, term: Term) -> NodeIndex {
        if let Some(&node) = self.terminals.get(&(part, term)) {
            return node;
        }
        let node = self.graph.add_node(Node {
            part: Some(part),
            term,
        });
        self.terminals.insert((part, term), node);
        node
    }

    /// A node of no part.
    pub(super) fn loose(&mut self, term: Term) -> NodeIndex {
        self.graph.add_node(Node { part: None, term })
    }

    /// Makes one terminal stand for another: an earthed part's `-` is its block.
    fn alias(&mut self, part: PartId, term: Term, node: NodeIndex) {
        self.terminals.insert((part, term), node);
    }

    fn contact(&mut self, contact: Contact) {
        let index = self.contacts.len() as u32;
        let edge = self
            .graph
            .add_edge(contact.feed, contact.out, Link::Contact(index));
        self.contacts.push(Contact { edge, ..contact });
    }

    fn draw(&mut self, draw: Draw) {
        let index = self.draws.len() as u32;
        self.graph
            .add_edge(draw.plus, draw.minus, Link::Draw(index));
        self.draws.push(draw);
    }

    fn supply(&mut self, supply: Supply) {
        let index = self.supplies.len() as u32;
        self.graph
            .add_edge(supply.minus, supply.plus, Link::Supply(index));
        self.supplies.push(supply);
    }
}

/// One contact to be made: what is the same for every pole.
struct Path {
    device: Device,
    rest: Rest,
    protects: Option<f64>,
    carries: Option<f64>,
    one_way: bool,
}

impl Path {
    const fn of(device: Device, rest: Rest, carries: Option<f64>) -> Self {
        Self {
            device,
            rest,
            protects: None,
            carries,
            one_way: false,
        }
    }

    /// A device without a rating, which is a finding, lets nothing through: what lies behind it
    /// cannot be judged by it.
    const fn protecting(device: Device, amps: Option<f64>) -> Self {
        Self {
            device,
            rest: Rest::Always,
            protects: Some(match amps {
                Some(amps) => amps,
                None => 0.0,
            }),
            carries: None,
            one_way: false,
        }
    }
}

impl Builder<'_> {
    /// Brings a part's own branches into the graph.
    pub(super) fn part(&mut self, id: PartId) {
        let facts = self.model.facts(self.sources, id);
        match self.model.get(id).kind {
            Kind::Battery => self.supply(
                id,
                SupplyKind::Battery,
                (Term::Plus, Term::Minus),
                f64::INFINITY,
                facts.amount(Key::Volts),
            ),
            Kind::Solar => self.solar(id, &facts),
            Kind::Alternator => self.alternator(id, &facts),
            Kind::Charger => self.charger(id, &facts),
            Kind::Controller => self.controller(id, &facts),
            Kind::Converter => self.converter(id, &facts),
            Kind::Inverter => self.inverter(id, &facts),
            Kind::Fuse => self.poles(
                id,
                &facts,
                &Path::protecting(Device::Fuse, facts.amount(Key::Amps)),
            ),
            Kind::Breaker => self.poles(
                id,
                &facts,
                &Path::protecting(Device::Breaker, facts.amount(Key::Amps)),
            ),
            Kind::Isolator | Kind::Switch => self.switch(id, &facts),
            Kind::Relay => self.relay(id, &facts),
            Kind::Shunt => self.poles(
                id,
                &facts,
                &Path::of(Device::Shunt, Rest::Always, facts.amount(Key::Amps)),
            ),
            Kind::Selector => self.selector(id, &facts),
            Kind::Diode => self.diode(id, &facts),
            Kind::Panel => self.panel(id, &facts),
            Kind::Load => self.load(id, &facts),
            Kind::Socket => self.draws(
                id,
                DrawKind::Socket,
                (Term::Plus, Term::Minus),
                facts.amount(Key::Amps).map(Law::Amps),
            ),
            Kind::Busbar | Kind::Block | Kind::Bond => {
                self.wiring.node(id, Term::Bar);
            }
            _ => {}
        }
    }

    fn name_site(&self, id: PartId) -> Site {
        let at = self.model.get(id).thing;
        let span = self
            .sources
            .thing(at)
            .and_then(|thing| thing.name.as_ref())
            .map_or(Span::default(), |name| name.span);
        at.at(span)
    }

    fn path(&mut self, id: PartId, (feed, out): (Term, Term), pole: u32, path: &Path, site: Site) {
        let (feed, out) = (self.wiring.node(id, feed), self.wiring.node(id, out));
        self.wiring.contact(Contact {
            part: id,
            device: path.device,
            pole,
            rest: path.rest,
            protects: path.protects,
            carries: path.carries,
            one_way: path.one_way,
            feed,
            out,
            edge: petgraph::graph::EdgeIndex::end(),
            site,
        });
    }

    fn poles(&mut self, id: PartId, facts: &Facts<'_>, path: &Path) {
        let site = self.name_site(id);
        let poles = if facts.has(Key::TwoPole) { 2 } else { 1 };
        for pole in 1..=poles {
            self.path(id, (Term::Feed(pole), Term::Out(pole)), pole, path, site);
        }
    }

    fn switch(&mut self, id: PartId, facts: &Facts<'_>) {
        let rest = if facts.has(Key::NormallyOpen) {
            Rest::Open
        } else if facts.has(Key::Momentary) {
            Rest::Momentary
        } else if facts.has(Key::Automatic) {
            Rest::Automatic
        } else {
            Rest::Closed
        };
        let device = if self.model.get(id).kind == Kind::Isolator {
            Device::Isolator
        } else {
            Device::Switch
        };
        self.poles(id, facts, &Path::of(device, rest, facts.amount(Key::Amps)));
    }

    fn relay(&mut self, id: PartId, facts: &Facts<'_>) {
        let rest = if facts.has(Key::Closes) {
            Rest::Charging
        } else if facts.has(Key::NormallyClosed) {
            Rest::Closed
        } else {
            Rest::Open
        };
        self.poles(
            id,
            facts,
            &Path::of(Device::Relay, rest, facts.amount(Key::Amps)),
        );
        if let Some(coil) = facts.amount(Key::Coil) {
            self.draws(
                id,
                DrawKind::Coil,
                (Term::CoilPlus, Term::CoilMinus),
                Some(Law::Amps(coil)),
            );
        }
    }

    fn selector(&mut self, id: PartId, facts: &Facts<'_>) {
        let positions = positions(facts);
        let site = self.name_site(id);
        let carries = facts.amount(Key::Amps);
        for position in &positions {
            if let Position::Number(number) = *position {
                let path = Path::of(Device::Selector(number), Rest::Position, carries);
                self.path(id, (Term::Tap(number), Term::Common), 1, &path, site);
            }
        }
        self.wiring.selectors.push((id, positions));
    }

    fn diode(&mut self, id: PartId, facts: &Facts<'_>) {
        let site = self.name_site(id);
        for output in 1..=facts.count(Key::Outputs).unwrap_or(1).clamp(1, MOST_TAPS) {
            let path = Path {
                one_way: true,
                ..Path::of(Device::Diode(output), Rest::Always, facts.amount(Key::Amps))
            };
            self.path(id, (Term::Feed(1), Term::Tap(output)), 1, &path, site);
        }
    }

    fn panel(&mut self, id: PartId, facts: &Facts<'_>) {
        let mut inside = Term::Feed(1);
        self.wiring.node(id, inside);
        if let Some(main) = facts.find(Key::Main) {
            let site = self.model.get(id).thing.at(main.span);
            self.path(
                id,
                (inside, Term::Inside),
                1,
                &Path::protecting(Device::Main, amount(main)),
                site,
            );
            inside = Term::Inside;
        }
        let at = self.model.get(id).thing;
        let switched = facts.has(Key::Switched);
        for way in &facts.own().ways {
            self.way(id, inside, way, switched, at.at(way.span));
        }
    }

    /// A way that has its switch can be opened by hand, whatever else stands in it.
    fn way(&mut self, id: PartId, inside: Term, way: &PanelWay, switched: bool, site: Site) {
        let number = way.number.value;
        if self.wiring.terminal(id, Term::Way(number)).is_some() {
            return; // said twice: the first counts, and the parser says so
        }
        let amps = way.amps.as_ref().map(|amps| amps.value);
        let path = match way.device.value {
            WayDevice::Fuse => Path::protecting(Device::WayFuse(number), amps),
            WayDevice::Breaker => Path::protecting(Device::WayBreaker(number), amps),
            WayDevice::Switch => Path::of(Device::WaySwitch(number), Rest::Closed, amps),
            WayDevice::Spare => return,
        };
        let path = Path {
            rest: if switched { Rest::Closed } else { path.rest },
            ..path
        };
        self.path(id, (inside, Term::Way(number)), 1, &path, site);
    }

    fn supply(
        &mut self,
        part: PartId,
        kind: SupplyKind,
        (plus, minus): (Term, Term),
        amps: f64,
        volts: Option<f64>,
    ) {
        let (plus, minus) = (self.wiring.node(part, plus), self.wiring.node(part, minus));
        self.wiring.supply(Supply {
            part,
            kind,
            plus,
            minus,
            amps,
            volts,
        });
    }

    fn draws(
        &mut self,
        part: PartId,
        kind: DrawKind,
        (plus, minus): (Term, Term),
        law: Option<Law>,
    ) {
        let (plus, minus) = (self.wiring.node(part, plus), self.wiring.node(part, minus));
        self.wiring.draw(Draw {
            part,
            kind,
            plus,
            minus,
            law,
        });
    }

    fn earth(&mut self, id: PartId, facts: &Facts<'_>) {
        let name = facts.name(Key::Earthed);
        if let Some(block) = name.and_then(|name| self.model.part_of_kind(name, Kind::Block)) {
            let node = self.wiring.node(block, Term::Bar);
            self.wiring.alias(id, Term::Minus, node);
        }
    }

    fn solar(&mut self, id: PartId, facts: &Facts<'_>) {
        self.supply(
            id,
            SupplyKind::Solar,
            (Term::Plus, Term::Minus),
            array_amps(facts),
            None,
        );
    }

    fn alternator(&mut self, id: PartId, facts: &Facts<'_>) {
        self.earth(id, facts);
        let amps = facts.amount(Key::Amps).unwrap_or(0.0);
        self.supply(
            id,
            SupplyKind::Alternator,
            (Term::Plus, Term::Minus),
            amps,
            facts.amount(Key::Volts),
        );
    }

    fn charger(&mut self, id: PartId, facts: &Facts<'_>) {
        let all = facts.amount(Key::Amps).unwrap_or(0.0);
        let volts = facts.amount(Key::Volts);
        let outputs = facts.count(Key::Outputs).unwrap_or(1).clamp(1, MOST_TAPS);
        for output in 1..=outputs {
            let plus = if outputs == 1 {
                Term::Plus
            } else {
                Term::Tap(output)
            };
            let amps = limit_of_output(facts, output).unwrap_or(all).min(all);
            self.supply(
                id,
                SupplyKind::Charger(output),
                (plus, Term::Minus),
                amps,
                volts,
            );
        }
    }

    fn controller(&mut self, id: PartId, facts: &Facts<'_>) {
        let (plus, minus) = (Term::OutPlus, Term::OutMinus);
        for term in [Term::InPlus, Term::InMinus] {
            self.wiring.node(id, term);
        }
        let amps = facts.amount(Key::Amps).unwrap_or(0.0);
        self.supply(
            id,
            SupplyKind::Controller,
            (plus, minus),
            amps,
            facts.amount(Key::Volts),
        );
    }

    fn converter(&mut self, id: PartId, facts: &Facts<'_>) {
        let (output, amps) = (
            facts.amount(Key::Output),
            facts.amount(Key::Amps).unwrap_or(0.0),
        );
        let efficiency = efficiency(facts, defaults::CONVERTER.value);
        let watts = output.map(|volts| volts * amps / efficiency.max(0.01));
        self.draws(
            id,
            DrawKind::Converter,
            (Term::InPlus, Term::InMinus),
            watts.map(Law::Watts),
        );
        let kind = if facts.has(Key::Charges) {
            SupplyKind::ChargingConverter
        } else {
            SupplyKind::Converter
        };
        self.supply(id, kind, (Term::OutPlus, Term::OutMinus), amps, output);
        if !facts.has(Key::Isolated) {
            let output = self.wiring.node(id, Term::OutMinus);
            let input = self.wiring.node(id, Term::InMinus);
            self.common_negatives.push((input, output));
        }
    }

    fn inverter(&mut self, id: PartId, facts: &Facts<'_>) {
        let efficiency = efficiency(facts, defaults::INVERTER.value);
        let law = facts
            .amount(Key::Watts)
            .map(|watts| Law::Watts(watts / efficiency.max(0.01)));
        self.draws(id, DrawKind::Inverter, (Term::Plus, Term::Minus), law);
        if let Some(amps) = facts.amount(Key::Charges) {
            self.supply(
                id,
                SupplyKind::InverterCharger,
                (Term::Plus, Term::Minus),
                amps,
                None,
            );
        }
    }

    fn load(&mut self, id: PartId, facts: &Facts<'_>) {
        self.earth(id, facts);
        let law = facts
            .any(&[Key::Amps, Key::Watts, Key::Ohms])
            .and_then(|fact| {
                let value = amount(fact)?;
                Some(match fact.key {
                    Key::Watts => Law::Watts(value),
                    Key::Ohms => Law::Ohms(value),
                    _ => Law::Amps(value),
                })
            });
        self.draws(id, DrawKind::Load, (Term::Plus, Term::Minus), law);
    }
}

/// More outputs than this on one box is a slip of the pen.
const MOST_TAPS: u32 = 64;

/// A selector's positions; `off 1 2 both` where the text gives none.
fn positions(facts: &Facts<'_>) -> Vec<Position> {
    let said: Vec<Position> = facts
        .find(Key::Positions)
        .map(|fact| {
            let position = |arg: &Arg| match arg {
                Arg::Word(word) if word.value == "off" => Some(Position::Off),
                Arg::Word(word) if word.value == "both" => Some(Position::Both),
                Arg::Count(count) => Some(Position::Number(count.value)),
                _ => None,
            };
            fact.args.iter().filter_map(position).collect()
        })
        .unwrap_or_default();
    if said.is_empty() {
        return vec![
            Position::Off,
            Position::Number(1),
            Position::Number(2),
            Position::Both,
        ];
    }
    said
}

/// What `out N A` limits an output to.
fn limit_of_output(facts: &Facts<'_>, output: u32) -> Option<f64> {
    facts
        .all(Key::Out)
        .find_map(|fact| match fact.args.first() {
            Some(Arg::Count(count)) if count.value == output => amount(fact),
            _ => None,
        })
}

/// The short-circuit current of an array, A: what its conductors carry for ever.
fn array_amps(facts: &Facts<'_>) -> f64 {
    let strings = f64::from(facts.count(Key::Parallel).unwrap_or(1));
    panel(facts)
        .most()
        .map_or(0.0, |most| most.value.0 * strings)
}

/// One panel as the electrics know it.
pub(crate) fn panel(facts: &Facts<'_>) -> Panel {
    Panel {
        power: facts.amount(Key::Watts).map(Watts),
        open_circuit: facts.amount(Key::Voc).map(Volts),
        short_circuit: facts.amount(Key::Isc).map(Amperes),
        working_volts: facts.amount(Key::Vmp).map(Volts),
        working_amps: facts.amount(Key::Imp).map(Amperes),
    }
}

/// A box's efficiency as a share of one.
fn efficiency(facts: &Facts<'_>, default: f64) -> f64 {
    facts
        .amount(Key::Efficiency)
        .map_or(default, |percent| percent / 100.0)
}
