//! What charging asks of batteries, of their air and of a controller: each figure with its numbers
//! and where its constants come from. The figures are those of the steps that it unfolds into.

use ampwright_notation::units::plain;
use ampwright_plan::{
    PartId, Plan, say,
    study::{
        air::Gassing,
        arrays::Array,
        charging::Rate,
        shares::{BankShares, Share},
    },
};

use crate::{
    doc::{Doc, Line},
    phrase,
    unfold::charge,
};

/// A battery's part of its bank's current, what charges it, and the air it wants.
pub(super) fn battery(plan: &Plan, supply: u32, doc: &mut Doc) {
    let banks = &plan.study.base.banks;
    let shares = plan.study.shares.iter();
    let of_bank = |shares: &&BankShares| banks.of_supply.get(&supply) == Some(&shares.bank);
    for shares in shares.filter(of_bank) {
        let own = shares.shares.iter().find(|share| share.supply == supply);
        if let Some(own) = own {
            doc.say(share(plan, shares, own));
        }
    }
    let bank = banks.of_supply.get(&supply).copied();
    if let Some(rate) = bank.and_then(|bank| plan.study.charging.hardest(bank)) {
        doc.say(charged(plan, rate));
    }
    let part = plan
        .wiring
        .supplies
        .get(supply as usize)
        .map(|one| one.part);
    let gassing = plan.study.rooms.iter().flat_map(|room| &room.batteries);
    for battery in gassing.filter(|battery| Some(battery.part) == part && battery.charged) {
        doc.say(air(battery));
    }
}

fn share(plan: &Plan, shares: &BankShares, own: &Share) -> String {
    let when = charge::when(plan, shares);
    let inside = if own.ohms_said { "" } else { " (from memory)" };
    format!(
        "Behind its {} mΩ{inside} and the bank's links it gives {} of {} in {when}; by its ampere-hours its share is {}, so that it is {} off (over 20 % is worth a word; common practice).",
        plain(own.ohms * 1e3),
        phrase::amps(own.amps),
        phrase::amps(shares.amps),
        phrase::amps(own.fair),
        say::percent(100.0 * own.off()),
    )
}

fn charged(plan: &Plan, rate: &Rate) -> String {
    let source = |&(source, amps): &(u32, f64)| {
        format!("{} {}", phrase::supply(plan, source), phrase::amps(amps))
    };
    let sources: Vec<String> = rate.sources.iter().map(source).collect();
    let banks = match rate.banks.len() {
        0 | 1 => "the bank bears".to_owned(),
        more => format!("the {more} banks that are joined then bear"),
    };
    let known = if rate.bears.assumed {
        "common practice by kind and size"
    } else {
        "as the plan says"
    };
    format!(
        "At its hardest it is charged by {}: {} in all, and {banks} {} ({known}).",
        super::listed(&sources),
        phrase::amps(rate.amps),
        phrase::amps(rate.bears.amps),
    )
}

fn air(battery: &Gassing) -> String {
    let steps = charge::air(battery);
    let [air, opening] = &steps[..] else {
        return String::new();
    };
    format!(
        "While it is charged it wants {}: {} ({}); and openings of {} each, in and out: {} ({}).",
        air.value,
        air.worked,
        air.cites(),
        opening.value,
        opening.worked,
        opening.cites(),
    )
}

/// The air that a place's batteries want together, and what there is.
pub(super) fn place(plan: &Plan, index: u32, doc: &mut Doc) {
    let mut rooms = plan.study.rooms.iter();
    let Some(room) = rooms.find(|room| room.place == Some(index) && room.opening > 0.0) else {
        return;
    };
    doc.say(format!(
        "Batteries that are charged here want {} of air together and openings of {} each, in and out; {}:",
        say::figure(room.air, "m³/h"),
        say::figure(room.opening, "cm²"),
        charge::there_is(room),
    ));
    let line = |battery: &Gassing| {
        let name = &plan.model.get(battery.part).name;
        let wants = say::figure(battery.wants.opening.value, "cm²");
        Line::from(format!("{name}: {wants}"))
    };
    doc.list(room.charged().take(super::MOST).map(line).collect());
}

/// What a controller's panels bring to it; for the panels too.
pub(super) fn array(plan: &Plan, part: PartId, doc: &mut Doc) {
    let is_part = |supply: u32| {
        let supply = plan.wiring.supplies.get(supply as usize);
        supply.is_some_and(|supply| supply.part == part)
    };
    let arrays = plan.study.base.arrays.iter();
    let own = |array: &&Array| {
        is_part(array.controller) || array.panels.iter().any(|&panel| is_part(panel))
    };
    for array in arrays.filter(own) {
        doc.say(amperes(plan, array));
        doc.say(volts(plan, array));
    }
}

fn amperes(plan: &Plan, array: &Array) -> String {
    let steps = charge::amperes(plan, array);
    let [short, circuit, least, battery] = &steps[..] else {
        return String::new();
    };
    format!(
        "Into a short circuit its panels give {}; the circuit counts as {}, {}, and conductor and device are chosen for {}, {} ({}). At the battery they are good for {} by {}.",
        short.value,
        circuit.worked,
        circuit.value,
        least.worked,
        least.value,
        least.cites(),
        battery.value,
        phrase::supply(plan, array.controller),
    )
}

fn volts(plan: &Plan, array: &Array) -> String {
    let steps = charge::volts(plan, array);
    let [warm, freezing, coldest, ..] = &steps[..] else {
        return String::new();
    };
    format!(
        "With nothing drawn they reach {} at 25 °C ({}), on a freezing morning {}: {} ({}), and {} {}: {} ({}).",
        warm.value,
        warm.cites(),
        freezing.value,
        freezing.worked,
        freezing.cites(),
        coldest.what,
        coldest.value,
        coldest.worked,
        coldest.cites(),
    )
}

#[cfg(test)]
mod tests {
    use expect_test::expect;

    use crate::{fixture::pointed, hover::hover};

    fn over(fixture: &str) -> String {
        let here = pointed(fixture);
        hover(&here.plan, 0, here.at).map_or_else(String::new, |hover| hover.doc.plain())
    }

    /// Flooded, 200 Ah, 6 cells: 0.05 x 6 x 20 x 200 / 1000 = 1.2 m3/h, x 28 = 33.6 cm2.
    const CHARGED: &str = "boat b system 12 V\nplace locker openings 40 cm2\n\
         battery house flooded 200 Ah in locker\ncharger mains 30 A\n\
         run a\n    mains +\n    16 mm2 1 m\n    house +\nrun b\n    mains -\n    16 mm2 1 m\n    house -\n";

    #[test]
    fn a_battery_tells_its_air_and_what_charges_it() {
        let shown = over(&CHARGED.replace("battery house", "battery ho$0use"));
        let told: Vec<&str> = shown
            .lines()
            .filter(|line| line.contains("charged"))
            .collect();
        expect![[r#"
            It holds 200 Ah. Half charged it rests at 12.2 V (two quotations). Its inner resistance is taken as 3 mΩ (from memory).
            At its hardest it is charged by mains out 1 30 A: 30 A in all, and the bank bears 40 A (common practice by kind and size).
            While it is charged it wants 1.2 m³/h of air: 0.05 × 6 cells × 20 mA/Ah × 200 Ah / 1000 (EN 50272-2, Q = 0.05 n Igas C / 1000; two quotations · EN 50272-2, vented lead-acid, boost charge; one quotation); and openings of 33.6 cm² each, in and out: 28 × 1.2 m³/h (EN 50272-2, A = 28 Q; two quotations)."#]].assert_eq(&told.join("\n"));
    }

    #[test]
    fn a_place_tells_what_its_batteries_want_together() {
        let shown = over(&CHARGED.replace("place locker", "place loc$0ker"));
        expect![[r#"
            place locker

            As warm as the boat's ambient.

            Batteries that are charged here want 1.2 m³/h of air together and openings of 33.6 cm² each, in and out; there are 40 cm²:

            - house: 33.6 cm²

            No conductor names it."#]].assert_eq(&shown);
    }

    /// Two equal ones would give 20 A each; the one at the leads gives more.
    #[test]
    fn a_battery_of_a_bank_tells_its_share() {
        let shown = over(
            "boat b system 12 V\nbattery o$0ne agm 100 Ah resistance 4 mohm\nbattery two agm 100 Ah\n\
             fuse f bolt-down 80 A\nload l heater 40 A\n\
             run p\n    one +\n    25 mm2 1 m\n    two +\nrun n\n    one -\n    25 mm2 1 m\n    two -\n\
             run l\n    one +\n    25 mm2 0.1 m\n    f\n    25 mm2 1 m\n    l\n    back to one -\n",
        );
        let told: Vec<&str> = shown
            .lines()
            .filter(|line| line.contains("share"))
            .collect();
        expect!["Behind its 4 mΩ and the bank's links it gives 24.1 A of 40 A in everything; by its ampere-hours its share is 20 A, so that it is 20.45 % off (over 20 % is worth a word; common practice)."].assert_eq(&told.join("\n"));
    }

    /// 2 x 22 V x 1.10 = 48.4 V; x 1.135 = 49.94 V; 6 A x 1.25 = 7.5 A, x 1.25 = 9.38 A.
    #[test]
    fn panels_and_their_controller_tell_what_the_sun_brings() {
        let shown = over(
            "boat b system 12 V\nbattery house agm 100 Ah\n\
             solar roof 100 W series 2 voc 22 V isc 6 A\ncontroller c$0tl mppt 20 A\n\
             run pv\n    roof +\n    4 mm2 4 m\n    ctl pv\n    back to roof -\n\
             run a\n    ctl battery +\n    16 mm2 1 m\n    house +\n\
             run b\n    ctl battery -\n    16 mm2 1 m\n    house -\n",
        );
        let told: Vec<&str> = shown.lines().filter(|line| line.contains("NEC")).collect();
        expect![[r#"
            Into a short circuit its panels give 6 A; the circuit counts as 1.25 × 6 A, 7.5 A, and conductor and device are chosen for 1.25 × 7.5 A, 9.38 A (NEC 690.8; two quotations). At the battery they are good for 15.8 A by ctl.
            With nothing drawn they reach 44.00 V at 25 °C (the plan), on a freezing morning 48.40 V: 1.1 × 44.00 V (NEC 690.7(A), at 0 °C; one quotation), and at -20 °C 49.94 V: 44.00 V × (1 + 0.003 × 45) (common practice, no source)."#]].assert_eq(&told.join("\n"));
    }
}
