use expect_test::{Expect, expect};

use super::{Role, Side, Token, What, tokens};
use crate::fixture::{CURLEW, pointed};

fn shown(text: &str, token: &Token) -> String {
    let what = match token.what {
        What::Part(role) => format!("{role:?}"),
        what => format!("{what:?}"),
    };
    let side = match token.side {
        Some(Side::Positive) => " +",
        Some(Side::Negative) => " -",
        None => "",
    };
    let defines = if token.defines { " here" } else { "" };
    format!("{}={what}{defines}{side}", &text[token.range.clone()])
}

fn check(text: &str, expected: &Expect) {
    let here = pointed(text);
    let mut lines: Vec<Vec<String>> = vec![Vec::new(); text.lines().count()];
    for token in tokens(&here.plan, 0, None) {
        let line = here.text[..token.range.start].matches('\n').count();
        lines[line].push(shown(&here.text, &token));
    }
    let lines: Vec<String> = lines.iter().map(|line| line.join(" | ")).collect();
    expected.assert_eq(&lines.join("\n"));
}

#[test]
fn kinds_names_facts_and_quantities() {
    check(
        "## Sources\n# a note\nboat b \"B\" system 12 V\nbattery bank agm 100Ah # said\nload l lighting 6 x 2.4 W\n    30 min/day\n    minimum 11 V\npanel p\n    way 2 fuse 5 A \"t\"\nblurb x\n",
        &expect![[r###"
            ## Sources=Heading
            # a note=Comment
            boat=Keyword | b=Place here | "B"=Text | system=Fact | 12=Number | V=Unit
            battery=Keyword | bank=Source here | agm=Word | 100=Number | Ah=Unit | # said=Comment
            load=Keyword | l=Load here | lighting=Word | 6=Number | x=Keyword | 2.4=Number | W=Unit
            30=Number | min/day=Unit
            minimum=Fact | 11=Number | V=Unit
            panel=Keyword | p=Distribution here
            way=Fact | 2=Number | fuse=Word | 5=Number | A=Unit | "t"=Text
        "###]],
    );
}

#[test]
fn positive_and_negative_conductors_differ() {
    check(
        "boat b system 12 V\nbattery bank agm 100 Ah\nfuse f blade 5 A\nload l lighting 5 W\ncable c\nplace hold\nrun r\n    bank +\n    1.5 mm2 RD 0.1 m in hold\n    f\n    14 AWG c brown/yellow 2 m bundled 3 mark D/3\n    l\n    back black to bank -\ncase night \"N\"\n    on l 1 A\n    off nobody\n",
        &expect![[r#"
            boat=Keyword | b=Place here | system=Fact | 12=Number | V=Unit
            battery=Keyword | bank=Source here | agm=Word | 100=Number | Ah=Unit
            fuse=Keyword | f=Protection here | blade=Word | 5=Number | A=Unit
            load=Keyword | l=Load here | lighting=Word | 5=Number | W=Unit
            cable=Keyword | c=Cable here
            place=Keyword | hold=Place here
            run=Keyword | r=Run here
            bank=Source | +=Terminal +
            1.5=Number + | mm2=Unit + | RD=Colour + | 0.1=Number + | m=Unit + | in=Keyword + | hold=Place
            f=Protection
            14=Number + | AWG=Unit + | c=Cable | brown/yellow=Colour + | 2=Number + | m=Unit + | bundled=Keyword + | 3=Number + | mark=Keyword + | D/3=Mark
            l=Load
            back=Keyword - | black=Colour - | to=Keyword - | bank=Source | -=Terminal -
            case=Keyword | night=Case here | "N"=Text
            on=Keyword | l=Load | 1=Number | A=Unit
            off=Keyword | nobody=Unknown"#]],
    );
}

#[test]
fn what_cannot_be_read_has_no_tokens_and_hurts_nothing_else() {
    check(
        "load l lighting 5 W\nrun r\n    b +\n    ?? 5 é\n    \"open\n    l\n    back to\nload m “M” pump 2,5 A\n",
        &expect![[r#"
            load=Keyword | l=Load here | lighting=Word | 5=Number | W=Unit
            run=Keyword | r=Run here
            b=Unknown | +=Terminal +

            "open=Text
            l=Load

            load=Keyword | m=Load here | “M”=Text | pump=Word"#]],
    );
}

#[test]
fn in_order_apart_and_on_one_line() {
    let here = pointed(CURLEW);
    let all = tokens(&here.plan, 0, None);
    for pair in all.windows(2) {
        assert!(pair[0].range.end <= pair[1].range.start);
    }
    for token in &all {
        let words = &here.text[token.range.clone()];
        assert!(!words.is_empty() && !words.contains('\n'), "{words}");
    }
    let fuse = here.text.find("house-fuse bolt").unwrap();
    let token = all.iter().find(|token| token.range.start == fuse).unwrap();
    assert_eq!(token.what, What::Part(Role::Protection));
}

#[test]
fn some_lines_have_the_tokens_that_the_whole_has_there() {
    let here = pointed(CURLEW);
    let all = tokens(&here.plan, 0, None);
    let at = here.text.find("run pump").unwrap();
    let some = tokens(&here.plan, 0, Some(&(at..at + 40)));
    let within: Vec<Token> = all
        .into_iter()
        .filter(|token| token.range.end >= at && token.range.start <= at + 40)
        .collect();
    assert!(!some.is_empty());
    assert_eq!(some, within);
}
