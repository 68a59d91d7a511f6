//! A load unfolded: what it draws, what it may lose, and its way with the volts left.

use ampwright_electrics::quantity::{Amperes, Volts};
use ampwright_notation::units::plain;
use ampwright_plan::{Plan, say, wiring::Law};

use super::{Section, Step, Unfolding};
use crate::{
    phrase,
    way::{self, Way, What},
};

pub(super) fn unfold(plan: &Plan, draw: u32) -> Option<Unfolding> {
    plan.wiring.draws.get(draw as usize)?;
    // What arrives as wired in every moment, and what a day takes, belong here, a section each.
    let sections = [draws(plan, draw), allowed(plan, draw), way_of(plan, draw)];
    Some(Unfolding::of(phrase::draw(plan, draw), sections))
}

fn draws(plan: &Plan, draw: u32) -> Section {
    let wired = &plan.wiring.draws[draw as usize];
    let volts = plan.circuit().draw_volts(draw);
    let amps = Amperes(plan.circuit().nominal_amps(draw));
    let step = Step::new("nominal current, I", amps.to_string());
    let step = match wired.law {
        Some(Law::Watts(watts)) => {
            step.by("P / V", format!("{} W / {}", plain(watts), Volts(volts)))
        }
        Some(Law::Ohms(ohms)) => step.by("V / R", format!("{} / {} Ω", Volts(volts), plain(ohms))),
        Some(Law::Amps(_)) | None => step,
    };
    let nominal = Step::new("nominal voltage of its circuit, V", say::nominal(volts));
    Section {
        title: "What it draws",
        steps: vec![nominal, step],
    }
}

fn allowed(plan: &Plan, draw: u32) -> Section {
    let base = &plan.study.base;
    let class = base.class[draw as usize];
    let critical = base.critical[draw as usize];
    let mut steps = Vec::new();
    if base.rules.is_vital(class) {
        steps.push(Step::new("vital to safety", class.to_string()).from(&base.rules.vital()));
    }
    let own = if critical {
        base.own_critical_drop
    } else {
        base.own_drop
    };
    steps.extend(own.map(|own| Step::new("may lose, as the boat says", say::percent(own))));
    let limits = base
        .rules
        .checked_limits(|rules| rules.drop_limit(class, critical));
    steps.extend(limits.map(|(name, limit)| {
        Step::new(format!("may lose, {name}"), say::percent(limit.value)).from(&limit)
    }));
    Section {
        title: "What it may lose",
        steps,
    }
}

fn way_of(plan: &Plan, draw: u32) -> Section {
    let when = way::worst(plan, draw);
    let mut steps = Vec::new();
    if let Some(way) = Way::of(plan, draw, when).map(|way| way.with_wired(plan)) {
        for step in &way.steps {
            let left = format!("{} left", say::volts(step.rule.left));
            let value = match step.what {
                What::Conductor(_) => format!(
                    "{} loses {}, {left}",
                    phrase::amps(step.rule.amps),
                    say::volts(step.rule.drop)
                ),
                _ => left,
            };
            steps.push(Step::new(step.words.as_str(), value));
        }
        let name = when.name(plan, draw);
        let lost = format!(
            "{}, {}",
            say::volts(way.drop()),
            say::percent(way.percent())
        );
        let worked = format!("{} / {}", say::volts(way.drop()), say::nominal(way.volts));
        steps.push(Step::new(format!("lost in all in {name}"), lost).by("", worked));
        steps.extend(
            way.left_wired()
                .map(|left| Step::new("left as wired, battery half charged", say::volts(left))),
        );
    }
    Section {
        title: "Its way there and back, by the rule",
        steps,
    }
}
