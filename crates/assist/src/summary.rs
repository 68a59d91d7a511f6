//! A plan in a few lines: what `check` says when all is read.

use ampwright_electrics::source::Tag;
use ampwright_notation::{Key, Kind};
use ampwright_plan::{
    Facts, PartId, Plan, Severity, say,
    study::{
        banks::Bank,
        energy::{Balance, BankDay, SourceDay},
        moments::{Label, Stand},
    },
    wiring::{DrawKind, Term},
};

use crate::{
    defaults,
    doc::{Doc, Line, Table},
    phrase,
    unfold::{self, used::Used},
    way::When,
};

/// What is said under every plan.
pub const CAUTION: &str = "This plan is computed from what is written in it. Local codes rule, and a licensed or competent person checks the work before it is live.";

/// A plan in short.
#[derive(Clone, Debug, PartialEq)]
pub struct Summary {
    /// The boat's title or name.
    pub boat: String,
    /// Its nominal voltage, V.
    pub volts: f64,
    /// The rule set's title.
    pub rules: String,
    /// How many figures the plan rests on: of its rule set, and defaults.
    pub figures: usize,
    /// Those of them that are from memory.
    pub from_memory: Vec<String>,
    /// The clause by which the rule set is written for petrol boats, where this one is none.
    pub not_petrol: Option<String>,
    /// Errors, warnings, advices, accepted ones left out.
    pub findings: [usize; 3],
    /// Findings that an allowance accepts: which, where, how far, why and who says so.
    pub accepted: Vec<String>,
    /// How many loads there are.
    pub loads: usize,
    /// What runs together in each case and in everything.
    pub moments: Vec<Together>,
    /// The load that loses the most for what it may: its name, per cent, volts, the moment.
    pub worst: Option<Worst>,
    /// Each panel's main feed.
    pub feeds: Vec<Feed>,
    /// The banks.
    pub banks: Vec<BankLine>,
    /// What the day takes out of the banks, Ah, where every load says how long it runs.
    pub day: Option<f64>,
    /// The same of the loads that say it; `None` where none does, or where banks differ in voltage.
    pub takes: Option<f64>,
    /// What the sources that say how long they charge put back, Ah; `None` where none does.
    pub gives: Option<f64>,
    /// What has to be charged besides to break even, Ah.
    pub lacks: f64,
    /// What each source that says how long it charges gives: its name and its sum.
    pub sources: Vec<(String, String)>,
    /// Loads that do not say how long they run in a day.
    pub without_hours: usize,
    /// Defaults used: how many different ones, and how many times in all.
    pub defaults: (usize, usize),
}

/// What runs together.
#[derive(Clone, Debug, PartialEq)]
pub struct Together {
    /// The moment.
    pub moment: String,
    /// The sum of what draws, A.
    pub amps: f64,
    /// The load that loses the most in it, and how much, per cent.
    pub worst: Option<(String, f64)>,
}

/// The worst drop.
#[derive(Clone, Debug, PartialEq)]
pub struct Worst {
    /// The load.
    pub load: String,
    /// Lost, V.
    pub volts: f64,
    /// Lost, per cent.
    pub percent: f64,
    /// The moment.
    pub moment: String,
}

/// A panel's main feed, from the source to its feed and back from its bar.
#[derive(Clone, Debug, PartialEq)]
pub struct Feed {
    /// The panel.
    pub panel: String,
    /// What it carries in the moment in which that is most, A.
    pub amps: f64,
    /// Lost there and back by the rule, V.
    pub volts: f64,
    /// The same, per cent.
    pub percent: f64,
    /// The moment.
    pub moment: String,
}

/// A bank in short.
#[derive(Clone, Debug, PartialEq)]
pub struct BankLine {
    /// Its batteries.
    pub names: Vec<String>,
    /// Its capacity, Ah.
    pub hours: f64,
    /// Its voltage, V.
    pub volts: f64,
    /// The share of it that may be used, in words, with its tag where the plan does not say it.
    pub usable: String,
    /// Days that it lasts with nothing charging, where anything draws on it; at most so many where
    /// a load does not say how long it runs.
    pub days: Option<f64>,
}

/// Sums a plan up.
pub fn summary(plan: &Plan) -> Summary {
    let rules = plan.study.base.rules;
    let used = defaults::all(plan);
    let figures = unfold::used::of(plan);
    let loads: Vec<u32> = loads(plan).collect();
    let energy = &plan.study.energy;
    let takes = energy.takes(&plan.study.base.banks.list);
    Summary {
        boat: boat(plan),
        volts: plan.study.base.system,
        rules: rules.title().to_owned(),
        figures: figures.len(),
        from_memory: from_memory(&figures),
        not_petrol: not_petrol(plan),
        findings: [Severity::Error, Severity::Warning, Severity::Advice].map(|severity| {
            let open = plan
                .findings
                .iter()
                .filter(|finding| finding.accepted.is_none());
            open.filter(|finding| finding.severity == severity).count()
        }),
        accepted: accepted(plan),
        loads: loads.len(),
        moments: together(plan),
        worst: worst_of(plan, &loads),
        feeds: feeds(plan),
        banks: plan
            .study
            .base
            .banks
            .list
            .iter()
            .enumerate()
            .map(|(index, bank)| bank_line(plan, bank, index))
            .collect(),
        day: takes.filter(|_| energy.silent.is_empty()),
        takes,
        gives: (!energy.sources.is_empty())
            .then(|| energy.banks.iter().map(|bank| bank.gives).sum()),
        lacks: energy.balances().iter().map(Balance::lacks).sum(),
        sources: energy
            .sources
            .iter()
            .map(|source| source_line(plan, source))
            .collect(),
        without_hours: energy.silent.len(),
        defaults: (used.len(), used.iter().map(|used| used.times).sum()),
    }
}

/// More figures from memory are counted and not named.
const MOST_NAMED: usize = 4;

fn from_memory(figures: &[Used]) -> Vec<String> {
    let remembered = figures.iter().filter(|figure| figure.tag == Tag::M);
    remembered.map(|figure| figure.what.clone()).collect()
}

/// Accepted findings that a summary lists; the rest are counted.
const MOST_ACCEPTED: usize = 20;

fn accepted(plan: &Plan) -> Vec<String> {
    let findings = plan.findings.iter();
    findings
        .filter_map(|finding| phrase::accepted(plan, finding))
        .collect()
}

/// The defaults that a plan uses, each with its tag.
pub fn assumed(plan: &Plan) -> Doc {
    let mut doc = Doc::default();
    let lines = defaults::all(plan).into_iter().map(|used| {
        let times = if used.times == 1 {
            String::new()
        } else {
            format!(", {} times", used.times)
        };
        Line::default()
            .code(format!("{} {}", used.kind.word(), used.what))
            .text(format!(": {}{times}", used.value))
    });
    doc.list(lines.collect());
    doc
}

fn boat(plan: &Plan) -> String {
    let thing = plan.model.boat.and_then(|boat| plan.sources.thing(boat));
    let title = thing.and_then(|boat| boat.title.as_ref().or(boat.name.as_ref()));
    title.map_or_else(
        || "A plan without a boat".to_owned(),
        |title| title.value.to_string(),
    )
}

/// A boat that does not say its fuel may be a petrol boat.
fn not_petrol(plan: &Plan) -> Option<String> {
    let clause = plan.study.base.rules.written_for_petrol()?;
    let boat = plan.model.boat?;
    let fuel = Facts::of(&plan.sources, boat, &[]).word(Key::Fuel)?;
    (clause.value && fuel != "petrol").then(|| clause.citation())
}

fn loads(plan: &Plan) -> impl Iterator<Item = u32> {
    let draws = plan.wiring.draws.iter().enumerate();
    draws
        .filter(|(_, draw)| draw.kind == DrawKind::Load)
        .map(|(index, _)| index as u32)
}

fn together(plan: &Plan) -> Vec<Together> {
    let moments = plan.study.rule.moments.iter().enumerate();
    let at_rest =
        |label: &Label| !matches!(label, Label::Everything(stand) if *stand != Stand::REST);
    moments
        .filter(|(_, solved)| at_rest(&solved.moment.label))
        .map(|(index, solved)| {
            let drops = solved
                .moment
                .draws
                .iter()
                .filter(|(draw, _)| solved.powered[*draw as usize])
                .map(|&(draw, _)| {
                    let ends = &plan.wiring.draws[draw as usize];
                    let percent = 100.0 * solved.drop_at(ends.plus, ends.minus)
                        / plan.circuit().draw_volts(draw);
                    (phrase::draw(plan, draw), percent)
                });
            Together {
                moment: phrase::moment(plan, index),
                amps: solved.moment.draws.iter().map(|(_, amps)| amps).sum(),
                worst: drops.fold(None, |most: Option<(String, f64)>, next| match most {
                    Some(most) if most.1 >= next.1 - 1e-9 => Some(most),
                    _ => Some(next),
                }),
            }
        })
        .collect()
}

/// The load nearest to its limit, or past it.
fn worst_of(plan: &Plan, loads: &[u32]) -> Option<Worst> {
    let drops = largest_drops(plan);
    let mut most: Option<(f64, u32)> = None;
    for &draw in loads {
        let Some(&(_, volts, _)) = drops.get(draw as usize) else {
            continue;
        };
        let percent = 100.0 * volts / plan.circuit().draw_volts(draw);
        let limit = plan.circuit().drop_limit(draw).strict();
        let near = if limit.is_finite() && limit > 0.0 {
            percent / limit
        } else {
            percent / 100.0
        };
        if volts > 0.0 && most.is_none_or(|(known, _)| near > known + 1e-9) {
            most = Some((near, draw));
        }
    }
    let (_, draw) = most?;
    let &(_, volts, when) = drops.get(draw as usize)?;
    Some(Worst {
        load: phrase::draw(plan, draw),
        volts,
        percent: 100.0 * volts / plan.circuit().draw_volts(draw),
        moment: when.name(plan, draw),
    })
}

/// For each draw its largest drop, V, and when: of the cases that name it, else of everything, else alone.
pub(crate) fn largest_drops(plan: &Plan) -> Vec<(bool, f64, When)> {
    let alone = |draw: usize| plan.study.rule.alone_drop.get(draw).copied().unwrap_or(0.0);
    let mut drops: Vec<(bool, f64, When)> = (0..plan.wiring.draws.len())
        .map(|draw| (false, alone(draw), When::Alone))
        .collect();
    for (index, solved) in plan.study.rule.moments.iter().enumerate() {
        let is_case = matches!(solved.moment.label, Label::Case(_));
        for &(draw, amps) in &solved.moment.draws {
            let (Some(ends), Some(known)) = (
                plan.wiring.draws.get(draw as usize),
                drops.get_mut(draw as usize),
            ) else {
                continue;
            };
            let powered = solved.powered.get(draw as usize).copied().unwrap_or(false);
            let drop = solved.drop_at(ends.plus, ends.minus);
            let counts = known.2 == When::Alone
                || (is_case, drop) > (known.0, known.1 + 1e-9) && is_case >= known.0;
            if powered && amps > 0.0 && counts {
                *known = (is_case, drop, When::Moment(index));
            }
        }
    }
    drops
}

/// Each panel's main feed in the moment in which it carries most.
fn feeds(plan: &Plan) -> Vec<Feed> {
    let panels = plan
        .model
        .ids()
        .filter(|(_, part)| part.kind == Kind::Panel);
    panels.filter_map(|(id, _)| feed(plan, id)).collect()
}

fn feed(plan: &Plan, panel: PartId) -> Option<Feed> {
    let feed = plan.wiring.terminal(panel, Term::Feed(1))?;
    let facts = plan.model.facts(&plan.sources, panel);
    let bar = facts
        .name(Key::Returns)
        .and_then(|name| plan.model.part(name));
    let bar = bar.and_then(|bar| plan.wiring.terminal(bar, Term::Bar));
    let contacts = plan
        .wiring
        .contacts
        .iter()
        .filter(|contact| contact.part == panel && contact.feed == feed);
    let edges: Vec<usize> = contacts.map(|contact| contact.edge.index()).collect();
    let carried = |amps: &[f64]| {
        edges
            .iter()
            .filter_map(|&edge| amps.get(edge))
            .map(|amps| amps.abs())
            .sum::<f64>()
    };
    let moments = plan.study.rule.moments.iter().enumerate();
    let most = moments.map(|(index, solved)| (carried(&solved.amps), index));
    let (amps, moment) =
        most.reduce(|most, next| if next.0 > most.0 + 1e-9 { next } else { most })?;
    let solved = plan.study.rule.moments.get(moment).filter(|_| amps > 0.0)?;
    let at =
        |node: petgraph::graph::NodeIndex| solved.volts.get(node.index()).copied().unwrap_or(0.0);
    let volts = bar.map_or(0.0, at) - at(feed);
    Some(Feed {
        panel: plan.model.get(panel).name.to_string(),
        amps,
        volts,
        percent: 100.0 * volts / phrase::island_volts(plan, feed),
        moment: phrase::moment(plan, moment),
    })
}

fn bank_line(plan: &Plan, bank: &Bank, index: usize) -> BankLine {
    let day = plan.study.energy.banks.get(index);
    BankLine {
        names: bank
            .batteries
            .iter()
            .map(|&part| plan.model.get(part).name.to_string())
            .collect(),
        hours: plan.circuit().capacity_of(bank).0,
        volts: bank.volts,
        usable: day.map_or_else(String::new, crate::day::usable),
        days: day.map(BankDay::days).filter(|days| days.is_finite()),
    }
}

fn source_line(plan: &Plan, source: &SourceDay) -> (String, String) {
    let name = phrase::supply(plan, source.supply);
    (name, crate::day::source(plan, source))
}

impl Summary {
    /// The summary for people, the caution last.
    pub fn doc(&self) -> Doc {
        let mut doc = Doc::default();
        doc.heading(format!("{}, {}", self.boat, say::nominal(self.volts)));
        doc.say(self.rules_line());
        doc.say(self.petrol_line());
        doc.say(self.findings_line());
        doc.list(self.accepted_lines());
        doc.table(self.moments_table());
        doc.say(self.worst_line());
        doc.list(self.feeds.iter().map(|feed| feed.line().into()).collect());
        let banks = self.banks.iter().map(|bank| bank.line(self.without_hours));
        doc.list(banks.map(Line::from).collect());
        doc.list(
            self.sources
                .iter()
                .map(|(name, sum)| format!("{name}: {sum}").into())
                .collect(),
        );
        doc.say(self.day_line());
        doc.say(self.defaults_line());
        doc.say(CAUTION);
        doc
    }

    fn rules_line(&self) -> String {
        let rules = format!("Rules: {}.", self.rules);
        let names = self.from_memory.join(", ");
        match (self.figures, self.from_memory.len()) {
            (0, _) => rules,
            (all, 0) => {
                format!("{rules} None of the {all} figures that this plan rests on is from memory.")
            }
            (all, 1) => format!(
                "{rules} Of the {all} figures that this plan rests on 1 is from memory: {names}."
            ),
            (all, count @ 2..=MOST_NAMED) => format!(
                "{rules} Of the {all} figures that this plan rests on {count} are from memory: {names}."
            ),
            (all, count) => format!(
                "{rules} Of the {all} figures that this plan rests on {count} are from memory; a limit among them makes no more than an advice."
            ),
        }
    }

    fn petrol_line(&self) -> String {
        self.not_petrol.as_ref().map_or_else(String::new, |clause| {
            format!("These rules are written for petrol boats: {clause}. This boat is none.")
        })
    }

    fn findings_line(&self) -> String {
        let [errors, warnings, advices] = self.findings;
        let accepted = match self.accepted.len() {
            0 => String::new(),
            count => format!(", {count} accepted"),
        };
        if errors + warnings + advices == 0 {
            return format!("No findings{accepted}.");
        }
        format!(
            "Findings: {}, {}, {}{accepted}.",
            counted(errors, "error"),
            counted(warnings, "warning"),
            counted(advices, "advice")
        )
    }

    fn accepted_lines(&self) -> Vec<Line> {
        let shown = self.accepted.iter().take(MOST_ACCEPTED);
        let more = self.accepted.len().saturating_sub(MOST_ACCEPTED);
        let more = (more > 0).then(|| format!("and {more} more"));
        let lines = shown.cloned().chain(more);
        lines.map(Line::from).collect()
    }

    fn moments_table(&self) -> Table {
        let mut table = Table::new(&["moment", "loads together", "worst drop"]);
        for moment in &self.moments {
            let worst = moment.worst.as_ref();
            table.row([
                moment.moment.as_str().into(),
                phrase::amps(moment.amps).into(),
                worst.map_or_else(Line::default, |(load, percent)| {
                    format!("{load} {}", say::percent(*percent)).into()
                }),
            ]);
        }
        table
    }

    fn worst_line(&self) -> String {
        let Some(worst) = &self.worst else {
            return String::new();
        };
        let lost = format!(
            "{} lost, {}, in {}",
            say::volts(worst.volts),
            say::percent(worst.percent),
            worst.moment
        );
        match self.loads {
            0 | 1 => format!("{}: {lost}.", worst.load),
            loads => format!(
                "Of {loads} loads the nearest to its limit is {}: {lost}.",
                worst.load
            ),
        }
    }

    fn day_line(&self) -> String {
        let silent = match self.without_hours {
            0 => String::new(),
            1 => "One load does not say how long it runs in a day.".to_owned(),
            silent => format!("{silent} loads do not say how long they run in a day."),
        };
        let Some(takes) = self.takes else {
            return silent;
        };
        let at_least = if silent.is_empty() { "" } else { "at least " };
        let back = self.gives.map_or_else(String::new, |gives| {
            format!(" and puts {} back", say::figure(gives, "Ah"))
        });
        let even = if self.gives.is_some() && self.lacks > 1e-6 {
            let lacks = say::figure(self.lacks, "Ah");
            format!("; {lacks} more have to be charged to break even")
        } else {
            String::new()
        };
        let takes = say::figure(takes, "Ah");
        let day = format!("A day takes {at_least}{takes}{back}{even}. {silent}");
        day.trim_end().to_owned()
    }

    fn defaults_line(&self) -> String {
        match self.defaults {
            (0, _) => "No defaults were used.".to_owned(),
            (kinds, times) => format!(
                "{} used where the plan says nothing, {times} times in all.",
                counted(kinds, "default")
            ),
        }
    }
}

impl Feed {
    fn line(&self) -> String {
        format!(
            "Main feed of {}: {} in {}, {} lost there and back, {}",
            self.panel,
            phrase::amps(self.amps),
            self.moment,
            say::volts(self.volts),
            say::percent(self.percent)
        )
    }
}

impl BankLine {
    fn line(&self, silent: usize) -> String {
        let what = if self.names.len() == 1 {
            "Battery"
        } else {
            "Bank"
        };
        let at_most = if silent > 0 { "at most " } else { "" };
        let days = self.days.map_or_else(String::new, |days| {
            format!(", {at_most}{} at anchor", say::days(days))
        });
        format!(
            "{what} {}: {} at {}, {}{days}",
            self.names.join(", "),
            say::figure(self.hours, "Ah"),
            say::nominal(self.volts),
            self.usable,
        )
    }
}

fn counted(count: usize, what: &str) -> String {
    match count {
        0 => format!("no {what}s"),
        1 => format!("1 {what}"),
        count => format!("{count} {what}s"),
    }
}

#[cfg(test)]
mod tests {
    use ampwright_plan::Plan;
    use expect_test::expect;

    use super::{assumed, summary};
    use crate::fixture::CURLEW;

    #[test]
    fn curlew_in_short() {
        let summary = summary(&Plan::of_text(CURLEW));
        expect![[r#"
            Curlew, 12 V

            Rules: published figures only. Of the 52 figures that this plan rests on 6 are from memory; a limit among them makes no more than an advice.

            Findings: no errors, no warnings, 1 advice.

            moment      loads together           worst drop
            evening              8.2 A    fresh-pump 4.88 %
            night               0.17 A  anchor-light 0.54 %
            passage             2.03 A     tricolour 2.84 %
            everything           9.2 A    fresh-pump 5.01 %

            Of 4 loads the nearest to its limit is tricolour: 0.341 V lost, 2.84 %, in passage.

            - Main feed of cabin-panel: 9.2 A in everything, 0.142 V lost there and back, 1.18 %

            - Bank house-1, house-2: 200 Ah at 12 V, 50 % of it usable (common practice), at most 13 days at anchor

            A day takes at least 7.6 Ah. 2 loads do not say how long they run in a day.

            5 defaults used where the plan says nothing, 10 times in all.

            This plan is computed from what is written in it. Local codes rule, and a licensed or competent person checks the work before it is live."#]].assert_eq(&summary.doc().plain());
    }

    #[test]
    fn what_curlew_leaves_unsaid() {
        expect![[r#"
            - cable flexible: so unless `stranded` is said (common practice)
            - battery resistance: by chemistry and size: at 12 V and 100 Ah flooded 6, gel 5, AGM 4, lithium 3 mohm (from memory), 2 times
            - battery usable: lead-acid 50 %, lithium 80 % (common practice), 2 times
            - battery charge-limit: flooded and gel 0.2, AGM 0.3, lithium 0.5 A for each Ah (common practice), 2 times
            - load minimum: 10.5 V in a 12 V system, as an advice (common practice), 3 times"#]].assert_eq(&assumed(&Plan::of_text(CURLEW)).plain());
    }

    #[test]
    fn a_law_for_petrol_boats_says_so_on_another() {
        let summary = |fuel: &str| {
            let text = format!("boat b system 12 V rules us-cfr-183 {fuel}\n");
            summary(&Plan::of_text(&text)).doc().plain()
        };
        let said = "written for petrol boats";
        assert!(summary("fuel diesel").contains(said));
        assert!(!summary("fuel petrol").contains(said) && !summary("").contains(said));
    }

    #[test]
    fn an_empty_plan_has_a_summary() {
        expect![[r#"
            A plan without a boat, 12 V

            Rules: published figures only.

            Findings: 1 error, no warnings, no advices.

            moment      loads together  worst drop
            everything             0 A

            No defaults were used.

            This plan is computed from what is written in it. Local codes rule, and a licensed or competent person checks the work before it is live."#]].assert_eq(&summary(&Plan::of_text("")).doc().plain());
    }
}
