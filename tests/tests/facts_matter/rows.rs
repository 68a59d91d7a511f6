//! The rows: each fact of each kind in two ways.

use ampwright_notation::{
    Key, Kind,
    table::{FactRow, KindRow, kinds},
};

use crate::boat::{Row, either, instead, more, slot, usual};

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
        (of, Key::IgnitionProtected) => {
            let within = format!("{facts} in hold");
            let protected = format!("{within} ignition-protected");
            either(of, fact.key, &within, &protected).edit("@place", "petrol-vapour")
        }
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
        instead(Kind::Boat, Key::System, "system 24 V")
            .edit("@battery", "agm 100 Ah 12 V")
            .edit("flooded 60 Ah", "flooded 60 Ah 12 V"),
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
        instead(Kind::Place, Key::Ambient, "ambient 70 C openings 60 cm2"),
        either(Kind::Place, Key::EngineSpace, "", "engine-space"),
        place(Key::PetrolVapour, "petrol-vapour").edit("@load", "pump 5 A in hold"),
        instead(Kind::Place, Key::Openings, "ambient 35 C openings 5 cm2"),
        either(
            Kind::Place,
            Key::OpenAir,
            "openings 5 cm2",
            "openings 5 cm2 open-air",
        ),
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
        held(Kind::Controller).edit("@solar", "300 W parallel 2"),
        more(Kind::Controller, Key::Efficiency, "efficiency 60 %"),
        instead(Kind::Alternator, Key::Amps, "40 A"),
        held(Kind::Alternator),
        more(Kind::Alternator, Key::Daily, "1 h/day"),
        more(Kind::Alternator, Key::Earthed, "earthed engine").edit(
            "run alternator-home\n    alt -\n    70 mm2 1 m\n    engine\n",
            "",
        ),
        more(Kind::Alternator, Key::FieldCut, "field-cut").edit(
            "    alt +\n    70 mm2 1 m\n    starter-fuse out",
            "    alt +\n    70 mm2 1 m\n    main out",
        ),
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
        instead(Kind::Fuse, Key::Pattern, "blade 80 A breaks 10 kA"),
        instead(Kind::Fuse, Key::Amps, "bolt-down 30 A breaks 10 kA"),
        instead(Kind::Fuse, Key::Breaks, "bolt-down 80 A breaks 100 A"),
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
        instead(Kind::Socket, Key::Amps, "5 A"),
        instead(Kind::Multicore, Key::Cores, "1 cores 1.5 mm2 8 m"),
        instead(Kind::Multicore, Key::Section, "3 cores 2.5 mm2 8 m"),
        instead(Kind::Multicore, Key::Length, "3 cores 1.5 mm2 9 m"),
        more(Kind::Multicore, Key::CableName, "make"),
    ]
}

/// A row for each fact of each kind.
pub(crate) fn rows() -> Vec<Row> {
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
