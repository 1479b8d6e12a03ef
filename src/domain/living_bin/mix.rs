//! The bedding and water that a feeding needs. The mix never refuses food on its own.

use super::habitat::Habitat;
use super::state::BinState;
use crate::food::{Composition, bedding_for, beddings};
use crate::units::{Grams, Kg};

/// What should go in along with the food.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Supplement {
    /// Dry bedding.
    pub dry: Grams,
    /// Water, millilitres.
    pub millilitres: i64,
}

/// Bedding and water for a meal: judged over the fed pocket, where the meal meets what is
/// left uneaten and the pocket's share of the bedding.
#[must_use]
pub fn supplement(habitat: &Habitat, state: &BinState, meal: &Composition) -> Supplement {
    let s = &habitat.settings;
    let Some(usual) = beddings().first() else {
        return Supplement {
            dry: Grams::ZERO,
            millilitres: 0,
        };
    };
    let (left, _) = state.uneaten.nearest(state.speed.mean);
    let uneaten = Composition {
        mass: Kg(left),
        water: Kg(left * state.blend.water),
        carbon: Kg(left * state.blend.carbon),
        nitrogen: Kg(left * state.blend.nitrogen),
    };
    let dry = usual.composition(state.bedding * s.pocket);
    let moisture = state.moisture.0;
    let soaked = libm::fmax(dry.mass.0 * moisture / (1.0 - moisture) - dry.water.0, 0.0);
    let mix = uneaten + *meal + dry + Composition::of_water(Kg(soaked));
    let advice = bedding_for(&mix, usual, &s.mix);
    let worth_it = advice.dry.kg().0 >= s.bedding_worth_asking_kg;
    let too_dry = mix.moisture() < s.mix_driest;
    Supplement {
        dry: if worth_it { advice.dry } else { Grams::ZERO },
        millilitres: if worth_it || too_dry {
            advice.water_ml
        } else {
            0
        },
    }
}
