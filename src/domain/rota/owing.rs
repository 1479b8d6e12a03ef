//! What one rota leaves to the next, in thousandths of effort: a fair share is rarely whole,
//! and what is rounded away each time would add up to a turn some day.

/// Thousandths in one effort.
pub const MILLI: i64 = 1_000;

/// Whole efforts for the planner, which knows no parts of one: each is less than one away from
/// the exact balance, and their sum is the exact sum to the nearest whole.
#[must_use]
pub fn whole(milli: &[i64]) -> Vec<i64> {
    let sum: i128 = milli.iter().map(|one| i128::from(*one)).sum();
    let one = i128::from(MILLI);
    let target = (sum + one / 2).div_euclid(one);
    rounded(milli.iter().map(|one| i128::from(*one)), one, target)
}

/// An amount divided by shares, to the thousandth: the parts make the whole again.
#[must_use]
pub fn parts(total_milli: i64, shares: &[u32]) -> Vec<i64> {
    let all: i128 = shares.iter().map(|share| i128::from(*share)).sum();
    if all == 0 {
        return vec![0; shares.len()];
    }
    let total = i128::from(total_milli);
    let exact = shares.iter().map(|share| total * i128::from(*share));
    rounded(exact, all, total)
}

/// A place that was somebody's when the rota was put up, and that they gave up since. One that
/// they took on later and gave back is none: it was never in their part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GivenUp {
    /// What the turn costs.
    pub effort: u32,
    /// Whether it costs them nothing that they were away.
    pub excused: bool,
}

/// What somebody leaves owing when a rota is over, in thousandths of effort: above zero for who
/// did more than their part. `held` is the effort of the places that are theirs in the end,
/// those they covered among them; `fair_milli` their part as it was when the rota was put up.
///
/// Whoever covered a place has it in `held`, so that they gain its effort in any case. Whoever
/// gave it up has it not, and owes it; when excused they are taken to have held it. The effort
/// then stands with both, and the next rota's parts share it out among all: see [`parts`].
#[must_use]
pub fn left_milli(held: u32, fair_milli: i64, given_up: &[GivenUp]) -> i64 {
    let excused = given_up.iter().filter(|place| place.excused);
    let counted: i64 = excused.map(|place| i64::from(place.effort)).sum();
    (i64::from(held) + counted) * MILLI - fair_milli
}

/// Rounds fractions over one denominator so that they sum up to `target`: all down first, then
/// those up again that lost most; of equals the earlier.
fn rounded(numerators: impl Iterator<Item = i128>, denominator: i128, target: i128) -> Vec<i64> {
    let numerators: Vec<i128> = numerators.collect();
    let mut found: Vec<i128> = (numerators.iter())
        .map(|one| one.div_euclid(denominator))
        .collect();
    let missing = target - found.iter().sum::<i128>();
    let mut by_loss: Vec<usize> = (0..numerators.len()).collect();
    by_loss.sort_by_key(|at| std::cmp::Reverse(numerators[*at].rem_euclid(denominator)));
    let missing = usize::try_from(missing).unwrap_or(0);
    for at in by_loss.into_iter().take(missing) {
        found[at] += 1;
    }
    let fits = |one: i128| i64::try_from(one).unwrap_or(if one < 0 { i64::MIN } else { i64::MAX });
    found.into_iter().map(fits).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Guards the example that stands in the README.
    #[test]
    fn three_who_share_ten_get_three_and_a_third_each() {
        assert_eq!(parts(10_000, &[60, 60, 60]), [3_334, 3_333, 3_333]);
        assert_eq!(parts(10_000, &[60, 30, 30]), [5_000, 2_500, 2_500]);
        assert_eq!(parts(10_000, &[]), [0; 0]);
        assert_eq!(whole(&[667, -333, -334]), [1, 0, -1]);
        assert_eq!(whole(&[-1_500, 1_500]), [-1, 1]);
    }

    /// One rota of four who share eight turns, and the next: what each leaves owing, and their
    /// turns in the next one.
    fn four_share_eight(held: [u32; 4], given_up: [&[GivenUp]; 4]) -> ([i64; 4], [i64; 4]) {
        let fair = parts(8 * MILLI, &[60; 4]);
        let left = [0, 1, 2, 3].map(|at| left_milli(held[at], fair[at], given_up[at]));
        let next = parts(8 * MILLI + left.iter().sum::<i64>(), &[60; 4]);
        (left, [0, 1, 2, 3].map(|at| next[at] - left[at]))
    }

    /// Guards whoever is ill against owing for it, and helpers against not being thanked: the
    /// helper has nearly a turn less in the next rota, and all four share what that costs.
    #[test]
    fn an_excused_absence_costs_nothing_and_the_helper_gains() {
        let place = |excused| [GivenUp { effort: 1, excused }];
        let nobody: &[GivenUp] = &[];
        let (left, next) = four_share_eight([1, 3, 2, 2], [&place(true), nobody, nobody, nobody]);
        assert_eq!(left, [0, 1_000, 0, 0]);
        assert_eq!(next, [2_250, 1_250, 2_250, 2_250]);
        let (left, next) = four_share_eight([1, 3, 2, 2], [&place(false), nobody, nobody, nobody]);
        assert_eq!(left, [-1_000, 1_000, 0, 0]);
        assert_eq!(next, [3_000, 1_000, 2_000, 2_000]);
    }

    /// Guards the ill against making up for a turn that the bin could do without.
    #[test]
    fn a_place_left_empty_is_owed_only_when_not_excused() {
        let place = |excused| [GivenUp { effort: 1, excused }];
        let nobody: &[GivenUp] = &[];
        let (left, next) = four_share_eight([1, 2, 2, 2], [&place(true), nobody, nobody, nobody]);
        assert_eq!((left, next), ([0; 4], [2_000; 4]));
        let (left, next) = four_share_eight([1, 2, 2, 2], [&place(false), nobody, nobody, nobody]);
        assert_eq!(left, [-1_000, 0, 0, 0]);
        assert_eq!(next, [2_750, 1_750, 1_750, 1_750]);
    }

    proptest! {
        /// Guards the sum over rotas: to be excused from a place counts as much as to hold it,
        /// and nothing else does.
        #[test]
        fn being_excused_counts_as_holding(
            held in 0_u32..200,
            fair in -50_000_i64..200_000,
            given_up in proptest::collection::vec((1_u32..=20, any::<bool>()), 0..12),
        ) {
            let places: Vec<GivenUp> = given_up
                .iter()
                .map(|(effort, excused)| GivenUp { effort: *effort, excused: *excused })
                .collect();
            let excused: u32 = given_up.iter().filter(|one| one.1).map(|one| one.0).sum();
            let left = left_milli(held, fair, &places);
            prop_assert_eq!(left, left_milli(held + excused, fair, &[]));
        }

        /// Guards that nothing of the work is lost or made up between two rotas.
        #[test]
        fn parts_make_the_whole_again(
            total in -1_000_000_000_i64..1_000_000_000,
            shares in proptest::collection::vec(1_u32..=60, 1..40),
        ) {
            let found = parts(total, &shares);
            prop_assert_eq!(found.iter().sum::<i64>(), total);
            let all: i64 = shares.iter().map(|share| i64::from(*share)).sum();
            for (part, share) in found.iter().zip(&shares) {
                let off = part * all - total * i64::from(*share);
                prop_assert!(off.abs() < all, "{part} for {share}: off by {off} / {all}");
            }
        }

        /// Guards that the planner's whole efforts owe together what is owed exactly.
        #[test]
        fn whole_efforts_are_near_and_keep_the_sum(
            milli in proptest::collection::vec(-50_000_i64..50_000, 0..40),
        ) {
            let found = whole(&milli);
            let sum: i64 = milli.iter().sum();
            prop_assert!((found.iter().sum::<i64>() * MILLI - sum).abs() <= MILLI / 2);
            for (whole, exact) in found.iter().zip(&milli) {
                prop_assert!((whole * MILLI - exact).abs() < MILLI, "{whole} for {exact}");
            }
        }
    }
}
