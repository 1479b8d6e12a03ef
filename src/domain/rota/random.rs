//! Numbers that look random and are the same for the same seed.

/// A counter stirred well (the `SplitMix64` construction): no state but 64 bits, the same
/// numbers on every machine. Not for secrets.
#[derive(Debug, Clone)]
pub(crate) struct Random {
    state: u64,
}

impl Random {
    pub(crate) const fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    pub(super) const fn next(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `end`; 0 when `end` is 0.
    pub(crate) fn below(&mut self, end: usize) -> usize {
        let end = u64::try_from(end).unwrap_or(u64::MAX);
        let wide = u128::from(self.next()) * u128::from(end);
        usize::try_from(wide >> 64).unwrap_or(0)
    }

    /// A number from 0 up to but not including 1.
    #[allow(
        clippy::cast_precision_loss,
        reason = "53 bits fit a double without loss"
    )]
    pub(super) const fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// Waiting times: how much a chance may cost is as long as the wait for something that
/// happens once in a unit of time on average.
///
/// Picked from a table, as a logarithm for each chain would take a fifth of the search.
#[derive(Debug, Clone)]
pub(super) struct Waits(Vec<f64>);

/// Entries of the table: the longest wait is 7.6.
const WAITS: u32 = 1_024;

impl Waits {
    pub(super) fn new() -> Self {
        let wait = |at: u32| -libm::log((f64::from(at) + 0.5) / f64::from(WAITS));
        Self((0..WAITS).map(wait).collect())
    }

    pub(super) fn pick(&self, random: &mut Random) -> f64 {
        self.0[random.below(self.0.len())]
    }
}
