//! From a day to instants.

use super::refusal::Refusal;
use crate::calendar::SiteZone;
use chrono::{DateTime, NaiveDate, NaiveTime, Utc};

/// From when to when a turn can be done, on a clock on the site's wall: it closes after it
/// opens, on the same day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Window {
    opens: NaiveTime,
    closes: NaiveTime,
}

impl Window {
    /// # Errors
    ///
    /// [`Refusal::WindowBackwards`] if it does not close after it opens.
    pub fn new(opens: NaiveTime, closes: NaiveTime) -> Result<Self, Refusal> {
        if closes > opens {
            Ok(Self { opens, closes })
        } else {
            Err(Refusal::WindowBackwards)
        }
    }

    /// When it opens.
    #[must_use]
    pub const fn opens(self) -> NaiveTime {
        self.opens
    }

    /// When it closes.
    #[must_use]
    pub const fn closes(self) -> NaiveTime {
        self.closes
    }

    /// The instants at which it opens and closes on a day.
    ///
    /// A time that the clocks skip is the first instant after the gap. Of a time that comes
    /// twice, a window opens at the first and closes at the second: nobody who comes in time is
    /// too late. It never closes before it opens; if it lies in a gap altogether, or on a day
    /// that the zone skipped, both are the same instant.
    #[must_use]
    pub fn on(self, day: NaiveDate, zone: SiteZone) -> (DateTime<Utc>, DateTime<Utc>) {
        (
            zone.first_instant(day.and_time(self.opens)),
            zone.last_instant(day.and_time(self.closes)),
        )
    }
}
