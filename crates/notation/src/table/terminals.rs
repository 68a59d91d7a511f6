//! The terminals of each kind.

use super::Kind;
use crate::tree::{Side, Sign};

/// One terminal that a kind has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TerminalRow {
    /// How it is written: `pv +`, `out N`, `common`, `1`.
    pub text: &'static str,
    /// Its word.
    pub side: Option<Side>,
    /// Whether a number follows the word, or is all there is.
    pub numbered: bool,
    /// Its sign.
    pub sign: Option<Sign>,
    /// The fact that it takes to have it; empty where every part of the kind has it.
    pub with: &'static str,
}

const fn of(text: &'static str, side: Option<Side>, sign: Option<Sign>) -> TerminalRow {
    TerminalRow {
        text,
        side,
        numbered: false,
        sign,
        with: "",
    }
}

const fn numbered(text: &'static str, side: Option<Side>) -> TerminalRow {
    TerminalRow {
        text,
        side,
        numbered: true,
        sign: None,
        with: "",
    }
}

const fn with(with: &'static str, row: TerminalRow) -> TerminalRow {
    TerminalRow { with, ..row }
}

const PLUS: TerminalRow = of("+", None, Some(Sign::Plus));
const MINUS: TerminalRow = of("-", None, Some(Sign::Minus));
const FEED: TerminalRow = of("feed", Some(Side::Feed), None);
const OUT: TerminalRow = of("out", Some(Side::Out), None);
const OUT_N: TerminalRow = numbered("out N", Some(Side::Out));

const SIGNS: &[TerminalRow] = &[PLUS, MINUS];
const THROUGH: &[TerminalRow] = &[FEED, OUT];

const CHARGER: &[TerminalRow] = &[PLUS, MINUS, with("outputs", OUT_N)];
const CONTROLLER: &[TerminalRow] = &[
    of("pv +", Some(Side::Pv), Some(Sign::Plus)),
    of("pv -", Some(Side::Pv), Some(Sign::Minus)),
    of("battery +", Some(Side::Battery), Some(Sign::Plus)),
    of("battery -", Some(Side::Battery), Some(Sign::Minus)),
];
const CONVERTER: &[TerminalRow] = &[
    of("input +", Some(Side::Input), Some(Sign::Plus)),
    of("input -", Some(Side::Input), Some(Sign::Minus)),
    of("output +", Some(Side::Output), Some(Sign::Plus)),
    of("output -", Some(Side::Output), Some(Sign::Minus)),
];
const SHUNT: &[TerminalRow] = &[
    of("battery", Some(Side::Battery), None),
    of("system", Some(Side::System), None),
];
const RELAY: &[TerminalRow] = &[
    FEED,
    OUT,
    of("coil +", Some(Side::Coil), Some(Sign::Plus)),
    of("coil -", Some(Side::Coil), Some(Sign::Minus)),
];
const SELECTOR: &[TerminalRow] = &[numbered("N", None), of("common", Some(Side::Common), None)];
const DIODE: &[TerminalRow] = &[FEED, with("outputs", OUT_N), OUT];
const BUSBAR: &[TerminalRow] = &[
    numbered("post N", Some(Side::Post)),
    numbered("stud N", Some(Side::Stud)),
];
const PANEL: &[TerminalRow] = &[FEED];

/// The terminals of a kind, as a run may name them; a panel's ways and a part's poles are no
/// terminals but come before one (`way 2`, `pole 1 feed`).
pub const fn terminals(kind: Kind) -> &'static [TerminalRow] {
    match kind {
        Kind::Battery
        | Kind::Alternator
        | Kind::Inverter
        | Kind::Load
        | Kind::Socket
        | Kind::Solar => SIGNS,
        Kind::Charger => CHARGER,
        Kind::Controller => CONTROLLER,
        Kind::Converter => CONVERTER,
        Kind::Fuse | Kind::Breaker | Kind::Isolator | Kind::Switch => THROUGH,
        Kind::Shunt => SHUNT,
        Kind::Relay => RELAY,
        Kind::Selector => SELECTOR,
        Kind::Diode => DIODE,
        Kind::Busbar => BUSBAR,
        Kind::Panel => PANEL,
        Kind::Boat
        | Kind::Use
        | Kind::Place
        | Kind::Cable
        | Kind::Joint
        | Kind::Block
        | Kind::Bond
        | Kind::Multicore
        | Kind::Run
        | Kind::Case => &[],
    }
}
