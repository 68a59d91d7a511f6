//! Ways through the notation's example and through two banks.

use ampwright_plan::Plan;
use expect_test::expect;

use super::{Way, What, When, worst};
use crate::fixture::{CURLEW, pointed};

fn way(plan: &Plan, load: &str, when: Option<When>) -> Way {
    let part = plan.model.part(load).unwrap();
    let draw = plan.study.base.draw_of[&part];
    Way::of(plan, draw, when.unwrap_or_else(|| worst(plan, draw))).unwrap()
}

fn lost(way: &Way, of: impl Fn(&str) -> bool, plan: &Plan) -> f64 {
    let of_run = |step: &&super::Step| match step.what {
        What::Conductor(index) => {
            of(&plan.model.runs.list[plan.wiring.conductors[index as usize].run as usize].name)
        }
        _ => false,
    };
    way.steps
        .iter()
        .filter(of_run)
        .map(|step| step.rule.drop)
        .sum()
}

/// The hand sheet of the notation's example, to its last printed digit: by the formula
/// 0.0164 x I x L / S (published-values, S2).
#[test]
fn curlew_at_anchor_as_by_hand() {
    let plan = Plan::of_text(CURLEW);
    let near = |a: f64, b: f64, by: f64| assert!((a - b).abs() <= by, "{a} is not {b}");
    let pump = way(&plan, "fresh-pump", None);
    assert_eq!(pump.when.name(&plan, pump.draw), "evening");
    near(
        lost(&pump, |run| run.starts_with("domestic"), &plan),
        0.127,
        0.001,
    );
    near(lost(&pump, |run| run == "pump", &plan), 0.459, 0.0005);
    near(pump.drop(), 0.586, 0.0005);
    near(pump.percent(), 4.88, 0.005);
    let lights = way(&plan, "cabin-lights", None);
    near(lost(&lights, |run| run == "lights", &plan), 0.157, 0.0005);
    near(lights.drop(), 0.284, 0.0005);
    near(lights.percent(), 2.37, 0.005);
    near(lights.steps[1].rule.amps, 8.2, 1e-9);
}

#[test]
fn the_pump_s_way_step_by_step() {
    let plan = Plan::of_text(CURLEW);
    expect![[r#"
        fresh-pump, evening

        step                          current  lost here  up to here  of nominal     left
        house-1 +                                            0.000 V         0 %  12.00 V
        16 mm² red 0.15 m               8.2 A    0.001 V     0.001 V      0.01 %  12.00 V
        house-fuse 80 A                 8.2 A                0.001 V      0.01 %  12.00 V
        16 mm² red 0.4 m                8.2 A    0.003 V     0.005 V      0.04 %  12.00 V
        house-isolator                  8.2 A                0.005 V      0.04 %  12.00 V
        16 mm² red 7 m                  8.2 A    0.059 V     0.063 V      0.53 %  11.94 V
        cabin-panel way 2, fuse 10 A      7 A                0.063 V      0.53 %  11.94 V
        twin 2.5 mm² 5 m                  7 A    0.230 V     0.293 V      2.44 %  11.71 V
        fresh-pump 7 A                    7 A                0.293 V      2.44 %  11.71 V
        twin 2.5 mm² 5 m                  7 A    0.230 V     0.523 V      4.36 %  11.48 V
        cabin-negative                                       0.523 V      4.36 %  11.48 V
        16 mm² black 7.5 m              8.2 A    0.063 V     0.586 V      4.88 %  11.41 V
        house-2 -                                            0.586 V      4.88 %  11.41 V

        By the rule 0.586 V are lost on the way and back, 4.88 %; 11.41 V are left. The limit is 10 % (ABYC E-11, other lighting and non-critical circuits; two quotations)."#]].assert_eq(&way(&plan, "fresh-pump", None).table(&plan).plain());
}

#[test]
fn what_a_core_and_a_plug_look_like() {
    let plan = Plan::of_text(CURLEW);
    expect![[r#"
        anchor-light, alone

        step                               current  lost here  up to here  of nominal     left
        house-1 +                                                 0.000 V         0 %  12.00 V
        16 mm² red 0.15 m                   0.17 A    0.000 V     0.000 V         0 %  12.00 V
        house-fuse 80 A                     0.17 A                0.000 V         0 %  12.00 V
        16 mm² red 0.4 m                    0.17 A    0.000 V     0.000 V         0 %  12.00 V
        house-isolator                      0.17 A                0.000 V         0 %  12.00 V
        16 mm² red 7 m                      0.17 A    0.001 V     0.001 V      0.01 %  12.00 V
        cabin-panel way 4, fuse 3 A         0.17 A                0.001 V      0.01 %  12.00 V
        1.5 mm² red 5 m                     0.17 A    0.009 V     0.010 V      0.09 %  11.99 V
        deck-plug pole 2                                          0.010 V      0.09 %  11.99 V
        core 2 of mast-cable 1.5 mm² 12 m   0.17 A    0.022 V     0.032 V      0.27 %  11.97 V
        anchor-light 0.17 A                 0.17 A                0.032 V      0.27 %  11.97 V
        1.5 mm² black 0.1 m                 0.17 A    0.000 V     0.032 V      0.27 %  11.97 V
        tricolour -                                               0.032 V      0.27 %  11.97 V
        core 3 of mast-cable 1.5 mm² 12 m   0.17 A    0.022 V     0.054 V      0.45 %  11.95 V
        deck-plug pole 3                                          0.054 V      0.45 %  11.95 V
        1.5 mm² black 5 m                   0.17 A    0.009 V     0.063 V      0.53 %  11.94 V
        cabin-negative                                            0.063 V      0.53 %  11.94 V
        16 mm² black 7.5 m                  0.17 A    0.001 V     0.065 V      0.54 %  11.94 V
        house-2 -                                                 0.065 V      0.54 %  11.94 V

        By the rule 0.065 V are lost on the way and back, 0.54 %; 11.94 V are left. The limit is 3 % (ABYC E-11, navigation lights; two quotations)."#]].assert_eq(
        &way(&plan, "anchor-light", Some(When::Alone))
            .table(&plan)
            .plain(),
    );
}

#[test]
fn the_real_network_beside_the_rule() {
    let plan = Plan::of_text(CURLEW);
    let way = way(&plan, "fresh-pump", None).with_wired(&plan);
    let left = way.left_wired().unwrap();
    // Less than by the rule: battery, fuses and crimps lose volts too, from 12.3 V at rest.
    assert!(left > 11.0 && left < 12.3 - way.drop() + 0.1, "{left}");
    let figures = way.steps[way.load].wired.unwrap();
    assert!((figures.amps - 7.0).abs() < 1e-6);
}

const TWO_BANKS: &str = "boat b system 12 V
battery house agm 100 Ah
battery engine flooded 80 Ah
selector which 100 A positions off 1 2 both
fuse f bolt-down 30 A
busbar minus negative 100 A posts 9
load lamp lighting 12 W
run a
    house +
    10 mm2 1 m
    which 1
run b
    engine +
    10 mm2 2 m
    which 2
run c
    which common
    10 mm2 1 m
    f
    2.5 mm2 5 m
    lamp
    2.5 mm2 5 m
    minus
run d
    minus
    10 mm2 1 m
    house -
run e
    minus
    10 mm2 1 m
    engine -
case on-one
    on lamp
case on-two
    on lamp
    set which 2
";

#[test]
fn home_leads_to_the_battery_that_it_came_from() {
    let plan = pointed(TWO_BANKS).plan;
    for (moment, battery) in [(0, "house"), (1, "engine")] {
        let way = way(&plan, "lamp", Some(When::Moment(moment)));
        assert_eq!(way.steps[0].words, format!("{battery} +"));
        assert_eq!(way.steps.last().unwrap().words, format!("{battery} -"));
    }
}

const RING: &str = "boat b system 24 V
battery one agm 100 Ah 24 V
fuse f bolt-down 80 A
busbar north positive 100 A posts 9
busbar south positive 100 A posts 9
busbar minus negative 100 A posts 9
converter down 20 A input 24 V output 12 V
load lamp lighting 48 W
load heater heater 3 A
run feed
    one +
    10 mm2 1 m
    f
    10 mm2 2 m
    north
run port
    north
    6 mm2 3 m
    south
run starboard
    north
    4 mm2 5 m
    south
run lamp
    south
    2.5 mm2 4 m
    lamp
    2.5 mm2 4 m
    minus
run to-converter
    south
    4 mm2 1 m
    down input
    4 mm2 1 m
    minus
run behind
    down output +
    2.5 mm2 3 m
    heater
    2.5 mm2 3 m
    down output -
run home
    minus
    10 mm2 3 m
    one -
case all
    on lamp
    on heater
";

/// Whatever way is taken through a mesh, what is lost along it is what the network says.
#[test]
fn the_steps_add_up_to_the_network_s_drop() {
    for text in [CURLEW, TWO_BANKS, RING] {
        let plan = Plan::of_text(text);
        for (index, solved) in plan.study.rule.moments.iter().enumerate() {
            for (draw, ends) in plan.wiring.draws.iter().enumerate() {
                let way = Way::of(&plan, draw as u32, When::Moment(index));
                let Some(way) = way.filter(|_| solved.powered[draw]) else {
                    continue;
                };
                let drop = solved.drop_at(ends.plus, ends.minus);
                assert!(
                    (way.drop() - drop).abs() < 1e-9,
                    "{} is not {drop}",
                    way.drop()
                );
            }
        }
    }
}

#[test]
fn behind_a_converter_the_way_begins_at_its_output() {
    let plan = Plan::of_text(RING);
    let way = way(&plan, "heater", None);
    assert_eq!((way.volts, &*way.steps[0].words), (12.0, "down output +"));
    assert_eq!(way.steps.last().unwrap().words, "down output -");
}

#[test]
fn a_load_without_a_way_has_none() {
    let plan = Plan::of_text("boat b system 12 V\nload lamp lighting 5 W\n");
    assert!(Way::of(&plan, 0, worst(&plan, 0)).is_none());
    assert!(Way::of(&plan, 9, When::Alone).is_none());
    assert!(Way::of(&plan, 0, When::Moment(99)).is_none());
}
