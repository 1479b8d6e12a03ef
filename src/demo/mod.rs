//! The demo: a year of invented sites, played through the use cases into an empty
//! database, and a clock that can be moved.
//!
//! The data stand in `demo-data/`. Loading can be cut off at any point: every write has an
//! idempotency key, so that the next start goes through the whole year again, finds what
//! was done and does the rest. The clock's row is written last; where it stands, all is
//! there.

mod diary;
mod error;
mod examples;
mod greeting;
mod load;
mod scenario;

pub use error::DemoError;
pub use examples::Example;
pub use load::Loaded;

use crate::clock;
use crate::desk::{Desk, DeskError, move_clock};
use chrono::{DateTime, Datelike, NaiveDate, NaiveTime, TimeDelta, Utc};
use scenario::Scenario;
use std::fmt;
use wormrota_domain::access::Role;

/// A demo that is ready to be served. Its `Debug` output holds neither addresses nor the
/// password.
pub struct Demo {
    loaded: Option<Loaded>,
    loading_took: TimeDelta,
    now: DateTime<Utc>,
    password: String,
    accounts: Vec<Account>,
    signed_in_as: String,
    examples: Vec<Example>,
}

/// An account to try.
struct Account {
    email: String,
    name: String,
    role: Role,
    site: Option<String>,
}

impl fmt::Debug for Demo {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Demo")
            .field("loaded", &self.loaded)
            .field("now", &self.now)
            .finish_non_exhaustive()
    }
}

impl Demo {
    /// Loads the year if it is not there yet, sets the clock, and finds the three requests
    /// for the greeting. The desk must live by [`clock::Clock::Demo`].
    ///
    /// Without a `start` a new demo begins at the next hour at which people at all its sites
    /// are written to, and an old one goes on where its clock is.
    /// With one, the clock is set to such an hour of that day, unless it shows that day
    /// already.
    ///
    /// # Errors
    /// See [`DemoError`].
    pub async fn prepare(desk: &Desk, start: Option<NaiveDate>) -> Result<Self, DemoError> {
        let began = clock::wall();
        let scenario = Scenario::read()?;
        let asked = start.map(awake_on).transpose()?;
        let set = move_clock::is_set(desk)
            .await
            .map_err(DemoError::while_doing("looking for the demo's clock"))?;
        let loaded = if set {
            if let Some(asked) = asked
                && !shows(&scenario, now(desk).await?, start)
            {
                stand_at(desk, asked).await?;
            }
            None
        } else {
            let half_done = load::beginning(desk, &scenario).await?;
            let start = half_done.or(asked).unwrap_or_else(|| awake(began));
            let loaded = load::load(desk, &scenario, start).await?;
            stand_at(desk, asked.unwrap_or(start)).await?;
            Some(loaded)
        };
        let loading_took = clock::wall() - began;
        let now = now(desk).await?;
        let resident = resident(&scenario);
        Ok(Self {
            loaded,
            loading_took,
            now,
            accounts: accounts(&scenario),
            examples: examples::find(desk, resident, now).await?,
            signed_in_as: resident.to_owned(),
            password: scenario.password,
        })
    }

    /// What was loaded; nothing when it was there already.
    #[must_use]
    pub const fn loaded(&self) -> Option<Loaded> {
        self.loaded
    }

    /// How long loading took.
    #[must_use]
    pub const fn loading_took(&self) -> TimeDelta {
        self.loading_took
    }

    /// The time at which the demo's bins live.
    #[must_use]
    pub const fn now(&self) -> DateTime<Utc> {
        self.now
    }

    /// The address and the password for the three requests.
    #[must_use]
    pub fn sign_in(&self) -> (&str, &str) {
        (&self.signed_in_as, &self.password)
    }

    /// A feeding accepted, one accepted on condition, one refused, in this order and good
    /// to be put in one after the other. One is missing when no bin would answer so: the
    /// clock may stand in a month in which nobody fed anything.
    #[must_use]
    pub fn examples(&self) -> &[Example] {
        &self.examples
    }
}

/// Three in the afternoon, universal time: nobody sleeps then at any of the demo's sites.
const AWAKE: TimeDelta = TimeDelta::hours(15);

/// The next instant from `now` on at which letters go at every site of the demo.
fn awake(now: DateTime<Utc>) -> DateTime<Utc> {
    let today = now.date_naive().and_time(NaiveTime::MIN).and_utc() + AWAKE;
    if today >= now {
        today
    } else {
        today + TimeDelta::days(1)
    }
}

/// The instant of a chosen day at which letters go at every site of the demo.
fn awake_on(date: NaiveDate) -> Result<DateTime<Utc>, DemoError> {
    if !move_clock::YEARS.contains(&date.year()) {
        return Err(DemoError::StartOutOfRange(date));
    }
    Ok(date.and_time(NaiveTime::MIN).and_utc() + AWAKE)
}

/// Whether the clock at the first site shows this day.
fn shows(scenario: &Scenario, now: DateTime<Utc>, date: Option<NaiveDate>) -> bool {
    scenario.sites.first().map(|site| site.zone.local_date(now)) == date
}

async fn now(desk: &Desk) -> Result<DateTime<Utc>, DemoError> {
    let now = desk.now().await;
    now.map_err(DemoError::while_doing("reading the demo's clock"))
}

async fn stand_at(desk: &Desk, at: DateTime<Utc>) -> Result<(), DemoError> {
    move_clock::stand_at(desk, at)
        .await
        .map_err(|error| match error {
            DeskError::Invalid(_) | DeskError::Conflicting(_) => {
                DemoError::StartPassed(at.date_naive())
            }
            error => DemoError::while_doing("setting the demo's clock")(error),
        })
}

/// The address of the first resident: somebody with no more rights than most.
fn resident(scenario: &Scenario) -> &str {
    let mut people = scenario.sites.iter().flat_map(|site| &site.people);
    people
        .find(|person| person.roles.contains(&Role::Resident))
        .map_or(&scenario.educator.email, |person| &person.email)
}

/// The educator, and the first person of each role at each site.
fn accounts(scenario: &Scenario) -> Vec<Account> {
    let educator = &scenario.educator;
    let mut accounts = vec![Account {
        email: educator.email.clone(),
        name: educator.name.clone(),
        role: Role::Educator,
        site: None,
    }];
    for site in &scenario.sites {
        for role in Role::ALL {
            let first = site.people.iter().find(|who| who.roles.contains(&role));
            accounts.extend(first.map(|person| Account {
                email: person.email.clone(),
                name: person.name.clone(),
                role,
                site: Some(site.name.clone()),
            }));
        }
    }
    accounts
}
