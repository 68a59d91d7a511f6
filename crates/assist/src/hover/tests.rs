//! Whole hovers over the notation's example.

use expect_test::{Expect, expect};

use super::hover;
use crate::fixture::{CURLEW, curlew_at, pointed};

/// The hover over the place `by` bytes into the first `words` of the example.
fn check(words: &str, by: usize, expected: &Expect) {
    let here = curlew_at(words, by);
    let shown = hover(&here.plan, 0, here.at).map_or_else(
        || "nothing".to_owned(),
        |hover| {
            format!(
                "[{}]\n{}",
                &here.text[hover.at.range.clone()],
                hover.doc.plain()
            )
        },
    );
    expected.assert_eq(&shown);
}

fn over(fixture: &str) -> String {
    let here = pointed(fixture);
    hover(&here.plan, 0, here.at).map_or_else(String::new, |hover| hover.doc.plain())
}

#[test]
fn a_conductor_in_the_engine_bay() {
    check(
        "16 mm2 red 0.15 m",
        4,
        &expect![[r#"
            [16 mm2 red 0.15 m in engine-bay]
            16 mm² red 0.15 m

            From house-1 + to house-fuse feed, mark domestic-feed+1, a made mark.

            by the rule       current        lost here       up to here
            evening             8.2 A  0.001 V, 0.01 %  0.001 V, 0.01 %
            night              0.17 A     0.000 V, 0 %     0.000 V, 0 %
            passage            2.03 A     0.000 V, 0 %     0.000 V, 0 %
            everything          9.2 A  0.001 V, 0.01 %  0.001 V, 0.01 %
            fresh-pump alone      7 A  0.001 V, 0.01 %  0.001 V, 0.01 %

            Lost here in everything, E: K × I × L / S = 0.0164 × 9.2 A × 0.15 m / 16 mm² = 0.00141 V (ISO 13297:2020, Annex C; two quotations).

            It has to carry 9.2 A, in everything. It may carry 102 A:

            - 6 AWG row, the next below 16 mm², 105 °C column: 120 A (33 CFR 183.425, Table 5; two quotations)
            - ambient 50 °C: 120 A × 0.85 = 102 A (33 CFR 183.425, Table 5, note 1; two quotations)

            It lies at 50 °C in engine-bay.

            As wired it carries at most 9.25 A, in everything, and grows to 50.4 °C: 50 °C + (105 °C - 30 °C) × (9.25 A / 120 A)² (the line of the ambient factors of NEC 310.15(B)(1); derived). Its insulation bears 105 °C.

            No device stands between it and a battery: it ends 0.15 m from the post, and 0.178 m are allowed.

            Short circuits: the smallest, at house-fuse feed and from house-1 alone, draws 704 A: 12.30 V / (4 mΩ in it + 0.45 mΩ out + 13 mΩ home). No device stands before it that could stop it.

            16 mm²: nearest to 6 AWG (13.3 mm²); made next to it: 10 mm² and 25 mm²."#]],
    );
}

#[test]
fn what_back_made() {
    check(
        "back black",
        1,
        &expect![[r#"
            [back black]
            1.5 mm² black 6 m

            From cabin-lights - to cabin-negative, mark lights-1, made by back.

            by the rule         current        lost here   from here home
            evening               1.2 A  0.079 V, 0.66 %  0.142 V, 1.18 %
            passage               1.2 A  0.079 V, 0.66 %  0.094 V, 0.79 %
            everything            1.2 A  0.079 V, 0.66 %  0.149 V, 1.25 %
            cabin-lights alone    1.2 A  0.079 V, 0.66 %  0.088 V, 0.73 %

            Lost here in evening, E: K × I × L / S = 0.0164 × 1.2 A × 6 m / 1.5 mm² = 0.0787 V (ISO 13297:2020, Annex C; two quotations).

            It has to carry 1.2 A, in cabin-lights alone. It may carry 25 A:

            - 16 AWG row, the next below 1.5 mm², 105 °C column: 25 A (33 CFR 183.425, Table 5; two quotations)

            It lies at 25 °C, the boat's.

            As wired it carries at most 1.22 A, in everything, and grows to 25.2 °C: 25 °C + (105 °C - 30 °C) × (1.22 A / 25 A)² (the line of the ambient factors of NEC 310.15(B)(1); derived). Its insulation bears 105 °C.

            A return, protected by cabin-panel way 1, fuse 5 A of a circuit that comes home through it: 5 A can flow for ever; 25 A are allowed, 100 % of what it may carry (UK small commercial vessel code, 8.2.4; one quotation)."#]],
    );
    check(
        "back\n\nmulticore",
        1,
        &expect![[r#"
            [back]
            twin 2.5 mm² 5 m

            From fresh-pump - to cabin-negative, mark pump+1, made by back.

            by the rule       current        lost here   from here home
            evening               7 A  0.230 V, 1.91 %  0.293 V, 2.44 %
            everything            7 A  0.230 V, 1.91 %   0.300 V, 2.5 %
            fresh-pump alone      7 A  0.230 V, 1.91 %  0.283 V, 2.36 %

            Lost here in evening, E: K × I × L / S = 0.0164 × 7 A × 5 m / 2.5 mm² = 0.23 V (ISO 13297:2020, Annex C; two quotations).

            It has to carry 7 A, in fresh-pump alone. It may carry 35 A:

            - 14 AWG row, the next below 2.5 mm², 105 °C column: 35 A (33 CFR 183.425, Table 5; two quotations)

            It lies at 25 °C, the boat's.

            As wired it carries at most 7 A, in evening, and grows to 28 °C: 25 °C + (105 °C - 30 °C) × (7 A / 35 A)² (the line of the ambient factors of NEC 310.15(B)(1); derived). Its insulation bears 105 °C.

            A return, protected by cabin-panel way 2, fuse 10 A of a circuit that comes home through it: 10 A can flow for ever; 35 A are allowed, 100 % of what it may carry (UK small commercial vessel code, 8.2.4; one quotation)."#]],
    );
}

#[test]
fn a_bank_s_link() {
    check(
        "35 mm2 red",
        8,
        &expect![[r#"
            [35 mm2 red 0.3 m in engine-bay]
            35 mm² red 0.3 m

            From house-1 + to house-2 +, mark house-link-positive+1, a made mark.

            by the rule       current     lost here    up to here
            evening             4.1 A  0.000 V, 0 %  0.000 V, 0 %
            night              0.08 A  0.000 V, 0 %  0.000 V, 0 %
            passage            1.02 A  0.000 V, 0 %  0.000 V, 0 %
            everything          4.6 A  0.000 V, 0 %  0.000 V, 0 %
            fresh-pump alone    3.5 A  0.000 V, 0 %  0.000 V, 0 %

            A link inside a bank: by the rule it loses nothing, and it must carry the bank's whole current.

            It has to carry 9.2 A, in everything. It may carry 179 A:

            - 2 AWG row, the next below 35 mm², 105 °C column: 210 A (33 CFR 183.425, Table 5; two quotations)
            - ambient 50 °C: 210 A × 0.85 = 178 A (33 CFR 183.425, Table 5, note 1; two quotations)

            It lies at 50 °C in engine-bay.

            As wired it carries at most 4.62 A, in everything, and grows to 50 °C: 50 °C + (105 °C - 30 °C) × (4.62 A / 210 A)² (the line of the ambient factors of NEC 310.15(B)(1); derived). Its insulation bears 105 °C.

            Inside a bank no device stands between it and a battery.

            Short circuits: the smallest, at house-1 + and from house-2 alone, draws 722 A: 12.30 V / (4 mΩ in it + 0.43 mΩ out + 12.6 mΩ home). No device stands before it that could stop it.

            red: the colour red, RD in IEC 60757."#]],
    );
}

#[test]
fn a_load_with_its_whole_circuit() {
    check(
        "fresh-pump \"",
        1,
        &expect![[r#"
            [fresh-pump]
            load fresh-pump Fresh-water pump

            It takes 7 A.

            Its way from the source and back, evening:

            way                           current  lost here     left
            house-1 +                                         12.00 V
            16 mm² red 0.15 m               8.2 A    0.001 V  12.00 V
            house-fuse 80 A                 8.2 A             12.00 V
            16 mm² red 0.4 m                8.2 A    0.003 V  12.00 V
            house-isolator                  8.2 A             12.00 V
            16 mm² red 7 m                  8.2 A    0.059 V  11.94 V
            cabin-panel way 2, fuse 10 A      7 A             11.94 V
            twin 2.5 mm² 5 m                  7 A    0.230 V  11.71 V
            fresh-pump 7 A                    7 A             11.71 V
            twin 2.5 mm² 5 m                  7 A    0.230 V  11.48 V
            16 mm² black 7.5 m              8.2 A    0.063 V  11.41 V

            By the rule 0.586 V are lost on the way and back, 4.88 %; 11.41 V are left. The limit is 10 % (ABYC E-11, other lighting and non-critical circuits; two quotations). As wired, from a battery half charged, it gets 11.43 V.

            by the rule  current    volts    lost  as wired
            evening          7 A  11.41 V  4.88 %   11.43 V
            everything       7 A  11.40 V  5.01 %   11.41 V
            alone            7 A  11.43 V  4.73 %   11.46 V

            Short circuits: the smallest, at fresh-pump + and from house-1 alone, draws 81.2 A: 12.30 V / (4 mΩ in it + 79.5 mΩ out + 68 mΩ home). Its device has opened within 0.97 s (slow-blow tube fuses as commonly made; from memory); the conductor bears it for 9.41 s. Right behind cabin-panel way 2 it is 627 A at most.

            As wired, from a battery half charged and with its cables as warm as they grow, it gets least in everything: 11.41 V.

            In a day it takes 7 A for 0.4 h, 2.8 Ah.

            It needs at least 11 V."#]],
    );
}

#[test]
fn a_busbar() {
    check(
        "cabin-negative negative",
        1,
        &expect![[r#"
        [cabin-negative]
        busbar cabin-negative

        4 of 10 posts taken, 6 free.

        It carries 9.2 A, of 100 A, in everything."#]],
    );
}

#[test]
fn a_battery() {
    check(
        "house-2 like",
        1,
        &expect![[r#"
            [house-2]
            battery house-2

            It holds 100 Ah. Half charged it rests at 12.3 V (two quotations). Its inner resistance is taken as 4 mΩ (from memory).

            A bank of 200 Ah at 12 V: house-1, house-2. Its links:

            - 35 mm² red 0.3 m, house-1 + to house-2 +
            - 35 mm² black 0.3 m, house-1 - to house-2 -

            moment      the bank gives  this one, as wired
            evening              8.2 A              4.11 A
            night               0.17 A              0.08 A
            passage             2.03 A              1.02 A
            everything           9.2 A              4.62 A

            100 Ah of it may be used, 50 % (common practice). A day takes 7.6 Ah out of it. With nothing charging it lasts at most 13 days.

            Behind its 4 mΩ (from memory) and the bank's links it gives 4.6 A of 9.2 A in everything; by its ampere-hours its share is 4.6 A, so that it is 0 % off (over 20 % is worth a word; common practice).

            Where the plan says nothing:

            - resistance: by chemistry and size: at 12 V and 100 Ah flooded 6, gel 5, AGM 4, lithium 3 mohm (from memory)
            - usable: lead-acid 50 %, lithium 80 % (common practice)
            - charge-limit: flooded and gel 0.2, AGM 0.3, lithium 0.5 A for each Ah (common practice)"#]],
    );
}

#[test]
fn a_fuse_a_way_and_a_panel() {
    check(
        "house-fuse bolt-down",
        1,
        &expect![[r#"
            [house-fuse]
            fuse house-fuse

            It carries 9.2 A of its 80 A at most, in everything.

            It feeds cabin-lights, fresh-pump, tricolour, anchor-light.

            It protects domestic-feed+2, domestic-feed+3, the weakest of which may carry 102 A.

            A short circuit right behind it draws 5734 A at most: 13.00 V / 2.27 mΩ, with nothing counted on the way home; a battery's inner resistance is from memory. The smallest, at cabin-panel and from house-1 alone, draws 390 A: 12.30 V / (4 mΩ in it + 14.5 mΩ out + 13 mΩ home). It can stop 10000 A (the plan), up to 32 V (ISO 8820-4, 32 or 58 V; one quotation); its circuit is charged at 14.4 V."#]],
    );
    check(
        "way 2 fuse",
        1,
        &expect![[r#"
            [way 2 fuse 10 A]
            cabin-panel way 2

            cabin-panel way 2, fuse 10 A.

            It carries 7 A of its 10 A at most, in fresh-pump alone.

            It feeds fresh-pump.

            It protects pump+1, the weakest of which may carry 35 A.

            A short circuit right behind it draws 627 A at most: 13.00 V / 20.7 mΩ, coming home from cabin-negative; a battery's inner resistance is from memory. The smallest, at fresh-pump + and from house-1 alone, draws 81.2 A: 12.30 V / (4 mΩ in it + 79.5 mΩ out + 68 mΩ home). What it can stop is not known and not asked."#]],
    );
    check(
        "cabin-panel 100 A",
        1,
        &expect![[r#"
            [cabin-panel]
            panel cabin-panel

            way             at most    of
            1 cabin-lights    1.2 A   5 A
            2 fresh-pump        7 A  10 A
            3 tricolour      0.83 A   3 A
            4 anchor-light   0.17 A   3 A"#]],
    );
}

/// On its panel's name too: who points at `cabin-panel way 2` means the way.
#[test]
fn a_way_in_a_run() {
    for by in [1, "cabin-panel ".len(), "cabin-panel way ".len()] {
        let here = curlew_at("cabin-panel way 2", by);
        let shown = hover(&here.plan, 0, here.at).unwrap().doc.plain();
        assert!(shown.starts_with("cabin-panel way 2\n"), "{by}: {shown}");
    }
    // No such way stands in the panel: what there is to say is the panel's.
    let text = CURLEW.replace("cabin-panel way 2", "cabin-$0panel way 77");
    assert!(over(&text).starts_with("panel cabin-panel"));
}

#[test]
fn things_that_are_no_parts() {
    check(
        "tinned-flex tinned",
        1,
        &expect![[r#"
            [tinned-flex]
            cable tinned-flex

            Tinned copper, flexible.

            Its insulation stands 105 °C.

            Where the plan says nothing:

            - flexible: so unless `stranded` is said (common practice)"#]],
    );
    check(
        "engine-bay engine-space",
        1,
        &expect![[r#"
            [engine-bay]
            place engine-bay

            An engine space: 50 °C (33 CFR 183.425, Table 5, note 1; two quotations).

            4 conductors name it."#]],
    );
    check(
        "evening \"",
        1,
        &expect![[r#"
        [evening]
        case evening Evening at anchor

        8.2 A together: cabin-lights 1.2 A, fresh-pump 7 A."#]],
    );
    check(
        "domestic-feed \"",
        1,
        &expect![[r#"
        [domestic-feed]
        run domestic-feed Domestic feed

        3 conductors, 7.55 m in all; at most 9.2 A, in everything."#]],
    );
    check(
        "mast-cable 3",
        1,
        &expect![[r#"
            [mast-cable]
            multicore mast-cable

            Multicore: several cores in one sheath that different runs use, such as the cable up a mast.

            3 of 3 cores used: core 1 in tricolour, core 2 in anchor-light, core 3 in tricolour."#]],
    );
}

#[test]
fn words_and_quantities() {
    check(
        "bolt-down",
        1,
        &expect![[r#"
        [bolt-down]
        blade/strip/bolt-down/cartridge/class-t: how it is built, which decides what fault it can stop.

        bolt-down: a sealed fuse bolted between two studs, for a battery's main feed."#]],
    );
    check(
        "minimum 11",
        9,
        &expect![[r#"
        [minimum 11 V]
        minimum V: the lowest voltage it works at.

        Where it is not said: 10.5 V in a 12 V system, as an advice (common practice)."#]],
    );
    check(
        "busbar cabin",
        1,
        &expect![[r#"
        [busbar]
        busbar: a bar of brass or copper with many screws, where conductors of one polarity meet.

        Written busbar cabin-negative negative 100 A posts 10."#]],
    );
    check(
        "on cabin-lights",
        0,
        &expect![[r#"
        [on]
        on: the load or source runs; a current or power says how much.

        Written on NAME [A or W]."#]],
    );
    check("# Curlew", 3, &expect!["nothing"]);
}

#[test]
fn a_title_is_never_markup() {
    let text = "boat b system 12 V\nload $0l \"[x](command:evil) <img src=a>\" pump 5 A\n";
    let here = pointed(text);
    let shown = hover(&here.plan, 0, here.at).unwrap().doc.markdown();
    assert!(
        shown.contains("\\[x\\](command:evil) \\<img src=a\\>"),
        "{shown}"
    );
}

#[test]
fn a_finding_that_is_allowed() {
    let shown = over("load l pump 5 A\n    allow excess-dr$0op up to 12 % \"short\"\n");
    assert!(shown.contains("excess-drop"), "{shown}");
}

#[test]
fn a_hover_as_markdown() {
    let here = curlew_at("1.5 mm2 red 4 m", 0);
    let shown = hover(&here.plan, 0, here.at).unwrap().doc.markdown();
    expect![[r#"
        ### 1.5 mm² red 4 m

        From cabin-panel way 1 to lights-switch feed, mark `lights+1`, a made mark.

        | by the rule | current | lost here | up to here |
        | :-- | --: | --: | --: |
        | evening | 1.2 A | 0.052 V, 0.44 % | 0.116 V, 0.97 % |
        | passage | 1.2 A | 0.052 V, 0.44 % | 0.068 V, 0.57 % |
        | everything | 1.2 A | 0.052 V, 0.44 % | 0.124 V, 1.03 % |
        | cabin-lights alone | 1.2 A | 0.052 V, 0.44 % | 0.062 V, 0.51 % |

        Lost here in evening, E: K × I × L / S = 0.0164 × 1.2 A × 4 m / 1.5 mm² = 0.0525 V (ISO 13297:2020, Annex C; two quotations).

        It has to carry 1.2 A, in cabin-lights alone. It may carry **25 A**:

        - 16 AWG row, the next below 1.5 mm², 105 °C column: 25 A (33 CFR 183.425, Table 5; two quotations)

        It lies at 25 °C, the boat's.

        As wired it carries at most 1.22 A, in everything, and grows to 25.2 °C: 25 °C + (105 °C - 30 °C) × (1.22 A / 25 A)² (the line of the ambient factors of NEC 310.15(B)(1); derived). Its insulation bears 105 °C.

        Protected by cabin-panel way 1, fuse 5 A: into a short 5 A can flow for ever; 25 A are allowed, 100 % of what it may carry (UK small commercial vessel code, 8.2.4; one quotation).

        Short circuits: the smallest, at lights-switch feed and from house-1 alone, draws 52.4 A: 12.30 V / (4 mΩ in it + 108 mΩ out + 123 mΩ home). Its device has opened within 0.27 s (slow-blow tube fuses as commonly made; from memory); the conductor bears it for 8.72 s.

        1.5 mm²: nearest to 16 AWG (1.31 mm²); made next to it: 1 mm² and 2.5 mm²."#]].assert_eq(&shown);
}

#[test]
fn a_limit_from_memory_has_the_published_one_beside_it() {
    let text = CURLEW.replace("    ambient 25 C", "    ambient 25 C\n    rules iso-13297");
    let here = pointed(&text.replace("1.5 mm2 red 4 m", "1.5 mm2 r$0ed 4 m"));
    let shown = hover(&here.plan, 0, here.at).unwrap().doc.plain();
    expect![[r#"
        1.5 mm² red 4 m

        From cabin-panel way 1 to lights-switch feed, mark lights+1, a made mark.

        by the rule         current        lost here       up to here
        evening               1.2 A  0.052 V, 0.44 %  0.116 V, 0.97 %
        passage               1.2 A  0.052 V, 0.44 %  0.068 V, 0.57 %
        everything            1.2 A  0.052 V, 0.44 %  0.124 V, 1.03 %
        cabin-lights alone    1.2 A  0.052 V, 0.44 %  0.062 V, 0.51 %

        Lost here in evening, E: K × I × L / S = 0.0164 × 1.2 A × 4 m / 1.5 mm² = 0.0525 V (ISO 13297:2020, Annex C; two quotations).

        It has to carry 1.2 A, in cabin-lights alone. It may carry 25 A:

        - 1.5 mm², 105 °C column: 25 A (ISO 13297:2020, Annex A, Table A.1; from memory)

        That is from memory; by the published table it may carry 25 A:

        - 16 AWG row, the next below 1.5 mm², 105 °C column: 25 A (33 CFR 183.425, Table 5; two quotations)

        It lies at 25 °C, the boat's.

        As wired it carries at most 1.22 A, in everything, and grows to 25.2 °C: 25 °C + (105 °C - 30 °C) × (1.22 A / 25 A)² (the line of the ambient factors of NEC 310.15(B)(1); derived). Its insulation bears 105 °C.

        Protected by cabin-panel way 1, fuse 5 A: into a short 5 A can flow for ever; 25 A are allowed, 100 % of what it may carry (ISO 13297:2020, 13.1.5 (of its part on alternating current); one quotation).

        Short circuits: the smallest, at lights-switch feed and from house-1 alone, draws 52.4 A: 12.30 V / (4 mΩ in it + 108 mΩ out + 123 mΩ home). Its device has opened within 0.27 s (slow-blow tube fuses as commonly made; from memory); the conductor bears it for 8.72 s.

        red: the colour red, RD in IEC 60757."#]].assert_eq(&shown);
}

#[test]
fn a_battery_that_is_charged_takes() {
    let shown = over(
        "boat b system 12 V\nbattery hou$0se agm 100 Ah\ncharger mains 10 A\n\
         run a\n    mains +\n    4 mm2 1 m\n    house +\nrun b\n    mains -\n    4 mm2 1 m\n    house -\n\
         case charging\n    on mains\n",
    );
    assert!(shown.contains("takes 10 A"), "{shown}");
}

#[test]
fn a_kind_at_the_margin_is_that_kind() {
    let shown = over("boat b system 12 V\nbat$0tery house agm 60 Ah\n");
    assert!(shown.contains("battery house-1 agm"), "{shown}");
    let shown = over("boat b system 12 V\npan$0el p\n");
    assert!(shown.starts_with("panel: one feed parted"), "{shown}");
}

#[test]
fn a_note_reads_on_over_its_lines() {
    let shown = over(
        "boat b system 12 V\n# Hot, and the batteries\n# breathe into it.\n#\n# Mind:\n\
         # - the louvre\nplace engine$0-bay\n",
    );
    expect![[r#"
        place engine-bay

        Hot, and the batteries breathe into it.

        Mind:

        - the louvre

        As warm as the boat's ambient.

        No conductor names it."#]]
    .assert_eq(&shown);
}

#[test]
fn only_what_is_drawn_is_also_power() {
    let boat = "boat b system 12 V\n";
    let breaks = over(&format!("{boat}fuse f blade 10 A\n    breaks $010 kA\n"));
    assert!(breaks.starts_with("breaks A: "), "{breaks}");
    assert!(!breaks.contains('W'), "{breaks}");
    let draws = over(&format!("{boat}load l pump $07 A\n"));
    assert!(draws.ends_with("7 A = 84 W at 12 V"), "{draws}");
    let draws = over(&format!("{boat}load l pump $060 W\n"));
    assert!(draws.ends_with("60 W = 5 A at 12 V"), "{draws}");
}

#[test]
fn one_conductor_is_one() {
    let shown = over(
        "boat b system 12 V\nbattery a agm 60 Ah\nload l lighting 2 A\nrun lam$0p\n    a +\n    1.5 mm2 3 m\n    l +\n",
    );
    assert!(shown.contains("1 conductor, 3 m in all"), "{shown}");
}
