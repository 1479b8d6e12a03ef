//! Bins before a closure, for reading what letters say of them.

use crate::desk::closure_ground::BinPlan;
use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use wormrota_domain::closure::closing::{ClosedDay, Closing, Heating, looked_after_until};
use wormrota_domain::closure::settings::ClosureSettings;
use wormrota_domain::ids::BinId;
use wormrota_domain::living_bin::climate::Climate;
use wormrota_domain::living_bin::event::Event;
use wormrota_domain::living_bin::habitat::{BinShape, Habitat};
use wormrota_domain::living_bin::settings::ModelSettings;
use wormrota_domain::site::Spot;
use wormrota_domain::units::{Grams, Litres, SquareMetres};

const CLOSED: i64 = 42;

/// The closed days: three weeks ahead, six weeks long.
pub(super) fn days(now: DateTime<Utc>) -> (NaiveDate, NaiveDate) {
    let first = now.date_naive() + TimeDelta::days(21);
    (first, first + TimeDelta::days(CLOSED - 1))
}

/// A bin that needs visits, one in a sealed building, and one without worms.
pub(super) fn bins(now: DateTime<Utc>) -> Vec<BinPlan> {
    vec![
        bin("Courtyard", now, Grams(1_000), true),
        bin("Cellar", now, Grams(1_000), false),
        bin("Roof", now, Grams(0), true),
    ]
}

fn bin(name: &str, now: DateTime<Utc>, worms: Grams, can_visit: bool) -> BinPlan {
    let habitat = Habitat {
        settings: ModelSettings::default(),
        shape: BinShape {
            surface: SquareMetres(0.25),
            volume: Litres(100.0),
            spot: Spot::Sheltered,
        },
        climate: Climate([20.0; 12]),
    };
    let stocked = Event::Stocked {
        worms,
        bedding: Grams(2_000),
    };
    let stocked_at = now - TimeDelta::days(200);
    let last_turn = now + TimeDelta::days(20);
    let state = stocked.apply(&habitat, None, stocked_at).unwrap();
    let state = looked_after_until(&state, last_turn);
    let days: Vec<ClosedDay> = (1..=CLOSED)
        .map(|ahead| ClosedDay {
            at: last_turn + TimeDelta::days(ahead),
            can_visit,
        })
        .collect();
    let plan = Closing {
        habitat: &habitat,
        state: &state,
        bookings: &[],
        last_turn,
        days: &days,
        first_turn: last_turn + TimeDelta::days(CLOSED + 1),
        heating: Heating::Off,
        settings: ClosureSettings::default(),
    }
    .plan();
    BinPlan {
        bin: BinId(uuid::Uuid::nil()),
        name: name.to_owned(),
        plan,
    }
}
