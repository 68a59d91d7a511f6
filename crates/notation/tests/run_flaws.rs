//! What a wrong run gets: runs with their findings drawn in.

#![allow(clippy::needless_raw_string_hashes, clippy::too_many_lines)] // snapshots, as their tool writes them

mod support;

use expect_test::{Expect, expect};
use support::{drawn, mends_mend};

fn check(text: &str, expected: &Expect) {
    expected.assert_eq(&drawn(text));
    mends_mend(text);
}

#[test]
fn conductors() {
    check(
        "\
run r
    a +
    2 x 35 mm2 red 1 m
    b
    3 x 35 mm2 red 1 m
    c
    AWG 10 red 1 m
    d
    16 mm red 1 m
    e
    red 16 mm2 1 m
    f
    16 mm2 30 in engine-bay
    g
    16 mm2 red
    h
    16 red 1 m
    i
    16 mm2 red black 1 m
    j
    16 mm2 tinned flex 1 m
    k
    16 mm2 red/lilac 1 m
    l
    core 1 of m 5 m
    m
    core 1 m
    n
    16 mm2 -3 m
    o
    16 mm2 3 m mark
    p
    16 mm2 3 m mark a,b
    q
    5/0 AWG 3 m
    r
    10.5 AWG 3 m
    s
    twin 3 m
    t
    2 parallel twin 35 mm2 3 m
    u
    16 mm2 2 parallel 3 m
    v
    twin
    w
    16 mm2 3 m in
    x
    16 mm2 3 m bundled
    y
    2,5 mm2 3 m
    z
    16 mm2 3
    z
",
        &expect![[r#"
            run r
                a +
                2 x 35 mm2 red 1 m
                ^^^ syntax: `2 x` is printed on cable drums for two different things: write `twin` for two cores in one sheath, `2 parallel` for equal conductors side by side.
                  write twin -> twin 35 mm2 red 1 m
                  write 2 parallel -> 2 parallel 35 mm2 red 1 m
                b
                3 x 35 mm2 red 1 m
                ^^^ syntax: `3 x` is printed on cable drums for two different things: write `twin` for two cores in one sheath, `3 parallel` for equal conductors side by side.
                  write 3 parallel -> 3 parallel 35 mm2 red 1 m
                c
                AWG 10 red 1 m
                ^^^^^^ syntax: The number stands before its unit: write `10 AWG`.
                  write 10 AWG -> 10 AWG red 1 m
                d
                16 mm red 1 m
                ^^^^^ wrong-unit: 16 mm is a length, but a conductor size belongs here: write it in mm2 or AWG.
                  write 16 mm2 -> 16 mm2 red 1 m
                e
                red 16 mm2 1 m
                ^^^^^^^^^^ syntax: A conductor's line begins with its size; the colour comes after it.
                  write 16 mm2 red -> 16 mm2 red 1 m
                f
                16 mm2 30 in engine-bay
                       ^^ wrong-unit: 30 what? m, cm, mm, ft or inch.
                         write 30 m -> 16 mm2 30 m in engine-bay
                         write 30 cm -> 16 mm2 30 cm in engine-bay
                         write 30 mm -> 16 mm2 30 mm in engine-bay
                         write 30 ft -> 16 mm2 30 ft in engine-bay
                         write 30 inch -> 16 mm2 30 inch in engine-bay
                g
                16 mm2 red
                ^^^^^^^^^^ missing-fact: This conductor has no length: measure it along the cable and write it here, such as `2.5 m`.
                h
                16 red 1 m
                ^^ wrong-unit: 16 what? mm2 or AWG.
                  write 16 mm2 -> 16 mm2 red 1 m
                  write 16 AWG -> 16 AWG red 1 m
                i
                16 mm2 red black 1 m
                           ^^^^^ syntax: This conductor has a colour already: take one away, or join two colours of one conductor by `/`.
                j
                16 mm2 tinned flex 1 m
                              ^^^^ syntax: This conductor names a cable already: take one of the two away, or correct the word if it is no cable.
                k
                16 mm2 red/lilac 1 m
                           ^^^^^ syntax: A colour belongs after `/`, and one conductor has at most three, such as `brown/yellow`.
                l
                core 1 of m 5 m
                            ^^^ syntax: A core takes a colour and a mark only: its size, length, cable and places are those of its multicore.
                m
                core 1 m
                       ^ syntax: `of` belongs here, not `m`.
                         write of before it -> core 1 of m
                n
                16 mm2 -3 m
                       ^^^^ impossible-value: -3 m is below zero, which a length never is: write it without the minus sign.
                         write 3 m -> 16 mm2 3 m
                o
                16 mm2 3 m mark
                           ^^^^ syntax: A mark is what is tied on the cable: letters, digits, `-`, `+`, `.` and `/` without a space, such as `mark D3`.
                p
                16 mm2 3 m mark a,b
                                 ^ syntax: `,` is not needed: words are parted by spaces, lines by their ends.
                                   take `,` away -> 16 mm2 3 m mark a b
                q
                5/0 AWG 3 m
                ^ syntax: There is no such wire gauge: AWG sizes are 40 to 1, then 1/0, 2/0, 3/0 and 4/0.
                r
                10.5 AWG 3 m
                ^^^^ syntax: There is no such wire gauge: AWG sizes are 40 to 1, then 1/0, 2/0, 3/0 and 4/0.
                s
                twin 3 m
                     ^^^ wrong-unit: 3 m is a length, but a conductor size belongs here: write it in mm2 or AWG.
                t
                2 parallel twin 35 mm2 3 m
                           ^^^^ syntax: A line is either `twin` or several in parallel: write one of the two.
                u
                16 mm2 2 parallel 3 m
                         ^^^^^^^^ syntax: `parallel` stands at the beginning of a conductor's line: move it before the size.
                v
                twin
                ^^^^ syntax: The conductor's size belongs here, such as `2.5 mm2` or `14 AWG`.
                w
                16 mm2 3 m in
                           ^^ syntax: A name belongs here: that of the place.
                x
                16 mm2 3 m bundled
                           ^^^^^^^ syntax: A whole number belongs here, such as `bundled 2`.
                y
                2,5 mm2 3 m
                ^^^ syntax: The decimal sign is a point: write `2.5`.
                  write 2.5 -> 2.5 mm2 3 m
                z
                16 mm2 3
                       ^ wrong-unit: 3 what? m, cm, mm, ft or inch.
                         write 3 m -> 16 mm2 3 m
                         write 3 cm -> 16 mm2 3 cm
                         write 3 mm -> 16 mm2 3 mm
                         write 3 ft -> 16 mm2 3 ft
                         write 3 inch -> 16 mm2 3 inch
                z
        "#]],
    );
}

#[test]
fn stops() {
    check(
        "\
run r
    house-1 plus
    16 mm2 1 m
    panel way
    16 mm2 1 m
    panel wya 1
    16 mm2 1 m
    ctl pc +
    16 mm2 1 m
    house-1 + +
    16 mm2 1 m
    + house-1
    16 mm2 1 m
    bar post 1.5
    16 mm2 1 m
    bar post 0
    16 mm2 1 m
    in engine-bay
",
        &expect![[r#"
            run r
                house-1 plus
                        ^^^^ unknown-terminal: `plus` is no terminal: after a part's name stands `way N`, `pole N` or a terminal such as `+`, `-`, `feed`, `out` or `post 3`.
                          write + -> house-1 +
                16 mm2 1 m
                panel way
                      ^^^ syntax: A whole number belongs here, such as `way 2`.
                16 mm2 1 m
                panel wya 1
                      ^^^ unknown-terminal: `wya` is no terminal: after a part's name stands `way N`, `pole N` or a terminal such as `+`, `-`, `feed`, `out` or `post 3`.
                        write way -> panel way 1
                16 mm2 1 m
                ctl pc +
                    ^^ unknown-terminal: `pc` is no terminal: after a part's name stands `way N`, `pole N` or a terminal such as `+`, `-`, `feed`, `out` or `post 3`.
                      write pv -> ctl pv +
                16 mm2 1 m
                house-1 + +
                          ^ syntax: `+` does not belong on this line: the line says all it can before it.
                16 mm2 1 m
                + house-1
                ^ syntax: A name belongs here: that of the part.
                16 mm2 1 m
                bar post 1.5
                         ^^^ syntax: A whole number belongs here, such as `post 2`.
                16 mm2 1 m
                bar post 0
                         ^ impossible-value: 0 is not possible here: `post` is from 1 to 1000.
                16 mm2 1 m
                in engine-bay
                   ^^^^^^^^^^ syntax: `in PLACE` stands before the run's first stop, for all its conductors, or on the line of one conductor.
        "#]],
    );
}

#[test]
fn the_order_of_steps() {
    check(
        "\
run a
run b
    x +
run c
    x +
    y +
run d
    x +
    16 mm2 red 1 m
    16 mm2 red 1 m
    y +
run e
    16 mm2 red 1 m
    y +
run f
    x +
    16 mm2 red 1 m
run g
    x way 1
    16 mm2 red 1 m
    back
run h
    x way 1
    16 mm2 red 1 m
    y
    back
    16 mm2 red 1 m
    z +
run i
    back
run j
    x way 1
    16 mm2 red 1 m
    y
    back
    z
run k
    x way 1
    16 mm2 red 1 m
    y
    back
    back
run l
    bypass-isolator
    x +
    16 mm2 red 1 m
    y +
",
        &expect![[r#"
            run a
                ^ missing-fact: This run has no steps: write a stop, the conductor to the next stop and that stop, each on a line below.
            run b
                x +
                ^^^ syntax: This run has one stop only: write the conductor that leaves it and the stop that it reaches, each on a line below.
            run c
                x +
                y +
                ^^^ syntax: Two stops follow each other: between them belongs the conductor that joins them, such as `2.5 mm2 red 1 m`.
                  insert a conductor, to be corrected -> 2.5 mm2 1 m
            run d
                x +
                16 mm2 red 1 m
                16 mm2 red 1 m
                ^^^^^^^^^^^^^^ syntax: Two conductors follow each other: between them belongs the stop where they meet, such as a joint or a busbar.
                  insert a stop, to be renamed -> joint-1
                y +
            run e
                16 mm2 red 1 m
                ^^^^^^^^^^^^^^ syntax: A run begins at a stop: name the part that this conductor comes from on a line above it.
                y +
            run f
                x +
                16 mm2 red 1 m
                ^^^^^^^^^^^^^^ syntax: A run ends at a stop: name the part that this conductor reaches on a line below it.
            run g
                x way 1
                16 mm2 red 1 m
                back
                ^^^^ syntax: `back` goes home from a stop: name the part where the way out ends on a line above it.
            run h
                x way 1
                16 mm2 red 1 m
                y
                back
                16 mm2 red 1 m
                ^^^^^^^^^^^^^^ syntax: After `back` alone the run is at its end: write `back to STOP` where it goes on from there.
                z +
            run i
                back
                ^^^^ syntax: A run begins at a stop, so there is no way to go back yet: write the way out first.
            run j
                x way 1
                16 mm2 red 1 m
                y
                back
                z
                ^ syntax: After `back` alone the run is at its end: `back to z` says where it lands.
            run k
                x way 1
                16 mm2 red 1 m
                y
                back
                back
                ^^^^ syntax: This run has gone back already: take one `back` away.
            run l
                bypass-isolator
                ^^^^^^^^^^^^^^^ unknown-fact: `bypass-isolator` is read as a stop of this run; did you mean `bypasses-isolator`?
                  write bypasses-isolator -> bypasses-isolator
                x +
                16 mm2 red 1 m
                y +
        "#]],
    );
}

#[test]
fn returns() {
    check(
        "\
run a
    x way 1
    16 mm2 red 1 m
    y
    back cabin-negative
run b
    x way 1
    16 mm2 red 1 m
    y
    back 2.5 mm2 black
run c
    x way 1
    16 mm2 red 1 m
    y
    back black black 6 m to
run d
    x way 1
    16 mm2 red 1 m
    y
    back in engine-bay
run e
    x way 1
    16 mm2 red 1 m
    y
    back core of mast
",
        &expect![[r#"
            run a
                x way 1
                16 mm2 red 1 m
                y
                back cabin-negative
                     ^^^^^^^^^^^^^^ syntax: A return takes a colour, a length, a core, a mark and `to STOP`; its size, cable and places are those of the way out.
                       write to cabin-negative -> back to cabin-negative
            run b
                x way 1
                16 mm2 red 1 m
                y
                back 2.5 mm2 black
                     ^^^ syntax: A return takes a colour, a length, a core, a mark and `to STOP`; its size, cable and places are those of the way out.
            run c
                x way 1
                16 mm2 red 1 m
                y
                back black black 6 m to
                                     ^^ syntax: A name belongs here: that of the part.
            run d
                x way 1
                16 mm2 red 1 m
                y
                back in engine-bay
                     ^^ syntax: A return takes a colour, a length, a core, a mark and `to STOP`; its size, cable and places are those of the way out.
            run e
                x way 1
                16 mm2 red 1 m
                y
                back core of mast
                          ^^ syntax: A whole number belongs here, such as `core 2`.
        "#]],
    );
}

#[test]
fn a_mistyped_first_word() {
    check(
        "run a
    x way 1
    twni 2.5 mm2 1 m
    y
    bakc black
run b
    x way 1
    2.5 mm2 1 m
    y
    bakc
run c
    x way 1
    twin 2.5 mm2 1 m
    y
    bck to bar
",
        &expect![[r#"
            run a
                x way 1
                twni 2.5 mm2 1 m
                ^^^^ syntax: `twni` begins no line of a run; did you mean `twin`?
                  write twin -> twin 2.5 mm2 1 m
                y
                bakc black
                ^^^^ syntax: `bakc` begins no line of a run; did you mean `back`?
                  write back -> back black
            run b
                x way 1
                2.5 mm2 1 m
                y
                bakc
                ^^^^ syntax: `bakc` is read as a stop of this run; did you mean `back`?
                  write back -> back
            run c
                x way 1
                twin 2.5 mm2 1 m
                y
                bck to bar
                ^^^ syntax: `bck` begins no line of a run; did you mean `back`?
                  write back -> back to bar
        "#]],
    );
}

#[test]
fn slashes_are_no_comment() {
    check(
        "// a plan of Curlew
fuse f blade 15 A // the main one
run r
    a + // here
    2.5 mm2 1 m //there
    b // and there
",
        &expect![[r#"
            // a plan of Curlew
            ^^ syntax: A comment begins with `#`: what follows `//` is read as part of the plan.
              write # -> # a plan of Curlew
            fuse f blade 15 A // the main one
                              ^^ syntax: A comment begins with `#`: what follows `//` is read as part of the plan.
                                write # -> fuse f blade 15 A # the main one
            run r
                a + // here
                    ^^ syntax: A comment begins with `#`: what follows `//` is read as part of the plan.
                      write # -> a + # here
                2.5 mm2 1 m //there
                            ^^ syntax: A comment begins with `#`: what follows `//` is read as part of the plan.
                              write # -> 2.5 mm2 1 m #there
                b // and there
                  ^^ syntax: A comment begins with `#`: what follows `//` is read as part of the plan.
                    write # -> b # and there
        "#]],
    );
}
