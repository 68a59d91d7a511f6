//! `check`: every finding of every plan, in three shapes.

mod human;
mod json;
mod plain;
mod summary;

pub(crate) use json::escaped;

use std::{
    io::Write,
    path::{Path, PathBuf},
    sync::{
        Arc, Mutex, PoisonError,
        atomic::{AtomicUsize, Ordering},
    },
    thread,
};

pub(crate) use ampwright_assist::summary::CAUTION;
use ampwright_plan::{Finding, Plan, Severity};

use crate::{
    cli::{CheckArgs, Colour, FailOn, Shape},
    disk::Workspace,
    gather::{self, Gather},
    out::Outcome,
    texts::{self, Texts},
};

/// A plan that was checked.
struct Checked {
    workspace: Arc<Workspace>,
    plan: Plan,
}

/// Everything that was asked for.
struct Result {
    plans: Vec<Checked>,
    unused: Vec<String>,
    unread: Vec<(String, String)>,
}

/// Checks plans.
pub(crate) fn run(
    args: &CheckArgs,
    colour: Colour,
    out: &mut dyn Write,
) -> anyhow::Result<Outcome> {
    let result = check(&args.paths);
    match args.format {
        Shape::Human => human::print(&result, colour.wanted(), out)?,
        Shape::Plain => plain::print(&result, out)?,
        Shape::Json => json::print(&result, out)?,
    }
    Ok(result.outcome(args.fail_on))
}

fn check(paths: &[PathBuf]) -> Result {
    let gathered = gather::gather(paths);
    let here = texts::here();
    let shown = |path: &Path| texts::from(&here, path);
    Result {
        plans: compute(gathered.plans),
        unused: gathered.unused.iter().map(|path| shown(path)).collect(),
        unread: gathered
            .unread
            .into_iter()
            .map(|(path, why)| (shown(&path), why))
            .collect(),
    }
}

/// Computes the plans beside one another, and keeps their order.
fn compute(plans: Vec<Gather>) -> Vec<Checked> {
    let next = AtomicUsize::new(0);
    let hands = thread::available_parallelism().map_or(1, usize::from);
    let done: Mutex<Vec<(usize, Plan)>> = Mutex::new(Vec::with_capacity(plans.len()));
    let work = || {
        while let Some((at, gather)) = {
            let at = next.fetch_add(1, Ordering::Relaxed);
            plans.get(at).map(|gather| (at, gather))
        } {
            let plan = Plan::of(gather.sources.clone());
            done.lock()
                .unwrap_or_else(PoisonError::into_inner)
                .push((at, plan));
        }
    };
    thread::scope(|scope| {
        for _ in 1..hands.min(plans.len()) {
            scope.spawn(work);
        }
        work();
    });
    let mut done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    done.sort_by_key(|&(at, _)| at);
    let plans = plans.into_iter().zip(done);
    plans
        .map(|(gather, (_, plan))| Checked {
            workspace: gather.workspace,
            plan,
        })
        .collect()
}

impl Result {
    fn outcome(&self, fail_on: FailOn) -> Outcome {
        if !self.unread.is_empty() {
            return Outcome::Unread;
        }
        let least = match fail_on {
            FailOn::Advice => Severity::Advice,
            FailOn::Warning => Severity::Warning,
            FailOn::Error => Severity::Error,
        };
        let mut findings = self.plans.iter().flat_map(|checked| &checked.plan.findings);
        if findings.any(|finding| finding.accepted.is_none() && finding.severity >= least) {
            Outcome::Found
        } else {
            Outcome::Clean
        }
    }
}

impl Checked {
    fn texts(&self) -> Texts<'_> {
        Texts::new(&self.plan, &self.workspace.root)
    }
}

/// How many findings of each severity, and how many are accepted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Counts {
    errors: usize,
    warnings: usize,
    advices: usize,
    accepted: usize,
}

impl Counts {
    fn of(findings: &[Finding]) -> Self {
        let mut counts = Self::default();
        for finding in findings {
            *match (&finding.accepted, finding.severity) {
                (Some(_), _) => &mut counts.accepted,
                (None, Severity::Error) => &mut counts.errors,
                (None, Severity::Warning) => &mut counts.warnings,
                (None, Severity::Advice) => &mut counts.advices,
            } += 1;
        }
        counts
    }
}
