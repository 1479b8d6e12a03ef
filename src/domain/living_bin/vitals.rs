//! Worms through time: how many there are, how hungry, and how much they could eat.
//!
//! Within a cell of constant weather the stock obeys `dW/dt = a W - b W^2` (growth towards
//! what the surface carries, less what hunger, drying, heat and frost take), which has a
//! closed form, and so has its integral. The walk below goes from one change of these
//! rates to the next, so that stopping anywhere and going on gives the same result.

use super::climate::BedReading;
use super::habitat::{Habitat, Pace};
use super::time::{cell_of, days_between};
use crate::units::{Celsius, Fraction};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// The worms of a bin at an instant.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Vitals {
    /// Live worm mass, kg.
    pub worms_kg: f64,
    /// How far unfed worms are on the way to losing mass: 1 means they do.
    pub hunger: f64,
    /// Days since anybody looked after the bin, counted at the pace of 20 degrees Celsius.
    pub unattended: f64,
    /// The bed was too hot and has not yet cooled enough.
    pub too_hot: bool,
}

/// What is known of the bed between two events.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bed {
    pub reading: Option<BedReading>,
    pub moisture: Fraction,
}

/// The food that keeps worms growing during a walk: what is left at the reference speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Larder {
    /// Uneaten food, kg.
    pub uneaten_kg: f64,
    /// kg of food a kg of worms eats in a day at its best.
    pub speed: f64,
}

impl Larder {
    /// Nothing to eat: the branch that admission reckons with, whatever is offered, or
    /// feeding more would promise more worms and so more room.
    pub(crate) const EMPTY: Self = Self {
        uneaten_kg: 0.0,
        speed: 1.0,
    };
}

/// What worms made of a stretch of time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Effort {
    /// Integral of worms x temperature factor x moisture factor, kg days.
    pub made: f64,
    /// The same, each part times the spread of ln(eating speed) that the unmeasured
    /// temperature gave it.
    pub blurred: f64,
}

/// The law of the stock in a stretch of constant rates: `dW/dt = rate W - crowding W^2`.
#[derive(Debug, Clone, Copy)]
struct Law {
    rate: f64,
    crowding: f64,
}

impl Law {
    /// `(e^(rate t) - 1) / rate`, also at rate 0.
    fn phi(self, days: f64) -> f64 {
        if libm::fabs(self.rate) < 1e-12 {
            days
        } else {
            libm::expm1(self.rate * days) / self.rate
        }
    }

    fn stock_after(self, worms: f64, days: f64) -> f64 {
        let q = worms * self.phi(days);
        worms * libm::exp(self.rate * days) / (1.0 + self.crowding * q)
    }

    /// Integral of the stock over the stretch, kg days.
    fn effort(self, worms: f64, days: f64) -> f64 {
        let q = worms * self.phi(days);
        if self.crowding < 1e-12 {
            q
        } else {
            libm::log1p(self.crowding * q) / self.crowding
        }
    }

    /// The time in which the stock makes so much effort, or nothing when it never does.
    fn days_for_effort(self, worms: f64, effort: f64) -> Option<f64> {
        if worms <= 0.0 {
            return None;
        }
        let q = if self.crowding < 1e-12 {
            effort
        } else {
            libm::expm1(self.crowding * effort) / self.crowding
        };
        let phi = q / worms;
        if libm::fabs(self.rate) < 1e-12 {
            return Some(phi);
        }
        let argument = self.rate * phi;
        (argument > -1.0).then(|| libm::log1p(argument) / self.rate)
    }
}

impl Vitals {
    /// Freshly stocked.
    pub(crate) fn stocked(worms_kg: f64) -> Self {
        Self {
            worms_kg,
            hunger: 0.0,
            unattended: 0.0,
            too_hot: false,
        }
    }

    /// Somebody looked after the bin.
    pub(crate) fn attend(&mut self) {
        self.unattended = 0.0;
    }

    /// Moves from `from` to `to` and returns the effort made: the integral of worms x
    /// temperature factor x moisture factor, in kg of worms times days. A speed times the
    /// effort is the food eaten.
    pub(crate) fn walk(
        &mut self,
        habitat: &Habitat,
        bed: Bed,
        larder: Larder,
        from: DateTime<Utc>,
        to: DateTime<Utc>,
    ) -> f64 {
        self.walk_blurred(habitat, bed, larder, from, to).made
    }

    /// The same, with how little was known of the temperature while the effort was made.
    pub(crate) fn walk_blurred(
        &mut self,
        habitat: &Habitat,
        bed: Bed,
        mut larder: Larder,
        from: DateTime<Utc>,
        to: DateTime<Utc>,
    ) -> Effort {
        let mut effort = Effort {
            made: 0.0,
            blurred: 0.0,
        };
        let mut t = from;
        while t < to {
            let (middle, cell_end) = cell_of(t);
            let pace = habitat.pace(bed.reading, bed.moisture, middle);
            self.notice_heat(habitat, pace.temperature.bed);
            let until = cell_end.min(to);
            let made = self.walk_level(habitat, &pace, &mut larder, days_between(t, until));
            effort.made += made;
            effort.blurred += made * pace.spread;
            t = until;
        }
        let (middle, _) = cell_of(to);
        let pace = habitat.pace(bed.reading, bed.moisture, middle);
        self.notice_heat(habitat, pace.temperature.bed);
        effort
    }

    /// Too hot above one limit, cool enough again only below another.
    pub(crate) fn notice_heat(&mut self, habitat: &Habitat, bed: Celsius) {
        let s = &habitat.settings;
        if bed > s.heat_closes_above {
            self.too_hot = true;
        } else if bed < s.heat_reopens_below {
            self.too_hot = false;
        }
    }

    /// A stretch of constant weather, split where the food ends, hunger begins to tell or
    /// the bed begins to dry.
    fn walk_level(
        &mut self,
        habitat: &Habitat,
        pace: &Pace,
        larder: &mut Larder,
        mut days: f64,
    ) -> f64 {
        let s = &habitat.settings;
        let mut effort = 0.0;
        while days > 0.0 {
            let fed = larder.uneaten_kg > 0.0;
            if fed {
                self.hunger = 0.0;
            }
            let starving = !fed && self.hunger >= 1.0;
            let drying = self.unattended >= s.unattended_days;
            let law = Self::law(habitat, pace, fed, starving, drying);

            let mut stretch = days;
            let mut ends = Ends::Time;
            if fed && pace.eating > 0.0 {
                let needed = larder.uneaten_kg / larder.speed / pace.eating;
                if let Some(d) = law
                    .days_for_effort(self.worms_kg, needed)
                    .filter(|d| *d < stretch)
                {
                    (stretch, ends) = (d, Ends::Food);
                }
            }
            if !fed && !starving {
                let d = (1.0 - self.hunger) * pace.unfed_days;
                if d < stretch {
                    (stretch, ends) = (d, Ends::Patience);
                }
            }
            if !drying {
                let d = (s.unattended_days - self.unattended) / pace.metabolism;
                if d < stretch {
                    (stretch, ends) = (d, Ends::Damp);
                }
            }

            let made = law.effort(self.worms_kg, stretch) * pace.eating;
            effort += made;
            self.worms_kg = law.stock_after(self.worms_kg, stretch);
            self.unattended += stretch * pace.metabolism;
            larder.uneaten_kg = libm::fmax(larder.uneaten_kg - larder.speed * made, 0.0);
            if !fed {
                self.hunger = libm::fmin(self.hunger + stretch / pace.unfed_days, 1.0);
            }
            match ends {
                Ends::Time => {}
                Ends::Food => larder.uneaten_kg = 0.0,
                Ends::Patience => self.hunger = 1.0,
                Ends::Damp => self.unattended = s.unattended_days,
            }
            days -= stretch;
        }
        effort
    }

    fn law(habitat: &Habitat, pace: &Pace, fed: bool, starving: bool, drying: bool) -> Law {
        let s = &habitat.settings;
        let growth = if fed {
            s.growth_per_day * pace.eating
        } else {
            0.0
        };
        let hunger = if starving {
            s.unfed_loss_per_day * pace.metabolism
        } else {
            0.0
        };
        let drought = if drying { s.drying_loss_per_day } else { 0.0 };
        let carried = habitat.carrying_capacity().0;
        Law {
            rate: growth - hunger - drought - pace.lethal,
            crowding: if carried > 0.0 { growth / carried } else { 0.0 },
        }
    }
}

/// Why a stretch of constant rates ends.
enum Ends {
    Time,
    Food,
    Patience,
    Damp,
}

#[cfg(test)]
mod tests {
    use super::super::climate::Climate;
    use super::super::habitat::BinShape;
    use super::super::settings::ModelSettings;
    use super::super::time::plus_days;
    use super::*;
    use crate::site::Spot;
    use crate::units::{Litres, SquareMetres};
    use chrono::TimeZone;

    /// A bin whose bed keeps one temperature for ever.
    fn steady(bed: f64) -> (Habitat, Bed) {
        let settings = ModelSettings {
            reading_fades_days: 1e9,
            ..ModelSettings::default()
        };
        let shape = BinShape {
            surface: SquareMetres(0.25),
            volume: Litres(60.0),
            spot: Spot::Indoors,
        };
        let reading = Some(BedReading {
            bed: Celsius(bed),
            at: start(),
        });
        // Flat air, so that the assumed temperature adds nothing to the reading.
        let habitat = Habitat {
            settings,
            shape,
            climate: Climate([bed; 12]),
        };
        (
            habitat,
            Bed {
                reading,
                moisture: Fraction(0.8),
            },
        )
    }

    fn start() -> DateTime<Utc> {
        Utc.with_ymd_and_hms(2026, 5, 4, 7, 30, 0).unwrap()
    }

    fn share_left_unfed(bed: f64, days: f64, attended: bool) -> f64 {
        let (habitat, bed) = steady(bed);
        let mut vitals = Vitals::stocked(0.5);
        for day in 0..100 {
            let day = f64::from(day);
            if day >= days {
                break;
            }
            if attended {
                vitals.attend();
            }
            let (a, b) = (
                plus_days(start(), day),
                plus_days(start(), libm::fmin(day + 1.0, days)),
            );
            vitals.walk(&habitat, bed, Larder::EMPTY, a, b);
        }
        vitals.worms_kg / 0.5
    }

    /// Reckoned from the parameters of Johnston et al. 2014 for unfed breeding adults at
    /// 20 degrees Celsius: 0.93, 0.90 and 0.83 of their mass after 21, 28 and 42 days.
    #[test]
    fn hunger_alone_takes_what_the_published_parameters_say() {
        for (days, share) in [(21.0, 0.93), (28.0, 0.90), (42.0, 0.83)] {
            let left = share_left_unfed(20.0, days, true);
            assert!((left - share).abs() < 0.01, "{left} after {days} days");
        }
    }

    /// Common practice, no source: days to three weeks are fine, after about a month the
    /// numbers have fallen, a couple of months are the end.
    #[test]
    fn an_abandoned_bin_lasts_three_weeks_and_is_lost_in_two_months() {
        assert!(share_left_unfed(20.0, 21.0, false) > 0.9);
        let month = share_left_unfed(20.0, 28.0, false);
        assert!((month - 0.73).abs() < 0.02, "{month}");
        let six_weeks = share_left_unfed(20.0, 42.0, false);
        assert!((six_weeks - 0.44).abs() < 0.02, "{six_weeks}");
        let two_months = share_left_unfed(20.0, 60.0, false);
        assert!((two_months - 0.23).abs() < 0.02, "{two_months}");
    }

    /// Common practice, no source: above 35 degrees Celsius a bin must come into the cool,
    /// and freezing kills.
    #[test]
    fn heat_and_frost_kill_within_days() {
        assert!(share_left_unfed(37.0, 5.0, true) < 0.1);
        assert!(share_left_unfed(-2.0, 5.0, true) < 0.1);
        assert!(share_left_unfed(12.0, 5.0, true) > 0.99);
    }

    /// Doubles in about 90 days while small (from memory), and levels off at 1 lb/ft2
    /// (NC State LS-007-08).
    #[test]
    fn a_well_fed_stock_grows_to_what_the_surface_carries() {
        let (habitat, bed) = steady(25.0);
        let plenty = Larder {
            uneaten_kg: 1e6,
            speed: 0.265,
        };
        let mut vitals = Vitals::stocked(0.001);
        let grow_ten_days = |vitals: &mut Vitals| {
            vitals.attend();
            vitals.walk(&habitat, bed, plenty, start(), plus_days(start(), 10.0));
        };
        (0..9).for_each(|_| grow_ten_days(&mut vitals));
        assert!(
            (vitals.worms_kg - 0.002).abs() < 2e-5,
            "{}",
            vitals.worms_kg
        );
        (0..200).for_each(|_| grow_ten_days(&mut vitals));
        let carried = habitat.carrying_capacity().0;
        assert!((vitals.worms_kg - carried).abs() < 0.01 * carried);
    }

    #[test]
    fn heat_closes_above_thirty_and_reopens_only_below_twenty_eight() {
        let mut vitals = Vitals::stocked(0.3);
        let mut after = |bed: f64| {
            let (habitat, bed) = steady(bed);
            vitals.walk(
                &habitat,
                bed,
                Larder::EMPTY,
                start(),
                plus_days(start(), 1.0),
            );
            vitals.too_hot
        };
        assert!(!after(29.5));
        assert!(after(30.5));
        assert!(after(29.0), "between the two limits it stays closed");
        assert!(!after(27.5));
    }
}
