//! A way as a table and in one sentence.

use ampwright_plan::{Plan, say};

use super::{Step, Way, What};
use crate::{
    doc::{Doc, Line, Table},
    phrase,
};

impl Way {
    /// The way as a table, each step with both answers where both are there.
    pub fn table(&self, plan: &Plan) -> Doc {
        let mut doc = Doc::default();
        doc.heading(
            Line::default()
                .code(phrase::draw(plan, self.draw))
                .text(format!(", {}", self.when.name(plan, self.draw))),
        );
        doc.table(self.full());
        doc.say(self.verdict(plan));
        doc
    }

    /// The way in short: what is lost and what is left at each conductor and device.
    pub fn brief(&self) -> Table {
        let mut table = Table::new(&["way", "current", "lost here", "left"]);
        for step in self
            .steps
            .iter()
            .filter(|step| !matches!(step.what, What::Terminal) || step.rule.up_to == 0.0)
        {
            table.row([
                step.words.as_str().into(),
                amps_cell(step.rule.amps),
                drop_cell(step),
                Line::from(say::volts(step.rule.left)),
            ]);
        }
        table
    }

    fn full(&self) -> Table {
        let both = self.steps.iter().all(|step| step.wired.is_some());
        let mut head = vec![
            "step",
            "current",
            "lost here",
            "up to here",
            "of nominal",
            "left",
        ];
        if both {
            head.extend(["as wired", "lost", "left, as wired"]);
        }
        let mut table = Table::new(&head);
        for step in &self.steps {
            let rule = step.rule;
            let mut cells = vec![
                step.words.as_str().into(),
                amps_cell(rule.amps),
                drop_cell(step),
                Line::from(say::volts(rule.up_to)),
                Line::from(say::percent(self.percent_of(rule.up_to))),
                Line::from(say::volts(rule.left)),
            ];
            if let Some(wired) = step.wired.filter(|_| both) {
                cells.push(amps_cell(wired.amps));
                cells.push(
                    step.hop
                        .map_or_else(Line::default, |_| say::volts(wired.drop).into()),
                );
                cells.push(say::volts(wired.left).into());
            }
            table.row(cells);
        }
        table
    }

    /// One sentence: lost, allowed, left.
    pub fn verdict(&self, plan: &Plan) -> String {
        let lost = format!(
            "By the rule {} are lost on the way and back, {}; {} are left.",
            say::volts(self.drop()),
            say::percent(self.percent()),
            say::volts(self.left())
        );
        let limit = phrase::drop_limit(plan, self.draw).map(|limit| format!(" {limit}"));
        let wired = self.left_wired().map(|left| {
            format!(
                " As wired, from a battery half charged, it gets {}.",
                say::volts(left)
            )
        });
        [Some(lost), limit, wired].into_iter().flatten().collect()
    }
}

fn amps_cell(amps: f64) -> Line {
    if amps > 0.0 {
        phrase::amps(amps).into()
    } else {
        Line::default()
    }
}

fn drop_cell(step: &Step) -> Line {
    if matches!(step.what, What::Conductor(_)) {
        say::volts(step.rule.drop).into()
    } else {
        Line::default()
    }
}
