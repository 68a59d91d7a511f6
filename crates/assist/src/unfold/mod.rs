//! A computed value unfolded: what it is, the formula, the formula with its numbers, the value, and
//! where each constant in it comes from, with its tag in words.
//!
//! One room a thing: `conductor`, `device`, `load`, `battery`, `source`, `bar`, `place`. Each is a list
//! of sections, a function each, so that a new computed value is one more function in its list. What
//! several of them tell, and hovers in a sentence, has a room by its matter: `fault`, `charge`, `day`.
//! `used` gathers the published and remembered figures that a plan rests on.

pub(crate) mod bar;
mod battery;
pub(crate) mod charge;
mod conductor;
pub(crate) mod day;
mod device;
pub(crate) mod fault;
mod load;
mod place;
mod source;
mod step;
pub mod used;

use ampwright_notation::{Kind, suggest};
use ampwright_plan::{PartId, Plan, wiring::Conductor};

pub use step::{Cited, Found, Section, Step, Unfolding};

/// What there is to unfold under a name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unfolded {
    /// One thing, or each conductor of a run.
    Known(Vec<Unfolding>),
    /// The name is in the plan, but nothing is computed of it.
    Nothing,
    /// Nothing has the name; the nearest that something has.
    Unknown(Option<String>),
}

/// Unfolds a conductor by its mark, a run, a part, or a way as `panel way 2`. A part's name wins over
/// a run's, and both over a mark: marks that are made begin with their run's name and go on.
pub fn unfold(plan: &Plan, name: &str) -> Unfolded {
    let name = name.trim();
    if let Some(part) = plan.model.part(name) {
        let list = of_part(plan, part);
        return if list.is_empty() {
            Unfolded::Nothing
        } else {
            Unfolded::Known(list)
        };
    }
    let of_conductors = |is_own: &dyn Fn(&Conductor) -> bool| -> Vec<Unfolding> {
        let all = (0u32..).zip(&plan.wiring.conductors);
        let own = all.filter(|(_, wired)| is_own(wired));
        own.map(|(index, _)| conductor::unfold(plan, index))
            .collect()
    };
    let list = match plan.model.runs.find(name) {
        Some(run) => of_conductors(&|wired| wired.run == run),
        None => of_conductors(&|wired| &*wired.mark == name),
    };
    if !list.is_empty() {
        return Unfolded::Known(list);
    }
    if let Some(way) = device::way(plan, name) {
        return Unfolded::Known(vec![way]);
    }
    if let Some(place) = plan.model.places.find(name) {
        return Unfolded::Known(place::unfold(plan, place).into_iter().collect());
    }
    Unfolded::Unknown(nearest(plan, name))
}

/// The nearest of everything that has a name here; of ways only where a panel's is written.
fn nearest(plan: &Plan, name: &str) -> Option<String> {
    if let Some((panel, way)) = name.split_once(" way ")
        && let Some(near) = nearest_of(plan, panel)
    {
        return Some(format!("{near} way {}", way.trim()))
            .filter(|near| near != name && device::way(plan, near).is_some());
    }
    nearest_of(plan, name)
}

fn nearest_of(plan: &Plan, name: &str) -> Option<String> {
    let parts = plan.model.parts.iter().map(|part| &*part.name);
    let places = plan.model.places.list.iter().map(|place| &*place.name);
    let runs = plan.model.runs.list.iter().map(|run| &*run.name);
    let marks = plan.wiring.conductors.iter().map(|wired| &*wired.mark);
    let near = suggest::nearest(name, marks.chain(parts).chain(runs).chain(places));
    near.map(str::to_owned)
}

fn of_part(plan: &Plan, part: PartId) -> Vec<Unfolding> {
    let kind = plan.model.get(part).kind;
    match kind {
        Kind::Battery => battery::unfold(plan, part).into_iter().collect(),
        Kind::Busbar | Kind::Joint | Kind::Block | Kind::Bond => vec![bar::unfold(plan, part)],
        Kind::Multicore => cores(plan, part),
        _ => {
            let draw = plan.study.base.draw_of.get(&part);
            let load = draw.and_then(|&draw| load::unfold(plan, draw));
            let devices = device::unfold(plan, part);
            let sources = source::unfold(plan, part);
            load.into_iter().chain(devices).chain(sources).collect()
        }
    }
}

/// The cores of a multicore that are used.
fn cores(plan: &Plan, part: PartId) -> Vec<Unfolding> {
    let all = (0u32..).zip(&plan.wiring.conductors);
    let own = all.filter(|(_, wired)| wired.core.is_some_and(|(of, _)| of == part));
    own.map(|(index, _)| conductor::unfold(plan, index))
        .collect()
}

pub(crate) use conductor::{drop_step, steps_of as ampacity_steps, warm_step};

#[cfg(test)]
mod tests;
