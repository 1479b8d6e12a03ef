//! When bins are looked after for the last time before closed days, and for the first time after.

use super::DeskError;
use super::at_hand::{SiteAtHand, read};
use crate::store::turns::{self, TurnRow};
use crate::store::{Conn, events};
use chrono::{DateTime, Days, NaiveDate, NaiveTime, TimeDelta, Utc};
use std::collections::BTreeSet;
use uuid::Uuid;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::ids::{BinId, SiteId};
use wormrota_domain::living_bin::check::Dampness;
use wormrota_domain::living_bin::event::Event;
use wormrota_domain::turns::{Duty, Window};

/// How far before and after the closed days a turn counts as the last or the first one.
const TURNS_NEAR: u64 = 14;

/// What is known of the last time before closed days at which somebody looks after a bin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LastTurn {
    /// It is a turn.
    Turn,
    /// There is none near them: the plan is reckoned for the day before.
    Unknown,
    /// The site is shut already: the plan is for what is to be done now.
    Now,
    /// The site is shut already, and whoever agreed to come has days of their own.
    Over,
    /// Somebody has looked after it: on the last turn or since, or today while the site is shut.
    Done,
}

/// The turns near closed days at which bins are fed.
pub(super) async fn turns_around(
    conn: &mut Conn,
    site: SiteId,
    (first, last): (NaiveDate, NaiveDate),
) -> Result<Vec<TurnRow>, DeskError> {
    let near = Days::new(TURNS_NEAR);
    let from = first.checked_sub_days(near).unwrap_or(first);
    let to = last.checked_add_days(near).unwrap_or(last);
    let mut around = turns::of_days(conn, site, None, from, to).await?;
    around.retain(|turn| {
        let outside = turn.on_date < first || turn.on_date > last;
        outside && turn.called_off.is_none() && turn.duty == Duty::Feeding.code()
    });
    Ok(around)
}

/// On which days somebody was at which bins and said so.
pub(super) type Logged = BTreeSet<(Uuid, NaiveDate)>;

/// What was written down about bins up to now that can be the last turn before closed days, or a
/// visit of today.
pub(super) async fn logged(
    conn: &mut Conn,
    site: &SiteAtHand,
    bins: &[BinId],
    first: NaiveDate,
    now: DateTime<Utc>,
) -> Result<Logged, DeskError> {
    let today = site.day(now);
    let near = first.checked_sub_days(Days::new(TURNS_NEAR));
    let from = near.unwrap_or(first).min(today);
    let until = now + TimeDelta::seconds(1);
    let mut logged = Logged::new();
    // Whoever only looked has fed nobody; but a visit at which water alone goes in is said so.
    for (kind, from) in [
        ("fed", from),
        ("bedded", from),
        ("checked", from.max(first)),
    ] {
        let span = (site.zone.start_of_day(from), until);
        let events = events::of_kind_between(conn, site.id, bins, kind, span).await?;
        for event in events {
            // Whoever found the bed dry has not watered it by saying so.
            if !is_dry(&read("bin_events.payload", event.payload)?) {
                logged.insert((event.bin_id, site.day(event.occurred_at)));
            }
        }
    }
    Ok(logged)
}

fn is_dry(event: &Event) -> bool {
    let dry = Some(Dampness::Dry);
    matches!(event, Event::Checked { check, .. } if check.dampness == dry)
}

/// When a bin is looked after for the last time before and for the first time after.
pub(super) struct Moments {
    /// The last time before.
    pub last_turn: DateTime<Utc>,
    /// What is known of it.
    pub last: LastTurn,
    /// The first time after.
    pub first_turn: DateTime<Utc>,
    /// Whether it is a turn.
    pub first_is_turn: bool,
}

impl Moments {
    /// From its turns near the closed days; the days beside them without any. Whoever asks
    /// while the site is shut, or once somebody was there, hears what is to be done from now on.
    pub(super) fn of(
        (around, logged): (&[TurnRow], &Logged),
        bin: BinId,
        (first, last): (NaiveDate, NaiveDate),
        zone: SiteZone,
        now: DateTime<Utc>,
    ) -> Self {
        let its = || around.iter().filter(move |turn| turn.bin_id == bin.0);
        let before = its().rfind(|turn| turn.on_date < first);
        let after = its().find(|turn| turn.on_date > last);
        let beside = |day: Option<NaiveDate>, closed| noon(day.unwrap_or(closed), zone);
        let last_turn = before.map_or_else(|| beside(first.pred_opt(), first), |t| hour(t, zone));
        let first_turn = after.map_or_else(|| beside(last.succ_opt(), last), |t| hour(t, zone));
        let today = zone.local_date(now);
        let since = if today < first {
            zone.local_date(last_turn)
        } else {
            today
        };
        let is_since = |day: &NaiveDate| (since..=today).contains(day);
        let is_done = (logged.iter()).any(|(of, day)| *of == bin.0 && is_since(day));
        Self {
            last_turn: if is_done { now } else { last_turn.max(now) },
            last: match before {
                _ if is_done => LastTurn::Done,
                _ if last_turn <= now => LastTurn::Now,
                Some(_) => LastTurn::Turn,
                None => LastTurn::Unknown,
            },
            first_turn,
            first_is_turn: after.is_some(),
        }
    }
}

/// The middle of a turn's hours, or noon.
fn hour(turn: &TurnRow, zone: SiteZone) -> DateTime<Utc> {
    let hours = turn.opens.zip(turn.closes);
    let window = hours.and_then(|(opens, closes)| Window::new(opens, closes).ok());
    window.map_or_else(
        || noon(turn.on_date, zone),
        |window| {
            let (opens, closes) = window.on(turn.on_date, zone);
            opens + (closes - opens) / 2
        },
    )
}

/// Noon at the site.
pub(super) fn noon(day: NaiveDate, zone: SiteZone) -> DateTime<Utc> {
    let noon = NaiveTime::from_hms_opt(12, 0, 0).unwrap_or_default();
    zone.first_instant(day.and_time(noon))
}
