//! A bin's state at an instant, and its passage through time when nothing happens.

use super::check::{Check, Sight, found_grams, learn};
use super::climate::BedReading;
use super::gate::Gate;
use super::habitat::Habitat;
use super::settings::ModelSettings;
use super::speed::{SpeedBand, Tracks};
use super::time::{cell_of, days_between};
use super::vitals::{Bed, Larder, Vitals};
use crate::food::Composition;
use crate::units::{Celsius, Fraction, Grams, Kg, Litres};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// All that the model knows of a bin at an instant.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BinState {
    /// The instant.
    pub at: DateTime<Utc>,
    /// When worms were put in: the ramp counts from here.
    pub stocked_at: DateTime<Utc>,
    /// Uneaten food at every speed of the grid.
    pub uneaten: Tracks,
    /// What the uneaten food is made of, for one kilogram of it.
    pub blend: Blend,
    /// How fast this bin eats.
    pub speed: SpeedBand,
    /// The worms.
    pub vitals: Vitals,
    /// The last temperature read in the bed.
    pub reading: Option<BedReading>,
    /// The bed's moisture when last judged; frozen until the next check, since without a
    /// measure of evaporation it would only drift.
    pub moisture: Fraction,
    /// Food that the area rule still counts, kg.
    pub area_load: Kg,
    /// Dry bedding not used up yet.
    pub bedding: Kg,
    /// Castings in the bin.
    pub castings: Kg,
    /// When food last went in.
    pub last_fed_at: Option<DateTime<Utc>>,
    /// How much went in then: the meal that people judge what is left by.
    pub last_meal: Kg,
    /// Whether feeding is held after signs of overfeeding.
    pub gate: Gate,
    /// Share of the surface that is fed at present: less than 1 when one side is fed, as
    /// before a harvest.
    pub fed_share: f64,
    /// When somebody last looked into the bin and said what they saw.
    pub last_check_at: Option<DateTime<Utc>>,
    /// How many checks taught the model.
    pub lessons: u32,
    /// Effort since the last look, kg of worms times days.
    pub effort_made: f64,
    /// The same, each part times what was not known of the temperature.
    pub effort_blurred: f64,
}

/// What a kilogram of the uneaten food holds. The parts shrink with it, so only fresh
/// food changes them.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Blend {
    /// Water, kg.
    pub water: f64,
    /// Carbon, kg.
    pub carbon: f64,
    /// Nitrogen, kg.
    pub nitrogen: f64,
    /// Food of the sparing list, kg.
    pub sparing: f64,
    /// Coffee and tea, kg.
    pub coffee: f64,
}

/// What one feeding puts in, as far as the model cares.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Meal {
    /// Mass, water, carbon and nitrogen.
    pub composition: Composition,
    /// Of it on the sparing list.
    pub sparing: Kg,
    /// Of it coffee and tea.
    pub coffee: Kg,
}

impl BinState {
    /// A bin that has just been stocked.
    pub(crate) fn stocked(
        settings: &ModelSettings,
        worms: Kg,
        bedding: Kg,
        at: DateTime<Utc>,
    ) -> Self {
        Self {
            at,
            stocked_at: at,
            uneaten: Tracks::level(0.0),
            blend: Blend::default(),
            speed: SpeedBand::prior(settings, at),
            vitals: Vitals::stocked(worms.0),
            reading: None,
            moisture: settings.assumed_moisture,
            area_load: Kg(0.0),
            bedding,
            castings: Kg(0.0),
            last_fed_at: None,
            last_meal: Kg(0.0),
            gate: Gate::Open,
            fed_share: 1.0,
            last_check_at: None,
            lessons: 0,
            effort_made: 0.0,
            effort_blurred: 0.0,
        }
    }

    /// The state at a later time if nothing happens until then. An earlier time changes
    /// nothing.
    #[must_use]
    pub fn advanced(mut self, habitat: &Habitat, to: DateTime<Utc>) -> Self {
        self.advance(habitat, to);
        self
    }

    pub(crate) fn advance(&mut self, habitat: &Habitat, to: DateTime<Utc>) {
        if to <= self.at {
            return;
        }
        let s = &habitat.settings;
        let days = days_between(self.at, to);
        let (uneaten_kg, speed) = self.uneaten.nearest(self.speed.mean);
        let larder = Larder { uneaten_kg, speed };
        let walked = self
            .vitals
            .walk_blurred(habitat, self.bed(), larder, self.at, to);
        let effort = walked.made;
        self.effort_made += walked.made;
        self.effort_blurred += walked.blurred;
        let eaten = libm::fmin(uneaten_kg, speed * effort);
        self.uneaten.eat(effort);
        self.castings += Kg(eaten * s.castings_yield);
        self.bedding = self.bedding * libm::exp2(-days / s.bedding_half_life_days);
        let let_go = habitat.area_limit().0 * self.fed_share / 7.0 * days;
        self.area_load = Kg(self.area_load.0 - let_go).max(Kg(0.0));
        self.at = to;
    }

    /// Food goes in now.
    pub(crate) fn feed(&mut self, settings: &ModelSettings, meal: &Meal) {
        let amount = meal.composition.mass.0;
        let (before, _) = self.uneaten.nearest(self.speed.mean);
        let all = before + amount;
        if all > 0.0 {
            let mixed = |old: f64, new: Kg| (old * before + new.0) / all;
            self.blend = Blend {
                water: mixed(self.blend.water, meal.composition.water),
                carbon: mixed(self.blend.carbon, meal.composition.carbon),
                nitrogen: mixed(self.blend.nitrogen, meal.composition.nitrogen),
                sparing: mixed(self.blend.sparing, meal.sparing),
                coffee: mixed(self.blend.coffee, meal.coffee),
            };
        }
        self.uneaten.add(amount);
        self.area_load += Kg(amount);
        let same_meal = |fed| days_between(fed, self.at) < settings.one_meal_days;
        let before = if self.last_fed_at.is_some_and(same_meal) {
            self.last_meal.0
        } else {
            0.0
        };
        self.last_meal = Kg(before + amount);
        self.last_fed_at = Some(self.at);
        self.vitals.attend();
    }

    /// Somebody looks into the bin now and says what they see. Returns food that is there
    /// and that nobody logged.
    pub(crate) fn check(
        &mut self,
        habitat: &Habitat,
        check: &Check,
        by_visitor: bool,
    ) -> Option<Grams> {
        let s = &habitat.settings;
        let mut found = None;
        if let (Some(left), true) = (check.left, self.last_meal.0 > 0.0) {
            let sight = Sight::of(s, left, self.last_meal);
            let blur = self.past_spread();
            // However fast the worms are, so much of what was put in must still be there.
            let at_least = self.uneaten.at(libm::log(s.speed_cap));
            if let Some(lesson) = learn(
                s,
                &self.speed,
                &self.uneaten,
                &sight,
                check.unlogged,
                blur,
                self.at,
            ) {
                self.speed = lesson.speed;
                self.lessons = self.lessons.saturating_add(1);
                found = found_grams(lesson.found);
            }
            self.uneaten
                .map(|there| libm::fmax(sight.clamp(there), at_least));
            self.area_load += found.unwrap_or(Grams::ZERO).kg();
        }
        if let Some(dampness) = check.dampness {
            self.moisture = dampness.moisture();
        }
        if !by_visitor {
            let since_meal = self
                .last_fed_at
                .map_or(0.0, |fed| days_between(fed, self.at));
            self.gate = self.gate.after(s, check, since_meal, self.at);
        }
        self.last_check_at = Some(self.at);
        self.vitals.attend();
        found
    }

    /// Food is taken out again now.
    pub(crate) fn take_out(&mut self, amount: Kg) {
        self.uneaten.map(|there| libm::fmax(there - amount.0, 0.0));
        self.area_load = Kg(libm::fmax(self.area_load.0 - amount.0, 0.0));
        self.vitals.attend();
    }

    /// Food of an unknown make-up is expected to go in now.
    pub(crate) fn expect_food(&mut self, amount: Kg) {
        self.uneaten.add(amount.0);
        self.area_load += amount;
        self.vitals.attend();
    }

    /// The bed was measured now.
    pub(crate) fn measure(
        &mut self,
        habitat: &Habitat,
        bed: Option<Celsius>,
        moisture: Option<Fraction>,
    ) {
        if let Some(bed) = bed {
            self.vitals.notice_heat(habitat, bed);
            self.reading = Some(BedReading { bed, at: self.at });
        }
        self.moisture = moisture.unwrap_or(self.moisture);
    }

    pub(crate) fn bed(&self) -> Bed {
        Bed {
            reading: self.reading,
            moisture: self.moisture,
        }
    }

    /// Hardly a worm lives: the bin takes nothing, and may be stocked anew.
    #[must_use]
    pub fn is_without_worms(&self, habitat: &Habitat) -> bool {
        self.vitals.worms_kg < habitat.settings.fewest_worms_kg
    }

    /// Days since the bin was stocked.
    pub(crate) fn age_days(&self, t: DateTime<Utc>) -> f64 {
        days_between(self.stocked_at, t)
    }

    /// What castings and settled bedding take up.
    pub(crate) fn solids(&self, settings: &ModelSettings) -> Litres {
        let castings = self.castings.0 / settings.castings_kg_per_litre;
        Litres(castings + self.bedding.0 / settings.bedding_kg_per_litre)
    }

    /// z for what worms will eat from now on, so many standard deviations from the middle:
    /// what is not known of the temperature now is added in.
    pub(crate) fn coming_speed(&self, habitat: &Habitat, deviations: f64) -> f64 {
        let (middle, _) = cell_of(self.at);
        let further = habitat.pace(self.reading, self.moisture, middle).spread;
        self.speed
            .quantile(&habitat.settings, self.at, deviations, further)
    }

    /// z for what worms have eaten since the last look: what was not known of the
    /// temperature while they ate is added in. A cold day today makes nobody doubt what was
    /// eaten in summer.
    pub(crate) fn past_speed(&self, habitat: &Habitat, deviations: f64) -> f64 {
        self.speed
            .quantile(&habitat.settings, self.at, deviations, self.past_spread())
    }

    fn past_spread(&self) -> f64 {
        if self.effort_made > 0.0 {
            self.effort_blurred / self.effort_made
        } else {
            0.0
        }
    }
}
