//! How a bank's batteries share, what joins them, and the air round them.

mod air;

use std::collections::BTreeMap;

use ampwright_electrics::battery::Chemistry;
use ampwright_notation::tree::Position;
use petgraph::unionfind::UnionFind;

use super::{Desk, registry::Code};
use crate::{
    finding::{Finding, Severity},
    model::PartId,
    say,
    site::Site,
    study::{
        banks::Bank,
        charging::held_together,
        protect::LongLink,
        shares::{Asked, BankShares, Share, UNEQUAL},
    },
    wiring::{Contact, Device, Rest, node_name},
};

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    mixed_banks(desk, found);
    let links = &desk.plan.study.protection.long_links;
    found.extend(links.iter().map(|link| bank_link(desk, link)));
    let shares = desk.plan.study.shares.iter();
    found.extend(shares.filter_map(|shares| unequal_share(desk, shares)));
    air::find(desk, found);
}

/// A battery whose part of the current is over a fifth off its part of the ampere-hours. Batteries
/// that differ in kind are found as such.
fn unequal_share(desk: &Desk<'_>, shares: &BankShares) -> Option<Finding> {
    let plan = desk.plan;
    let worst = shares
        .worst()
        .filter(|worst| worst.off() > UNEQUAL.value + 1e-6)?;
    let bank = plan.study.base.banks.list.get(shares.bank as usize)?;
    if Mix::of(desk, bank).is_some_and(|mix| mix.severity() > Severity::Advice) {
        return None;
    }
    let name = |share: &Share| &plan.model.get(desk.battery(share.supply)).name;
    let when = match shares.asked {
        Asked::Moment(moment) => plan.moment_name(moment),
        Asked::Brief => "its largest brief load".to_owned(),
    };
    let (only, wears) = if worst.amps > worst.fair {
        ("", "it wears out before the others")
    } else {
        ("only ", "the others wear out for it")
    };
    let message = format!(
        "{} gives {only}{} of the {} that its bank gives in {when}, and its share by ampere-hours is {}: {wears}.",
        name(worst),
        say::amps(worst.amps),
        say::amps(shares.amps),
        say::amps(worst.fair),
    );
    let site = desk.name_site(desk.battery(worst.supply));
    let mut finding = Finding::new(Code::UnequalShare, site, message);
    finding = finding.measuring(100.0 * worst.off(), 100.0 * UNEQUAL.value, "%");
    for share in shares
        .shares
        .iter()
        .filter(|one| one.supply != worst.supply)
    {
        let gives = format!("gives {}", say::amps(share.amps));
        finding = finding.beside(desk.name_site(desk.battery(share.supply)), gives);
    }
    let edit = shares
        .evener
        .and_then(|ends| land_elsewhere(desk, shares.bank, ends));
    Some(match edit {
        Some((site, name)) => finding.mended_by(format!("land on {name}"), site, name),
        None => finding,
    })
}

/// The one stop by which all that comes home lands on a post, and the better post's name.
fn land_elsewhere(
    desk: &Desk<'_>,
    bank: u32,
    (from, to): (petgraph::graph::NodeIndex, petgraph::graph::NodeIndex),
) -> Option<(Site, String)> {
    let plan = desk.plan;
    let wiring = &plan.wiring;
    let of_bank = |index: &u32| plan.study.base.banks.link_of[*index as usize] == Some(bank);
    let mut runs = wiring
        .conductors_at(from)
        .filter(|index| !of_bank(index))
        .map(|index| wiring.conductors[index as usize].run);
    let run = runs.next()?;
    if runs.next().is_some() {
        return None;
    }
    let mut stops = wiring
        .stops
        .iter()
        .filter(|stop| stop.run == run && (stop.enter == from || stop.leave == from));
    let stop = stops.next().filter(|_| stops.next().is_none())?;
    (plan.sources.words(stop.site) == node_name(plan, from))
        .then(|| (stop.site, node_name(plan, to)))
}

/// What does not belong together in one bank, the worst of it.
enum Mix {
    /// Two kinds.
    Kinds {
        other: u32,
        first: u32,
        in_a_row: bool,
    },
    /// Two sizes one after another.
    Row { smaller: u32, larger: u32 },
    /// Two sizes side by side.
    Sizes { other: u32, first: u32 },
}

impl Mix {
    fn of(desk: &Desk<'_>, bank: &Bank) -> Option<Self> {
        let kind = |supply: u32| desk.block(supply).chemistry;
        let hours = |supply: u32| desk.block(supply).capacity.0;
        let (&first, rest) = bank.supplies.split_first()?;
        if let Some(&other) = rest.iter().find(|&&other| kind(other) != kind(first)) {
            let in_a_row = bank.tops.len() < bank.supplies.len();
            return Some(Self::Kinds {
                other,
                first,
                in_a_row,
            });
        }
        if let Some((smaller, larger)) = uneven_row(bank, hours) {
            return Some(Self::Row { smaller, larger });
        }
        let stands = bank.supplies.iter().zip(&bank.stands);
        let mut beside: BTreeMap<(u32, u32), u32> = BTreeMap::new();
        for (&supply, stand) in stands {
            let first = *beside.entry((stand.plus, stand.minus)).or_insert(supply);
            if differs(hours(first), hours(supply)) {
                return Some(Self::Sizes {
                    other: supply,
                    first,
                });
            }
        }
        None
    }

    const fn severity(&self) -> Severity {
        match self {
            Self::Kinds { in_a_row: true, .. } | Self::Row { .. } => Severity::Error,
            Self::Kinds { .. } => Severity::Warning,
            Self::Sizes { .. } => Severity::Advice,
        }
    }
}

/// Ampere-hours on labels are round numbers: what differs by less is one size.
fn differs(a: f64, b: f64) -> bool {
    (a - b).abs() > 0.01 * a.abs().max(b.abs())
}

/// At each point between blocks as much has to come from below as goes on above; two batteries at
/// a point where it does not, the one on the smaller side first.
fn uneven_row(bank: &Bank, hours: impl Fn(u32) -> f64) -> Option<(u32, u32)> {
    #[derive(Default)]
    struct Point {
        below: Option<(u32, f64)>,
        above: Option<(u32, f64)>,
    }
    let mut points: BTreeMap<u32, Point> = BTreeMap::new();
    for (&supply, stand) in bank.supplies.iter().zip(&bank.stands) {
        let own = hours(supply);
        let add = |side: &mut Option<(u32, f64)>| side.get_or_insert((supply, 0.0)).1 += own;
        add(&mut points.entry(stand.plus).or_default().below);
        add(&mut points.entry(stand.minus).or_default().above);
    }
    points.into_values().find_map(|point| {
        let (below, above) = (point.below?, point.above?);
        let (smaller, larger) = if below.1 < above.1 {
            (below, above)
        } else {
            (above, below)
        };
        differs(below.1, above.1).then_some((smaller.0, larger.0))
    })
}

fn mixed_banks(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let banks = &desk.plan.study.base.banks.list;
    let mixes = banks.iter().filter_map(|bank| Mix::of(desk, bank));
    found.extend(mixes.map(|mix| mixed(desk, &mix)));
    if banks.len() > 1 {
        mixed_round_devices(desk, found);
    }
}

/// Banks of different kinds that fuses and closed switches hold side by side.
fn mixed_round_devices(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let held = held_together(&desk.circuit);
    let mut firsts: BTreeMap<u32, (u32, Chemistry)> = BTreeMap::new();
    let mut told: Vec<u32> = Vec::new();
    for bank in &desk.plan.study.base.banks.list {
        let (Some(top), Some(&supply)) = (bank.tops.first(), bank.supplies.first()) else {
            continue;
        };
        let piece = held.find(top.index() as u32);
        let kind = desk.block(supply).chemistry;
        let &mut (first, known) = firsts.entry(piece).or_insert((supply, kind));
        if known != kind && !told.contains(&piece) {
            told.push(piece);
            let mix = Mix::Kinds {
                other: supply,
                first,
                in_a_row: false,
            };
            found.push(mixed(desk, &mix));
        }
    }
    lithium_now_and_then(desk, held, &told, found);
}

/// Lithium and lead that a charging relay or a selector's `both` brings side by side: the one
/// drives into the other whatever it takes, at a voltage that does not suit it. An emergency link
/// is closed by hand, for a start.
fn lithium_now_and_then(
    desk: &Desk<'_>,
    mut held: UnionFind<u32>,
    told: &[u32],
    found: &mut Vec<Finding>,
) {
    let told: Vec<u32> = told.iter().map(|piece| held.find(*piece)).collect();
    for contact in &desk.plan.wiring.contacts {
        if joins_banks(desk, contact) {
            held.union(contact.feed.index() as u32, contact.out.index() as u32);
        }
    }
    let mut told: Vec<u32> = told.into_iter().map(|piece| held.find(piece)).collect();
    let mut kinds: BTreeMap<u32, [Option<u32>; 2]> = BTreeMap::new();
    for bank in &desk.plan.study.base.banks.list {
        let (Some(top), Some(&supply)) = (bank.tops.first(), bank.supplies.first()) else {
            continue;
        };
        let piece = held.find(top.index() as u32);
        let is_lithium = desk.block(supply).chemistry == Chemistry::Lithium;
        let known = kinds.entry(piece).or_default();
        known[usize::from(is_lithium)].get_or_insert(supply);
        if let [Some(lead), Some(lithium)] = *known
            && !told.contains(&piece)
        {
            told.push(piece);
            found.push(lithium_beside_lead(desk, &held, lithium, lead));
        }
    }
}

/// What brings banks side by side in ordinary use: a charging relay, one that is closed at rest, a
/// selector that has `both`.
fn joins_banks(desk: &Desk<'_>, contact: &Contact) -> bool {
    let has_both = || {
        let mut selectors = desk.plan.wiring.selectors.iter();
        let own = selectors.find(|(part, _)| *part == contact.part);
        own.is_some_and(|(_, positions)| positions.contains(&Position::Both))
    };
    match contact.device {
        Device::Relay => matches!(contact.rest, Rest::Charging | Rest::Closed),
        Device::Selector(_) => has_both(),
        _ => false,
    }
}

fn lithium_beside_lead(desk: &Desk<'_>, held: &UnionFind<u32>, lithium: u32, lead: u32) -> Finding {
    let name = |supply: u32| &desk.plan.model.get(desk.battery(supply)).name;
    let piece = held.find(desk.plan.wiring.supplies[lithium as usize].plus.index() as u32);
    let mut contacts = desk.plan.wiring.contacts.iter();
    let joins = contacts.find(|contact| {
        joins_banks(desk, contact) && held.find(contact.feed.index() as u32) == piece
    });
    let by = joins.map_or("", |contact| &desk.plan.model.get(contact.part).name);
    let message = format!(
        "{by} can join {}, which is lithium, to {}, which is {}: an unbounded current may flow between them, and no charging voltage suits both; charge the one from the other through a converter that charges.",
        name(lithium),
        name(lead),
        kind_name(desk.block(lead).chemistry),
    );
    let finding = Finding::new(
        Code::MixedBank,
        desk.name_site(desk.battery(lithium)),
        message,
    );
    let finding = finding
        .at(Severity::Warning)
        .beside(desk.name_site(desk.battery(lead)), "the other kind");
    match joins {
        Some(contact) => finding.beside(contact.site, "this joins them"),
        None => finding,
    }
}

fn mixed(desk: &Desk<'_>, mix: &Mix) -> Finding {
    let name = |supply: u32| &desk.plan.model.get(desk.battery(supply)).name;
    let hours = |supply: u32| format!("{} Ah", say::number(desk.block(supply).capacity.0));
    let (at, beside, message) = match *mix {
        Mix::Kinds {
            other,
            first,
            in_a_row,
        } => {
            let how = if in_a_row {
                "in one bank"
            } else {
                "side by side"
            };
            let kinds = [other, first].map(|supply| kind_name(desk.block(supply).chemistry));
            let message = format!(
                "{} is {} and {} is {}, {how}: no charging voltage suits both, so that one is overcharged or never full.",
                name(other),
                kinds[0],
                name(first),
                kinds[1],
            );
            (other, first, message)
        }
        Mix::Row { smaller, larger } => {
            let message = format!(
                "{} ({}) stands in a row with {} ({}), and what joins them is not of one size: the smaller side is empty first and is then driven backwards, and overcharged first.",
                name(smaller),
                hours(smaller),
                name(larger),
                hours(larger),
            );
            (smaller, larger, message)
        }
        Mix::Sizes { other, first } => {
            let message = format!(
                "{} has {} and {} {}, side by side: they age differently, and the weaker one decides for both.",
                name(other),
                hours(other),
                name(first),
                hours(first),
            );
            (other, first, message)
        }
    };
    Finding::new(Code::MixedBank, desk.name_site(desk.battery(at)), message)
        .at(mix.severity())
        .beside(desk.name_site(desk.battery(beside)), "joined to this one")
}

const fn kind_name(chemistry: Chemistry) -> &'static str {
    match chemistry {
        Chemistry::Flooded => "flooded",
        Chemistry::Agm => "AGM",
        Chemistry::Gel => "gel",
        Chemistry::Lithium => "lithium",
    }
}

fn bank_link(desk: &Desk<'_>, link: &LongLink) -> Finding {
    let plan = desk.plan;
    let conductor = &plan.wiring.conductors[link.conductor as usize];
    let ends = [conductor.from, conductor.to].map(|node| desk.node_name(node));
    let between = format!("The link between {} and {}", ends[0], ends[1]);
    let metres = say::metres(link.metres);
    let message = match link.allowed {
        Some(allowed) => format!(
            "{between} is {metres} long, and without a device at each battery's post it may be {}.",
            say::metres(allowed),
        ),
        None => format!(
            "{between}, {metres} long, leads from one place to another with no device: put one at each battery's post, or bring the batteries together.",
        ),
    };
    let mut finding = Finding::new(Code::BankLink, conductor.site, message).at(link.severity);
    if let Some(allowed) = link.allowed {
        finding = finding.measuring(link.metres, allowed, "m");
    }
    for &other in &link.others {
        let site = plan.wiring.conductors[other as usize].site;
        finding = finding.beside(site, "so does this link of the bank");
    }
    finding
}

impl Desk<'_> {
    /// The part of a supply.
    pub(super) fn battery(&self, supply: u32) -> PartId {
        self.plan.wiring.supplies[supply as usize].part
    }

    fn block(&self, supply: u32) -> ampwright_electrics::battery::Block {
        self.circuit
            .block_of(&self.plan.wiring.supplies[supply as usize])
    }
}
