//! `open-circuit`: no closed way round, with every contact closed and every selector in any position.
//!
//! What hangs on words that could not be read is withheld: `not-checked` speaks of it.

use std::collections::BTreeMap;

use ampwright_notation::{Key, Kind, Span, tree::Step};
use petgraph::graph::NodeIndex;
use rustc_hash::FxHashSet;

use super::{
    super::registry::Code,
    ground::{Ground, Side, are},
};
use crate::{
    finding::Finding,
    model::PartId,
    site::Site,
    wiring::{DrawKind, Supply, SupplyKind, Term},
};

/// Parts of which another finding has spoken already.
#[derive(Default)]
pub(super) struct Mute {
    pub(super) parts: FxHashSet<PartId>,
    /// Parts without a closed way round.
    pub(super) open: FxHashSet<PartId>,
}

/// What a part lacks.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Lacks {
    Feed,
    Return,
    Either,
    /// Both ends on the positive side.
    Minus,
    /// Both ends on the negative side.
    Plus,
    /// Fed by one source, returned to another that shares nothing with it.
    Common,
    Battery,
}

#[derive(Clone, Copy)]
struct Open {
    part: PartId,
    minus: NodeIndex,
    plus: NodeIndex,
    lacks: Lacks,
}

pub(super) fn find(ground: &Ground<'_>, mute: &mut Mute, found: &mut Vec<Finding>) {
    if ground.unread_run {
        return;
    }
    let mut groups: BTreeMap<(Lacks, u32), Vec<Open>> = BTreeMap::new();
    let mut open: Vec<Open> = draws(ground, mute);
    open.extend(sources(ground, mute));
    if open.is_empty() {
        open = batteries(ground);
    }
    for one in open {
        mute.open.insert(one.part);
        groups
            .entry((one.lacks, cause(ground, &one)))
            .or_default()
            .push(one);
    }
    for list in groups.into_values() {
        found.extend(finding(ground, &list));
    }
}

/// What is the same for all parts that one missing wire leaves open.
fn cause(ground: &Ground<'_>, open: &Open) -> u32 {
    match open.lacks {
        Lacks::Feed | Lacks::Either => ground.loose[open.plus.index()],
        Lacks::Return => ground.loose[open.minus.index()],
        Lacks::Common => ground.round[open.minus.index()],
        Lacks::Minus | Lacks::Plus | Lacks::Battery => open.part.0,
    }
}

fn is_spare(ground: &Ground<'_>, part: PartId) -> bool {
    ground.desk.circuit.facts(part).has(Key::Spare)
}

fn draws(ground: &Ground<'_>, mute: &Mute) -> Vec<Open> {
    let draws = ground.desk.plan.wiring.draws.iter();
    draws
        .filter(|draw| {
            let touched = ground.has_end(draw.plus)
                || ground.has_end(draw.minus)
                || (draw.kind == DrawKind::Converter && is_touched(ground, draw.part));
            touched && !mute.parts.contains(&draw.part)
        })
        .filter_map(|draw| {
            let lacks = lacks(ground, draw.plus, draw.minus)?;
            Some(Open {
                part: draw.part,
                plus: draw.plus,
                minus: draw.minus,
                lacks,
            })
        })
        .filter(|open| !is_spare(ground, open.part))
        .collect()
}

fn is_touched(ground: &Ground<'_>, part: PartId) -> bool {
    ground.stops(part).next().is_some()
}

/// What a draw lacks; `None` where nothing, or where something unread could be it.
fn lacks(ground: &Ground<'_>, plus: NodeIndex, minus: NodeIndex) -> Option<Lacks> {
    let by_battery = matches!(ground.side(plus), Side::Live | Side::Both);
    let fed = by_battery || weakly(ground, plus, true);
    // An alternator's - is no way home for what a battery feeds.
    let returned = matches!(ground.side(minus), Side::Home | Side::Both)
        || (!by_battery && weakly(ground, minus, false));
    let unread = |node| ground.hangs_on_a_gap(node);
    match (fed, returned) {
        (true, true) => (ground.round[plus.index()] != ground.round[minus.index()]
            && !unread(plus)
            && !unread(minus))
        .then_some(Lacks::Common),
        (true, false) if ground.side(minus) == Side::Live => Some(Lacks::Minus),
        (false, true) if ground.side(plus) == Side::Home => Some(Lacks::Plus),
        (true, false) => (!unread(minus)).then_some(Lacks::Return),
        (false, true) => (!unread(plus)).then_some(Lacks::Feed),
        (false, false) => (!unread(plus) && !unread(minus)).then_some(Lacks::Either),
    }
}

/// Joined to a charging source alone, with no battery behind it: it feeds its own island.
fn weakly(ground: &Ground<'_>, node: NodeIndex, live: bool) -> bool {
    let base = &ground.desk.plan.study.base;
    let net = if live { &base.live } else { &base.home };
    ground.side(node) == Side::Neither && net[node.index()].is_some()
}

/// Charging sources and panels that no closed way joins to anything they could feed.
fn sources(ground: &Ground<'_>, mute: &Mute) -> Vec<Open> {
    let wiring = &ground.desk.plan.wiring;
    let takers = Takers::of(ground);
    let touched = |supply: &&Supply| {
        let one_of_many = matches!(supply.kind, SupplyKind::Charger(_))
            && wiring.graph[supply.plus].term != Term::Plus;
        ground.has_end(supply.plus) || (!one_of_many && ground.has_end(supply.minus))
    };
    wiring
        .supplies
        .iter()
        .filter(|supply| !matches!(supply.kind, SupplyKind::Battery | SupplyKind::Converter))
        .filter(touched)
        .filter(|supply| !mute.parts.contains(&supply.part) && !is_spare(ground, supply.part))
        .filter_map(|supply| {
            let is_taken = takers.plus.contains(&ground.loose[supply.plus.index()]);
            let is_returned = takers.minus.contains(&ground.loose[supply.minus.index()]);
            let unread = |node| ground.hangs_on_a_gap(node);
            let lacks = match (is_taken, is_returned) {
                (true, true) => return None,
                (false, true) => (!unread(supply.plus)).then_some(Lacks::Feed),
                (true, false) => (!unread(supply.minus)).then_some(Lacks::Return),
                (false, false) => {
                    (!unread(supply.plus) && !unread(supply.minus)).then_some(Lacks::Either)
                }
            }?;
            Some(Open {
                part: supply.part,
                plus: supply.plus,
                minus: supply.minus,
                lacks,
            })
        })
        .collect()
}

/// Pieces in which something takes what a source gives.
struct Takers {
    plus: FxHashSet<u32>,
    minus: FxHashSet<u32>,
}

impl Takers {
    fn of(ground: &Ground<'_>) -> Self {
        let plan = ground.desk.plan;
        let draws = plan.wiring.draws.iter().map(|draw| (draw.plus, draw.minus));
        let batteries = plan
            .wiring
            .supplies
            .iter()
            .filter(|supply| supply.kind == SupplyKind::Battery)
            .map(|supply| (supply.plus, supply.minus));
        let controllers = plan
            .model
            .ids()
            .filter(|(_, part)| part.kind == Kind::Controller);
        let panels = controllers.filter_map(|(id, _)| {
            let node = |term| plan.wiring.terminal(id, term);
            Some((node(Term::InPlus)?, node(Term::InMinus)?))
        });
        // A panel on whose + another one's - hangs takes the other's current and passes it on.
        let passed = plan.study.base.panels_passed.iter();
        let passed = passed.map(|&panel| {
            let plus = plan.wiring.supplies[panel as usize].plus;
            (plus, plus)
        });
        let piece = |node: NodeIndex| ground.loose[node.index()];
        let (plus, minus) = draws
            .chain(batteries)
            .chain(panels)
            .chain(passed)
            .map(|(plus, minus)| (piece(plus), piece(minus)))
            .unzip();
        Self { plus, minus }
    }
}

/// Batteries of which one post is wired and the other is not. Of a series bank what hangs on it
/// speaks: an outer post that nothing uses is `tapped-bank`, or leaves a load open; but not where
/// another row of the bank goes on feeding what hangs on it.
fn batteries(ground: &Ground<'_>) -> Vec<Open> {
    let plan = ground.desk.plan;
    let banks = &plan.study.base.banks;
    let alone = |index: usize| {
        let bank = banks.of_supply.get(&(index as u32));
        bank.is_none_or(|&bank| {
            let bank = &banks.list[bank as usize];
            bank.tops.len() == bank.supplies.len()
        })
    };
    let missed = missed_ends(ground);
    let is_missed =
        |supply: &Supply| missed.contains(&supply.plus) || missed.contains(&supply.minus);
    let supplies = plan.wiring.supplies.iter().enumerate();
    supplies
        .filter(|&(index, supply)| alone(index) || is_missed(supply))
        .map(|(_, supply)| supply)
        .filter(|supply| supply.kind == SupplyKind::Battery)
        .filter(|supply| ground.has_end(supply.plus) != ground.has_end(supply.minus))
        .filter(|supply| !is_spare(ground, supply.part))
        .filter(|_| !ground.desk.has_gaps)
        .map(|supply| Open {
            part: supply.part,
            plus: supply.plus,
            minus: supply.minus,
            lacks: Lacks::Battery,
        })
        .collect()
}

/// Unwired ends of banks of which another end on the same side is wired.
fn missed_ends(ground: &Ground<'_>) -> FxHashSet<NodeIndex> {
    let banks = ground.desk.plan.study.base.banks.list.iter();
    let sides = banks.flat_map(|bank| [&bank.tops, &bank.bottoms]);
    sides
        .filter(|ends| ends.iter().any(|&end| ground.has_end(end)))
        .flatten()
        .copied()
        .filter(|&end| !ground.has_end(end))
        .collect()
}

fn finding(ground: &Ground<'_>, list: &[Open]) -> Option<Finding> {
    let desk = ground.desk;
    let first = *list.first()?;
    let mut parts: Vec<PartId> = list.iter().map(|open| open.part).collect();
    parts.dedup();
    let message = message(ground, &first, &parts);
    let mut finding = Finding::new(Code::OpenCircuit, desk.name_site(first.part), message);
    for &part in parts.iter().skip(1) {
        finding = finding.beside(desk.name_site(part), "open for the same reason");
    }
    if let Some((label, site, text)) = come_back(ground, &first).filter(|_| parts.len() == 1) {
        finding = finding.mended_by(label, site, text);
    }
    Some(finding)
}

fn message(ground: &Ground<'_>, open: &Open, parts: &[PartId]) -> String {
    let names = ground.names(parts);
    let is = are(parts.len());
    let their = if parts.len() == 1 { "its" } else { "their" };
    let node = |node| ground.desk.node_name(node);
    let is_source = ground
        .desk
        .plan
        .wiring
        .supplies
        .iter()
        .any(|supply| supply.part == open.part && supply.plus == open.plus)
        && !ground.desk.plan.study.base.draw_of.contains_key(&open.part);
    match open.lacks {
        Lacks::Feed if is_source => format!(
            "{names} {is} joined to nothing that takes {their} current: wire {} through to a battery.",
            node(open.plus)
        ),
        Lacks::Feed if !ground.has_end(open.plus) => {
            format!("{names} {is} not fed: no run lands on {}.", node(open.plus))
        }
        Lacks::Feed => format!(
            "{names} {is} not fed: nothing joins {} to the + of a source.",
            node(open.plus)
        ),
        Lacks::Return if !ground.has_end(open.minus) => format!(
            "{names} {is} without a way back: no run lands on {}.",
            node(open.minus)
        ),
        Lacks::Return => format!(
            "{names} {is} without a way back: nothing joins {} to the - of what feeds {}.",
            node(open.minus),
            if parts.len() == 1 { "it" } else { "them" }
        ),
        Lacks::Either => format!(
            "{names} {is} joined to no source, neither at {} nor at {}.",
            node(open.plus),
            node(open.minus)
        ),
        Lacks::Minus => format!(
            "Both ends of {names} lie on the positive side, so no current flows: wire {} to the negative.",
            node(open.minus)
        ),
        Lacks::Plus => format!(
            "Both ends of {names} lie on the negative side, so no current flows: wire {} to the positive.",
            node(open.plus)
        ),
        Lacks::Common => format!(
            "{names} {is} fed by one source and returned to another, and the two share no negative: join their negatives.",
        ),
        Lacks::Battery => {
            let bare = if ground.has_end(open.plus) {
                open.minus
            } else {
                open.plus
            };
            format!("{names} gives no current: no run lands on {}.", node(bare))
        }
    }
}

/// `back` below a last stop at a load's +, where the run's panel says where it returns.
fn come_back(ground: &Ground<'_>, open: &Open) -> Option<(String, Site, String)> {
    if open.lacks != Lacks::Return || ground.has_end(open.minus) {
        return None;
    }
    let visit = ground
        .stops(open.part)
        .find(|visit| visit.enter == open.plus && visit.leave == open.plus)?;
    let (at, steps) = ground.step(visit.site)?;
    let Some(Step::Stop(first)) = steps.first() else {
        return None;
    };
    let panel = ground.desk.plan.model.part(&first.name.value)?;
    let returns = ground.desk.circuit.facts(panel).has(Key::Returns);
    let ends = Span {
        start: visit.site.span.end,
        end: visit.site.span.end,
    };
    (returns && at + 1 == steps.len()).then(|| {
        (
            "add back".to_owned(),
            Site {
                span: ends,
                ..visit.site
            },
            "\n    back".to_owned(),
        )
    })
}
