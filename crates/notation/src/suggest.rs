//! The nearest of some words to a word that is none of them.

/// The nearest candidate to `word`, where one is near enough to be what was meant.
///
/// Near enough is a third of the word's letters, changed, added, dropped or swapped, or that the
/// word begins one candidate only (`abyc` of `abyc-e11`).
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // A longer word is no keyword with a slip in it, and the distance is quadratic.
    const LONGEST: usize = 40;
    if word.len() > LONGEST {
        return None;
    }
    let limit = (word.chars().count() / 3).max(1);
    let mut best: Option<(usize, &str)> = None;
    let mut begun = Vec::new();
    for candidate in candidates {
        begun.extend(candidate.starts_with(word).then_some(candidate));
        // Letters must be added or dropped for each byte of difference at least, where the
        // candidates are ASCII, as all keywords are.
        if candidate.is_ascii() && candidate.len().abs_diff(word.chars().count()) > limit {
            continue;
        }
        let distance = distance(word, candidate);
        let is_near = distance <= limit && distance < candidate.chars().count();
        if is_near && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, candidate)| candidate).or(match begun[..] {
        [only] if word.len() > 2 => Some(only),
        _ => None,
    })
}

/// How many letters must be changed, added, dropped or swapped with their neighbour, case aside.
pub fn distance(a: &str, b: &str) -> usize {
    let a: Vec<char> = a.chars().flat_map(char::to_lowercase).collect();
    let b: Vec<char> = b.chars().flat_map(char::to_lowercase).collect();
    let mut before: Vec<usize> = Vec::new();
    let mut above: Vec<usize> = (0..=b.len()).collect();
    for (i, &x) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, &y) in b.iter().enumerate() {
            let swapped = i > 0 && j > 0 && x == b[j - 1] && a[i - 1] == y;
            let mut cost = (above[j] + usize::from(x != y))
                .min(above[j + 1] + 1)
                .min(row[j] + 1);
            if swapped {
                cost = cost.min(before[j - 1] + 1);
            }
            row.push(cost);
        }
        before = std::mem::replace(&mut above, row);
    }
    above.last().copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::{distance, nearest};

    #[test]
    fn a_slip_is_near() {
        assert_eq!(nearest("minimun", ["minimum", "main"]), Some("minimum"));
        assert_eq!(nearest("busbra", ["busbar", "battery"]), Some("busbar"));
        assert_eq!(nearest("Battery", ["busbar", "battery"]), Some("battery"));
    }

    #[test]
    fn a_beginning_is_near_where_it_begins_one_word() {
        assert_eq!(nearest("abyc", ["abyc-e11", "baseline"]), Some("abyc-e11"));
        assert_eq!(nearest("bolt", ["bolt-down", "bolt-on-top"]), None);
    }

    #[test]
    fn another_word_is_not() {
        assert_eq!(nearest("chartplotter", ["battery", "busbar"]), None);
        assert_eq!(nearest("a", ["b"]), None);
    }

    #[test]
    fn swaps_cost_one() {
        assert_eq!(distance("fues", "fuse"), 1);
        assert_eq!(distance("", "ab"), 2);
    }
}
