//! Small boats made for properties, and what a writer may add to them.
//!
//! Every conductor carries a mark, so that it is known again after the plan has grown.

use std::fmt::Write;

use proptest::{prelude::*, sample::select};

/// A small boat: a battery, a main run that may lack its fuse or its isolator, a panel, circuits.
#[derive(Clone, Debug)]
pub struct Boat {
    /// The main run's conductors out: size in mm2, length in m.
    pub main: [(f64, f64); 3],
    /// Its two stops between them.
    pub stops: [Stop; 2],
    /// The main return.
    pub home: (f64, f64),
    /// The circuits.
    pub circuits: Vec<Circuit>,
}

/// A stop of the main run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stop {
    /// A fuse of so many A.
    Fuse(u32),
    /// An isolator.
    Isolator,
    /// Two conductors joined end to end.
    Joint,
}

/// A circuit of the panel.
#[derive(Clone, Debug)]
pub struct Circuit {
    /// What protects its way, A; `None` for a way that is only a switch.
    pub fuse: Option<u32>,
    /// What its load takes, A.
    pub amps: f64,
    /// Size in mm2 and length in m, one way.
    pub cable: (f64, f64),
    /// A twin, else two single conductors.
    pub twin: bool,
    /// The load's class.
    pub class: &'static str,
}

/// What a writer adds.
#[derive(Clone, Debug)]
pub enum Growth {
    /// Nothing.
    None,
    /// A first case, with these of the circuits on.
    Case(Vec<bool>),
    /// A second battery beside the first, linked to it with cables of this length.
    Parallel(f64),
    /// A second battery beside the first that nothing joins to it yet.
    Unlinked,
    /// A bank of its own behind a fuse of so many A, joined to the first by an emergency link that
    /// is open at rest.
    Emergency(u32),
    /// The same, but its isolator is closed at rest.
    Beside(u32),
    /// A bar in the middle of this conductor of the main run.
    Bar(usize),
}

const SIZES: [f64; 8] = [1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 35.0];

fn cable(metres: impl Strategy<Value = u32>) -> impl Strategy<Value = (f64, f64)> {
    let size = prop_oneof![1 => select(&SIZES[..]), 1 => select(&SIZES[4..])];
    // Centimetres keep the text short.
    (size, metres.prop_map(|cm| f64::from(cm) / 100.0))
}

fn stop() -> impl Strategy<Value = Stop> {
    prop_oneof![
        3 => select(vec![10, 30, 50, 80, 150, 300]).prop_map(Stop::Fuse),
        2 => Just(Stop::Isolator),
        1 => Just(Stop::Joint),
    ]
}

fn circuit() -> impl Strategy<Value = Circuit> {
    (
        prop::option::weighted(0.8, select(vec![3, 5, 10, 25, 60])),
        prop_oneof![1u32..40, 1u32..400].prop_map(|tenths| f64::from(tenths) / 10.0),
        cable(50u32..1200),
        any::<bool>(),
        select(vec![
            "lighting",
            "pump",
            "navigation",
            "electronics",
            "bilge-pump",
        ]),
    )
        .prop_map(|(fuse, amps, cable, twin, class)| Circuit {
            fuse,
            amps,
            cable,
            twin,
            class,
        })
}

/// Any small boat.
pub fn boat() -> impl Strategy<Value = Boat> {
    (
        [
            cable(prop_oneof![3 => 5u32..18, 1 => 5u32..200]).boxed(),
            cable(10u32..300).boxed(),
            cable(50u32..900).boxed(),
        ],
        [stop(), stop()],
        cable(100u32..900),
        prop::collection::vec(circuit(), 1..4),
    )
        .prop_map(|(main, stops, home, circuits)| Boat {
            main,
            stops,
            home,
            circuits,
        })
}

/// Anything a writer may add to a boat.
pub fn growth() -> impl Strategy<Value = Growth> {
    prop_oneof![
        prop::collection::vec(any::<bool>(), 3).prop_map(Growth::Case),
        (20u32..150).prop_map(|cm| Growth::Parallel(f64::from(cm) / 100.0)),
        Just(Growth::Unlinked),
        select(vec![50, 100, 200]).prop_map(Growth::Emergency),
        select(vec![50, 100, 200]).prop_map(Growth::Beside),
        (0usize..3).prop_map(Growth::Bar),
    ]
}

impl Boat {
    /// The things of the plan, each a text of its own, the boat first.
    pub fn things(&self, growth: &Growth, system: u32) -> Vec<String> {
        let battery = format!("battery house agm 100 Ah\n    {system} V\n");
        let mut things = vec![
            format!("boat small\n    system {system} V\n"),
            battery.clone(),
            format!(
                "busbar negative negative 200 A\n    posts {}\n",
                self.circuits.len() + 4
            ),
            self.panel(),
        ];
        things.extend(
            self.stops
                .iter()
                .enumerate()
                .map(|(at, stop)| stop.thing(at)),
        );
        things.push(self.main_run(growth));
        let (size, metres) = self.home;
        things.push(format!(
            "run main-return\n    negative\n    {size} mm2 black {metres} m mark R\n    house -\n"
        ));
        for (at, circuit) in self.circuits.iter().enumerate() {
            things.extend(circuit.things(at + 1));
        }
        things.extend(growth.things(&battery, self.circuits.len()));
        things
    }

    /// The plan in one text.
    pub fn text(&self, growth: &Growth) -> String {
        self.things(growth, 12).concat()
    }

    fn panel(&self) -> String {
        let mut text = "panel panel 200 A\n    returns negative\n".to_owned();
        for (at, circuit) in self.circuits.iter().enumerate() {
            let way = at + 1;
            // Writing to a string cannot fail.
            let _ = match circuit.fuse {
                Some(amps) => writeln!(text, "    way {way} fuse {amps} A"),
                None => writeln!(text, "    way {way} switch 50 A"),
            };
        }
        text
    }

    fn main_run(&self, growth: &Growth) -> String {
        let mut text = "run main\n    house +\n".to_owned();
        let last = ["stop-0", "stop-1", "panel"];
        for (at, ((size, metres), stop)) in self.main.iter().zip(last).enumerate() {
            let _ = match growth {
                Growth::Bar(bar) if *bar == at => writeln!(
                    text,
                    "    {size} mm2 red {half} m mark M{at}/a\n    bar\n    {size} mm2 red {half} m mark M{at}/b\n    {stop}",
                    half = metres / 2.0
                ),
                _ => writeln!(text, "    {size} mm2 red {metres} m mark M{at}\n    {stop}"),
            };
        }
        text
    }
}

impl Stop {
    fn thing(self, at: usize) -> String {
        match self {
            Self::Fuse(amps) => format!("fuse stop-{at} bolt-down {amps} A\n"),
            Self::Isolator => format!("isolator stop-{at} 300 A\n"),
            Self::Joint => format!("joint stop-{at} 300 A\n"),
        }
    }
}

impl Circuit {
    fn things(&self, way: usize) -> [String; 2] {
        let Self {
            amps,
            class,
            cable: (size, metres),
            twin,
            ..
        } = self;
        let load = format!("load load-{way} {class} {amps} A\n");
        let (out, back) = if *twin {
            (
                format!("twin {size} mm2 {metres} m mark C{way}"),
                "back".to_owned(),
            )
        } else {
            (
                format!("{size} mm2 red {metres} m mark C{way}"),
                format!("back black mark D{way}"),
            )
        };
        let run = format!(
            "run circuit-{way}\n    panel way {way}\n    {out}\n    load-{way}\n    {back}\n"
        );
        [load, run]
    }
}

impl Growth {
    fn things(&self, battery: &str, circuits: usize) -> Vec<String> {
        let second = battery.replace("house", "second");
        match self {
            Self::None => Vec::new(),
            Self::Case(on) => {
                let lines = (1..=circuits)
                    .zip(on)
                    .filter(|(_, on)| **on)
                    .map(|(way, _)| format!("    on load-{way}\n"));
                vec![format!("case evening\n{}", lines.collect::<String>())]
            }
            Self::Parallel(metres) => {
                let link = |sign: char, colour| {
                    format!(
                        "run link-{colour}\n    house {sign}\n    35 mm2 {colour} {metres} m mark L{sign}\n    second {sign}\n"
                    )
                };
                vec![second, link('+', "red"), link('-', "black")]
            }
            Self::Unlinked => vec![second],
            Self::Emergency(amps) | Self::Beside(amps) => vec![
                second,
                format!("fuse link-fuse bolt-down {amps} A\n"),
                format!("isolator emergency 300 A{}\n", if matches!(self, Self::Beside(_)) { "" } else { " normally-open" }),
                "run emergency\n    second +\n    35 mm2 red 0.15 m mark E0\n    link-fuse\n    35 mm2 red 0.5 m mark E1\n    emergency\n    35 mm2 red 0.5 m mark E2\n    panel\n"
                    .to_owned(),
                "run emergency-return\n    negative\n    35 mm2 black 1 m mark E3\n    second -\n".to_owned(),
            ],
            Self::Bar(_) => vec!["busbar bar positive 300 A\n    posts 4\n".to_owned()],
        }
    }
}
