//! Following a run as a finger would: stop, conductor, stop.

use ampwright_electrics::conductor::Size;
use ampwright_notation::{
    Key, Kind, Thing,
    tree::{Arg, At, Conductor as Line, Fact, Form, Name, Step},
};
use petgraph::graph::{EdgeIndex, NodeIndex};

use super::{
    Conductor, Link, Way,
    build::Builder,
    stops::{Landing, Seat},
};
use crate::{
    finding::Finding,
    findings::registry::Code,
    model::{PartId, size},
    nearest::nearest,
    site::{Site, ThingRef},
};

/// A run while it is followed.
pub(super) struct Trail {
    pub(super) run: u32,
    pub(super) at: ThingRef,
    pub(super) name: Name,
    /// Places of the head line, for conductors that name none.
    pub(super) places: Vec<u32>,
    /// The stops of the way out so far, and the conductor that led to each.
    pub(super) out: Vec<(Option<u32>, Landing)>,
    /// Written and made conductors counted for made marks.
    pub(super) marks: (u32, u32),
    /// A twin's line is in this run.
    pub(super) has_twin: bool,
    /// `back` has been followed: what comes now leads home.
    pub(super) homeward: bool,
}

/// What joins the last stop to the next.
enum Pending {
    Nothing,
    Conductor(u32),
    /// A line that could not be read stands where a conductor should.
    Unread(Site),
}

impl Builder<'_> {
    /// Follows one run.
    pub(super) fn run(&mut self, run: u32) {
        let at = self.model.runs.list[run as usize].thing;
        let Some(thing) = self.sources.thing(at) else {
            return;
        };
        let mut trail = self.trail(run, thing);
        let mut pending = Pending::Nothing;
        for index in 0..thing.steps.len() {
            self.step(&mut trail, &mut pending, &thing.steps, index);
        }
        if !matches!(pending, Pending::Nothing) {
            // The run ends in the air; the parser has said so on its line.
            let end = self.unknown_stop(run, at.at(thing.head));
            self.arrive(&mut trail, &mut pending, end);
        }
    }

    /// A run before its first step.
    fn trail(&mut self, run: u32, thing: &Thing) -> Trail {
        let named = &self.model.runs.list[run as usize];
        let is_twin =
            |step: &Step| matches!(step, Step::Conductor(line) if line.form == Form::Twin);
        Trail {
            run,
            at: named.thing,
            name: named.name.clone(),
            places: self.places_of_head(named.thing, thing),
            out: Vec::new(),
            marks: (0, 0),
            has_twin: thing.steps.iter().any(is_twin),
            homeward: false,
        }
    }

    fn step(&mut self, trail: &mut Trail, pending: &mut Pending, steps: &[Step], index: usize) {
        match &steps[index] {
            Step::Stop(stop) => {
                let seat = seat(steps, index);
                let landing = self.landing(trail.run, trail.at, stop, seat, trail.has_twin);
                self.arrive(trail, pending, landing);
            }
            Step::Conductor(line) => self.set_out(trail, pending, line),
            Step::Back(back) => {
                self.settle(trail, pending, trail.at.at(back.span));
                self.home(trail, back);
            }
            Step::Unread(span) => self.unread(trail, pending, trail.at.at(*span)),
        }
    }

    fn places_of_head(&mut self, at: ThingRef, thing: &Thing) -> Vec<u32> {
        let facts = thing.facts.iter().filter(|fact| fact.key == Key::In);
        self.places(at, facts.flat_map(names))
    }

    /// The places of some names; an unknown one is a finding.
    pub(super) fn places<'n>(
        &mut self,
        at: ThingRef,
        names: impl Iterator<Item = &'n At<Name>>,
    ) -> Vec<u32> {
        let mut places = Vec::new();
        for name in names {
            match self.model.places.find(&name.value) {
                Some(place) => places.push(place),
                None => self.unknown_in_space(at.at(name.span), &name.value, "place"),
            }
        }
        places
    }

    fn unknown_in_space(&mut self, site: Site, name: &str, kind: &str) {
        let space = if kind == "place" {
            &self.model.places
        } else {
            &self.model.cables
        };
        let near = nearest(name, space.names());
        self.findings
            .push(Finding::unknown_of_kind(kind, name, near, site));
    }

    fn arrive(&mut self, trail: &mut Trail, pending: &mut Pending, landing: Landing) {
        let led = match std::mem::replace(pending, Pending::Nothing) {
            Pending::Conductor(index) => {
                self.finish_conductor(index, landing.enter);
                Some(index)
            }
            Pending::Unread(site) => {
                self.bridge(trail, &landing, site);
                None
            }
            Pending::Nothing => {
                let here = self
                    .sources
                    .thing(trail.at)
                    .map_or_else(Default::default, |thing| thing.head);
                self.bridge(trail, &landing, trail.at.at(here));
                None
            }
        };
        trail.out.push((led, landing));
    }

    /// A missing or unreadable conductor: the parser has said so. Joined all the same, so that
    /// nothing beyond it is called open for the same slip.
    fn bridge(&mut self, trail: &Trail, landing: &Landing, site: Site) {
        let Some((_, before)) = trail.out.last() else {
            return;
        };
        self.gap(trail.run, site, before.leave, landing.enter);
    }

    /// Joins two terminals by words that could not be followed.
    pub(super) fn gap(&mut self, run: u32, site: Site, from: NodeIndex, node: NodeIndex) {
        self.wiring.graph.add_edge(from, node, Link::Gap);
        self.wiring.gaps.push(super::Gap { run, site, node });
    }

    fn set_out(&mut self, trail: &mut Trail, pending: &mut Pending, line: &Line) {
        self.settle(trail, pending, trail.at.at(line.span));
        if trail.out.is_empty() {
            let start = self.unknown_stop(trail.run, trail.at.at(line.span));
            trail.out.push((None, start));
        }
        let from = trail
            .out
            .last()
            .map_or(NodeIndex::end(), |(_, landing)| landing.leave);
        let index = self.conductor(trail, line, from);
        *pending = Pending::Conductor(index);
    }

    /// Two conductors in a row: an unknown stop stands between them.
    fn settle(&mut self, trail: &mut Trail, pending: &mut Pending, site: Site) {
        if !matches!(pending, Pending::Nothing) {
            let between = self.unknown_stop(trail.run, site);
            self.arrive(trail, pending, between);
        }
    }

    fn unread(&mut self, trail: &mut Trail, pending: &mut Pending, site: Site) {
        match pending {
            Pending::Nothing if !trail.out.is_empty() => *pending = Pending::Unread(site),
            _ => {
                let stop = self.unknown_stop(trail.run, site);
                self.arrive(trail, pending, stop);
            }
        }
    }

    fn conductor(&mut self, trail: &mut Trail, line: &Line, from: NodeIndex) -> u32 {
        let site = trail.at.at(line.span);
        let mut places = self.places(trail.at, line.places.iter());
        if places.is_empty() {
            places.clone_from(&trail.places);
        }
        let (mark, mark_made) = Self::mark_of(trail, line.mark.as_ref());
        let twin = line.form == Form::Twin;
        let side_by_side = match &line.form {
            Form::Parallel(count) => count.value.max(1),
            _ => 1,
        };
        let bundled = line.bundled.map(|count| count.value.max(1));
        let metres = line.length.map(|length| length.value.value);
        let mut conductor = Conductor {
            run: trail.run,
            site,
            way: if trail.homeward { Way::Home } else { Way::Out },
            made: false,
            size: line.size.map(|size| to_size(size.value)),
            parallel: side_by_side,
            cable: self.cable_of(trail.at, line.cable.as_ref()),
            metres: metres.filter(|metres| metres.is_finite()),
            spread: 0.0,
            places,
            bundled: bundled.unwrap_or(if twin { 2 } else { 1 }),
            sheathed: line.sheathed.is_some() || twin,
            core: None,
            twin,
            colour: line.colour.map(|colour| colour.value),
            mark,
            mark_made,
            from,
            to: from,
            edge: EdgeIndex::end(),
        };
        if let Form::Core { number, of } = &line.form {
            self.take_core(trail.at, &mut conductor, number, of);
        }
        self.push_conductor(conductor)
    }

    pub(super) fn push_conductor(&mut self, conductor: Conductor) -> u32 {
        let index = self.wiring.conductors.len() as u32;
        self.wiring.conductors.push(conductor);
        index
    }

    /// Lands a conductor's far end and draws its edge.
    pub(super) fn finish_conductor(&mut self, index: u32, to: NodeIndex) {
        let conductor = &mut self.wiring.conductors[index as usize];
        conductor.to = to;
        conductor.edge = self
            .wiring
            .graph
            .add_edge(conductor.from, to, Link::Conductor(index));
    }

    /// The written mark, or the next made one: the run's name with `+1`, `+2` out and `-1` home.
    pub(super) fn mark_of(trail: &mut Trail, written: Option<&At<Name>>) -> (Name, bool) {
        if let Some(mark) = written {
            return (mark.value.clone(), false);
        }
        let (sign, count) = if trail.homeward {
            ('-', &mut trail.marks.1)
        } else {
            ('+', &mut trail.marks.0)
        };
        *count += 1;
        (format!("{}{sign}{count}", trail.name).into(), true)
    }

    fn cable_of(&mut self, at: ThingRef, name: Option<&At<Name>>) -> Option<u32> {
        let name = name?;
        let found = self.model.cables.find(&name.value);
        if found.is_none() {
            self.unknown_in_space(at.at(name.span), &name.value, "cable");
        }
        found
    }

    /// Gives a conductor what its multicore says, and marks the core as used.
    pub(super) fn take_core(
        &mut self,
        at: ThingRef,
        conductor: &mut Conductor,
        number: &At<u32>,
        of: &At<Name>,
    ) {
        let Some(multicore) = self.model.part_of_kind(&of.value, Kind::Multicore) else {
            let near = nearest(&of.value, self.model.names_of_kind(Kind::Multicore));
            let finding = Finding::unknown_of_kind("multicore", &of.value, near, at.at(of.span));
            self.findings.push(finding);
            return;
        };
        self.fill_from_multicore(conductor, multicore);
        conductor.core = Some((multicore, number.value));
        self.use_core(
            conductor.site,
            at.at(number.span),
            multicore,
            number.value,
            &of.value,
        );
    }

    fn fill_from_multicore(&mut self, conductor: &mut Conductor, multicore: PartId) {
        let facts = self.model.facts(self.sources, multicore);
        conductor.size = facts.find(Key::Section).and_then(size);
        conductor.metres = facts.amount(Key::Length);
        conductor.sheathed = true;
        conductor.cable = facts
            .name(Key::CableName)
            .and_then(|name| self.model.cables.find(name))
            .or(conductor.cable);
        let places = facts.all(Key::In).flat_map(names);
        conductor
            .places
            .extend(places.filter_map(|name| self.model.places.find(&name.value)));
    }

    fn use_core(&mut self, line: Site, number: Site, multicore: PartId, core: u32, name: &str) {
        let cores = self
            .model
            .facts(self.sources, multicore)
            .count(Key::Cores)
            .unwrap_or(0);
        if core == 0 || core > cores {
            let message = format!("{name} has {cores} cores: there is no core {core}.");
            self.findings
                .push(Finding::new(Code::UnknownTerminal, number, message));
            return;
        }
        if let Some(&first) = self.cores.get(&(multicore, core)) {
            let message = format!(
                "Core {core} of {name} is already used: take another core, or end this circuit at the - of the part that the core serves."
            );
            self.findings.push(
                Finding::new(Code::CoreReused, line, message)
                    .beside(first, "the core is used here"),
            );
            return;
        }
        self.cores.insert((multicore, core), line);
    }
}

/// Ends are the run's first and last stops; the stop before `back` counts as the middle.
fn seat(steps: &[Step], index: usize) -> Seat {
    let (before, after) = (&steps[..index], &steps[index + 1..]);
    match after.first() {
        // A line that could not be read may have been meant as the way home.
        Some(Step::Back(_) | Step::Unread(_)) => Seat::BeforeBack,
        _ if before.iter().any(is_stop) && after.iter().any(is_stop) => Seat::Middle,
        _ => Seat::End,
    }
}

/// The names that a fact gives.
fn names(fact: &Fact) -> impl Iterator<Item = &At<Name>> {
    fact.args.iter().filter_map(|arg| match arg {
        Arg::Name(name) => Some(name),
        _ => None,
    })
}

const fn is_stop(step: &Step) -> bool {
    matches!(step, Step::Stop(_))
}

/// The stop that `back to` names, in the middle where the run goes on from it.
pub(super) const fn seat_of_target(goes_on: bool) -> Seat {
    if goes_on { Seat::Middle } else { Seat::End }
}

/// The notation's size as the electrics know it.
pub fn to_size(size: ampwright_notation::units::Size) -> Size {
    match size {
        ampwright_notation::units::Size::Mm2(area) => Size::Mm2(area),
        ampwright_notation::units::Size::Awg(number) => Size::Awg(number),
    }
}
