//! The cautious outlook from one instant: the forecast that admission reckons with.
//!
//! It runs at one speed, with worms that get nothing to eat from now on, so that feeding
//! more never promises more worms and so more room. Under one outlook what may be fed is
//! an interval from nothing to the room.

mod booking;
mod days;
mod moment;
mod room;
#[cfg(test)]
mod steps;

pub use booking::{Booking, Kept};
pub use days::BestDay;
pub use room::{Leaves, Room};

pub(crate) use booking::due_then;
#[cfg(test)]
pub(crate) use steps::Step;

use super::gate::Passage;
use super::habitat::{Habitat, Pace};
use super::limit::Limit;
use super::state::BinState;
use super::time::{cell_of, days_between, plus_days};
use super::vitals::{Larder, Vitals};
use crate::units::{Grams, Kg};
use chrono::{DateTime, Utc};
use moment::{LastMeal, Moment};
use room::Tightest;

/// Far less than a gram, far more than the rounding of sums: an amount that is whole but
/// for rounding stays whole.
const ROUNDING_KG: f64 = 1e-9;

/// Less room than this is none to people (our suggestion).
pub const WORTH_BRINGING: Grams = Grams(10);

/// A bin seen ahead from one instant at one speed.
#[derive(Debug, Clone)]
pub struct Outlook<'a> {
    habitat: &'a Habitat,
    state: &'a BinState,
    at: DateTime<Utc>,
    /// kg of food a kg of worms eats in a day at its best.
    speed: f64,
    uneaten: f64,
    area_load: f64,
    vitals: Vitals,
    /// Eaten between the state's instant and `at`: what became castings meanwhile.
    turned: f64,
    last_meal: LastMeal,
}

impl<'a> Outlook<'a> {
    /// Ahead from the state's own instant, at the cautious speed.
    #[must_use]
    pub fn cautious(habitat: &'a Habitat, state: &'a BinState) -> Self {
        let caution = habitat.settings.caution;
        let coming = state.coming_speed(habitat, -caution);
        let past = state.past_speed(habitat, -caution);
        // Whoever asks whether to feed is about to look after the bin, and worms that are fed
        // are not hungry: feeding a part must not make more room than it takes.
        let mut vitals = state.vitals;
        vitals.attend();
        vitals.hunger = 0.0;
        Self {
            habitat,
            state,
            at: state.at,
            speed: libm::exp(coming),
            uneaten: state.uneaten.at(past),
            area_load: state.area_load.0,
            vitals,
            turned: 0.0,
            last_meal: LastMeal {
                fed_at: state.last_fed_at,
                kg: state.last_meal.0,
            },
        }
    }

    /// The instant it looks from.
    #[must_use]
    pub fn at(&self) -> DateTime<Utc> {
        self.at
    }

    /// Food not eaten yet at the cautious speed.
    #[must_use]
    pub fn uneaten(&self) -> Kg {
        Kg(self.uneaten)
    }

    /// The most that may lie in the bin at this instant.
    #[must_use]
    pub fn most_uneaten(&self) -> Kg {
        Kg(self.moment(0.0, 0.0).most_uneaten())
    }

    /// What each rule lets lie in the bin at this instant, kg, whatever lies there now.
    pub(crate) fn limits(&self) -> [(Limit, f64); 4] {
        let moment = self.moment(0.0, 0.0);
        let [eating, depth, fill] = moment.uneaten_limits();
        [eating, depth, fill, (Limit::Area, moment.area)]
    }

    /// The rule that lets nothing in now, or a handful at most.
    pub(crate) fn shut_by(&self) -> Option<Limit> {
        let moment = self.moment(0.0, 0.0);
        moment.closed.or(moment.handful.map(|_| Limit::Handful))
    }

    /// The same outlook with an amount fed at its instant.
    #[must_use]
    pub fn fed(mut self, amount: Grams) -> Self {
        self.feed(amount.kg().0);
        self
    }

    fn feed(&mut self, kg: f64) {
        self.uneaten += kg;
        self.area_load += kg;
        self.last_meal.fed(self.habitat, self.at, kg);
        self.vitals.attend();
    }

    /// The outlook from a later instant, after the bookings due before it were kept.
    #[must_use]
    pub fn moved_to(&self, to: DateTime<Utc>, bookings: &[Booking]) -> Self {
        let mut moved = self.clone();
        for booking in bookings.iter().filter(|b| b.due_from(self.at) < to) {
            moved.pass(booking.due_from(self.at));
            let (eating, area) = moved.kept_now(booking.promised);
            moved.feed(libm::fmin(eating, area));
        }
        moved.pass(to);
        moved
    }

    /// What the bin can take now, every booking kept. Bookings must be in order of time;
    /// one that is due before now counts as due now.
    ///
    /// For each rule on uneaten food, with `L` the most that may lie in the bin, `C` what
    /// is eaten and `b` the bookings: the least over now and all bookings `k` of
    /// `L(k) + C(now, k) - uneaten - (b(1) + ... + b(k))`.
    #[must_use]
    pub fn room(&self, bookings: &[Booking]) -> Room {
        let now = self.moment(0.0, 0.0);
        let mut tightest = Tightest::new(self.at);
        tightest.consider(&now, self, (0.0, 0.0), self.at);
        if let Some(handful) = now.handful {
            tightest.note(Limit::Handful, handful, self.at);
        }

        let mut ahead = self.clone();
        // A handful is shared by what goes in now and the bookings that follow soon after.
        let mut shared = now.handful.map(|left| (self.at, left));
        let (mut eaten, mut let_go, mut booked) = (0.0, 0.0, (0.0, 0.0));
        let mut kept = Vec::with_capacity(bookings.len());
        for booking in bookings {
            let due_at = booking.due_from(self.at);
            let (ate, released) = ahead.pass(due_at);
            eaten += ate;
            let_go += released;
            let (by_eating, by_area) = ahead.kept_now(booking.promised);
            ahead.uneaten += by_eating;
            ahead.area_load += by_area;
            ahead.vitals.attend();
            booked = (booked.0 + by_eating, booked.1 + by_area);
            let kg = libm::fmin(by_eating, by_area);
            ahead.last_meal.fed(self.habitat, due_at, kg);
            if let Some((last, left)) = &mut shared
                && kg > 0.0
                && days_between(*last, due_at) < self.habitat.settings.handful_days
            {
                (*last, *left) = (due_at, *left - kg);
                tightest.note(Limit::Handful, *left, due_at);
            }
            let amount = Grams::rounded_down(Kg(kg + ROUNDING_KG)).min(booking.promised);
            kept.push(Kept {
                id: booking.id,
                due_at,
                amount,
            });
            tightest.consider(&ahead.moment(eaten, let_go), self, booked, due_at);
        }
        tightest.close(now.closed, kept)
    }

    /// Moves on without feeding; returns what could be eaten and what the area rule lets
    /// go meanwhile.
    fn pass(&mut self, to: DateTime<Utc>) -> (f64, f64) {
        if to <= self.at {
            return (0.0, 0.0);
        }
        let days = days_between(self.at, to);
        let effort = self
            .vitals
            .walk(self.habitat, self.state.bed(), Larder::EMPTY, self.at, to);
        let could_eat = self.speed * effort;
        let let_go = self.area_limit() / 7.0 * days;
        self.turned += could_eat;
        self.uneaten = libm::fmax(self.uneaten - could_eat, 0.0);
        self.area_load = libm::fmax(self.area_load - let_go, 0.0);
        self.at = to;
        (could_eat, let_go)
    }

    /// What can be kept of a promise that falls due at this instant, kg: as far as the
    /// uneaten food goes, and as far as the area rule goes. The two rules are kept apart,
    /// or a bin that eats faster could keep more of a promise and so leave less room now.
    fn kept_now(&self, promised: Grams) -> (f64, f64) {
        let moment = self.moment(0.0, 0.0);
        if moment.closed.is_some() {
            return (0.0, 0.0);
        }
        let most = libm::fmin(moment.handful.unwrap_or(f64::INFINITY), promised.kg().0);
        let kept = |left: f64| libm::fmax(libm::fmin(left, most), 0.0);
        (
            kept(moment.most_uneaten() - self.uneaten),
            kept(moment.area - self.area_load),
        )
    }

    fn moment(&self, eaten: f64, let_go: f64) -> Moment {
        let (habitat, s) = (self.habitat, &self.habitat.settings);
        let passage = self.state.gate.passage(s, self.at);
        let week = plus_days(self.at, s.uneaten_days);
        // Whoever feeds has looked after the bin.
        let mut vitals = self.vitals;
        vitals.attend();
        let bed = self.state.bed();
        let effort = vitals.walk(habitat, bed, Larder::EMPTY, self.at, week);
        // Food that could turn into castings meanwhile is counted as having done so, which
        // keeps the limit free of what is offered now.
        let castings_litres = self.turned * s.castings_yield / s.castings_kg_per_litre;
        let solids = self.state.solids(s) + crate::units::Litres(castings_litres);
        let (middle, _) = cell_of(self.at);
        let pace = habitat.pace(bed.reading, bed.moisture, middle);
        Moment {
            eaten,
            let_go,
            eating: self.speed * effort,
            ramp: s.ramp_at(self.state.age_days(self.at)),
            share: if let Passage::Share(share) = passage {
                share
            } else {
                1.0
            },
            depth: habitat.depth_limit().0 * self.state.fed_share,
            fill: habitat.fill_limit(solids).0,
            area: self.area_limit(),
            closed: self.closed(&pace, passage),
            handful: matches!(passage, Passage::Handful(..)).then(|| self.handful_left()),
        }
    }

    fn area_limit(&self) -> f64 {
        self.habitat.area_limit().0 * self.state.fed_share
    }

    /// What is left of a handful that may go in every few days.
    fn handful_left(&self) -> f64 {
        let counted = self.last_meal.counted(self.habitat, self.at);
        libm::fmax(self.habitat.settings.handful_kg - counted, 0.0)
    }

    fn closed(&self, pace: &Pace, passage: Passage) -> Option<Limit> {
        if matches!(passage, Passage::Shut(..)) {
            Some(Limit::Signs)
        } else if self.vitals.worms_kg < self.habitat.settings.fewest_worms_kg {
            Some(Limit::NoWorms)
        } else if self.vitals.too_hot {
            Some(Limit::TooHot)
        } else if pace.eating <= 0.0 {
            Some(Limit::TooCold)
        } else {
            None
        }
    }
}
