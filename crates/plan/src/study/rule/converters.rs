//! Converters and solar controllers by the rule: what they take or give follows from what is on
//! their other side.

use ampwright_electrics::network::Branch;
use petgraph::graph::NodeIndex;
use rustc_hash::FxHashSet;

use crate::{
    study::{Circuit, moments::Moment},
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
}

/// The solar controllers, each with its panel side's `+`.
fn controllers(wiring: &Wiring) -> impl Iterator<Item = (&Supply, NodeIndex)> {
    let controllers = wiring
        .supplies
        .iter()
        .filter(|supply| supply.kind == SupplyKind::Controller);
    controllers.filter_map(|supply| Some((supply, wiring.terminal(supply.part, Term::InPlus)?)))
}
