//! Spans of time for the model: days, and the absolute grid on which weather is constant.

use chrono::{DateTime, Duration, Utc};

/// The bed temperature is constant within a cell of this many hours, counted from the
/// UNIX epoch, so that stopping and going on never changes a result.
const CELL_HOURS: i64 = 6;
const MICROS_PER_HOUR: i64 = 3_600_000_000;
const MICROS_PER_CELL: i64 = CELL_HOURS * MICROS_PER_HOUR;

/// Days from `a` to `b`, negative when `b` is earlier.
#[must_use]
pub(crate) fn days_between(a: DateTime<Utc>, b: DateTime<Utc>) -> f64 {
    #[expect(
        clippy::cast_precision_loss,
        reason = "2^53 microseconds are 285 years"
    )]
    let micros = (b.timestamp_micros() - a.timestamp_micros()) as f64;
    micros / (24.0 * 3.6e9)
}

/// `t` moved by a number of days, which may have a fraction.
#[must_use]
pub(crate) fn plus_days(t: DateTime<Utc>, days: f64) -> DateTime<Utc> {
    #[expect(clippy::cast_possible_truncation, reason = "float casts saturate")]
    let micros = libm::round(days * 24.0 * 3.6e9) as i64;
    t.checked_add_signed(Duration::microseconds(micros))
        .unwrap_or(t)
}

/// The middle and the end of the cell that `t` lies in.
#[must_use]
pub(crate) fn cell_of(t: DateTime<Utc>) -> (DateTime<Utc>, DateTime<Utc>) {
    let start = t.timestamp_micros().div_euclid(MICROS_PER_CELL) * MICROS_PER_CELL;
    let at = |micros: i64| DateTime::from_timestamp_micros(micros).unwrap_or(t);
    (at(start + MICROS_PER_CELL / 2), at(start + MICROS_PER_CELL))
}
