//! Water, carbon and nitrogen of a mix.

use crate::units::{Fraction, Kg};
use serde::{Deserialize, Serialize};
use std::iter::Sum;
use std::ops::{Add, AddAssign};

/// What a heap of food and bedding is made of, in kilograms.
///
/// Grit (eggshell) and rubbish count in the mass but carry neither carbon nor nitrogen,
/// so that they leave the ratio alone.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Composition {
    /// Everything, water included.
    pub mass: Kg,
    /// The water in it.
    pub water: Kg,
    /// The carbon in its dry part.
    pub carbon: Kg,
    /// The nitrogen in its dry part.
    pub nitrogen: Kg,
}

impl Composition {
    /// A mass of one material from the figures that tables give: moisture of the wet mass,
    /// nitrogen of the dry mass, and carbon to nitrogen by mass.
    ///
    /// Carbon is nitrogen times the ratio (Cornell Waste Management Institute).
    #[must_use]
    pub fn of(
        mass: Kg,
        moisture: Fraction,
        nitrogen_dry: Fraction,
        carbon_to_nitrogen: f64,
    ) -> Self {
        let water = mass * moisture.0;
        let nitrogen = (mass - water) * nitrogen_dry.0;
        Self {
            mass,
            water,
            carbon: nitrogen * carbon_to_nitrogen,
            nitrogen,
        }
    }

    /// Nothing but water.
    #[must_use]
    pub fn of_water(mass: Kg) -> Self {
        Self {
            mass,
            water: mass,
            ..Self::default()
        }
    }

    /// The same mix, `factor` times as much.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self {
            mass: self.mass * factor,
            water: self.water * factor,
            carbon: self.carbon * factor,
            nitrogen: self.nitrogen * factor,
        }
    }

    /// Water as a part of the whole, zero if there is nothing.
    #[must_use]
    pub fn moisture(&self) -> Fraction {
        if self.mass.0 > 0.0 {
            Fraction(self.water.0 / self.mass.0)
        } else {
            Fraction(0.0)
        }
    }

    /// Carbon to nitrogen by mass; nothing if there is no nitrogen.
    #[must_use]
    pub fn carbon_to_nitrogen(&self) -> Option<f64> {
        (self.nitrogen.0 > 0.0).then(|| self.carbon.0 / self.nitrogen.0)
    }
}

impl Add for Composition {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            mass: self.mass + other.mass,
            water: self.water + other.water,
            carbon: self.carbon + other.carbon,
            nitrogen: self.nitrogen + other.nitrogen,
        }
    }
}

impl AddAssign for Composition {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sum for Composition {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::default(), Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_has_no_moisture_and_no_ratio() {
        let nothing = Composition::default();
        assert_eq!(nothing.moisture(), Fraction(0.0));
        assert_eq!(nothing.carbon_to_nitrogen(), None);
    }

    #[test]
    fn scaling_keeps_moisture_and_ratio() {
        let food = Composition::of(Kg(1.0), Fraction(0.7), Fraction(0.024), 15.0);
        let more = food.scaled(3.5);
        assert!((more.mass.0 - 3.5).abs() < 1e-12);
        assert!((more.moisture().0 - 0.7).abs() < 1e-12);
        assert!((more.carbon_to_nitrogen().unwrap() - 15.0).abs() < 1e-9);
    }
}
