//! Things to names: who is called what, what each part's facts are once `like` is followed, and
//! which names are missing, taken twice or reserved.

use ampwright_electrics::conductor::Size;
use ampwright_notation::{
    Key, Kind, Thing,
    tree::{Arg, At, Fact, Name},
};
use rustc_hash::FxHashMap;

use crate::{site::ThingRef, sources::Sources, wiring::follow_size};

/// A part, by its place in [`Model::parts`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PartId(pub u32);

/// A part of the boat: anything a run can touch, and multicores.
#[derive(Clone, Debug)]
pub struct Part {
    /// What it is.
    pub kind: Kind,
    /// Its name.
    pub name: Name,
    /// The thing that says so.
    pub thing: ThingRef,
    /// The things it is `like`, nearest first.
    pub like: Vec<ThingRef>,
}

/// A run, case, place or cable: a named thing of a name space of its own.
#[derive(Clone, Debug)]
pub struct Named {
    /// Its name.
    pub name: Name,
    /// The thing that says so.
    pub thing: ThingRef,
    /// The things it is `like`, nearest first (never any for runs and cases).
    pub like: Vec<ThingRef>,
}

/// The names of one space and the things that carry them.
#[derive(Clone, Debug, Default)]
pub struct Space {
    /// The things in the order of the text.
    pub list: Vec<Named>,
    by_name: FxHashMap<Name, u32>,
}

impl Space {
    /// The index of a name.
    pub fn find(&self, name: &str) -> Option<u32> {
        self.by_name.get(name).copied()
    }

    /// The names in the order of the text.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.list.iter().map(|named| &*named.name)
    }

    fn add(&mut self, named: Named) -> Result<(), ThingRef> {
        if let Some(&first) = self.by_name.get(&named.name) {
            Err(self.list[first as usize].thing)
        } else {
            self.by_name
                .insert(named.name.clone(), self.list.len() as u32);
            self.list.push(named);
            Ok(())
        }
    }
}

/// A name that does not stand for exactly one thing.
#[derive(Clone, Debug)]
pub enum NameFlaw {
    /// The thing's name is already another's.
    Duplicate {
        /// The second.
        thing: ThingRef,
        /// The first.
        first: ThingRef,
    },
    /// `like` leads back to the thing itself.
    LikeCircle(ThingRef),
    /// `like` names nothing, or a thing of another kind.
    LikeUnknown(ThingRef),
    /// A second `boat`.
    SecondBoat {
        /// The second.
        thing: ThingRef,
        /// The first.
        first: ThingRef,
    },
}

/// Everything of a plan that has a name.
#[derive(Clone, Debug, Default)]
pub struct Model {
    /// The boat.
    pub boat: Option<ThingRef>,
    /// The parts in the order of the text.
    pub parts: Vec<Part>,
    by_name: FxHashMap<Name, u32>,
    /// Names of things whose kind could not be read: whoever mentions them is not wrong.
    pub unread: rustc_hash::FxHashSet<Name>,
    /// Runs.
    pub runs: Space,
    /// Places.
    pub places: Space,
    /// Cables.
    pub cables: Space,
    /// Cases.
    pub cases: Space,
    /// What is wrong with the names.
    pub flaws: Vec<NameFlaw>,
}

/// The facts of a part: its own, then those of what it is `like`.
#[derive(Clone, Debug)]
pub struct Facts<'a> {
    own: &'a Thing,
    like: Vec<&'a Thing>,
}

impl Model {
    /// Reads the names of a plan.
    pub fn of(sources: &Sources) -> Self {
        let mut model = Self::default();
        for (at, thing) in sources.things() {
            model.add(at, thing);
        }
        model.follow_likes(sources);
        model
    }

    fn add(&mut self, at: ThingRef, thing: &Thing) {
        let Some(kind) = thing.kind else {
            self.unread
                .extend(thing.name.as_ref().map(|name| name.value.clone()));
            return;
        };
        if kind == Kind::Boat {
            match self.boat {
                Some(first) => self.flaws.push(NameFlaw::SecondBoat { thing: at, first }),
                None => self.boat = Some(at),
            }
            return;
        }
        let Some(At { value: name, .. }) = &thing.name else {
            return;
        };
        let named = Named {
            name: name.clone(),
            thing: at,
            like: Vec::new(),
        };
        let added = match kind {
            Kind::Boat | Kind::Use => return,
            Kind::Run => self.runs.add(named),
            Kind::Place => self.places.add(named),
            Kind::Cable => self.cables.add(named),
            Kind::Case => self.cases.add(named),
            _ => self.add_part(kind, named),
        };
        if let Err(first) = added {
            self.flaws.push(NameFlaw::Duplicate { thing: at, first });
        }
    }

    fn add_part(&mut self, kind: Kind, named: Named) -> Result<(), ThingRef> {
        if let Some(&first) = self.by_name.get(&named.name) {
            return Err(self.parts[first as usize].thing);
        }
        self.by_name
            .insert(named.name.clone(), self.parts.len() as u32);
        self.parts.push(Part {
            kind,
            name: named.name,
            thing: named.thing,
            like: Vec::new(),
        });
        Ok(())
    }

    fn follow_likes(&mut self, sources: &Sources) {
        let mut flaws = Vec::new();
        for index in 0..self.parts.len() {
            let part = &self.parts[index];
            let kind = part.kind;
            let find = |name: &str| {
                self.by_name
                    .get(name)
                    .map(|&i| &self.parts[i as usize])
                    .filter(|p| p.kind == kind)
            };
            let chain = like_chain(
                sources,
                part.thing,
                |name| find(name).map(|p| p.thing),
                &mut flaws,
            );
            self.parts[index].like = chain;
        }
        for space in [&mut self.places, &mut self.cables] {
            for index in 0..space.list.len() {
                let find = |name: &str| space.find(name).map(|i| space.list[i as usize].thing);
                let chain = like_chain(sources, space.list[index].thing, find, &mut flaws);
                space.list[index].like = chain;
            }
        }
        self.flaws.append(&mut flaws);
    }

    /// The part of a name.
    pub fn part(&self, name: &str) -> Option<PartId> {
        self.by_name.get(name).map(|&index| PartId(index))
    }

    /// The part of a name, where it is of a kind.
    pub fn part_of_kind(&self, name: &str, kind: Kind) -> Option<PartId> {
        self.part(name).filter(|&part| self.get(part).kind == kind)
    }

    /// The names of the parts of a kind, in the order of the text.
    pub fn names_of_kind(&self, kind: Kind) -> impl Iterator<Item = &str> {
        let parts = self.parts.iter().filter(move |part| part.kind == kind);
        parts.map(|part| &*part.name)
    }

    /// Nobody who mentions a name is to blame for it where the thing's own line, or a used file,
    /// could not be read: that has its own finding.
    pub fn excuses(&self, sources: &Sources, name: &str) -> bool {
        self.unread.contains(name) || !sources.unusable.is_empty()
    }

    /// A part by its id.
    pub fn get(&self, id: PartId) -> &Part {
        &self.parts[id.0 as usize]
    }

    /// A part's facts.
    pub fn facts<'a>(&self, sources: &'a Sources, id: PartId) -> Facts<'a> {
        let part = self.get(id);
        Facts::of(sources, part.thing, &part.like)
    }

    /// Every part with its id.
    pub fn ids(&self) -> impl Iterator<Item = (PartId, &Part)> {
        self.parts
            .iter()
            .enumerate()
            .map(|(index, part)| (PartId(index as u32), part))
    }
}

/// The things `from` is like, nearest first. Marks each step, so a chain of any length is linear
/// and a circle ends.
fn like_chain(
    sources: &Sources,
    from: ThingRef,
    find: impl Fn(&str) -> Option<ThingRef>,
    flaws: &mut Vec<NameFlaw>,
) -> Vec<ThingRef> {
    let mut chain: Vec<ThingRef> = Vec::new();
    let mut at = from;
    while let Some(name) = sources.thing(at).and_then(|thing| named(thing, Key::Like)) {
        let Some(next) = find(&name.value) else {
            if at == from {
                flaws.push(NameFlaw::LikeUnknown(from));
            }
            break;
        };
        if next == from || chain.contains(&next) {
            if next == from {
                flaws.push(NameFlaw::LikeCircle(from));
            }
            break;
        }
        if chain.len() == LONGEST_LIKE {
            break;
        }
        chain.push(next);
        at = next;
    }
    chain
}

/// A chain of `like` longer than this is cut: nobody reads it, and it would make reading quadratic.
const LONGEST_LIKE: usize = 32;

/// The name a fact gives.
pub fn named(thing: &Thing, key: Key) -> Option<&At<Name>> {
    thing
        .facts
        .iter()
        .find(|fact| fact.key == key)?
        .args
        .iter()
        .find_map(|arg| match arg {
            Arg::Name(name) => Some(name),
            _ => None,
        })
}

/// Facts that `like` never takes over.
const fn stays_behind(key: Key) -> bool {
    matches!(key, Key::Like | Key::Spare)
}

impl<'a> Facts<'a> {
    /// The facts of a thing and of the things it is like.
    pub fn of(sources: &'a Sources, own: ThingRef, like: &[ThingRef]) -> Self {
        static NOTHING: std::sync::LazyLock<ampwright_notation::File> =
            std::sync::LazyLock::new(|| ampwright_notation::File::parse("place nowhere\n"));
        let own = sources
            .thing(own)
            .unwrap_or_else(|| &NOTHING.chunks[0].thing);
        Self {
            own,
            like: like.iter().filter_map(|&at| sources.thing(at)).collect(),
        }
    }

    /// The fact that counts, and the thing it stands in.
    pub fn find(&self, key: Key) -> Option<&'a Fact> {
        let own = self.own.facts.iter().find(|fact| fact.key == key);
        if own.is_some() || stays_behind(key) {
            return own;
        }
        self.like
            .iter()
            .find_map(|thing| thing.facts.iter().find(|fact| fact.key == key))
    }

    /// The first fact of several that exclude each other (`7 A`, `10 W`, `2 ohm`).
    pub fn any(&self, keys: &[Key]) -> Option<&'a Fact> {
        std::iter::once(&self.own)
            .chain(&self.like)
            .find_map(|thing| thing.facts.iter().find(|fact| keys.contains(&fact.key)))
    }

    /// Every fact of a key, the nearest thing's where any has one.
    pub fn all(&self, key: Key) -> impl Iterator<Item = &'a Fact> {
        let owner = std::iter::once(&self.own)
            .chain(&self.like)
            .find(|thing| thing.facts.iter().any(|fact| fact.key == key));
        owner
            .into_iter()
            .flat_map(move |thing| thing.facts.iter().filter(move |fact| fact.key == key))
    }

    /// Whether a flag is set.
    pub fn has(&self, key: Key) -> bool {
        self.find(key).is_some()
    }

    /// The first quantity of a fact, in its base unit.
    pub fn amount(&self, key: Key) -> Option<f64> {
        self.find(key).and_then(amount)
    }

    /// The first count of a fact.
    pub fn count(&self, key: Key) -> Option<u32> {
        self.find(key)?.args.iter().find_map(|arg| match arg {
            Arg::Count(count) => Some(count.value),
            _ => None,
        })
    }

    /// The first word of a fact.
    pub fn word(&self, key: Key) -> Option<&'static str> {
        self.find(key)?.args.iter().find_map(|arg| match arg {
            Arg::Word(word) => Some(word.value),
            _ => None,
        })
    }

    /// The first name of a fact.
    pub fn name(&self, key: Key) -> Option<&'a Name> {
        self.find(key)?.args.iter().find_map(|arg| match arg {
            Arg::Name(name) => Some(&name.value),
            _ => None,
        })
    }

    /// The thing's own text, without what it is like.
    pub const fn own(&self) -> &'a Thing {
        self.own
    }
}

/// The first quantity of a fact, in its base unit; `None` also for one too large to be read.
pub fn amount(fact: &Fact) -> Option<f64> {
    let quantity = fact.args.iter().find_map(|arg| match arg {
        Arg::Quantity(quantity) => Some(quantity.value.value),
        _ => None,
    });
    quantity.filter(|value| value.is_finite())
}

/// The first size of a fact, as the electrics know it.
pub fn size(fact: &Fact) -> Option<Size> {
    fact.args.iter().find_map(|arg| match arg {
        Arg::Size(size) => Some(follow_size(size.value)),
        _ => None,
    })
}
