//! Bins before a closure, for reading what letters say of them.

use crate::desk::agreed_visits::AgreedVisit;
use crate::desk::closure_ground::BinPlan;
use crate::desk::closure_moments::LastTurn;
use crate::desk::turns::{HolderSeen, Place, Turn};
use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use wormrota_domain::closure::closing::{ClosedDay, Closing, Heating, looked_after_until};
use wormrota_domain::closure::settings::ClosureSettings;
use wormrota_domain::ids::{BinId, MemberId, PlaceId, TurnId};
use wormrota_domain::living_bin::climate::Climate;
use wormrota_domain::living_bin::event::Event;
use wormrota_domain::living_bin::habitat::{BinShape, Habitat};
use wormrota_domain::living_bin::settings::ModelSettings;
use wormrota_domain::living_bin::state::BinState;
use wormrota_domain::site::Spot;
use wormrota_domain::turns::Duty;
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

/// A bin for which people come so many days after the last turn.
pub(super) fn agreed_bin(now: DateTime<Utc>, ahead: &[i64]) -> BinPlan {
    planned("Courtyard", now, Grams(1_000), true, ahead)
}

/// One in a building that is sealed but for whoever agreed to come, which is not enough.
pub(super) fn moving_bin(now: DateTime<Utc>, ahead: &[i64]) -> BinPlan {
    planned("Courtyard", now, Grams(1_000), false, ahead)
}

/// One whose bed is too dry when nobody is there.
pub(super) fn dry_bin(now: DateTime<Utc>, ahead: &[i64]) -> BinPlan {
    let mut trial = Trial::of(now, Grams(1_000), true, ahead);
    trial.state.vitals.unattended = 22.0;
    trial.plan("Courtyard", LastTurn::Over, true)
}

/// One that was just looked after.
pub(super) fn done_bin(now: DateTime<Utc>, ahead: &[i64]) -> BinPlan {
    Trial::of(now, Grams(1_000), true, ahead).plan("Courtyard", LastTurn::Done, true)
}

/// The visits to it, with who comes; without a name that the reader may know where it is empty.
pub(super) fn visits(
    now: DateTime<Utc>,
    ahead: &[i64],
    names: &[Option<&str>],
) -> Vec<AgreedVisit> {
    let visit = |(ahead, name): (&i64, Option<&str>)| {
        let on_date = (now + TimeDelta::days(20 + ahead)).date_naive();
        let place = Place {
            id: PlaceId(uuid::Uuid::nil()),
            seat: 1,
            held: name.is_some(),
            mine: false,
            holder: (name.filter(|name| !name.is_empty())).map(|name| HolderSeen::Member {
                id: MemberId(uuid::Uuid::nil()),
                name: Some(name.to_owned()),
                flat: None,
            }),
            how: None,
            kept: false,
        };
        AgreedVisit {
            earliest: on_date,
            latest: on_date,
            turn: Turn {
                id: TurnId(uuid::Uuid::nil()),
                bin: BinId(uuid::Uuid::nil()),
                pattern: None,
                on_date,
                duty: Duty::Feeding,
                effort: 1,
                hours: None,
                is_of_a_class: false,
                class: None,
                called_off: None,
                off_pattern: false,
                visit_during: None,
                places: vec![place],
                revision: 1,
            },
        }
    };
    ahead.iter().zip(names.iter().copied()).map(visit).collect()
}

fn bin(name: &str, now: DateTime<Utc>, worms: Grams, can_visit: bool) -> BinPlan {
    planned(name, now, worms, can_visit, &[])
}

fn planned(name: &str, now: DateTime<Utc>, worms: Grams, can_visit: bool, come: &[i64]) -> BinPlan {
    let last = if can_visit {
        LastTurn::Turn
    } else {
        LastTurn::Unknown
    };
    Trial::of(now, worms, can_visit, come).plan(name, last, can_visit)
}

/// A bin and its closed days.
struct Trial {
    habitat: Habitat,
    state: BinState,
    last_turn: DateTime<Utc>,
    days: Vec<ClosedDay>,
}

impl Trial {
    fn of(now: DateTime<Utc>, worms: Grams, can_visit: bool, come: &[i64]) -> Self {
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
        let day = |ahead: i64| ClosedDay {
            at: last_turn + TimeDelta::days(ahead),
            can_visit,
            comes: come.contains(&ahead),
        };
        Self {
            state: looked_after_until(&state, last_turn),
            habitat,
            last_turn,
            days: (1..=CLOSED).map(day).collect(),
        }
    }

    fn plan(&self, name: &str, last: LastTurn, first_is_turn: bool) -> BinPlan {
        let plan = Closing {
            habitat: &self.habitat,
            state: &self.state,
            bookings: &[],
            last_turn: self.last_turn,
            is_looked_after: !matches!(last, LastTurn::Over | LastTurn::Done),
            days: &self.days,
            first_turn: self.last_turn + TimeDelta::days(CLOSED + 1),
            heating: Heating::Off,
            settings: ClosureSettings::default(),
        }
        .plan();
        BinPlan {
            bin: BinId(uuid::Uuid::nil()),
            name: name.to_owned(),
            last_turn: last,
            first_is_turn,
            plan,
        }
    }
}
