//! The example of the notation's own description.

use ampwright_notation::File;

const CURLEW: &str = include_str!("curlew.boat");

#[test]
fn it_has_no_flaw() {
    let file = File::parse(CURLEW);
    let flaws = file.all_flaws();
    assert!(flaws.is_empty(), "{flaws:#?}");
}

#[test]
fn its_parts_give_back_its_text() {
    assert_eq!(File::parse(CURLEW).text(), CURLEW);
}
