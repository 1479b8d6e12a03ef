//! A bin at hand: all that a use case needs to know of it, read in a fixed number of
//! statements however long its history is.

use super::{DeskError, Noun};
use crate::store::bins::BinRow;
use crate::store::bookings::BookingRow;
use crate::store::sites::SiteRow;
use crate::store::{Conn, StoreError, bins, bookings, events, sites};
use chrono::{DateTime, Days, NaiveDate, Utc};
use serde::Serialize;
use serde::de::DeserializeOwned;
use uuid::Uuid;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::food::{Class, SiteFoodEntry, SiteFoodList};
use wormrota_domain::ids::{BinId, BookingId, EventId, MemberId, SiteId};
use wormrota_domain::living_bin::climate::Climate;
use wormrota_domain::living_bin::habitat::{BinShape, Habitat};
use wormrota_domain::living_bin::outlook::Booking;
use wormrota_domain::living_bin::settings::ModelSettings;
use wormrota_domain::living_bin::state::BinState;
use wormrota_domain::site::{ScrapOutlet, Spot};
use wormrota_domain::units::{Grams, Litres, SquareMetres};

/// How many days ahead bookings are kept, refused offers are given a day, and forecasts
/// look.
pub(super) const DAYS_AHEAD: u64 = 28;

/// How many days ahead keepers are told of heat and cold (our suggestion): a letter about next
/// month would be forgotten by then.
const DAYS_SOON: usize = 3;

/// A site as the living bin needs it.
#[derive(Debug, Clone)]
pub(super) struct SiteAtHand {
    pub id: SiteId,
    pub zone: SiteZone,
    pub climate: Climate,
    pub list: SiteFoodList,
    pub outlets: Vec<ScrapOutlet>,
}

impl SiteAtHand {
    pub(super) async fn load(conn: &mut Conn, id: SiteId) -> Result<Self, DeskError> {
        let row = sites::by_id(conn, id)
            .await?
            .ok_or(DeskError::NotFound(Noun::Site))?;
        let foods = sites::foods(conn, id).await?;
        let entries: Option<Vec<SiteFoodEntry>> = foods
            .into_iter()
            .map(|food| {
                let class = Class::from_code(&food.class)?;
                Some(SiteFoodEntry {
                    subject: food.subject,
                    class,
                })
            })
            .collect();
        let list = entries.and_then(|entries| SiteFoodList::parse(&entries).ok());
        Ok(Self {
            id,
            zone: row.zone.parse().map_err(|_| unreadable("sites.zone"))?,
            climate: climate_of(&row)?,
            list: list.ok_or_else(|| unreadable("site_foods"))?,
            outlets: read("sites.scrap_outlets", row.scrap_outlets)?,
        })
    }

    /// The local day of an instant.
    pub(super) fn day(&self, at: DateTime<Utc>) -> NaiveDate {
        self.zone.local_date(at)
    }

    /// The first moments of the days after that of `now`, as far as is looked ahead.
    pub(super) fn days_after(&self, now: DateTime<Utc>) -> Vec<DateTime<Utc>> {
        let today = self.day(now);
        let moment = |n| {
            Some(
                self.zone
                    .start_of_day(today.checked_add_days(Days::new(n))?),
            )
        };
        (1..=DAYS_AHEAD).filter_map(moment).collect()
    }

    /// The same for the few days in which something can still be done about the weather.
    pub(super) fn days_soon(&self, now: DateTime<Utc>) -> Vec<DateTime<Utc>> {
        let mut days = self.days_after(now);
        days.truncate(DAYS_SOON);
        days
    }

    /// The first and the last local day for which bookings are kept.
    pub(super) fn days_looked_at(&self, now: DateTime<Utc>) -> (NaiveDate, NaiveDate) {
        let today = self.day(now);
        (
            today,
            today
                .checked_add_days(Days::new(DAYS_AHEAD))
                .unwrap_or(today),
        )
    }

    pub(super) fn booking(&self, row: &BookingRow) -> Booking {
        Booking {
            id: BookingId(row.id),
            due_at: self.zone.start_of_day(row.on_date),
            promised: Grams(row.promised_g),
        }
    }
}

fn climate_of(row: &SiteRow) -> Result<Climate, DeskError> {
    row.monthly_air_c.clone().map_or_else(
        || Ok(Climate::default()),
        |months| {
            months
                .try_into()
                .map(Climate)
                .map_err(|_| unreadable("sites.monthly_air_c"))
        },
    )
}

/// A bin, stocked, with its state at one instant.
#[derive(Debug, Clone)]
pub(super) struct BinAtHand {
    pub id: BinId,
    pub row: BinRow,
    pub habitat: Habitat,
    /// The instant that the state stands for: now, or the newest event's if the clock of
    /// another copy is ahead.
    pub now: DateTime<Utc>,
    pub state: BinState,
    /// The newest stored state.
    pub head: BinState,
    /// Open bookings from today on, in order of day.
    pub bookings: Vec<BookingRow>,
}

/// Whether others who want to change the bin have to wait.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Hold {
    /// Only looking.
    Look,
    /// About to write: the bin's row is locked until the transaction ends.
    Lock,
}

impl BinAtHand {
    pub(super) async fn load(
        conn: &mut Conn,
        model: &ModelSettings,
        site: &SiteAtHand,
        bin: BinId,
        now: DateTime<Utc>,
        hold: Hold,
    ) -> Result<Self, DeskError> {
        let (row, habitat) = bin_and_habitat(conn, model, site, bin, hold).await?;
        let head = row.head_event.ok_or(DeskError::NotStocked)?;
        let stored = events::state_at(conn, site.id, EventId(head)).await?;
        let stored = stored.ok_or_else(|| unreadable("bins.head_event"))?;
        let head: BinState = read("bin_states.state", stored.state)?;
        let now = now.max(head.at);
        let (today, last) = site.days_looked_at(now);
        let bookings = bookings::open_of_bin(conn, site.id, bin, today, last).await?;
        let state = head.clone().advanced(&habitat, now);
        Ok(Self {
            id: bin,
            row,
            habitat,
            now,
            state,
            head,
            bookings,
        })
    }

    /// The bookings that must be kept, without one that is being used up.
    pub(super) fn kept_bookings(&self, site: &SiteAtHand, but: Option<Uuid>) -> Vec<Booking> {
        let others = self.bookings.iter().filter(|row| Some(row.id) != but);
        others.map(|row| site.booking(row)).collect()
    }

    /// A member's own booking for today.
    pub(super) fn own_booking(&self, site: &SiteAtHand, member: MemberId) -> Option<Uuid> {
        self.booking_of(member, site.day(self.now))
    }

    /// A member's open booking for a day.
    pub(super) fn booking_of(&self, member: MemberId, on: NaiveDate) -> Option<Uuid> {
        let own = |row: &&BookingRow| row.member_id == member.0 && row.on_date == on;
        self.bookings.iter().find(own).map(|row| row.id)
    }

    /// What a decision is reckoned from, to be kept beside it.
    pub(super) fn inputs(&self) -> Inputs<'_> {
        let booking = |row: &BookingRow| (BookingId(row.id), row.on_date, Grams(row.promised_g));
        Inputs {
            state: &self.state,
            shape: self.habitat.shape,
            bookings: self.bookings.iter().map(booking).collect(),
        }
    }
}

/// What a decision was reckoned from.
#[derive(Debug, Serialize)]
pub(super) struct Inputs<'a> {
    state: &'a BinState,
    shape: BinShape,
    bookings: Vec<(BookingId, NaiveDate, Grams)>,
}

pub(super) async fn bin_and_habitat(
    conn: &mut Conn,
    model: &ModelSettings,
    site: &SiteAtHand,
    bin: BinId,
    hold: Hold,
) -> Result<(BinRow, Habitat), DeskError> {
    let row = match hold {
        Hold::Look => bins::by_id(conn, site.id, bin).await?,
        Hold::Lock => bins::lock(conn, site.id, bin).await?,
    };
    let row = row
        .filter(|row| row.retired_at.is_none())
        .ok_or(DeskError::NotFound(Noun::Bin))?;
    let trays = bins::trays_of(conn, site.id, &[bin]).await?;
    let habitat = habitat_of(
        model,
        site,
        &row,
        trays.iter().map(|tray| tray.volume_ml).sum(),
    )?;
    Ok((row, habitat))
}

pub(super) fn habitat_of(
    model: &ModelSettings,
    site: &SiteAtHand,
    bin: &BinRow,
    volume_ml: i32,
) -> Result<Habitat, DeskError> {
    let spot = Spot::from_code(&bin.spot).ok_or_else(|| unreadable("bins.spot"))?;
    let shape = BinShape {
        surface: SquareMetres(f64::from(bin.surface_cm2) / 10_000.0),
        volume: Litres(f64::from(volume_ml) / 1000.0),
        spot,
    };
    Ok(Habitat {
        settings: model.clone(),
        shape,
        climate: site.climate,
    })
}

/// Reads a value that the domain wrote into the store.
pub(super) fn read<T: DeserializeOwned>(
    what: &'static str,
    json: serde_json::Value,
) -> Result<T, DeskError> {
    serde_json::from_value(json).map_err(|error| {
        tracing::error!(what, %error, "a stored value does not read back");
        unreadable(what)
    })
}

/// Writes a value of the domain for the store.
pub(super) fn write(value: &impl Serialize) -> Result<serde_json::Value, DeskError> {
    serde_json::to_value(value).map_err(|error| {
        tracing::error!(%error, "a value does not turn into JSON");
        unreadable("a new row")
    })
}

pub(super) fn unreadable(what: &'static str) -> DeskError {
    DeskError::from(StoreError::Unreadable { what })
}
