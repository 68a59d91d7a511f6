//! Every place that names a thing, across the plan's files.

use ampwright_plan::Plan;

use crate::{cursor::FileRange, names};

/// The mentions of what stands at an offset, in the order of the plan.
pub fn references(plan: &Plan, file: u32, offset: usize, with_definition: bool) -> Vec<FileRange> {
    let Some((symbol, _)) = names::symbol_at(plan, file, offset) else {
        return Vec::new();
    };
    names::all(plan, &symbol)
        .into_iter()
        .filter(|(_, defines)| with_definition || !defines)
        .map(|(range, _)| range)
        .collect()
}

#[cfg(test)]
mod tests {
    use expect_test::{Expect, expect};

    use super::references;
    use crate::fixture::{curlew_at, words};

    fn check(at: &str, expected: &Expect) {
        let here = curlew_at(at, 1);
        let found = references(&here.plan, 0, here.at, true);
        expected.assert_eq(&words(
            &here.text,
            found.into_iter().map(|range| range.range),
        ));
    }

    #[test]
    fn of_a_part_of_a_place_and_of_a_way() {
        check(
            "tricolour navigation",
            &expect![[r#"
            76: tricolour
            83: tricolour
            94: tricolour
            102: tricolour"#]],
        );
        check(
            "engine-bay engine-space",
            &expect![[r#"
            10: engine-bay
            14: engine-bay
            40: engine-bay
            44: engine-bay
            49: engine-bay
            51: engine-bay"#]],
        );
        check(
            "2 fuse 10 A",
            &expect![[r#"
            23: 2
            68: 2"#]],
        );
    }

    #[test]
    fn without_the_definition() {
        let here = curlew_at("fresh-pump", 0);
        let all = references(&here.plan, 0, here.at, true).len();
        assert_eq!(references(&here.plan, 0, here.at, false).len(), all - 1);
        assert!(references(&here.plan, 0, 0, true).is_empty());
    }
}
