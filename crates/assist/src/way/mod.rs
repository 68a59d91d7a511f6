//! A load's way from the battery and back: each device and conductor once, in the order in which
//! the current meets them, with what is lost at it and what is left.
//!
//! Both answers stand side by side: by the rule, as an examiner recomputes it, and as wired.
//! `follow` finds the way, `table` shows it.

mod follow;
mod table;

use std::borrow::Cow;

use ampwright_plan::{
    Plan,
    study::{rule::Solved, wired::Wired},
    wiring::{Link, Term},
};
use petgraph::graph::NodeIndex;

use crate::{cursor::FileRange, phrase};
use follow::{Hop, Passable};

/// The moment that a way is followed in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    /// An index into the study's by-rule moments.
    Moment(usize),
    /// The load alone at its full, everything else off.
    Alone,
}

/// A way round, from a source's `+` to its `-`.
#[derive(Clone, Debug)]
pub struct Way {
    /// The draw, an index into the wiring's draws.
    pub draw: u32,
    /// The moment.
    pub when: When,
    /// The nominal voltage of its island, V.
    pub volts: f64,
    /// What the load takes in this moment by the rule, A.
    pub amps: f64,
    /// The steps in order.
    pub steps: Vec<Step>,
    /// The load's place in `steps`.
    pub load: usize,
    /// The posts it begins and ends at.
    posts: (NodeIndex, NodeIndex),
}

/// One step of a way.
#[derive(Clone, Debug)]
pub struct Step {
    /// What it is, in words.
    pub words: String,
    /// Where the text says so.
    pub site: Option<FileRange>,
    /// What it is in the wiring.
    pub what: What,
    /// By the rule.
    pub rule: Figures,
    /// As wired, where that was asked for.
    pub wired: Option<Figures>,
    hop: Option<Hop>,
}

/// What a step is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// A terminal: the source's post, a bar, a point landed on.
    Terminal,
    /// A conductor, an index into the wiring's conductors.
    Conductor(u32),
    /// A device or switch, an index into the wiring's contacts.
    Contact(u32),
    /// The load itself.
    Load,
}

/// What one answer says of a step.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Figures {
    /// The current through it, A; 0 at a terminal.
    pub amps: f64,
    /// What is lost at it, V.
    pub drop: f64,
    /// What is lost from the source up to its far end, V.
    pub up_to: f64,
    /// What is left of the source's volts at its far end, V.
    pub left: f64,
}

/// The moment in which a load loses the most: of the cases that name it, else of everything, else alone.
pub fn worst(plan: &Plan, draw: u32) -> When {
    let Some(ends) = plan.wiring.draws.get(draw as usize) else {
        return When::Alone;
    };
    let mut worst: Option<(bool, f64, usize)> = None;
    for (index, solved) in plan.study.rule.moments.iter().enumerate() {
        let is_on = solved
            .moment
            .draws
            .iter()
            .any(|&(other, amps)| other == draw && amps > 0.0);
        if !is_on || !solved.powered.get(draw as usize).copied().unwrap_or(false) {
            continue;
        }
        let case = matches!(
            solved.moment.label,
            ampwright_plan::study::moments::Label::Case(_)
        );
        let drop = solved.drop_at(ends.plus, ends.minus);
        let is_worse = worst
            .is_none_or(|(known, most, _)| (case, drop) > (known, most + 1e-9) && case >= known);
        if is_worse {
            worst = Some((case, drop, index));
        }
    }
    worst.map_or(When::Alone, |(_, _, index)| When::Moment(index))
}

/// The moments worth telling apart for a load: its worst one, and alone.
pub fn moments(plan: &Plan, draw: u32) -> Vec<When> {
    let mut list = vec![worst(plan, draw)];
    if list[0] != When::Alone {
        list.push(When::Alone);
    }
    list
}

impl When {
    /// What the moment is called; `draw` is whose way it is of.
    pub fn name(self, plan: &Plan, draw: u32) -> String {
        match self {
            Self::Moment(index) => phrase::moment(plan, index),
            Self::Alone => {
                let stand = plan.study.rule.alone_stand(draw);
                format!("alone{}", plan.stand_words(stand))
            }
        }
    }

    /// The by-rule answer of the moment.
    fn solved(self, plan: &Plan, draw: u32) -> Option<Cow<'_, Solved>> {
        match self {
            Self::Moment(index) => plan.study.rule.moments.get(index).map(Cow::Borrowed),
            Self::Alone => {
                let stand = plan.study.rule.alone_stand(draw);
                plan.alone(draw, stand).map(Cow::Owned)
            }
        }
    }
}

impl Way {
    /// Follows a load's way by the rule; `None` where nothing feeds it or nothing leads home.
    pub fn of(plan: &Plan, draw: u32, when: When) -> Option<Self> {
        let ends = plan.wiring.draws.get(draw as usize)?;
        let solved = when.solved(plan, draw)?;
        let passable = Passable::new(&solved);
        let (origin, out) = passable.out_to(plan, ends.plus)?;
        let home = passable.home_from(plan, ends.minus, &origin)?;
        let amps = amps_in(plan, draw, &solved);
        let first = out.first().map_or(ends.plus, |hop| hop.from);
        let last = home.last().map_or(ends.minus, |hop| hop.to);
        let mut way = Self {
            draw,
            when,
            volts: origin.volts,
            amps,
            steps: Vec::new(),
            load: 0,
            posts: (first, last),
        };
        way.terminal(plan, first);
        way.hops(plan, &out);
        way.load = way.steps.len();
        let words = format!("{} {}", phrase::draw(plan, draw), phrase::amps(amps));
        way.push(words, part_site(plan, ends.part), What::Load, None);
        way.hops(plan, &home);
        way.terminal(plan, last);
        way.reckon(plan, &solved);
        Some(way)
    }

    /// The same with what the real network does beside it.
    #[must_use]
    pub fn with_wired(mut self, plan: &Plan) -> Self {
        let wired = match self.when {
            When::Moment(index) => plan.as_wired(index),
            When::Alone => plan.as_wired_alone(self.draw),
        };
        if let Some(wired) = wired {
            self.add_wired(plan, &wired);
        }
        self
    }

    /// What is lost in all, V.
    pub fn drop(&self) -> f64 {
        self.steps.last().map_or(0.0, |step| step.rule.up_to)
    }

    /// What is lost in all, per cent of the island's volts.
    pub fn percent(&self) -> f64 {
        self.percent_of(self.drop())
    }

    /// What the load gets by the rule, V.
    pub fn left(&self) -> f64 {
        self.volts - self.drop()
    }

    /// What the load gets as wired, V, where that was asked for.
    pub fn left_wired(&self) -> Option<f64> {
        self.steps.last()?.wired.map(|figures| figures.left)
    }

    fn percent_of(&self, drop: f64) -> f64 {
        if self.volts > 0.0 {
            100.0 * drop / self.volts
        } else {
            0.0
        }
    }

    fn push(&mut self, words: String, site: Option<FileRange>, what: What, hop: Option<Hop>) {
        self.steps.push(Step {
            words,
            site,
            what,
            rule: Figures::default(),
            wired: None,
            hop,
        });
    }

    fn terminal(&mut self, plan: &Plan, node: NodeIndex) {
        let part = plan
            .wiring
            .graph
            .node_weight(node)
            .and_then(|node| node.part);
        let site = part.and_then(|part| part_site(plan, part));
        self.push(phrase::node(plan, node), site, What::Terminal, None);
    }

    fn hops(&mut self, plan: &Plan, hops: &[Hop]) {
        for (index, hop) in hops.iter().enumerate() {
            self.hop(plan, *hop);
            let next = hops.get(index + 1);
            if next.is_some_and(|next| is_landing(plan, hop, next)) {
                self.terminal(plan, hop.to);
            }
        }
    }

    fn hop(&mut self, plan: &Plan, hop: Hop) {
        match phrase::link(plan, hop.edge) {
            Some(Link::Conductor(index)) => {
                let conductor = &plan.wiring.conductors[index as usize];
                let site = FileRange::of(plan, conductor.site);
                let words = phrase::conductor(plan, conductor);
                self.push(words, Some(site), What::Conductor(index), Some(hop));
            }
            Some(Link::Contact(index)) => {
                let contact = &plan.wiring.contacts[index as usize];
                let site = FileRange::of(plan, contact.site);
                let words = phrase::device(&plan.circuit(), contact);
                self.push(words, Some(site), What::Contact(index), Some(hop));
            }
            _ => {}
        }
    }

    /// The by-rule figures: each step's own current by its own resistance, so that the sums are
    /// what an examiner gets on paper.
    fn reckon(&mut self, plan: &Plan, solved: &Solved) {
        let mut up_to = 0.0;
        for step in &mut self.steps {
            let flow = match step.hop {
                Some(hop) => hop.along(plan, &solved.amps),
                None if step.what == What::Terminal => 0.0,
                None => self.amps,
            };
            let drop = match step.what {
                What::Conductor(index) => flow * ohms(plan, index),
                _ => 0.0,
            };
            up_to += drop;
            step.rule = Figures {
                amps: flow.abs(),
                drop,
                up_to,
                left: self.volts - up_to,
            };
        }
    }

    fn add_wired(&mut self, plan: &Plan, wired: &Wired) {
        let at = |node: NodeIndex| wired.volts.get(node.index()).copied().unwrap_or(0.0);
        let whole = at(self.posts.0) - at(self.posts.1);
        let own = wired.draws.iter().find(|(draw, ..)| *draw == self.draw);
        let own = own.map_or(0.0, |&(_, _, amps)| amps);
        let mut up_to = 0.0;
        for step in &mut self.steps {
            let (amps, drop) = match step.hop {
                Some(hop) => (
                    hop.along(plan, &wired.amps).abs(),
                    at(hop.from) - at(hop.to),
                ),
                None if step.what == What::Load => (own, 0.0),
                None => (0.0, 0.0),
            };
            up_to += drop;
            step.wired = Some(Figures {
                amps,
                drop,
                up_to,
                left: whole - up_to,
            });
        }
    }
}

/// The words that name a part.
pub(crate) fn part_site(plan: &Plan, part: ampwright_plan::PartId) -> Option<FileRange> {
    let whose = plan.model.get(part).thing;
    let thing = plan.sources.thing(whose)?;
    Some(FileRange::of(plan, whose.at(thing.label())))
}

/// What a draw takes in a moment by the rule, A; at its full where it is not on.
fn amps_in(plan: &Plan, draw: u32, solved: &Solved) -> f64 {
    let mut on = solved.moment.draws.iter();
    on.find(|(other, _)| *other == draw)
        .map_or_else(|| plan.circuit().nominal_amps(draw), |&(_, amps)| amps)
}

/// A conductor's resistance by the rule, ohm; none inside a bank.
fn ohms(plan: &Plan, conductor: u32) -> f64 {
    let base = &plan.study.base;
    let is_link = base
        .banks
        .link_of
        .get(conductor as usize)
        .copied()
        .flatten()
        .is_some();
    let ohms = base.rule_ohms.get(conductor as usize).copied().flatten();
    if is_link { 0.0 } else { ohms.unwrap_or(0.0) }
}

/// Whether a way lands on a terminal worth a line: one between two conductors.
fn is_landing(plan: &Plan, before: &Hop, after: &Hop) -> bool {
    let is_conductor = |hop: &Hop| matches!(phrase::link(plan, hop.edge), Some(Link::Conductor(_)));
    let term = plan
        .wiring
        .graph
        .node_weight(before.to)
        .map(|node| node.term);
    is_conductor(before) && is_conductor(after) && term != Some(Term::Splice)
}

#[cfg(test)]
mod tests;
