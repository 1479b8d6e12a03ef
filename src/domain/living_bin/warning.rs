//! Warnings before a bed gets too warm or too cold, and of a stock that fails.

use super::habitat::Habitat;
use super::state::BinState;
use crate::coded::coded;
use crate::units::Celsius;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

coded! {
    /// What a bed's temperature is about to do. Steps after Earthworm Ecology, table 18.3,
    /// and common practice.
    WarningKind {
        /// Above 35 degrees Celsius worms die: bring the bin into the cool at once.
        DeadlyHeat = "deadly_heat",
        /// Above 30: no feeding; damp paper and ice on top, shade, spread the food.
        TooHot = "too_hot",
        /// Above 27: shade it, feed less at a time.
        Warm = "warm",
        /// Below 10: they eat slowly; insulate it.
        Cold = "cold",
        /// Below 4: they do not eat; bring it in or insulate it.
        TooCold = "too_cold",
        /// At freezing worms die: bring it in at once.
        DeadlyFrost = "deadly_frost",
        /// The worms have had nothing to eat for so long that they lose mass.
        Hungry = "hungry",
        /// Nobody has looked after the bin for so long that its bed dries out.
        DryingOut = "drying_out",
        /// Hardly a worm is left: the bin may be stocked anew.
        NoWorms = "no_worms",
    }
}

/// A warning for a day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Warning {
    /// What.
    pub kind: WarningKind,
    /// The first moment at which it is expected.
    pub at: DateTime<Utc>,
    /// The bed's temperature then.
    pub bed: Celsius,
    /// Nobody measured lately.
    pub assumed: bool,
}

/// The gravest warning for heat and the gravest for cold over these moments, which must
/// rise; each with the first moment at which it is expected.
#[must_use]
pub fn warnings(habitat: &Habitat, state: &BinState, moments: &[DateTime<Utc>]) -> Vec<Warning> {
    let mut found: Vec<Warning> = Vec::new();
    for &at in moments {
        let bed = habitat.bed_temperature(state.reading, at);
        let Some(kind) = kind_of(habitat, bed.bed) else {
            continue;
        };
        let warning = Warning {
            kind,
            at,
            bed: bed.bed,
            assumed: bed.assumed,
        };
        match found
            .iter_mut()
            .find(|known| is_heat(known.kind) == is_heat(kind))
        {
            Some(known) if gravity(known.kind) >= gravity(kind) => {}
            Some(known) => *known = warning,
            None => found.push(warning),
        }
    }
    let now = |kind| {
        let bed = habitat.bed_temperature(state.reading, state.at);
        Warning {
            kind,
            at: state.at,
            bed: bed.bed,
            assumed: bed.assumed,
        }
    };
    if state.is_without_worms(habitat) {
        found.push(now(WarningKind::NoWorms));
    } else if state.vitals.unattended >= habitat.settings.unattended_days {
        found.push(now(WarningKind::DryingOut));
    } else if state.vitals.hunger >= 1.0 && eats_well(habitat, state) {
        found.push(now(WarningKind::Hungry));
    }
    found
}

/// In the cold nobody is asked to bring food that the bin could not take.
fn eats_well(habitat: &Habitat, state: &BinState) -> bool {
    let bed = habitat.bed_temperature(state.reading, state.at).bed;
    habitat.settings.eating_by_temperature.at(bed.0) >= 0.5
}

fn kind_of(habitat: &Habitat, bed: Celsius) -> Option<WarningKind> {
    let s = &habitat.settings;
    Some(match bed.0 {
        t if t > s.lethal_above.0 => WarningKind::DeadlyHeat,
        t if t > s.heat_closes_above.0 => WarningKind::TooHot,
        t if t > s.warm_above.0 => WarningKind::Warm,
        t if t <= s.lethal_below.0 + 0.5 => WarningKind::DeadlyFrost,
        t if s.eating_by_temperature.at(t) <= 0.0 => WarningKind::TooCold,
        t if t < s.cold_below.0 => WarningKind::Cold,
        _ => return None,
    })
}

fn is_heat(kind: WarningKind) -> bool {
    matches!(
        kind,
        WarningKind::DeadlyHeat | WarningKind::TooHot | WarningKind::Warm
    )
}

fn gravity(kind: WarningKind) -> u8 {
    match kind {
        WarningKind::DeadlyHeat | WarningKind::DeadlyFrost => 2,
        WarningKind::TooHot | WarningKind::TooCold => 1,
        WarningKind::Warm
        | WarningKind::Cold
        | WarningKind::Hungry
        | WarningKind::DryingOut
        | WarningKind::NoWorms => 0,
    }
}
