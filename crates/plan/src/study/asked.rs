//! What asks for a figure, solved again when somebody asks: a load or a source taken alone, as the
//! contacts stood where it asked the most.
//!
//! The study keeps only the largest figure of each edge over all of these; whoever wants every
//! voltage of one of them gets it here.

use std::borrow::Cow;

use super::{
    cables::DesignBy,
    moments::{Label, Moment, Stand},
    rule::Solved,
};
use crate::{Plan, wiring::SupplyKind};

impl Plan {
    /// The by-rule answer in which a design current was found; `None` where nothing flows. For a
    /// load on top of everything it is everything without it.
    pub fn solved_by(&self, by: DesignBy) -> Option<Cow<'_, Solved>> {
        match by {
            DesignBy::Nothing => None,
            DesignBy::Moment(index) | DesignBy::OnTop(_, index) => {
                self.study.rule.moments.get(index).map(Cow::Borrowed)
            }
            DesignBy::Alone(draw, stand) => self.alone(draw, stand).map(Cow::Owned),
            DesignBy::Charging(supply, stand) => self.charging(supply, stand).map(Cow::Owned),
            DesignBy::Panels(_, stand) => Some(Cow::Owned(self.sunny(SupplyKind::Solar, stand))),
            DesignBy::Controllers(_, stand) => {
                Some(Cow::Owned(self.sunny(SupplyKind::Controller, stand)))
            }
        }
    }

    /// One load alone at its full, by the rule.
    pub fn alone(&self, draw: u32, stand: Stand) -> Option<Solved> {
        let moment = self.moment_alone(draw, stand)?;
        Some(Solved::of(&self.circuit(), moment))
    }

    /// One charging source alone at its maximum, by the rule.
    pub fn charging(&self, supply: u32, stand: Stand) -> Option<Solved> {
        self.wiring.supplies.get(supply as usize)?;
        Some(self.charging_together(vec![supply], stand))
    }

    /// All panels, or all controllers, in full sun, by the rule: panels at their short-circuit
    /// currents.
    fn sunny(&self, kind: SupplyKind, stand: Stand) -> Solved {
        let supplies = self.wiring.supplies.iter().zip(0u32..);
        let sunny = supplies.filter(|(supply, _)| supply.kind == kind);
        self.charging_together(sunny.map(|(_, index)| index).collect(), stand)
    }

    fn charging_together(&self, supplies: Vec<u32>, stand: Stand) -> Solved {
        let circuit = self.circuit();
        let mut closed = circuit.standing(stand);
        circuit.set_charging(&mut closed, supplies.iter().copied(), |_| stand.apart);
        let most = |supply: u32| circuit.most_of(&self.wiring.supplies[supply as usize]);
        let moment = Moment {
            label: Label::Everything(stand),
            closed: closed.into(),
            only: stand.only,
            draws: Vec::new(),
            charging: supplies
                .into_iter()
                .map(|supply| (supply, most(supply)))
                .collect(),
        };
        Solved::of(&circuit, moment)
    }

    /// The moment of one load alone at its full, the switches on its way closed.
    pub(super) fn moment_alone(&self, draw: u32, stand: Stand) -> Option<Moment> {
        let circuit = self.circuit();
        let wired = self.wiring.draws.get(draw as usize)?;
        let mut closed = circuit.standing(stand);
        circuit.close_only_ways(&mut closed, std::iter::once(draw));
        circuit.close_way(&circuit.live, wired.plus, &mut closed);
        circuit.close_way(&circuit.home, wired.minus, &mut closed);
        Some(Moment {
            label: Label::Everything(stand),
            closed: closed.into(),
            only: stand.only,
            draws: vec![(draw, circuit.nominal_amps(draw))],
            charging: Vec::new(),
        })
    }
}
