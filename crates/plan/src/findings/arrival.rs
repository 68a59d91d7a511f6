//! What arrives at a load, as wired: `cannot-deliver`, `low-voltage`, `runs-low`.
//!
//! One cause is one finding: what can never be delivered is not low as well, what the rule's drop
//! is exceeded for does not run low as well, and what one conductor takes from many loads is said
//! once, at the load that is worst off.

use std::collections::BTreeMap;

use ampwright_electrics::{defaults, network::Law, quantity::Volts};
use ampwright_notation::Key;

use super::{Desk, drops, registry::Code};
use crate::{
    finding::{Finding, Severity},
    say,
    site::Site,
    study::{cables::DesignBy, wired::Lowest},
    wiring::DrawKind,
};

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    cannot_deliver(desk, found);
    let low = low(desk);
    let over = if low.iter().any(|low| low.own.is_none()) || any_runs_low(desk) {
        drops::over_by_rule(desk)
    } else {
        Vec::new()
    };
    let is_over = |draw: u32| over.get(draw as usize).copied().unwrap_or(false);
    let mut is_low = vec![false; desk.plan.wiring.draws.len()];
    for low in &low {
        is_low[low.draw as usize] = true;
    }
    low_voltage(desk, &low, is_over, found);
    runs_low(desk, |draw| is_over(draw) || is_low[draw as usize], found);
}

/// One finding for each load whose cable can never deliver what it asks for: alone, else in a case,
/// else in everything.
fn cannot_deliver(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let wired = &desk.plan.study.wired;
    for (draw, _) in wired
        .undeliverable
        .iter()
        .enumerate()
        .filter(|(_, cannot)| **cannot)
    {
        let draw = draw as u32;
        let alone = wired.alone[draw as usize].filter(|alone| alone.volts.is_none());
        let (severity, message) = match alone {
            Some(alone) => (
                Severity::Error,
                cannot_alone(desk, draw, alone.seen.most_watts()),
            ),
            None => cannot_together(desk, draw),
        };
        found.push(desk.undelivered(draw, severity, message));
    }
}

impl Desk<'_> {
    /// On the conductor that loses the most: a larger one mends it.
    fn undelivered(&self, draw: u32, severity: Severity, message: String) -> Finding {
        let name = self.name_site(self.plan.wiring.draws[draw as usize].part);
        let culprit = drops::most_lost(self, draw, None);
        let conductor = culprit.map(|index| self.plan.wiring.conductors[index as usize].site);
        let finding = Finding::new(Code::CannotDeliver, conductor.unwrap_or(name), message);
        let finding = finding.at(severity);
        if conductor.is_some() {
            finding.beside(name, "the load")
        } else {
            finding
        }
    }
}

/// What a draw asks for, as it is written.
fn asks(desk: &Desk<'_>, draw: u32) -> String {
    match desk.circuit.law_at(draw, desk.circuit.nominal_amps(draw)) {
        Law::Power(watts) => say::figure(watts, "W"),
        Law::Current(amps) => say::amps(amps),
        Law::Resistance(ohms) => say::figure(ohms, "Ω"),
    }
}

fn cannot_alone(desk: &Desk<'_>, draw: u32, most: f64) -> String {
    let name = desk.plan.draw_name(draw);
    let seen = desk.plan.study.wired.alone[draw as usize].map(|alone| alone.seen);
    let most = match desk.circuit.law_at(draw, desk.circuit.nominal_amps(draw)) {
        Law::Power(_) => say::figure(most, "W"),
        _ => say::amps(seen.map_or(0.0, |seen| seen.volts / seen.ohms)),
    };
    format!(
        "{name} asks for {}, and as wired its cables can never deliver more than {most}, even with all else off.",
        asks(desk, draw)
    )
}

fn cannot_together(desk: &Desk<'_>, draw: u32) -> (Severity, String) {
    let wired = &desk.plan.study.wired;
    let moments = wired.moments.iter().enumerate();
    let mut moments = moments.filter(|(_, answer)| answer.undeliverable.contains(&draw));
    let name = desk.plan.draw_name(draw);
    if let Some((moment, _)) = moments.next() {
        let severity = desk.soften(desk.is_case(moment), Severity::Error);
        let message = format!(
            "{name} asks for {}, which as wired its cables cannot deliver in {}, with what runs beside it.",
            asks(desk, draw),
            desk.plan.moment_name(moment)
        );
        return (severity, message);
    }
    let top = wired
        .tops
        .iter()
        .find(|top| top.draw == draw && !top.delivered);
    let when = top.map_or_else(String::new, |top| desk.plan.on_top(top));
    let asks = top.map_or(0.0, |top| top.asks);
    let certain = top.is_some_and(|top| desk.is_case(top.moment));
    let message = format!(
        "{name} asks for {}, which as wired its cables cannot deliver {when}.",
        say::amps(asks)
    );
    (desk.soften(certain, Severity::Warning), message)
}

/// A draw below its limit.
struct Low {
    draw: u32,
    volts: f64,
    limit: f64,
    /// Where the load says its own minimum.
    own: Option<Site>,
    by: DesignBy,
    certain: bool,
}

fn low(desk: &Desk<'_>) -> Vec<Low> {
    let wired = &desk.plan.study.wired;
    let draws = (0..desk.plan.wiring.draws.len() as u32).filter(|draw| {
        let cannot = wired.undeliverable.get(*draw as usize);
        !cannot.copied().unwrap_or(false)
    });
    draws.filter_map(|draw| low_at(desk, draw)).collect()
}

fn low_at(desk: &Desk<'_>, draw: u32) -> Option<Low> {
    let wired = &desk.plan.study.wired;
    let ends = &desk.plan.wiring.draws[draw as usize];
    let lowest = wired.lowest[draw as usize]?;
    let certain = wired.lowest_certain[draw as usize];
    let usual = defaults::at_nominal(defaults::LOW_VOLTS, Volts(desk.circuit.draw_volts(draw)));
    let minimum = (ends.kind == DrawKind::Load)
        .then(|| desk.circuit.facts(ends.part).amount(Key::Minimum))
        .flatten();
    let limit = minimum.unwrap_or(usual.value.0);
    let is_under = |lowest: &Lowest| lowest.volts < limit - 1e-6;
    // What is sure speaks first, even where everything together brings it lower still.
    let under = certain.filter(is_under).unwrap_or(lowest);
    let brief = desk.plan.study.base.brief[draw as usize].is_some();
    let counts = minimum.is_some() || (!brief && desk.counts(under.certain));
    (is_under(&under) && counts).then(|| Low {
        draw,
        volts: under.volts,
        limit,
        own: minimum.map(|_| desk.fact_site(ends.part, Key::Minimum)),
        by: under.by,
        certain: under.certain,
    })
}

fn low_voltage(
    desk: &Desk<'_>,
    low: &[Low],
    is_over: impl Fn(u32) -> bool,
    found: &mut Vec<Finding>,
) {
    for own in low.iter().filter(|low| low.own.is_some()) {
        found.push(under_its_minimum(desk, own));
    }
    let usual = low
        .iter()
        .filter(|low| low.own.is_none() && !is_over(low.draw));
    let mut by_culprit: BTreeMap<Option<u32>, Vec<&Low>> = BTreeMap::new();
    for low in usual {
        let culprit = drops::most_lost(desk, low.draw, moment_of(low.by));
        by_culprit.entry(culprit).or_default().push(low);
    }
    found.extend(
        by_culprit
            .values()
            .filter_map(|low| under_the_usual(desk, low)),
    );
}

const fn moment_of(by: DesignBy) -> Option<usize> {
    match by {
        DesignBy::Moment(moment) | DesignBy::OnTop(_, moment) => Some(moment),
        _ => None,
    }
}

fn under_its_minimum(desk: &Desk<'_>, low: &Low) -> Finding {
    let (gets, needs) = say::volts_apart(low.volts, low.limit);
    let message = format!(
        "As wired {} gets {gets} {}; it needs at least {needs}.",
        desk.plan.draw_name(low.draw),
        desk.plan.least_by(low.by),
    );
    let part = desk.plan.wiring.draws[low.draw as usize].part;
    let site = low.own.unwrap_or_else(|| desk.name_site(part));
    Finding::new(Code::LowVoltage, site, message)
        .at(desk.soften(low.certain, Severity::Warning))
        .measuring(low.limit - low.volts, 0.0, "V")
}

fn under_the_usual(desk: &Desk<'_>, low: &[&Low]) -> Option<Finding> {
    let share = |low: &Low| low.volts / low.limit;
    let worst = low.iter().copied().reduce(|most, next| {
        if share(next) < share(most) - 1e-9 {
            next
        } else {
            most
        }
    })?;
    let message = format!(
        "As wired {} gets {} {}, and most equipment wants at least {} (common practice).",
        desk.plan.draw_name(worst.draw),
        say::volts(worst.volts),
        desk.plan.least_by(worst.by),
        say::volts(worst.limit),
    );
    let site = desk.name_site(desk.plan.wiring.draws[worst.draw as usize].part);
    let mut finding = Finding::new(Code::LowVoltage, site, message)
        .at(Severity::Advice)
        .measuring(worst.limit - worst.volts, 0.0, "V");
    for other in low
        .iter()
        .filter(|low| low.draw != worst.draw)
        .take(MOST_NAMED)
    {
        let name = desk.plan.draw_name(other.draw);
        let message = format!("{name} gets {}", say::volts(other.volts));
        let site = desk.name_site(desk.plan.wiring.draws[other.draw as usize].part);
        finding = finding.beside(site, message);
    }
    Some(finding)
}

/// A draw that loses far more as wired than by the rule.
#[derive(Clone, Copy)]
struct Lossy {
    draw: u32,
    moment: usize,
    lost: f64,
    rule: f64,
    /// Per cent.
    share: f64,
    limit: f64,
}

/// How much more than by the rule is far more.
const FAR_MORE: f64 = 1.5;

fn lossy<'a>(desk: &'a Desk<'_>) -> impl Iterator<Item = Lossy> + 'a {
    let study = &desk.plan.study;
    let moments = study
        .rule
        .moments
        .iter()
        .zip(&study.wired.moments)
        .enumerate();
    let quiet = moments.filter(|(_, (solved, _))| {
        solved.moment.charging.is_empty() && desk.counts(solved.moment.is_case())
    });
    quiet
        .flat_map(move |(moment, (solved, answer))| {
            answer.draws.iter().filter_map(move |at| {
                let ends = &desk.plan.wiring.draws[at.draw as usize];
                let rule = solved.drop_at(ends.plus, ends.minus);
                let nominal = desk.circuit.draw_volts(at.draw);
                let share = 100.0 * at.lost / nominal;
                // A starter is built for what cranking leaves.
                let brief = desk.plan.study.base.brief[at.draw as usize].is_some();
                let drawn = at.amps > 0.0 && at.volts > 0.0 && !brief;
                let more = at.lost > FAR_MORE * rule && drawn;
                // The strictest limit of any rule set is far above this.
                (more && share > LEAST_SHARE).then(|| Lossy {
                    draw: at.draw,
                    moment,
                    lost: at.lost,
                    rule,
                    share,
                    limit: desk.circuit.drop_limit(at.draw).strict(),
                })
            })
        })
        .filter(|lossy| lossy.share > lossy.limit + 1e-6)
}

/// Per cent; less is never over a limit.
const LEAST_SHARE: f64 = 0.5;

fn any_runs_low(desk: &Desk<'_>) -> bool {
    lossy(desk).next().is_some()
}

fn runs_low(desk: &Desk<'_>, has_other: impl Fn(u32) -> bool, found: &mut Vec<Finding>) {
    let mut worst: BTreeMap<u32, Lossy> = BTreeMap::new();
    let cannot = &desk.plan.study.wired.undeliverable;
    for next in lossy(desk).filter(|lossy| !has_other(lossy.draw) && !cannot[lossy.draw as usize]) {
        let known = worst.entry(next.draw).or_insert(next);
        if next.share > known.share + 1e-9 {
            *known = next;
        }
    }
    let mut by_culprit: BTreeMap<Option<u32>, Vec<Lossy>> = BTreeMap::new();
    for lossy in worst.into_values() {
        let culprit = drops::most_lost(desk, lossy.draw, Some(lossy.moment));
        by_culprit.entry(culprit).or_default().push(lossy);
    }
    found.extend(
        by_culprit
            .values()
            .filter_map(|lossy| far_worse(desk, lossy)),
    );
}

fn far_worse(desk: &Desk<'_>, lossy: &[Lossy]) -> Option<Finding> {
    let worst = lossy.iter().copied().reduce(|most, next| {
        if next.share > most.share + 1e-9 {
            next
        } else {
            most
        }
    })?;
    let message = format!(
        "As wired {} loses {} in {}, {}; by the rule it would be {}, and {} are allowed.",
        desk.plan.draw_name(worst.draw),
        say::volts(worst.lost),
        desk.plan.moment_name(worst.moment),
        say::percent(worst.share),
        say::volts(worst.rule),
        say::percent(worst.limit),
    );
    let site = |draw: u32| desk.name_site(desk.plan.wiring.draws[draw as usize].part);
    let mut finding = Finding::new(Code::RunsLow, site(worst.draw), message).measuring(
        worst.share,
        worst.limit,
        "%",
    );
    for other in lossy
        .iter()
        .filter(|other| other.draw != worst.draw)
        .take(MOST_NAMED)
    {
        let name = desk.plan.draw_name(other.draw);
        finding = finding.beside(
            site(other.draw),
            format!("{name} loses {}", say::percent(other.share)),
        );
    }
    Some(finding)
}

/// Loads named beside the one that is worst off.
const MOST_NAMED: usize = 8;
