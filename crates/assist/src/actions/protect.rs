//! A device where a conductor has none: the part, and its stop in the run, tried in the plan.

use ampwright_electrics::protection::ratings;
use ampwright_notation::{
    Span, Thing,
    table::RESERVED_PARTS,
    tree::{Conductor as Line, Form, Step},
    units::{Quantity, plain},
};
use ampwright_plan::{Finding, Plan, ThingRef, wiring::Conductor};

use super::{
    Made, Offer, Sort, Task,
    draft::{Tally, edited, refusal},
    gone,
    lines::Lines,
    rewrite,
};
use crate::cursor::Edit;

/// The findings that a device may mend, by their words.
const MISSING: [&str; 2] = ["unfused-run", "source-unprotected"];

/// How far from where the conductor begins the device is put, m.
const STUB: f64 = 0.1;

/// Devices tried; one that fits is among the first, or none does.
const MOST_TRIALS: usize = 24;

/// Where a device would go.
struct Gap<'a> {
    lines: Lines<'a>,
    line: &'a Line,
    length: Quantity,
    /// Current comes from the stop below the line, so the device goes there.
    from_below: bool,
    amps: f64,
}

pub(super) fn offer(plan: &Plan, whose: ThingRef, step: u32) -> Option<Offer> {
    let gap = gap(plan, whose, step)?;
    let site = whose.at(gap.line.span);
    let findings = plan.findings.iter().enumerate();
    let mends: Vec<usize> = findings
        .filter(|(_, finding)| finding.site == site && is_missing(finding))
        .map(|(index, _)| index)
        .collect();
    Some(Offer {
        sort: if mends.is_empty() {
            Sort::Rewrite
        } else {
            Sort::Mend
        },
        mends,
        ..rewrite("Add a fuse here", Task::Protect(whose, step))
    })
}

fn is_missing(finding: &Finding) -> bool {
    finding.accepted.is_none() && MISSING.contains(&finding.code.word())
}

fn gap(plan: &Plan, whose: ThingRef, step: u32) -> Option<Gap<'_>> {
    let lines = Lines::of(plan, whose)?;
    let Step::Conductor(line) = lines.thing.steps.get(step as usize)? else {
        return None;
    };
    let length = line.length?.value;
    let splits = !matches!(line.form, Form::Core { .. }) && line.size.is_some();
    let site = whose.at(line.span);
    let made = plan.wiring.conductors.iter().zip(&plan.study.cables);
    let (conductor, cable) = made
        .clone()
        .find(|(conductor, _)| conductor.site == site && !conductor.made)?;
    let from_below = source_is_below(plan, conductor)?;
    (splits && conductor.spread == 0.0 && length.value > 0.0).then_some(Gap {
        lines,
        line,
        length,
        from_below,
        amps: cable.design.amps,
    })
}

/// Whether current comes from a conductor's far end; `None` where no source reaches it.
fn source_is_below(plan: &Plan, conductor: &Conductor) -> Option<bool> {
    let live = &plan.study.base.live;
    let reach = |node: petgraph::graph::NodeIndex| live.get(node.index()).copied().flatten();
    let (from, to) = (reach(conductor.from)?, reach(conductor.to)?);
    // Fed from both ends: beside the stop that it begins at.
    let by = Some(conductor.edge);
    Some(from.by == by && to.by != by)
}

pub(super) fn make(
    plan: &Plan,
    whose: ThingRef,
    step: u32,
    stop: &dyn Fn() -> bool,
) -> Result<Made, String> {
    let gap = gap(plan, whose, step).ok_or_else(gone)?;
    let name = free_name(plan, gap.lines.thing);
    let before = Tally::of(plan);
    let mut why = "No rating that is made is above what flows here.".to_owned();
    for (pattern, amps) in devices(gap.amps).take(MOST_TRIALS) {
        if stop() {
            return Err(gone());
        }
        let edits = gap.edits(&name, pattern, amps);
        let after = edited(plan, &edits);
        let still = after
            .findings
            .iter()
            .find(|finding| is_missing(finding) && run_of(&after, finding) == run_of_gap(&gap));
        match before.worse(&after).or(still) {
            None => {
                let title = format!("Add a fuse here: {name}, {pattern}, {} A", plain(amps));
                return Ok(Made {
                    edits,
                    title: Some(title),
                });
            }
            Some(finding) => why = refusal(finding),
        }
    }
    Err(why)
}

fn run_of(plan: &Plan, finding: &Finding) -> Option<String> {
    let whose = ThingRef {
        file: finding.site.file,
        thing: finding.site.thing,
    };
    Some(plan.sources.thing(whose)?.name.as_ref()?.value.to_string())
}

fn run_of_gap(gap: &Gap<'_>) -> Option<String> {
    Some(gap.lines.thing.name.as_ref()?.value.to_string())
}

/// Patterns and ratings, small to large: first those with a quarter to spare, as is common practice
/// where the load runs for long, then those that just carry the current.
fn devices(amps: f64) -> impl Iterator<Item = (&'static str, f64)> {
    let spare = 1.25 * amps;
    let enough = move |from: f64, to: f64| {
        let all = ratings().map(|rating| rating.value.0);
        all.filter(move |&rating| rating >= from && rating < to)
    };
    let both = enough(spare, f64::INFINITY).chain(enough(amps, spare));
    both.flat_map(|rating| {
        let patterns: [&'static str; 2] = if rating <= LARGEST_BLADE {
            ["blade", "class-t"]
        } else {
            ["bolt-down", "class-t"]
        };
        patterns.map(|pattern| (pattern, rating))
    })
}

const LARGEST_BLADE: f64 = 40.0;

/// A name that no part has: the run's, as its fuse.
fn free_name(plan: &Plan, run: &Thing) -> String {
    let run = run.name.as_ref().map_or("run", |name| &name.value);
    let first = format!("{run}-fuse");
    let is_free = |name: &str| {
        plan.model.part(name).is_none()
            && !plan.model.unread.contains(name)
            && !RESERVED_PARTS.contains(&name)
    };
    if is_free(&first) {
        return first;
    }
    let mut numbered = (2u32..).map(|number| format!("{first}-{number}"));
    numbered.find(|name| is_free(name)).unwrap_or(first)
}

impl Gap<'_> {
    fn edits(&self, name: &str, pattern: &str, amps: f64) -> Vec<Edit> {
        let part = format!("fuse {name} {pattern} {} A", plain(amps));
        let (stub, rest) = self.lengths();
        let (first, second) = if self.from_below {
            (rest, stub)
        } else {
            (stub, rest)
        };
        let added = vec![self.of_length(&second)];
        let length = self
            .line
            .length
            .map_or(self.line.span, |length| length.span);
        let stop_and_rest = [name.to_owned()]
            .into_iter()
            .chain(added)
            .collect::<Vec<_>>();
        vec![
            self.lines.thing_above(&part),
            self.lines.replace(length, first),
            self.lines
                .below(self.line.span, self.line.span.start, &stop_and_rest),
        ]
    }

    /// The stub's length and the rest's, as they are written.
    fn lengths(&self) -> (String, String) {
        let whole = self.length.value;
        let stub = if whole > 2.0 * STUB {
            STUB
        } else {
            whole / 2.0
        };
        let written = |metres: f64| {
            let unit = self.length.unit;
            // A length measured with string is not known to less than a millimetre.
            let number = (unit.from_base(metres) * 1e4).round() / 1e4;
            format!("{} {}", plain(number), unit.ascii())
        };
        (written(stub), written(whole - stub))
    }

    /// The conductor's line with another length, and without its mark: that is tied on one cable.
    fn of_length(&self, length: &str) -> String {
        let thing = self.lines.thing;
        let start = self.line.span.start as usize;
        let mut text = thing.text_of(self.line.span).to_owned();
        let mut changes: Vec<(Span, &str)> = Vec::new();
        changes.extend(self.line.length.map(|at| (at.span, length)));
        if let Some(mark) = &self.line.mark {
            let before = thing.text.get(..mark.span.start as usize).unwrap_or("");
            let word = before
                .trim_end()
                .strip_suffix("mark")
                .map(|rest| rest.trim_end().len());
            changes.extend(word.map(|at| (Span::new(at as u32, mark.span.end), "")));
        }
        changes.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
        for (span, words) in changes {
            let range = (span.start as usize).saturating_sub(start)
                ..(span.end as usize).saturating_sub(start);
            if text.get(range.clone()).is_some() {
                text.replace_range(range, words);
            }
        }
        text
    }
}
