//! Effort that need not be whole, without rounding.

/// Effort as a fraction, `parts` over `of`.
///
/// All fractions of one rota have the same `of`, the sum of all shares in quarters, so that
/// sums and differences of `parts` are exact. They are not reduced, and stay within the
/// planner's limits: far inside of `i64`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fraction {
    /// How many parts of effort; below zero for less than nothing.
    pub parts: i64,
    /// How many parts make one effort; above zero.
    pub of: i64,
}

impl Fraction {
    /// The nearest whole effort, halves upwards.
    #[must_use]
    pub const fn rounded(self) -> i64 {
        (2 * self.parts + self.of).div_euclid(2 * self.of)
    }
}
