//! The energy of a day unfolded: what a load takes, what a source gives, what that does to a bank.

use ampwright_electrics::{
    battery, defaults,
    energy::{DAY, Spell},
};
use ampwright_notation::{Key, units::plain};
use ampwright_plan::{
    Plan, say,
    study::energy::{BankDay, LoadDay, Making, SourceDay},
};

use super::{Found, Section, Step};
use crate::phrase;

const TITLE: &str = "A day";

/// More loads or sources than this are not written out.
const MOST: usize = 12;

/// What a load takes in a day.
pub(super) fn load(plan: &Plan, draw: u32) -> Section {
    let days = plan.study.energy.loads.iter();
    let mut steps: Vec<Step> = days
        .filter(|day| day.draw == draw)
        .map(|day| takes(plan, day))
        .collect();
    if plan.study.energy.silent.contains(&draw) {
        let words = "the plan does not say how long it runs";
        steps.push(Step::new("it takes", words).found(Found::Said));
    }
    Section {
        title: TITLE,
        steps,
    }
}

fn takes(plan: &Plan, day: &LoadDay) -> Step {
    let spell = spell(day.spell);
    let (formula, worked) = if (day.per_amp - 1.0).abs() > 1e-9 {
        let through = format!("{spell} × {}", plain_share(day.per_amp));
        ("I × hours × through its converter", through)
    } else {
        ("I × hours", spell)
    };
    let what = format!("{} takes", phrase::draw(plan, day.draw));
    let step = Step::new(what, say::figure(day.takes(), "Ah"));
    step.by(formula, worked).found(Found::Said)
}

/// To four places: what follows is worked out from it.
fn plain_share(share: f64) -> String {
    plain((share * 1e4).round() / 1e4)
}

fn spell(spell: Spell) -> String {
    let hours = spell.hours.clamp(0.0, DAY);
    format!("{} × {} h", phrase::amps(spell.amps), plain_share(hours))
}

/// What a source gives in a day.
pub(super) fn source(plan: &Plan, supply: u32) -> Section {
    let days = plan.study.energy.sources.iter();
    let own = days.filter(|day| day.supply == supply);
    Section {
        title: TITLE,
        steps: own.flat_map(|day| gives(plan, day)).collect(),
    }
}

fn gives(plan: &Plan, day: &SourceDay) -> Vec<Step> {
    let mut steps: Vec<Step> = sunlit(plan, day).into_iter().collect();
    if is_limited(day) {
        let own = Step::new("limited to its own", phrase::amps(day.spell.amps));
        steps.push(own.found(Found::Said));
    }
    let name = phrase::supply(plan, day.supply);
    let step = Step::new(format!("{name} gives"), say::figure(day.gives(), "Ah"));
    steps.push(step.by("I × hours", spell(day.spell)).found(Found::Said));
    steps
}

/// Whether a controller passes on less than its panels would give.
pub(crate) fn is_limited(day: &SourceDay) -> bool {
    let whole = day.making.whole();
    whole.is_some_and(|whole| whole > day.spell.amps + 1e-9)
}

/// What panels give in full sun by their controller; nothing for what is no controller.
pub(crate) fn sunlit(plan: &Plan, day: &SourceDay) -> Option<Step> {
    let step = Step::new("in full sun", phrase::amps(day.making.whole()?));
    let Making::Converted {
        watts,
        efficiency,
        volts,
        ..
    } = day.making
    else {
        return Some(step.by("passed on", "").found(Found::Said));
    };
    let worked = format!(
        "{} × {} / {}",
        say::figure(watts, "W"),
        say::percent(100.0 * efficiency),
        say::nominal(volts)
    );
    let step = step.by("P × efficiency / V", worked);
    Some(efficient(plan, day.supply, step))
}

/// A controller's efficiency: the plan's own, or what is usual.
pub(super) fn efficient(plan: &Plan, controller: u32, step: Step) -> Step {
    let supply = plan.wiring.supplies.get(controller as usize);
    let said = supply.and_then(|supply| {
        let facts = plan.model.facts(&plan.sources, supply.part);
        facts.amount(Key::Efficiency)
    });
    match said {
        Some(_) => step.found(Found::Said),
        None => step.from(&defaults::MPPT),
    }
}

/// What a day does to a battery's bank.
pub(super) fn bank(plan: &Plan, index: Option<u32>) -> Section {
    let day = index.and_then(|index| plan.study.energy.banks.get(index as usize));
    let steps = index.zip(day).map_or_else(Vec::new, |(index, day)| {
        let mut steps = usable(plan, index, day);
        if day.takes > 0.0 {
            steps.extend(balance(plan, index, day));
            steps.extend(lasts(plan, index, day));
        }
        steps
    });
    Section {
        title: "A day of its bank",
        steps,
    }
}

fn usable(plan: &Plan, index: u32, day: &BankDay) -> Vec<Step> {
    let capacity = say::figure(day.store.capacity.0, "Ah");
    let holds = Step::new("the bank holds", capacity.as_str()).found(Found::Wiring);
    let charge = say::figure(day.store.usable_charge().0, "Ah");
    let share = plain(day.store.usable);
    let used = Step::new("of that may be used", charge);
    let used = used.by("share × capacity", format!("{share} × {capacity}"));
    vec![
        holds,
        match chemistry(plan, index).filter(|_| !day.usable_said) {
            Some(chemistry) => used.from(&chemistry.usable()),
            None => used.found(Found::Said),
        },
    ]
}

/// The kind of battery whose figures a bank has: of several the most careful.
fn chemistry(plan: &Plan, index: u32) -> Option<battery::Chemistry> {
    let bank = plan.study.base.banks.list.get(index as usize)?;
    let supplies = bank.supplies.iter();
    let supplies = supplies.filter_map(|&supply| plan.wiring.supplies.get(supply as usize));
    let kinds = supplies.map(|supply| plan.circuit().block_of(supply).chemistry);
    kinds.reduce(|most, next| {
        if next.peukert_exponent().value > most.peukert_exponent().value {
            next
        } else {
            most
        }
    })
}

fn balance(plan: &Plan, index: u32, day: &BankDay) -> Vec<Step> {
    let own = loads_of(plan, index);
    let parts: Vec<(String, f64)> = own
        .iter()
        .map(|(name, spell)| (name.clone(), spell.charge().0))
        .collect();
    let mut steps = vec![sum("loads take out of it", &parts, day.takes)];
    let sources = plan.study.energy.sources_of(index);
    let given: Vec<(String, f64)> = sources
        .map(|source| {
            let share = source.banks.iter().find(|(bank, _)| *bank == index);
            let share = share.map_or(0.0, |(_, share)| *share);
            (phrase::supply(plan, source.supply), source.gives() * share)
        })
        .collect();
    if !given.is_empty() {
        steps.push(sum("sources put into it", &given, day.gives));
    }
    steps
}

fn sum(what: &str, parts: &[(String, f64)], all: f64) -> Step {
    let step = Step::new(what, say::figure(all, "Ah")).found(Found::Day);
    if parts.len() < 2 || parts.len() > MOST {
        return step;
    }
    let words: Vec<String> = parts
        .iter()
        .map(|(name, hours)| format!("{} {name}", say::figure(*hours, "Ah")))
        .collect();
    step.by("", words.join(" + "))
}

/// The loads of a bank with what each takes out of it for how long.
fn loads_of(plan: &Plan, index: u32) -> Vec<(String, Spell)> {
    let loads = plan.study.energy.loads.iter();
    let own = loads.filter_map(|day| {
        let (_, share) = *day.banks.iter().find(|(bank, _)| *bank == index)?;
        let spell = Spell {
            amps: day.spell.amps * day.per_amp * share,
            ..day.spell
        };
        Some((phrase::draw(plan, day.draw), spell))
    });
    own.collect()
}

/// Peukert: what large currents count as, and how long the bank lasts.
fn lasts(plan: &Plan, index: u32, day: &BankDay) -> Vec<Step> {
    let store = &day.store;
    let counted = store.capacity.0 * day.share;
    let mut steps = Vec::new();
    if counted > day.takes * (1.0 + 1e-6) {
        let heavy = loads_of(plan, index).into_iter().filter(|(_, spell)| {
            let plain = spell.charge().0 / store.capacity.0;
            store.used_by(*spell) > plain * (1.0 + 1e-6)
        });
        steps.extend(
            heavy
                .take(MOST)
                .map(|(name, spell)| peukert(plan, index, day, &name, spell)),
        );
        let step = Step::new("so a day counts as", say::figure(counted, "Ah"));
        steps.push(step.found(Found::Day));
    }
    let silent = &plan.study.energy.silent;
    let at_most = if silent.is_empty() { "" } else { " at most" };
    let usable = say::figure(store.usable_charge().0, "Ah");
    let worked = format!("{usable} / {}", say::figure(counted, "Ah"));
    let days = Step::new(
        format!("with nothing charging it lasts{at_most}"),
        say::figure(day.days(), "days"),
    );
    steps.push(days.by("usable / a day", worked));
    steps
}

fn peukert(plan: &Plan, index: u32, day: &BankDay, name: &str, spell: Spell) -> Step {
    let store = &day.store;
    let capacity = say::figure(store.capacity.0, "Ah");
    let rated = battery::RATED_HOURS;
    let worked = format!(
        "{capacity} × {} h / ({} h × ({capacity} / ({} × {} h))^{})",
        plain_share(spell.hours.clamp(0.0, DAY)),
        rated.value,
        phrase::amps(spell.amps),
        rated.value,
        store.exponent
    );
    let counts = store.used_by(spell) * store.capacity.0;
    let step = Step::new(
        format!("{name} counts as (Peukert)"),
        say::figure(counts, "Ah"),
    );
    let step = step
        .by("C × hours / (H × (C / (I × H))^k)", worked)
        .from(&rated);
    match chemistry(plan, index) {
        Some(chemistry) => step.from(&chemistry.peukert_exponent()),
        None => step,
    }
}
