//! From what people hold in their hands to grams, and back.
//!
//! Nobody weighs every day. A guess carries its spread, so that a decision can tell an excess
//! from the guess's own error.

use super::density::Density;
use super::item::FoodItem;
use crate::coded::coded;
use crate::units::{Fraction, Grams, Kg, LITRES_PER_US_GALLON, Litres};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Relative standard error of an amount put on scales (own suggestion).
const SPREAD_WEIGHED: Fraction = Fraction(0.02);
/// Relative standard error of a container filled to a mark (own suggestion; the published
/// densities alone differ twofold).
const SPREAD_CONTAINER: Fraction = Fraction(0.20);
/// Relative standard error of a handful or a cup (own suggestion; a handful is given from
/// memory as 0.05 to 0.10 kg, which is a third either way).
const SPREAD_BY_HAND: Fraction = Fraction(0.35);

/// Litres in a US customary cup, a sixteenth of a gallon, exact.
const US_CUP: f64 = LITRES_PER_US_GALLON / 16.0;
/// What a hand holds in litres: 0.075 kg of kitchen scraps, the middle of 0.05 to 0.10 kg
/// (from memory).
const HANDFUL: f64 = 0.075 / Density::KITCHEN_SCRAPS.kg_per_litre();

coded! {
    /// Measures that every kitchen has.
    KitchenMeasure {
        /// What a hand holds, about a sixth of a litre.
        Handful = "handful",
        /// A US cup, 0.2366 L.
        Cup = "cup",
        /// One litre.
        Litre = "litre",
        /// A small kitchen caddy, 5 L.
        SmallCaddy = "caddy-5l",
        /// A kitchen caddy, 7 L.
        Caddy = "caddy-7l",
        /// A pail of five US gallons, 18.9 L.
        Bucket = "bucket-5gal",
    }
}

impl KitchenMeasure {
    /// Its volume and how well it is filled.
    #[must_use]
    pub const fn vessel(self) -> Vessel {
        let (litres, spread) = match self {
            Self::Handful => (HANDFUL, SPREAD_BY_HAND),
            Self::Cup => (US_CUP, SPREAD_BY_HAND),
            Self::Litre => (1.0, SPREAD_CONTAINER),
            Self::SmallCaddy => (5.0, SPREAD_CONTAINER),
            Self::Caddy => (7.0, SPREAD_CONTAINER),
            Self::Bucket => (5.0 * LITRES_PER_US_GALLON, SPREAD_CONTAINER),
        };
        Vessel {
            volume: Litres(litres),
            spread,
        }
    }
}

/// A site's own container, known to its people by name.
#[derive(Debug, Clone, PartialEq)]
pub struct Container {
    name: String,
    volume: Litres,
}

impl Container {
    /// The smallest container in litres; less is a spoonful.
    pub const SMALLEST: Litres = Litres(0.1);
    /// The largest container in litres; a wheeled bin is no measure for a worm bin.
    pub const LARGEST: Litres = Litres(120.0);
    /// The most characters in a name.
    pub const LONGEST_NAME: usize = 40;

    /// A container with a name, spaces around it taken off, and a volume.
    pub fn new(name: &str, volume: Litres) -> Result<Self, ContainerError> {
        let name = name.trim();
        let length = name.chars().count();
        if length == 0 || length > Self::LONGEST_NAME || name.chars().any(char::is_control) {
            return Err(ContainerError::Name);
        }
        if !(Self::SMALLEST.0..=Self::LARGEST.0).contains(&volume.0) {
            return Err(ContainerError::Volume(volume));
        }
        Ok(Self {
            name: name.to_owned(),
            volume,
        })
    }

    /// What the site calls it.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// What it holds when full.
    #[must_use]
    pub const fn volume(&self) -> Litres {
        self.volume
    }

    /// Its volume and how well it is filled.
    #[must_use]
    pub const fn vessel(&self) -> Vessel {
        Vessel {
            volume: self.volume,
            spread: SPREAD_CONTAINER,
        }
    }
}

/// Why a container was not taken.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum ContainerError {
    /// Empty, too long, or with control characters.
    #[error("a container's name has 1 to {max} characters on one line", max = Container::LONGEST_NAME)]
    Name,
    /// Too small, too large, or not a number.
    #[error("a container holds {least} to {most} litres, not {got}",
        least = Container::SMALLEST.0, most = Container::LARGEST.0, got = .0.0)]
    Volume(Litres),
}

impl ContainerError {
    /// The stable code.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Name => "container_name",
            Self::Volume(_) => "container_volume",
        }
    }
}

/// Something that scraps are measured with. Made by [`KitchenMeasure::vessel`] or
/// [`Container::vessel`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vessel {
    volume: Litres,
    spread: Fraction,
}

impl Vessel {
    /// What it holds when full.
    #[must_use]
    pub const fn volume(self) -> Litres {
        self.volume
    }

    /// The relative standard error of an amount measured with it.
    #[must_use]
    pub const fn spread(self) -> Fraction {
        self.spread
    }
}

/// A fill in quarters: 2 is half a caddy, 6 one and a half.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct Quarters(pub u32);

impl Quarters {
    /// So many full ones.
    #[must_use]
    pub const fn full(count: u32) -> Self {
        Self(count.saturating_mul(4))
    }

    /// The full ones, and the quarters left over (0 to 3).
    #[must_use]
    pub const fn parts(self) -> (u32, u32) {
        (self.0 / 4, self.0 % 4)
    }
}

/// An amount as somebody gave it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Measure {
    /// Put on scales.
    Weighed(Grams),
    /// A vessel filled so many quarters.
    Filled(Vessel, Quarters),
}

/// An amount with how well it is known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Estimate {
    /// The amount, rounded up.
    pub amount: Grams,
    /// Relative standard error of the amount.
    pub spread: Fraction,
}

/// What a measure of a food weighs, rounded up to the gram.
///
/// Uses the food's own density. A zero or negative measure gives a zero or negative amount;
/// [`super::Offer::parse`] turns those away.
#[must_use]
pub fn estimate(measure: Measure, item: &FoodItem) -> Estimate {
    match measure {
        Measure::Weighed(amount) => Estimate {
            amount,
            spread: SPREAD_WEIGHED,
        },
        Measure::Filled(vessel, fill) => Estimate {
            amount: Grams::rounded_up(filled(vessel, fill, item.density)),
            spread: vessel.spread,
        },
    }
}

/// How many quarters of a vessel an amount fills, rounded down: for showing room.
///
/// The most quarters whose [`estimate`] is not above `room`; none for no room.
#[must_use]
pub fn in_measure(room: Grams, vessel: Vessel, density: Density) -> Quarters {
    let fits = |quarters| Grams::rounded_up(filled(vessel, Quarters(quarters), density)) <= room;
    let quarters = libm::floor(density.fill(room.kg()).0 / vessel.volume.0 * 4.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "float casts saturate, and below zero is no room"
    )]
    let quarters = quarters as u32;
    // Division and multiplication round apart in the last bit, which could promise one gram
    // too many or hide a whole quarter.
    let next = quarters.saturating_add(1);
    if fits(next) {
        Quarters(next)
    } else if fits(quarters) {
        Quarters(quarters)
    } else {
        Quarters(quarters.saturating_sub(1))
    }
}

fn filled(vessel: Vessel, fill: Quarters, density: Density) -> Kg {
    density.weigh(vessel.volume * (f64::from(fill.0) / 4.0))
}

#[cfg(test)]
mod tests {
    use super::super::{Source, catalogue, find};
    use super::*;
    use proptest::prelude::*;

    fn usual_mix(measure: Measure) -> Estimate {
        estimate(measure, find("usual-mix").unwrap())
    }

    /// At 0.455 kg/L (US EPA, reckoned): a cup 0.108 kg, caddies of 5 and 7 L 2.28 and
    /// 3.19 kg, a bucket 8.62 kg; a handful 0.05 to 0.10 kg (from memory).
    #[test]
    fn kitchen_measures_weigh_what_is_published() {
        for (measure, kg, tolerance) in [
            (KitchenMeasure::Cup, 0.108, 0.0005),
            (KitchenMeasure::SmallCaddy, 2.28, 0.005),
            (KitchenMeasure::Caddy, 3.19, 0.005),
            (KitchenMeasure::Bucket, 8.62, 0.005),
            (KitchenMeasure::Handful, 0.075, 0.002),
        ] {
            let amount = usual_mix(Measure::Filled(measure.vessel(), Quarters::full(1))).amount;
            assert!(
                (amount.kg().0 - kg).abs() <= tolerance,
                "{measure:?}: {amount:?}"
            );
        }
    }

    #[test]
    fn a_weighed_amount_is_kept_and_known_best() {
        let weighed = usual_mix(Measure::Weighed(Grams(1234)));
        assert_eq!(weighed.amount, Grams(1234));
        let caddy = usual_mix(Measure::Filled(KitchenMeasure::Caddy.vessel(), Quarters(2)));
        let handful = usual_mix(Measure::Filled(
            KitchenMeasure::Handful.vessel(),
            Quarters(8),
        ));
        assert!(weighed.spread < caddy.spread && caddy.spread < handful.spread);
    }

    #[test]
    fn half_a_caddy_is_two_quarters() {
        let caddy = KitchenMeasure::SmallCaddy.vessel();
        let half = usual_mix(Measure::Filled(caddy, Quarters(2))).amount;
        assert_eq!(
            in_measure(half, caddy, Density::KITCHEN_SCRAPS),
            Quarters(2)
        );
        assert_eq!(
            in_measure(half.less(Grams(1)), caddy, Density::KITCHEN_SCRAPS),
            Quarters(1)
        );
        assert_eq!(Quarters(7).parts(), (1, 3));
    }

    #[test]
    fn no_room_is_no_quarter() {
        let cup = KitchenMeasure::Cup.vessel();
        assert_eq!(in_measure(Grams::ZERO, cup, Density::LOOSE), Quarters(0));
        assert_eq!(in_measure(Grams(-50), cup, Density::LOOSE), Quarters(0));
    }

    #[test]
    fn a_container_needs_a_name_and_a_sensible_volume() {
        let tin = Container::new("  blue tin ", Litres(3.0)).unwrap();
        assert_eq!((tin.name(), tin.volume()), ("blue tin", Litres(3.0)));
        assert_eq!(Container::new(" ", Litres(3.0)), Err(ContainerError::Name));
        assert_eq!(
            Container::new("two\nlines", Litres(3.0)),
            Err(ContainerError::Name)
        );
        assert_eq!(
            Container::new(&"x".repeat(41), Litres(3.0)),
            Err(ContainerError::Name)
        );
        for volume in [0.0, -1.0, 0.099, 120.1, f64::INFINITY] {
            assert_eq!(
                Container::new("tin", Litres(volume)),
                Err(ContainerError::Volume(Litres(volume)))
            );
        }
        assert!(matches!(
            Container::new("tin", Litres(f64::NAN)),
            Err(ContainerError::Volume(_))
        ));
    }

    proptest! {
        #[test]
        fn room_in_a_measure_is_never_more_than_the_room(
            room in 0_i64..60_000,
            litres in 0.1_f64..120.0,
            kg_per_litre in 0.15_f64..0.95,
        ) {
            let vessel = Container::new("tin", Litres(litres)).unwrap().vessel();
            let density = Density::bounded(kg_per_litre, Source::CommonPractice);
            let shown = in_measure(Grams(room), vessel, density);
            let weighs = |q: u32| Grams::rounded_up(filled(vessel, Quarters(q), density));
            prop_assert!(weighs(shown.0) <= Grams(room));
            prop_assert!(weighs(shown.0 + 1) > Grams(room));
        }

        #[test]
        fn what_was_measured_is_shown_again(
            quarters in 0_u32..200,
            which in 0..KitchenMeasure::ALL.len(),
            food in 0..catalogue().len(),
        ) {
            let vessel = KitchenMeasure::ALL[which].vessel();
            let item = &catalogue()[food];
            let amount = estimate(Measure::Filled(vessel, Quarters(quarters)), item).amount;
            prop_assert_eq!(in_measure(amount, vessel, item.density), Quarters(quarters));
        }
    }
}
