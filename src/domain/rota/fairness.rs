//! How unequal a rota is, as one whole number.
//!
//! With `S` the sum of shares, `B` the sum of balances and of the effort of all places, `Q`
//! the least common multiple of the shares and `L` a member's balance with the effort they
//! were given, fairness is `S · Σ (Q / share) · L² − 2 · Q · B · Σ L + Q · B²`: the squares of
//! the distances from the fair share of all work, each over its share, made whole. It is 0
//! when every load is exactly proportional, and it is a sum of convex functions, one a member.

use super::index::MemberIndex;
use super::input::Input;
use super::limits;
use super::refusal::Refusal;

/// The constants of fairness for one snapshot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fairness {
    balances: Vec<i64>,
    /// `S · Q / share` of each member.
    square: Vec<i64>,
    /// `2 · Q · B`.
    line: i64,
    /// `Q · B²`.
    start: i64,
}

/// The largest value that anything in the reckoning may reach: far from the end of `i64`, so
/// that sums and differences of a few such numbers stay exact.
const RANGE: i128 = 1 << 60;

fn gcd(mut a: u64, mut b: u64) -> u64 {
    while b > 0 {
        (a, b) = (b, a % b);
    }
    a
}

impl Fairness {
    pub(super) fn parse(input: &Input) -> Result<Self, Refusal> {
        let mut common = 1_u64;
        for member in &input.members {
            let share = u64::from(member.share);
            common *= share / gcd(common, share);
            if common > limits::SHARES {
                return Err(Refusal::Shares {
                    found: common,
                    most: limits::SHARES,
                });
            }
        }
        let q = i128::from(common);
        let shares: i128 = (input.members.iter())
            .map(|member| i128::from(member.share))
            .sum();
        let carried: i128 = (input.members.iter())
            .map(|member| i128::from(member.balance))
            .sum();
        let effort: i128 = (input.turns.iter())
            .map(|turn| i128::from(turn.places) * i128::from(turn.effort))
            .sum();
        let b = carried + effort;
        // No member's load is ever further from zero than their balance and all effort that
        // one person can be given: one place of each turn.
        let once: i128 = input.turns.iter().map(|turn| i128::from(turn.effort)).sum();
        let mut worst = 4 * q * b * b;
        for member in &input.members {
            let load = i128::from(member.balance.abs()) + once;
            let factor = q / i128::from(member.share);
            worst += 4 * shares * factor * load * load + 8 * q * b.abs() * load;
        }
        if worst > RANGE {
            return Err(Refusal::Effort);
        }
        // `worst` is above every number below, so that none of them is lost.
        let whole = |value: i128| i64::try_from(value).map_err(|_| Refusal::Effort);
        Ok(Self {
            balances: input.members.iter().map(|member| member.balance).collect(),
            square: (input.members.iter())
                .map(|member| whole(shares * q / i128::from(member.share)))
                .collect::<Result<_, _>>()?,
            line: whole(2 * q * b)?,
            start: whole(q * b * b)?,
        })
    }

    /// The part of fairness that a member's load adds when they are given this much effort.
    #[must_use]
    pub fn part(&self, member: MemberIndex, given: i64) -> i64 {
        let load = self.balances[member.0] + given;
        (self.square[member.0] * load - self.line) * load
    }

    /// How much a member's part grows when what they are given changes by so much effort.
    #[must_use]
    pub fn rise(&self, member: MemberIndex, given: i64, by: i64) -> i64 {
        let load = self.balances[member.0] + given;
        by * (self.square[member.0] * (2 * load + by) - self.line)
    }

    /// Fairness when each member is given this much effort, by position.
    #[must_use]
    pub fn value(&self, given: &[i64]) -> i64 {
        let parts = given
            .iter()
            .enumerate()
            .map(|(member, given)| self.part(MemberIndex(member), *given));
        self.start + parts.sum::<i64>()
    }

    /// Fairness without any member's part.
    #[must_use]
    pub const fn start(&self) -> i64 {
        self.start
    }
}
