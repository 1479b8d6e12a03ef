//! When something happened, as people and probes say it.

use super::DeskError;
use super::at_hand::BinAtHand;
use chrono::{DateTime, TimeDelta, Utc};

/// A phone's or a probe's clock may be ahead by this much.
const CLOCK_SKEW: TimeDelta = TimeDelta::minutes(5);

/// The time that somebody said, or now if they said none. At most `oldest_days` ago.
///
/// # Errors
/// [`DeskError::Conflicting`] at `pointer`.
pub(super) fn said_time(
    bin: &BinAtHand,
    said: Option<DateTime<Utc>>,
    oldest_days: i64,
    pointer: &str,
) -> Result<DateTime<Utc>, DeskError> {
    let at = said.unwrap_or(bin.now);
    if is_timely(bin, at, oldest_days) {
        Ok(at.min(bin.now))
    } else {
        Err(DeskError::conflict(pointer, must_be_timely(oldest_days)))
    }
}

/// Whether something can have happened to the bin at that time, and not too long ago.
pub(super) fn is_timely(bin: &BinAtHand, at: DateTime<Utc>, oldest_days: i64) -> bool {
    at <= bin.now + CLOCK_SKEW
        && at >= bin.now - TimeDelta::days(oldest_days)
        && at >= bin.state.stocked_at
}

/// What a time must be.
pub(super) fn must_be_timely(oldest_days: i64) -> String {
    format!(
        "must lie within the past {oldest_days} days, not in the future, and not before the bin \
         was stocked"
    )
}
