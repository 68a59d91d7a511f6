//! A load unfolded: what it draws, what it may lose, and its way with the volts left.

use ampwright_electrics::{
    defaults,
    quantity::{Amperes, Volts},
};
use ampwright_notation::{Key, units::plain};
use ampwright_plan::{Plan, say, wiring::Law};

use super::{Found, Section, Step, Unfolding, day, fault};
use crate::{
    phrase,
    way::{self, Way, What},
};

pub(super) fn unfold(plan: &Plan, draw: u32) -> Option<Unfolding> {
    plan.wiring.draws.get(draw as usize)?;
    let sections = [
        draws(plan, draw),
        allowed(plan, draw),
        way_of(plan, draw),
        arrives(plan, draw),
        fault::load(plan, draw),
        day::load(plan, draw),
    ];
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
        Some(Law::Amps(_)) | None => step.found(Found::Said),
    };
    let nominal = Step::new("nominal voltage of its circuit, V", say::nominal(volts));
    let nominal = nominal.found(Found::Wiring);
    Section {
        title: "What it draws",
        steps: vec![nominal, step],
    }
}

fn allowed(plan: &Plan, draw: u32) -> Section {
    let base = &plan.study.base;
    let class = base.class[draw as usize];
    let mut steps = Vec::new();
    if base.rules.is_vital(class) {
        steps.push(Step::new("vital to safety", class.to_string()).from(&base.rules.vital()));
    }
    steps.extend(limits(plan, draw));
    Section {
        title: "What it may lose",
        steps,
    }
}

/// What it may lose by the boat's own limit and by each rule set that is asked.
pub(super) fn limits(plan: &Plan, draw: u32) -> Vec<Step> {
    let base = &plan.study.base;
    let class = base.class[draw as usize];
    let critical = base.critical[draw as usize];
    let own = if critical {
        base.own_critical_drop
    } else {
        base.own_drop
    };
    let own = own.map(|own| {
        let step = Step::new("it may lose, as the boat says", say::percent(own));
        step.found(Found::Said)
    });
    let limits = base
        .rules
        .checked_limits(|rules| rules.drop_limit(class, critical));
    let by_rules = limits.map(|(name, limit)| {
        Step::new(format!("it may lose, {name}"), say::percent(limit.value)).from(&limit)
    });
    own.into_iter().chain(by_rules).collect()
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
            steps.push(Step::new(step.words.as_str(), value).found(Found::ByRule));
        }
        let name = when.name(plan, draw);
        let lost = Step::new(format!("lost in all in {name}, E"), say::volts(way.drop()));
        steps.push(lost.found(Found::ByRule));
        let worked = format!("{} / {}", say::volts(way.drop()), say::nominal(way.volts));
        steps.push(Step::new("of its voltage", say::percent(way.percent())).by("E / V", worked));
        let left = way.left_wired().map(|left| {
            let step = Step::new("left as wired, battery half charged", say::volts(left));
            step.found(Found::AsWired)
        });
        steps.extend(left);
    }
    Section {
        title: "Its way there and back, by the rule",
        steps,
    }
}

/// More moments than this are not told.
const MOST: usize = 12;

/// What it gets as wired: in each moment in which it is on and nothing charges, at the least, and on
/// starting.
fn arrives(plan: &Plan, draw: u32) -> Section {
    let (study, mut steps) = (&plan.study, Vec::new());
    let moments = study.wired.in_moments(&study.rule, draw).take(MOST);
    steps.extend(moments.map(|(moment, at)| {
        let value = format!("{} at {}", say::volts(at.volts), phrase::amps(at.amps));
        Step::new(format!("in {}", phrase::moment(plan, moment)), value).found(Found::AsWired)
    }));
    let lowest = study.wired.lowest.get(draw as usize).copied().flatten();
    steps.extend(lowest.map(|lowest| {
        let what = format!("least, {}", plan.least_by(lowest.by));
        Step::new(what, say::volts(lowest.volts)).found(Found::AsWired)
    }));
    for top in study.wired.tops.iter().filter(|top| top.draw == draw) {
        let what = format!("taking {} {}", phrase::amps(top.asks), plan.on_top(top));
        let gets = if top.delivered {
            say::volts(top.volts)
        } else {
            "it cannot get that".to_owned()
        };
        steps.push(Step::new(what, gets).found(Found::AsWired));
    }
    if !steps.is_empty() {
        steps.push(needs(plan, draw));
    }
    Section {
        title: "What arrives, as wired",
        steps,
    }
}

/// The voltage below which it gets too little.
fn needs(plan: &Plan, draw: u32) -> Step {
    let part = plan.wiring.draws[draw as usize].part;
    let said = plan.model.facts(&plan.sources, part).amount(Key::Minimum);
    if let Some(said) = said {
        return Step::new("it needs at least", say::nominal(said)).found(Found::Said);
    }
    let nominal = Volts(plan.circuit().draw_volts(draw));
    let low = defaults::at_nominal(defaults::LOW_VOLTS, nominal);
    let step = Step::new("too little is below", say::volts(low.value.0));
    let worked = format!("{} × {nominal} / 12 V", defaults::LOW_VOLTS.value);
    step.by("of 12 V × nominal / 12 V", worked).from(&low)
}
