//! The energy of a day in words: what a load takes, a source gives, a bank bears. What the sun makes
//! is the step that it unfolds into.

use ampwright_plan::{
    Plan, say,
    study::energy::{BankDay, Hours, LoadDay, SourceDay},
};

use crate::{phrase, unfold};

/// What a load takes in a day, with its sum: "In a day it takes 7 A for 0.4 h, 2.8 Ah."
pub(crate) fn load(plan: &Plan, draw: u32) -> String {
    let energy = &plan.study.energy;
    let Some(day) = energy.loads.iter().find(|day| day.draw == draw) else {
        return String::new();
    };
    format!(
        "In a day it takes {} for {}, {}{}.",
        phrase::amps(day.spell.amps),
        say::figure(day.spell.hours, "h"),
        say::figure(day.takes(), "Ah"),
        out_of(plan, day),
    )
}

/// Out of which bank, where there are several or a converter stands between.
fn out_of(plan: &Plan, day: &LoadDay) -> String {
    let through = if (day.per_amp - 1.0).abs() > 1e-9 {
        format!(
            ", {} for each ampere through a converter,",
            say::amps(day.per_amp)
        )
    } else {
        String::new()
    };
    let banks = plan.study.base.banks.list.len();
    match *day.banks {
        [(bank, _)] if banks > 1 => format!("{through} out of {}", plan.bank_name(bank)),
        [_] => through,
        _ => {
            let share = |&(bank, share): &(u32, f64)| {
                format!(
                    "{} out of {}",
                    say::percent(100.0 * share),
                    plan.bank_name(bank)
                )
            };
            let shares: Vec<String> = day.banks.iter().take(MOST_BANKS).map(share).collect();
            format!("{through}: by their ampere-hours {}", shares.join(" and "))
        }
    }
}

/// Banks of which the share is told.
const MOST_BANKS: usize = 4;

/// What a source gives in a day, with its sum: "200 W × 95 % / 12 V = 15.8 A, limited to 15 A,
/// for 3 h: 45 Ah a day".
pub(crate) fn source(plan: &Plan, day: &SourceDay) -> String {
    let hours = say::figure(day.spell.hours, "h");
    let hours = match day.hours {
        Hours::Own => hours,
        Hours::Of(part) => format!("{hours} while {} charges", plan.model.get(part).name),
    };
    format!(
        "{} for {hours}: {} a day",
        current(plan, day),
        say::figure(day.gives(), "Ah")
    )
}

fn current(plan: &Plan, day: &SourceDay) -> String {
    let given = phrase::amps(day.spell.amps);
    let Some(step) = unfold::day::sunlit(plan, day) else {
        return given;
    };
    let made = if step.worked.is_empty() {
        format!("{} {}", step.value, step.formula)
    } else {
        format!("{} = {}", step.worked, step.value)
    };
    if unfold::day::is_limited(day) {
        return format!("{made}, limited to its own {given},");
    }
    made
}

/// How much of a bank is used, and by whom: "50 % of it usable (common practice)".
pub(crate) fn usable(bank: &BankDay) -> String {
    let said = if bank.usable_said {
        ""
    } else {
        " (common practice)"
    };
    format!(
        "{} of it usable{said}",
        say::percent(100.0 * bank.store.usable)
    )
}

/// What a day does to a bank: "A day takes 43.4 Ah out of it and puts 45 Ah back."
pub(crate) fn bank(plan: &Plan, index: u32) -> String {
    let energy = &plan.study.energy;
    let Some(bank) = energy.banks.get(index as usize) else {
        return String::new();
    };
    let usable = say::figure(bank.store.usable_charge().0, "Ah");
    let uses = format!("{usable} of it may be used, {}.", usable_words(bank));
    if bank.takes <= 0.0 {
        return uses;
    }
    let back = if energy.sources_of(index).next().is_some() {
        format!(" and puts {} back", say::figure(bank.gives, "Ah"))
    } else {
        String::new()
    };
    let at_most = if energy.silent.is_empty() {
        ""
    } else {
        " at most"
    };
    let heavy = if bank.share * bank.store.capacity.0 > bank.takes * (1.0 + 1e-6) {
        format!(
            "; its large currents count as {} (Peukert, exponent {}, common practice)",
            say::figure(bank.share * bank.store.capacity.0, "Ah"),
            ampwright_notation::units::plain(bank.store.exponent)
        )
    } else {
        String::new()
    };
    format!(
        "{uses} A day takes {} out of it{back}{heavy}. With nothing charging it lasts{at_most} {}.",
        say::figure(bank.takes, "Ah"),
        say::days(bank.days()),
    )
}

fn usable_words(bank: &BankDay) -> String {
    let share = say::percent(100.0 * bank.store.usable);
    if bank.usable_said {
        share
    } else {
        format!("{share} (common practice)")
    }
}
