//! A copy of a plan with edits made in it, and what that does to its findings.

use std::{collections::BTreeMap, sync::Arc};

use ampwright_notation::Kind;
use ampwright_plan::{Code, Finding, Plan, Sources, ThingRef};

use crate::cursor::Edit;

/// The plan as it would be with these edits, which lie apart from each other.
pub(super) fn edited(plan: &Plan, edits: &[Edit]) -> Plan {
    let mut sources = plan.sources.clone();
    let mut by_file: BTreeMap<u32, Vec<&Edit>> = BTreeMap::new();
    for edit in edits {
        by_file.entry(edit.at.file).or_default().push(edit);
    }
    for (file, edits) in by_file {
        rewrite(&mut sources, file, edits);
    }
    Plan::of(sources)
}

fn rewrite(sources: &mut Sources, index: u32, mut edits: Vec<&Edit>) {
    let Some(source) = sources.list.get_mut(index as usize) else {
        return;
    };
    let mut text = source.file.text();
    edits.sort_by_key(|edit| std::cmp::Reverse((edit.at.range.start, edit.at.range.end)));
    for edit in edits {
        let range = edit.at.range.clone();
        if text.get(range.clone()).is_some() {
            text.replace_range(range, &edit.text);
        }
    }
    let before = Arc::clone(&source.file);
    let after = Arc::new(before.reparse(&text));
    source.file = Arc::clone(&after);
    // A line that cannot be followed is still that line, wherever it has moved to.
    let uses = |file: &ampwright_notation::File| -> Vec<usize> {
        let chunks = file.chunks.iter().enumerate();
        chunks
            .filter(|(_, chunk)| chunk.thing.kind == Some(Kind::Use))
            .map(|(thing, _)| thing)
            .collect()
    };
    let (old, new) = (uses(&before), uses(&after));
    let of_file = sources.unusable.iter_mut();
    for unusable in of_file.filter(|unusable| unusable.site.file == index) {
        let place = old
            .iter()
            .position(|&thing| thing == unusable.site.thing as usize);
        let moved = place.and_then(|place| new.get(place));
        unusable.site.thing = moved.map_or(unusable.site.thing, |&thing| thing as u32);
    }
}

/// Where a finding stands, as far as an edit leaves it: its code, the file and the name of the thing.
type Key = (Code, u32, String);

/// The findings of a plan as they can be held against those of another draft of it. What is accepted
/// does not count: an acceptance that is outgrown is a finding of its own.
pub(super) struct Tally(BTreeMap<Key, (usize, f64)>);

impl Tally {
    pub(super) fn of(plan: &Plan) -> Self {
        let mut tally = BTreeMap::new();
        for finding in open(plan) {
            let known: &mut (usize, f64) = tally.entry(key(plan, finding)).or_default();
            known.0 += 1;
            known.1 = known.1.max(badness(finding));
        }
        Self(tally)
    }

    /// A finding of another draft that is new here, or worse than it was. Any thicker conductor lets
    /// more into a short circuit: a device that cannot stop it is to be replaced either way.
    pub(super) fn worse<'p>(&self, plan: &'p Plan) -> Option<&'p Finding> {
        let mut seen: BTreeMap<Key, usize> = BTreeMap::new();
        open(plan).find(|finding| {
            let key = key(plan, finding);
            let Some(&(count, worst)) = self.0.get(&key) else {
                return true;
            };
            let seen = seen.entry(key).or_default();
            *seen += 1;
            let grows = finding.code != Code::BreakingCapacity;
            *seen > count || grows && badness(finding) > worst * (1.0 + 1e-9) + 1e-9
        })
    }
}

fn open(plan: &Plan) -> impl Iterator<Item = &Finding> {
    let findings = plan.findings.iter();
    findings.filter(|finding| finding.accepted.is_none())
}

fn key(plan: &Plan, finding: &Finding) -> Key {
    let site = finding.site;
    let whose = ThingRef {
        file: site.file,
        thing: site.thing,
    };
    let name = plan.sources.words(plan.sources.name_site(whose));
    (finding.code, site.file, name.to_owned())
}

/// How far a finding's figure is from what is allowed.
fn badness(finding: &Finding) -> f64 {
    let far = finding
        .figure
        .map_or(0.0, |figure| (figure.measured - figure.allowed).abs());
    if far.is_nan() { 0.0 } else { far }
}

/// Why an edit that brings this finding is refused.
pub(super) fn refusal(finding: &Finding) -> String {
    format!(
        "It would bring {}: {}",
        finding.code.word(),
        finding.message
    )
}

/// The edits, where they bring no finding and make none worse.
pub(super) fn harmless(plan: &Plan, edits: Vec<Edit>) -> Result<Vec<Edit>, String> {
    let after = edited(plan, &edits);
    match Tally::of(plan).worse(&after) {
        Some(finding) => Err(refusal(finding)),
        None => Ok(edits),
    }
}
