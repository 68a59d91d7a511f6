//! A conductor unfolded.

use ampwright_electrics::{
    ampacity::Ampacity,
    conductor::{COPPER_ALPHA, Size, area, resistance_per_metre, temperature_factor},
    defaults,
    drop::DropForm,
    heat,
    quantity::{Amperes, Celsius, Metres, Ohms, Volts, decimals},
    source::Sourced,
};
use ampwright_plan::{
    Plan, say,
    study::{
        cables::{Cable, DesignBy},
        reach::way_to,
        rule::Solved,
    },
    wiring::Conductor,
};

use super::{Found, Section, Step, Unfolding, fault, load};
use crate::phrase;

/// What a section is made from.
struct Of<'a> {
    plan: &'a Plan,
    index: u32,
    wired: &'a Conductor,
    cable: &'a Cable,
}

/// The sections in order. A computed value that is added to the study gets its function here.
const SECTIONS: &[fn(&Of<'_>) -> Section] = &[
    what_it_is,
    current,
    may_carry,
    warmth,
    resistance,
    drop,
    as_wired,
    protection,
    short_circuit,
];

pub(super) fn unfold(plan: &Plan, index: u32) -> Unfolding {
    let (Some(wired), Some(cable)) = (
        plan.wiring.conductors.get(index as usize),
        plan.study.cables.get(index as usize),
    ) else {
        return Unfolding::of(String::new(), []);
    };
    let of = Of {
        plan,
        index,
        wired,
        cable,
    };
    let title = format!("{}, {}", wired.mark, phrase::conductor(plan, wired));
    Unfolding::of(title, SECTIONS.iter().map(|section| section(&of)))
}

fn what_it_is(of: &Of<'_>) -> Section {
    let (plan, wired) = (of.plan, of.wired);
    let ends = format!(
        "{} to {}",
        phrase::node(plan, wired.from),
        phrase::node(plan, wired.to)
    );
    let mut steps = vec![Step::new("from and to", ends).found(Found::Said)];
    steps.extend(wired.size.map(|size| match size {
        Size::Mm2(_) => Step::new("size, S", say::size(size)).found(Found::Said),
        Size::Awg(_) => {
            let area = area(size, plan.study.base.rules.areas());
            let step = Step::new("size, S", area.to_string()).by(say::size(size), "");
            step.found(Found::Said)
        }
    }));
    steps.extend(wired.metres.map(|metres| {
        let made = if wired.made { "made by back" } else { "" };
        let step = Step::new("length", say::metres(metres)).by(made, "");
        step.found(Found::Said)
    }));
    if wired.spread > 0.0 {
        let counts = say::metres(wired.drop_metres());
        let half = format!(
            "{} of it along a row of lamps, half counted",
            say::metres(wired.spread)
        );
        steps.push(
            Step::new("length that loses, L", counts)
                .by(half, "")
                .found(Found::Said),
        );
    }
    steps.push(
        Step::new("temperature round it, T", phrase::ambient(plan, of.cable)).found(Found::Said),
    );
    let insulation = Step::new("insulation", Celsius(of.cable.stuff.insulation).to_string());
    steps.push(if of.cable.stuff.insulation_assumed {
        insulation.from(&defaults::INSULATION)
    } else {
        insulation.found(Found::Said)
    });
    Section {
        title: "The conductor",
        steps,
    }
}

fn resistance(of: &Of<'_>) -> Section {
    let (plan, wired) = (of.plan, of.wired);
    let mut steps = Vec::new();
    if let (Some(size), Some(_)) = (wired.size, wired.metres) {
        let rules = plan.study.base.rules;
        let metres = wired.drop_metres();
        let rule = rules.drop_resistance(size);
        let whole = plan.study.base.rule_ohms[of.index as usize].unwrap_or(0.0);
        steps.push(
            Step::new("by the rule", Ohms(whole).to_string())
                .by(
                    over("r × L", wired),
                    over(
                        &format!("{} × {}", per_metre(rule.value), say::metres(metres)),
                        wired,
                    ),
                )
                .from(&rule),
        );
        let cold = resistance_per_metre(size, of.cable.stuff.metal, rules.areas());
        let degrees = degrees(plan, of.index);
        let warm = temperature_factor(Celsius(degrees));
        steps.push(Step::new("per metre at 20 °C, r20", per_metre(cold.value)).from(&cold));
        steps.push(
            Step::new("warmed, w", decimals(warm, 4))
                .by(
                    "1 + α × (what it grows to - 20 °C)",
                    format!("1 + {} × ({} - 20)", COPPER_ALPHA.value, degree(degrees)),
                )
                .from(&COPPER_ALPHA),
        );
        let ohms = plan.conductor_ohms(of.index).unwrap_or(0.0);
        let post = defaults::POST;
        steps.push(
            Step::new("as wired, with a crimp at each end", Ohms(ohms).to_string())
                .by(
                    over("(r20 × w × L + 2 × crimp)", wired),
                    over(
                        &format!(
                            "({} × {} × {} + 2 × {})",
                            per_metre(cold.value),
                            decimals(warm, 4),
                            say::metres(metres),
                            post.value
                        ),
                        wired,
                    ),
                )
                .from(&post),
        );
    }
    Section {
        title: "Resistance",
        steps,
    }
}

/// Equal conductors in parallel share.
pub(super) fn over(formula: &str, wired: &Conductor) -> String {
    match wired.parallel {
        0 | 1 => formula.to_owned(),
        parallel => format!("{formula} / {parallel}"),
    }
}

pub(super) fn per_metre(ohms: f64) -> String {
    format!("{} mΩ/m", decimals(ohms * 1e3, 3))
}

/// Who asks for the current, and of which loads it is made where that can be told.
fn current(of: &Of<'_>) -> Section {
    let (plan, design) = (of.plan, of.cable.design);
    let mut steps = Vec::new();
    if let DesignBy::Moment(index) = design.by
        && let Some(solved) = plan.study.rule.moments.get(index)
    {
        let loads = loads_through(of, solved);
        let sum: f64 = loads.iter().map(|(_, amps)| amps).sum();
        let words: Vec<String> = loads
            .iter()
            .take(MOST_LOADS)
            .map(|(name, amps)| format!("{} {name}", phrase::amps(*amps)))
            .collect();
        let is_sum = (sum - design.amps).abs() < 1e-6 && loads.len() <= MOST_LOADS;
        steps.extend((is_sum && loads.len() > 1).then(|| {
            Step::new("what draws through it", phrase::amps(sum)).by("", words.join(" + "))
        }));
        // Each load's current is unfolded with the load.
    }
    let asked = format!(
        "design current, I, in {}",
        phrase::asked_by(plan, design.by)
    );
    steps.push(Step::new(asked, phrase::amps(design.amps)).found(Found::ByRule));
    if design.certain < design.amps - 1e-9 {
        let certain = phrase::amps(design.certain);
        let step = Step::new("of that without everything at once", certain);
        steps.push(step.found(Found::ByRule));
    }
    Section {
        title: "Current",
        steps,
    }
}

/// More loads than this are not written out.
const MOST_LOADS: usize = 12;

/// The loads on in a moment whose shortest way leads through the conductor.
fn loads_through(of: &Of<'_>, solved: &Solved) -> Vec<(String, f64)> {
    let base = &of.plan.study.base;
    let leads = |net, node| way_to(net, node).any(|(edge, _)| edge == of.wired.edge);
    let on = solved.moment.draws.iter().filter(|(draw, _)| {
        let powered = solved.powered.get(*draw as usize).copied();
        powered.unwrap_or(false)
    });
    on.filter(|(draw, _)| {
        let ends = &of.plan.wiring.draws[*draw as usize];
        leads(&base.live, ends.plus) || leads(&base.home, ends.minus)
    })
    .map(|&(draw, amps)| (phrase::draw(of.plan, draw), amps))
    .collect()
}

/// The rule's own formula with its numbers, for a current in a moment.
pub(crate) fn drop_step(plan: &Plan, wired: &Conductor, amps: f64, when: &str) -> Option<Step> {
    let size = wired.size.filter(|_| wired.metres.is_some())?;
    let rules = plan.study.base.rules;
    let formula = rules.drop_formula();
    let each = Amperes(amps / f64::from(wired.parallel.max(1)));
    let worked = formula.worked(each, Metres(wired.drop_metres()), size, rules.areas());
    let (worked, value) = worked.rsplit_once(" = ")?;
    let symbols = match formula.form {
        DropForm::Metric => "K × I × L / S",
        DropForm::CircularMils => "K × I × L / CM",
    };
    let what = format!("lost here in {when}, E");
    let step = Step::new(what, value).by(symbols, worked);
    Some(step.from(&formula.constant))
}

fn drop(of: &Of<'_>) -> Section {
    let plan = of.plan;
    let mut steps = Vec::new();
    if plan.study.base.banks.link_of[of.index as usize].is_some() {
        let step = Step::new("a link inside a bank", "by the rule it loses nothing");
        steps.push(step.found(Found::Wiring));
    } else if let Some((moment, amps)) = worst(of) {
        let when = plan.moment_name(moment);
        steps.extend(drop_step(plan, of.wired, amps, &when));
        let solved = &plan.study.rule.moments[moment];
        let at = |node: petgraph::graph::NodeIndex| solved.volts[node.index()].abs();
        let nominal = phrase::island_volts(plan, of.wired.from);
        let far = at(of.wired.from).max(at(of.wired.to));
        let up_to = format!(
            "{}, {}",
            say::volts(far),
            say::percent(100.0 * far / nominal)
        );
        let step = Step::new("lost between the source and its far end", up_to);
        steps.push(step.found(Found::ByRule));
        steps.extend(worst_load(of, solved));
    }
    Section {
        title: "Voltage lost, by the rule",
        steps,
    }
}

/// The moment in which the conductor carries most, and how much, A.
fn worst(of: &Of<'_>) -> Option<(usize, f64)> {
    let largest = of.plan.study.rule.largest(of.wired.edge)?;
    Some((largest.1, largest.0)).filter(|(_, amps)| *amps > 1e-9)
}

/// The load behind it that loses the most of what it may.
fn worst_load(of: &Of<'_>, solved: &Solved) -> Vec<Step> {
    let plan = of.plan;
    let base = &plan.study.base;
    let leads = |net, node| way_to(net, node).any(|(edge, _)| edge == of.wired.edge);
    let drops = solved.moment.draws.iter().filter_map(|&(draw, _)| {
        let ends = plan.wiring.draws.get(draw as usize)?;
        let through = leads(&base.live, ends.plus) || leads(&base.home, ends.minus);
        let share = solved.drop_at(ends.plus, ends.minus) / plan.circuit().draw_volts(draw);
        (through && solved.powered[draw as usize]).then_some((draw, share))
    });
    let worst = drops.reduce(|most, next| if next.1 > most.1 { next } else { most });
    let Some((draw, share)) = worst else {
        return Vec::new();
    };
    let lost = share * plan.circuit().draw_volts(draw);
    let what = format!("summed there and back, {}", phrase::draw(plan, draw));
    let value = format!("{}, {}", say::volts(lost), say::percent(100.0 * share));
    let summed = Step::new(what, value).found(Found::ByRule);
    let limits = load::limits(plan, draw);
    [summed].into_iter().chain(limits).collect()
}

/// An ampacity's steps, from the table to the product.
pub(crate) fn steps_of(ampacity: &Ampacity) -> Vec<Step> {
    let step = |step: ampwright_electrics::ampacity::Step| {
        let figure = Sourced::new((), step.tag, step.source);
        let made = match (step.text.rsplit_once(" = "), step.text.rsplit_once(": ")) {
            (Some((worked, value)), _) => {
                let (sum, why) = worked.split_once(" (").unwrap_or((worked, ""));
                Step::new(why.trim_end_matches(')'), value).by("", sum)
            }
            (None, Some((what, value))) => Step::new(what, value),
            (None, None) => Step::new(step.text.as_str(), ""),
        };
        made.from(&figure)
    };
    ampacity.steps().into_iter().map(step).collect()
}

fn may_carry(of: &Of<'_>) -> Section {
    let cable = of.cable;
    let mut steps = Vec::new();
    if let Some(own) = &cable.ampacity {
        steps.extend(steps_of(own));
        steps.push(product(own, "it may carry"));
    }
    if let Some(published) = &cable.published {
        steps.extend(steps_of(published));
        steps.push(product(published, "by the published table"));
    }
    Section {
        title: "What it may carry",
        steps,
    }
}

fn product(ampacity: &Ampacity, what: &str) -> Step {
    let factors = [
        ampacity.base.value,
        ampacity.ambient.value,
        ampacity.bundling.value,
    ];
    let mut worked: Vec<String> = factors.iter().map(|&factor| decimals(factor, 3)).collect();
    let mut formula = vec!["base", "ambient", "bundle"];
    if ampacity.parallel > 1 {
        formula.push("in parallel");
        worked.push(ampacity.parallel.to_string());
    }
    Step::new(what, ampacity.value.to_string()).by(formula.join(" × "), worked.join(" × "))
}

fn protection(of: &Of<'_>) -> Section {
    let plan = of.plan;
    let index = of.index as usize;
    let mut steps = Vec::new();
    let ceiling = plan.study.base.rules.ceiling(Volts(plan.study.base.system));
    if let Some(ampacity) = &of.cable.ampacity {
        let most = Amperes(ampacity.value.0 * ceiling.value);
        let worked = format!("{} × {}", decimals(ceiling.value, 3), ampacity.value);
        let step = Step::new("ceiling, the largest device", most.to_string());
        steps.push(step.by("share × what it may carry", worked).from(&ceiling));
    }
    let device = |contact: Option<u32>| {
        let contact = contact.and_then(|contact| plan.wiring.contacts.get(contact as usize));
        contact.map_or_else(
            || "what its source gives".to_owned(),
            |contact| phrase::device(&plan.circuit(), contact),
        )
    };
    let protection = &plan.study.protection;
    let sustained = protection.sustained.get(index).copied().flatten();
    let returns = protection.returns.get(index).copied().flatten();
    match (sustained, returns) {
        (Some(found), _) if found.amps.is_infinite() => {
            steps.push(
                Step::new(
                    "into a short, for ever",
                    "without limit: no device before it",
                )
                .found(Found::Wiring),
            );
        }
        (Some(found), _) => {
            let what = format!("into a short, for ever, past {}", device(found.device));
            steps.push(Step::new(what, phrase::amps(found.amps)).found(Found::Wiring));
        }
        (None, Some((amps, contact))) => {
            let what = format!("comes home through it, for ever, past {}", device(contact));
            steps.push(Step::new(what, phrase::amps(amps)).found(Found::Wiring));
        }
        (None, None) => {}
    }
    let posts = [of.wired.from, of.wired.to]
        .map(|node| protection.from_post.get(node.index()).copied().flatten());
    if let (Some(near), Some(allowed)) = (
        posts.into_iter().flatten().reduce(f64::min),
        plan.study.base.rules.distance(plan.circuit().lie(of.index)),
    ) {
        let what = "distance of its nearer end from a battery's post, no device between";
        steps.push(Step::new(what, say::metres(near)).found(Found::Wiring));
        let what = "distance within which a device has to stand";
        steps.push(Step::new(what, say::metres(allowed.value.0)).from(&allowed));
    }
    Section {
        title: "Protection",
        steps,
    }
}

/// How warm it is where its largest current as wired flows for ever, °C.
fn degrees(plan: &Plan, index: u32) -> f64 {
    let degrees = plan.study.wired.degrees.get(index as usize);
    degrees.copied().unwrap_or(20.0)
}

fn degree(degrees: f64) -> String {
    say::figure(degrees, "°C")
}

/// How warm its largest current as wired makes it, with the sum; nothing where none flows or where
/// no table says what it may carry.
pub(crate) fn warm_step(plan: &Plan, index: u32) -> Option<Step> {
    let carried = plan.study.wired.carried.get(index as usize)?;
    let cable = plan.study.cables.get(index as usize)?;
    let table = plan.study.base.rules.ambient().value;
    let grows = |one: &Ampacity| heat::temperature(one, table, Amperes(carried.amps)).0;
    let tables = cable.ampacity.iter().chain(&cable.published);
    // The warmer of what its own table and the published one say.
    let by = tables.reduce(|most, next| {
        if grows(next) > grows(most) {
            next
        } else {
            most
        }
    })?;
    if carried.amps < 1e-9 {
        return None;
    }
    let worked = format!(
        "{} + ({} - {}) × ({} / {})²",
        degree(cable.ambient),
        degree(heat::reaches(by).0),
        degree(table.0),
        phrase::amps(carried.amps),
        phrase::amps(heat::carries(by).0),
    );
    let step = Step::new("it grows to", degree(degrees(plan, index)));
    let formula =
        "T + (what its table stands for - the table's ambient) × (I / what it carries there)²";
    Some(step.by(formula, worked).from(&heat::LAW))
}

fn warmth(of: &Of<'_>) -> Section {
    let plan = of.plan;
    let mut steps = Vec::new();
    if let Some(carried) = plan.study.wired.carried.get(of.index as usize) {
        let when = phrase::asked_by(plan, carried.by);
        let step = Step::new(
            format!("carries at most, in {when}"),
            phrase::amps(carried.amps),
        );
        steps.push(step.found(Found::AsWired));
    }
    steps.push(warm_step(plan, of.index).unwrap_or_else(|| {
        Step::new("it grows to", degree(degrees(plan, of.index))).found(Found::AsWired)
    }));
    Section {
        title: "How warm it grows, as wired",
        steps,
    }
}

/// What its largest current as wired does to it.
fn as_wired(of: &Of<'_>) -> Section {
    let plan = of.plan;
    let carried = plan.study.wired.carried.get(of.index as usize);
    let flows = carried.filter(|carried| carried.amps > 1e-9);
    let steps = flows.zip(plan.conductor_ohms(of.index));
    let steps = steps.map_or_else(Vec::new, |(carried, ohms)| {
        let (amps, when) = (carried.amps, phrase::asked_by(plan, carried.by));
        let (current, resistance) = (phrase::amps(amps), Ohms(ohms));
        let lost = Step::new("lost here", Volts(amps * ohms).to_string());
        let watts = say::figure(amps * amps * ohms, "W");
        vec![
            Step::new(format!("current in {when}"), current.as_str()).found(Found::AsWired),
            lost.by("I × R", format!("{current} × {resistance}")),
            Step::new("heat in it", watts).by("I² × R", format!("({current})² × {resistance}")),
        ]
    });
    Section {
        title: "As wired",
        steps,
    }
}

fn short_circuit(of: &Of<'_>) -> Section {
    fault::conductor(of.plan, of.index)
}
