//! What a text means once it is read: things, their facts, and the steps of their runs.
//!
//! Every span is relative to the start of the thing that holds it, so that a thing which did not
//! change can be moved down the file without being touched. [`crate::File`] knows where each
//! thing begins.

use std::sync::Arc;

use crate::{
    flaw::Flaw,
    table::{Key, Kind},
    token::Token,
    units::{Quantity, Size},
};

/// A byte range, relative to the start of the thing that holds it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Span {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

/// A value and the words that say it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct At<T> {
    /// What was said.
    pub value: T,
    /// Where.
    pub span: Span,
}

/// A name in Unicode NFC.
pub type Name = Arc<str>;

/// One thing: a head line at the margin and the indented lines below it.
#[derive(Debug)]
pub struct Thing {
    /// The thing's own text, from its note or head line to the next thing.
    pub text: Arc<str>,
    /// Every token of that text, comments and spaces included.
    pub tokens: Vec<Token>,
    /// What kind of thing it is; `None` where the word is no kind (a flaw says so).
    pub kind: Option<Kind>,
    /// The head's first word.
    pub kind_span: Span,
    /// The head line, without its comment.
    pub head: Span,
    /// Its name; the file's path for `use`.
    pub name: Option<At<Name>>,
    /// Its title.
    pub title: Option<At<Arc<str>>>,
    /// The comment lines directly above it that are its note (no `##` lines).
    pub note: Vec<Span>,
    /// Its facts in the order of the text.
    pub facts: Vec<Fact>,
    /// A panel's ways.
    pub ways: Vec<Way>,
    /// A run's steps.
    pub steps: Vec<Step>,
    /// A case's lines.
    pub settings: Vec<Setting>,
    /// Its allowances.
    pub allows: Vec<Allow>,
    /// What is wrong with its own text.
    pub flaws: Vec<Flaw>,
}

/// A fact: its word and what follows the word.
#[derive(Clone, Debug)]
pub struct Fact {
    /// Which fact.
    pub key: Key,
    /// The whole fact.
    pub span: Span,
    /// Its values in order; empty for a flag.
    pub args: Vec<Arg>,
}

/// One value of a fact.
#[derive(Clone, Debug, PartialEq)]
pub enum Arg {
    /// A measured number with its unit, any multiplier (`6 x 2.4 W`) already applied.
    Quantity(At<Quantity>),
    /// A count.
    Count(At<u32>),
    /// One of the words the fact allows (`agm`, `iso-13297`).
    Word(At<&'static str>),
    /// The name of another thing.
    Name(At<Name>),
    /// Quoted text.
    Text(At<Arc<str>>),
    /// A conductor size.
    Size(At<Size>),
}

/// One way of a panel: `way 2 fuse 10 A "Fresh water"`.
#[derive(Clone, Debug)]
pub struct Way {
    /// The way's number as labelled on the panel.
    pub number: At<u32>,
    /// What stands in it.
    pub device: At<WayDevice>,
    /// The device's rating in amperes.
    pub amps: Option<At<f64>>,
    /// The way's own title.
    pub title: Option<At<Arc<str>>>,
    /// The whole line.
    pub span: Span,
}

/// What stands in a panel's way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WayDevice {
    /// A blade fuse.
    Fuse,
    /// A circuit breaker.
    Breaker,
    /// A switch without protection of its own.
    Switch,
    /// Nothing yet.
    Spare,
}

/// One step of a run.
#[derive(Clone, Debug)]
pub enum Step {
    /// A part, way, pole or terminal.
    Stop(Stop),
    /// The conductor to the next stop.
    Conductor(Conductor),
    /// The way home.
    Back(Back),
    /// A line that could not be read; a flaw stands on it.
    Unread(Span),
}

/// A stop: `cabin-panel way 2`, `house-1 +`, `deck-plug pole 1`, `roof-ctl pv`.
#[derive(Clone, Debug, PartialEq)]
pub struct Stop {
    /// The part.
    pub name: At<Name>,
    /// `way N`.
    pub way: Option<At<u32>>,
    /// `pole N`.
    pub pole: Option<At<u32>>,
    /// A terminal, or one side of a box that has two.
    pub terminal: Option<At<Terminal>>,
    /// The whole stop.
    pub span: Span,
}

/// A terminal as it is written: `+`, `pv -`, `out 2`, `common`, `1`, `post 3`, or a bare side (`pv`).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Terminal {
    /// The word, where there is one.
    pub side: Option<Side>,
    /// The number (`out 2`, `post 3`, a selector's `1`).
    pub number: Option<u32>,
    /// The sign.
    pub sign: Option<Sign>,
}

/// A terminal's word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[allow(missing_docs)] // each is the word itself; the reference says what it means
pub enum Side {
    Pv,
    Battery,
    Input,
    Output,
    System,
    Feed,
    Out,
    Common,
    Coil,
    Post,
    Stud,
}

/// A terminal's sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Sign {
    /// `+`
    Plus,
    /// `-`
    Minus,
}

/// A conductor line.
#[derive(Clone, Debug)]
pub struct Conductor {
    /// One, a twin, several in parallel, or a core of a multicore.
    pub form: Form,
    /// Its size; `None` for a core.
    pub size: Option<At<Size>>,
    /// The cable it names.
    pub cable: Option<At<Name>>,
    /// Its colour.
    pub colour: Option<At<Colour>>,
    /// Its length; `None` for a core, or where it is missing (a flaw says so).
    pub length: Option<At<Quantity>>,
    /// The places it names.
    pub places: Vec<At<Name>>,
    /// `bundled N`.
    pub bundled: Option<At<u32>>,
    /// `sheathed`.
    pub sheathed: Option<Span>,
    /// Its mark.
    pub mark: Option<At<Arc<str>>>,
    /// The whole line, without its comment.
    pub span: Span,
}

/// How many conductors a line stands for.
#[derive(Clone, Debug, PartialEq)]
pub enum Form {
    /// One.
    Single,
    /// Two cores in one sheath.
    Twin,
    /// `N parallel`: equal conductors side by side.
    Parallel(At<u32>),
    /// `core N of NAME`.
    Core {
        /// The core's number, from 1.
        number: At<u32>,
        /// The multicore.
        of: At<Name>,
    },
}

/// `back` and what follows it on its line.
#[derive(Clone, Debug)]
pub struct Back {
    /// The colour of what it makes.
    pub colour: Option<At<Colour>>,
    /// Its length, where it differs from the way out.
    pub length: Option<At<Quantity>>,
    /// `core N of NAME`.
    pub core: Option<(At<u32>, At<Name>)>,
    /// Its mark.
    pub mark: Option<At<Arc<str>>>,
    /// `to STOP`.
    pub to: Option<Stop>,
    /// The whole line, without its comment.
    pub span: Span,
}

/// A conductor's colour: one to three basic colours in the order of IEC 60757.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Colour {
    /// The basic colours; unused places are `None`.
    pub basic: [Option<crate::colour::Basic>; 3],
}

/// One line of a case.
#[derive(Clone, Debug)]
pub struct Setting {
    /// What is done.
    pub verb: Verb,
    /// To which part.
    pub name: At<Name>,
    /// `on NAME 5 A`: how much.
    pub amount: Option<At<Quantity>>,
    /// `set NAME POSITION`.
    pub position: Option<At<Position>>,
    /// The whole line.
    pub span: Span,
}

/// What a case does to a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Verb {
    On,
    Off,
    Open,
    Close,
    Set,
}

/// A selector's position.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Position {
    /// Nothing is joined.
    Off,
    /// The common is joined to this terminal.
    Number(u32),
    /// All are joined.
    Both,
}

/// The figure that an accepted finding may reach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum UpTo {
    /// A measured one.
    Measured(Quantity),
    /// A count, which has no unit.
    Count(u32),
}

/// `allow FINDING [up to FIGURE] "reason" [by "who"]`.
#[derive(Clone, Debug)]
pub struct Allow {
    /// The finding's code.
    pub code: At<Name>,
    /// The figure it may reach.
    pub up_to: Option<At<UpTo>>,
    /// Why.
    pub reason: At<Arc<str>>,
    /// Who accepted it.
    pub by: Option<At<Arc<str>>>,
    /// In a run: the index in `steps` of the step it stands under.
    pub step: Option<u32>,
    /// The whole line.
    pub span: Span,
}
