//! What the tree says, and how one finds one's way in it.

use ampwright_notation::{
    Code, Element, File, Key, Kind, MOST_FLAWS, Thing,
    tree::{
        Arg, Conductor, Form, Position, Side, Sign, Step, Stop, Terminal, UpTo, Verb, WayDevice,
    },
    units::{Dimension, Size},
};

fn thing(text: &str) -> std::sync::Arc<Thing> {
    let file = File::parse(text);
    assert!(file.all_flaws().is_empty(), "{:#?}", file.all_flaws());
    file.chunks[0].thing.clone()
}

fn as_stop(given: &Step) -> &Stop {
    match given {
        Step::Stop(stop) => stop,
        other => panic!("{other:?}"),
    }
}

fn conductor(text: &str) -> Conductor {
    let thing = thing(&format!("run r\n    a +\n    {text}\n    b +\n"));
    match &thing.steps[1] {
        Step::Conductor(conductor) => conductor.clone(),
        other => panic!("{other:?}"),
    }
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-9, "{a} {b}");
}

#[test]
fn quantities_in_their_base_unit() {
    let load = thing(
        "load l \"Lamps\" lighting 6 x 2.4 W 30 min/day starting 500 mA 2 min minimum 11000 mV spread 10 ft\n",
    );
    near(load.amount(Key::Watts).unwrap(), 14.4);
    near(load.amount(Key::Daily).unwrap(), 0.5);
    near(load.amount(Key::Minimum).unwrap(), 11.0);
    near(load.amount(Key::Spread).unwrap(), 3.048);
    let starting: Vec<f64> = load
        .fact(Key::Starting)
        .unwrap()
        .quantities()
        .map(|at| at.value.value)
        .collect();
    near(starting[0], 0.5);
    near(starting[1], 120.0);
    assert_eq!(load.word(Key::Class), Some("lighting"));
    assert_eq!(
        load.quantity(Key::Watts).unwrap().dimension,
        Dimension::Power
    );
}

#[test]
fn counts_names_sizes_and_lists() {
    let bar = thing("busbar b negative posts 10 takes 6 mm2 in engine-bay\n");
    assert_eq!(bar.count(Key::Posts), Some(10));
    assert_eq!(bar.size(Key::Takes), Some(Size::Mm2(6.0)));
    assert_eq!(&*bar.named(Key::In).unwrap().value, "engine-bay");
    let selector = thing("selector s 250 A positions off 1 2 both\n");
    let positions = &selector.fact(Key::Positions).unwrap().args;
    assert!(
        matches!(positions[..], [Arg::Word(off), Arg::Count(_), Arg::Count(two), Arg::Word(_)] if off.value == "off" && two.value == 2)
    );
    let multicore = thing("multicore m 3 cores 14 AWG 12 m in mast in cabin tinned-flex\n");
    assert_eq!(multicore.names(Key::In).count(), 2);
    assert_eq!(multicore.size(Key::Section), Some(Size::Awg(14)));
    assert_eq!(
        &*multicore.named(Key::CableName).unwrap().value,
        "tinned-flex"
    );
    let cable = thing("cable c\n    carries 2.5 mm2 30 A\n    carries 2/0 AWG 300 A\n");
    assert_eq!(cable.facts_of(Key::Carries).count(), 2);
    let charger = thing("charger c 30 A outputs 3 out 2 4 A\n");
    near(charger.amount(Key::Out).unwrap(), 4.0);
    assert_eq!(charger.count(Key::Out), Some(2));
}

#[test]
fn a_list_ends_at_a_quantity() {
    let selector = thing("selector s positions off 1 2 250 A\n");
    assert_eq!(selector.fact(Key::Positions).unwrap().args.len(), 3);
    near(selector.amount(Key::Amps).unwrap(), 250.0);
    let load = thing("load l lighting starting 10 A 4 h/day 2 A spread\n");
    assert_eq!(load.fact(Key::Starting).unwrap().args.len(), 1);
    assert!(load.fact(Key::Spread).unwrap().args.is_empty());
}

#[test]
fn ways() {
    let panel = thing(
        "panel p way 1 fuse 5 A \"Lamps\"\n    way 2 breaker 10 A\n    way 3 switch 10 A\n    way 4 spare\n",
    );
    let devices: Vec<WayDevice> = panel.ways.iter().map(|way| way.device.value).collect();
    assert_eq!(
        devices,
        [
            WayDevice::Fuse,
            WayDevice::Breaker,
            WayDevice::Switch,
            WayDevice::Spare
        ]
    );
    assert_eq!(&*panel.ways[0].title.as_ref().unwrap().value, "Lamps");
    near(panel.ways[1].amps.unwrap().value, 10.0);
    assert!(panel.ways[3].amps.is_none());
}

#[test]
fn sizes() {
    let size = |text: &str| conductor(text).size.unwrap().value;
    assert_eq!(size("2.5 mm2 1 m"), Size::Mm2(2.5));
    assert_eq!(size("2.5mm² 1m"), Size::Mm2(2.5));
    assert_eq!(size("10 AWG 1 m"), Size::Awg(10));
    assert_eq!(size("0 AWG 1 m"), Size::Awg(0));
    assert_eq!(size("1/0 AWG 1 m"), Size::Awg(0));
    assert_eq!(size("2/0 AWG 1 m"), Size::Awg(-1));
    assert_eq!(size("00 AWG 1 m"), Size::Awg(-1));
    assert_eq!(size("0000 AWG 1 m"), Size::Awg(-3));
}

#[test]
fn conductors() {
    let line = conductor(
        "2 parallel 35 mm2 tinned-flex brown/yellow 30 cm in bay in cabin bundled 3 sheathed mark D3.1+2/a_b",
    );
    assert!(matches!(line.form, Form::Parallel(count) if count.value == 2));
    assert_eq!(&*line.cable.unwrap().value, "tinned-flex");
    assert_eq!(line.colour.unwrap().value.to_code(), "BNYE");
    near(line.length.unwrap().value.value, 0.3);
    assert_eq!(line.places.len(), 2);
    assert_eq!(line.bundled.unwrap().value, 3);
    assert!(line.sheathed.is_some());
    assert_eq!(&*line.mark.unwrap().value, "D3.1+2/a_b");
    assert_eq!(conductor("twin 2.5 mm2 5 m").form, Form::Twin);
    let core = conductor("core 3 of mast GNYE mark m3");
    assert!(matches!(core.form, Form::Core { number, .. } if number.value == 3));
    assert_eq!(core.colour.unwrap().value.to_word(), "green/yellow");
}

#[test]
fn stops() {
    let of = |text: &str| {
        as_stop(&thing(&format!("run r\n    {text}\n    1 mm2 1 m\n    b +\n")).steps[0]).clone()
    };
    let terminal = |text: &str| of(text).terminal.map(|at| at.value);
    let is = |side, number, sign| Some(Terminal { side, number, sign });
    assert_eq!(terminal("house-1+"), is(None, None, Some(Sign::Plus)));
    assert_eq!(
        terminal("ctl pv -"),
        is(Some(Side::Pv), None, Some(Sign::Minus))
    );
    assert_eq!(terminal("ctl battery"), is(Some(Side::Battery), None, None));
    assert_eq!(
        terminal("charger out 2"),
        is(Some(Side::Out), Some(2), None)
    );
    assert_eq!(terminal("bar post 3"), is(Some(Side::Post), Some(3), None));
    assert_eq!(terminal("sel 1"), is(None, Some(1), None));
    assert_eq!(terminal("sel common"), is(Some(Side::Common), None, None));
    assert_eq!(terminal("panel way 2"), None);
    assert_eq!(of("panel way 2").way.unwrap().value, 2);
    let pole = of("plug pole 1 feed");
    assert_eq!(pole.pole.unwrap().value, 1);
    assert_eq!(pole.terminal.unwrap().value.side, Some(Side::Feed));
}

#[test]
fn hardly_a_word_is_reserved() {
    thing("battery starter agm 80 Ah\n");
    thing("place engine-space engine-space\n");
    thing("load load pump 1 A\n");
    assert_eq!(&*conductor("1 mm2 1 m in red").places[0].value, "red");
}

#[test]
fn returns_and_allowances_of_a_run() {
    let run = thing(
        "run r in bay bypasses-isolator\n    allow unfused-run \"short\" by \"owner\"\n    p way 1\n    1 mm2 1 m\n    allow excess-drop up to 4 % \"far\"\n    lamp\n    back core 3 of mast black 6 m mark b-1 to plug pole 3\n    1 mm2 1 m\n    bar\n",
    );
    assert!(run.has(Key::BypassesIsolator) && run.has(Key::In));
    let steps: Vec<Option<u32>> = run.allows.iter().map(|allow| allow.step).collect();
    assert_eq!(steps, [None, Some(1)]);
    let up_to = run.allows[1].up_to.unwrap().value;
    assert!(matches!(up_to, UpTo::Measured(figure) if (figure.value - 4.0).abs() < 1e-9));
    let counted = thing("busbar b negative posts 2\n    allow bus-overflow up to 3 \"rings\"\n");
    let up_to = counted.allows[0].up_to.unwrap().value;
    assert_eq!(up_to, UpTo::Count(3));
    assert_eq!(&*run.allows[0].by.as_ref().unwrap().value, "owner");
    let Step::Back(back) = &run.steps[3] else {
        panic!()
    };
    assert_eq!(back.core.as_ref().unwrap().0.value, 3);
    assert_eq!(back.to.as_ref().unwrap().pole.unwrap().value, 3);
    assert_eq!(run.stops().count(), 4);
}

#[test]
fn cases() {
    let case = thing(
        "case c\n    on lamp 5 A\n    off pump\n    open main\n    close link\n    set sel both\n    set sel 2\n    set sel off\n",
    );
    let verbs: Vec<Verb> = case.settings.iter().map(|setting| setting.verb).collect();
    assert_eq!(
        verbs,
        [
            Verb::On,
            Verb::Off,
            Verb::Open,
            Verb::Close,
            Verb::Set,
            Verb::Set,
            Verb::Set
        ]
    );
    near(case.settings[0].amount.unwrap().value.value, 5.0);
    let positions: Vec<Position> = case
        .settings
        .iter()
        .filter_map(|setting| setting.position.map(|at| at.value))
        .collect();
    assert_eq!(
        positions,
        [Position::Both, Position::Number(2), Position::Off]
    );
}

#[test]
fn names_are_composed_and_texts_unescaped() {
    let load = thing("load cafe\u{301} \"a \\\"b\\\" \\\\\" pump 1 A\n");
    assert_eq!(&*load.name.as_ref().unwrap().value, "caf\u{e9}");
    assert_eq!(&*load.title.as_ref().unwrap().value, "a \"b\" \\");
    assert_eq!(
        &*thing("use \"sub/engine.boat\"\n")
            .name
            .as_ref()
            .unwrap()
            .value,
        "sub/engine.boat"
    );
}

#[test]
fn notes_and_headings() {
    let file =
        File::parse("## Top\n\n# plan\n## Sources\n# one\n# two\nblock a # no note\n    ## none\n");
    assert_eq!(file.chunks[0].thing.note_text(), "one\ntwo");
    let headings: Vec<String> = file
        .headings()
        .into_iter()
        .map(|(_, title)| title)
        .collect();
    assert_eq!(headings, ["Top", "Sources"]);
}

#[test]
fn what_stands_at_an_offset() {
    let text = "# n\nrun r in bay\n    a +\n    1 mm2 1 m\n    b +\nload l pump 1 A\n";
    let file = File::parse(text);
    let at = |words: &str| {
        let (_, chunk) = file.chunk_at(text.find(words).unwrap()).unwrap();
        let offset = chunk.relative(text.find(words).unwrap());
        (chunk.thing.clone(), offset)
    };
    let (run, offset) = at("in bay");
    assert!(matches!(run.element_at(offset), Some(Element::Fact(fact)) if fact.key == Key::In));
    let (run, offset) = at("1 mm2");
    assert!(matches!(run.element_at(offset), Some(Element::Step(1, _))));
    assert_eq!(run.step_at(offset).unwrap().0, 1);
    let (load, offset) = at("l pump");
    assert!(matches!(load.element_at(offset), Some(Element::Head)));
    assert_eq!(load.word_at(offset + 1).unwrap().value, "l");
    assert_eq!(load.kind, Some(Kind::Load));
    let (index, chunk) = file.chunk_at(text.len()).unwrap();
    assert_eq!(index, 1);
    assert_eq!(&text[chunk.absolute(chunk.thing.label())], "l");
}

#[test]
fn unchanged_things_are_taken_over() {
    let before = File::parse("block a\nblock b\nblock c\n");
    let after = before.reparse("block a\nblock bb\nblock c\n");
    let same = |index: usize| {
        std::sync::Arc::ptr_eq(&before.chunks[index].thing, &after.chunks[index].thing)
    };
    assert!(same(0) && !same(1) && same(2));
    assert_eq!(after.chunks[2].at, 17);
}

#[test]
fn findings_are_bounded() {
    let file = File::parse(&"\"\n".repeat(10_000));
    let flaws = file.all_flaws();
    assert_eq!(flaws.len(), MOST_FLAWS + 1);
    assert!(flaws.last().unwrap().message.contains("9000 more"));
    for line in ["    a\n", "    1 mm2 1 m\n", "    back\n", "    ?\n"] {
        let run = format!("run r\n{}", line.repeat(100_000));
        assert!(File::parse(&run).chunks[0].thing.flaws.len() <= MOST_FLAWS + 1);
    }
    let cable = format!(
        "cable c\n{}",
        "    carries 1 mm2 1 A tinned\n".repeat(100_000)
    );
    assert_eq!(File::parse(&cable).chunks[0].thing.facts.len(), 100_001);
    let load = format!("load l pump 1 A\n{}", "    x\n".repeat(100_000));
    let file = File::parse(&load);
    assert_eq!(file.chunks[0].thing.flaws.len(), MOST_FLAWS + 1);
    assert!(
        file.all_flaws()
            .iter()
            .all(|flaw| matches!(flaw.code, Code::UnknownFact | Code::Syntax))
    );
}

#[test]
fn a_sentence_is_short_whatever_it_speaks_of() {
    let long = |piece: &str| piece.repeat(50_000);
    let texts = [
        format!("load l pump {}", long("1")),
        format!("load l pump {} red", long("1")),
        format!("load l pump {} A", long("1")),
        format!("load l pump {}", long("1,")),
        format!("load l pump {}", long("1.")),
        format!("load l pump .{}", long("1")),
        format!("load l pump {}", long("?")),
        format!("{} a", long("a")),
        format!("load {} pump", long("a")),
        format!("load twin-{} like x", long("a")),
        format!(
            "run r\n {} +\n 1 mm2 {}\n {} way x\n back\n {}\n",
            long("a"),
            long("1"),
            long("b"),
            long("c")
        ),
        format!("load l {} 7 A", long("a")),
        format!("busbar b positive posts {}", long("1")),
    ];
    for text in texts {
        for flaw in File::parse(&text).all_flaws() {
            assert!(flaw.message.len() < 500, "{}", flaw.message);
            assert!(
                flaw.mends().all(|mend| mend.label.len() < 200),
                "{}",
                flaw.message
            );
        }
    }
}
