//! Prints a plan's findings and conductors: for looking at while developing.
#![allow(clippy::print_stdout)] // a tool for the terminal

fn main() {
    for path in std::env::args().skip(1) {
        let text = std::fs::read_to_string(&path).unwrap_or_default();
        let plan = ampwright_plan::Plan::of_text(&text);
        for finding in &plan.findings {
            println!(
                "{:?} {}: {:?}: {}",
                finding.severity,
                finding.code.word(),
                plan.sources.words(finding.site),
                finding.message
            );
        }
        for (index, conductor) in plan.wiring.conductors.iter().enumerate() {
            let cable = &plan.study.cables[index];
            println!(
                "{} {:?} {:.3} A {:?} carries {:?} sustained {:?} returns {:?} link {:?} ohms {:?}",
                conductor.mark,
                conductor.way,
                cable.design.amps,
                cable.design.by,
                cable.ampacity.as_ref().map(|a| a.value.0),
                plan.study.protection.sustained[index].map(|s| (s.amps, s.device)),
                plan.study.protection.returns[index],
                plan.study.base.banks.link_of[index],
                plan.study.base.rule_ohms[index],
            );
        }
        for (index, draw) in plan.wiring.draws.iter().enumerate() {
            let name = &plan.model.get(draw.part).name;
            for solved in &plan.study.rule.moments {
                println!(
                    "{name} {:?}: drop {:.4}",
                    solved.moment.label,
                    solved.drop_at(draw.plus, draw.minus)
                );
            }
            println!(
                "{name} alone: {:.4} powered {}",
                plan.study.rule.alone_drop[index], plan.study.rule.ever_powered[index]
            );
        }
    }
}
