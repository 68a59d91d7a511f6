//! What the tree knows of a thing's words: the words themselves, and the lines they stand in.

use ampwright_notation::{
    File, Span, Thing,
    tree::{Allow, Arg, Back, Conductor, Fact, Setting, Sign, Step, Stop, Way},
};
use ampwright_plan::Plan;

use super::{Role, Side, What};
use crate::names::{self, Mention, Symbol};

/// Some words of a thing.
#[derive(Clone, Copy, Debug)]
pub(super) struct Leaf {
    pub(super) span: Span,
    pub(super) class: Class,
    pub(super) defines: bool,
    pub(super) side: Option<Side>,
}

/// How the lexemes of a leaf are told apart.
#[derive(Clone, Copy, Debug)]
pub(super) enum Class {
    /// All of it is this.
    Whole(What),
    /// Its words are this, its numbers are numbers.
    Words(What),
    /// A number and its unit.
    Quantity,
}

/// What is known of a thing's words, in the order of the text.
#[derive(Default)]
pub(super) struct Leaves {
    /// Single words and quantities; none in another.
    pub(super) words: Vec<Leaf>,
    /// Facts, steps and other lines, for the words that stand in none of `words`.
    pub(super) lines: Vec<Leaf>,
    /// The comments that are headings.
    pub(super) headings: Vec<Span>,
}

impl Leaves {
    /// Of the comments before the first thing.
    pub(super) fn of_preamble(file: &File) -> Self {
        let end = file.preamble.len();
        let spans = file.headings().into_iter();
        let spans = spans.take_while(|(range, _)| range.end <= end);
        Self {
            headings: spans
                .map(|(range, _)| Span::new(range.start as u32, range.end as u32))
                .collect(),
            ..Self::default()
        }
    }

    /// Of a thing. `side` tells the side of a line that makes conductors.
    pub(super) fn of(plan: &Plan, thing: &Thing, side: &dyn Fn(Span) -> Option<Side>) -> Self {
        let mut leaves = Self {
            headings: thing.headings().collect(),
            ..Self::default()
        };
        if thing.kind.is_some() {
            leaves.word(thing.kind_span, Class::Whole(What::Keyword), None);
        }
        let mentions = names::mentions(thing);
        leaves
            .words
            .extend(mentions.iter().map(|mention| name(plan, thing, mention)));
        thing.facts.iter().for_each(|fact| leaves.fact(fact));
        thing.ways.iter().for_each(|way| leaves.way(way));
        for step in &thing.steps {
            leaves.step(step, side(step.span()));
        }
        thing.settings.iter().for_each(|line| leaves.setting(line));
        thing.allows.iter().for_each(|allow| leaves.allow(allow));
        leaves.words.sort_by_key(|leaf| leaf.span);
        leaves.lines.sort_by_key(|leaf| leaf.span);
        leaves
    }

    fn word(&mut self, span: Span, class: Class, side: Option<Side>) {
        self.words.push(Leaf {
            span,
            class,
            defines: false,
            side,
        });
    }

    fn line(&mut self, span: Span, what: What, side: Option<Side>) {
        self.lines.push(Leaf {
            span,
            class: Class::Words(what),
            defines: false,
            side,
        });
    }

    fn fact(&mut self, fact: &Fact) {
        self.line(fact.span, What::Fact, None);
        for arg in &fact.args {
            match arg {
                Arg::Quantity(_) | Arg::Count(_) | Arg::Size(_) => {
                    self.word(arg.span(), Class::Quantity, None);
                }
                Arg::Word(word) => self.word(word.span, Class::Whole(What::Word), None),
                Arg::Name(_) | Arg::Text(_) => {}
            }
        }
    }

    fn way(&mut self, way: &Way) {
        self.line(way.span, What::Fact, None);
        self.word(way.device.span, Class::Whole(What::Word), None);
        if let Some(amps) = &way.amps {
            self.word(amps.span, Class::Quantity, None);
        }
    }

    fn step(&mut self, step: &Step, side: Option<Side>) {
        match step {
            Step::Stop(stop) => {
                self.line(stop.span, What::Terminal, None);
                self.terminal(stop);
            }
            Step::Conductor(line) => self.conductor(line, side),
            Step::Back(back) => self.back(back),
            Step::Unread(_) => {}
        }
    }

    fn terminal(&mut self, stop: &Stop) {
        let Some(terminal) = &stop.terminal else {
            return;
        };
        let side = terminal.value.sign.map(|sign| match sign {
            Sign::Plus => Side::Positive,
            Sign::Minus => Side::Negative,
        });
        self.word(terminal.span, Class::Words(What::Terminal), side);
    }

    fn conductor(&mut self, line: &Conductor, side: Option<Side>) {
        self.line(line.span, What::Keyword, side);
        let quantities = [
            line.size.map(|size| size.span),
            line.length.map(|length| length.span),
        ];
        for span in quantities.into_iter().flatten() {
            self.word(span, Class::Quantity, side);
        }
        if let Some(colour) = &line.colour {
            self.word(colour.span, Class::Whole(What::Colour), side);
        }
    }

    fn back(&mut self, back: &Back) {
        let side = Some(Side::Negative);
        self.line(back.span, What::Keyword, side);
        if let Some(length) = &back.length {
            self.word(length.span, Class::Quantity, side);
        }
        if let Some(colour) = &back.colour {
            self.word(colour.span, Class::Whole(What::Colour), side);
        }
        if let Some(stop) = &back.to {
            self.terminal(stop);
        }
    }

    fn setting(&mut self, line: &Setting) {
        self.line(line.span, What::Keyword, None);
        if let Some(amount) = &line.amount {
            self.word(amount.span, Class::Quantity, None);
        }
        if let Some(position) = &line.position {
            self.word(position.span, Class::Words(What::Word), None);
        }
    }

    fn allow(&mut self, allow: &Allow) {
        self.line(allow.span, What::Keyword, None);
        if let Some(up_to) = &allow.up_to {
            self.word(up_to.span, Class::Quantity, None);
        }
    }
}

fn name(plan: &Plan, thing: &Thing, mention: &Mention) -> Leaf {
    let what = match &mention.symbol {
        Symbol::Boat(_) | Symbol::Place(_) => What::Place,
        Symbol::Part(name) => {
            let own = thing.kind.filter(|_| mention.defines);
            let known = || Some(plan.model.get(plan.model.part(name)?).kind);
            let role = own.or_else(known).and_then(Role::of);
            role.map_or(What::Unknown, What::Part)
        }
        Symbol::Run(_) => What::Run,
        Symbol::Cable(_) => What::Cable,
        Symbol::Case(_) => What::Case,
        Symbol::Way(..) => What::Number,
        Symbol::Mark(_) => What::Mark,
        Symbol::Code(_) => What::Word,
        Symbol::File(_) => What::Text,
    };
    Leaf {
        span: mention.span,
        class: Class::Whole(what),
        defines: mention.defines && !matches!(mention.symbol, Symbol::Way(..)),
        side: None,
    }
}
