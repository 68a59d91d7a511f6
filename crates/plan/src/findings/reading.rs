//! The family *reading*: what the text says, and what could not be checked because of it.

use std::collections::BTreeMap;

use ampwright_notation::{
    Key, Kind, Span,
    flaw::Flaw,
    tree::{Arg, Fact},
};

use super::{Desk, registry::Code};
use crate::{
    finding::{Finding, Fix, Severity},
    model::{Model, NameFlaw},
    nearest::nearest,
    say,
    site::{Site, ThingRef},
    sources::{Sources, Why},
    wiring::{Conductor, Gap, Way},
};

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let sources = &desk.plan.sources;
    flaws(sources, found);
    names(desk, found);
    uses(sources, found);
    boat(desk, found);
    battery_volts(desk, found);
    found.extend(desk.plan.study.case_findings.iter().cloned());
    references(desk, found);
    marks(desk, found);
    carried(desk, found);
}

/// What each thing's own text gets wrong.
fn flaws(sources: &Sources, found: &mut Vec<Finding>) {
    for (file, source) in sources.list.iter().enumerate() {
        let whole = |flaw: &Flaw| Site {
            file: file as u32,
            thing: Site::WHOLE,
            span: flaw.span,
        };
        found.extend(
            source
                .file
                .flaws
                .iter()
                .map(|flaw| of_flaw(flaw, whole(flaw))),
        );
    }
    for (at, thing) in sources.things() {
        found.extend(
            thing
                .flaws
                .iter()
                .map(|flaw| of_flaw(flaw, at.at(flaw.span))),
        );
    }
}

fn of_flaw(flaw: &Flaw, site: Site) -> Finding {
    let mut finding = Finding::new(code_of(flaw), site, flaw.message.clone());
    finding.fixes.extend(flaw.mends().map(|mend| Fix {
        label: mend.label.clone(),
        site: Site {
            span: mend.span,
            ..site
        },
        text: mend.text.clone(),
    }));
    finding
}

fn code_of(flaw: &Flaw) -> Code {
    use ampwright_notation::flaw::Code as Reading;
    match flaw.code {
        Reading::Syntax => Code::Syntax,
        Reading::UnknownKind => Code::UnknownKind,
        Reading::UnknownFact => Code::UnknownFact,
        Reading::WrongUnit => Code::WrongUnit,
        Reading::MissingFact => Code::MissingFact,
        Reading::ReservedName => Code::ReservedName,
        Reading::UnknownTerminal => Code::UnknownTerminal,
        Reading::ImpossibleValue => Code::ImpossibleValue,
    }
}

fn names(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let flaws = desk.plan.model.flaws.iter();
    found.extend(flaws.filter_map(|flaw| name_flaw(desk, flaw)));
}

fn name_flaw(desk: &Desk<'_>, flaw: &NameFlaw) -> Option<Finding> {
    let sources = &desk.plan.sources;
    let name = |at| sources.words(sources.name_site(at));
    Some(match *flaw {
        NameFlaw::Duplicate { thing, first } => {
            let message = format!(
                "{} is already the name of another thing: call one of them something else.",
                name(thing)
            );
            Finding::new(Code::DuplicateName, sources.name_site(thing), message)
                .beside(sources.name_site(first), "the first of that name")
        }
        NameFlaw::SecondBoat { thing, first } => {
            let message = "A plan has one boat: this is a second.";
            Finding::new(Code::DuplicateName, sources.name_site(thing), message)
                .beside(sources.name_site(first), "the first")
        }
        NameFlaw::LikeCircle(thing) => {
            let message = format!(
                "{} is like itself by a detour: give one of them its own facts.",
                name(thing)
            );
            Finding::new(Code::UnknownName, like_site(sources, thing), message)
        }
        NameFlaw::LikeUnknown(thing) => return like_unknown(desk, thing),
    })
}

fn like_site(sources: &Sources, at: ThingRef) -> Site {
    let like = sources
        .thing(at)
        .and_then(|thing| crate::model::named(thing, Key::Like));
    like.map_or_else(|| sources.name_site(at), |name| at.at(name.span))
}

/// `like` with a name that nothing of its kind carries.
fn like_unknown(desk: &Desk<'_>, at: ThingRef) -> Option<Finding> {
    let sources = &desk.plan.sources;
    let site = like_site(sources, at);
    let wanted = sources.words(site);
    if desk.plan.model.excuses(sources, wanted) {
        return None;
    }
    let kind = sources.thing(at).and_then(|thing| thing.kind);
    let known = sources
        .things()
        .filter(|(other, thing)| thing.kind == kind && *other != at);
    let names = known.filter_map(|(_, thing)| thing.name.as_ref().map(|name| &*name.value));
    let subject = format!("There is nothing of this kind called {wanted}");
    let near = nearest(wanted, names);
    Some(Finding::unknown_name(site, &subject, near, " to be like."))
}

fn uses(sources: &Sources, found: &mut Vec<Finding>) {
    for unusable in &sources.unusable {
        let path = sources.words(unusable.site).to_owned();
        let message = match &unusable.why {
            Why::Outside => format!(
                "{path} leads out of the workspace: a plan uses only files inside it, by a relative path."
            ),
            Why::Unreadable(why) => format!("{path} cannot be read: {why}."),
            Why::Circle => {
                format!("{path} uses this file in turn: take one of the two use lines out.")
            }
            Why::TooMany => format!(
                "{path} is left out: a plan of more than {} files is surely a mistake.",
                crate::sources::MOST_FILES
            ),
        };
        found.push(Finding::new(Code::CannotUse, unusable.site, message));
    }
}

fn boat(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let plan = desk.plan;
    // A file of which every line is indented has no thing at all: that is said once.
    let mut files = plan.sources.list.iter().map(|source| &source.file);
    let unread = files.any(|file| file.chunks.is_empty() && !file.flaws.is_empty());
    let unknown = plan.sources.things().any(|(_, thing)| thing.kind.is_none());
    if plan.model.boat.is_some() || unread || unknown {
        return;
    }
    let site = Site {
        file: 0,
        thing: Site::WHOLE,
        span: Span::default(),
    };
    let message = "This plan has no boat: write one, as in boat curlew, with system 12 V below it. 12 V is taken until then.";
    found.push(Finding::new(Code::MissingFact, site, message).mended_by(
        "write a boat",
        site,
        "boat my-boat\n    system 12 V\n\n",
    ));
}

/// Where the system is not 12 V a battery may be the whole of it or one of several in series.
fn battery_volts(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let system = desk.plan.study.base.system;
    if (system - 12.0).abs() < 1e-6 {
        return;
    }
    let batteries = desk.plan.model.ids();
    for (id, part) in batteries.filter(|(_, part)| part.kind == Kind::Battery) {
        if desk.circuit.facts(id).has(Key::Volts) {
            continue;
        }
        let (name, system) = (&part.name, crate::say::nominal(system));
        let message = format!(
            "{name} says no voltage, and the system is {system}: write what is printed on it, such as 12 V. {system} is taken until then."
        );
        found.push(Finding::new(Code::MissingFact, desk.name_site(id), message));
    }
}

/// Names in facts: places, cables, bars, blocks.
fn references(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for (at, thing) in desk.plan.sources.things() {
        for fact in &thing.facts {
            let is_run_place = thing.kind == Some(Kind::Run) && fact.key == Key::In;
            if is_run_place || fact.key == Key::Like {
                continue; // said where the run is followed, and with the names
            }
            for arg in &fact.args {
                if let Arg::Name(name) = arg {
                    found.extend(reference(desk, fact.key, &name.value, at.at(name.span)));
                }
            }
        }
    }
}

fn reference(desk: &Desk<'_>, key: Key, name: &str, site: Site) -> Option<Finding> {
    let model = &desk.plan.model;
    let is_part = |kind| model.part_of_kind(name, kind).is_some();
    let (word, known) = match key {
        Key::In => ("place", model.places.find(name).is_some()),
        Key::CableName => ("cable", model.cables.find(name).is_some()),
        Key::Returns => ("busbar", is_part(Kind::Busbar)),
        Key::Earthed => ("block", is_part(Kind::Block)),
        _ => return None,
    };
    (!known).then(|| unknown_reference(model, key, word, name, site))
}

fn unknown_reference(model: &Model, key: Key, word: &str, name: &str, site: Site) -> Finding {
    let parts = |kind| nearest(name, model.names_of_kind(kind));
    let near = match key {
        Key::In => nearest(name, model.places.names()),
        Key::CableName => nearest(name, model.cables.names()),
        Key::Returns => parts(Kind::Busbar),
        _ => parts(Kind::Block),
    };
    Finding::unknown_of_kind(word, name, near, site)
}

/// A maker's rated current above the table's highest column is no figure of a cable.
fn carried(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    for cable in &desk.plan.model.cables.list {
        let Some(thing) = desk.plan.sources.thing(cable.thing) else {
            continue;
        };
        for fact in thing.facts.iter().filter(|fact| fact.key == Key::Carries) {
            found.extend(over_carried(desk, fact, cable.thing.at(fact.span)));
        }
    }
}

fn over_carried(desk: &Desk<'_>, fact: &Fact, site: Site) -> Option<Finding> {
    let amps = crate::model::amount(fact)?;
    let size = crate::model::size(fact)?;
    let most = desk.circuit.rules.highest_ampacity(size);
    if amps <= most.value.0 + 1e-6 {
        return None;
    }
    let message = format!(
        "No {} cable carries {}: the highest figure of the table is {}; check the maker's sheet.",
        say::size(size),
        say::amps(amps),
        say::amps(most.value.0),
    );
    let severity = if most.tag.may_be_error() {
        Severity::Error
    } else {
        Severity::Advice
    };
    let finding = Finding::new(Code::ImpossibleValue, site, message).at(severity);
    Some(finding.measuring(amps, most.value.0, "A"))
}

/// Two cables of one mark; the cores of one twin share theirs.
fn marks(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let mut first: BTreeMap<&str, usize> = BTreeMap::new();
    let conductors = &desk.plan.wiring.conductors;
    for (index, conductor) in conductors.iter().enumerate() {
        if conductor.twin && conductor.way == Way::Home {
            continue;
        }
        let Some(&other) = first.get(&*conductor.mark) else {
            first.insert(&conductor.mark, index);
            continue;
        };
        // A mark on `back` is said once for all that it makes.
        if conductors[other].site == conductor.site {
            continue;
        }
        let message = format!(
            "The mark {} is already tied on another cable: give this one its own.",
            conductor.mark
        );
        found.push(
            Finding::new(Code::DuplicateMark, conductor.site, message)
                .beside(conductors[other].site, "the other cable"),
        );
    }
}

/// One finding for each run of which something was not checked: what, and why. It stands on the
/// run's name, for the slip itself has its own finding on its own line.
pub(super) fn withheld(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let plan = desk.plan;
    let mut runs: BTreeMap<u32, (Site, String)> = BTreeMap::new();
    for gap in &plan.wiring.gaps {
        runs.entry(gap.run)
            .or_insert_with(|| (gap.site, beyond(&plan.sources, gap)));
    }
    for conductor in plan.wiring.conductors.iter().filter(|one| !one.made) {
        if let Some(lack) = lack(conductor) {
            runs.entry(conductor.run).or_insert((conductor.site, lack));
        }
    }
    for (run, (why, message)) in runs {
        let site = plan
            .sources
            .name_site(plan.model.runs.list[run as usize].thing);
        found.push(Finding::new(Code::NotChecked, site, message).beside(why, "because of this"));
    }
}

/// What a gap leaves unchecked.
fn beyond(sources: &Sources, gap: &Gap) -> String {
    let words = sources.words(gap.site);
    let words = words.lines().next().unwrap_or("").trim();
    format!(
        "What protects and isolates it beyond \"{words}\" was not checked, because that could not be followed."
    )
}

/// What a conductor without a size or a length leaves uncomputed.
fn lack(conductor: &Conductor) -> Option<String> {
    let lacks = match (conductor.size, conductor.metres) {
        (None, _) => "size",
        (_, None) => "length",
        _ => return None,
    };
    Some(format!(
        "The drop along it was not computed, because a conductor's {lacks} is missing."
    ))
}
