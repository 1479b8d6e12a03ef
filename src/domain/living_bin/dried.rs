//! When a bed that is too dry by now began to be.

use super::habitat::Habitat;
use super::state::BinState;
use super::time::{cell_of, days_between, plus_days};
use chrono::{DateTime, TimeDelta, Utc};

/// The instant from which on the model takes worms from a bin since nobody looks after it; none
/// of a bed that is damp still. It goes back through the same cells of weather in which the state
/// came here, so that it is the instant that was foretold before.
#[must_use]
pub(crate) fn dried_at(habitat: &Habitat, state: &BinState) -> Option<DateTime<Utc>> {
    let mut beyond = state.vitals.unattended - habitat.settings.unattended_days;
    if beyond < 0.0 {
        return None;
    }
    let bed = state.bed();
    let mut t = state.at;
    loop {
        // The cell that ends here, or that this lies in.
        let (middle, end) = cell_of(t - TimeDelta::microseconds(1));
        let start = middle - (end - middle);
        let pace = habitat.pace(bed.reading, bed.moisture, middle).metabolism;
        let passed = days_between(start, t) * pace;
        if passed >= beyond {
            return Some(plus_days(t, -beyond / pace));
        }
        beyond -= passed;
        t = start;
    }
}

#[cfg(test)]
mod tests {
    use super::super::climate::Climate;
    use super::super::habitat::BinShape;
    use super::super::settings::ModelSettings;
    use super::*;
    use crate::site::Spot;
    use crate::units::{Kg, Litres, SquareMetres};

    /// Protects people from two days for one thing: what a call foretells of a bed that nobody
    /// waters is what a notice says afterwards.
    #[test]
    fn a_bed_began_to_dry_when_it_was_foretold() {
        let habitat = Habitat {
            settings: ModelSettings::default(),
            shape: BinShape {
                surface: SquareMetres(0.25),
                volume: Litres(60.0),
                spot: Spot::Outdoors,
            },
            climate: Climate::default(),
        };
        let start: DateTime<Utc> = "2026-04-03T17:20:00Z".parse().unwrap();
        let stocked = BinState::stocked(&habitat.settings, Kg(1.0), Kg(4.0), start);
        let after = |hours: i64| {
            let mut state = stocked.clone();
            state.advance(&habitat, start + TimeDelta::hours(hours));
            state
        };
        let dry = |state: &BinState| state.vitals.unattended >= habitat.settings.unattended_days;
        let first = (0..2_400).find(|hours| dry(&after(*hours))).unwrap();
        assert_eq!(dried_at(&habitat, &after(first - 1)), None);
        for later in [0, 1, 7, 100, 700] {
            let dried = dried_at(&habitat, &after(first + later)).unwrap();
            let foretold = start + TimeDelta::hours(first);
            let early = foretold - dried;
            assert!(
                early >= TimeDelta::seconds(-1) && early <= TimeDelta::hours(1),
                "{later} hours later: {dried} and {foretold}"
            );
        }
    }
}
