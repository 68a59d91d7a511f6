//! The written form, line by line.

use ampwright_notation::{
    File,
    format::{Edit, format, format_edits},
};

fn check(before: &str, after: &str) {
    assert_eq!(format(&File::parse(before)), after);
}

#[test]
fn the_example_is_in_the_written_form() {
    let curlew = include_str!("curlew.boat");
    check(curlew, curlew);
    assert_eq!(format_edits(&File::parse(curlew)), []);
}

#[test]
fn words_and_units() {
    check(
        "load  p   pump 7A\n\tminimum 11V\n",
        "load p pump 7 A\n    minimum 11 V\n",
    );
    check(
        "load p pump 30% earthed  block\n",
        "load p pump 30 % earthed block\n",
    );
    check(
        "load l lighting 6 × 2.4W 4h/day\n",
        "load l lighting 6 x 2.4 W 4 h/day\n",
    );
    check(
        "battery b agm 100Ah resistance 4mΩ\n",
        "battery b agm 100 Ah resistance 4 mohm\n",
    );
    check("load h heater 2\u{2126}\n", "load h heater 2 ohm\n");
    check(
        "place e ambient 40°C openings 60cm²\n",
        "place e ambient 40 C openings 60 cm2\n",
    );
    check("place e ambient \u{2212}5 °C\n", "place e ambient -5 C\n");
    check("load p\u{a0}pump 7\u{a0}A\n", "load p pump 7 A\n");
}

#[test]
fn runs() {
    check(
        "run r\n  house-1+\n 35mm² brown / yellow 0.3m in  bay mark D-3/a\n      house-2−\n",
        "run r\n    house-1 +\n    35 mm2 brown/yellow 0.3 m in bay mark D-3/a\n    house-2 -\n",
    );
    check(
        "run r\n a+\n 2 / 0AWG 3m\n b\n back to c+\n",
        "run r\n    a +\n    2/0 AWG 3 m\n    b\n    back to c +\n",
    );
}

#[test]
fn marks_stay_as_they_are() {
    let line = "    2.5 mm2 mark 35mm2+1 3 m\n";
    check(
        &format!("run r\n    a +\n{line}    b +\n"),
        &format!("run r\n    a +\n{line}    b +\n"),
    );
    // Here `mark` is a place.
    check(
        "run r\n    a +\n    2.5 mm2 in mark 3m\n    b +\n",
        "run r\n    a +\n    2.5 mm2 in mark 3 m\n    b +\n",
    );
}

#[test]
fn a_name_that_looks_like_a_unit_stays() {
    let text = "run r\n    a +\n    2.5 mm2 3 m bundled 3 Ω\n    b +\n";
    check(text, text);
}

#[test]
fn comments_and_blank_lines() {
    check(
        "\n\n# a  b \nboat b system 12 V# c\n\n \t\n\n  # d\n\n\n",
        "# a  b\nboat b system 12 V # c\n\n    # d\n",
    );
    check("# only", "# only\n");
    check("\n \n", "");
    check("", "");
}

#[test]
fn line_endings_and_the_byte_order_mark_stay() {
    check(
        "\u{feff}\r\n\r\nboat b system 12V\r\n\r\n\r\nload l pump 1A",
        "\u{feff}boat b system 12 V\r\n\r\nload l pump 1 A\r\n",
    );
    check(
        "boat b system 12V\r  rules baseline\r",
        "boat b system 12 V\r    rules baseline\r",
    );
    // No byte-order mark, since it does not stand at the top.
    check("\n\n\u{feff}", "\n\n\u{feff}\n");
    // The blank between must not fall away and make one line ending of two.
    check("block a\r \nblock b\r", "block a\r\rblock b\r");
}

#[test]
fn what_could_not_be_read_stays() {
    check(
        "load p pump 7A\n  minimun   11V\n  minimum   11V\nthing  a\n  b   c\n",
        "load p pump 7 A\n  minimun   11V\n    minimum 11 V\nthing  a\n  b   c\n",
    );
}

#[test]
fn what_is_only_impossible_is_written() {
    check("load p pump   -7A\n", "load p pump -7 A\n");
}

#[test]
fn edits_are_small() {
    let edits = format_edits(&File::parse("load p pump 7A\nblock  b\n"));
    let edit = |range, text: &str| Edit {
        range,
        text: text.to_owned(),
    };
    assert_eq!(edits, [edit(13..13, " "), edit(21..22, "")]);
}
