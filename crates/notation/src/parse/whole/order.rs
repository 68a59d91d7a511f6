//! The order of a run's steps: stops and conductors in turn, from a stop to a stop or back.

use crate::{
    flaw::{Code, Flaw},
    parse::{Draft, trouble},
    suggest::{distance, nearest},
    tree::{Back, Conductor, Span, Step},
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

/// Adds what is wrong with the order of a run's steps.
pub(super) fn check(draft: &mut Draft, label: Span, text: &str) {
    let steps = std::mem::take(&mut draft.steps);
    let mut before = Before::Nothing;
    let meant_as_fact = fact_like(&steps);
    for (index, step) in steps.iter().enumerate() {
        if meant_as_fact.is_some_and(|fact| std::ptr::eq(fact, step)) {
            draft.add(|_| a_fact(step, text));
            continue;
        }
        if let Some(slip) = Slip::of(before, step) {
            draft.add(|_| slip.flaw(&steps, index, text));
        }
        before = after(step);
    }
    if let Some(flaw) = ending(before, &steps, label) {
        draft.add(|_| flaw);
    }
    draft.steps = steps;
}

const fn after(step: &Step) -> Before<'_> {
    match step {
        Step::Stop(_) | Step::Back(Back { to: Some(_), .. }) => Before::Stop,
        Step::Conductor(conductor) => Before::Conductor(conductor),
        Step::Back(_) => Before::Home,
        Step::Unread(_) => Before::Unread,
    }
}

/// A step that does not follow the one before it.
#[derive(Clone, Copy)]
enum Slip {
    ConductorFirst,
    BackFirst,
    TwoStops,
    TwoConductors,
    BackFromConductor,
    ConductorAfterHome,
    StopAfterHome,
    TwoReturns,
}

impl Slip {
    const fn of(before: Before<'_>, step: &Step) -> Option<Self> {
        Some(match (before, step) {
            (Before::Nothing, Step::Conductor(_)) => Self::ConductorFirst,
            (Before::Nothing, Step::Back(_)) => Self::BackFirst,
            (Before::Stop, Step::Stop(_)) => Self::TwoStops,
            (Before::Conductor(_), Step::Conductor(_)) => Self::TwoConductors,
            (Before::Conductor(_), Step::Back(_)) => Self::BackFromConductor,
            (Before::Home, Step::Conductor(_)) => Self::ConductorAfterHome,
            (Before::Home, Step::Stop(_)) => Self::StopAfterHome,
            (Before::Home, Step::Back(_)) => Self::TwoReturns,
            _ => return None,
        })
    }

    fn flaw(self, steps: &[Step], index: usize, text: &str) -> Flaw {
        let span = steps.get(index).map_or_else(Span::default, Step::span);
        let message = match self {
            Self::TwoStops => {
                let meant = steps.get(index).and_then(meant_back);
                return meant.unwrap_or_else(|| two_stops(steps, index, span, text));
            }
            Self::TwoConductors => return two_conductors(span, text),
            Self::StopAfterHome => return after_home(span, text),
            Self::ConductorFirst => {
                "A run begins at a stop: name the part that this conductor comes from on a line above it."
            }
            Self::BackFirst => {
                "A run begins at a stop, so there is no way to go back yet: write the way out first."
            }
            Self::BackFromConductor => {
                "`back` goes home from a stop: name the part where the way out ends on a line above it."
            }
            Self::ConductorAfterHome => {
                "After `back` alone the run is at its end: write `back to STOP` where it goes on from there."
            }
            Self::TwoReturns => "This run has gone back already: take one `back` away.",
        };
        Flaw::new(Code::Syntax, span, message)
    }
}

/// A new line above the one where `span` begins, with the line ending that stands there.
fn line_above(span: Span, text: &str, line: &str) -> (Span, String) {
    let above = text.get(..span.start as usize).unwrap_or_default();
    let at = above.rfind(['\n', '\r']).map_or(0, |at| at + 1);
    let ending = if above[..at].ends_with("\r\n") {
        "\r\n"
    } else {
        "\n"
    };
    let at = at as u32;
    (Span::new(at, at), format!("    {line}{ending}"))
}

/// A stop by itself after a stop whose name is nearly `back`.
fn meant_back(step: &Step) -> Option<Flaw> {
    let Step::Stop(stop) = step else { return None };
    let bare = stop.span == stop.name.span;
    nearest(&stop.name.value, ["back"]).filter(|_| bare)?;
    let said = trouble::shortened(&stop.name.value);
    let message = format!("`{said}` is read as a stop of this run; did you mean `back`?");
    Some(Flaw::new(Code::Syntax, stop.span, message).written(stop.span, "back"))
}

/// The line to insert is that of a conductor nearby, if there is one.
fn two_stops(steps: &[Step], index: usize, span: Span, text: &str) -> Flaw {
    const NEARBY: usize = 16;
    let message = "Two stops follow each other: between them belongs the conductor that joins them, such as `2.5 mm2 red 1 m`.";
    let nearby = steps
        .iter()
        .enumerate()
        .skip(index.saturating_sub(NEARBY))
        .take(2 * NEARBY);
    let conductors = nearby.filter_map(|(at, step)| match step {
        Step::Conductor(conductor) if conductor.size.is_some() => Some((at, conductor)),
        _ => None,
    });
    let nearest = conductors.min_by_key(|&(at, _)| at.abs_diff(index));
    let line = nearest.map_or("2.5 mm2 1 m", |(_, conductor)| conductor.span.of(text));
    let (at, new) = line_above(span, text, line);
    Flaw::new(Code::Syntax, span, message).with("insert a conductor, to be corrected", at, new)
}

fn two_conductors(at: Span, text: &str) -> Flaw {
    let message = "Two conductors follow each other: between them belongs the stop where they meet, such as a joint or a busbar.";
    let (span, new) = line_above(at, text, "joint-1");
    Flaw::new(Code::Syntax, at, message).with("insert a stop, to be renamed", span, new)
}

fn after_home(span: Span, text: &str) -> Flaw {
    let stop = trouble::shortened(span.of(text));
    let message =
        format!("After `back` alone the run is at its end: `back to {stop}` says where it lands.");
    Flaw::new(Code::Syntax, span, message)
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
    let said = trouble::shortened(step.span().of(text));
    let message = format!("`{said}` is read as a stop of this run; did you mean `{FACT}`?");
    Flaw::new(Code::UnknownFact, step.span(), message).written(step.span(), FACT)
}
