//! How a bed dries while nobody waters it, and the water that makes up for it.
//!
//! The model counts the days since anybody looked after a bin, at the pace of 20 degrees
//! Celsius, and takes worms from it after three weeks of them. Here the same days are read as
//! moisture. The water that a kilogram of dry bed holds falls by the same share on each of
//! these days (our suggestion: the drier, the slower), and the rate is not another constant: a
//! bed watered to the goal of the mix, 80 %, is at its driest, 70 %, on the very day on which
//! the model begins to count losses.

use crate::food::{Composition, beddings, starting_bedding};
use crate::living_bin::habitat::Habitat;
use crate::living_bin::settings::ModelSettings;
use crate::living_bin::state::BinState;
use crate::units::{Fraction, Kg};

/// Water for a kilogram of dry bed at a moisture, kg.
fn water_for_dry(moisture: f64) -> f64 {
    moisture / (1.0 - moisture)
}

/// The bed's moisture so many days after it was watered to the goal, counted as
/// [`crate::living_bin::vitals::Vitals::unattended`] counts them.
#[must_use]
pub fn moisture_after(settings: &ModelSettings, unattended: f64) -> Fraction {
    let goal = water_for_dry(settings.mix.moisture_goal().0);
    let driest = water_for_dry(settings.mix_driest.0);
    let a_day = libm::log(goal / driest) / settings.unattended_days;
    let water = goal * libm::exp(-a_day * unattended);
    Fraction(water / (1.0 + water))
}

/// The bed as it lies there, food left out: bedding and castings at the bed's moisture. Where
/// neither was ever told, as much bedding as a bin of this size starts with.
#[must_use]
pub fn bed(habitat: &Habitat, state: &BinState) -> Composition {
    let s = &habitat.settings;
    let told = state.bedding.0 + state.castings.0 * (1.0 - s.mix.moisture_goal().0);
    let dry = if told > 0.0 {
        Kg(told)
    } else {
        starting_bedding(habitat.shape.volume)
    };
    let water = Kg(dry.0 * water_for_dry(state.moisture.0));
    Composition {
        mass: dry + water,
        water,
        ..Composition::default()
    }
}

/// What so much dry bedding of the usual kind is made of.
#[must_use]
pub(crate) fn dry_bedding(dry: Kg) -> Composition {
    beddings()
        .first()
        .map_or_else(Composition::default, |usual| usual.composition(dry))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::food::water_to_add;

    /// Protects the agreement of drying with the model's three weeks (common practice, no
    /// source): 80 % at first, 70 % after 21 days at 20 degrees Celsius, and always falling.
    #[test]
    fn a_bed_dries_from_80_to_70_percent_in_three_weeks() {
        let s = ModelSettings::default();
        assert!((moisture_after(&s, 0.0).0 - 0.80).abs() < 1e-12);
        assert!((moisture_after(&s, 21.0).0 - 0.70).abs() < 1e-12);
        let days: Vec<f64> = (0..90)
            .map(|d| moisture_after(&s, f64::from(d)).0)
            .collect();
        assert!(days.windows(2).all(|pair| pair[1] < pair[0]) && days[89] > 0.0);
    }

    /// Protects the water formula w = Q (G - M) / (100 - G) (Cornell Waste Management
    /// Institute): 10 kg of bed at 70 % take 5 kg of water to 80 %.
    #[test]
    fn ten_kilograms_of_bed_at_70_percent_take_five_of_water() {
        let bed = Composition {
            mass: Kg(10.0),
            water: Kg(7.0),
            ..Composition::default()
        };
        assert!((water_to_add(&bed, Fraction(0.8)).0 - 5.0).abs() < 1e-9);
    }
}
