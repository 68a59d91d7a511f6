//! Room on a bar: `bus-overflow` by number, `post-too-small`, and more than belongs on one stud.

use std::collections::BTreeMap;

use ampwright_electrics::conductor::{Size, area};
use ampwright_notation::{
    Key, Kind,
    tree::{Arg, Form, Step},
};
use rustc_hash::FxHashMap;

use super::super::{Desk, registry::Code};
use crate::{
    finding::Finding,
    model::PartId,
    say,
    site::{Site, ThingRef},
    wiring::{Conductor, Term, follow_size},
};

pub(super) fn find(desk: &Desk<'_>, found: &mut Vec<Finding>) {
    let mut named: FxHashMap<PartId, Vec<Place>> = FxHashMap::default();
    for place in places(desk) {
        named.entry(place.part).or_default().push(place);
    }
    for (id, part) in desk.plan.model.ids() {
        if part.kind == Kind::Busbar {
            let own = named.remove(&id).unwrap_or_default();
            Bar::of(desk, id, own).judge(found);
        }
    }
}

/// A post or stud that a run names, with the conductors that the run brings to it.
struct Place {
    part: PartId,
    stud: bool,
    number: u32,
    site: Site,
    /// How many conductors.
    ends: u32,
    /// The thickest of them that is written on a line of its own.
    size: Option<Size>,
}

fn places(desk: &Desk<'_>) -> impl Iterator<Item = Place> {
    desk.plan.wiring.posts.iter().map(|post| {
        let (ends, size) = brought(desk, post.site);
        Place {
            part: post.part,
            stud: post.stud,
            number: post.number,
            site: post.site,
            ends,
            size,
        }
    })
}

/// The conductors on both sides of a stop.
fn brought(desk: &Desk<'_>, site: Site) -> (u32, Option<Size>) {
    let thing = desk.plan.sources.thing(ThingRef {
        file: site.file,
        thing: site.thing,
    });
    let steps = thing.map_or(&[][..], |thing| &thing.steps);
    let start = |step: &Step| match step {
        Step::Stop(stop) => stop.span.start,
        Step::Conductor(line) => line.span.start,
        Step::Back(back) => back.span.start,
        Step::Unread(span) => span.start,
    };
    let at = steps.partition_point(|step| start(step) <= site.span.start);
    let Some(at) = at.checked_sub(1) else {
        return (1, None);
    };
    let mut ends = u32::from(matches!(steps[at], Step::Back(_)));
    let mut thickest: Option<Size> = None;
    for beside in [at.checked_sub(1), Some(at + 1)].into_iter().flatten() {
        let Some(Step::Conductor(line)) = steps.get(beside) else {
            continue;
        };
        // Before `back to` stands the way out's last stop, never a conductor of this landing.
        ends += match &line.form {
            Form::Parallel(count) => count.value.max(1),
            _ => 1,
        };
        let next = line.size.map(|size| follow_size(size.value));
        thickest = match (thickest, next) {
            (Some(known), Some(next)) if mm2(desk, next) <= mm2(desk, known) => Some(known),
            (known, None) => known,
            (_, next) => next,
        };
    }
    (ends.max(1), thickest)
}

fn mm2(desk: &Desk<'_>, size: Size) -> f64 {
    area(size, desk.circuit.rules.areas()).0
}

/// A bar and what ends on it.
struct Bar<'a> {
    desk: &'a Desk<'a>,
    id: PartId,
    posts: u32,
    studs: u32,
    takes: Option<Size>,
    conductors: Vec<&'a Conductor>,
    places: Vec<Place>,
}

impl<'a> Bar<'a> {
    fn of(desk: &'a Desk<'a>, id: PartId, places: Vec<Place>) -> Self {
        let facts = desk.circuit.facts(id);
        let takes = facts.find(Key::Takes).and_then(|fact| {
            fact.args.iter().find_map(|arg| match arg {
                Arg::Size(size) => Some(follow_size(size.value)),
                _ => None,
            })
        });
        let wiring = &desk.plan.wiring;
        let node = wiring.terminal(id, Term::Bar);
        let mut conductors: Vec<u32> =
            node.map_or_else(Vec::new, |node| wiring.conductors_at(node).collect());
        conductors.sort_unstable();
        Self {
            desk,
            id,
            posts: facts.count(Key::Posts).unwrap_or(0),
            studs: facts.count(Key::Studs).unwrap_or(0),
            takes,
            conductors: conductors
                .into_iter()
                .map(|index| &wiring.conductors[index as usize])
                .collect(),
            places,
        }
    }

    fn name(&self) -> &str {
        &self.desk.plan.model.get(self.id).name
    }

    fn judge(&self, found: &mut Vec<Finding>) {
        if self.posts + self.studs == 0 {
            return; // the parser asks for one of them
        }
        found.extend(self.overflow());
        self.taken_twice(found);
        self.too_small(found);
        self.crowded(found);
    }

    fn is_big(&self, size: Size) -> bool {
        self.takes
            .is_some_and(|takes| mm2(self.desk, size) > mm2(self.desk, takes) + 1e-6)
    }

    /// Conductor ends over posts and studs. Several may share one named stud; that is counted there.
    fn overflow(&self) -> Option<Finding> {
        let all: u32 = self.conductors.iter().map(|one| one.parallel).sum();
        let on_studs = self.places.iter().filter(|place| place.stud);
        let shared: u32 = on_studs.clone().map(|place| place.ends).sum();
        let mut studs: Vec<u32> = on_studs.map(|place| place.number).collect();
        studs.sort_unstable();
        studs.dedup();
        let taken = all.saturating_sub(shared) + studs.len() as u32;
        let big: u32 = self
            .conductors
            .iter()
            .filter(|one| one.size.is_some_and(|size| self.is_big(size)))
            .map(|one| one.parallel)
            .sum();
        let room = self.posts + self.studs;
        let (taken, room, what) = if taken > room {
            (taken, room, "ends")
        } else if self.studs > 0 && shared == 0 && big > self.studs {
            (big, self.studs, "ends too thick for its posts")
        } else {
            return None;
        };
        let (posts, studs) = (count(self.posts, "post"), count(self.studs, "stud"));
        let has = match (self.posts, self.studs) {
            (_, 0) => posts,
            (0, _) => studs,
            _ if what == "ends" => format!("{posts} and {studs}"),
            _ => studs,
        };
        let message = format!(
            "{taken} conductor {what} land on {}, which has {has}: use a larger bar, or a second one.",
            self.name(),
        );
        let site = self.desk.name_site(self.id);
        let finding = Finding::new(Code::BusOverflow, site, message).measuring(
            f64::from(taken),
            f64::from(room),
            "ends",
        );
        let over = self.conductors.last();
        Some(match over {
            Some(last) => finding.beside(last.site, "one of them"),
            None => finding,
        })
    }

    /// A post holds one conductor.
    fn taken_twice(&self, found: &mut Vec<Finding>) {
        for ((stud, number), list) in self.by_place() {
            let ends: u32 = list.iter().map(|place| place.ends).sum();
            let (false, true, Some(last)) = (stud, ends > 1, list.last()) else {
                continue;
            };
            let message = format!(
                "{ends} conductors land on post {number} of {}, which takes one: name a free post, or leave the number out.",
                self.name(),
            );
            let mut finding = Finding::new(Code::BusOverflow, last.site, message).measuring(
                f64::from(ends),
                1.0,
                "ends",
            );
            for place in &list[..list.len() - 1] {
                finding = finding.beside(place.site, "the post is taken here");
            }
            found.push(finding.mended_by(format!("write {}", self.name()), last.site, self.name()));
        }
    }

    fn by_place(&self) -> BTreeMap<(bool, u32), Vec<&Place>> {
        let mut by_place: BTreeMap<(bool, u32), Vec<&Place>> = BTreeMap::new();
        for place in &self.places {
            by_place
                .entry((place.stud, place.number))
                .or_default()
                .push(place);
        }
        by_place
    }

    /// Too thick for a post, where there is no stud to take it or a post is named.
    fn too_small(&self, found: &mut Vec<Finding>) {
        let Some(takes) = self.takes else { return };
        for place in self.places.iter().filter(|place| !place.stud) {
            let Some(size) = place.size.filter(|&size| self.is_big(size)) else {
                continue;
            };
            if self.studs > 0 {
                let finding = self.does_not_fit(place.site, size, takes);
                found.push(finding.mended_by(
                    format!("write {}", self.name()),
                    place.site,
                    self.name(),
                ));
            }
        }
        if self.studs > 0 {
            return;
        }
        let mut big = self
            .conductors
            .iter()
            .filter_map(|one| Some((one, one.size.filter(|&size| self.is_big(size))?)));
        let Some((first, size)) = big.next() else {
            return;
        };
        let mut finding = self.does_not_fit(first.site, size, takes);
        for (other, _) in big.take(8) {
            finding = finding.beside(other.site, "does not fit either");
        }
        found.push(finding);
    }

    fn does_not_fit(&self, site: Site, wire: Size, takes: Size) -> Finding {
        let on = if self.studs > 0 {
            "land it on a stud"
        } else {
            "use a bar with studs, or one for larger conductors"
        };
        let message = format!(
            "The posts of {} take {} at most, and this conductor has {}: {on}.",
            self.name(),
            say::size(takes),
            say::size(wire),
        );
        Finding::new(Code::PostTooSmall, site, message).measuring(
            mm2(self.desk, wire),
            mm2(self.desk, takes),
            "mm2",
        )
    }

    /// More conductors on a named stud than the rule set allows.
    fn crowded(&self, found: &mut Vec<Finding>) {
        let Some(limit) = self.desk.circuit.rules.studs_limit() else {
            return;
        };
        for ((stud, number), list) in self.by_place() {
            let ends: u32 = list.iter().map(|place| place.ends).sum();
            let (true, true, Some(last)) = (stud, ends > limit.value, list.last()) else {
                continue;
            };
            let message = format!(
                "{ends} conductors are on stud {number} of {}, and at most {} belong on one stud: use another stud or bar.",
                self.name(),
                limit.value,
            );
            found.push(
                Finding::new(Code::CrowdedPost, last.site, message).measuring(
                    f64::from(ends),
                    f64::from(limit.value),
                    "conductors",
                ),
            );
        }
    }
}

/// `1 post`, `4 posts`.
fn count(number: u32, word: &str) -> String {
    let s = if number == 1 { "" } else { "s" };
    format!("{number} {word}{s}")
}
