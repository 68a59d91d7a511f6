//! Who is called what, and where: every mention of every name, the ground that definition,
//! references, highlight and rename stand on.

use std::sync::Arc;

use ampwright_notation::{
    Key, Kind, Span, Thing,
    table::{Shape, Space},
    tree::{Arg, At, Conductor, Form, Name, Step, Stop},
};
use ampwright_plan::{Plan, Site, ThingRef};

use crate::cursor::{Cursor, FileRange};

/// Something that has a name or a number by which the text refers to it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Symbol {
    /// The boat.
    Boat(Name),
    /// A part.
    Part(Name),
    /// A run.
    Run(Name),
    /// A place.
    Place(Name),
    /// A cable.
    Cable(Name),
    /// A case.
    Case(Name),
    /// A way of a panel.
    Way(Name, u32),
    /// What is tied on a cable's ends.
    Mark(Name),
    /// A finding, as `allow` names it.
    Code(Name),
    /// A file, by its path as it is written.
    File(Name),
}

/// A place where a symbol is named.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mention {
    /// What is named.
    pub symbol: Symbol,
    /// The words, relative to the thing.
    pub span: Span,
    /// The words say that it is there, rather than refer to it.
    pub defines: bool,
}

impl Symbol {
    /// The symbol of a thing's name in a space.
    pub fn in_space(space: Space, name: Name) -> Self {
        match space {
            Space::Boat => Self::Boat(name),
            Space::File => Self::File(name),
            Space::Part => Self::Part(name),
            Space::Place => Self::Place(name),
            Space::Cable => Self::Cable(name),
            Space::Run => Self::Run(name),
            Space::Case => Self::Case(name),
        }
    }

    /// The name as it is written.
    pub fn name(&self) -> &str {
        match self {
            Self::Boat(name)
            | Self::Part(name)
            | Self::Run(name)
            | Self::Place(name)
            | Self::Cable(name)
            | Self::Case(name)
            | Self::Way(name, _)
            | Self::Mark(name)
            | Self::Code(name)
            | Self::File(name) => name,
        }
    }
}

/// Every mention in a thing, in no particular order.
pub fn mentions(thing: &Thing) -> Vec<Mention> {
    let mut found = Vec::new();
    if let (Some(kind), Some(name)) = (thing.kind, &thing.name) {
        let symbol = Symbol::in_space(kind.row().space, name.value.clone());
        push(&mut found, symbol, name.span, kind != Kind::Use);
        of_facts(thing, kind, &mut found);
        for way in &thing.ways {
            let symbol = Symbol::Way(name.value.clone(), way.number.value);
            push(&mut found, symbol, way.number.span, true);
        }
    }
    for step in &thing.steps {
        of_step(step, &mut found);
    }
    for setting in &thing.settings {
        name_of(&mut found, Symbol::Part, &setting.name);
    }
    for allow in &thing.allows {
        name_of(&mut found, Symbol::Code, &allow.code);
    }
    found
}

fn push(found: &mut Vec<Mention>, symbol: Symbol, span: Span, defines: bool) {
    found.push(Mention {
        symbol,
        span,
        defines,
    });
}

fn name_of(found: &mut Vec<Mention>, of: impl Fn(Arc<str>) -> Symbol, name: &At<Name>) {
    push(found, of(name.value.clone()), name.span, false);
}

fn of_facts(thing: &Thing, kind: Kind, found: &mut Vec<Mention>) {
    for fact in &thing.facts {
        let space = match kind.fact(fact.key).map(|row| row.shape) {
            _ if fact.key == Key::Like => kind.row().space,
            Some(Shape::Name(space)) => space,
            Some(Shape::BareName) => Space::Cable,
            _ => continue,
        };
        for arg in &fact.args {
            if let Arg::Name(name) = arg {
                name_of(found, |name| Symbol::in_space(space, name), name);
            }
        }
    }
}

fn of_step(step: &Step, found: &mut Vec<Mention>) {
    match step {
        Step::Stop(landing) => of_stop(landing, found),
        Step::Conductor(line) => of_conductor(line, found),
        Step::Back(back) => {
            if let Some((_, of)) = &back.core {
                name_of(found, Symbol::Part, of);
            }
            if let Some(mark) = &back.mark {
                name_of(found, Symbol::Mark, mark);
            }
            if let Some(landing) = &back.to {
                of_stop(landing, found);
            }
        }
        Step::Unread(_) => {}
    }
}

fn of_stop(stop: &Stop, found: &mut Vec<Mention>) {
    name_of(found, Symbol::Part, &stop.name);
    if let Some(way) = &stop.way {
        let symbol = Symbol::Way(stop.name.value.clone(), way.value);
        push(found, symbol, way.span, false);
    }
}

fn of_conductor(line: &Conductor, found: &mut Vec<Mention>) {
    if let Form::Core { of, .. } = &line.form {
        name_of(found, Symbol::Part, of);
    }
    if let Some(cable) = &line.cable {
        name_of(found, Symbol::Cable, cable);
    }
    for place in &line.places {
        name_of(found, Symbol::Place, place);
    }
    if let Some(mark) = &line.mark {
        name_of(found, Symbol::Mark, mark);
    }
}

/// The symbol at an offset and the words that name it.
pub fn symbol_at(plan: &Plan, file: u32, offset: usize) -> Option<(Symbol, FileRange)> {
    let cursor = Cursor::new(plan, file, offset)?;
    let mention = mention_at(&cursor)?;
    let range = cursor.range(mention.span);
    Some((mention.symbol, range))
}

/// The mention that a cursor lies in; of two that meet there the one that begins there.
pub(crate) fn mention_at(cursor: &Cursor<'_>) -> Option<Mention> {
    let touched = mentions(cursor.thing)
        .into_iter()
        .filter(|mention| mention.span.touches(cursor.at));
    touched.max_by_key(|mention| mention.span.start)
}

/// Every mention of a symbol in the plan, in the order of the text.
pub fn all(plan: &Plan, symbol: &Symbol) -> Vec<(FileRange, bool)> {
    let mut found = Vec::new();
    for (whose, thing) in plan.sources.things() {
        // Most things do not hold the name at all, and a search is cheaper than the mentions.
        if thing.text.is_ascii() && !thing.text.contains(symbol.name()) {
            continue;
        }
        add(plan, whose, thing, symbol, &mut found);
    }
    found.sort_by_key(|(range, _)| range.order());
    found
}

fn add(
    plan: &Plan,
    whose: ThingRef,
    thing: &Thing,
    symbol: &Symbol,
    found: &mut Vec<(FileRange, bool)>,
) {
    let of_symbol = mentions(thing)
        .into_iter()
        .filter(|mention| mention.symbol == *symbol);
    found.extend(of_symbol.map(|mention| {
        let site: Site = whose.at(mention.span);
        (FileRange::of(plan, site), mention.defines)
    }));
}
