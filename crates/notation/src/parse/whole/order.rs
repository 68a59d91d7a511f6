//! The order of a run's steps: stops and conductors in turn, from a stop to a stop or back.

use crate::{
    flaw::{Code, Flaw},
    suggest::distance,
    tree::{Back, Conductor, Span, Step, Stop},
};

/// What the step before was, as far as the next one cares.
#[derive(Clone, Copy)]
enum Before<'a> {
    Nothing,
    Stop,
    Conductor(&'a Conductor),
    /// `back` without `to`: the run ends there.
    Home,
    /// It could not be read, so nothing is known.
    Unread,
}

/// What is wrong with the order of a run's steps.
pub(super) fn check(steps: &[Step], label: Span, text: &str) -> Vec<Flaw> {
    let mut flaws = Vec::new();
    let mut before = Before::Nothing;
    let meant_as_fact = fact_like(steps);
    for step in steps {
        if meant_as_fact.is_some_and(|fact| std::ptr::eq(fact, step)) {
            flaws.push(a_fact(step, text));
            continue;
        }
        flaws.extend(misplaced(before, step, steps, text));
        before = after(step);
    }
    flaws.extend(ending(before, steps, label));
    flaws
}

const fn after(step: &Step) -> Before<'_> {
    match step {
        Step::Stop(_) | Step::Back(Back { to: Some(_), .. }) => Before::Stop,
        Step::Conductor(conductor) => Before::Conductor(conductor),
        Step::Back(_) => Before::Home,
        Step::Unread(_) => Before::Unread,
    }
}

fn misplaced(before: Before<'_>, step: &Step, steps: &[Step], text: &str) -> Option<Flaw> {
    let flaw = |message: &str| Flaw::new(Code::Syntax, step.span(), message);
    Some(match (before, step) {
        (Before::Nothing, Step::Conductor(_)) => flaw(
            "A run begins at a stop: name the part that this conductor comes from on a line above it.",
        ),
        (Before::Nothing, Step::Back(_)) => flaw(
            "A run begins at a stop, so there is no way to go back yet: write the way out first.",
        ),
        (Before::Stop, Step::Stop(second)) => two_stops(second, steps, text),
        (Before::Conductor(_), Step::Conductor(_)) => two_conductors(step.span(), text),
        (Before::Conductor(_), Step::Back(_)) => flaw(
            "`back` goes home from a stop: name the part where the way out ends on a line above it.",
        ),
        (Before::Home, Step::Conductor(_)) => flaw(
            "After `back` alone the run is at its end: write `back to STOP` where it goes on from there.",
        ),
        (Before::Home, Step::Stop(landing)) => after_home(landing, text),
        (Before::Home, Step::Back(_)) => {
            flaw("This run has gone back already: take one `back` away.")
        }
        _ => return None,
    })
}

/// The text of a new line above the one that begins at or before `span`, in its indentation.
fn line_above(span: Span, text: &str, line: &str) -> (Span, String) {
    let ending = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let at = text
        .get(..span.start as usize)
        .and_then(|head| head.rfind(['\n', '\r']))
        .map_or(0, |at| at as u32 + 1);
    (Span::new(at, at), format!("    {line}{ending}"))
}

fn two_stops(stop: &Stop, steps: &[Step], text: &str) -> Flaw {
    let message = "Two stops follow each other: between them belongs the conductor that joins them, such as `2.5 mm2 red 1 m`.";
    let nearest = steps.iter().rev().filter_map(|step| match step {
        Step::Conductor(conductor) if conductor.size.is_some() => Some(conductor),
        _ => None,
    });
    let by_distance =
        nearest.min_by_key(|conductor| conductor.span.start.abs_diff(stop.span.start));
    let line = by_distance.map_or("2.5 mm2 1 m", |conductor| conductor.span.of(text));
    let (span, new) = line_above(stop.span, text, line);
    Flaw::new(Code::Syntax, stop.span, message).with(
        "insert a conductor, to be corrected",
        span,
        new,
    )
}

fn two_conductors(at: Span, text: &str) -> Flaw {
    let message = "Two conductors follow each other: between them belongs the stop where they meet, such as a joint or a busbar.";
    let (span, new) = line_above(at, text, "joint-1");
    Flaw::new(Code::Syntax, at, message).with("insert a stop, to be renamed", span, new)
}

fn after_home(stop: &Stop, text: &str) -> Flaw {
    let name = stop.span.of(text);
    let message =
        format!("After `back` alone the run is at its end: `back to {name}` says where it lands.");
    Flaw::new(Code::Syntax, stop.span, message)
}

fn ending(before: Before<'_>, steps: &[Step], label: Span) -> Option<Flaw> {
    match (before, steps) {
        (_, []) => Some(Flaw::new(
            Code::MissingFact,
            label,
            "This run has no steps: write a stop, the conductor to the next stop and that stop, each on a line below.",
        )),
        (Before::Stop, [only]) => Some(Flaw::new(
            Code::Syntax,
            only.span(),
            "This run has one stop only: write the conductor that leaves it and the stop that it reaches, each on a line below.",
        )),
        (Before::Conductor(conductor), _) => Some(Flaw::new(
            Code::Syntax,
            conductor.span,
            "A run ends at a stop: name the part that this conductor reaches on a line below it.",
        )),
        _ => None,
    }
}

const FACT: &str = "bypasses-isolator";

/// A line before the first conductor that resembles a fact of a run.
fn fact_like(steps: &[Step]) -> Option<&Step> {
    const SLIP: usize = 4;
    let is_like = |step: &&Step| match step {
        Step::Stop(stop) if stop.span == stop.name.span => distance(&stop.name.value, FACT) <= SLIP,
        _ => false,
    };
    steps
        .iter()
        .take_while(|step| !matches!(step, Step::Conductor(_)))
        .find(is_like)
}

fn a_fact(step: &Step, text: &str) -> Flaw {
    let said = step.span().of(text);
    let message = format!("`{said}` is read as a stop of this run: `{FACT}` is meant?");
    Flaw::new(Code::UnknownFact, step.span(), message).written(step.span(), FACT)
}
