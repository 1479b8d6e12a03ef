//! Room that is promised to somebody.

use crate::ids::BookingId;
use crate::units::Grams;
use chrono::{DateTime, Utc};

/// Room asked for by somebody's promise: food that will come at a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Booking {
    /// Whose.
    pub id: BookingId,
    /// The first moment at which it may come.
    pub due_at: DateTime<Utc>,
    /// How much was promised.
    pub promised: Grams,
}

impl Booking {
    /// When it is due, seen from an instant: one that may come already is due now.
    #[must_use]
    pub fn due_from(&self, now: DateTime<Utc>) -> DateTime<Utc> {
        self.due_at.max(now)
    }
}

/// The bookings that, seen from `now`, are not due before `at`.
pub(crate) fn due_then(
    bookings: &[Booking],
    now: DateTime<Utc>,
    at: DateTime<Utc>,
) -> Vec<Booking> {
    let due = |booking: &&Booking| booking.due_from(now) >= at;
    bookings.iter().filter(due).copied().collect()
}

/// A booking and what the bin will really be able to take of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Kept {
    /// The booking.
    pub id: BookingId,
    /// When it is due.
    pub due_at: DateTime<Utc>,
    /// What is kept for it: at most what was promised.
    pub amount: Grams,
}
