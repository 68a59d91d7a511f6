//! The steps of a run: stops, conductors, and the way back.

use chumsky::prelude::*;

use super::{
    Draft, Extra, Inp, Toks,
    facts::{only, size_comes},
    leaf::{self, Read, fail, leaf, name, peek, peek_word, position, take_word, word},
    range::{self, COUNT},
    trouble::{Fault, Trouble},
};
use crate::{
    flaw::{Code, Flaw},
    table::Range,
    token::Lexeme,
    tree::{At, Back, Colour, Conductor, Form, Name, Side, Sign, Span, Stop, Terminal},
    units::{Dimension, Quantity},
};

/// `NAME [way N | pole N] [terminal]`.
pub(super) fn stop<'a>() -> impl Parser<'a, Toks<'a>, Stop, Extra<'a>> {
    leaf(|inp| name(inp, "the part"))
        .then(leaf(numbered))
        .then(leaf(terminal))
        .map(|((name, (way, pole)), terminal)| {
            let numbered = way.or(pole).map(|at| at.span);
            let end = terminal.map(|at| at.span).or(numbered).unwrap_or(name.span);
            Stop {
                span: name.span.to(end),
                name,
                way,
                pole,
                terminal,
            }
        })
}

type Numbered = (Option<At<u32>>, Option<At<u32>>);

fn numbered(inp: &mut Inp<'_, '_>) -> Read<Numbered> {
    match peek_word(inp) {
        "way" => {
            inp.skip();
            Ok((Some(leaf::count(inp, "way", &COUNT)?), None))
        }
        "pole" => {
            inp.skip();
            Ok((None, Some(leaf::count(inp, "pole", &COUNT)?)))
        }
        _ => Ok((None, None)),
    }
}

fn terminal(inp: &mut Inp<'_, '_>) -> Read<Option<At<Terminal>>> {
    let Some(first) = inp.peek_ref() else {
        return Ok(None);
    };
    let mut terminal = Terminal {
        side: None,
        number: None,
        sign: None,
    };
    let mut span = first.span;
    if first.lexeme == Lexeme::Word {
        let Some(side) = side(first.text) else {
            return fail(inp, Fault::Terminal);
        };
        inp.skip();
        terminal.side = Some(side);
    }
    let takes_number = matches!(
        terminal.side,
        None | Some(Side::Out | Side::Post | Side::Stud)
    );
    if takes_number && peek(inp, Lexeme::Number).is_some() {
        let number = leaf::count(inp, terminal.side.map_or("terminal", Side::word), &COUNT)?;
        terminal.number = Some(number.value);
        span = span.to(number.span);
    }
    if let Some((sign, at)) = sign(inp) {
        terminal.sign = Some(sign);
        span = span.to(at);
    }
    if terminal
        == (Terminal {
            side: None,
            number: None,
            sign: None,
        })
    {
        return fail(inp, Fault::Terminal);
    }
    Ok(Some(At::new(terminal, span)))
}

fn sign(inp: &mut Inp<'_, '_>) -> Option<(Sign, Span)> {
    let tok = inp.peek_ref()?;
    let sign = match tok.lexeme {
        Lexeme::Plus => Sign::Plus,
        Lexeme::Minus => Sign::Minus,
        _ => return None,
    };
    inp.skip();
    Some((sign, tok.span))
}

fn side(word: &str) -> Option<Side> {
    Side::ALL.into_iter().find(|side| side.word() == word)
}

impl Side {
    /// Every side.
    pub const ALL: [Self; 11] = [
        Self::Pv,
        Self::Battery,
        Self::Input,
        Self::Output,
        Self::System,
        Self::Feed,
        Self::Out,
        Self::Common,
        Self::Coil,
        Self::Post,
        Self::Stud,
    ];

    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Pv => "pv",
            Self::Battery => "battery",
            Self::Input => "input",
            Self::Output => "output",
            Self::System => "system",
            Self::Feed => "feed",
            Self::Out => "out",
            Self::Common => "common",
            Self::Coil => "coil",
            Self::Post => "post",
            Self::Stud => "stud",
        }
    }
}

/// A conductor's line: its form and size, then its parts in any order.
pub(super) fn conductor<'a>() -> impl Parser<'a, Toks<'a>, Conductor, Extra<'a>> {
    leaf(form)
        .foldl_with(leaf(part).repeated(), |conductor, part, extra| {
            conductor.with(part, extra.state())
        })
        .map_with(|conductor, extra| {
            missing_length(&conductor, extra.state());
            conductor
        })
}

/// One part of a conductor's or a return's line.
enum Part {
    Cable(At<Name>),
    Colour(At<Colour>),
    Length(At<Quantity>),
    Place(At<Name>, Span),
    Bundled(At<u32>, Span),
    Sheathed(Span),
    Mark(At<std::sync::Arc<str>>, Span),
}

fn part(inp: &mut Inp<'_, '_>) -> Read<Part> {
    let Some(tok) = inp.peek_ref() else {
        return fail(inp, Fault::End);
    };
    match tok.lexeme {
        Lexeme::Word => {}
        Lexeme::Number | Lexeme::Negative | Lexeme::BadNumber => {
            return length(inp).map(Part::Length);
        }
        _ => return fail(inp, Fault::Part),
    }
    match tok.text {
        "in" => {
            inp.skip();
            name(inp, "the place").map(|place| Part::Place(place, tok.span))
        }
        "bundled" => {
            inp.skip();
            leaf::count(inp, "bundled", &COUNT).map(|count| Part::Bundled(count, tok.span))
        }
        "sheathed" => {
            inp.skip();
            Ok(Part::Sheathed(tok.span))
        }
        "mark" => {
            inp.skip();
            leaf::mark(inp).map(|mark| Part::Mark(mark, tok.span))
        }
        "twin" | "core" | "parallel" | "back" | "to" | "x" => fail(inp, Fault::Part),
        _ => match leaf::colour(inp)? {
            Some(colour) => Ok(Part::Colour(colour)),
            None => name(inp, "the cable").map(Part::Cable),
        },
    }
}

fn length(inp: &mut Inp<'_, '_>) -> Read<At<Quantity>> {
    let found = leaf::measured(inp, only(Dimension::Length))?;
    range::check(inp, found, "a length", &Range::usual(Dimension::Length));
    Ok(found)
}

/// What a conductor's line begins with.
fn form(inp: &mut Inp<'_, '_>) -> Read<Conductor> {
    let Some(first) = inp.peek_ref() else {
        return fail(inp, Fault::Size);
    };
    if first.is("core") {
        inp.skip();
        let (number, of) = core(inp)?;
        let span = first.span.to(of.span);
        return Ok(Conductor::new(Form::Core { number, of }, None, span));
    }
    let form = if first.is("twin") {
        inp.skip();
        Form::Twin
    } else if parallel_comes(inp) {
        let count = leaf::count(inp, "parallel", &COUNT)?;
        inp.skip();
        Form::Parallel(count)
    } else {
        Form::Single
    };
    if peek(inp, Lexeme::Word).is_some() || inp.peek_ref().is_none() {
        return fail(inp, Fault::Size);
    }
    let size = leaf::size(inp)?;
    Ok(Conductor::new(form, Some(size), first.span.to(size.span)))
}

fn parallel_comes(inp: &mut Inp<'_, '_>) -> bool {
    let next = position(inp) as usize + 1;
    let all = inp.full_slice();
    all.get(next).is_some_and(|tok| tok.is("parallel"))
}

/// What follows `core`: `3 of NAME`.
fn core(inp: &mut Inp<'_, '_>) -> Read<(At<u32>, At<Name>)> {
    let number = leaf::count(inp, "core", &COUNT)?;
    let Some(_) = take_word(inp, "of") else {
        return fail(inp, Fault::Word("of"));
    };
    Ok((number, name(inp, "the multicore")?))
}

impl Conductor {
    fn new(form: Form, size: Option<At<crate::units::Size>>, span: Span) -> Self {
        Self {
            form,
            size,
            cable: None,
            colour: None,
            length: None,
            places: Vec::new(),
            bundled: None,
            sheathed: None,
            mark: None,
            span,
        }
    }

    /// The conductor with one part more, or with a flaw where it has that part already.
    fn with(mut self, part: Part, draft: &mut Draft) -> Self {
        let span = part.span();
        self.span = self.span.to(span);
        if matches!(self.form, Form::Core { .. }) && !part.fits_core() {
            draft.flaws.push(Flaw::new(
                Code::Syntax,
                span,
                "A core takes a colour and a mark only: its size, length, cable and places are those of its multicore.",
            ));
            return self;
        }
        let twice = match part {
            Part::Cable(cable) => self.cable.replace(cable).map(|_| "cable"),
            Part::Colour(colour) => self.colour.replace(colour).map(|_| "colour"),
            Part::Length(length) => self.length.replace(length).map(|_| "length"),
            Part::Bundled(count, _) => self.bundled.replace(count).map(|_| "`bundled`"),
            Part::Sheathed(span) => self.sheathed.replace(span).map(|_| "`sheathed`"),
            Part::Mark(mark, _) => self.mark.replace(mark).map(|_| "mark"),
            Part::Place(place, _) => {
                self.places.push(place);
                None
            }
        };
        draft.flaws.extend(twice.map(|what| said_twice(what, span)));
        self
    }
}

fn said_twice(what: &str, span: Span) -> Flaw {
    let message = match what {
        "colour" => "This conductor has a colour already: take one away, or join two colours of one conductor by `/`.".to_owned(),
        "cable" => "This conductor names a cable already: take one of the two away, or correct the word if it is no cable.".to_owned(),
        what => format!("This conductor has a {what} already: take one of the two away."),
    };
    Flaw::new(Code::Syntax, span, message)
}

impl Part {
    const fn span(&self) -> Span {
        match self {
            Self::Cable(at) => at.span,
            Self::Colour(at) => at.span,
            Self::Length(at) => at.span,
            Self::Sheathed(span) => *span,
            Self::Place(at, word) | Self::Mark(at, word) => Span::new(word.start, at.span.end),
            Self::Bundled(at, word) => Span::new(word.start, at.span.end),
        }
    }

    /// A core's own parts; the rest is its multicore's.
    const fn fits_core(&self) -> bool {
        matches!(self, Self::Colour(_) | Self::Mark(..))
    }
}

fn missing_length(conductor: &Conductor, draft: &mut Draft) {
    if conductor.length.is_none() && conductor.size.is_some() {
        draft.flaws.push(Flaw::new(
            Code::MissingFact,
            conductor.span,
            "This conductor has no length: measure it along the cable and write it here, such as `2.5 m`.",
        ));
    }
}

/// `back` and what follows it.
pub(super) fn back<'a>() -> impl Parser<'a, Toks<'a>, Back, Extra<'a>> {
    let home = word("to").ignore_then(stop());
    let start = word("back").map(|span| Back {
        colour: None,
        length: None,
        core: None,
        mark: None,
        to: None,
        span,
    });
    start
        .foldl_with(leaf(back_part).repeated(), |back, part, extra| {
            back.with(part, extra.state())
        })
        .then(custom(move |inp: &mut Inp<'a, '_>| {
            if inp.peek_ref().is_some() {
                inp.parse(&home).map(Some)
            } else {
                Ok(None)
            }
        }))
        .map(|(back, to)| back.ending(to))
}

enum BackPart {
    Core(At<u32>, At<Name>, Span),
    Part(Part),
}

fn back_part(inp: &mut Inp<'_, '_>) -> Read<BackPart> {
    let Some(tok) = inp.peek_ref() else {
        return fail(inp, Fault::End);
    };
    if tok.is("to") {
        return fail(inp, Fault::End);
    }
    if tok.is("core") {
        inp.skip();
        let (number, of) = core(inp)?;
        return Ok(BackPart::Core(number, of, tok.span));
    }
    if size_comes(inp) {
        return fail(inp, Fault::BackPart);
    }
    let at = position(inp);
    match part(inp)? {
        part @ (Part::Colour(_) | Part::Length(_) | Part::Mark(..)) => Ok(BackPart::Part(part)),
        _ => Err(Trouble {
            at,
            fault: Fault::BackPart,
        }),
    }
}

impl Back {
    fn with(mut self, part: BackPart, draft: &mut Draft) -> Self {
        let (twice, span) = match part {
            BackPart::Core(number, of, word) => {
                let span = word.to(of.span);
                (self.core.replace((number, of)).is_some(), span)
            }
            BackPart::Part(part) => {
                let span = part.span();
                let twice = match part {
                    Part::Colour(colour) => self.colour.replace(colour).is_some(),
                    Part::Length(length) => self.length.replace(length).is_some(),
                    Part::Mark(mark, _) => self.mark.replace(mark).is_some(),
                    _ => false,
                };
                (twice, span)
            }
        };
        self.span = self.span.to(span);
        if twice {
            let message = "This return says the same thing twice: take one of the two away.";
            draft.flaws.push(Flaw::new(Code::Syntax, span, message));
        }
        self
    }

    fn ending(mut self, to: Option<Stop>) -> Self {
        self.span = to
            .as_ref()
            .map_or(self.span, |stop| self.span.to(stop.span));
        self.to = to;
        self
    }
}
