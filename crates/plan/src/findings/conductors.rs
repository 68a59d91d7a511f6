//! The family *conductors*: what they carry and what they lose.

use ampwright_electrics::{
    conductor::{Size, area},
    protection::adiabatic,
    quantity::Celsius,
};

use super::{Desk, registry::Code};
use crate::{
    finding::{Finding, Severity},
    say,
    study::{
        cables::{DesignBy, brief_at},
        moments::Label,
        reach::way_to,
    },
    wiring::{Conductor, Way},
};

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    undersized(desk, found);
    overheated(desk, found);
    drops(desk, found);
    below_minimum(desk, found);
}

/// Design current over derated ampacity. What `back` made has its way out's current and size, so
/// it is said once, on the way out.
fn undersized(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let mut said: rustc_hash::FxHashSet<(u32, (bool, u64))> = rustc_hash::FxHashSet::default();
    for (index, conductor) in desk.plan.wiring.conductors.iter().enumerate() {
        let cable = &desk.plan.study.cables[index];
        let amps = cable.design.amps;
        let (Some(size), Some((allowed, worst))) =
            (conductor.size, cable.may_carry().broken_by(amps))
        else {
            continue;
        };
        let key = (conductor.run, crate::study::size_key(size));
        if !said.insert(key) && conductor.made {
            continue;
        }
        let certain = cable.design.certain > allowed + 1e-6;
        let severity = desk.soften(certain, worst);
        let message = format!(
            "This {} conductor carries {} in {}, and may carry {} where it lies.",
            say::size(size),
            say::amps(amps),
            desk.asked_by(cable.design.by),
            say::amps(allowed),
        );
        found.push(
            Finding::new(Code::UndersizedConductor, conductor.site, message)
                .at(severity)
                .measuring(amps, allowed, "A"),
        );
    }
}

/// A brief current is held against what heats the copper: I²t over k²S² (IEC 60364-5-54).
fn overheated(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let plan = desk.plan;
    for (index, conductor) in plan.wiring.conductors.iter().enumerate() {
        let Some((brief, draw)) = brief_at(&plan.study.rule, conductor.edge) else {
            continue;
        };
        let (Some(size), Some(seconds)) = (conductor.size, plan.study.base.brief[draw as usize])
        else {
            continue;
        };
        let amps = brief + plan.study.cables[index].design.amps;
        let k = adiabatic::k(Celsius(plan.study.cables[index].stuff.insulation));
        let mm2 = area(size, desk.circuit.rules.areas()).0 * f64::from(conductor.parallel);
        let allowed = k.value * mm2 / seconds.max(1e-3).sqrt();
        if amps <= allowed + 1e-6 {
            continue;
        }
        let name = &plan.model.get(plan.wiring.draws[draw as usize].part).name;
        let message = format!(
            "{name} draws {} through this {} conductor for {seconds} s, which its copper bears only up to {}.",
            say::amps(amps),
            say::size(size),
            say::amps(allowed),
        );
        found.push(
            Finding::new(Code::UndersizedConductor, conductor.site, message)
                .measuring(amps, allowed, "A"),
        );
    }
}

impl Desk<'_> {
    /// What asks for a design current, in words.
    pub(crate) fn asked_by(&self, by: DesignBy) -> String {
        let draw_name = |draw: u32| {
            &self
                .plan
                .model
                .get(self.plan.wiring.draws[draw as usize].part)
                .name
        };
        match by {
            DesignBy::Nothing => "no moment".to_owned(),
            DesignBy::Moment(index) => self.moment_name(index),
            DesignBy::Alone(draw) => format!("{} alone", draw_name(draw)),
            DesignBy::OnTop(draw, index) => format!(
                "{} with {} on top",
                self.moment_name(index),
                draw_name(draw)
            ),
            DesignBy::Charging(supply) => {
                format!(
                    "charging from {}",
                    self.plan
                        .model
                        .get(self.plan.wiring.supplies[supply as usize].part)
                        .name
                )
            }
        }
    }
}

/// A drop over its limit, held against the conductor that loses the most of it.
struct Drop {
    draw: u32,
    volts: f64,
    moment: Option<usize>,
    limit: f64,
    worst: Severity,
    nominal: f64,
    certain: bool,
}

fn drops(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let mut by_culprit: std::collections::BTreeMap<u32, Vec<Drop>> =
        std::collections::BTreeMap::new();
    for draw in 0..desk.plan.wiring.draws.len() as u32 {
        let Some(drop) = worst_drop(desk, draw) else {
            continue;
        };
        if let Some(culprit) = culprit(desk, &drop) {
            by_culprit.entry(culprit).or_default().push(drop);
        }
    }
    for (conductor, mut drops) in by_culprit {
        drops.sort_by(|a, b| {
            (b.certain, b.volts / b.nominal)
                .partial_cmp(&(a.certain, a.volts / a.nominal))
                .unwrap_or(std::cmp::Ordering::Equal)
        });
        found.extend(excess(desk, conductor, &drops));
    }
}

/// The worst drop of a draw that is over its limit: first where it is certain.
fn worst_drop(desk: &Desk<'_>, draw: u32) -> Option<Drop> {
    let plan = desk.plan;
    let wired = &plan.wiring.draws[draw as usize];
    let nominal = desk.circuit.draw_volts(draw);
    let limit = desk.circuit.drop_limit(draw);
    let mut worst: Option<Drop> = None;
    let alone = plan.study.rule.alone_drop[draw as usize];
    let moments = plan
        .study
        .rule
        .moments
        .iter()
        .enumerate()
        .filter_map(|(index, solved)| {
            let on = solved.powered[draw as usize] && solved.moment.charging.is_empty();
            let drawn = on && solved.moment.draws.iter().any(|&(other, _)| other == draw);
            drawn.then(|| {
                (
                    Some(index),
                    solved.drop_at(wired.plus, wired.minus),
                    matches!(solved.moment.label, Label::Case(_)),
                )
            })
        });
    for (moment, volts, certain) in std::iter::once((None, alone, true)).chain(moments) {
        let Some((limit, worst_severity)) = limit.broken_by(volts / nominal * 100.0) else {
            continue;
        };
        let drop = Drop {
            draw,
            volts,
            moment,
            limit,
            worst: worst_severity,
            nominal,
            certain,
        };
        let rank = |drop: &Drop| (drop.worst, drop.certain, drop.volts);
        if worst.as_ref().is_none_or(|worst| rank(&drop) > rank(worst)) {
            worst = Some(drop);
        }
    }
    worst
}

/// The conductor on the way that loses the most.
fn culprit(desk: &Desk<'_>, drop: &Drop) -> Option<u32> {
    let circuit = &desk.circuit;
    let wired = &circuit.wiring.draws[drop.draw as usize];
    let ways = way_to(&circuit.live, wired.plus).chain(way_to(&circuit.home, wired.minus));
    let loss = |conductor: u32| {
        let amps = desk.amps_in(conductor, drop.moment, drop.draw);
        amps.abs() * circuit.rule_ohms[conductor as usize].unwrap_or(0.0)
    };
    let conductors = ways.filter_map(|(edge, _)| circuit.conductor_of(edge));
    conductors
        .map(|index| (loss(index), index))
        .fold(None, |best: Option<(f64, u32)>, next| {
            if best.is_none_or(|best| next.0 > best.0 + 1e-9) {
                Some(next)
            } else {
                best
            }
        })
        .map(|(_, index)| index)
}

impl Desk<'_> {
    /// A conductor's current in a moment, or with one load alone, A.
    fn amps_in(&self, conductor: u32, moment: Option<usize>, draw: u32) -> f64 {
        let edge = self.plan.wiring.conductors[conductor as usize].edge.index();
        match moment {
            Some(moment) => self.plan.study.rule.moments[moment].amps[edge],
            None => self.circuit.nominal_amps(draw),
        }
    }
}

fn excess(desk: &Desk<'_>, conductor: u32, drops: &[Drop]) -> Option<Finding> {
    let worst = drops.first()?;
    let plan = desk.plan;
    let name = |draw: u32| &plan.model.get(plan.wiring.draws[draw as usize].part).name;
    let site = plan.wiring.conductors[conductor as usize].site;
    let moment = worst.moment.map_or_else(
        || format!("{} alone", name(worst.draw)),
        |index| desk.moment_name(index),
    );
    let percent = worst.volts / worst.nominal * 100.0;
    let message = format!(
        "On the way to {} and back {} are lost in {moment}, {}; {} are allowed, and this conductor loses the most.",
        name(worst.draw),
        say::volts(worst.volts),
        say::percent(percent),
        say::percent(worst.limit),
    );
    let severity = desk.soften(worst.certain, Severity::Warning.min(worst.worst));
    let mut finding = Finding::new(Code::ExcessDrop, site, message)
        .at(severity)
        .measuring(percent, worst.limit, "%");
    for drop in drops.iter().take(8) {
        let part = plan.wiring.draws[drop.draw as usize].part;
        let message = format!(
            "{} loses {}",
            name(drop.draw),
            say::percent(drop.volts / drop.nominal * 100.0)
        );
        finding = finding.beside(desk.name_site(part), message);
    }
    Some(finding)
}

fn below_minimum(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for conductor in desk
        .plan
        .wiring
        .conductors
        .iter()
        .filter(|conductor| !(conductor.made && conductor.way == Way::Home))
    {
        found.extend(minimum(desk, conductor));
    }
}

fn minimum(desk: &Desk<'_>, conductor: &Conductor) -> Option<Finding> {
    let size = conductor.size?;
    let rules = desk.circuit.rules;
    let mm2 = |size: Size| area(size, rules.areas()).0;
    let exempt = rules
        .minimum_size_exempt_length()
        .map_or(0.0, |metres| metres.value.0);
    if conductor.metres.is_some_and(|metres| metres <= exempt) {
        return None;
    }
    let limits = rules.checked_limits(|rules| rules.minimum_size(conductor.sheathed));
    let broken = limits
        .map(|(_, limit)| limit)
        .filter(|limit| mm2(size) < mm2(limit.value) - 1e-6);
    let limit = broken.max_by_key(|limit| limit.tag.may_be_error())?;
    let severity = if limit.tag.may_be_error() {
        Severity::Warning
    } else {
        Severity::Advice
    };
    let lies = if conductor.sheathed {
        "in a sheath"
    } else {
        "where it is not in a sheath"
    };
    let message = format!(
        "This conductor has {}; the smallest that the rule allows {lies} is {}.",
        say::size(size),
        say::size(limit.value),
    );
    let finding = Finding::new(Code::BelowMinimumSize, conductor.site, message).at(severity);
    Some(finding.measuring(mm2(size), mm2(limit.value), "mm2"))
}
