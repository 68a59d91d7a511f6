use std::{fs, path::PathBuf, sync::Arc};

use ampwright_notation::File;
use ampwright_plan::{Plan, Sources};
use expect_test::{Expect, expect};

use super::{
    Offer, Sort, Task,
    draft::{Tally, edited},
    make, of_file, offers,
};
use crate::{cursor::Edit, fixture::pointed};

/// The first file's text with edits made in it.
fn applied(text: &str, edits: &[Edit]) -> String {
    let mut edits = edits.to_vec();
    edits.sort_by_key(|edit| std::cmp::Reverse((edit.at.range.start, edit.at.range.end)));
    let mut out = text.to_owned();
    for edit in edits.iter().filter(|edit| edit.at.file == 0) {
        out.replace_range(edit.at.range.clone(), &edit.text);
    }
    out
}

/// What the offer of these words makes of the text, or why it refuses; lines that differ only.
fn check(fixture: &str, title: &str, expected: &Expect) {
    let here = pointed(fixture);
    let mut all = offers(&here.plan, 0, &(here.at..here.at));
    all.extend(of_file(&here.plan, 0));
    let titles: Vec<&str> = all.iter().map(|offer| &*offer.title).collect();
    let offer = all.iter().find(|offer| offer.title.starts_with(title));
    let offer = offer.unwrap_or_else(|| panic!("{title} is not among {titles:?}"));
    let shown = match make(&here.plan, offer.task, &|| false) {
        Ok(made) => {
            let after = applied(&here.text, &made.edits);
            let title = made
                .title
                .map_or_else(String::new, |title| format!("{title}\n"));
            format!("{title}{}", differences(&here.text, &after))
        }
        Err(why) => why,
    };
    expected.assert_eq(&shown);
}

/// The lines between those that are the same at the top and at the bottom.
fn differences(before: &str, after: &str) -> String {
    let (before, after): (Vec<&str>, Vec<&str>) =
        (before.lines().collect(), after.lines().collect());
    let same = |(a, b): &(&&str, &&str)| a == b;
    let front = before.iter().zip(&after).take_while(same).count();
    let (old, new) = (&before[front..], &after[front..]);
    let back = old
        .iter()
        .rev()
        .zip(new.iter().rev())
        .take_while(same)
        .count();
    let old = old[..old.len() - back]
        .iter()
        .map(|line| format!("-{line}"));
    let new = new[..new.len() - back]
        .iter()
        .map(|line| format!("+{line}"));
    old.chain(new).collect::<Vec<_>>().join("\n")
}

fn titles(fixture: &str) -> Vec<String> {
    let here = pointed(fixture);
    let all = offers(&here.plan, 0, &(here.at..here.at));
    let all = all.into_iter().chain(of_file(&here.plan, 0));
    all.map(|offer| offer.title).collect()
}

const PLAN: &str = "boat b system 12 V
battery bank agm 100 Ah
fuse f blade 20 A
isolator i 50 A
panel p
    way 1 fuse 10 A
    returns neg
busbar neg negative 100 A
    posts 3
run feed
    bank +
    6 mm2 red 0.1 m
    f
    6 mm2 red 0.3 m
    i
    6 mm2 red 2 m
    p
run return
    neg
    6 mm2 black 2 m
    bank -
";

fn plan_with(circuit: &str) -> String {
    format!("{PLAN}{circuit}")
}

#[test]
fn the_smallest_size_that_passes() {
    // The feed loses 0.0164 x 5 x 4.4 / 6 = 0.06 V; of 1 mm2 there and back 0.0164 x 5 x 16 = 1.312 V,
    // 11.4 % in all, of 1.5 mm2 0.875 V, 7.8 %. A pump is allowed 10 %.
    check(
        &plan_with(
            "load l pump 5 A\nrun l\n    p way 1\n    1 mm2 re$0d 8 m\n    l\n    back black\n",
        ),
        "Size",
        &expect![[r#"
            Size this conductor and its return: 1.5 mm²
            -    1 mm2 red 8 m
            +    1.5 mm2 red 8 m"#]],
    );
    check(
        &plan_with(
            "load l pump 5 A\nrun l\n    p way 1\n    twin 16 AWG$0 12 m\n    l\n    back\n",
        ),
        "Size",
        &expect![[r#"
            Size this conductor: 14 AWG
            -    twin 16 AWG 12 m
            +    twin 14 AWG 12 m"#]],
    );
    check(
        &plan_with(
            "load l navigation 5 A\nrun l\n    p way 1\n    twin 4$0 mm2 700 m\n    l\n    back\n",
        ),
        "Size",
        &expect![
            "No size that is made passes: below-minimum-size from 0.5 mm² to 0.5 mm², fuse-exceeds-conductor from 0.75 mm² to 1 mm², cannot-deliver from 1.5 mm² to 10 mm², excess-drop from 16 mm² to 240 mm². At 240 mm²: On the way to l and back 0.538 V are lost in l alone, 4.49 %; 3 % are allowed, and this conductor loses the most."
        ],
    );
    check(
        &plan_with(
            "multicore m 2 cores 0.5 mm2 12 m\nload l pump 3 A\nrun l\n    p way 1\n    core 1 of m\n    l\n    back co$0re 2 of m\n",
        ),
        "Size",
        &expect![[r#"
            Size the cores of m: 1.5 mm²
            -multicore m 2 cores 0.5 mm2 12 m
            +multicore m 2 cores 1.5 mm2 12 m"#]],
    );
}

#[test]
fn a_device_where_none_is() {
    check(
        "boat b system 12 V\nbattery bank agm 100 Ah\nisolator i 100 A\nload l pump 5 A\n# Noted.\nrun l\n    bank +\n    2.5 mm2 red$0 4 m mark A1 # as is\n    i\n    2.5 mm2 red 1 m\n    l\n    back black to bank -\n",
        "Add a fuse",
        &expect![[r#"
            Add a fuse here: l-fuse, class-t, 7.5 A
            -# Noted.
            -run l
            -    bank +
            -    2.5 mm2 red 4 m mark A1 # as is
            +fuse l-fuse class-t 7.5 A
            +# Noted.
            +run l
            +    bank +
            +    2.5 mm2 red 0.1 m mark A1 # as is
            +    l-fuse
            +    2.5 mm2 red 3.9 m"#]],
    );
    check(
        "boat b system 12 V\nbattery bank agm 100 Ah\nload l pump 5 A\nrun l\n    l +\n    2.5 mm2 red$0 10 ft\n    bank +\nrun home\n    l -\n    2.5 mm2 black 10 ft\n    bank -\n",
        "Add a fuse",
        &expect![[r#"
            Add a fuse here: l-fuse, class-t, 7.5 A
            -run l
            -    l +
            -    2.5 mm2 red 10 ft
            +fuse l-fuse class-t 7.5 A
            +run l
            +    l +
            +    2.5 mm2 red 9.6719 ft
            +    l-fuse
            +    2.5 mm2 red 0.3281 ft"#]],
    );
}

#[test]
fn the_return_written_out() {
    check(
        &plan_with(
            "load l pump 5 A\nswitch s 10 A\nplace hold\nrun l\n    p way 1\n    2.5 mm2 red 3 m in hold\n    s\n    2.5 mm2 red 1 m\n    l\n    back$0 black\n",
        ),
        "Write the return",
        &expect![[r#"
            -    back black
            +    2.5 mm2 black 4 m in hold mark l-1
            +    neg"#]],
    );
    check(
        &plan_with(
            "load l lighting 1 A\nload m lighting 1 A\nrun l\n    p way 1\n    2.5 mm2 red 3 m\n    l +\n    2.5 mm2 red 1 m\n    m\n    back$0 black\n",
        ),
        "Write the return",
        &expect![[r#"
            -    back black
            +    2.5 mm2 black 1 m mark l-1
            +    l -
            +    2.5 mm2 black 3 m mark l-2
            +    neg"#]],
    );
}

#[test]
fn out_and_back_as_a_twin() {
    check(
        &plan_with(
            "load l pump 5 A\nswitch s 10 A\nrun l\n    p way 1\n    4 mm2 red 3 m # first\n    s\n    4 mm2 red 1 m\n    l$0\n    back black\n",
        ),
        "Run it out and back",
        &expect![[r#"
            -    4 mm2 red 3 m # first
            -    s
            -    4 mm2 red 1 m
            -    l
            -    back black
            +    twin 4 mm2 3 m # first
            +    s
            +    twin 4 mm2 1 m
            +    l
            +    back"#]],
    );
    check(
        &plan_with(
            "load l pump 5 A\nrun l\n    p way 1\n    4 mm2 red 3 m\n    l\n    4 mm2 black 3 m$0\n    neg\n",
        ),
        "Run it out and back",
        &expect![[r#"
            -    4 mm2 red 3 m
            -    l
            -    4 mm2 black 3 m
            -    neg
            +    twin 4 mm2 3 m
            +    l
            +    back to neg"#]],
    );
    let other = titles(&plan_with(
        "load l pump 5 A\nrun l\n    p way 1\n    4 mm2 red 3 m\n    l\n    6 mm2 black 3 m$0\n    neg\n",
    ));
    assert!(
        !other.iter().any(|title| title.contains("twin")),
        "{other:?}"
    );
}

#[test]
fn one_more_way_or_post() {
    check(
        "panel p$0\n    way 1 fuse 5 A # lamps\n    returns n\n",
        "Add way",
        &expect!["+    way 2 spare"],
    );
    check(
        "panel p$0 returns n\n",
        "Add way",
        &expect!["+    way 1 spare"],
    );
    check(
        "busbar n negative 100 A\n    posts 3$0\n",
        "Give n",
        &expect![[r#"
            -    posts 3
            +    posts 4"#]],
    );
}

#[test]
fn facts_below_and_back() {
    check(
        "load l \"L\" pump 5 A$0 2 h/day # said\n    minimum 11 V\n",
        "Move the facts below",
        &expect![[r#"
            -load l "L" pump 5 A 2 h/day # said
            +load l "L" # said
            +    pump
            +    5 A
            +    2 h/day"#]],
    );
    check(
        "load l \"L\" # said\n    pump\n    5 A$0\nplace x\n",
        "Move the facts to",
        &expect![[r#"
            -load l "L" # said
            -    pump
            -    5 A
            +load l "L" pump 5 A # said"#]],
    );
    check(
        "load l\n    pump # why\n    5 A$0\n",
        "Move the facts to",
        &expect!["A comment or another fact stands beside one of them."],
    );
}

#[test]
fn made_marks_written() {
    let circuit = "load l pump 5 A\nrun l\n    p way 1\n    2.5 mm2 red 3 m # so\n    l$0\n    back black to neg\n";
    check(
        &plan_with(circuit),
        "Write this run's",
        &expect![[r#"
        -    2.5 mm2 red 3 m # so
        -    l
        -    back black to neg
        +    2.5 mm2 red 3 m mark l+1 # so
        +    l
        +    back black mark l-1 to neg"#]],
    );
    check(
        &plan_with(circuit),
        "Write every",
        &expect![[r#"
        -    6 mm2 red 0.1 m
        -    f
        -    6 mm2 red 0.3 m
        -    i
        -    6 mm2 red 2 m
        -    p
        -run return
        -    neg
        -    6 mm2 black 2 m
        -    bank -
        -load l pump 5 A
        -run l
        -    p way 1
        -    2.5 mm2 red 3 m # so
        -    l
        -    back black to neg
        +    6 mm2 red 0.1 m mark feed+1
        +    f
        +    6 mm2 red 0.3 m mark feed+2
        +    i
        +    6 mm2 red 2 m mark feed+3
        +    p
        +run return
        +    neg
        +    6 mm2 black 2 m mark return+1
        +    bank -
        +load l pump 5 A
        +run l
        +    p way 1
        +    2.5 mm2 red 3 m mark l+1 # so
        +    l
        +    back black mark l-1 to neg"#]],
    );
    let twin = "load l pump 5 A\nrun l\n    p way 1\n    twin 2.5 mm2 3 m\n    l$0\n    back\n";
    check(
        &plan_with(twin),
        "Write this run's",
        &expect![[r#"
        -    twin 2.5 mm2 3 m
        +    twin 2.5 mm2 3 m mark l+1"#]],
    );
}

#[test]
fn all_sure_mends_at_once_and_the_written_form() {
    check(
        "boat b system 12 V\n$0load l  pump 2,5 A\nload m pump 3,5 A\n",
        "Mend everything",
        &expect![[r#"
            -load l  pump 2,5 A
            -load m pump 3,5 A
            +load l  pump 2.5 A
            +load m pump 3.5 A"#]],
    );
    check(
        "boat b system 12 V\n$0load l  pump 2.5A\n",
        "Bring the file",
        &expect![[r#"
            -load l  pump 2.5A
            +load l pump 2.5 A"#]],
    );
    let none = titles("boat b system 12 V\n$0load l pump 2.5 A spare\n");
    assert_eq!(none, ["Move the facts below"]);
}

#[test]
fn a_task_of_another_text_is_refused() {
    let here = pointed("boat b system 12 V\n");
    let whose = ampwright_plan::ThingRef { file: 3, thing: 9 };
    let part = ampwright_plan::PartId(99);
    for task in [
        Task::Mend(7, 0),
        Task::MendAll(9),
        Task::Written(9),
        Task::Size(whose, 4),
        Task::SizeCores(part),
        Task::Protect(whose, 1),
        Task::WriteBack(whose, 2),
        Task::Twin(whose),
        Task::NextWay(part),
        Task::NextPost(part),
        Task::Below(whose),
        Task::OnHead(whose),
        Task::Marks(whose),
        Task::AllMarks,
    ] {
        assert!(make(&here.plan, task, &|| false).is_err(), "{task:?}");
    }
}

/// The examples: whole boats, and the plans that show a finding.
fn examples() -> Vec<(String, Plan)> {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let mut files: Vec<PathBuf> = Vec::new();
    let mut folders = vec![root];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path
                .extension()
                .is_some_and(|extension| extension == "boat")
                && !path.ends_with("mended.boat")
            {
                files.push(path);
            }
        }
    }
    files.sort();
    let plan = |path: PathBuf| {
        let folder = path.parent()?.to_owned();
        let read = |name: &str| {
            let text = fs::read_to_string(folder.join(name)).map_err(|why| why.to_string())?;
            Ok(Arc::new(File::parse(&text)))
        };
        let name = path.file_name()?.to_str()?;
        let sources = Sources::gather(name, &read).ok()?;
        Some((path.display().to_string(), Plan::of(sources)))
    };
    let whole = files.into_iter().filter_map(plan);
    whole
        .filter(|(_, plan)| plan.model.boat.is_some())
        .collect()
}

/// Every task that is offered anywhere in a plan, once.
fn all_offers(plan: &Plan) -> Vec<Offer> {
    let mut all: Vec<Offer> = Vec::new();
    for (file, source) in plan.sources.list.iter().enumerate() {
        all.extend(of_file(plan, file as u32));
        let mut at = 0;
        for line in source.file.text().split_inclusive('\n') {
            let first = at + line.len() - line.trim_start().len();
            for offer in offers(plan, file as u32, &(first..first)) {
                if !all.iter().any(|known| known.task == offer.task) {
                    all.push(offer);
                }
            }
            at += line.len();
        }
    }
    all
}

/// What one offer, carried out, does that it should not.
fn harm(plan: &Plan, before: &Tally, offer: &Offer) -> Option<Vec<String>> {
    let made = make(plan, offer.task, &|| false).ok()?;
    let after = edited(plan, &made.edits);
    let title = made.title.as_deref().unwrap_or(&offer.title);
    let mut wrong = Vec::new();
    if let Some(finding) = before.worse(&after) {
        let code = finding.code.word();
        wrong.push(format!("{title} brings {code}: {}", finding.message));
    }
    for &index in &offer.mends {
        let asked = &plan.findings[index];
        let same = |of: &Plan| {
            of.findings
                .iter()
                .filter(|one| one.code == asked.code)
                .count()
        };
        if same(&after) >= same(plan) {
            wrong.push(format!(
                "{title} leaves {}: {}",
                asked.code.word(),
                asked.message
            ));
        }
    }
    if let Task::Size(..) | Task::SizeCores(_) = offer.task {
        wrong.extend(smaller_would_do(plan, before, offer.task, &made.edits));
    }
    Some(wrong)
}

/// One size smaller than the one that is offered has to fail a check.
fn smaller_would_do(plan: &Plan, before: &Tally, task: Task, edits: &[Edit]) -> Option<String> {
    let smaller = super::size::one_smaller(plan, &edits.first()?.text)?;
    let with = |edit: &Edit| Edit {
        text: smaller.clone(),
        ..edit.clone()
    };
    let edits: Vec<Edit> = edits.iter().map(with).collect();
    let fails = super::size::fails(before, &edited(plan, &edits), task);
    (!fails).then(|| format!("{smaller} would do"))
}

#[test]
fn what_is_done_mends_what_it_says_and_harms_nothing() {
    let (mut done, mut mended, mut sized, mut wrong) = (0, 0, 0, Vec::new());
    for (name, plan) in examples() {
        let before = Tally::of(&plan);
        let is_pair = name.contains("findings");
        for (place, offer) in all_offers(&plan).iter().enumerate() {
            // Of what a whole boat offers every eighth: a trial computes the boat anew.
            let sizes = matches!(offer.task, Task::Size(..) | Task::SizeCores(_));
            if !is_pair && offer.sort == Sort::Rewrite && place % 8 != 0 {
                continue;
            }
            let Some(harm) = harm(&plan, &before, offer) else {
                continue;
            };
            wrong.extend(harm.into_iter().map(|harm| format!("{name}: {harm}")));
            done += 1;
            mended += offer.mends.len();
            sized += usize::from(sizes);
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(done > 300, "{done} done");
    assert!(mended > 20, "{mended} mended");
    assert!(sized > 50, "{sized} sized");
}

#[test]
fn what_mends_comes_first_and_stands_for_its_findings() {
    let here = pointed("boat b system 12 V\nload l pump 2,$05 A\n");
    let all = offers(&here.plan, 0, &(here.at..here.at));
    assert_eq!(all[0].sort, Sort::Mend);
    assert!(all[0].preferred);
    assert_eq!(
        all[0].mends,
        [here
            .plan
            .findings
            .iter()
            .position(|one| one.code.word() == "syntax")
            .unwrap()]
    );
}
