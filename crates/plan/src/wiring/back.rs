//! `back`: the way home, in its three forms, never a mixture.

use ampwright_notation::{
    Key, Kind, Span,
    tree::{At, Back, Name, Step},
};
use petgraph::graph::{EdgeIndex, NodeIndex};

use super::{
    Conductor, Term, Way,
    build::Builder,
    follow::{Trail, seat_of_target},
    stops::{Landing, minus_of},
};
use crate::{finding::Finding, findings::registry::Code, model::PartId, site::Site};

/// Bars offered where `back` has no landing; more would be a list, not a suggestion.
const MOST_OFFERED: usize = 3;

impl Builder<'_> {
    /// Follows `back` from the negative of the last stop.
    pub(super) fn home(&mut self, trail: &mut Trail, back: &Back) {
        let site = trail.at.at(back.span);
        let goes_on = self.goes_on(trail, back);
        let Some(start) = self.negative_of_last(trail, site) else {
            return self.lose_the_way(trail, site, None);
        };
        let Some(target) = self.target(trail, back, site, goes_on) else {
            return self.lose_the_way(trail, site, Some(start));
        };
        trail.homeward = true;
        let way = std::mem::take(&mut trail.out);
        let made = if let Some((number, of)) = &back.core {
            self.home_by_core(trail, back, &way, start, target, (number, of))
        } else {
            self.home_as_out(trail, back, &way, start, target.enter)
        };
        if let Err(message) = made {
            self.findings
                .push(Finding::new(Code::Syntax, site, message));
            self.gap(trail.run, site, start, target.enter);
        }
        trail.out.push((None, target));
    }

    /// The way home could not be followed: from here on nothing is known.
    fn lose_the_way(&mut self, trail: &mut Trail, site: Site, start: Option<NodeIndex>) {
        trail.homeward = true;
        trail.out.clear();
        let lost = self.unknown_stop(trail.run, site);
        if let Some(start) = start {
            self.wiring
                .graph
                .add_edge(start, lost.enter, super::Link::Gap);
        }
        trail.out.push((None, lost));
    }

    fn goes_on(&self, trail: &Trail, back: &Back) -> bool {
        let steps = self
            .sources
            .thing(trail.at)
            .map_or(&[][..], |thing| &thing.steps);
        let here = steps
            .iter()
            .position(|step| matches!(step, Step::Back(other) if other.span == back.span));
        here.is_some_and(|here| here + 1 < steps.len())
    }

    /// The `-` that belongs to where the run came to last.
    fn negative_of_last(&mut self, trail: &Trail, site: Site) -> Option<NodeIndex> {
        let (_, last) = trail.out.last()?;
        let part = last.part.filter(|_| last.terms.1 != Term::Unknown)?;
        let Some(minus) = minus_of(last.terms.1) else {
            let name = self.model.get(part).name.clone();
            let message = format!(
                "back starts from the - of a load or source; {name} has none: write the way back."
            );
            self.findings
                .push(Finding::new(Code::Syntax, site, message));
            return None;
        };
        Some(self.wiring.node(part, minus))
    }

    /// Where home is: the stop that `to` names, or the bar that the first stop's panel returns to.
    fn target(&mut self, trail: &Trail, back: &Back, site: Site, goes_on: bool) -> Option<Landing> {
        if let Some(stop) = &back.to {
            let landing = self.landing(
                trail.run,
                trail.at,
                stop,
                seat_of_target(goes_on),
                trail.has_twin,
            );
            return Some(landing);
        }
        if let Some(bar) = self.returns_of_first(trail) {
            let node = self.wiring.node(bar, Term::Bar);
            let terms = (Term::Bar, Term::Bar);
            return Some(Landing {
                part: Some(bar),
                enter: node,
                leave: node,
                terms,
            });
        }
        if trail
            .out
            .first()
            .is_some_and(|(_, first)| first.part.is_none())
        {
            return None; // the first stop is unknown, and has its finding
        }
        let finding = self.homeless(site);
        self.findings.push(finding);
        None
    }

    /// `back` that nothing gives a landing: the first negative bars are offered.
    fn homeless(&self, site: Site) -> Finding {
        let end = site.span.end;
        let insert = Site {
            span: Span { start: end, end },
            ..site
        };
        let message = "back does not know where to land: say it, as in back to cabin-negative, or let the panel say returns.";
        let bars = self.model.ids();
        bars.filter(|&(id, part)| part.kind == Kind::Busbar && self.is_negative(id))
            .take(MOST_OFFERED)
            .fold(
                Finding::new(Code::Syntax, site, message),
                |finding, (_, bar)| {
                    let words = format!(" to {}", bar.name);
                    finding.mended_by(format!("back{words}"), insert, words)
                },
            )
    }

    fn is_negative(&self, bar: PartId) -> bool {
        self.model.facts(self.sources, bar).word(Key::Polarity) == Some("negative")
    }

    fn returns_of_first(&self, trail: &Trail) -> Option<PartId> {
        let (_, first) = trail.out.first()?;
        let panel = first
            .part
            .filter(|&part| self.model.get(part).kind == Kind::Panel)?;
        let name = self.model.facts(self.sources, panel).name(Key::Returns)?;
        self.model.part_of_kind(name, Kind::Busbar)
    }

    fn home_as_out(
        &mut self,
        trail: &mut Trail,
        back: &Back,
        way: &[(Option<u32>, Landing)],
        start: NodeIndex,
        target: NodeIndex,
    ) -> Result<(), String> {
        let conductors: Vec<&Conductor> = way
            .iter()
            .filter_map(|(led, _)| Some(&self.wiring.conductors[(*led)? as usize]))
            .collect();
        let twins = conductors.iter().filter(|made| made.twin).count();
        if conductors.iter().any(|made| made.core.is_some()) {
            return Err("The way out uses a core of a multicore: name the core that leads home, as in back core 3 of NAME.".into());
        }
        if twins > 0 && twins == conductors.len() {
            self.home_by_twin(trail, back, way, start, target);
            return Ok(());
        }
        if twins > 0 {
            return Err("The way out mixes twin and single conductors: begin the twin at the first stop, or write the way back out.".into());
        }
        self.home_by_single(trail, back, way, start, target)
    }

    /// The second cores, unbroken where only the first is switched or fused.
    fn home_by_twin(
        &mut self,
        trail: &Trail,
        back: &Back,
        way: &[(Option<u32>, Landing)],
        start: NodeIndex,
        target: NodeIndex,
    ) {
        let mut from = start;
        for hop in (1..way.len()).rev() {
            let Some(out) = way[hop].0 else { continue };
            let (enter, leave) = if hop == 1 {
                (target, target)
            } else {
                self.counterpart(&way[hop - 1].1)
            };
            let twin = &self.wiring.conductors[out as usize];
            let core = homeward(twin.clone(), trail, back, from);
            let index = self.push_conductor(core);
            self.finish_conductor(index, enter);
            from = leave;
        }
    }

    /// Where the second core of a twin comes in and goes on at a stop of the way out.
    fn counterpart(&mut self, stop: &Landing) -> (NodeIndex, NodeIndex) {
        let Some(part) = stop.part else {
            let splice = self.wiring.loose(Term::Splice);
            return (splice, splice);
        };
        match stop.terms {
            (Term::Plus | Term::Tap(_) | Term::InPlus | Term::OutPlus | Term::CoilPlus, out)
                if stop.enter == stop.leave =>
            {
                let minus = self.wiring.node(part, minus_of(out).unwrap_or(Term::Minus));
                (minus, minus)
            }
            (Term::Pole(1), _) => {
                let pole = self.wiring.node(part, Term::Pole(2));
                (pole, pole)
            }
            (Term::Feed(1), Term::Out(1))
                if self.model.facts(self.sources, part).has(Key::TwoPole) =>
            {
                (
                    self.wiring.node(part, Term::Out(2)),
                    self.wiring.node(part, Term::Feed(2)),
                )
            }
            _ => {
                let splice = self.wiring.loose(Term::Splice);
                (splice, splice)
            }
        }
    }

    /// From landing to landing one conductor of the same cable and place.
    fn home_by_single(
        &mut self,
        trail: &mut Trail,
        back: &Back,
        way: &[(Option<u32>, Landing)],
        start: NodeIndex,
        target: NodeIndex,
    ) -> Result<(), String> {
        let legs = self.legs(way)?;
        let total: f64 = legs.iter().filter_map(|leg| leg.conductor.metres).sum();
        let scale = match &back.length {
            Some(length) if total > 0.0 && length.value.value.is_finite() => {
                length.value.value / total
            }
            _ => 1.0,
        };
        let mut from = start;
        for leg in legs.into_iter().rev() {
            let to = leg
                .minus
                .map_or(target, |(part, term)| self.wiring.node(part, term));
            let (mark, mark_made) = Self::mark_of(trail, back.mark.as_ref());
            let conductor = Conductor {
                metres: leg.conductor.metres.map(|metres| metres * scale),
                mark,
                mark_made,
                ..homeward(leg.conductor, trail, back, from)
            };
            let index = self.push_conductor(conductor);
            self.finish_conductor(index, to);
            from = to;
        }
        Ok(())
    }

    /// The way out cut at each `X +` landed on: what one conductor home stands for.
    fn legs(&self, way: &[(Option<u32>, Landing)]) -> Result<Vec<Leg>, String> {
        let mut legs: Vec<Leg> = Vec::new();
        let mut open = false;
        for (led, landing) in way {
            let Some(led) = led else { continue };
            let conductor = &self.wiring.conductors[*led as usize];
            if let Some(leg) = legs.last_mut().filter(|_| open) {
                leg.take(conductor)?;
            } else {
                let minus = legs.last().and_then(|leg: &Leg| leg.lands);
                legs.push(Leg {
                    conductor: conductor.clone(),
                    minus,
                    lands: None,
                });
            }
            open = true;
            let lands = landing
                .part
                .filter(|_| landing.enter == landing.leave)
                .zip(minus_of(landing.terms.0));
            if let (Some(lands), Some(leg)) = (lands, legs.last_mut()) {
                leg.lands = Some(lands);
                open = false;
            }
        }
        Ok(legs)
    }

    /// That core alone, for its own cable's length.
    fn home_by_core(
        &mut self,
        trail: &mut Trail,
        back: &Back,
        way: &[(Option<u32>, Landing)],
        start: NodeIndex,
        target: Landing,
        (number, of): (&At<u32>, &At<Name>),
    ) -> Result<(), String> {
        let conductors = way.iter().filter_map(|(led, _)| *led).count();
        if back.to.is_none() && conductors > 1 {
            return Err(format!(
                "The way out is longer than {0}: say where core {1} lands, as in back core {1} of {0} to STOP, and go on from there.",
                of.value, number.value
            ));
        }
        let template = way.iter().rev().find_map(|(led, _)| *led);
        let Some(template) = template.map(|index| self.wiring.conductors[index as usize].clone())
        else {
            return Err("There is no way out to come back along.".into());
        };
        let (mark, mark_made) = Self::mark_of(trail, back.mark.as_ref());
        let mut core = Conductor {
            places: trail.places.clone(),
            mark,
            mark_made,
            core: None,
            twin: false,
            parallel: 1,
            bundled: 1,
            ..homeward(template, trail, back, start)
        };
        self.take_core(trail.at, &mut core, number, of);
        let index = self.push_conductor(core);
        self.finish_conductor(index, target.enter);
        Ok(())
    }
}

/// A conductor that `back` makes of one of the way out: it lies like that one and leads home.
fn homeward(out: Conductor, trail: &Trail, back: &Back, from: NodeIndex) -> Conductor {
    Conductor {
        site: trail.at.at(back.span),
        way: Way::Home,
        made: true,
        colour: back.colour.map(|colour| colour.value),
        from,
        to: from,
        edge: EdgeIndex::end(),
        spread: 0.0,
        ..out
    }
}

/// A part of the way out that one conductor home stands for.
struct Leg {
    conductor: Conductor,
    /// Where it lands on the way home: the `-` of the stop it began at; `None` for home itself.
    minus: Option<(PartId, Term)>,
    /// The `-` of the stop it ended at, where that is landed on.
    lands: Option<(PartId, Term)>,
}

impl Leg {
    fn take(&mut self, next: &Conductor) -> Result<(), String> {
        if self.conductor.size != next.size || self.conductor.parallel != next.parallel {
            return Err(
                "The way out has more than one size: write the way back with its own size.".into(),
            );
        }
        if self.conductor.cable != next.cable {
            return Err(
                "The way out uses more than one cable: write the way back with its own cable."
                    .into(),
            );
        }
        self.conductor.metres = self.conductor.metres.zip(next.metres).map(|(a, b)| a + b);
        self.conductor.places.extend(&next.places);
        self.conductor.bundled = self.conductor.bundled.max(next.bundled);
        self.conductor.sheathed &= next.sheathed;
        Ok(())
    }
}
