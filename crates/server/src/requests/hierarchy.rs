//! What feeds a part and what it feeds, as a client shows who calls whom.

use ampwright_assist::{
    FileRange,
    hierarchy::{self, Item, Neighbour},
};
use ampwright_plan::PartId;
use serde::{Deserialize, Serialize};
use serde_json::json;
use tower_lsp::{
    jsonrpc::Result,
    lsp_types::{
        CallHierarchyIncomingCall, CallHierarchyIncomingCallsParams, CallHierarchyItem,
        CallHierarchyOutgoingCall, CallHierarchyOutgoingCallsParams, CallHierarchyPrepareParams,
        Range, Url,
        request::{CallHierarchyIncomingCalls, CallHierarchyOutgoingCalls, CallHierarchyPrepare},
    },
};

use super::{outline::picture_of, place::Asked};
use crate::{
    analysis::Study,
    plans::Computed,
    state::Snapshot,
    transport::{CancelToken, Table},
};

pub(super) fn register(table: Table<Snapshot>) -> Table<Snapshot> {
    table
        .on::<CallHierarchyPrepare>(json!({"callHierarchyProvider": true}), prepare)
        .on::<CallHierarchyIncomingCalls>(json!({}), fed_by)
        .on::<CallHierarchyOutgoingCalls>(json!({}), feeds)
}

/// What an item carries to be asked further by: the plan's first file, and the part's name.
#[derive(Serialize, Deserialize)]
struct About {
    plan: Url,
    part: String,
}

fn prepare(
    snapshot: &Snapshot,
    params: &CallHierarchyPrepareParams,
    cancel: &CancelToken,
) -> Result<Option<Vec<CallHierarchyItem>>> {
    let (asked, byte) = Asked::at(snapshot, &params.text_document_position_params, cancel)?;
    let items = asked.plans().filter_map(|(computed, file)| {
        let item = hierarchy::item(&computed.plan, file, byte)?;
        shown(&asked.study, computed, item)
    });
    let items: Vec<CallHierarchyItem> = items.collect();
    Ok((!items.is_empty()).then_some(items))
}

fn shown(study: &Study, computed: &Computed, item: Item) -> Option<CallHierarchyItem> {
    let (uri, range) = placed(study, computed, &item.at)?;
    let about = About {
        plan: computed.urls.first()?.clone(),
        part: item.name.clone(),
    };
    Some(CallHierarchyItem {
        name: item.name,
        kind: picture_of(item.kind),
        tags: None,
        detail: Some(item.kind.word().to_owned()),
        uri,
        range,
        selection_range: range,
        data: Some(json!(about)),
    })
}

fn placed(study: &Study, computed: &Computed, at: &FileRange) -> Option<(Url, Range)> {
    let url = computed.urls.get(at.file as usize)?;
    Some((url.clone(), study.positions(url, at.range.clone())?))
}

/// The part that an item stands for, in a plan of this study.
fn part<'s>(study: &'s Study, item: &CallHierarchyItem) -> Option<(&'s Computed, PartId)> {
    let about = About::deserialize(item.data.as_ref()?).ok()?;
    let mut plans = study.plans.iter();
    let computed = plans.find(|computed| computed.urls.first() == Some(&about.plan))?;
    Some((computed, computed.plan.model.part(&about.part)?))
}

fn fed_by(
    snapshot: &Snapshot,
    params: &CallHierarchyIncomingCallsParams,
    cancel: &CancelToken,
) -> Result<Option<Vec<CallHierarchyIncomingCall>>> {
    let study = snapshot.study(cancel)?;
    let Some((computed, part)) = part(&study, &params.item) else {
        return Ok(None);
    };
    let calls = hierarchy::fed_by(&computed.plan, part).into_iter();
    let calls = calls.filter_map(|neighbour| {
        let through = neighbour.through.clone();
        let from = shown(&study, computed, neighbour.item)?;
        let from_ranges = within(&study, computed, &through, &from);
        Some(CallHierarchyIncomingCall { from, from_ranges })
    });
    Ok(Some(calls.collect()))
}

fn feeds(
    snapshot: &Snapshot,
    params: &CallHierarchyOutgoingCallsParams,
    cancel: &CancelToken,
) -> Result<Option<Vec<CallHierarchyOutgoingCall>>> {
    let study = snapshot.study(cancel)?;
    let Some((computed, part)) = part(&study, &params.item) else {
        return Ok(None);
    };
    let calls = hierarchy::feeds(&computed.plan, part).into_iter();
    let calls = calls.filter_map(|Neighbour { item, through }| {
        let from_ranges = within(&study, computed, &through, &params.item);
        let to = shown(&study, computed, item)?;
        Some(CallHierarchyOutgoingCall { to, from_ranges })
    });
    Ok(Some(calls.collect()))
}

/// The conductors' lines that stand in the caller's file, where a client looks for them; else the
/// caller itself.
fn within(
    study: &Study,
    computed: &Computed,
    through: &[FileRange],
    caller: &CallHierarchyItem,
) -> Vec<Range> {
    let placed = through.iter().filter_map(|at| placed(study, computed, at));
    let here = placed.filter(|(url, _)| *url == caller.uri);
    let ranges: Vec<Range> = here.map(|(_, range)| range).collect();
    if ranges.is_empty() {
        vec![caller.selection_range]
    } else {
        ranges
    }
}
