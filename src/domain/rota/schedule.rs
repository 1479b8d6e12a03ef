//! How hot, how long and for which aim each round of the search runs.

use super::anneal::{Cooling, Prices};
use super::problem::Problem;
use super::score::Aim;

/// Chains in the shortest round, and for each place that somebody could take.
const LEAST: u64 = 100_000;
const PER_PAIR: u64 = 60;
/// From so many such places on, rounds after the first are this long at the least.
const LARGE: u64 = 2_000;
const SLOW: u64 = 16_000_000;
/// One part of so many of what is planned is left for the wishes in the end.
const RESERVE: u64 = 7;
/// One part of so many is the longest that the very first round takes.
const FIRST_PART: u64 = 12;

/// One round of the search.
#[derive(Debug, Clone, Copy)]
pub(super) struct Round {
    /// What it is for.
    pub(super) serves: Aim,
    pub(super) prices: Prices,
    pub(super) cooling: Cooling,
    /// Whether it takes all that is planned, but for so many chains; none when it ends by
    /// itself.
    pub(super) leaves: Option<u64>,
}

/// The rounds of one search, one after the other without end.
///
/// Prices and temperatures are ours, found by trying (common practice, no source). They are
/// in steps of fairness: what it costs to move the least effort that can be moved away from
/// where a member with the lightest burden should be.
#[derive(Debug, Clone)]
pub(super) struct Schedule {
    unit: f64,
    base: u64,
    replanning: bool,
    round: u32,
    wish_rounds: u32,
    large: bool,
    /// Whether every turn costs the same: then loads are soon as even as can be.
    alike: bool,
}

impl Schedule {
    #[allow(clippy::cast_precision_loss, reason = "a price need not be exact")]
    pub(super) fn new(problem: &Problem) -> Self {
        let by = finest(problem);
        let bend = |member: usize| {
            problem.part(member, by) + problem.part(member, -by) - 2 * problem.part(member, 0)
        };
        let unit = (0..problem.members.len())
            .map(bend)
            .min()
            .unwrap_or(1)
            .max(1);
        let pairs: usize = problem.turns.iter().map(|turn| turn.candidates.len()).sum();
        let pairs = u64::try_from(pairs).unwrap_or(u64::MAX);
        let mut efforts = problem.turns.iter().map(|turn| turn.effort);
        let first = efforts.next();
        Self {
            unit: unit as f64,
            base: LEAST.max(pairs.saturating_mul(PER_PAIR)),
            replanning: problem.in_force.is_some(),
            round: 0,
            wish_rounds: 0,
            large: pairs > LARGE,
            alike: efforts.all(|effort| Some(effort) == first),
        }
    }

    /// How many rounds must have run before proofs take their turn.
    pub(super) const FIRST: u32 = 2;

    /// Makes every round very short.
    #[cfg(test)]
    pub(super) const fn shorten(&mut self) {
        self.base = 200;
        self.large = false;
    }

    pub(super) const fn rounds(&self) -> u32 {
        self.round
    }

    /// The next round; none when every aim is settled. `left` is how many chains there will
    /// be in all, if that is known.
    pub(super) fn next(&mut self, open: Option<Aim>, left: Option<u64>) -> Option<Round> {
        let open = open?;
        let round = self.round;
        self.round += 1;
        let base = left.map_or(self.base, |left| self.base.min(left / FIRST_PART).max(1));
        if open == Aim::Wishes {
            self.wish_rounds += 1;
            let size = self.base << (self.wish_rounds - 1).min(8);
            return Some(self.wishes(size, left));
        }
        if round % 2 == 1 {
            return Some(self.wishes(base / 2, None));
        }
        if round == 0 {
            return Some(self.fairness(round, base, None));
        }
        let slow = self.large && !self.alike;
        let size = if slow {
            // Slow cooling pays where there is much to arrange.
            (3 * self.base).max(SLOW) << (round / 2 - 1).min(6)
        } else {
            self.base << (round / 2).min(8)
        };
        let Some(left) = left else {
            return Some(self.fairness(round, size, None));
        };
        let reserve = left / RESERVE;
        if reserve < base / 4 {
            return Some(self.wishes(left, Some(left)));
        }
        let all = slow || 2 * size > left - reserve;
        Some(self.fairness(round, size, all.then_some(reserve)))
    }

    fn wishes(&self, size: u64, left: Option<u64>) -> Round {
        let changes = if self.replanning { 40.0 } else { 0.0 };
        Round {
            serves: Aim::Wishes,
            prices: Prices {
                empty: 40.0,
                change: changes,
                fairness: 5.0 / self.unit,
                wish: 1.0,
            },
            cooling: Cooling {
                hot: 0.5,
                cold: 0.1,
                chains: size.max(1),
            },
            leaves: left.filter(|left| *left < 2 * size).map(|_| 0),
        }
    }

    fn fairness(&self, round: u32, size: u64, leaves: Option<u64>) -> Round {
        // Where places stay empty, which ones costs fairness much: several are tried.
        let (hot, empty) = match round / 2 % 3 {
            _ if self.large => (2.0, 20.0),
            0 => (3.0, 20.0),
            1 => (10.0, 20.0),
            _ => (20.0, 20.0),
        };
        Round {
            serves: Aim::Fairness,
            prices: Prices {
                empty,
                change: if self.replanning { 6.0 } else { 0.0 },
                fairness: if self.replanning { 0.2 } else { 1.0 } / self.unit,
                wish: 0.01,
            },
            cooling: Cooling {
                hot,
                cold: 0.1,
                chains: size.max(1),
            },
            leaves,
        }
    }
}

/// The least effort that can be moved: that of a turn, or the difference of two.
fn finest(problem: &Problem) -> i64 {
    let mut efforts: Vec<i64> = problem.turns.iter().map(|turn| turn.effort).collect();
    efforts.push(0);
    efforts.sort_unstable();
    efforts.dedup();
    let apart = efforts.windows(2).map(|pair| pair[1] - pair[0]);
    apart.min().unwrap_or(1)
}
