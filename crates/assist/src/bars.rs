//! How many conductors end on a bar, and how many may.

use ampwright_notation::{Key, Kind};
use ampwright_plan::{PartId, Plan, wiring::Term};

/// What is taken of a busbar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Taken {
    /// Conductor ends on it; several in parallel take one post each.
    pub(crate) ends: u32,
    /// Its posts and studs; `None` where it says neither.
    pub(crate) of: Option<u32>,
}

/// What is taken of a part; `None` for what is no busbar.
pub(crate) fn taken(plan: &Plan, part: PartId) -> Option<Taken> {
    if plan.model.parts.get(part.0 as usize)?.kind != Kind::Busbar {
        return None;
    }
    let facts = plan.model.facts(&plan.sources, part);
    let said = [Key::Posts, Key::Studs].map(|key| facts.count(key));
    let sum = |counts: &[Option<u32>]| {
        let counts = counts.iter().flatten();
        counts.fold(0u32, |sum, &count| sum.saturating_add(count))
    };
    let node = plan.wiring.terminal(part, Term::Bar);
    let on_it = node
        .into_iter()
        .flat_map(|node| plan.wiring.conductors_at(node));
    let ends = on_it.filter_map(|index| plan.wiring.conductors.get(index as usize));
    Some(Taken {
        ends: ends.fold(0, |sum, conductor| sum.saturating_add(conductor.parallel)),
        of: said.iter().any(Option::is_some).then(|| sum(&said)),
    })
}
