//! What the plans for a closure start from: the closed days that belong together, and every
//! stocked bin with its last turn before and its first turn after.

use super::DeskError;
use super::agreed_visits::{self, Certain, Comings, comings};
use super::at_hand::{BinAtHand, Hold, SiteAtHand};
use super::closure_moments::{LastTurn, Logged, Moments, logged, noon, turns_around};
use super::keep_closure::LONGEST_DAYS;
use super::plan_terms::PlanTerms;
use crate::store::turns::TurnRow;
use crate::store::{Conn, bins, closures};
use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use uuid::Uuid;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::closure::closing::{
    ClosedDay, Closing, ClosingError, Heating, looked_after_until,
};
use wormrota_domain::closure::plan::ClosurePlan;
use wormrota_domain::closure::serving::Serving;
use wormrota_domain::closure::settings::ClosureSettings;
use wormrota_domain::ids::{BinId, SiteId};
use wormrota_domain::living_bin::habitat::Habitat;
use wormrota_domain::living_bin::outlook::Booking;
use wormrota_domain::living_bin::settings::ModelSettings;
use wormrota_domain::living_bin::state::BinState;
use wormrota_domain::units::Fraction;

/// Bins that are planned for.
const MOST_BINS: usize = 100;
/// What all bins may cost together: visits tried times closed days. About a second.
const MOST_WORK: usize = 1_000_000;
/// Visits tried for a bin, at least and at most.
const TRIED: (usize, usize) = (100, 10_000);

/// When somebody comes whose day it is already.
const SOON: TimeDelta = TimeDelta::minutes(1);

/// A bin with what is planned for it.
#[derive(Debug, Clone, PartialEq)]
pub struct BinPlan {
    /// The bin.
    pub bin: BinId,
    /// What it is called.
    pub name: String,
    /// What is known of its last turn before.
    pub last_turn: LastTurn,
    /// Whether the first turn after is one, and not the day after for want of any.
    pub first_is_turn: bool,
    /// The plan, or why there is nothing to plan.
    pub plan: Result<ClosurePlan, ClosingError>,
}

/// A bin before a closure, with everything that its plan is reckoned from.
pub(super) struct BinBefore {
    bin: BinId,
    name: String,
    habitat: Habitat,
    state: BinState,
    bookings: Vec<Booking>,
    last_turn: DateTime<Utc>,
    last: LastTurn,
    first_is_turn: bool,
    days: Vec<ClosedDay>,
    first_turn: DateTime<Utc>,
    heating: Heating,
    settings: ClosureSettings,
}

impl BinBefore {
    fn plan(self) -> BinPlan {
        BinPlan {
            plan: self.closing().plan(),
            bin: self.bin,
            name: self.name,
            last_turn: self.last,
            first_is_turn: self.first_is_turn,
        }
    }

    /// What goes in on a day on which somebody comes; nothing is known of others.
    pub(super) fn serving_on(&self, at: DateTime<Utc>) -> Option<Serving> {
        self.closing().serving_on(at).ok().flatten()
    }

    fn closing(&self) -> Closing<'_> {
        Closing {
            habitat: &self.habitat,
            state: &self.state,
            bookings: &self.bookings,
            last_turn: self.last_turn,
            is_looked_after: !matches!(self.last, LastTurn::Over | LastTurn::Done),
            days: &self.days,
            first_turn: self.first_turn,
            heating: self.heating,
            settings: self.settings,
        }
    }
}

/// Plans for all of them, away from the threads that answer requests.
pub(super) async fn planned(bins: Vec<BinBefore>) -> Result<Vec<BinPlan>, DeskError> {
    tokio::task::spawn_blocking(move || bins.into_iter().map(BinBefore::plan).collect())
        .await
        .map_err(|error| DeskError::broken(format!("planning a closure: {error}")))
}

/// The closed days that follow each other around some of them: closures that touch are one for
/// a bin.
pub(super) async fn stretch(
    conn: &mut Conn,
    site: SiteId,
    days: (NaiveDate, NaiveDate),
) -> Result<(NaiveDate, NaiveDate), DeskError> {
    let (mut first, mut last) = days;
    loop {
        let before = first.pred_opt().unwrap_or(first);
        let after = last.succ_opt().unwrap_or(last);
        let near = closures::of_days(conn, site, before, after).await?;
        let wider = near.iter().fold((first, last), |(first, last), row| {
            (first.min(row.first_day), last.max(row.last_day))
        });
        if wider == (first, last) || (wider.1 - wider.0).num_days() >= LONGEST_DAYS {
            return Ok((first, last));
        }
        (first, last) = wider;
    }
}

/// Every stocked bin before these closed days, on some of which somebody comes for sure.
pub(super) async fn bins_before(
    conn: &mut Conn,
    model: &ModelSettings,
    site: SiteId,
    ((first, last), come): ((NaiveDate, NaiveDate), &Comings),
    terms: &PlanTerms,
    now: DateTime<Utc>,
) -> Result<Vec<BinBefore>, DeskError> {
    let at = SiteAtHand::load(conn, site).await?;
    let around = turns_around(conn, site, (first, last)).await?;
    let mut heads = bins::heads_of_site(conn, site).await?;
    heads.truncate(MOST_BINS);
    let closed = usize::try_from((last - first).num_days() + 1).unwrap_or(1);
    let tried = MOST_WORK / closed.max(1) / heads.len().max(1);
    let most_tried = u32::try_from(tried.clamp(TRIED.0, TRIED.1)).unwrap_or(u32::MAX);
    let ids: Vec<BinId> = heads.iter().map(|(row, _)| BinId(row.id)).collect();
    let logged = logged(conn, &at, &ids, first, now).await?;
    let mut found = Vec::with_capacity(heads.len());
    for (row, _) in heads {
        let id = BinId(row.id);
        let bin = BinAtHand::load(conn, model, &at, id, now, Hold::Look).await?;
        let shut = Shut {
            days: (first, last),
            around: &around,
            logged: &logged,
            come,
            terms,
        };
        let settings = ClosureSettings {
            most_tried,
            ..ClosureSettings::default()
        };
        found.push(shut.before(&at, bin, (id, row.name), settings));
    }
    Ok(found)
}

/// What goes in at a visit that was agreed on; nothing of a turn that is none, and where no
/// worms live.
pub(super) async fn serving_at(
    conn: &mut Conn,
    at: &SiteAtHand,
    bin: BinAtHand,
    turn: &TurnRow,
) -> Result<Option<Serving>, DeskError> {
    let site = SiteId(turn.site_id);
    let days = stretch(conn, site, (turn.on_date, turn.on_date)).await?;
    let visits = agreed_visits::rows(conn, site, days).await?;
    let come = comings(conn, site, &visits, Certain::Agreed).await?;
    // What was done on its day does not change what it is for.
    let mut logged = logged(conn, at, &[bin.id], days.0, bin.now).await?;
    logged.remove(&(turn.bin_id, turn.on_date));
    let shut = Shut {
        days,
        around: &turns_around(conn, site, days).await?,
        logged: &logged,
        come: &come,
        terms: &PlanTerms::default(),
    };
    let settings = ClosureSettings::default();
    let before = shut.before(at, bin, (BinId(turn.bin_id), String::new()), settings);
    let day = before
        .days
        .iter()
        .find(|day| at.day(day.at) == turn.on_date);
    Ok(day.and_then(|day| before.serving_on(day.at)))
}

/// Closed days, and who comes when.
struct Shut<'a> {
    days: (NaiveDate, NaiveDate),
    around: &'a [TurnRow],
    logged: &'a Logged,
    come: &'a Comings,
    terms: &'a PlanTerms,
}

impl Shut<'_> {
    fn before(
        &self,
        at: &SiteAtHand,
        bin: BinAtHand,
        (id, name): (BinId, String),
        settings: ClosureSettings,
    ) -> BinBefore {
        let known = (self.around, self.logged);
        let moments = Moments::of(known, id, self.days, at.zone, bin.now);
        let last_day = at.day(moments.last_turn);
        // Whoever has the last turn brings the meal that is planned, not theirs on top of it.
        let others = |booking: &Booking| at.day(booking.due_at) != last_day;
        let mut bookings = bin.kept_bookings(at, None);
        bookings.retain(others);
        // Nothing is fed on a closed day on which nobody comes: shutting the site gives its room
        // back.
        bookings.retain(|booking| {
            let day = at.day(booking.due_at);
            let is_closed = self.days.0 <= day && day <= self.days.1;
            !is_closed || self.come.contains(&(id.0, day))
        });
        let state = looked_after_until(&bin.state, moments.last_turn);
        // A bin that is taken as it is now has their meals in what it was given until then.
        bookings.retain(|booking| state.at == bin.now || booking.due_at > state.at);
        let days = self.closed_days(id, at.zone, &moments);
        // Nobody is there now to feed it: whoever agreed comes on a day of their own.
        let is_over = moments.last == LastTurn::Now && days.iter().any(|day| day.comes);
        BinBefore {
            bin: id,
            name,
            state,
            habitat: bin.habitat,
            bookings,
            last_turn: moments.last_turn,
            last: if is_over {
                LastTurn::Over
            } else {
                moments.last
            },
            first_is_turn: moments.first_is_turn,
            days,
            first_turn: moments.first_turn,
            heating: self.terms.heating,
            settings: ClosureSettings {
                wanted_share: (self.terms.keep).map_or(settings.wanted_share, Fraction),
                ..settings
            },
        }
    }

    /// The closed days that are still to come after the last turn, at noon.
    fn closed_days(&self, bin: BinId, zone: SiteZone, moments: &Moments) -> Vec<ClosedDay> {
        let (first, last) = self.days;
        let last_turn = moments.last_turn;
        let today = zone.local_date(last_turn);
        // Who was to come today was there.
        let days = first.iter_days().take_while(|day| *day <= last);
        let days = days.filter(|day| moments.last != LastTurn::Done || *day > today);
        let to_come = |(of, day): &(Uuid, NaiveDate)| *of == bin.0 && *day >= today;
        let is_agreed = self.come.iter().any(to_come);
        let days = days.map(|day| {
            let comes = self.come.contains(&(bin.0, day));
            let at = noon(day, zone);
            // Whoever comes today may still be on the way in the afternoon, and where nobody is
            // there now somebody still can.
            let is_open = comes || (is_agreed && moments.last == LastTurn::Now);
            ClosedDay {
                at: if is_open && day == today {
                    at.max(last_turn + SOON)
                } else {
                    at
                },
                can_visit: self.terms.allows(day),
                comes,
            }
        });
        days.filter(|day| day.at > last_turn).collect()
    }
}
