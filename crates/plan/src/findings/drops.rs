//! `excess-drop`: too much voltage lost on the way to a load and back, or to a panel and back.
//!
//! Held against the conductor that loses the most of it, so that one thin feeder is one finding
//! and not one for each lamp behind it. In moments without charging only.

use std::collections::BTreeMap;

use ampwright_notation::{Key, Kind};
use petgraph::graph::NodeIndex;

use super::{Desk, registry::Code};
use crate::{
    finding::{Finding, Severity},
    model::PartId,
    say,
    study::{limits::Limit, moments::Label, reach::way_to, rule::Solved},
    wiring::{Draw, Term},
};

/// What a drop is measured at: from the source to `plus`, and from `minus` back.
#[derive(Clone, Copy)]
struct Target {
    part: PartId,
    plus: NodeIndex,
    minus: NodeIndex,
    /// V.
    nominal: f64,
    limit: Limit,
}

/// A drop over its limit.
#[derive(Clone, Copy)]
struct Drop {
    target: Target,
    volts: f64,
    /// `None`: the load alone.
    moment: Option<usize>,
    limit: f64,
    worst: Severity,
    /// Not only in `everything`.
    certain: bool,
}

impl Drop {
    fn percent(&self) -> f64 {
        self.volts / self.target.nominal * 100.0
    }

    /// The one to speak of first.
    fn outranks(&self, other: &Self) -> bool {
        let rank = |drop: &Self| (drop.worst, drop.certain, drop.percent());
        rank(self) > rank(other)
    }
}

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let mut by_culprit: BTreeMap<u32, Vec<Drop>> = BTreeMap::new();
    for drop in worst_of_draws(desk)
        .into_iter()
        .chain(panels(desk))
        .flatten()
    {
        if let Some(culprit) = culprit(desk, &drop) {
            by_culprit.entry(culprit).or_default().push(drop);
        }
    }
    for (conductor, mut drops) in by_culprit {
        drops.sort_by(|a, b| b.outranks(a).cmp(&a.outranks(b)));
        found.extend(excess(desk, conductor, &drops));
    }
}

/// For each draw whether the rule's drop is exceeded for it.
pub(super) fn over_by_rule(desk: &Desk<'_>) -> Vec<bool> {
    let worst = worst_of_draws(desk).into_iter();
    worst.map(|worst| worst.is_some()).collect()
}

/// The conductor on a draw's way there and back that loses the most by the rule in a moment, or
/// with the draw alone.
pub(super) fn most_lost(desk: &Desk<'_>, draw: u32, moment: Option<usize>) -> Option<u32> {
    let target = target_of(desk, &desk.plan.wiring.draws[draw as usize], draw);
    let drop = Drop {
        target,
        volts: 0.0,
        moment,
        limit: 0.0,
        worst: Severity::Advice,
        certain: true,
    };
    culprit(desk, &drop)
}

/// For each draw its worst drop over the limit. What can never be delivered has its own finding.
fn worst_of_draws(desk: &Desk<'_>) -> Vec<Option<Drop>> {
    let rule = &desk.plan.study.rule;
    let targets: Vec<Target> = (desk.plan.wiring.draws.iter().zip(0..))
        .map(|(wired, draw)| target_of(desk, wired, draw))
        .collect();
    let alone = targets.iter().zip(&rule.alone_drop);
    let mut worst: Vec<Option<Drop>> = alone
        .map(|(&target, &volts)| over(target, volts, None, true))
        .collect();
    for (index, solved) in discharging(desk) {
        let draws = solved.moment.draws.iter().map(|&(draw, _)| draw as usize);
        for draw in draws.filter(|&draw| solved.powered[draw]) {
            keep_worse(&mut worst[draw], over_in(targets[draw], solved, index));
        }
    }
    for (worst, cannot) in worst.iter_mut().zip(&desk.plan.study.wired.undeliverable) {
        worst.take_if(|_| *cannot);
    }
    worst
}

fn target_of(desk: &Desk<'_>, wired: &Draw, draw: u32) -> Target {
    Target {
        part: wired.part,
        plus: wired.plus,
        minus: wired.minus,
        nominal: desk.circuit.draw_volts(draw),
        limit: desk.circuit.drop_limit(draw),
    }
}

/// The moments in which nothing charges: a charging source holds the voltage up.
fn discharging<'a>(desk: &Desk<'a>) -> impl Iterator<Item = (usize, &'a Solved)> {
    let moments = desk.plan.study.rule.moments.iter().enumerate();
    moments.filter(|(_, solved)| solved.moment.charging.is_empty())
}

/// A moment's drop, where it is over its limit.
fn over_in(target: Target, solved: &Solved, index: usize) -> Option<Drop> {
    let certain = matches!(solved.moment.label, Label::Case(_));
    let volts = solved.drop_at(target.plus, target.minus);
    over(target, volts, Some(index), certain)
}

fn over(target: Target, volts: f64, moment: Option<usize>, certain: bool) -> Option<Drop> {
    let (limit, worst) = target.limit.broken_by(volts / target.nominal * 100.0)?;
    Some(Drop {
        target,
        volts,
        moment,
        limit,
        worst,
        certain,
    })
}

fn keep_worse(known: &mut Option<Drop>, next: Option<Drop>) {
    if let Some(next) = next.filter(|next| known.is_none_or(|known| next.outranks(&known))) {
        *known = Some(next);
    }
}

/// A panel's main feed, to its feed and back from the bar it returns to, where the rule set has a
/// limit of its own for that.
fn panels(desk: &Desk<'_>) -> Vec<Option<Drop>> {
    let limit = desk.circuit.feeder_limit();
    if limit == Limit::NONE {
        return Vec::new();
    }
    let panels = desk
        .plan
        .model
        .ids()
        .filter(|(_, part)| part.kind == Kind::Panel);
    panels
        .map(|(id, _)| worst_of_panel(desk, id, limit))
        .collect()
}

fn worst_of_panel(desk: &Desk<'_>, panel: PartId, limit: Limit) -> Option<Drop> {
    let plan = desk.plan;
    let bar = plan
        .model
        .part(desk.circuit.facts(panel).name(Key::Returns)?)?;
    let plus = plan.wiring.terminal(panel, Term::Feed(1))?;
    let minus = plan.wiring.terminal(bar, Term::Bar)?;
    let nominal = desk.circuit.live[plus.index()]?.volts;
    let target = Target {
        part: panel,
        plus,
        minus,
        nominal,
        limit,
    };
    let mut worst = None;
    for (index, solved) in discharging(desk) {
        keep_worse(&mut worst, over_in(target, solved, index));
    }
    worst
}

/// The conductor on the way that loses the most.
fn culprit(desk: &Desk<'_>, drop: &Drop) -> Option<u32> {
    let circuit = &desk.circuit;
    let ways =
        way_to(&circuit.live, drop.target.plus).chain(way_to(&circuit.home, drop.target.minus));
    let losses = ways
        .filter_map(|(edge, _)| circuit.conductor_of(edge))
        .map(|index| (desk.loss_in(index, drop), index));
    let most = losses.reduce(|most, next| if next.0 > most.0 + 1e-9 { next } else { most });
    most.map(|(_, index)| index)
}

impl Desk<'_> {
    /// What a conductor loses where a drop was found, V.
    fn loss_in(&self, conductor: u32, drop: &Drop) -> f64 {
        let ohms = self.circuit.rule_ohms[conductor as usize].unwrap_or(0.0);
        self.amps_in(conductor, drop).abs() * ohms
    }

    fn alone_name(&self, part: PartId) -> String {
        let draw = self.circuit.draw_of.get(&part).copied().unwrap_or(u32::MAX);
        let stand = self.plan.study.rule.alone_stand(draw);
        self.plan.alone_name(draw, stand)
    }

    /// A conductor's current where a drop was found, A.
    fn amps_in(&self, conductor: u32, drop: &Drop) -> f64 {
        let edge = self.plan.wiring.conductors[conductor as usize].edge.index();
        match (drop.moment, self.circuit.draw_of.get(&drop.target.part)) {
            (Some(moment), _) => self.plan.study.rule.moments[moment].amps[edge],
            (None, Some(&draw)) => self.circuit.nominal_amps(draw),
            (None, None) => 0.0,
        }
    }
}

fn excess(desk: &Desk<'_>, conductor: u32, drops: &[Drop]) -> Option<Finding> {
    let worst = drops.first()?;
    let name = |drop: &Drop| &desk.plan.model.get(drop.target.part).name;
    let moment = worst.moment.map_or_else(
        || desk.alone_name(worst.target.part),
        |index| desk.plan.moment_name(index),
    );
    let message = format!(
        "On the way to {} and back {} are lost in {moment}, {}; {} are allowed, and this conductor loses the most.",
        name(worst),
        say::volts(worst.volts),
        say::percent(worst.percent()),
        say::percent(worst.limit),
    );
    let severity = desk.soften(worst.certain, Severity::Warning.min(worst.worst));
    let site = desk.plan.wiring.conductors[conductor as usize].site;
    let mut finding = Finding::new(Code::ExcessDrop, site, message)
        .at(severity)
        .measuring(worst.percent(), worst.limit, "%");
    for drop in drops.iter().take(MOST_NAMED) {
        let message = format!("{} loses {}", name(drop), say::percent(drop.percent()));
        finding = finding.beside(desk.name_site(drop.target.part), message);
    }
    Some(finding)
}

/// Loads named beside one conductor; more would bury the first.
const MOST_NAMED: usize = 8;
