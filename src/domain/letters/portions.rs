//! Amounts that somebody chooses from who fed without weighing.

use crate::units::Grams;

/// Amounts as people say them: in steps of so much.
const STEP_G: i64 = 10;
/// Less than that is not worth writing down (our suggestion).
const LEAST_G: i64 = 20;
/// More than that goes into no bin of a shared house at once: what an offer may be at most.
const MOST_G: i64 = 50_000;

/// Amounts around the likeliest one, which comes first, the others from the least to the most.
/// `room` is what the bin could take: whoever asked before feeding gave that.
#[must_use]
pub fn portions(likeliest: Grams, room: Grams) -> Vec<Grams> {
    let first = rounded(likeliest.0);
    let mut others: Vec<i64> = [first / 4, first / 2, first * 3 / 2, first * 2, room.0]
        .into_iter()
        .map(rounded)
        .filter(|other| *other != first)
        .collect();
    others.sort_unstable();
    others.dedup();
    [first].into_iter().chain(others).map(Grams).collect()
}

fn rounded(grams: i64) -> i64 {
    let clamped = grams.clamp(LEAST_G, MOST_G);
    (clamped + STEP_G / 2) / STEP_G * STEP_G
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Protects whoever only taps from an amount that is not theirs: theirs comes first.
    #[test]
    fn the_likeliest_comes_first_and_the_others_around_it() {
        let all = |likeliest, room| {
            let portions = portions(Grams(likeliest), Grams(room));
            portions.iter().map(|one| one.0).collect::<Vec<_>>()
        };
        assert_eq!(all(400, 650), [400, 100, 200, 600, 650, 800]);
        assert_eq!(all(400, 0), [400, 20, 100, 200, 600, 800]);
        assert_eq!(all(0, 0), [20, 30, 40]);
    }

    proptest! {
        /// Protects the page from two options that say the same, and from amounts that could
        /// not be recorded.
        #[test]
        fn no_amount_comes_twice_and_each_can_be_recorded(
            likeliest in -1_000_i64..200_000,
            room in -1_000_i64..200_000,
        ) {
            let mut all: Vec<i64> = portions(Grams(likeliest), Grams(room))
                .into_iter().map(|one| one.0).collect();
            prop_assert!(all.iter().all(|one| (LEAST_G..=MOST_G).contains(one)));
            prop_assert!(all[1..].is_sorted());
            let count = all.len();
            all.sort_unstable();
            all.dedup();
            prop_assert_eq!(all.len(), count);
        }
    }
}
