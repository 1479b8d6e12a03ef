//! Which known name somebody may have meant.

/// Longer words are cut here: no name comes near it, and the work stays small whatever is sent.
const LONGEST: usize = 48;
/// A shared word counts as this many slips of the finger: a name that is wrong in fewer
/// letters goes first.
const SHARED_WORD: usize = 3;

/// Up to `n` of `names` that are near `asked`, the nearest first; ties by name.
pub(super) fn nearest_of<'a>(
    asked: &str,
    n: usize,
    names: impl Iterator<Item = &'a str>,
) -> Vec<&'a str> {
    let asked = normalised(asked);
    if asked.is_empty() {
        return Vec::new();
    }
    let allowed = asked.chars().count() / 3 + 1;
    let mut near: Vec<(usize, &str)> = names
        .filter_map(|name| {
            let slips = distance(&asked, name);
            let shared = share_a_word(&asked, name).then_some(SHARED_WORD);
            let slips = (slips <= allowed).then_some(slips);
            Some((slips.into_iter().chain(shared).min()?, name))
        })
        .collect();
    near.sort_unstable();
    near.into_iter().take(n).map(|(_, name)| name).collect()
}

/// As names are written: lower case, words joined by hyphens.
fn normalised(asked: &str) -> String {
    asked
        .trim()
        .chars()
        .take(LONGEST)
        .map(|c| {
            if c == '_' || c.is_whitespace() {
                '-'
            } else {
                c
            }
        })
        .flat_map(char::to_lowercase)
        .collect()
}

/// Whether a word of four letters or more stands in both, give or take one letter.
fn share_a_word(asked: &str, name: &str) -> bool {
    let long = |word: &&str| word.chars().count() >= 4;
    asked.split('-').filter(long).any(|one| {
        name.split('-')
            .filter(long)
            .any(|other| distance(one, other) <= 1)
    })
}

/// Letters to insert, delete or change to turn one word into the other (Levenshtein).
fn distance(one: &str, other: &str) -> usize {
    let other: Vec<char> = other.chars().collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (i, a) in one.chars().enumerate() {
        let mut diagonal = i;
        let mut left = i + 1;
        if let Some(first) = row.first_mut() {
            *first = left;
        }
        for (b, cell) in other.iter().zip(row.iter_mut().skip(1)) {
            let above = *cell;
            left = (diagonal + usize::from(a != *b))
                .min(above + 1)
                .min(left + 1);
            diagonal = above;
            *cell = left;
        }
    }
    row.last().copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn distance_counts_letters() {
        assert_eq!(distance("", "abc"), 3);
        assert_eq!(distance("abc", ""), 3);
        assert_eq!(distance("carrot", "carrot"), 0);
        assert_eq!(distance("carot", "carrot"), 1);
        assert_eq!(distance("kitten", "sitting"), 3);
        assert_eq!(distance("flaw", "lawn"), 2);
    }

    proptest! {
        #[test]
        fn distance_is_symmetric_and_bounded(a in "[a-d]{0,8}", b in "[a-d]{0,8}") {
            let d = distance(&a, &b);
            prop_assert_eq!(d, distance(&b, &a));
            prop_assert_eq!(d == 0, a == b);
            prop_assert!(d >= a.len().abs_diff(b.len()) && d <= a.len().max(b.len()));
        }
    }
}
