//! The edits that findings offer, one by one and all together; and the written form.

use std::ops::Range;

use ampwright_notation::File;
use ampwright_plan::{Code, Fix, Plan};

use super::{Offer, Sort, Task, gone};
use crate::{
    cursor::{Edit, FileRange, file_of},
    format,
};

/// Every edit of every finding on some bytes of a file.
pub(super) fn offers(plan: &Plan, file: u32, range: &Range<usize>) -> Vec<Offer> {
    let findings = plan.findings.iter().enumerate();
    let touched = findings.filter(|(_, finding)| {
        let at = plan.sources.range(finding.site);
        finding.site.file == file && at.start <= range.end && range.start <= at.end
    });
    touched
        .flat_map(|(index, finding)| {
            // Accepting more is for somebody to answer for.
            let only = finding.fixes.len() == 1 && finding.code != Code::LapsedAllowance;
            let fixes = finding.fixes.iter().enumerate();
            fixes.map(move |(which, fix)| Offer {
                title: crate::phrase::sentence(&fix.label),
                sort: Sort::Mend,
                mends: vec![index],
                // Of several the writer has to choose.
                preferred: only,
                task: Task::Mend(index, which),
            })
        })
        .collect()
}

/// What can be done with the whole file.
pub(super) fn of_file(plan: &Plan, file: u32) -> Vec<Offer> {
    let mut offers = Vec::new();
    let sure = sure(plan, file);
    if !sure.is_empty() {
        offers.push(Offer {
            title: "Mend everything that has one sure mend".to_owned(),
            sort: Sort::MendAll,
            mends: sure.iter().map(|(finding, _)| *finding).collect(),
            preferred: false,
            task: Task::MendAll(file),
        });
    }
    if file_of(plan, file).is_some_and(is_unlike_written) {
        offers.push(Offer {
            title: "Bring the file into its written form".to_owned(),
            sort: Sort::Written,
            mends: Vec::new(),
            preferred: false,
            task: Task::Written(file),
        });
    }
    offers
}

fn is_unlike_written(file: &File) -> bool {
    !ampwright_notation::format::format_edits(file).is_empty()
}

/// One edit.
pub(super) fn one(plan: &Plan, finding: usize, fix: usize) -> Result<Vec<Edit>, String> {
    edit_of(plan, finding, fix)
        .map(|edit| vec![edit])
        .ok_or_else(gone)
}

fn edit_of(plan: &Plan, finding: usize, fix: usize) -> Option<Edit> {
    let fix = plan.findings.get(finding)?.fixes.get(fix)?;
    Some(Edit {
        at: FileRange::of(plan, fix.site),
        text: fix.text.clone(),
    })
}

/// What was written amiss in one way only: everything else is for the writer to decide.
const SURE: [Code; 4] = [
    Code::Syntax,
    Code::UnknownKind,
    Code::UnknownFact,
    Code::WrongUnit,
];

/// The edits of a file's findings that put other words for wrong ones, none touching another.
fn sure(plan: &Plan, file: u32) -> Vec<(usize, Edit)> {
    let findings = plan.findings.iter().enumerate();
    let single = findings.filter(|(_, finding)| {
        let writes = |fix: &Fix| fix.site.file == file && !fix.site.span.is_empty();
        SURE.contains(&finding.code)
            && finding.accepted.is_none()
            && finding.fixes.len() == 1
            && finding.fixes.iter().all(writes)
    });
    let mut edits: Vec<(usize, Edit)> = single
        .filter_map(|(index, _)| Some((index, edit_of(plan, index, 0)?)))
        .collect();
    edits.sort_by_key(|(_, edit)| edit.at.order());
    let mut end = None;
    edits.retain(|(_, edit)| {
        let free = end.is_none_or(|end| edit.at.range.start > end);
        if free {
            end = Some(edit.at.range.end);
        }
        free
    });
    edits
}

/// Every sure edit of a file.
pub(super) fn all(plan: &Plan, file: u32) -> Result<Vec<Edit>, String> {
    let edits: Vec<Edit> = sure(plan, file).into_iter().map(|(_, edit)| edit).collect();
    if edits.is_empty() {
        return Err("Nothing here has one sure mend.".to_owned());
    }
    Ok(edits)
}

/// The written form.
pub(super) fn written(plan: &Plan, file: u32) -> Result<Vec<Edit>, String> {
    let edits = format::file(plan, file);
    if edits.is_empty() {
        return Err("The file is in its written form.".to_owned());
    }
    Ok(edits)
}
