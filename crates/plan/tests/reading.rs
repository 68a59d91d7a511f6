//! What the text as a whole says.

use ampwright_plan::Plan;

/// One cause, one finding: a file of which every line is indented has no boat either.
#[test]
fn a_file_indented_on_every_line_is_told_so_once() {
    let text = "  boat b system 12 V\n  battery house agm 60 Ah\n";
    let told = |text: &str| {
        let plan = Plan::of_text(text);
        let findings = plan.findings.iter();
        findings
            .map(|finding| finding.message.clone())
            .collect::<Vec<_>>()
    };
    let found = told(text);
    assert_eq!(found.len(), 1, "{found:#?}");
    assert!(found[0].starts_with("Every line of this file is indented"));
    assert!(told("")[0].starts_with("This plan has no boat"));
}
