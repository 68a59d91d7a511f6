//! `return-length-differs`: a written return much longer or shorter than the way out.
//!
//! Only where both ends of a run are at one place is the length of one a measure of the other: a
//! return that ends at another load's `-` shares that load's way home.

use ampwright_notation::{Key, Kind};
use petgraph::graph::NodeIndex;

use super::{super::registry::Code, ground::Ground, open::Mute};
use crate::{
    finding::Finding,
    model::PartId,
    say,
    wiring::{Conductor, Way},
};

/// More than a fifth, and more than this, m (common practice, no source).
const MOST_METRES: f64 = 1.0;
const MOST_SHARE: f64 = 0.20;

pub(super) fn find(ground: &Ground<'_>, mute: &Mute, found: &mut Vec<Finding>) {
    let conductors = &ground.desk.plan.wiring.conductors;
    for run in conductors.chunk_by(|a, b| a.run == b.run) {
        // Where the load itself is wired wrong, out and home are not what they seem.
        let wrong = run.iter().any(|conductor| {
            ground
                .part(conductor.from)
                .is_some_and(|part| mute.parts.contains(&part))
        });
        if !wrong {
            found.extend(differs(ground, run));
        }
    }
}

fn differs(ground: &Ground<'_>, run: &[Conductor]) -> Option<Finding> {
    // Past the load, or after `back`, a run leads home.
    let turn = run
        .iter()
        .position(|conductor| conductor.way == Way::Home || leaves_a_load(ground, conductor))?;
    let (out, home) = run.split_at(turn);
    let (first, last) = (out.first()?, home.last()?);
    // Nothing measured on its own: `back` without a length takes the way out's.
    let length = |list: &[Conductor]| -> Option<f64> { list.iter().map(|one| one.metres).sum() };
    let (there, again) = (length(out)?, length(home)?);
    let apart = (there - again).abs();
    if apart <= MOST_METRES + 1e-6 || apart <= MOST_SHARE * there + 1e-6 {
        return None;
    }
    if !at_one_place(ground, ground.part(first.from)?, last_part(ground, last)?) {
        return None;
    }
    let message = format!(
        "The way back measures {}, the way out {}: measure both again.",
        say::metres(again),
        say::metres(there),
    );
    let site = home.first()?.site;
    Some(
        Finding::new(Code::ReturnLengthDiffers, site, message)
            .measuring(again, there, "m")
            .beside(first.site, "the way out begins here"),
    )
}

fn leaves_a_load(ground: &Ground<'_>, conductor: &Conductor) -> bool {
    let is_minus = |node: NodeIndex| {
        let wiring = &ground.desk.plan.wiring;
        let part = ground.part(node)?;
        let draw = ground.desk.plan.study.base.draw_of.get(&part)?;
        Some(wiring.draws[*draw as usize].minus == node)
    };
    is_minus(conductor.from).unwrap_or(false)
}

fn last_part(ground: &Ground<'_>, last: &Conductor) -> Option<PartId> {
    ground.part(last.to)
}

/// A run starts and ends at one place: one part, a panel and its bar, or a battery or bars.
fn at_one_place(ground: &Ground<'_>, start: PartId, end: PartId) -> bool {
    let desk = ground.desk;
    let kind = |part: PartId| desk.plan.model.get(part).kind;
    if start == end {
        return true;
    }
    let (from, to) = (desk.circuit.facts(start), desk.circuit.facts(end));
    let apart = matches!((from.name(Key::In), to.name(Key::In)), (Some(a), Some(b)) if a != b);
    if apart {
        return false;
    }
    match (kind(start), kind(end)) {
        (Kind::Panel, Kind::Busbar) => from
            .name(Key::Returns)
            .is_none_or(|bar| *bar == desk.plan.model.get(end).name),
        (Kind::Battery | Kind::Busbar, Kind::Battery | Kind::Busbar) => kind(start) == kind(end),
        _ => false,
    }
}
