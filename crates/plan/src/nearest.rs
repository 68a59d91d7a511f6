//! The nearest of some words to a mistyped one.

/// The known word that a slip of the pen most likely meant; `None` where none is near.
pub fn nearest<'a>(word: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let longest = word.chars().count();
    let most = 1 + longest / 4;
    known
        .filter(|other| other.len().abs_diff(word.len()) <= 4 * most)
        .map(|other| (distance(word, other, most), other))
        .filter(|&(distance, _)| distance <= most)
        .min()
        .map(|(_, other)| other)
}

/// Edits (insert, drop, change, exchange of neighbours) from one word to another; more than `most`
/// is not counted out.
fn distance(a: &str, b: &str, most: usize) -> usize {
    let (a, b): (Vec<char>, Vec<char>) =
        (a.chars().take(64).collect(), b.chars().take(64).collect());
    if a.len().abs_diff(b.len()) > most {
        return most + 1;
    }
    let mut before: Vec<usize> = Vec::new();
    let mut above: Vec<usize> = (0..=b.len()).collect();
    for (i, &from) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, &to) in b.iter().enumerate() {
            let mut cost = (above[j] + usize::from(from != to))
                .min(above[j + 1] + 1)
                .min(row[j] + 1);
            if i > 0 && j > 0 && from == b[j - 1] && a[i - 1] == to {
                cost = cost.min(before[j - 1] + 1);
            }
            row.push(cost);
        }
        before = std::mem::replace(&mut above, row);
    }
    above.last().copied().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_finds_its_word_and_a_stranger_finds_none() {
        let known = ["house-fuse", "house-isolator", "cabin-panel"];
        assert_eq!(nearest("house-fues", known.into_iter()), Some("house-fuse"));
        assert_eq!(
            nearest("cabin-panl", known.into_iter()),
            Some("cabin-panel")
        );
        assert_eq!(nearest("windlass", known.into_iter()), None);
    }
}
