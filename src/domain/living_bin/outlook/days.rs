//! Looking for a day on which an amount fits.

use super::Outlook;
use super::booking::{Booking, due_then};
use crate::units::Grams;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// The day on which most would fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct BestDay {
    /// When.
    pub at: DateTime<Utc>,
    /// How much.
    pub amount: Grams,
}

impl Outlook<'_> {
    /// The first of these moments at which the most fits, and how much; moments must rise.
    #[must_use]
    pub fn best_day(&self, bookings: &[Booking], moments: &[DateTime<Utc>]) -> Option<BestDay> {
        let mut best: Option<BestDay> = None;
        for &at in moments {
            let amount = self.room_at(at, bookings);
            if best.is_none_or(|best| amount > best.amount) {
                best = Some(BestDay { at, amount });
            }
        }
        best.filter(|best| best.amount > Grams::ZERO)
    }

    /// The first of these moments at which an amount would fit, bookings kept; moments must
    /// rise.
    #[must_use]
    pub fn first_fit(
        &self,
        bookings: &[Booking],
        amount: Grams,
        moments: &[DateTime<Utc>],
    ) -> Option<DateTime<Utc>> {
        let fits = |at: &&DateTime<Utc>| self.room_at(**at, bookings) >= amount;
        moments.iter().find(fits).copied()
    }

    /// The room at a later instant, the bookings before it kept and those after it guarded.
    #[must_use]
    pub fn room_at(&self, at: DateTime<Utc>, bookings: &[Booking]) -> Grams {
        let later = due_then(bookings, self.at, at);
        self.moved_to(at, bookings).room(&later).amount
    }
}
