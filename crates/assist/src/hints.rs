//! Inlay hints: figures and marks that stand in no file, shown behind the words that they belong to.

use std::ops::Range;

use ampwright_notation::{Kind, tree::Colour};
use ampwright_plan::{
    Plan, Site, ThingRef, say,
    study::cables::brief_at,
    wiring::{Conductor, DrawKind},
};

use crate::{bars, cursor::file_of, doc::Doc, phrase, summary::largest_drops};

/// Which hints are wanted; all of them unless said.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(clippy::struct_excessive_bools)] // each is a choice of its own
pub struct Options {
    /// Behind a conductor what it carries and loses.
    pub conductors: bool,
    /// Behind a load the volts that are left for it.
    pub loads: bool,
    /// Behind a busbar the posts that are taken.
    pub busbars: bool,
    /// Behind a conductor without a mark the made one.
    pub marks: bool,
    /// Behind `back` what it makes.
    pub returns: bool,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            conductors: true,
            loads: true,
            busbars: true,
            marks: true,
            returns: true,
        }
    }
}

/// A hint.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hint {
    /// Where it stands, behind the words.
    pub at: usize,
    /// What it says.
    pub text: String,
    /// What sort it is.
    pub what: What,
    /// What [`tell`] tells of it by.
    pub about: usize,
}

/// The sorts of hints, in the order in which they stand at one place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// What a conductor carries and loses: `8.2 A  1.3 %`.
    Conductor,
    /// What `back` makes: `4.8 m black pump-1`.
    Return,
    /// A made mark.
    Mark,
    /// What is left for a load, by the rule, when it loses the most.
    Load,
    /// The posts of a busbar: `7 of 10`.
    Busbar,
}

/// Conductors that one `back` may make and that are still named one by one.
const MOST_NAMED: usize = 3;

/// The hints that stand in some bytes of a file, in the order of the text.
pub fn hints(plan: &Plan, file: u32, within: &Range<usize>, options: Options) -> Vec<Hint> {
    let mut desk = Desk {
        plan,
        file,
        within,
        hints: Vec::new(),
    };
    desk.conductors(options);
    desk.parts(options);
    let mut hints = desk.hints;
    hints.sort_by_key(|hint| (hint.at, hint.what));
    hints
}

/// What there is to say of a hint, by its `about`.
pub fn tell(plan: &Plan, file: u32, about: usize) -> Option<Doc> {
    crate::hover::hover(plan, file, about).map(|told| told.doc)
}

struct Desk<'a> {
    plan: &'a Plan,
    file: u32,
    within: &'a Range<usize>,
    hints: Vec<Hint>,
}

impl Desk<'_> {
    fn push(&mut self, (at, about): (usize, usize), what: What, text: String) {
        if self.within.start <= at && at <= self.within.end && !text.is_empty() {
            self.hints.push(Hint {
                at,
                text,
                what,
                about,
            });
        }
    }

    /// Behind some words, which are what there is to tell of.
    fn behind(&self, site: Site) -> (usize, usize) {
        let range = self.plan.sources.range(site);
        (range.end, range.start)
    }

    fn conductors(&mut self, options: Options) {
        let plan = self.plan;
        let conductors = &plan.wiring.conductors;
        let mut at = 0;
        // What one line makes stands together.
        for made in conductors.chunk_by(|a, b| a.site == b.site) {
            let first = at;
            at += made.len();
            let Some(one) = made.first().filter(|one| one.site.file == self.file) else {
                continue;
            };
            let end = self.behind(one.site);
            if one.made {
                if options.returns {
                    self.push(end, What::Return, returned(made));
                }
                continue;
            }
            if options.conductors {
                self.push(end, What::Conductor, figures(plan, first));
            }
            if options.marks && one.mark_made {
                self.push(end, What::Mark, one.mark.to_string());
            }
        }
    }

    fn parts(&mut self, options: Options) {
        let plan = self.plan;
        let drops = if options.loads {
            largest_drops(plan)
        } else {
            Vec::new()
        };
        let Some(parsed) = file_of(plan, self.file) else {
            return;
        };
        for (thing, chunk) in parsed.chunks.iter().enumerate() {
            let Some(name) = &chunk.thing.name else {
                continue;
            };
            let whose = ThingRef {
                file: self.file,
                thing: thing as u32,
            };
            // A second thing of a name has no figures of its own.
            let part = plan.model.part(&name.value);
            let own = part.filter(|&part| plan.model.get(part).thing == whose);
            let Some(part) = own else { continue };
            let head = chunk.absolute(chunk.thing.head).end;
            let end = (head, chunk.absolute(name.span).start);
            match chunk.thing.kind {
                Some(Kind::Load | Kind::Inverter) if options.loads => {
                    let draw = plan.study.base.draw_of.get(&part).copied();
                    let drop = draw.and_then(|draw| Some((draw, drops.get(draw as usize)?.1)));
                    if let Some((draw, drop)) = drop {
                        self.push(end, What::Load, left(plan, draw, drop));
                    }
                }
                Some(Kind::Busbar) if options.busbars => {
                    let taken = bars::taken(plan, part);
                    let posts = taken.and_then(|taken| Some((taken.ends, taken.of?)));
                    let text = posts.map(|(ends, of)| format!("{ends} of {of}"));
                    self.push(end, What::Busbar, text.unwrap_or_default());
                }
                _ => {}
            }
        }
    }
}

/// `8.2 A  1.3 %`: what a conductor has to carry, a brief load's current too, and loses of it.
fn figures(plan: &Plan, index: usize) -> String {
    let (Some(conductor), Some(cable)) = (
        plan.wiring.conductors.get(index),
        plan.study.cables.get(index),
    ) else {
        return String::new();
    };
    let brief = brief_at(&plan.study.rule, conductor.edge).map_or(0.0, |(amps, _)| amps);
    let amps = cable.design.amps.max(brief);
    if amps < 1e-9 {
        return String::new();
    }
    match lost(plan, index, conductor, amps) {
        Some(percent) => format!("{}  {}", phrase::amps(amps), say::percent(percent)),
        None => phrase::amps(amps),
    }
}

/// What a conductor loses by the rule, per cent; `None` where its resistance is not known, and in
/// a bank, whose links lose nothing by the rule.
pub(crate) fn lost(plan: &Plan, index: usize, conductor: &Conductor, amps: f64) -> Option<f64> {
    let base = &plan.study.base;
    let ohms = base.rule_ohms.get(index).copied().flatten()?;
    let is_link = base.banks.link_of.get(index).copied().flatten().is_some();
    let percent = 100.0 * amps * ohms / phrase::island_volts(plan, conductor.from);
    (!is_link && percent.is_finite()).then_some(percent)
}

/// `4.8 m black pump-1`, for each conductor that one `back` makes.
fn returned(made: &[Conductor]) -> String {
    let named = made.iter().take(MOST_NAMED).map(|conductor| {
        let mut words: Vec<String> = Vec::new();
        words.extend(conductor.metres.map(say::metres));
        words.extend(conductor.colour.map(Colour::to_word));
        words.push(conductor.mark.to_string());
        words.join(" ")
    });
    let mut named: Vec<String> = named.collect();
    if made.len() > MOST_NAMED {
        named.push(format!("and {} more", made.len() - MOST_NAMED));
    }
    named.join(", ")
}

/// What is left for a load when it loses the most; nothing where no way leads there.
fn left(plan: &Plan, draw: u32, drop: f64) -> String {
    let is_load = plan
        .wiring
        .draws
        .get(draw as usize)
        .is_some_and(|draw| matches!(draw.kind, DrawKind::Load | DrawKind::Inverter));
    let powered = plan.study.rule.ever_powered.get(draw as usize) == Some(&true);
    if is_load && powered {
        say::volts(plan.circuit().draw_volts(draw) - drop)
    } else {
        String::new()
    }
}

#[cfg(test)]
mod tests {
    use expect_test::{Expect, expect};

    use super::{Options, hints, tell};
    use crate::fixture::{CURLEW, pointed};

    /// The lines that have hints, with the hints in brackets.
    fn check(text: &str, options: Options, expected: &Expect) {
        let here = pointed(text);
        let found = hints(&here.plan, 0, &(0..here.text.len()), options);
        let mut shown = here.text.clone();
        for hint in found.iter().rev() {
            shown.insert_str(hint.at, &format!(" [{}]", hint.text));
        }
        let lines: Vec<&str> = shown.lines().filter(|line| line.contains('[')).collect();
        expected.assert_eq(&lines.join("\n"));
    }

    #[test]
    fn figures_and_marks_stand_behind_their_words() {
        check(
            CURLEW,
            Options::default(),
            &expect![[r#"
            busbar cabin-negative negative 100 A [4 of 10]
            load cabin-lights "Cabin lights" lighting 6 x 2.4 W [11.72 V]
            load fresh-pump "Fresh-water pump" pump 7 A [11.41 V]
                35 mm2 red 0.3 m in engine-bay [9.2 A] [house-link-positive+1]
                35 mm2 black 0.3 m in engine-bay [9.2 A] [house-link-negative+1]
                16 mm2 red 0.15 m in engine-bay [9.2 A  0.01 %] [domestic-feed+1]
                16 mm2 red 0.4 m in engine-bay [9.2 A  0.03 %] [domestic-feed+2]
                16 mm2 red 7 m [9.2 A  0.55 %] [domestic-feed+3]
                16 mm2 black 7.5 m [9.2 A  0.59 %] [domestic-return+1]
                1.5 mm2 red 4 m [1.2 A  0.44 %] [lights+1]
                1.5 mm2 red 2 m [1.2 A  0.22 %] [lights+2]
                back black [6 m black lights-1]
                twin 2.5 mm2 5 m [7 A  1.91 %] [pump+1]
                back [5 m pump+1]
            load tricolour navigation 10 W [11.66 V]
            load anchor-light navigation 2 W [11.94 V]
                1.5 mm2 red 5 m [0.83 A  0.38 %] [tricolour+1]
                core 1 of mast-cable [0.83 A  0.91 %] [tricolour+2]
                back core 3 of mast-cable to deck-plug pole 3 [12 m tricolour-1]
                1.5 mm2 black 5 m [1 A  0.46 %] [tricolour-2]
                1.5 mm2 red 5 m [0.17 A  0.08 %] [anchor-light+1]
                core 2 of mast-cable [0.17 A  0.18 %] [anchor-light+2]
                1.5 mm2 black 0.1 m [0.17 A  0 %] [anchor-light+3]"#]],
        );
    }

    /// 5 A over 2 x 4 m of 2.5 mm2 lose 0.0164 x 5 x 8 / 2.5 = 0.262 V: 11.74 V are left, and each
    /// conductor loses 1.09 % of 12 V. The lamps' return stands for both legs out.
    const SMALL: &str = "boat b system 12 V\nbattery bank agm 100 Ah\nload l pump 5 A # wet\nbusbar n negative 50 A\n    posts 4\nrun r\n    bank +\n    2.5 mm2 red 4 m # as is\n    l\n    back black to n\nrun home\n    n\n    95 mm2 black 0.1 m mark N1\n    bank -\n";

    #[test]
    fn before_comments_and_not_where_a_mark_is_written() {
        check(
            SMALL,
            Options::default(),
            &expect![[r#"
            load l pump 5 A [11.74 V] # wet
            busbar n negative 50 A [2 of 4]
                2.5 mm2 red 4 m [5 A  1.09 %] [r+1] # as is
                back black to n [4 m black r-1]
                95 mm2 black 0.1 m mark N1 [5 A  0 %]"#]],
        );
    }

    #[test]
    fn each_sort_can_be_turned_off() {
        let none = Options {
            conductors: false,
            loads: false,
            busbars: false,
            marks: false,
            returns: false,
        };
        let here = pointed(SMALL);
        let whole = 0..here.text.len();
        assert!(hints(&here.plan, 0, &whole, none).is_empty());
        let one = [
            Options {
                conductors: true,
                ..none
            },
            Options {
                loads: true,
                ..none
            },
            Options {
                busbars: true,
                ..none
            },
            Options {
                marks: true,
                ..none
            },
            Options {
                returns: true,
                ..none
            },
        ];
        let counts = one.map(|options| hints(&here.plan, 0, &whole, options).len());
        assert_eq!(counts, [2, 1, 1, 1, 1]);
    }

    #[test]
    fn only_what_is_asked_for_and_what_it_is_about() {
        let here = pointed(CURLEW);
        let at = here.text.find("twin 2.5 mm2 5 m").unwrap();
        let found = hints(&here.plan, 0, &(at..at + 20), Options::default());
        assert_eq!(found.len(), 2, "{found:?}");
        let told = tell(&here.plan, 0, found[0].about).unwrap().plain();
        assert!(told.starts_with("twin 2.5 mm² 5 m"), "{told}");
    }

    #[test]
    fn a_plan_that_is_broken_elsewhere_keeps_its_hints() {
        let broken = format!("{SMALL}run x\n    nobody +\n    2,5 mm2\nload \"\n");
        check(
            &broken,
            Options::default(),
            &expect![[r#"
            load l pump 5 A [11.74 V] # wet
            busbar n negative 50 A [2 of 4]
                2.5 mm2 red 4 m [5 A  1.09 %] [r+1] # as is
                back black to n [4 m black r-1]
                95 mm2 black 0.1 m mark N1 [5 A  0 %]"#]],
        );
    }
}
