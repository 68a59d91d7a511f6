//! The family *distribution*: room and rating.

mod support;

use ampwright_plan::{Code, Plan, Severity, findings::registry::Family};
use support::BASE;

#[track_caller]
fn check(text: &str) {
    support::check(&[Family::Distribution], text);
}

fn lamps(way: impl Fn(u32) -> u32, count: u32) -> String {
    (1..=count).fold(String::new(), |text, n| {
        text + &format!(
            "load lamp-{n} lighting 6 W\nrun lamp-{n}\n    cabin way {}\n    1.5 mm2 red 3 m\n    lamp-{n}\n    back black\n",
            way(n)
        )
    })
}

#[test]
fn a_bar_has_room_for_as_many_as_posts_and_studs() {
    let bar = |room: &str| BASE.replace("    posts 20\n", room);
    check(&format!(
        "{}{}",
        bar("    posts 2\n    studs 1\n"),
        lamps(|n| n, 2)
    ));
    let full = bar("    posts 2\n    studs 1\n").replace(
        "busbar neg negative 100 A",
        "busbar neg negative 100 A #! bus-overflow",
    );
    check(&format!("{full}{}", lamps(|n| n, 3)));
}

#[test]
fn parallel_conductors_take_a_place_each() {
    let text = BASE
        .replace("posts 20", "posts 1")
        .replace("    10 mm2 black 3 m", "    2 parallel 10 mm2 black 3 m")
        .replace(
            "busbar neg negative 100 A",
            "busbar neg negative 100 A #! bus-overflow",
        );
    check(&text);
}

#[test]
fn a_named_post_takes_one_and_a_named_stud_four() {
    let text = BASE.replace("posts 20", "posts 4\n    studs 2");
    let on = |place: &str, n: u32, mark: &str| {
        format!(
            "load lamp-{n} lighting 6 W\nrun lamp-{n}\n    cabin way {n}\n    1.5 mm2 red 3 m\n    lamp-{n}\n    1.5 mm2 black 3 m\n    neg {place}{mark}\n"
        )
    };
    check(&format!(
        "{text}{}{}",
        on("post 1", 1, ""),
        on("post 1", 2, " #! bus-overflow")
    ));
    check(&format!(
        "{text}{}{}{}{}",
        on("stud 1", 1, ""),
        on("stud 1", 2, ""),
        on("stud 1", 3, ""),
        on("stud 1", 4, "")
    ));
}

#[test]
fn what_does_not_fit_a_post_goes_to_a_stud() {
    check(&BASE.replace(
        "    posts 20\n",
        "    posts 4\n    studs 1\n    takes 6 mm2\n",
    ));
    check(
        &BASE
            .replace("    posts 20\n", "    posts 4\n    takes 6 mm2\n")
            .replace(
                "    10 mm2 black 3 m",
                "    10 mm2 black 3 m #! post-too-small",
            ),
    );
    check(
        &BASE
            .replace(
                "    posts 20\n",
                "    posts 4\n    studs 1\n    takes 6 mm2\n",
            )
            .replace(
                "run return\n    neg\n",
                "run return\n    neg post 2 #! post-too-small\n",
            ),
    );
}

#[test]
fn runs_at_one_way() {
    let base = BASE;
    check(&format!("{base}{}", lamps(|n| n, 2)));
    let marked = lamps(|_| 1, 2).replacen(
        "run lamp-2\n    cabin way 1\n    1.5 mm2 red 3 m",
        "run lamp-2\n    cabin way 1\n    1.5 mm2 red 3 m #! crowded-post",
        1,
    );
    check(&format!("{base}{marked}"));
    let marked = lamps(|_| 1, 3).replacen(
        "run lamp-3\n    cabin way 1\n    1.5 mm2 red 3 m",
        "run lamp-3\n    cabin way 1\n    1.5 mm2 red 3 m #! way-reused",
        1,
    );
    check(&format!("{base}{marked}"));
}

#[test]
fn five_on_a_battery_post_are_crowded() {
    let bars = (1..=4).fold(String::new(), |text, n| {
        let mark = if n == 4 { " #! crowded-post" } else { "" };
        text + &format!(
            "fuse f{n} bolt-down 30 A\njoint j{n}\nrun r{n}\n    house +\n    10 mm2 red 0.1 m{mark}\n    f{n}\n    10 mm2 red 1 m\n    j{n}\n"
        )
    });
    check(&format!("{BASE}{bars}"));
}

/// 8 A through a 5 A switch alone is certain; two lamps together on a 5 A switch only `everything` says.
#[test]
fn an_overload_of_everything_alone_is_a_warning() {
    let text = |first: &str| {
        format!(
            "{BASE}load one heater {first}
load two heater 3 A
switch shared 5 A #! device-overloaded
run one
    cabin way 4
    6 mm2 red 1 m
    shared
    6 mm2 red 1 m
    one +
    6 mm2 red 1 m
    two
    back black
"
        )
    };
    let severity = |text: &str| {
        let plan = Plan::of_text(text);
        let found = plan.findings.iter();
        found
            .filter(|finding| finding.code == Code::DeviceOverloaded)
            .map(|finding| finding.severity)
            .next()
    };
    check(&text("8 A"));
    assert_eq!(severity(&text("8 A")), Some(Severity::Error));
    check(&text("4 A"));
    assert_eq!(severity(&text("4 A")), Some(Severity::Warning));
}

/// Two short-time loads never run together: what goes through the bar is one of them on top.
#[test]
fn a_bar_carries_what_one_moment_asks_of_it() {
    let motors = |amps: u32| {
        format!(
            "load port motor {amps} A short-time 60 s
load starboard motor {amps} A short-time 60 s
run port
    cabin way 4
    10 mm2 red 1 m
    port
    back black
run starboard
    cabin way 3
    10 mm2 red 1 m
    starboard
    back black
"
        )
    };
    let base = BASE
        .replace("way 3 fuse 5 A", "way 3 breaker 30 A")
        .replace("negative 100 A", "negative 25 A");
    check(&format!("{base}{}", motors(24)));
    let over = base.replace(
        "busbar neg negative 25 A",
        "busbar neg negative 25 A #! bus-overflow",
    );
    check(&format!("{over}{}", motors(26)));
}

#[test]
fn a_socket_a_panel_and_a_converter() {
    let base = BASE.replace("panel cabin 50 A", "panel cabin 20 A #! device-overloaded");
    check(&format!(
        "{base}socket chart 5 A #! device-overloaded
run chart
    cabin way 1
    2.5 mm2 red 1 m
    chart
    back black
load heater heater 21 A
run heater
    cabin way 4
    6 mm2 red 1 m
    heater
    back black
converter dc-dc input 12 V output 24 V 2 A #! device-overloaded
load radio electronics 3 A
run dc-dc
    cabin way 2
    6 mm2 red 1 m
    dc-dc input
    back black
run radio
    dc-dc output +
    2.5 mm2 red 1 m
    radio
    back black to dc-dc output -
case evening
    on chart 6 A
    on radio
    on heater
"
    ));
}
