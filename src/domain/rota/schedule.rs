//! How hot, how long and for which aim each round of the search runs.

use super::anneal::{Cooling, Prices};
use super::problem::Problem;
use super::score::Aim;

/// Chains in the shortest round, and for each place that somebody could take.
const LEAST: u64 = 100_000;
const PER_PAIR: u64 = 60;
/// From so many such places on, rounds after the first are this long at the least.
const LARGE: u64 = 2_000;
const SLOW: u64 = 8_000_000;

/// The rounds of one search, one after the other without end.
///
/// Prices and temperatures are ours, found by trying (common practice, no source). They are
/// in steps of fairness: what it costs to move one unit of effort between two members with
/// the most common burden.
#[derive(Debug, Clone)]
pub(super) struct Schedule {
    unit: f64,
    base: u64,
    replanning: bool,
    round: u32,
    wish_rounds: u32,
    large: bool,
}

impl Schedule {
    #[allow(clippy::cast_precision_loss, reason = "a price need not be exact")]
    pub(super) fn new(problem: &Problem) -> Self {
        let bend = |member: usize| {
            problem.part(member, 1) + problem.part(member, -1) - 2 * problem.part(member, 0)
        };
        let unit = (0..problem.members.len())
            .map(bend)
            .min()
            .unwrap_or(1)
            .max(1);
        let pairs: usize = problem.turns.iter().map(|turn| turn.candidates.len()).sum();
        let pairs = u64::try_from(pairs).unwrap_or(u64::MAX);
        Self {
            unit: unit as f64,
            base: LEAST.max(pairs.saturating_mul(PER_PAIR)),
            replanning: problem.in_force.is_some(),
            round: 0,
            wish_rounds: 0,
            large: pairs > LARGE,
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

    /// The next round; none when the aim it would serve is settled and no other is open.
    pub(super) fn next(&mut self, open: Option<Aim>) -> Option<(Aim, Prices, Cooling)> {
        let open = open?;
        let round = self.round;
        self.round += 1;
        let wishes = open == Aim::Wishes || round % 2 == 1;
        let size = if open == Aim::Wishes {
            self.wish_rounds += 1;
            self.base << (self.wish_rounds - 1).min(8)
        } else if wishes {
            self.base / 2
        } else if self.large && round > 0 {
            // Slow cooling pays where there is much to arrange.
            (3 * self.base).max(SLOW) << (round / 2 - 1).min(6)
        } else {
            self.base << (round / 2).min(8)
        };
        // Where places stay empty, which ones costs fairness much: several are tried.
        let (hot, empty) = match round / 2 % 3 {
            _ if self.large => (2.0, 20.0),
            0 => (3.0, 20.0),
            1 => (10.0, 20.0),
            _ => (20.0, 20.0),
        };
        let changes = match (self.replanning, open) {
            (false, _) => 0.0,
            (true, _) if wishes => 40.0,
            (true, _) => 6.0,
        };
        Some(if wishes {
            let prices = Prices {
                empty: 40.0,
                change: changes,
                fairness: 5.0 / self.unit,
                wish: 1.0,
            };
            let cooling = Cooling {
                hot: 0.5,
                cold: 0.1,
                chains: size.max(1),
            };
            (Aim::Wishes, prices, cooling)
        } else {
            let prices = Prices {
                empty,
                change: changes,
                fairness: if self.replanning { 0.2 } else { 1.0 } / self.unit,
                wish: 0.01,
            };
            let cooling = Cooling {
                hot,
                cold: 0.1,
                chains: size,
            };
            (Aim::Fairness, prices, cooling)
        })
    }
}
