//! Moving the time in which bins live. Only the demo has a clock that can be moved, and it
//! never goes back behind what was written down.

use super::{Desk, DeskError};
use crate::clock::{self, Clock};
use crate::store::{demo_clock, letters};
use chrono::{DateTime, Datelike, TimeDelta, Utc};
use futures_util::FutureExt;
use std::ops::RangeInclusive;

/// The most days that the clock is moved forward at once.
pub const MOST_DAYS: u32 = 366;
/// The years in which the clock may stand: time zones say little about others.
pub const YEARS: RangeInclusive<i32> = 2000..=2099;

/// Whether the clock was ever set.
///
/// # Errors
/// [`DeskError::Broken`] where there is no such clock.
pub async fn is_set(desk: &Desk) -> Result<bool, DeskError> {
    insist(desk)?;
    desk.store()
        .read("see whether the demo's clock is set", (), |conn, ()| {
            async move { Ok::<_, DeskError>(demo_clock::offset_if_set(conn).await?.is_some()) }
                .boxed()
        })
        .await
}

/// Moves the clock forward by whole days of 24 hours. Returns the time after that.
///
/// # Errors
/// [`DeskError::Invalid`] for no days or too many; [`DeskError::Conflicting`] for a time
/// after [`YEARS`];
/// [`DeskError::Broken`] where there is no such clock.
pub async fn advance(desk: &Desk, days: u32) -> Result<DateTime<Utc>, DeskError> {
    insist(desk)?;
    if !(1..=MOST_DAYS).contains(&days) {
        return Err(DeskError::field(
            "/advance_days",
            format!("must be 1 to {MOST_DAYS}"),
        ));
    }
    let by = TimeDelta::days(days.into());
    desk.store()
        .transact("move the demo's clock", by, |conn, by| {
            async move {
                let offset = demo_clock::add(conn, *by).await?;
                // Letters wait by the machine's clock, for which no time goes by.
                letters::bring_forward(conn, *by).await?;
                let then = clock::moved(offset);
                if !YEARS.contains(&then.year()) {
                    return Err(out_of_years("/advance_days"));
                }
                Ok(then)
            }
            .boxed()
        })
        .await
}

/// Makes the clock show a time, from now on.
///
/// # Errors
/// [`DeskError::Conflicting`] for a time before the newest record or outside [`YEARS`];
/// [`DeskError::Broken`] where there is no such clock.
pub async fn stand_at(desk: &Desk, at: DateTime<Utc>) -> Result<(), DeskError> {
    insist(desk)?;
    if !YEARS.contains(&at.year()) {
        return Err(out_of_years("/start"));
    }
    desk.store()
        .transact("set the demo's clock", at, |conn, at| {
            async move {
                if let Some(newest) = demo_clock::newest_record(conn).await?
                    && *at < newest
                {
                    let detail = format!("must not lie before the newest record, of {newest}");
                    return Err(DeskError::conflict("/start", detail));
                }
                Ok(demo_clock::set(conn, whole_seconds(*at - clock::wall())).await?)
            }
            .boxed()
        })
        .await
}

/// Rounded up, as the row keeps whole seconds: the clock shows the time that was wanted or
/// a moment later, never one before a record.
fn whole_seconds(span: TimeDelta) -> TimeDelta {
    let whole = TimeDelta::seconds(span.num_seconds());
    if span > whole {
        whole + TimeDelta::seconds(1)
    } else {
        whole
    }
}

fn out_of_years(pointer: &str) -> DeskError {
    let (first, last) = (YEARS.start(), YEARS.end());
    DeskError::conflict(
        pointer,
        format!("must keep the clock within {first} to {last}"),
    )
}

fn insist(desk: &Desk) -> Result<(), DeskError> {
    match desk.clock() {
        Clock::Demo => Ok(()),
        Clock::System => Err(DeskError::broken("only the demo's clock can be moved")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seconds_are_rounded_up_on_both_sides_of_nothing() {
        for (milliseconds, seconds) in [(0, 0), (1, 1), (1_000, 1), (-1, 0), (-1_500, -1)] {
            let rounded = whole_seconds(TimeDelta::milliseconds(milliseconds));
            assert_eq!(rounded, TimeDelta::seconds(seconds), "{milliseconds} ms");
        }
    }
}
