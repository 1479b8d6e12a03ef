//! The only place that reads the time.
//!
//! Everything else gets `now` as an argument. There are two times: [`wall`] is the
//! machine's, for tokens and leases; the time that bins live in is the same, except in the
//! demo, where it can stand elsewhere (see [`Clock::Demo`]).

use chrono::{DateTime, SubsecRound, TimeDelta, Utc};
use uuid::Uuid;

/// Which time bins live in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clock {
    /// The machine's time.
    System,
    /// The machine's time moved by an offset that stands in the database, so that all
    /// copies of the service agree. Only the demo has it.
    Demo,
}

/// The machine's time, to the microsecond that Postgres keeps: what was written and what
/// is read back are equal.
#[must_use]
pub fn wall() -> DateTime<Utc> {
    #[expect(
        clippy::disallowed_methods,
        reason = "the one place that reads the clock"
    )]
    Utc::now().trunc_subsecs(6)
}

/// The machine's time moved by the demo's offset. An offset that would leave the calendar
/// moves nothing.
#[must_use]
pub fn moved(offset: TimeDelta) -> DateTime<Utc> {
    let wall = wall();
    wall.checked_add_signed(offset).unwrap_or(wall)
}

/// A new identifier of version 7. It holds the wall time, so that rows written one after
/// the other lie together on disk; nothing reads a time out of it.
#[must_use]
pub fn fresh_id() -> Uuid {
    Uuid::now_v7()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_demo_stands_as_far_away_as_it_was_told() {
        let day = TimeDelta::days(1);
        let ahead = moved(day) - wall();
        assert!((ahead - day).abs() < TimeDelta::minutes(1), "{ahead}");
    }

    #[test]
    fn no_instant_is_finer_than_the_database_keeps() {
        assert_eq!(wall().timestamp_subsec_nanos() % 1_000, 0);
    }

    #[test]
    fn an_offset_out_of_the_calendar_moves_nothing() {
        let distance = moved(TimeDelta::MAX) - wall();
        assert!(distance.abs() < TimeDelta::minutes(1));
    }
}
