//! Quantities as types, so that grams never meet litres by accident.
//!
//! Facts that people agreed on (an amount fed, a promise) are integer [`Grams`]. The
//! model reckons in floating point ([`Kg`], [`Celsius`], [`Litres`], [`SquareMetres`],
//! [`Fraction`]); it goes back to grams in one direction only: offers round up, room
//! rounds down.

use serde::{Deserialize, Serialize};
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Sub};

/// A mass in whole grams: the unit of every stored fact.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct Grams(pub i64);

impl Grams {
    /// Nothing at all.
    pub const ZERO: Self = Self(0);

    /// The largest amount that is not less than the model's figure: for what people offer.
    #[must_use]
    pub fn rounded_up(kg: Kg) -> Self {
        Self(to_whole(libm::ceil(kg.0 * 1000.0)))
    }

    /// The largest amount that the model's figure covers: for room and promises.
    #[must_use]
    pub fn rounded_down(kg: Kg) -> Self {
        Self(to_whole(libm::floor(kg.0 * 1000.0)))
    }

    /// The same mass for the model.
    #[must_use]
    pub fn kg(self) -> Kg {
        #[expect(
            clippy::cast_precision_loss,
            reason = "facts stay far below 2^53 grams"
        )]
        Kg(self.0 as f64 / 1000.0)
    }

    /// The difference, never below zero.
    #[must_use]
    pub fn less(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0).max(0))
    }
}

/// Saturating conversion; a figure that is not a number becomes zero.
fn to_whole(x: f64) -> i64 {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "float casts saturate, NaN gives 0"
    )]
    let whole = x as i64;
    whole
}

impl Add for Grams {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl Sum for Grams {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Add::add)
    }
}

macro_rules! model_quantity {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
                iter.fold(Self(0.0), Add::add)
            }
        }

        impl $name {
            /// The smaller of two.
            #[must_use]
            pub fn min(self, other: Self) -> Self {
                Self(libm::fmin(self.0, other.0))
            }

            /// The larger of two.
            #[must_use]
            pub fn max(self, other: Self) -> Self {
                Self(libm::fmax(self.0, other.0))
            }
        }
    };
}

model_quantity! {
    /// A mass in kilograms, as the model reckons it.
    Kg
}
model_quantity! {
    /// A temperature in degrees Celsius.
    Celsius
}
model_quantity! {
    /// A volume in litres.
    Litres
}
model_quantity! {
    /// An area in square metres.
    SquareMetres
}
model_quantity! {
    /// A part of a whole, 0 to 1 (moisture 0.8 is 80 %).
    Fraction
}

impl Celsius {
    /// In degrees Fahrenheit.
    #[must_use]
    pub fn fahrenheit(self) -> f64 {
        self.0 * 1.8 + 32.0
    }
}

/// Kilograms in an avoirdupois pound, exact by the international agreement of 1959.
pub const KG_PER_POUND: f64 = 0.453_592_37;
/// Litres in a US gallon, exact (231 cubic inches).
pub const LITRES_PER_US_GALLON: f64 = 3.785_411_784;
/// Square metres in a square foot, exact (0.3048 m squared).
pub const SQUARE_METRES_PER_SQUARE_FOOT: f64 = 0.092_903_04;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn offers_round_up_and_room_rounds_down() {
        assert_eq!(Grams::rounded_up(Kg(0.1001)), Grams(101));
        assert_eq!(Grams::rounded_down(Kg(0.1009)), Grams(100));
    }

    #[test]
    fn a_figure_that_is_not_a_number_is_no_room() {
        assert_eq!(Grams::rounded_down(Kg(f64::NAN)), Grams::ZERO);
    }

    /// Check value 43: USDA gives 59 to 77 degrees Fahrenheit as 15 to 25 Celsius.
    #[test]
    fn fahrenheit_and_celsius_agree_with_the_published_range() {
        assert!((Celsius(15.0).fahrenheit() - 59.0).abs() < 1e-9);
        assert!((Celsius(25.0).fahrenheit() - 77.0).abs() < 1e-9);
    }
}
