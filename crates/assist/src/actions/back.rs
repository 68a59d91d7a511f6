//! The way home: written out step by step, or out and back as twins.

use ampwright_notation::{
    Key, Thing,
    tree::{Back, Conductor as Line, Form, Sign, Step, Stop},
    units::plain,
};
use ampwright_plan::{
    Plan, ThingRef,
    wiring::{Conductor, node_name},
};

use super::{
    Offer, Task,
    draft::{edited, harmless},
    gone,
    lines::Lines,
    rewrite,
};
use crate::cursor::Edit;

/// What can be done with a run's way home.
pub(super) fn offers(plan: &Plan, run: &Thing, whose: ThingRef) -> Vec<Offer> {
    let mut offers = Vec::new();
    let back = run
        .steps
        .iter()
        .position(|step| matches!(step, Step::Back(_)));
    if let Some(at) = back.filter(|&at| !made_by(plan, run, whose, at).is_empty()) {
        let task = Task::WriteBack(whose, at as u32);
        offers.push(rewrite("Write the return out", task));
    }
    if Lines::of(plan, whose).is_some_and(|lines| twins(plan, &lines).is_some()) {
        offers.push(rewrite("Run it out and back as a twin", Task::Twin(whose)));
    }
    offers
}

/// The single conductors that a `back` makes; none where it takes cores home.
fn made_by<'p>(plan: &'p Plan, run: &Thing, whose: ThingRef, at: usize) -> Vec<&'p Conductor> {
    let Some(Step::Back(back)) = run.steps.get(at) else {
        return Vec::new();
    };
    let site = whose.at(back.span);
    let conductors = plan.wiring.conductors.iter();
    let made: Vec<&Conductor> = conductors
        .filter(|conductor| conductor.made && conductor.site == site)
        .collect();
    let plain = |conductor: &&Conductor| {
        !conductor.twin && conductor.core.is_none() && conductor.metres.is_some()
    };
    if made.iter().all(plain) {
        made
    } else {
        Vec::new()
    }
}

/// What a `back` makes, step by step.
pub(super) fn write_out(plan: &Plan, whose: ThingRef, at: u32) -> Result<Vec<Edit>, String> {
    let lines = Lines::of(plan, whose).ok_or_else(gone)?;
    let Some(Step::Back(back)) = lines.thing.steps.get(at as usize) else {
        return Err(gone());
    };
    let made = made_by(plan, lines.thing, whose, at as usize);
    let (Some(last), Some(stop)) = (made.last(), stop_before(lines.thing, at as usize)) else {
        return Err(gone());
    };
    let mut steps = Vec::new();
    for conductor in &made {
        steps.push(conductor_line(plan, &lines, back, conductor).ok_or_else(gone)?);
        let home = conductor.edge == last.edge;
        let to = back.to.as_ref().filter(|_| home);
        steps.push(match to {
            Some(stop) => lines.thing.text_of(stop.span).to_owned(),
            None => node_name(plan, conductor.to),
        });
    }
    let between = format!("{}{}", lines.ending(), lines.indent(back.span.start));
    let mut edits = vec![lines.replace(back.span, steps.join(&between))];
    // Passed and not landed on, so that the run goes on from its other side.
    edits.extend(plus_of(stop).map(|span| lines.cut(span)));
    if told(plan) != told(&edited(plan, &edits)) {
        return Err("What back makes here cannot be written step by step.".to_owned());
    }
    harmless(plan, edits)
}

/// What every conductor is and joins, for holding two drafts against each other.
fn told(plan: &Plan) -> Vec<String> {
    let conductors = plan.wiring.conductors.iter().zip(&plan.study.cables);
    conductors
        .map(|(conductor, cable)| {
            let metres = conductor.metres.map(|metres| (metres * 1e6).round());
            let ends = [conductor.from, conductor.to].map(|node| node_name(plan, node));
            format!(
                "{:?} {metres:?} {ends:?} {} {:?} {} {} {}",
                conductor.size,
                conductor.mark,
                conductor.colour,
                cable.ambient,
                conductor.bundled,
                conductor.sheathed
            )
        })
        .collect()
}

fn stop_before(run: &Thing, at: usize) -> Option<&Stop> {
    run.steps
        .get(..at)?
        .iter()
        .rev()
        .find_map(|step| match step {
            Step::Stop(stop) => Some(stop),
            _ => None,
        })
}

/// The bare `+` that a stop lands on.
fn plus_of(stop: &Stop) -> Option<ampwright_notation::Span> {
    let terminal = stop.terminal.as_ref()?;
    let bare = terminal.value.side.is_none() && terminal.value.sign == Some(Sign::Plus);
    bare.then_some(terminal.span)
}

fn conductor_line(plan: &Plan, lines: &Lines<'_>, back: &Back, made: &Conductor) -> Option<String> {
    let mut words = Vec::new();
    if made.parallel > 1 {
        words.push(format!("{} parallel", made.parallel));
    }
    let out = first_line(lines.thing)?;
    words.push(lines.thing.text_of(out.size?.span).to_owned());
    words.extend(out.cable.as_ref().map(|cable| cable.value.to_string()));
    if let Some(colour) = &back.colour {
        words.push(lines.thing.text_of(colour.span).to_owned());
    }
    words.push(format!("{} m", plain(made.metres?)));
    words.extend(places(plan, lines.thing, made));
    if made.bundled > 1 {
        words.push(format!("bundled {}", made.bundled));
    }
    if made.sheathed {
        words.push("sheathed".to_owned());
    }
    // As it was tied: a conductor that is written would be numbered among those out.
    words.push(format!("mark {}", made.mark));
    Some(words.join(" "))
}

fn first_line(run: &Thing) -> Option<&Line> {
    run.steps.iter().find_map(|step| match step {
        Step::Conductor(line) => Some(line),
        _ => None,
    })
}

/// The places that the run's head does not give already.
fn places(plan: &Plan, run: &Thing, made: &Conductor) -> Vec<String> {
    let names = made.places.iter().filter_map(|&place| {
        let named = plan.model.places.list.get(place as usize)?;
        Some(named.name.to_string())
    });
    let mut names: Vec<String> = names.collect();
    names.sort();
    names.dedup();
    let mut of_head: Vec<String> = run
        .names(Key::In)
        .map(|name| name.value.to_string())
        .collect();
    of_head.sort();
    if names == of_head {
        return Vec::new();
    }
    names.into_iter().map(|name| format!("in {name}")).collect()
}

/// A run of single conductors out and home, as twins.
pub(super) fn twin(plan: &Plan, whose: ThingRef) -> Result<Vec<Edit>, String> {
    let lines = Lines::of(plan, whose).ok_or_else(gone)?;
    harmless(plan, twins(plan, &lines).ok_or_else(gone)?)
}

fn twins(plan: &Plan, lines: &Lines<'_>) -> Option<Vec<Edit>> {
    let steps = &lines.thing.steps;
    let back = steps.iter().position(|step| matches!(step, Step::Back(_)));
    let (out, home) = match back {
        Some(at) => {
            let Step::Back(back) = steps.get(at)? else {
                return None;
            };
            let home = home_of_back(lines, back, at + 1 == steps.len())?;
            (&steps[..at], home)
        }
        None => home_as_written(plan, lines)?,
    };
    let mut edits = Vec::new();
    let mut lines_out = out.iter().filter_map(|step| match step {
        Step::Conductor(line) => Some(line),
        _ => None,
    });
    let is_single = |line: &Line| line.form == Form::Single && line.size.is_some();
    if !lines_out.clone().all(is_single) || lines_out.next().is_none() {
        return None;
    }
    for step in out {
        if let Step::Conductor(line) = step {
            edits.push(lines.replace(line.span.before(), "twin "));
            edits.extend(line.colour.map(|colour| lines.cut(colour.span)));
        }
    }
    edits.extend(home);
    Some(edits)
}

/// The second core of a twin needs no colour and has no length of its own.
fn home_of_back(lines: &Lines<'_>, back: &Back, is_last: bool) -> Option<Vec<Edit>> {
    let simple = back.core.is_none() && back.length.is_none() && back.mark.is_none() && is_last;
    let colour = back.colour.map(|colour| lines.cut(colour.span));
    simple.then(|| colour.into_iter().collect())
}

/// The steps out and the edits that make `back` of a return of one conductor, written.
fn home_as_written<'t>(plan: &Plan, lines: &Lines<'t>) -> Option<(&'t [Step], Vec<Edit>)> {
    let steps = &lines.thing.steps;
    let [
        out @ ..,
        Step::Stop(load),
        Step::Conductor(home),
        Step::Stop(end),
    ] = steps.as_slice()
    else {
        return None;
    };
    let part = plan.model.part(&load.name.value)?;
    let draws = plan.study.base.draw_of.contains_key(&part) && load.terminal.is_none();
    let is_plain = home.form == Form::Single && home.mark.is_none();
    let lengths = |line: &Line| line.length.map(|length| length.value.value);
    let way_out: f64 = out
        .iter()
        .filter_map(|step| match step {
            Step::Conductor(line) => lengths(line),
            _ => None,
        })
        .sum();
    let alike = |line: &Line| {
        line.size.map(|size| size.value) == home.size.map(|size| size.value)
            && line.cable.as_ref().map(|cable| &cable.value)
                == home.cable.as_ref().map(|cable| &cable.value)
    };
    let all_alike = out.iter().all(|step| match step {
        Step::Conductor(line) => alike(line),
        _ => true,
    });
    let near = (lengths(home)? - way_out).abs() <= 0.2f64.max(0.05 * way_out);
    if !(draws && is_plain && all_alike && near) {
        return None;
    }
    let end_words = lines.thing.text_of(end.span);
    let edits = vec![
        lines.replace(home.span, format!("back to {end_words}")),
        lines.take_out(end.span),
    ];
    lines.is_alone(end.span).then_some((out, edits))
}
