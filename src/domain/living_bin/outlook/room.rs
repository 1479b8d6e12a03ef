//! What a bin can take, and which rule leaves the least.

use super::booking::Kept;
use super::moment::Moment;
use super::{Outlook, ROUNDING_KG};
use crate::living_bin::limit::Limit;
use crate::units::{Grams, Kg};
use chrono::{DateTime, Utc};

/// What a bin can take at an instant, and why not more.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// The most that may be fed.
    pub amount: Grams,
    /// What each rule alone would leave, least first.
    pub rules: Vec<Leaves>,
    /// What is kept for bookings.
    pub kept: Vec<Kept>,
}

/// What one rule would let in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Leaves {
    /// The rule.
    pub limit: Limit,
    /// The most that it alone would allow now.
    pub leaves: Grams,
    /// When more would break it: later than now if it guards a booking.
    pub at: DateTime<Utc>,
}

impl Room {
    /// The rule that leaves the least.
    #[must_use]
    pub fn bound_by(&self) -> Limit {
        self.rules.first().map_or(Limit::NoWorms, |rule| rule.limit)
    }
}

/// Gathers, rule by rule, the least that is left over all moments.
pub(super) struct Tightest {
    start: DateTime<Utc>,
    rules: Vec<(Limit, f64, DateTime<Utc>)>,
}

impl Tightest {
    pub(super) fn new(start: DateTime<Utc>) -> Self {
        Self {
            start,
            rules: Vec::with_capacity(5),
        }
    }

    /// `booked`: what is kept up to this moment by the uneaten food and by the area rule.
    pub(super) fn consider(
        &mut self,
        m: &Moment,
        from: &Outlook<'_>,
        booked: (f64, f64),
        when: DateTime<Utc>,
    ) {
        for (limit, most) in m.uneaten_limits() {
            self.note(limit, most + m.eaten - from.uneaten - booked.0, when);
        }
        self.note(
            Limit::Area,
            m.area + m.let_go - from.area_load - booked.1,
            when,
        );
    }

    pub(super) fn note(&mut self, limit: Limit, left: f64, when: DateTime<Utc>) {
        match self.rules.iter_mut().find(|(known, ..)| *known == limit) {
            Some(rule) if rule.1 <= left => {}
            Some(rule) => *rule = (limit, left, when),
            None => self.rules.push((limit, left, when)),
        }
    }

    pub(super) fn close(mut self, closed: Option<Limit>, kept: Vec<Kept>) -> Room {
        self.rules.sort_by(|a, b| a.1.total_cmp(&b.1));
        if let Some(limit) = closed {
            self.rules.insert(0, (limit, 0.0, self.start));
        }
        let leaves = |&(limit, left, at): &(Limit, f64, DateTime<Utc>)| Leaves {
            limit,
            leaves: Grams::rounded_down(Kg(left + ROUNDING_KG)).max(Grams::ZERO),
            at,
        };
        let rules: Vec<Leaves> = self.rules.iter().map(leaves).collect();
        let amount = rules.first().map_or(Grams::ZERO, |least| least.leaves);
        Room {
            amount,
            rules,
            kept,
        }
    }
}
