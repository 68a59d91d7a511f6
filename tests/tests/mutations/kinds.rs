//! What is done to the wiring: devices taken out, conductors thinned and lengthened, poles swapped.

use ampwright_tests::whole::{Thing, Whole};

use crate::{
    Kind, Mutant, never,
    sound::{idle, lengthened, thinned, uprated},
};

/// What shows that something is not protected.
const UNPROTECTED: &[&str] = &["unfused-run", "fuse-exceeds-conductor"];
const TOO_THIN: &[&str] = &[
    "undersized-conductor",
    "fuse-exceeds-conductor",
    "excess-drop",
    "below-minimum-size",
];

const LONG_RETURN: &str = "on the negative side: what comes home by it has passed a device; the batteries share a little less evenly";

pub(crate) const KINDS: &[Kind] = &[
    Kind {
        name: "a device becomes a joint",
        shows: UNPROTECTED,
        make: |original| devices(&original.boat, bridged),
        sound: uprated,
        silent: &[],
    },
    Kind {
        name: "a panel's way loses its fuse",
        shows: UNPROTECTED,
        make: |original| ways(&original.boat, |line, _| switched(line)),
        sound: uprated,
        silent: &[],
    },
    Kind {
        name: "a device of twice the rating",
        shows: UNPROTECTED,
        make: |original| devices(&original.boat, doubled),
        sound: uprated,
        silent: &[],
    },
    Kind {
        name: "a way of three times the rating",
        shows: UNPROTECTED,
        make: |original| ways(&original.boat, |line, amps| rerated(line, amps, amps * 3.0)),
        sound: uprated,
        silent: &[],
    },
    Kind {
        name: "a device of 1 A",
        shows: &["fuse-below-load"],
        make: |original| devices(&original.boat, one_ampere),
        sound: idle,
        silent: &[],
    },
    Kind {
        name: "a conductor of the smallest size",
        shows: TOO_THIN,
        make: |original| sizes(&original.boat, |_, list| list.first().copied()),
        sound: thinned,
        silent: &[],
    },
    Kind {
        name: "a conductor one size thinner",
        shows: TOO_THIN,
        make: |original| sizes(&original.boat, below),
        sound: thinned,
        silent: &[],
    },
    Kind {
        name: "a conductor ten times as long",
        shows: &[
            "excess-drop",
            "unfused-run",
            "bank-link",
            "fuse-exceeds-conductor",
        ],
        make: |original| longer(&original.boat),
        sound: lengthened,
        // Behind the devices of everything that comes home by it: a long way, but no danger.
        silent: &[
            (
                "teal",
                "strings-bottom: 70 mm2 black 0.5 m in battery-box mark TN",
                LONG_RETURN,
            ),
            (
                "whimbrel",
                "house-link-negative: 50 mm2 black 0.4 m in battery-locker mark HN",
                LONG_RETURN,
            ),
            (
                "shoveler",
                "house-link-negative: 4/0 AWG black 1.5 ft in battery-locker mark HN",
                LONG_RETURN,
            ),
        ],
    },
    Kind {
        name: "a stop that names its other pole",
        shows: &[
            "short-circuit",
            "reversed-polarity",
            "wrong-way",
            "open-circuit",
            "mixed-voltage",
            "tapped-bank",
        ],
        make: |original| poles(&original.boat),
        sound: never,
        silent: &[],
    },
    Kind {
        name: "a load wired the wrong way round",
        shows: &["reversed-polarity"],
        make: |original| turned(&original.boat),
        sound: never,
        silent: &[],
    },
    Kind {
        name: "a run left out",
        shows: &[
            "open-circuit",
            "unwired-part",
            "wrong-way",
            "unfused-run",
            "unequal-share",
            "undersized-conductor",
        ],
        make: |original| left_out(&original.boat),
        sound: never,
        silent: &[
            (
                "teal",
                "strings-top",
                "two banks of 24 V with one negative, each whole in itself: only whoever wrote it knows that they were to be one",
            ),
            (
                "shoveler",
                "bow-charge-return",
                "the bow bank stands alone, whole in itself; nothing flows along its charging cable",
            ),
        ],
    },
];

fn mutant(what: impl Into<String>, boat: Whole) -> Mutant {
    Mutant {
        what: what.into(),
        boat,
    }
}

const DEVICES: [&str; 2] = ["fuse", "breaker"];

/// A thing's lines with its words changed; `None` leaves it out.
type Change = fn(&[String]) -> Option<Vec<String>>;

fn devices(boat: &Whole, change: Change) -> Vec<Mutant> {
    let things = boat.things();
    let devices = things
        .iter()
        .filter(|thing| DEVICES.contains(&thing.kind_and_name().0));
    devices
        .filter_map(|thing| {
            let lines = change(&boat.lines(&thing.path)[thing.lines.clone()])?;
            Some(mutant(
                thing.kind_and_name().1,
                boat.with(&thing.path, thing.lines.clone(), &lines),
            ))
        })
        .collect()
}

/// A joint where the device was, in the same place.
fn bridged(lines: &[String]) -> Option<Vec<String>> {
    let name = lines[0].split_whitespace().nth(1)?;
    let place = lines.iter().filter(|line| line.starts_with("    in "));
    Some(
        std::iter::once(format!("joint {name}"))
            .chain(place.cloned())
            .collect(),
    )
}

fn with_rating(lines: &[String], change: impl Fn(f64) -> f64) -> Option<Vec<String>> {
    let mut lines = lines.to_vec();
    lines[0] = rated(&lines[0], change)?;
    Some(lines)
}

/// A line whose number before `A` is changed.
fn rated(line: &str, change: impl Fn(f64) -> f64) -> Option<String> {
    let mut words: Vec<String> = line.split(' ').map(str::to_owned).collect();
    let unit = words.iter().position(|word| word == "A")?;
    let amps: f64 = words[unit - 1].parse().ok()?;
    words[unit - 1] = change(amps).to_string();
    Some(words.join(" "))
}

fn doubled(lines: &[String]) -> Option<Vec<String>> {
    with_rating(lines, |amps| amps * 2.0)
}

fn one_ampere(lines: &[String]) -> Option<Vec<String>> {
    with_rating(lines, |_| 1.0)
}

/// Every `way N fuse` and `way N breaker` of every panel.
fn ways(boat: &Whole, change: fn(&str, f64) -> String) -> Vec<Mutant> {
    let mut list = Vec::new();
    for thing in boat
        .things()
        .iter()
        .filter(|thing| thing.kind_and_name().0 == "panel")
    {
        for at in thing.lines.clone() {
            let line = &boat.lines(&thing.path)[at];
            let words: Vec<&str> = line.split_whitespace().collect();
            let ["way", number, "fuse" | "breaker", amps, "A"] = words[..] else {
                continue;
            };
            let new = amps.parse().ok().map(|amps| change(line, amps));
            let what = format!("{} way {number}", thing.kind_and_name().1);
            list.extend(new.map(|new| mutant(what, boat.with_line(&thing.path, at, new))));
        }
    }
    list
}

fn switched(line: &str) -> String {
    line.replace(" fuse ", " switch ")
        .replace(" breaker ", " switch ")
}

fn rerated(line: &str, from: f64, to: f64) -> String {
    line.replace(&format!(" {from} A"), &format!(" {to} A"))
}

/// Sizes as they are sold, the smallest first.
const METRIC: [&str; 14] = [
    "0.75 mm2", "1 mm2", "1.5 mm2", "2.5 mm2", "4 mm2", "6 mm2", "10 mm2", "16 mm2", "25 mm2",
    "35 mm2", "50 mm2", "70 mm2", "95 mm2", "120 mm2",
];
const AWG: [&str; 13] = [
    "18 AWG", "16 AWG", "14 AWG", "12 AWG", "10 AWG", "8 AWG", "6 AWG", "4 AWG", "2 AWG", "1 AWG",
    "1/0 AWG", "2/0 AWG", "4/0 AWG",
];

fn below(size: &str, list: &'static [&'static str]) -> Option<&'static str> {
    let at = list.iter().position(|known| *known == size)?;
    list.get(at.checked_sub(1)?).copied()
}

/// A conductor's line: where it stands, the words before its size, and its size.
pub(crate) struct Line {
    pub(crate) thing: Thing,
    pub(crate) at: usize,
    pub(crate) text: String,
    pub(crate) size: String,
}

/// Every conductor's line of every run, and every multicore.
pub(crate) fn conductor_lines(boat: &Whole) -> Vec<Line> {
    let mut list = Vec::new();
    for thing in boat.things() {
        let (kind, _) = thing.kind_and_name();
        if !["run", "multicore"].contains(&kind) {
            continue;
        }
        for at in thing.lines.clone() {
            let text = boat.lines(&thing.path)[at].clone();
            if let Some(size) = size_in(&text) {
                let thing = thing.clone();
                list.push(Line {
                    thing,
                    at,
                    text,
                    size,
                });
            }
        }
    }
    list
}

fn size_in(line: &str) -> Option<String> {
    let words: Vec<&str> = line.split_whitespace().collect();
    let unit = words
        .iter()
        .position(|word| ["mm2", "AWG"].contains(word))?;
    Some(format!(
        "{} {}",
        words.get(unit.checked_sub(1)?)?,
        words[unit]
    ))
}

/// What a mutant of a conductor's line is called.
fn called(line: &Line) -> String {
    format!("{}: {}", line.thing.kind_and_name().1, line.text.trim())
}

type Resize = fn(&str, &'static [&'static str]) -> Option<&'static str>;

/// Each conductor's line by itself; where `back` makes the way home of several, all of them, for
/// they have to be of one size.
fn sizes(boat: &Whole, resize: Resize) -> Vec<Mutant> {
    let lines = conductor_lines(boat);
    let with_back = |line: &Line| {
        let body = &boat.lines(&line.thing.path)[line.thing.lines.clone()];
        body.iter()
            .any(|line| line.trim_start().starts_with("back"))
    };
    let together = |a: &Line, b: &Line| {
        (&a.thing.path, &a.thing.lines) == (&b.thing.path, &b.thing.lines) && with_back(a)
    };
    let groups = lines.chunk_by(together);
    groups
        .filter_map(|group| resized(boat, group, resize))
        .collect()
}

fn resized(boat: &Whole, group: &[Line], resize: Resize) -> Option<Mutant> {
    let first = group.first()?;
    let list = if first.size.ends_with("AWG") {
        &AWG[..]
    } else {
        &METRIC[..]
    };
    let new = resize(&first.size, list).filter(|new| *new != first.size)?;
    let change = |boat: Whole, line: &Line| {
        boat.with_line(
            &line.thing.path,
            line.at,
            line.text.replace(&line.size, new),
        )
    };
    let thinner = group.iter().fold(boat.clone(), change);
    let what = match group {
        [line] => format!("{} -> {new}", called(line)),
        _ => format!("{}: all of it -> {new}", first.thing.kind_and_name().1),
    };
    Some(mutant(what, thinner))
}

/// Every length ten times as long, that of what `back` makes too, for it follows.
fn longer(boat: &Whole) -> Vec<Mutant> {
    let of = |line: &Line| {
        let mut words: Vec<String> = line.text.split(' ').map(str::to_owned).collect();
        let unit = words
            .iter()
            .position(|word| ["m", "ft"].contains(&&**word))?;
        let long: f64 = words[unit - 1].parse().ok()?;
        words[unit - 1] = (long * 10.0).to_string();
        let text = words.join(" ");
        Some(mutant(
            called(line),
            boat.with_line(&line.thing.path, line.at, text),
        ))
    };
    conductor_lines(boat).iter().filter_map(of).collect()
}

/// Every stop that names a `+` names the `-`, and the other way round; `back to X -` too.
fn poles(boat: &Whole) -> Vec<Mutant> {
    let mut list = Vec::new();
    for thing in boat
        .things()
        .iter()
        .filter(|thing| thing.kind_and_name().0 == "run")
    {
        for at in thing.lines.clone() {
            let line = &boat.lines(&thing.path)[at];
            let new = match line.trim_end().rsplit_once(' ') {
                Some((rest, "+")) => format!("{rest} -"),
                Some((rest, "-")) => format!("{rest} +"),
                _ => continue,
            };
            let what = format!("{}: {}", thing.kind_and_name().1, line.trim());
            list.push(mutant(what, boat.with_line(&thing.path, at, new)));
        }
    }
    list
}

/// A run that ends with a load and `back`: out to the load's `-`, and home from its `+`.
fn turned(boat: &Whole) -> Vec<Mutant> {
    let things = boat.things();
    let runs = things
        .iter()
        .filter(|thing| thing.kind_and_name().0 == "run");
    runs.filter_map(|run| turned_run(boat, run)).collect()
}

fn turned_run(boat: &Whole, run: &Thing) -> Option<Mutant> {
    let lines = boat.lines(&run.path)[run.lines.clone()].to_vec();
    let back = lines
        .iter()
        .position(|line| line.trim_start().starts_with("back"))?;
    let load = lines[back - 1].trim();
    boat.thing("load", load)?;
    let home = home_of(boat, &lines, &lines[back])?;
    let last = lines[..back].iter().rfind(|line| size_in(line).is_some())?;
    let single = |line: &str| {
        line.replace("twin ", "")
            .replace(" red ", " ")
            .replace(" mark ", " # ")
    };
    let mut new: Vec<String> = lines[..back - 1].iter().map(|line| single(line)).collect();
    new.push(format!("    {load} -"));
    new.push("run swapped-home".to_owned());
    new.push(format!("    {load} +"));
    new.push(single(last));
    new.push(format!("    {home}"));
    Some(mutant(
        run.kind_and_name().1,
        boat.with(&run.path, run.lines.clone(), &new),
    ))
}

/// Where a run's `back` lands.
fn home_of(boat: &Whole, lines: &[String], back: &str) -> Option<String> {
    if let Some((_, to)) = back.split_once(" to ") {
        return Some(to.to_owned());
    }
    let panel = lines
        .iter()
        .find_map(|line| line.trim().split_once(" way "))?
        .0;
    let panel = boat.thing("panel", panel)?;
    let body = &boat.lines(&panel.path)[panel.lines];
    body.iter()
        .find_map(|line| line.trim().strip_prefix("returns "))
        .map(str::to_owned)
}

fn left_out(boat: &Whole) -> Vec<Mutant> {
    let things = boat.things();
    let runs = things
        .iter()
        .filter(|thing| thing.kind_and_name().0 == "run");
    runs.map(|run| {
        mutant(
            run.kind_and_name().1,
            boat.with(&run.path, run.lines.clone(), &[]),
        )
    })
    .collect()
}
