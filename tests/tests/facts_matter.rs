//! Every fact of the table matters: said otherwise, it changes a finding, a computed value or the
//! summary. What nothing reads yet is listed by name, and the list stays honest both ways.
//!
//! One boat has one thing of each kind; a row says a thing's facts in two ways. What is compared
//! are outcomes alone. That a fact reaches the wiring graph, or is told again on hover, is no use of it.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use ampwright_notation::{
    Key, Kind,
    table::{FactRow, KindRow, kinds},
};
use ampwright_plan::{
    Plan,
    study::{cables::contact_design, wired::Wired},
    wiring::node_name,
};

/// The boat. `@kind` stands for the facts of its thing of that kind.
const BOAT: &str = "
boat test-boat @boat
place hold @place
place hot engine-space
cable make @cable
battery house @battery
battery starter-battery flooded 60 Ah
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
fuse starter-fuse bolt-down 80 A
fuse board-fuse bolt-down 80 A
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
    board
    16 mm2 1 m
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
    (Kind::Place, "ambient 35 C"),
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
    (Kind::Fuse, "bolt-down 80 A"),
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

/// Facts that nothing reads yet, and what will.
const NOT_READ_YET: &[(Kind, Key, &str)] = &[
    (Kind::Boat, Key::Hull, "faults to a metal hull"),
    (Kind::Place, Key::PetrolVapour, "ignition-protection"),
    (Kind::Place, Key::Openings, "unventilated-battery"),
    (Kind::Place, Key::OpenAir, "unventilated-battery"),
    (Kind::Battery, Key::ShortCircuit, "faults"),
    (Kind::Battery, Key::Usable, "the energy of a day"),
    (Kind::Battery, Key::ChargeLimit, "charge-too-fast"),
    (Kind::Solar, Key::Daily, "the energy of a day"),
    (Kind::Controller, Key::MaxInput, "controller-overvoltage"),
    (Kind::Alternator, Key::Daily, "the energy of a day"),
    (Kind::Alternator, Key::FieldCut, "alternator-cut-off"),
    (Kind::Charger, Key::Daily, "the energy of a day"),
    (Kind::Inverter, Key::Peak, "fuse-below-load with inrush"),
    (Kind::Inverter, Key::Daily, "the energy of a day"),
    (Kind::Relay, Key::Opens, "relays by their voltage"),
    (Kind::Fuse, Key::Pattern, "breaking-capacity"),
    (Kind::Fuse, Key::Breaks, "breaking-capacity"),
    (Kind::Fuse, Key::RatedVolts, "breaking-capacity"),
    (Kind::Breaker, Key::Action, "fault-not-cleared"),
    (Kind::Breaker, Key::Breaks, "breaking-capacity"),
    (Kind::Breaker, Key::RatedVolts, "breaking-capacity"),
    (Kind::Panel, Key::Switched, "alternator-cut-off"),
    (Kind::Load, Key::Minimum, "low-voltage"),
    (Kind::Load, Key::Starting, "fuse-below-load with inrush"),
    (Kind::Load, Key::IgnitionProtected, "ignition-protection"),
];

/// A fact said in two ways, with changes to the boat's text that hold for both.
struct Row {
    kind: Kind,
    key: Key,
    one: String,
    other: String,
    edits: Vec<(String, String)>,
}

impl Row {
    fn plan(&self, facts: &str) -> Plan {
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

    fn name(&self) -> String {
        format!("{} {:?}", self.kind.word(), self.key)
    }

    fn edit(mut self, from: &str, to: &str) -> Self {
        self.edits.push((from.to_owned(), to.to_owned()));
        self
    }

    /// With one more thing in the boat.
    fn with(self, more: &str) -> Self {
        self.edit("run feed\n", &format!("{more}\nrun feed\n"))
    }
}

fn slot(kind: Kind) -> String {
    format!("@{}", kind.word())
}

fn usual(kind: Kind) -> &'static str {
    USUAL
        .iter()
        .find(|(of, _)| *of == kind)
        .map_or("", |(_, facts)| facts)
}

/// The usual facts, and others.
fn instead(kind: Kind, key: Key, other: &str) -> Row {
    either(kind, key, usual(kind), other)
}

/// The usual facts without and with a fact more.
fn more(kind: Kind, key: Key, fact: &str) -> Row {
    instead(kind, key, &format!("{} {fact}", usual(kind)))
}

fn either(kind: Kind, key: Key, one: &str, other: &str) -> Row {
    Row {
        kind,
        key,
        one: one.to_owned(),
        other: other.to_owned(),
        edits: Vec::new(),
    }
}

/// The voltage that a charging source holds, which counts where a battery takes less than it could give.
fn held(kind: Kind) -> Row {
    more(kind, Key::Volts, "13 V")
        .edit("@battery", "agm 100 Ah resistance 500 mohm")
        .edit("flooded 60 Ah", "flooded 60 Ah resistance 500 mohm")
}

/// What every part, place and cable has: it stands somewhere, is like another, is spare.
fn shared(kind: &'static KindRow, fact: &'static FactRow) -> Option<Row> {
    let (word, facts) = (kind.word, usual(kind.kind));
    let way = if kind.kind == Kind::Panel {
        "\n    way 1 spare"
    } else {
        ""
    };
    let extra = |facts: &str| format!("{word} extra {facts}{way}");
    Some(match (kind.kind, fact.key) {
        (Kind::Place, Key::Like) => {
            instead(Kind::Place, Key::Like, "like extra").with(&extra("ambient 70 C"))
        }
        (Kind::Cable, Key::Like) => {
            instead(Kind::Cable, Key::Like, "like extra").with(&extra("insulation 60 C"))
        }
        (of, Key::Like) => {
            instead(of, Key::Like, "like extra").with(&extra(&format!("{facts} in hot")))
        }
        (of, Key::In) => more(of, Key::In, "in hot"),
        (of, Key::Spare) => {
            let bare = extra(&format!("{facts} {}", slot(of)));
            either(of, Key::Spare, "", "spare")
                .edit(&slot(of), facts)
                .with(&bare)
        }
        _ => return None,
    })
}

fn boat_rows() -> Vec<Row> {
    let boat = |key, fact| more(Kind::Boat, key, fact);
    let place = |key, fact| more(Kind::Place, key, fact);
    vec![
        instead(Kind::Boat, Key::System, "system 24 V"),
        boat(Key::Rules, "rules us-cfr-183"),
        boat(Key::Ambient, "ambient 45 C"),
        boat(Key::CableName, "cable make"),
        boat(Key::Drop, "drop 1 %"),
        boat(Key::CriticalDrop, "critical-drop 0.1 %").edit("@load", "pump 5 A critical"),
        boat(Key::Hull, "hull steel"),
        either(
            Kind::Boat,
            Key::Fuel,
            "system 12 V rules us-cfr-183",
            "system 12 V rules us-cfr-183 fuel diesel",
        ),
        instead(Kind::Place, Key::Ambient, "ambient 70 C"),
        either(Kind::Place, Key::EngineSpace, "", "engine-space"),
        place(Key::PetrolVapour, "petrol-vapour"),
        place(Key::Openings, "openings 60 cm2"),
        place(Key::OpenAir, "open-air"),
        either(Kind::Cable, Key::Copper, "tinned", "copper"),
        either(Kind::Cable, Key::Tinned, "copper", "tinned"),
        instead(Kind::Cable, Key::Insulation, "insulation 60 C"),
        either(Kind::Cable, Key::Flexible, "stranded", "flexible"),
        either(Kind::Cable, Key::Stranded, "flexible", "stranded"),
        more(Kind::Cable, Key::Carries, "carries 2.5 mm2 22 A"),
        more(Kind::Run, Key::BypassesIsolator, "bypasses-isolator")
            .edit(
                "    board way 1\n    2.5 mm2",
                "    house +\n    2.5 mm2 0.1 m\n    own-fuse\n    2.5 mm2",
            )
            .with("fuse own-fuse blade 10 A"),
    ]
}

fn source_rows() -> Vec<Row> {
    let battery = |key, fact| more(Kind::Battery, key, fact);
    let solar = |key, fact| more(Kind::Solar, key, fact);
    let shore = |one, other| {
        either(Kind::Charger, Key::Outputs, one, other).edit("    shore +", "    shore out 2")
    };
    vec![
        instead(Kind::Battery, Key::Chemistry, "flooded 100 Ah"),
        instead(Kind::Battery, Key::AmpHours, "agm 200 Ah"),
        battery(Key::Volts, "6 V"),
        battery(Key::Resistance, "resistance 20 mohm"),
        battery(Key::ShortCircuit, "short-circuit 2 kA"),
        battery(Key::Usable, "usable 30 %"),
        battery(Key::ChargeLimit, "charge-limit 5 A"),
        instead(Kind::Solar, Key::Watts, "200 W"),
        solar(Key::Voc, "voc 40 V"),
        solar(Key::Isc, "isc 9 A"),
        solar(Key::Vmp, "vmp 34 V"),
        solar(Key::Imp, "imp 8 A"),
        solar(Key::Series, "series 2"),
        solar(Key::Parallel, "parallel 2"),
        solar(Key::Daily, "4 h/day"),
        instead(Kind::Controller, Key::Technology, "pwm 20 A"),
        instead(Kind::Controller, Key::Amps, "4 A"),
        more(Kind::Controller, Key::MaxInput, "max-input 15 V"),
        held(Kind::Controller),
        more(Kind::Controller, Key::Efficiency, "efficiency 60 %"),
        instead(Kind::Alternator, Key::Amps, "40 A"),
        held(Kind::Alternator),
        more(Kind::Alternator, Key::Daily, "1 h/day"),
        more(Kind::Alternator, Key::Earthed, "earthed engine").edit(
            "run alternator-home\n    alt -\n    70 mm2 1 m\n    engine\n",
            "",
        ),
        more(Kind::Alternator, Key::FieldCut, "field-cut"),
        instead(Kind::Charger, Key::Amps, "10 A"),
        held(Kind::Charger),
        more(Kind::Charger, Key::Daily, "8 h/day"),
        shore("20 A", "20 A outputs 2"),
        Row {
            key: Key::Out,
            ..shore("20 A outputs 2", "20 A outputs 2 out 2 4 A")
        },
        instead(Kind::Converter, Key::Input, "input 24 V output 24 V 5 A"),
        instead(Kind::Converter, Key::Output, "input 12 V output 48 V 5 A"),
        instead(Kind::Converter, Key::Amps, "input 12 V output 24 V 0.5 A"),
        more(Kind::Converter, Key::Efficiency, "efficiency 60 %"),
        more(Kind::Converter, Key::Charges, "charges"),
        more(Kind::Converter, Key::Isolated, "isolated")
            .edit("    back to dc output -", "    back to minus"),
        instead(Kind::Inverter, Key::Watts, "500 W"),
        more(Kind::Inverter, Key::Peak, "peak 600 W"),
        more(Kind::Inverter, Key::Efficiency, "efficiency 60 %"),
        more(Kind::Inverter, Key::Daily, "1 h/day"),
        more(Kind::Inverter, Key::Charges, "charges 40 A"),
    ]
}

fn switching_rows() -> Vec<Row> {
    let return_by = |name: &str, stop: &str| {
        let (from, to) = (
            format!("    {stop}\n    2.5 mm2 6 m make\n    minus"),
            format!(
                "    {stop}\n    2.5 mm2 3 m make\n    {name} pole 2\n    2.5 mm2 3 m make\n    minus"
            ),
        );
        (from, to)
    };
    let (from, to) = return_by("lamp-switch", "lamp");
    vec![
        instead(Kind::Isolator, Key::Amps, "5 A"),
        more(Kind::Isolator, Key::TwoPole, "two-pole").edit("    main\n", "    main pole 1\n"),
        more(Kind::Isolator, Key::NormallyOpen, "normally-open"),
        instead(Kind::Switch, Key::Amps, "2 A"),
        more(Kind::Switch, Key::TwoPole, "two-pole")
            .edit("    lamp-switch\n", "    lamp-switch pole 1\n")
            .edit(&from, &to),
        more(Kind::Switch, Key::NormallyOpen, "normally-open"),
        more(Kind::Switch, Key::Momentary, "momentary"),
        more(Kind::Switch, Key::Automatic, "automatic"),
        instead(Kind::Selector, Key::Amps, "5 A"),
        more(Kind::Selector, Key::Positions, "positions off 1 2"),
        instead(Kind::Relay, Key::Amps, "5 A closes 13.3 V opens 12.8 V"),
        more(Kind::Relay, Key::Coil, "coil 0.2 A"),
        either(Kind::Relay, Key::Closes, "100 A", "100 A closes 13.3 V"),
        instead(Kind::Relay, Key::Opens, "100 A closes 13.3 V opens 11 V"),
        either(
            Kind::Relay,
            Key::NormallyClosed,
            "100 A",
            "100 A normally-closed",
        ),
        instead(Kind::Fuse, Key::Pattern, "blade 80 A"),
        instead(Kind::Fuse, Key::Amps, "bolt-down 30 A"),
        more(Kind::Fuse, Key::Breaks, "breaks 100 A"),
        more(Kind::Fuse, Key::RatedVolts, "volts 6 V"),
        instead(Kind::Breaker, Key::Amps, "10 A"),
        more(Kind::Breaker, Key::Action, "magnetic"),
        more(Kind::Breaker, Key::Breaks, "breaks 100 A"),
        more(Kind::Breaker, Key::RatedVolts, "volts 6 V"),
        more(Kind::Breaker, Key::TwoPole, "two-pole")
            .edit("    inverter-breaker\n", "    inverter-breaker pole 1\n"),
        instead(Kind::Shunt, Key::Amps, "5 A"),
        more(Kind::Shunt, Key::Volts, "500 mV"),
    ]
}

/// A bar behind the isolator that the battery feeds by another way too.
const BACK_FED_BAR: &str = "\
busbar rail @busbar
fuse rail-fuse bolt-down 40 A
run rail
    house +
    16 mm2 0.1 m
    rail-fuse
    16 mm2 1 m
    rail
    16 mm2 1 m
    main out";

fn distribution_rows() -> Vec<Row> {
    vec![
        either(
            Kind::Busbar,
            Key::Polarity,
            "negative posts 4",
            "positive posts 4",
        )
        .edit("@busbar", usual(Kind::Busbar))
        .with(BACK_FED_BAR),
        instead(Kind::Busbar, Key::Posts, "negative posts 3"),
        either(
            Kind::Busbar,
            Key::Studs,
            "negative posts 3",
            "negative posts 3 studs 9",
        ),
        more(Kind::Busbar, Key::Takes, "takes 1 mm2"),
        more(Kind::Busbar, Key::Amps, "5 A"),
        instead(Kind::Panel, Key::Amps, "5 A returns minus"),
        more(Kind::Panel, Key::Switched, "switched"),
        more(Kind::Panel, Key::Main, "main 10 A"),
        instead(Kind::Panel, Key::Returns, "100 A returns minus-2")
            .edit("    chart\n    back to minus", "    chart\n    back"),
        instead(Kind::Joint, Key::Amps, "0.5 A"),
        more(Kind::Joint, Key::Poles, "poles 2").edit("    plug\n", "    plug pole 1\n"),
        instead(Kind::Diode, Key::Amps, "5 A"),
        more(Kind::Diode, Key::Drop, "drop 0.2 V"),
        more(Kind::Diode, Key::Outputs, "outputs 2").edit("splitter out 1", "splitter out 2"),
    ]
}

fn load_rows() -> Vec<Row> {
    let load = |key, fact| more(Kind::Load, key, fact);
    vec![
        instead(Kind::Load, Key::Class, "navigation 5 A"),
        instead(Kind::Load, Key::Amps, "pump 8 A"),
        instead(Kind::Load, Key::Watts, "pump 90 W"),
        instead(Kind::Load, Key::Ohms, "pump 2 ohm"),
        load(Key::Volts, "24 V"),
        load(Key::Daily, "1 h/day"),
        load(Key::Percent, "30 %"),
        load(Key::Critical, "critical"),
        load(Key::Minimum, "minimum 12 V"),
        load(Key::Starting, "starting 60 A 180 s"),
        load(Key::ShortTime, "short-time 60 s"),
        load(Key::Spread, "spread 1 m"),
        load(Key::Earthed, "earthed engine")
            .edit("    lamp\n    2.5 mm2 6 m make\n    minus", "    lamp"),
        load(Key::IgnitionProtected, "ignition-protected"),
        instead(Kind::Socket, Key::Amps, "5 A"),
        instead(Kind::Multicore, Key::Cores, "1 cores 1.5 mm2 8 m"),
        instead(Kind::Multicore, Key::Section, "3 cores 2.5 mm2 8 m"),
        instead(Kind::Multicore, Key::Length, "3 cores 1.5 mm2 9 m"),
        more(Kind::Multicore, Key::CableName, "make"),
    ]
}

fn rows() -> Vec<Row> {
    let mut rows: Vec<Row> = [
        boat_rows(),
        source_rows(),
        switching_rows(),
        distribution_rows(),
        load_rows(),
    ]
    .into_iter()
    .flatten()
    .collect();
    for kind in kinds() {
        rows.extend(kind.facts().filter_map(|fact| shared(kind, fact)));
    }
    rows
}

/// Everything that comes of a plan, in lines.
fn outcomes(plan: &Plan) -> BTreeSet<String> {
    let mut lines: BTreeSet<String> = plan.findings.iter().map(finding).collect();
    lines.extend((0..plan.wiring.conductors.len()).map(|at| conductor(plan, at)));
    lines.extend(
        plan.wiring
            .contacts
            .iter()
            .enumerate()
            .map(|(at, contact)| {
                let design = contact_design(&plan.study.rule, contact.edge);
                format!("contact {at} {design:?}")
            }),
    );
    lines.extend((0..plan.study.rule.moments.len()).map(|at| moment(plan, at)));
    lines.extend((0..plan.wiring.draws.len()).map(|draw| alone(plan, draw)));
    for bank in &plan.study.base.banks.list {
        let names: Vec<_> = bank
            .batteries
            .iter()
            .map(|&part| &plan.model.get(part).name)
            .collect();
        lines.insert(format!("bank {names:?} {} V {:?}", bank.volts, bank.links));
    }
    let mut summary = ampwright_assist::summary::summary(plan);
    summary.defaults = (0, 0);
    lines.extend(summary.doc().plain().lines().map(str::to_owned));
    lines
}

fn finding(finding: &ampwright_plan::Finding) -> String {
    let related = finding
        .related
        .iter()
        .map(|related| related.message.as_str());
    format!(
        "{} {}: {} {:?}",
        finding.severity.word(),
        finding.code.word(),
        finding.message,
        related.collect::<Vec<_>>()
    )
}

fn conductor(plan: &Plan, at: usize) -> String {
    let (cable, protection) = (&plan.study.cables[at], &plan.study.protection);
    format!(
        "conductor {at} design {:?} ampacity {:?} {:?} ambient {} sustained {:?} return {:?} post {:?} ohms {:?} {:?}",
        cable.design,
        cable.ampacity.as_ref().map(|ampacity| ampacity.value),
        cable.published.as_ref().map(|ampacity| ampacity.value),
        cable.ambient,
        protection.sustained[at].map(|sustained| (sustained.amps, sustained.ring_amps)),
        protection.returns[at],
        protection.from_post[at],
        plan.study.base.rule_ohms[at],
        plan.conductor_ohms(at as u32),
    )
}

fn moment(plan: &Plan, at: usize) -> String {
    let solved = &plan.study.rule.moments[at];
    let drops = solved.moment.draws.iter().map(|&(draw, amps)| {
        let ends = &plan.wiring.draws[draw as usize];
        format!(
            "{draw} {amps} A {} V",
            solved.drop_at(ends.plus, ends.minus)
        )
    });
    let mut said = format!(
        "moment {at} {:?} {:?} {:?}",
        solved.moment.charging,
        solved.powered,
        drops.collect::<Vec<_>>()
    );
    if let Some(wired) = plan.as_wired(at) {
        let _ = write!(said, "{}", as_wired(plan, &wired));
    }
    said
}

fn alone(plan: &Plan, draw: usize) -> String {
    let wired = plan.as_wired_alone(draw as u32);
    let wired = wired.map_or_else(String::new, |wired| as_wired(plan, &wired));
    let drop = plan.study.rule.alone_drop[draw];
    let limit = plan.circuit().drop_limit(draw as u32);
    format!("alone {draw} {drop} V of {limit:?} {wired}")
}

fn as_wired(plan: &Plan, wired: &Wired) -> String {
    let nodes = plan.wiring.graph.node_indices().zip(&wired.volts);
    let volts = nodes.map(|(node, volts)| format!("{} {volts:.6} V", node_name(plan, node)));
    format!("{:?}", volts.collect::<Vec<_>>())
}

/// What makes a row say nothing: its text is not what the table says one may write.
fn slips(plan: &Plan) -> Vec<String> {
    use ampwright_plan::Code;
    let slip = |code| {
        matches!(
            code,
            Code::Syntax
                | Code::UnknownKind
                | Code::UnknownFact
                | Code::WrongUnit
                | Code::MissingFact
                | Code::ImpossibleValue
                | Code::DuplicateName
                | Code::UnknownName
        )
    };
    plan.findings
        .iter()
        .filter(|found| slip(found.code))
        .map(finding)
        .collect()
}

#[test]
fn every_fact_has_one_row() {
    let rows = rows();
    for kind in kinds() {
        for fact in kind.facts() {
            let of = rows
                .iter()
                .filter(|row| (row.kind, row.key) == (kind.kind, fact.key));
            assert_eq!(of.count(), 1, "rows of {} {:?}", kind.word, fact.key);
        }
    }
    let has = |row: &Row| row.kind.fact(row.key).is_some();
    assert!(rows.iter().all(has), "a row of no fact");
}

#[test]
fn every_fact_changes_an_outcome_or_is_listed() {
    let mut silent = BTreeSet::new();
    for row in rows() {
        let (one, other) = (row.plan(&row.one), row.plan(&row.other));
        for plan in [&one, &other] {
            assert!(slips(plan).is_empty(), "{}: {:?}", row.name(), slips(plan));
        }
        if outcomes(&one) == outcomes(&other) {
            silent.insert(row.name());
        }
    }
    let listed = NOT_READ_YET
        .iter()
        .map(|(kind, key, _)| format!("{} {key:?}", kind.word()));
    assert_eq!(
        silent,
        listed.collect(),
        "left: what changes nothing; right: what is listed"
    );
}

/// Only in a boat without faults does a fact show that it makes one.
#[test]
fn the_boat_has_no_fault_of_its_own() {
    let row = instead(Kind::Boat, Key::System, usual(Kind::Boat));
    let plan = row.plan(&row.one);
    let found: Vec<String> = plan.findings.iter().map(finding).collect();
    assert!(found.is_empty(), "{found:#?}");
}
