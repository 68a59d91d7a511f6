//! One more way of a panel, one more post of a bar.

use ampwright_notation::{Key, Kind, Thing, tree::Arg};
use ampwright_plan::{Code, PartId, Plan, ThingRef};

use super::{Offer, Sort, Task, gone, lines::Lines, rewrite};
use crate::{
    bars,
    cursor::{Cursor, Edit},
    names::{self, Symbol},
};

/// What can be added to the panel or bar at the cursor, or to the one whose lines it is in.
pub(super) fn offers(plan: &Plan, cursor: &Cursor<'_>) -> Option<Offer> {
    let named = names::mention_at(cursor).map(|mention| mention.symbol);
    let part = match named {
        Some(Symbol::Part(name) | Symbol::Way(name, _)) => plan.model.part(&name),
        _ => plan.model.part(&cursor.thing.name.as_ref()?.value),
    };
    let part = part?;
    match plan.model.get(part).kind {
        Kind::Panel => {
            let number = next_way(thing_of(plan, part)?);
            let title = format!("Add way {number} to {}", plan.model.get(part).name);
            Some(rewrite(title, Task::NextWay(part)))
        }
        Kind::Busbar => of_bar(plan, part),
        _ => None,
    }
}

fn thing_of(plan: &Plan, part: PartId) -> Option<&Thing> {
    plan.sources
        .thing(plan.model.parts.get(part.0 as usize)?.thing)
}

fn next_way(panel: &Thing) -> u32 {
    let numbers = panel.ways.iter().map(|way| way.number.value);
    numbers.max().unwrap_or(0).saturating_add(1)
}

/// A way without a device, below the last one.
pub(super) fn way(plan: &Plan, panel: PartId) -> Result<Vec<Edit>, String> {
    let whose = plan
        .model
        .parts
        .get(panel.0 as usize)
        .ok_or_else(gone)?
        .thing;
    let lines = Lines::of(plan, whose).ok_or_else(gone)?;
    let thing = lines.thing;
    let line = vec![format!("way {} spare", next_way(thing))];
    let last = thing
        .ways
        .iter()
        .map(|way| way.span)
        .max_by_key(|span| span.end);
    let last = last.filter(|span| span.start >= thing.head.end);
    let below = last.unwrap_or(thing.head);
    let like = last.map_or_else(|| first_below(thing), |span| span.start);
    Ok(vec![lines.below(below, like, &line)])
}

/// A place on a line that is indented as the thing's lines are.
fn first_below(thing: &Thing) -> u32 {
    let facts = thing.facts.iter().map(|fact| fact.span.start);
    let below = facts.filter(|&start| start >= thing.head.end).min();
    below.unwrap_or(thing.head.start)
}

/// The fact that counts a bar's posts or studs: the posts, where it has both.
fn count_of(plan: &Plan, bar: PartId) -> Option<(ThingRef, ampwright_notation::Span, u32, Key)> {
    let whose = plan.model.parts.get(bar.0 as usize)?.thing;
    let thing = plan.sources.thing(whose)?;
    [Key::Posts, Key::Studs].into_iter().find_map(|key| {
        let count = thing.fact(key)?.args.iter().find_map(|arg| match arg {
            Arg::Count(count) => Some(*count),
            _ => None,
        })?;
        Some((whose, count.span, count.value, key))
    })
}

/// How many posts a bar of one count has to have: one more, or as many as conductors end on it.
fn wanted(plan: &Plan, bar: PartId, now: u32) -> u32 {
    let lacking =
        bars::taken(plan, bar).map_or(0, |taken| taken.ends.saturating_sub(taken.of.unwrap_or(0)));
    now.saturating_add(lacking.max(1))
}

fn of_bar(plan: &Plan, bar: PartId) -> Option<Offer> {
    let (_, _, now, key) = count_of(plan, bar)?;
    let what = if key == Key::Posts { "posts" } else { "studs" };
    let wanted = wanted(plan, bar, now);
    let name = &plan.model.get(bar).name;
    let site = plan.sources.name_site(plan.model.get(bar).thing);
    let findings = plan.findings.iter().enumerate();
    let too_few = findings.filter(|(_, finding)| {
        let counted = finding.figure.is_some_and(|figure| figure.unit != "A");
        finding.code == Code::BusOverflow && finding.site == site && counted
    });
    let mends: Vec<usize> = too_few.map(|(index, _)| index).collect();
    Some(Offer {
        sort: if mends.is_empty() {
            Sort::Rewrite
        } else {
            Sort::Mend
        },
        mends,
        ..rewrite(format!("Give {name} {wanted} {what}"), Task::NextPost(bar))
    })
}

/// A bar with one more post, or with as many as it needs.
pub(super) fn post(plan: &Plan, bar: PartId) -> Result<Vec<Edit>, String> {
    let (whose, span, now, _) = count_of(plan, bar).ok_or_else(gone)?;
    let lines = Lines::of(plan, whose).ok_or_else(gone)?;
    Ok(vec![
        lines.replace(span, wanted(plan, bar, now).to_string()),
    ])
}
