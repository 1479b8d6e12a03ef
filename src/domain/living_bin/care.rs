//! What to do about what somebody saw: signs, causes and deeds as keepers know them (common
//! practice and memory, no source, unless said otherwise).

use super::check::{Check, Dampness, Smell, Visitor};
use crate::coded::coded;

coded! {
    /// Something to do about a sign.
    Care {
        /// Nothing more in; take food out that is still whole.
        StopFeeding = "stop_feeding",
        /// Mix in dry bedding and loosen the bed.
        DryBedding = "dry_bedding",
        /// Sprinkle water over the bedding.
        Moisten = "moisten",
        /// Let the liquid out; it is never for plants that are eaten.
        DrainLiquid = "drain_liquid",
        /// Bury the food and cover it; freeze scraps first.
        BuryAndCover = "bury_and_cover",
        /// A barrier outside the bin, never inside; no powders where children are.
        AntBarrier = "ant_barrier",
        /// Worms want out: look for heat, wet, sourness; a light over the bin keeps them in.
        WormsWantOut = "worms_want_out",
        /// Close lid and holes; a licensed pest controller, no bait where children are.
        RodentsOut = "rodents_out",
    }
}

/// What to do about what was seen, gravest first, each once.
#[must_use]
pub fn care_for(check: &Check) -> Vec<Care> {
    let seen = |visitor| check.visitors.contains(&visitor);
    let smells = matches!(check.smell, Some(Smell::Sour | Smell::Ammonia));
    let wet = check.dampness == Some(Dampness::Wet) || seen(Visitor::Liquid);
    let deeds = [
        (seen(Visitor::Rodents), Care::RodentsOut),
        (seen(Visitor::WormsClimbing), Care::WormsWantOut),
        (smells, Care::StopFeeding),
        (seen(Visitor::Liquid), Care::DrainLiquid),
        (smells || wet || seen(Visitor::Mites), Care::DryBedding),
        (
            check.dampness == Some(Dampness::Dry) || seen(Visitor::Ants),
            Care::Moisten,
        ),
        (seen(Visitor::Ants), Care::AntBarrier),
        (seen(Visitor::FruitFlies), Care::BuryAndCover),
    ];
    deeds
        .into_iter()
        .filter(|(needed, _)| *needed)
        .map(|(_, care)| care)
        .collect()
}

/// Whether whoever keeps the bin should hear of it.
#[must_use]
pub fn is_trouble(check: &Check) -> bool {
    let grave = [Visitor::Rodents, Visitor::WormsClimbing, Visitor::Liquid];
    check.visitors.iter().any(|visitor| grave.contains(visitor))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wet_bed_is_not_told_to_be_wetted() {
        let soaked = Check {
            dampness: Some(Dampness::Wet),
            visitors: vec![Visitor::Liquid, Visitor::Rodents],
            ..Check::default()
        };
        let care = care_for(&soaked);
        assert_eq!(
            care,
            [Care::RodentsOut, Care::DrainLiquid, Care::DryBedding]
        );
        assert!(is_trouble(&soaked));
    }

    #[test]
    fn a_good_look_needs_nothing() {
        let good = Check {
            smell: Some(Smell::Earthy),
            dampness: Some(Dampness::Right),
            ..Check::default()
        };
        assert!(care_for(&good).is_empty() && !is_trouble(&good));
    }
}
