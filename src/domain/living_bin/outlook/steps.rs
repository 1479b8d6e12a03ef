//! An outlook laid open for the property tests' own run of the bin.

use super::Outlook;
use super::booking::Booking;

/// One stretch of an outlook.
pub(crate) struct Step {
    pub uneaten: f64,
    pub area_load: f64,
    pub eaten_since_last: f64,
    pub let_go_since_last: f64,
    pub most_uneaten: f64,
    pub area: f64,
    pub closed: bool,
}

impl Outlook<'_> {
    /// Now, and each booking.
    pub(crate) fn steps(&self, bookings: &[Booking]) -> Vec<Step> {
        let mut ahead = self.clone();
        let mut steps = vec![ahead.step(0.0, 0.0)];
        for booking in bookings {
            let (eaten, let_go) = ahead.pass(booking.due_from(self.at));
            steps.push(ahead.step(eaten, let_go));
            ahead.vitals.attend();
        }
        steps
    }

    fn step(&self, eaten_since_last: f64, let_go_since_last: f64) -> Step {
        let moment = self.moment(0.0, 0.0);
        Step {
            uneaten: self.uneaten,
            area_load: self.area_load,
            eaten_since_last,
            let_go_since_last,
            most_uneaten: moment.most_uneaten(),
            area: moment.area,
            closed: moment.closed.is_some(),
        }
    }

    pub(crate) fn with_uneaten(&self, more: f64) -> Self {
        Self {
            uneaten: self.uneaten + more,
            ..self.clone()
        }
    }

    pub(crate) fn with_more_worms(&self, factor: f64) -> Self {
        let mut more = self.clone();
        more.vitals.worms_kg *= factor;
        more
    }

    pub(crate) fn with_speed(&self, factor: f64) -> Self {
        Self {
            speed: self.speed * factor,
            ..self.clone()
        }
    }
}
