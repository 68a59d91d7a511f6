//! Converters and solar controllers by the rule: what they take or give follows from what is on
//! their other side.

use ampwright_electrics::{defaults, network::Branch};
use ampwright_notation::Key;
use petgraph::{
    graph::{EdgeIndex, NodeIndex},
    visit::EdgeRef,
};
use rustc_hash::{FxHashMap, FxHashSet};

use crate::{
    model::PartId,
    study::{
        Circuit,
        moments::Moment,
        reach::{Direction, everything_closed, step},
    },
    wiring::{DrawKind, Supply, SupplyKind, Term, Wiring},
};

/// A converter whose input follows from its output.
struct Converter {
    draw: u32,
    /// Its output, an index into [`Wiring::supplies`].
    output: u32,
    /// The supply that feeds its input.
    source: Option<u32>,
    /// What it takes so far, A.
    amps: f64,
}

/// Converters that feed converters, deeper than any boat has.
const MOST_CONVERTERS_IN_A_ROW: usize = 4;

impl Circuit<'_> {
    /// Adds to a moment what its converters take for the loads behind them.
    pub(super) fn load_converters(&self, moment: &mut Moment) {
        let mut converters = self.converters_of(moment);
        if converters.is_empty() {
            return;
        }
        let mut behind = self.amps_behind(moment);
        // Innermost first: as many rounds as converters feed converters.
        for _ in 0..converters.len().min(MOST_CONVERTERS_IN_A_ROW) {
            for converter in &mut converters {
                let amps = self.converter_takes(converter, behind[converter.output as usize]);
                if let Some(source) = converter.source {
                    behind[source as usize] += amps - converter.amps;
                }
                converter.amps = amps;
            }
        }
        let running = converters.iter().filter(|converter| converter.amps > 0.0);
        moment
            .draws
            .extend(running.map(|converter| (converter.draw, converter.amps)));
    }

    /// The converters of which the moment itself does not say what they take.
    fn converters_of(&self, moment: &Moment) -> Vec<Converter> {
        let said: FxHashSet<u32> = moment.draws.iter().map(|&(draw, _)| draw).collect();
        let draws = self.wiring.draws.iter().zip(0u32..);
        draws
            .filter(|(wired, draw)| wired.kind == DrawKind::Converter && !said.contains(draw))
            .filter_map(|(wired, draw)| {
                Some(Converter {
                    draw,
                    output: self.supplies_of(wired.part).next()?.0,
                    source: self.source_of(wired.plus),
                    amps: 0.0,
                })
            })
            .collect()
    }

    /// The supply that reaches a node, an index into [`Wiring::supplies`].
    fn source_of(&self, node: NodeIndex) -> Option<u32> {
        self.live[node.index()].map(|reach| reach.source)
    }

    /// For each supply what a moment's draws take behind it, and what it charges itself, A.
    fn amps_behind(&self, moment: &Moment) -> Vec<f64> {
        let mut behind = vec![0.0; self.wiring.supplies.len()];
        for &(draw, amps) in &moment.draws {
            if let Some(source) = self.source_of(self.wiring.draws[draw as usize].plus) {
                behind[source as usize] += amps;
            }
        }
        for &(supply, amps) in &moment.charging {
            behind[supply as usize] += amps;
        }
        behind
    }

    fn converter_takes(&self, converter: &Converter, behind: f64) -> f64 {
        let most = self.wiring.supplies[converter.output as usize].amps;
        self.nominal_amps(converter.draw) * behind.min(most) / most.max(f64::MIN_POSITIVE)
    }

    /// A solar controller takes what its panels give: its panel side is one node.
    pub(super) fn panel_sinks(&self) -> impl Iterator<Item = Branch> {
        controllers(self.wiring).filter_map(|(controller, plus)| {
            let minus = self.wiring.terminal(controller.part, Term::InMinus)?;
            Some(Branch {
                from: plus.index() as u32,
                to: minus.index() as u32,
                ohms: 0.0,
                emf: 0.0,
            })
        })
    }

    /// What the panels of each solar controller give at its battery, A; none for a controller that
    /// no panel reaches.
    pub(in crate::study) fn controllers_most(&self) -> FxHashMap<PartId, f64> {
        let solar = solar_posts(self.wiring);
        let most = |(controller, plus): (&Supply, NodeIndex)| {
            let mut panels = panels_at(self.wiring, &solar, plus);
            panels.sort_unstable();
            let amps = |&panel: &u32| self.panel_amps_at_battery(panel, controller);
            (!panels.is_empty()).then(|| (controller.part, panels.iter().map(amps).sum()))
        };
        controllers(self.wiring).filter_map(most).collect()
    }

    /// A PWM passes the panels' current; an MPPT converts their power to the island's nominal
    /// voltage, for the emptier the battery the more current comes.
    fn panel_amps_at_battery(&self, panels: u32, controller: &Supply) -> f64 {
        let array = &self.wiring.supplies[panels as usize];
        let facts = self.facts(controller.part);
        if facts.word(Key::Technology) == Some("pwm") {
            return array.amps;
        }
        let share = facts
            .amount(Key::Efficiency)
            .map_or(defaults::MPPT.value, |percent| percent / 100.0);
        let one = self.facts(array.part);
        let count = |key| f64::from(one.count(key).unwrap_or(1));
        one.amount(Key::Watts).map_or(array.amps, |watts| {
            let power = watts * count(Key::Series) * count(Key::Parallel);
            power * share / self.volts_at(controller.plus)
        })
    }
}

/// The solar controllers, each with its panel side's `+`.
fn controllers(wiring: &Wiring) -> impl Iterator<Item = (&Supply, NodeIndex)> {
    let controllers = wiring
        .supplies
        .iter()
        .filter(|supply| supply.kind == SupplyKind::Controller);
    controllers.filter_map(|supply| Some((supply, wiring.terminal(supply.part, Term::InPlus)?)))
}

/// The solar panels by the node of their `+`.
fn solar_posts(wiring: &Wiring) -> FxHashMap<NodeIndex, Vec<u32>> {
    let mut posts: FxHashMap<NodeIndex, Vec<u32>> = FxHashMap::default();
    for (supply, index) in wiring.supplies.iter().zip(0u32..) {
        if supply.kind == SupplyKind::Solar {
            posts.entry(supply.plus).or_default().push(index);
        }
    }
    posts
}

/// The solar panels joined to a controller's panel side. Walks that side alone: a search of the
/// whole graph for each controller would grow with the square of the plan.
fn panels_at(
    wiring: &Wiring,
    solar: &FxHashMap<NodeIndex, Vec<u32>>,
    start: NodeIndex,
) -> Vec<u32> {
    let mut seen: FxHashSet<NodeIndex> = FxHashSet::from_iter([start]);
    let mut open = vec![start];
    let mut panels = Vec::new();
    while let Some(node) = open.pop() {
        panels.extend(solar.get(&node).into_iter().flatten());
        open.extend(sources_of(wiring, node).filter(|&next| seen.insert(next)));
    }
    panels
}

/// The neighbours that current can come from, every contact closed.
fn sources_of(wiring: &Wiring, node: NodeIndex) -> impl Iterator<Item = NodeIndex> {
    let passes = move |id: EdgeIndex, link| {
        everything_closed(id, link) && step(wiring, *link, node, Direction::Home).is_some()
    };
    wiring
        .graph
        .edges(node)
        .filter(move |edge| passes(edge.id(), edge.weight()))
        .map(move |edge| {
            if edge.source() == node {
                edge.target()
            } else {
                edge.source()
            }
        })
}
