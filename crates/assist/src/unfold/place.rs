//! A place unfolded: how warm it is, and the air for the batteries in it.

use ampwright_notation::{Key, units::plain};
use ampwright_plan::{Facts, Plan};

use super::{Found, Section, Step, Unfolding, charge};

pub(super) fn unfold(plan: &Plan, index: u32) -> Option<Unfolding> {
    let named = plan.model.places.list.get(index as usize)?;
    let facts = Facts::of(&plan.sources, named.thing, &named.like);
    let mut rooms = plan.study.rooms.iter();
    let room = rooms.find(|room| room.place == Some(index));
    let warm = Section {
        title: "How warm it is",
        steps: vec![ambient(plan, &facts)],
    };
    let air = room.map(|room| charge::room(plan, room));
    let title = format!("place {}", named.name);
    Some(Unfolding::of(title, [warm].into_iter().chain(air)))
}

fn ambient(plan: &Plan, facts: &Facts<'_>) -> Step {
    let rules = plan.study.base.rules;
    let what = "temperature, T";
    if let Some(said) = facts.amount(Key::Ambient) {
        return Step::new(what, format!("{} °C", plain(said))).found(Found::Said);
    }
    if facts.has(Key::EngineSpace) {
        let engine = rules.engine_space();
        return Step::new(what, engine.value.to_string()).from(&engine);
    }
    Step::new(what, "the boat's").found(Found::Said)
}
