//! The boat that the rows are held against, and how a row changes it.

use ampwright_notation::{Key, Kind};
use ampwright_plan::Plan;

/// The boat. `@kind` stands for the facts of its thing of that kind.
const BOAT: &str = "
boat test-boat @boat
place hold @place
place hot engine-space
cable make @cable
battery house @battery
battery starter-battery flooded 60 Ah charge-limit 60 A
    in hold
solar roof @solar
controller ctl @controller
alternator alt @alternator
charger shore @charger
converter dc @converter
inverter inv @inverter
isolator main @isolator
switch lamp-switch @switch
selector sel @selector
relay combiner @relay
fuse main-fuse @fuse
fuse starter-fuse bolt-down 80 A breaks 10 kA
fuse board-fuse bolt-down 40 A breaks 10 kA
breaker inverter-breaker @breaker
shunt meter @shunt
busbar minus @busbar
panel board @panel
    way 1 fuse 15 A
    way 2 fuse 15 A
    way 3 fuse 10 A
    way 4 breaker 15 A
busbar minus-2 negative posts 9
joint plug @joint
diode splitter @diode
load lamp @load
load top 1 A
load far lighting 24 W
socket chart @socket
block engine @block
bond plate @bond
multicore mast @multicore
run feed
    house +
    70 mm2 0.1 m
    main-fuse
    70 mm2 1 m make
    main
    70 mm2 2 m make
    sel 1
run to-panel
    sel common
    70 mm2 0.3 m
    board-fuse
    16 mm2 1 m
    board
run home
    minus
    70 mm2 2 m
    meter
    70 mm2 1 m
    house -
run home-2
    minus-2
    70 mm2 1 m
    minus
run lamp @run
    board way 1
    2.5 mm2 4 m make in hold
    lamp-switch
    2.5 mm2 2 m make
    lamp
    2.5 mm2 6 m make
    minus
run chart
    board way 2
    2.5 mm2 4 m
    chart
    back to minus
run top
    board way 3
    1.5 mm2 4 m
    plug
    core 1 of mast
    top
    back core 2 of mast to minus-2
run dc
    board way 4
    4 mm2 2 m
    dc input
    4 mm2 2 m
    minus
run far
    dc output +
    2.5 mm2 4 m
    far
    back to dc output -
run inverter
    sel common
    70 mm2 1 m
    inverter-breaker
    6 mm2 1 m
    inv
    6 mm2 2 m
    minus
run charge
    shore +
    70 mm2 1 m
    splitter feed
run charge-house
    splitter out 1
    70 mm2 1 m
    main feed
run charge-home
    shore -
    70 mm2 1 m
    minus
run panels
    roof +
    4 mm2 5 m
    ctl pv
    4 mm2 5 m
    roof -
run controller-out
    ctl battery +
    70 mm2 1 m
    main feed
run controller-home
    ctl battery -
    70 mm2 1 m
    minus
run starter
    starter-battery +
    70 mm2 0.1 m
    starter-fuse
    70 mm2 1 m
    combiner
    70 mm2 1 m
    main feed
run starter-home
    starter-battery -
    70 mm2 1 m
    engine
run alternator
    alt +
    70 mm2 1 m
    starter-fuse out
run alternator-home
    alt -
    70 mm2 1 m
    engine
run engine-home
    engine
    70 mm2 1 m
    minus
run bonding
    plate
    6 mm2 green 2 m
    minus
case night
    on lamp
    on chart 8 A
    on far
case sun
    on ctl
    on lamp
case shore
    on shore
case motoring
    on alt
    on inv
    on top
";

/// What the boat's things say where a row does not say it otherwise.
const USUAL: &[(Kind, &str)] = &[
    (Kind::Boat, "system 12 V"),
    (Kind::Place, "ambient 35 C openings 60 cm2"),
    (Kind::Cable, "insulation 90 C"),
    (Kind::Battery, "agm 100 Ah"),
    (Kind::Solar, "100 W"),
    (Kind::Controller, "20 A"),
    (Kind::Alternator, "60 A"),
    (Kind::Charger, "20 A"),
    (Kind::Converter, "input 12 V output 24 V 5 A"),
    (Kind::Inverter, "300 W"),
    (Kind::Isolator, "200 A"),
    (Kind::Switch, "20 A"),
    (Kind::Selector, "200 A"),
    (Kind::Relay, "100 A closes 13.3 V opens 12.8 V"),
    (Kind::Fuse, "bolt-down 80 A breaks 10 kA"),
    (Kind::Breaker, "35 A"),
    (Kind::Shunt, "500 A"),
    (Kind::Busbar, "negative posts 20"),
    (Kind::Panel, "100 A returns minus"),
    (Kind::Joint, "20 A"),
    (Kind::Diode, "60 A"),
    (Kind::Load, "pump 5 A"),
    (Kind::Socket, "10 A"),
    (Kind::Block, ""),
    (Kind::Bond, ""),
    (Kind::Multicore, "3 cores 1.5 mm2 8 m"),
    (Kind::Run, ""),
];

/// A fact said in two ways, with changes to the boat's text that hold for both.
pub(crate) struct Row {
    pub(crate) kind: Kind,
    pub(crate) key: Key,
    pub(crate) one: String,
    pub(crate) other: String,
    pub(crate) edits: Vec<(String, String)>,
}

impl Row {
    pub(crate) fn plan(&self, facts: &str) -> Plan {
        Plan::of_text(&self.text(facts))
    }

    fn text(&self, facts: &str) -> String {
        let mut text = BOAT.to_owned();
        for (from, to) in &self.edits {
            let edited = text.replacen(from, to, 1);
            assert_ne!(edited, text, "{}: no {from}", self.name());
            text = edited;
        }
        text = text.replace(&slot(self.kind), facts);
        for &(kind, facts) in USUAL {
            text = text.replace(&slot(kind), facts);
        }
        text
    }

    pub(crate) fn name(&self) -> String {
        format!("{} {:?}", self.kind.word(), self.key)
    }

    pub(crate) fn edit(mut self, from: &str, to: &str) -> Self {
        self.edits.push((from.to_owned(), to.to_owned()));
        self
    }

    /// With one more thing in the boat.
    pub(crate) fn with(self, more: &str) -> Self {
        self.edit("run feed\n", &format!("{more}\nrun feed\n"))
    }
}

pub(crate) fn slot(kind: Kind) -> String {
    format!("@{}", kind.word())
}

pub(crate) fn usual(kind: Kind) -> &'static str {
    USUAL
        .iter()
        .find(|(of, _)| *of == kind)
        .map_or("", |(_, facts)| facts)
}

/// The usual facts, and others.
pub(crate) fn instead(kind: Kind, key: Key, other: &str) -> Row {
    either(kind, key, usual(kind), other)
}

/// The usual facts without and with a fact more.
pub(crate) fn more(kind: Kind, key: Key, fact: &str) -> Row {
    instead(kind, key, &format!("{} {fact}", usual(kind)))
}

pub(crate) fn either(kind: Kind, key: Key, one: &str, other: &str) -> Row {
    Row {
        kind,
        key,
        one: one.to_owned(),
        other: other.to_owned(),
        edits: Vec::new(),
    }
}
