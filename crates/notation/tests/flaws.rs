//! What wrong input gets: plans with their findings drawn in.

#![allow(clippy::needless_raw_string_hashes, clippy::too_many_lines)] // snapshots, as their tool writes them

mod support;

use expect_test::{Expect, expect};
use support::{drawn, mends_mend};

fn check(text: &str, expected: &Expect) {
    expected.assert_eq(&drawn(text));
    mends_mend(text);
}

#[test]
fn kinds_and_names() {
    check(
        "\
batery house-1 agm 100 Ah
battery 100 Ah agm
battery agm 100 Ah
battery house- agm 100 Ah
battery 2nd agm 100 Ah
battery house.1 agm 100 Ah
thingummy a
posts 4
2.5 mm2 3 m
load twin pump 7 A
cable red tinned
cable bundled tinned
use engine.boat
use
joint back
run twin
load \"Pump\" p pump 7 A
Battery b agm 100 Ah
",
        &expect![[r#"
            batery house-1 agm 100 Ah
            ^^^^^^ unknown-kind: `batery` is no kind of thing; did you mean `battery`?
              write battery -> battery house-1 agm 100 Ah
            battery 100 Ah agm
            ^^^^^^^ syntax: A battery has a name, which stands directly after its kind: `battery house-1`.
              name it house-1 -> battery house-1 100 Ah agm
            battery agm 100 Ah
                    ^^^ missing-fact: `agm` stands where a battery has its name: write a name before it; what is missing is flooded, agm, gel or lithium (what is inside, printed on the case).
            battery house- agm 100 Ah
                    ^^^^^^ syntax: A name does not end in `-`, which would be taken for a terminal: take it away.
                      write house -> battery house agm 100 Ah
            battery 2nd agm 100 Ah
                    ^ syntax: A name starts with a letter: put one before the digit.
            battery house.1 agm 100 Ah
                    ^^^^^^^ syntax: A name is made of letters, digits, `-` and `_`: take the rest away, or put a space before it.
                      write house -> battery house agm 100 Ah
            thingummy a
            ^^^^^^^^^ unknown-kind: `thingummy` is no kind of thing: a line at the margin begins with one, such as battery, fuse, load or run.
            posts 4
            ^^^^^ unknown-kind: `posts` begins no thing: a line that says more about the thing above it is indented.
              indent the line -> posts 4
            2.5 mm2 3 m
            ^^^ unknown-kind: `2.5` begins no thing: a line that says more about the thing above it is indented.
              indent the line -> 2.5 mm2 3 m
            load twin pump 7 A
                 ^^^^ reserved-name: No part is called `twin`, since a run's line that begins with it means something else: choose another name.
            cable red tinned
                  ^^^ reserved-name: No cable is called `red`, since a conductor's line reads that as a word of its own: choose another name.
            cable bundled tinned
                  ^^^^^^^ reserved-name: No cable is called `bundled`, since a conductor's line reads that as a word of its own: choose another name.
            use engine.boat
                ^^^^^^^^^^^ syntax: After `use` stands the path of another file in quotes: `use "engine.boat"`.
                  put it in quotes -> use "engine.boat"
            use
            ^^^ syntax: After `use` stands the path of another file in quotes: `use "engine.boat"`.
            joint back
                  ^^^^ reserved-name: No part is called `back`, since a run's line that begins with it means something else: choose another name.
            run twin
                ^^^^ missing-fact: This run has no steps: write a stop, the conductor to the next stop and that stop, each on a line below.
            load "Pump" p pump 7 A
                 ^^^^^^^^ syntax: The name stands before the title: swap the two.
                   swap the two -> load p "Pump" pump 7 A
            Battery b agm 100 Ah
            ^^^^^^^ unknown-kind: `Battery` is no kind of thing; did you mean `battery`?
              write battery -> battery b agm 100 Ah
        "#]],
    );
}

#[test]
fn facts() {
    check(
        "\
load p pump 7 A
    minimun 11 V
    posts 4
    critical critical
    Title
    \"a title\"
load q pump 7 A 84 W
load r
fuse f 80 A
fuse g bolt 80 A
cable c copper tinned
busbar b positive
panel p
    way 1 fuse
    way 2 fues 5 A
    way 3 spare
    way 3 spare
    returns
multicore m cores 3 1.5 mm2 12 m
multicore n 3 cores 1.5 mm2 12 m tinned-flex other
boat b system 12 V rules abyc hull plastic
boat d system 230 V
switch s 10 A momentary automatic
",
        &expect![[r#"
            load p pump 7 A
                minimun 11 V
                ^^^^^^^ unknown-fact: A load has no fact `minimun`; did you mean `minimum`?
                  write minimum -> minimum 11 V
                posts 4
                ^^^^^ unknown-fact: `posts` is no fact of a load but of a busbar.
                critical critical
                         ^^^^^^^^ syntax: `critical` is said twice: take one of the two away.
                           take it away -> critical
                Title
                ^^^^^ unknown-fact: A load has no fact `Title`: its facts are A, W, ohm, V, h/day, %, critical, minimum V, starting A [s], short-time s, spread [m], earthed NAME, ignition-protected, in NAME, like NAME, spare.
                "a title"
                ^^^^^^^^^ syntax: Text in quotes is the title of a load, which stands directly after its name.
            load q pump 7 A 84 W
                            ^^^^ syntax: A current and a power exclude each other: take one of the two away.
                              take it away -> load q pump 7 A
            load r
                 ^ missing-fact: A load needs A, W or ohm, such as `7 A`: write it here or on a line below.
            fuse f 80 A
                 ^ missing-fact: A fuse needs blade, strip, bolt-down, cartridge or class-t (how it is built, which decides what fault it can stop): write it here or on a line below.
            fuse g bolt 80 A
                   ^^^^ unknown-fact: A fuse has no fact `bolt`; did you mean `bolt-down`?
                     write bolt-down -> fuse g bolt-down 80 A
            cable c copper tinned
                           ^^^^^^ syntax: `copper` and `tinned` exclude each other: take one of the two away.
                             take it away -> cable c copper
            busbar b positive
                   ^ missing-fact: A busbar needs posts N or studs N, such as `posts 10`: write it here or on a line below.
            panel p
                way 1 fuse
                      ^^^^ syntax: The line ends too early: a number in A, mA or kA belongs here.
                way 2 fues 5 A
                      ^^^^ syntax: A way says what stands in it: `fuse 5 A`, `breaker 10 A`, `switch 10 A` or `spare`.
                        write fuse -> way 2 fuse 5 A
                way 3 spare
                way 3 spare
                    ^ syntax: Way 3 is said twice: give each way of the panel a number of its own.
                      write 4 -> way 4 spare
                returns
                ^^^^^^^ syntax: A name belongs here: that of the part.
            multicore m cores 3 1.5 mm2 12 m
                        ^^^^^ syntax: The number stands before `cores`: `3 cores`.
                          write 3 cores -> multicore m 3 cores 1.5 mm2 12 m
            multicore n 3 cores 1.5 mm2 12 m tinned-flex other
                                                         ^^^^^ unknown-fact: `other` is no fact of a multicore but of a load.
            boat b system 12 V rules abyc hull plastic
                                     ^^^^ syntax: After `rules` stands baseline, us-cfr-183, iso-13297 or abyc-e11.
                                       write abyc-e11 -> boat b system 12 V rules abyc-e11 hull plastic
                                               ^^^^^^^ syntax: After `hull` stands steel, aluminium, grp, wood or ferro.
            boat d system 230 V
                          ^^^^^ impossible-value: 230 V is too much: `system` is at most 60 V; check the number and its unit.
            switch s 10 A momentary automatic
                                    ^^^^^^^^^ syntax: `momentary` and `automatic` exclude each other: take one of the two away.
                                      take it away -> switch s 10 A momentary
        "#]],
    );
}

#[test]
fn units() {
    check(
        "\
load p pump 7
load p pump 7 amps
load p pump 7a
load p pump 7 mm2
load p pump 7 A minimum 11
load p pump 7 A minimum 11 A
load p pump 7 A 4 h
battery b agm 100 A
battery b agm 2 x 100 Ah
solar s 2 x 100 W
load l lighting 6x2.4 W
place e openings 60 mm2
place e openings 60
place e ambient 40
busbar b negative posts 10 A
multicore m 3 cores 1.5 mm 12 m
cable c carries 2.5 30 A
cable c carries AWG 10 30 A
",
        &expect![[r#"
            load p pump 7
                        ^ wrong-unit: 7 what? A, W, ohm, V, h/day or %.
            load p pump 7 amps
                        ^^^^^^ wrong-unit: `amps` is no unit that fits here: write A, W, ohm, V, h/day or %.
                          write 7 A -> load p pump 7 A
            load p pump 7a
                        ^^ wrong-unit: `a` is no unit that fits here: write A, W, ohm, V, h/day or %.
                          write 7 A -> load p pump 7 A
            load p pump 7 mm2
                        ^^^^^ wrong-unit: 7 mm² says nothing about a load: what stands without a word is in A, W, ohm, V, h/day or %.
            load p pump 7 A minimum 11
                                    ^^ wrong-unit: 11 what? V or mV.
                                      write 11 V -> load p pump 7 A minimum 11 V
                                      write 11 mV -> load p pump 7 A minimum 11 mV
            load p pump 7 A minimum 11 A
                                    ^^^^ wrong-unit: 11 A is a current, but a voltage belongs here: write it in V or mV.
            load p pump 7 A 4 h
                            ^^^ wrong-unit: 4 h says nothing about a load: what stands without a word is in A, W, ohm, V, h/day or %.
                              write 4 h/day -> load p pump 7 A 4 h/day
            battery b agm 100 A
                          ^^^^^ wrong-unit: 100 A says nothing about a battery: what stands without a word is in Ah or V.
                            write 100 Ah -> battery b agm 100 Ah
            battery b agm 2 x 100 Ah
                          ^^^ syntax: Only what a load draws is multiplied by `x`: write here what all make together, or each as a thing of its own.
            solar s 2 x 100 W
                    ^^^^^^^^^ syntax: The figures of solar panels are those of one: how many there are is said by `parallel` and `series`.
                      write 100 W parallel 2 -> solar s 100 W parallel 2
            load l lighting 6x2.4 W
                             ^^ syntax: A multiplier is a word of its own: put spaces round `x`.
                               put spaces round it -> load l lighting 6 x 2.4 W
            place e openings 60 mm2
                             ^^^^^^ wrong-unit: 60 mm² is a conductor size, but a free area belongs here: write it in cm2.
                               write 0.6 cm2 -> place e openings 0.6 cm2
            place e openings 60
                             ^^ wrong-unit: 60 what? cm2.
                               write 60 cm2 -> place e openings 60 cm2
            place e ambient 40
                            ^^ wrong-unit: 40 what? C or F.
                              write 40 C -> place e ambient 40 C
                              write 40 F -> place e ambient 40 F
            busbar b negative posts 10 A
                                       ^ wrong-unit: `posts` is a count and has no unit: write it without `A`.
                                         take `A` away -> busbar b negative posts 10
            multicore m 3 cores 1.5 mm 12 m
                                ^^^^^^ wrong-unit: 1.5 mm is a length, but a conductor size belongs here: write it in mm2 or AWG.
                                  write 1.5 mm2 -> multicore m 3 cores 1.5 mm2 12 m
            cable c carries 2.5 30 A
                            ^^^ wrong-unit: 2.5 what? mm2 or AWG.
                              write 2.5 mm2 -> cable c carries 2.5 mm2 30 A
            cable c carries AWG 10 30 A
                            ^^^^^^ syntax: The number stands before its unit: write `10 AWG`.
                              write 10 AWG -> cable c carries 10 AWG 30 A
        "#]],
    );
}

#[test]
fn values() {
    check(
        "\
load p pump -7 A
load p pump 0 A
load p pump 1e308 A
load p pump 1e999 A
load p pump NaN A
load p pump 7 A 30 h/day
place e ambient -10 C
place e ambient 200 C
battery b agm 100 Ah resistance 0 ohm usable 150 %
busbar b negative posts 0
busbar b negative posts 2.5
busbar b negative posts 4294967296
boat b system 0 V
boat b system inf V
",
        &expect![[r#"
            load p pump -7 A
                        ^^^^ impossible-value: -7 A is below zero, which a current never is: write it without the minus sign.
                          write 7 A -> load p pump 7 A
            load p pump 0 A
                        ^^^ impossible-value: 0 A says nothing: a current is more than zero.
            load p pump 1e308 A
                        ^^^^^^^ impossible-value: 1e308 A is too much: a current is at most 10000 A; check the number and its unit.
            load p pump 1e999 A
                        ^^^^^^^ impossible-value: This number is too large to be read: a current is at most 10000 A.
            load p pump NaN A
                        ^^^ impossible-value: `NaN` is no number: write digits and a unit.
            load p pump 7 A 30 h/day
                            ^^^^^^^^ impossible-value: 30 h/day is too much: a part of the day is at most 24 h/day; check the number and its unit.
            place e ambient -10 C
            place e ambient 200 C
                            ^^^^^ impossible-value: 200 °C is too much: `ambient` is at most 125 °C; check the number and its unit.
            battery b agm 100 Ah resistance 0 ohm usable 150 %
                                                         ^^^^^ impossible-value: 150 % is too much: `usable` is at most 100 %; check the number and its unit.
            busbar b negative posts 0
                                    ^ impossible-value: 0 is not possible here: `posts` is from 1 to 1000.
            busbar b negative posts 2.5
                                    ^^^ syntax: A whole number belongs here, such as `posts 2`.
            busbar b negative posts 4294967296
                                    ^^^^^^^^^^ impossible-value: 4294967296 is not possible here: `posts` is from 1 to 1000.
            boat b system 0 V
                          ^^^ impossible-value: 0 V says nothing: `system` is more than zero.
            boat b system inf V
                          ^^^ impossible-value: `inf` is no number: write a number in V or mV.
        "#]],
    );
}

#[test]
fn numbers_and_text() {
    check(
        "\
load p pump 2,5 A
load p pump 1,000 W
load p pump 1,234,567 W
load p pump .5 A
load p pump 5. A
load p pump 1.2.3 A
load p \"open pump 7 A
load p “Pump” pump 7 A
load p \"a\\n\" pump 7 A
load p pump, 7 A
load p: pump 7 A
load p pump = 7 A
load p 'Pump' pump 7 A
load p pump ± 7 A
load p pump \u{1} 7 A
",
        &expect![[r#"
            load p pump 2,5 A
                        ^^^ syntax: The decimal sign is a point: write `2.5`.
                          write 2.5 -> load p pump 2.5 A
            load p pump 1,000 W
                        ^^^^^ syntax: The decimal sign is a point and thousands have no comma: write `1.000` or `1000`.
                          write 1.000 -> load p pump 1.000 W
                          write 1000 -> load p pump 1000 W
            load p pump 1,234,567 W
                        ^^^^^^^^^ syntax: Thousands are written without a comma: `1234567`.
                          write 1234567 -> load p pump 1234567 W
            load p pump .5 A
                        ^^ syntax: A number starts with a digit: write `0.5`.
                          write 0.5 -> load p pump 0.5 A
            load p pump 5. A
                        ^^ syntax: A number ends with a digit: write `5`.
                          write 5 -> load p pump 5 A
            load p pump 1.2.3 A
                        ^^^^^ syntax: `1.2.3` is no number: it has one decimal point at most.
            load p "open pump 7 A
                   ^^^^^^^^^^^^^^ syntax: This text has no closing quote: it ends on its own line with `"`.
                     close the quote -> load p "open pump 7 A"
            load p “Pump” pump 7 A
                   ^^^^^^ syntax: Curly quotes are not read: write straight ones, `"`.
                     write straight quotes -> load p "Pump" pump 7 A
            load p "a\n" pump 7 A
                     ^ syntax: `\n` means nothing in a text: write `\\` for a backslash, `\"` for a quote.
                       write \\ -> load p "a\\n" pump 7 A
            load p pump, 7 A
                       ^ syntax: `,` is not needed: words are parted by spaces, lines by their ends.
                         take `,` away -> load p pump  7 A
            load p: pump 7 A
                 ^^ syntax: A name is made of letters, digits, `-` and `_`: take the rest away, or put a space before it.
                   write p -> load p pump 7 A
            load p pump = 7 A
                        ^ syntax: `=` is not needed: words are parted by spaces, lines by their ends.
                          take `=` away -> load p pump   7 A
            load p 'Pump' pump 7 A
                   ^ syntax: Text stands in straight double quotes, `"`.
            load p pump ± 7 A
                        ^ syntax: `±` means nothing here: take it away.
            load p pump  7 A
                        ^ syntax: Characters that cannot be seen stand here: take them away.
        "#]],
    );
}

#[test]
fn cases_and_allowances() {
    check(
        "\
case a
    switch-on lamp
    on
    on lamp 5
    on lamp 5 V
    off lamp 5 A
    set selector
    set selector 2,5
    opne isolator
load p pump 7 A
    allow
    allow excess-drop
    allow excess-drop up 4 % \"reason\"
    allow excess-drop up to 4 % because it is short
    allow excess-drop up to 4 % \"reason\" by skipper
",
        &expect![[r#"
            case a
                switch-on lamp
                ^^^^^^^^^ syntax: A case's line says what is done to which part: `on`, `off`, `open`, `close` or `set`, then the part's name.
                on
                ^^ syntax: A name belongs here: that of the part.
                on lamp 5
                        ^ wrong-unit: 5 what? A, mA, kA, W or kW.
                on lamp 5 V
                        ^^^ wrong-unit: 5 V is a voltage, but a current or power belongs here: write it in A, mA, kA, W or kW.
                off lamp 5 A
                         ^ syntax: `5` does not belong on this line: the line says all it can before it.
                set selector
                    ^^^^^^^^ syntax: After the selector's name stands its position: `off`, a number or `both`.
                set selector 2,5
                             ^^^ syntax: The decimal sign is a point: write `2.5`.
                               write 2.5 -> set selector 2.5
                opne isolator
                ^^^^ syntax: A case's line says what is done to which part: `on`, `off`, `open`, `close` or `set`, then the part's name.
                  write open -> open isolator
            load p pump 7 A
                allow
                ^^^^^ syntax: A name belongs here: that of the finding.
                allow excess-drop
                      ^^^^^^^^^^^ syntax: Text in quotes belongs here, for the reason.
                allow excess-drop up 4 % "reason"
                                     ^ syntax: `to` belongs here, not `4`.
                                       write to before it -> allow excess-drop up to 4 % "reason"
                allow excess-drop up to 4 % because it is short
                                            ^^^^^^^ syntax: Text in quotes belongs here, for the reason.
                                              put it in quotes -> allow excess-drop up to 4 % "because it is short"
                allow excess-drop up to 4 % "reason" by skipper
                                                        ^^^^^^^ syntax: Text in quotes belongs here, for who accepts it.
                                                          put it in quotes -> allow excess-drop up to 4 % "reason" by "skipper"
        "#]],
    );
}

#[test]
fn files() {
    check(
        "  boat b\n    system 12 V\n",
        &expect![[r#"
          boat b
        ^^^^^^^^ syntax: Every line of this file is indented, so no thing begins: a thing's first line begins at the margin.
          move the lines to the margin -> boat b
            system 12 V
    "#]],
    );
    check(
        "    system 12 V\nboat b system 12 V\n",
        &expect![[r#"
            system 12 V
        ^^^^^^^^^^^^^^^ syntax: This line is indented, so it belongs to the thing above it, but there is none: move it to the margin or below its thing.
        boat b system 12 V
    "#]],
    );
    check(
        "\u{feff}boat b system 12 V\r\nload l\r\n",
        &expect![[r#"
            boat b system 12 V
            load l
                 ^ missing-fact: A load needs A, W or ohm, such as `7 A`: write it here or on a line below.
        "#]],
    );
    check("", &expect![]);
}
