//! What is wrong with a bin as far as its state and the coming days tell, without anybody
//! having said so.

use super::aftermath::Trouble;
use super::check::Dampness;
use super::dried::dried_at;
use super::gate::Gate;
use super::habitat::Habitat;
use super::outlook::{Outlook, WORTH_BRINGING};
use super::state::BinState;
use super::time::days_between;
use super::warning::{Warning, WarningKind, warnings};
use chrono::{DateTime, Utc};

/// Something that is wrong with a bin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ailment {
    /// What.
    pub trouble: Trouble,
    /// Since when, or from when on it is expected.
    pub since: DateTime<Utc>,
    /// How warm the bed is then, where that is the trouble.
    pub warning: Option<Warning>,
}

/// What is wrong at the state's own instant, and heat and cold at the later moments, which
/// must rise. Of a bin without worms only that is said.
#[must_use]
pub fn ailments(habitat: &Habitat, state: &BinState, coming: &[DateTime<Utc>]) -> Vec<Ailment> {
    let mut moments = vec![state.at];
    moments.extend_from_slice(coming);
    let mut found: Vec<Ailment> = warnings(habitat, state, &moments)
        .into_iter()
        .filter_map(|warning| of_warning(habitat, state, warning))
        .collect();
    if let Some(gone) = found.iter().find(|one| one.trouble == Trouble::NoWorms) {
        return vec![*gone];
    }
    found.extend(rests(habitat, state));
    if !may_be_fed(habitat, state, &found) {
        found.retain(|one| one.trouble != Trouble::Hungry);
    }
    let drying = found.iter().any(|one| one.trouble == Trouble::DryingOut);
    found.extend(damp(state).filter(|one| !drying || one.trouble != Trouble::DryingOut));
    found.sort_by_key(|one| gravity(one.trouble));
    found
}

/// Whether a meal helps hungry worms: food heats a bed that is too hot, spoils in one that is too
/// cold, and nobody is asked to bring what the bin cannot take.
fn may_be_fed(habitat: &Habitat, state: &BinState, found: &[Ailment]) -> bool {
    let keeps_out = |one: &Ailment| matches!(one.trouble, Trouble::TooHot | Trouble::TooCold);
    let room = Outlook::cautious(habitat, state).room(&[]).amount;
    !found.iter().any(keeps_out) && room >= WORTH_BRINGING
}

fn of_warning(habitat: &Habitat, state: &BinState, warning: Warning) -> Option<Ailment> {
    let plain = |trouble, since| {
        Some(Ailment {
            trouble,
            since,
            warning: None,
        })
    };
    let of_bed = |trouble| {
        Some(Ailment {
            trouble,
            since: warning.at,
            warning: Some(warning),
        })
    };
    match warning.kind {
        WarningKind::DeadlyHeat | WarningKind::TooHot => of_bed(Trouble::TooHot),
        WarningKind::DeadlyFrost | WarningKind::TooCold => of_bed(Trouble::TooCold),
        WarningKind::Warm | WarningKind::Cold => None,
        WarningKind::Hungry => {
            let fed = state.last_fed_at.unwrap_or(state.stocked_at);
            plain(Trouble::Hungry, fed)
        }
        WarningKind::DryingOut => {
            let dried = dried_at(habitat, state).unwrap_or(state.at);
            plain(Trouble::DryingOut, dried)
        }
        WarningKind::NoWorms => plain(Trouble::NoWorms, state.at),
    }
}

/// A bin at which nobody has looked since it was told to rest: whoever saw the sign said so then.
fn rests(habitat: &Habitat, state: &BinState) -> Option<Ailment> {
    let Gate::Held { since, .. } = state.gate else {
        return None;
    };
    let left = days_between(since, state.at) >= habitat.settings.hold_days;
    left.then_some(Ailment {
        trouble: Trouble::Rests,
        since,
        warning: None,
    })
}

/// As somebody who looked or a probe said last.
fn damp(state: &BinState) -> Option<Ailment> {
    let trouble = match state.moisture.0 {
        wet if wet >= Dampness::Wet.moisture().0 => Trouble::TooWet,
        dry if dry <= Dampness::Dry.moisture().0 => Trouble::DryingOut,
        _ => return None,
    };
    Some(Ailment {
        trouble,
        since: state.last_check_at.unwrap_or(state.at),
        warning: None,
    })
}

/// What has to be seen to first comes first.
#[must_use]
pub const fn gravity(trouble: Trouble) -> u8 {
    match trouble {
        Trouble::TooHot | Trouble::TooCold | Trouble::NoWorms => 0,
        Trouble::Rests | Trouble::OverLimit | Trouble::NeverFood | Trouble::TroubleSeen => 1,
        Trouble::TooWet | Trouble::DryingOut => 2,
        Trouble::Hungry => 3,
    }
}

#[cfg(test)]
mod tests {
    use super::super::climate::{BedReading, Climate};
    use super::super::gate::Sign;
    use super::super::habitat::BinShape;
    use super::super::settings::ModelSettings;
    use super::*;
    use crate::site::Spot;
    use crate::units::{Celsius, Kg, Litres, SquareMetres};
    use chrono::TimeDelta;

    fn at() -> DateTime<Utc> {
        "2026-06-10T17:00:00Z".parse().unwrap()
    }

    fn habitat() -> Habitat {
        Habitat {
            settings: ModelSettings::default(),
            shape: BinShape {
                surface: SquareMetres(0.25),
                volume: Litres(60.0),
                spot: Spot::Indoors,
            },
            climate: Climate::default(),
        }
    }

    /// Fed a day ago, measured now.
    fn well(bed: f64) -> BinState {
        let h = habitat();
        let start = at() - TimeDelta::days(60);
        let mut state = BinState::stocked(&h.settings, Kg(1.0), Kg(4.0), start);
        state.at = at();
        state.last_fed_at = Some(at() - TimeDelta::days(1));
        state.reading = Some(BedReading {
            bed: Celsius(bed),
            at: at(),
        });
        state
    }

    fn troubles(state: &BinState) -> Vec<Trouble> {
        let found = ailments(&habitat(), state, &[]);
        found.iter().map(|one| one.trouble).collect()
    }

    /// Protects keepers from letters about bins that are well, and about warmth and cold in
    /// which worms only eat less.
    #[test]
    fn a_bin_that_is_well_has_no_ailment() {
        for bed in [8.0, 20.0, 28.5] {
            assert_eq!(troubles(&well(bed)), [], "{bed}");
        }
    }

    /// Protects worms from heat and frost that nobody hears of: what was measured says so.
    #[test]
    fn heat_and_frost_are_ailments_with_their_degrees() {
        for (bed, trouble) in [
            (31.0, Trouble::TooHot),
            (36.0, Trouble::TooHot),
            (2.0, Trouble::TooCold),
            (0.0, Trouble::TooCold),
        ] {
            let found = ailments(&habitat(), &well(bed), &[]);
            assert_eq!(found[0].trouble, trouble, "{bed}");
            let warning = found[0].warning.unwrap();
            assert!((warning.bed.0 - bed).abs() < 0.01 && !warning.assumed);
        }
    }

    /// Protects keepers from hearing twice of a sign that was told when it was seen, and the
    /// bin from resting unseen for good.
    #[test]
    fn a_bin_that_rests_is_an_ailment_once_nobody_has_looked_for_a_week() {
        let mut state = well(20.0);
        for (days, told) in [(6, false), (8, true)] {
            let since = at() - TimeDelta::days(days);
            let sign = Sign::SourSmell;
            state.gate = Gate::Held { sign, since };
            assert_eq!(troubles(&state).contains(&Trouble::Rests), told, "{days}");
        }
    }

    /// Protects a bed from drying out or drowning, each said once.
    #[test]
    fn a_bed_is_told_dry_or_wet_once() {
        let mut state = well(20.0);
        state.moisture = Dampness::Wet.moisture();
        assert_eq!(troubles(&state), [Trouble::TooWet]);
        state.moisture = Dampness::Dry.moisture();
        state.vitals.unattended = 30.0;
        assert_eq!(troubles(&state), [Trouble::DryingOut]);
    }

    /// Protects keepers from advice about food and water for a bin in which nothing lives.
    #[test]
    fn of_a_bin_without_worms_only_that_is_said() {
        let mut state = well(36.0);
        state.vitals.worms_kg = 0.0;
        state.moisture = Dampness::Wet.moisture();
        assert_eq!(troubles(&state), [Trouble::NoWorms]);
    }

    /// Protects worms from a hunger that nobody hears of: with the day of the last meal.
    #[test]
    fn hunger_tells_since_when() {
        let mut state = well(20.0);
        state.vitals.hunger = 1.0;
        let found = ailments(&habitat(), &state, &[]);
        assert_eq!(found[0].trouble, Trouble::Hungry);
        assert_eq!(found[0].since, at() - TimeDelta::days(1));
    }

    /// Protects worms from a meal that harms them, and keepers from "put nothing in" and "bring a
    /// meal" about one bin: in heat and cold, now or soon, and while it rests.
    #[test]
    fn nobody_is_asked_to_feed_a_bin_that_takes_nothing() {
        for bed in [31.0, 2.0] {
            let mut state = well(bed);
            state.vitals.hunger = 1.0;
            assert!(!troubles(&state).contains(&Trouble::Hungry), "{bed}");
        }
        // It was too hot, and has not cooled enough yet.
        let mut state = well(27.5);
        state.vitals.hunger = 1.0;
        assert_eq!(troubles(&state), [Trouble::Hungry]);
        state.vitals.too_hot = true;
        assert_eq!(troubles(&state), []);

        let mut state = well(20.0);
        state.vitals.hunger = 1.0;
        let (sign, day) = (Sign::SourSmell, TimeDelta::days(1));
        let since = at() - day;
        state.gate = Gate::Held { sign, since };
        assert_eq!(troubles(&state), []);

        let mut hot_soon = habitat();
        hot_soon.climate = Climate([38.0; 12]);
        hot_soon.shape.spot = Spot::Outdoors;
        let mut state = well(20.0);
        state.vitals.hunger = 1.0;
        assert_eq!(ailments(&hot_soon, &state, &[])[0].trouble, Trouble::Hungry);
        let coming: Vec<_> = (1..60).map(|n| at() + day * n).collect();
        let found = ailments(&hot_soon, &state, &coming);
        let found: Vec<Trouble> = found.iter().map(|one| one.trouble).collect();
        assert_eq!(found, [Trouble::TooHot]);
    }
}
