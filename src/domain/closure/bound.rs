//! How many worms could live at best: what the search may cut by.
//!
//! A bin that is as lucky as it can be: as little crowded as a bin with the wanted share of its
//! worms; hungry only from the moment on at which the food of its last meal is eaten for certain;
//! fed as much at each visit as the rules could let in at all. How a kilogram of its worms fares
//! from a visit to the next depends on these two days alone, so the best over all choices of
//! visits is a longest path, found day by day from the end. A visit that brings no food ends no
//! hunger: worms are at least as hungry then as if all that could have gone in until then had.
//!
//! No real course does better. All that lies in a bin after a meal is at most what the rules let
//! lie there, which for a kilogram of worms depends on the day alone, up to limits in kilograms,
//! which count against the fewest worms that a plan may have. What real worms eat in a time is
//! at least what worms without growth eat, so their food ends no later; being fed for longer
//! never makes fewer worms; and what falls due to heat, frost and drying is the same. A stock
//! above what its surface carries shrinks while it is fed, at most down to what is carried, and
//! eats for so much longer. Where nothing may go in, what lies there is from an earlier visit.
//! Between the driest bed that a plan may have and the goal, moisture changes no appetite.

use super::ground::Ground;
use crate::living_bin::habitat::Habitat;
use crate::living_bin::limit::Limit;
use crate::living_bin::outlook::Outlook;
use crate::living_bin::state::BinState;
use crate::living_bin::time::plus_days;
use crate::living_bin::vitals::{Larder, Vitals};
use crate::units::SquareMetres;
use chrono::{DateTime, Utc};

/// The model's runs of uneaten food lie a twentieth apart in the logarithm of speed. The one
/// that feeds the worms is the nearest; where the cautious speed is no slower, more may lie in it
/// by so much.
const GRID: f64 = 1.05;
/// How finely the end of the food is looked for, days: a cell of constant weather.
const CELL_DAYS: f64 = 0.25;
/// Far more than the rounding of sums.
const ROUNDING: f64 = 1e-9;
/// A surface that carries any number of worms, square metres.
const ENDLESS: SquareMetres = SquareMetres(1e15);
const PLENTY: Larder = Larder {
    uneaten_kg: 1e12,
    speed: 1.0,
};

/// The best share, by visits left and by the moment from which it counts.
pub(crate) struct Bound {
    /// From each moment: the later moments to which the bed stays damp, and the share of the
    /// worms that lives then at best.
    legs: Vec<Vec<(usize, f64)>>,
    /// By visits left: at best so many times the worms at the moment live in the end.
    best: Vec<Vec<f64>>,
}

impl Bound {
    pub(crate) fn of(ground: &Ground) -> Self {
        let lucky = Lucky::of(ground);
        let legs: Vec<Vec<(usize, f64)>> =
            (0..ground.end()).map(|at| lucky.legs(ground, at)).collect();
        let none_left = legs
            .iter()
            .map(|legs| reach(legs, ground.end()).unwrap_or(0.0))
            .collect();
        Self {
            legs,
            best: vec![none_left],
        }
    }

    /// At best so many times the worms at this moment live in the end, with at most so many
    /// visits to come; 0 where the bed dries out whatever is done.
    pub(crate) fn best(&mut self, ground: &Ground, visits_left: usize, at: usize) -> f64 {
        while self.best.len() <= visits_left {
            let last = self.best.len() - 1;
            let further = |legs: &Vec<(usize, f64)>, with_fewer: f64| {
                legs.iter()
                    .filter(|(to, _)| ground.can_visit[*to])
                    .map(|(to, share)| share * self.best[last][*to])
                    .fold(with_fewer, libm::fmax)
            };
            let row = (self.legs.iter().zip(&self.best[last]))
                .map(|(legs, fewer)| further(legs, *fewer))
                .collect();
            self.best.push(row);
        }
        self.best[visits_left][at]
    }
}

fn reach(legs: &[(usize, f64)], to: usize) -> Option<f64> {
    legs.iter().find(|leg| leg.0 == to).map(|leg| leg.1)
}

/// The lucky bin: where it stands, and when its food ends after a visit at each moment.
struct Lucky {
    uncrowded: Habitat,
    bare: Vec<BinState>,
    food_ends: Vec<DateTime<Utc>>,
    /// How hungry the worms are at each moment at the least, just after a visit.
    hunger: Vec<f64>,
}

impl Lucky {
    fn of(ground: &Ground) -> Self {
        let mut uncrowded = ground.habitat.clone();
        uncrowded.shape.surface = ENDLESS;
        let (lies, speed) = ground.left.uneaten.nearest(ground.left.speed.mean);
        let worms = ground.left.vitals.worms_kg;
        let carried = ground.habitat.carrying_capacity().0;
        // Growth falls with the share of what the surface carries that is there already.
        let fewest = worms * ground.settings.wanted_share.0;
        uncrowded.settings.growth_per_day *= libm::fmax(1.0 - fewest / carried, 0.0);
        let mut lucky = Self {
            uncrowded,
            bare: Vec::with_capacity(ground.end()),
            food_ends: Vec::with_capacity(ground.end()),
            hunger: Vec::with_capacity(ground.end()),
        };
        let longer = libm::fmax(worms / carried, 1.0);

        // What the rules let lie in a bin in which nothing lies, as warm as the real one.
        let mut bare = ground.left.clone();
        for at in 0..ground.end() {
            bare.advance(&ground.habitat, ground.moments[at]);
            bare.uneaten.map(|_| 0.0);
            bare.area_load.0 = 0.0;
            bare.castings = ground.left.castings;
            bare.vitals.worms_kg = worms;
            bare.vitals.attend();
            bare.moisture = ground.left.moisture;
            let food = if at == 0 {
                lies / worms
            } else {
                most_for_a_kilogram(ground, &bare, worms) * grid(ground, &bare, speed)
            };
            lucky.bare.push(bare.clone());
            let before = lucky.food_ends.last().copied().unwrap_or(ground.moments[0]);
            let ends = if food > 0.0 {
                lucky.food_end(ground, at, food * longer / speed)
            } else {
                before
            };
            lucky.food_ends.push(ends.max(before));
            let hungry_before = if lies > 0.0 {
                0.0
            } else {
                ground.left.vitals.hunger
            };
            lucky
                .hunger
                .push(lucky.hunger_after(ground, at, hungry_before));
        }
        lucky
    }

    /// The first moment at which a kilogram of worms that does not grow has surely made so much
    /// effort after a visit.
    fn food_end(&self, ground: &Ground, at: usize, effort: f64) -> DateTime<Utc> {
        let bed = self.bare[at].bed();
        let (start, end) = (ground.moments[at], ground.moments[ground.end()]);
        let mut worms = Vitals::stocked(1.0);
        let (mut t, mut made, mut cells) = (start, 0.0, 0.0);
        while t < end {
            cells += 1.0;
            let next = plus_days(start, cells * CELL_DAYS);
            let more = worms.walk(&self.uncrowded, bed, Larder::EMPTY, t, next);
            if made + more >= effort {
                // Worms that die make less of the later part of a cell, so this is no too early.
                let part = (effort - made) / libm::fmax(more, f64::MIN_POSITIVE) + ROUNDING;
                return plus_days(t, part * CELL_DAYS);
            }
            made += more;
            t = next;
        }
        end
    }

    /// The hunger since the food ended. Where no food could go in since the last turn, that is
    /// added to the hunger before it.
    fn hunger_after(&self, ground: &Ground, at: usize, before: f64) -> f64 {
        let food_end = self.food_ends[at];
        let mut worms = Vitals::stocked(1.0);
        if food_end == self.food_ends[0] {
            worms.hunger = before;
        }
        let bed = self.bare[at].bed();
        worms.walk(
            &self.uncrowded,
            bed,
            Larder::EMPTY,
            food_end,
            ground.moments[at],
        );
        worms.hunger
    }

    /// The worms at each later moment, of one kilogram just after a visit, while whoever comes then
    /// is in time.
    fn legs(&self, ground: &Ground, at: usize) -> Vec<(usize, f64)> {
        let bed = self.bare[at].bed();
        let food_end = self.food_ends[at];
        let mut worms = Vitals::stocked(1.0);
        worms.hunger = self.hunger[at];
        let mut from = ground.moments[at];
        // Who comes first to a bed that is dry already comes in time.
        let is_in_time = at == 0 && ground.dry_by.is_some();
        let mut legs = Vec::new();
        for to in at + 1..=ground.end() {
            let until = ground.moments[to];
            let fed_until = food_end.clamp(from, until);
            worms.walk(&self.uncrowded, bed, PLENTY, from, fed_until);
            worms.walk(&self.uncrowded, bed, Larder::EMPTY, fed_until, until);
            if !is_in_time && worms.unattended > ground.most_unattended(ground.end()) {
                break;
            }
            if is_in_time || worms.unattended <= ground.most_unattended(to) {
                legs.push((to, worms.worms_kg));
            }
            from = until;
        }
        legs
    }
}

/// How much more may lie in the run that feeds the worms than in the cautious one.
fn grid(ground: &Ground, bare: &BinState, speed: f64) -> f64 {
    let s = &ground.habitat.settings;
    let cautious = bare.speed.quantile(s, bare.at, -s.caution, 0.0);
    if libm::exp(cautious) <= speed {
        1.0
    } else {
        GRID
    }
}

/// The most food that the rules let lie there for a kilogram of worms, however many there are
/// between the fewest that a plan may have and the most that there can be.
fn most_for_a_kilogram(ground: &Ground, bare: &BinState, worms: f64) -> f64 {
    let outlook = Outlook::cautious(&ground.habitat, bare);
    if outlook
        .shut_by()
        .is_some_and(|limit| limit != Limit::Handful)
    {
        return 0.0;
    }
    let fewest = worms * ground.settings.wanted_share.0;
    let for_a_kilogram = |(limit, kg): (Limit, f64)| match limit {
        Limit::Eating | Limit::Ramp | Limit::Resuming => kg / worms,
        _ => kg / fewest,
    };
    outlook
        .limits()
        .into_iter()
        .map(for_a_kilogram)
        .fold(f64::INFINITY, libm::fmin)
}
