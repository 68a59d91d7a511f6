//! What can be done about the words at the cursor: every edit that mends a finding, and changes
//! that keep the plan right while they make it better or shorter.
//!
//! [`offers`] and [`of_file`] list them without computing; [`make`] works one out. What could make something
//! worse is tried on a copy of the plan first (`draft`), and is refused in words where it would.

mod back;
mod draft;
mod facts;
mod lines;
mod marks;
mod mends;
mod next;
mod protect;
mod size;

use std::ops::Range;

use ampwright_notation::{Kind, tree::Step};
use ampwright_plan::{PartId, Plan, ThingRef};

use crate::cursor::{Cursor, Edit};

/// Something that can be done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    /// What it does, in words.
    pub title: String,
    /// What it is for.
    pub sort: Sort,
    /// The findings that it mends, indices into [`Plan::findings`].
    pub mends: Vec<usize>,
    /// It is what most would choose.
    pub preferred: bool,
    /// What [`make`] is asked for.
    pub task: Task,
}

/// What an offer is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sort {
    /// It mends a finding.
    Mend,
    /// It says the same in another way, or something better.
    Rewrite,
    /// It mends whatever can be mended without asking.
    MendAll,
    /// It brings the file into its written form.
    Written,
}

/// A task for [`make`]. It means something in the plan only that it was offered for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Task {
    /// A finding's edit: the finding, and which of its edits.
    Mend(usize, usize),
    /// Every safe edit of a file's findings.
    MendAll(u32),
    /// A file's written form.
    Written(u32),
    /// The smallest size for a step's conductor that passes everything.
    Size(ThingRef, u32),
    /// The same for a multicore.
    SizeCores(PartId),
    /// A device in a step's conductor.
    Protect(ThingRef, u32),
    /// What a run's `back` makes, written out.
    WriteBack(ThingRef, u32),
    /// A run's two single conductors as twins.
    Twin(ThingRef),
    /// One more way.
    NextWay(PartId),
    /// One more post.
    NextPost(PartId),
    /// Facts of a head line, each on its own line.
    Below(ThingRef),
    /// Facts below, on the head line.
    OnHead(ThingRef),
    /// A run's made marks, written.
    Marks(ThingRef),
    /// Every made mark of the plan, written.
    AllMarks,
}

impl Task {
    /// A name for it, the same for the same task of the same plan.
    pub fn id(&self) -> String {
        format!("{self:?}")
    }
}

/// A task worked out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    /// The edits, apart from each other.
    pub edits: Vec<Edit>,
    /// What is done, where that is known better now: `Size this conductor: 4 mm2`.
    pub title: Option<String>,
}

impl Made {
    const fn plain(edits: Vec<Edit>) -> Self {
        Self { edits, title: None }
    }
}

/// What can be done about some bytes of a file, mends first.
pub fn offers(plan: &Plan, file: u32, range: &Range<usize>) -> Vec<Offer> {
    let mut offers = mends::offers(plan, file, range);
    if let Some(cursor) = Cursor::new(plan, file, range.start) {
        at_cursor(plan, &cursor, &mut offers);
    }
    offers
}

/// What can be done with a whole file.
pub fn of_file(plan: &Plan, file: u32) -> Vec<Offer> {
    mends::of_file(plan, file)
}

fn at_cursor(plan: &Plan, cursor: &Cursor<'_>, offers: &mut Vec<Offer>) {
    let whose = cursor.whose;
    let step = cursor.thing.step_at(cursor.at);
    let makes = |step: &Step| matches!(step, Step::Conductor(_) | Step::Back(_));
    if let Some((index, _)) = step.filter(|(_, step)| makes(step)) {
        offers.extend(size::offer(plan, whose, index));
        offers.extend(protect::offer(plan, whose, index));
    }
    match cursor.thing.kind {
        Some(Kind::Run) => {
            offers.extend(back::offers(plan, cursor.thing, whose));
            offers.extend(marks::offers(plan, whose));
        }
        Some(Kind::Multicore) => offers.extend(size::offer_cores(plan, cursor.thing)),
        _ => {}
    }
    offers.extend(next::offers(plan, cursor));
    offers.extend(facts::offers(cursor));
}

/// Works a task out. `stop` is asked between trials.
///
/// # Errors
/// It cannot be done, or would do harm: why, in words for the writer.
pub fn make(plan: &Plan, task: Task, stop: &dyn Fn() -> bool) -> Result<Made, String> {
    match task {
        Task::Mend(finding, fix) => mends::one(plan, finding, fix).map(Made::plain),
        Task::MendAll(file) => mends::all(plan, file).map(Made::plain),
        Task::Written(file) => mends::written(plan, file).map(Made::plain),
        Task::Size(whose, step) => size::make(plan, whose, step, stop),
        Task::SizeCores(part) => size::make_cores(plan, part, stop),
        Task::Protect(whose, step) => protect::make(plan, whose, step, stop),
        Task::WriteBack(whose, step) => back::write_out(plan, whose, step).map(Made::plain),
        Task::Twin(whose) => back::twin(plan, whose).map(Made::plain),
        Task::NextWay(panel) => next::way(plan, panel).map(Made::plain),
        Task::NextPost(bar) => next::post(plan, bar).map(Made::plain),
        Task::Below(whose) => facts::below(plan, whose).map(Made::plain),
        Task::OnHead(whose) => facts::on_head(plan, whose).map(Made::plain),
        Task::Marks(whose) => marks::of_run(plan, whose).map(Made::plain),
        Task::AllMarks => marks::all(plan).map(Made::plain),
    }
}

/// A rewriting that mends nothing by itself.
fn rewrite(title: impl Into<String>, task: Task) -> Offer {
    Offer {
        title: title.into(),
        sort: Sort::Rewrite,
        mends: Vec::new(),
        preferred: false,
        task,
    }
}

/// What a task is refused with that does not fit the plan.
fn gone() -> String {
    "The text has changed: ask again.".to_owned()
}

#[cfg(test)]
mod tests;
