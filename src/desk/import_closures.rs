//! The closed days of a school's calendar: looked at first, then taken, all in one transaction.

use super::joined_closures::{Becomes, ImportedDays, joined};
use super::keep_closure::MOST_CLOSURES;
use super::membership::{Membership, admit, admit_to_change};
use super::settle_turns::{TurnCounts, settle_span};
use super::trail::{self, Subject};
use super::turn_news::TurnNews;
use super::turns::zone_of_site;
use super::{Desk, DeskError, Errand};
use crate::clock;
use crate::store::closures::{self, ClosureRow};
use crate::store::{Conn, visits};
use chrono::{DateTime, Days, NaiveDate, Utc};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use serde_json::json;
use std::ops::RangeInclusive;
use wormrota_domain::access::Deed;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::ids::{ClosureId, SiteId};
use wormrota_domain::turns::pattern::MOST_DAYS;
use wormrota_domain::turns::regenerate::Closure;

/// What came of an import, or would.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ImportedClosures {
    /// The closures, in order of day.
    pub days: Vec<ImportedDays>,
    /// What became of the turns; nothing of a trial.
    pub turns: TurnCounts,
}

/// The days of a calendar that count at a site: from today on, as far ahead as a closure can be
/// made by hand.
#[must_use]
pub fn days_that_count(zone: SiteZone, now: DateTime<Utc>) -> RangeInclusive<NaiveDate> {
    let today = zone.local_date(now);
    let furthest = today.checked_add_days(Days::new(u64::from(MOST_DAYS)));
    today..=furthest.unwrap_or(today)
}

/// Says what the closed days of a calendar would come to.
///
/// # Errors
/// [`DeskError::TooMany`] for more closures than a site may have.
pub async fn try_days(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    spans: Vec<Closure>,
) -> Result<ImportedClosures, DeskError> {
    desk.store()
        .read(
            "try a calendar",
            (errand, spans),
            move |conn, (errand, spans)| {
                async move {
                    admit(conn, errand, site, Deed::KeepTurns).await?;
                    let days = beside(conn, site, spans, errand.now).await?;
                    Ok(ImportedClosures {
                        days: days.into_iter().map(|(days, _)| days).collect(),
                        turns: TurnCounts::default(),
                    })
                }
                .boxed()
            },
        )
        .await
}

/// Shuts the site on the closed days of a calendar.
///
/// # Errors
/// As for [`try_days`].
pub async fn import_days(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    spans: Vec<Closure>,
) -> Result<ImportedClosures, DeskError> {
    desk.write(
        "import closures",
        errand,
        spans,
        move |conn, errand, spans| {
            async move {
                let who = admit_to_change(conn, errand, site, Deed::KeepTurns).await?;
                let days = beside(conn, site, spans, errand.now).await?;
                let done = write(conn, &who, days, errand.now).await?;
                leave_line(conn, &who, errand.now, &done).await?;
                Ok(done)
            }
            .boxed()
        },
    )
    .await
}

/// The days beside the closures that are there, each with those whose place it takes.
async fn beside(
    conn: &mut Conn,
    site: SiteId,
    spans: &[Closure],
    now: DateTime<Utc>,
) -> Result<Vec<(ImportedDays, Vec<ClosureId>)>, DeskError> {
    let today = zone_of_site(conn, site).await?.local_date(now);
    let (Some(first), Some(last)) = (spans.first(), spans.last()) else {
        return Ok(Vec::new());
    };
    let before = first.first.pred_opt().unwrap_or(first.first);
    let after = last.last.succ_opt().unwrap_or(last.last);
    let there = closures::of_days(conn, site, before, after).await?;
    let days = joined(spans, &there);
    let more = days.iter().filter(|(days, _)| days.becomes.is_written());
    let (more, fewer) = more.fold((0, 0), |(more, fewer), (_, taken)| {
        (more + 1, fewer + taken.len())
    });
    let not_over = closures::count_from(conn, site, today).await?;
    let not_over = usize::try_from(not_over).unwrap_or(usize::MAX);
    if more > 0 && not_over.saturating_add(more) > MOST_CLOSURES + fewer {
        return Err(DeskError::TooMany { what: "closures" });
    }
    Ok(days)
}

/// Writes the closures, and brings the turns of their days to it.
async fn write(
    conn: &mut Conn,
    who: &Membership,
    days: Vec<(ImportedDays, Vec<ClosureId>)>,
    now: DateTime<Utc>,
) -> Result<ImportedClosures, DeskError> {
    let site = who.site;
    let mut done = ImportedClosures {
        days: Vec::with_capacity(days.len()),
        turns: TurnCounts::default(),
    };
    let mut span: Option<(NaiveDate, NaiveDate)> = None;
    for (mut days, taken) in days {
        if days.becomes.is_written() {
            let ends = (days.first_day, days.last_day);
            days.closure = Some(write_one(conn, site, ends, &taken, now).await?);
            let (first, last) = span.unwrap_or(ends);
            span = Some((first.min(ends.0), last.max(ends.1)));
        }
        done.days.push(days);
    }
    if let Some(span) = span {
        let today = zone_of_site(conn, site).await?.local_date(now);
        let mut news = TurnNews::of(who);
        done.turns = settle_span(conn, &mut news, span, today, now).await?;
        // One letter for each import, whatever was imported before.
        news.owe(conn, clock::fresh_id(), now).await?;
    }
    Ok(done)
}

/// One closure in the place of those that it takes: the earliest keeps its key, and gets the
/// visits of all.
async fn write_one(
    conn: &mut Conn,
    site: SiteId,
    ends: (NaiveDate, NaiveDate),
    taken: &[ClosureId],
    now: DateTime<Utc>,
) -> Result<ClosureId, DeskError> {
    if let Some((kept, gone)) = taken.split_first() {
        visits::hand_over(conn, site, gone, *kept).await?;
        for closure in gone {
            closures::delete(conn, site, *closure).await?;
        }
        closures::move_to(conn, site, *kept, ends).await?;
        visits::adopt(conn, site, *kept, ends).await?;
        return Ok(*kept);
    }
    let row = ClosureRow {
        site_id: site.0,
        id: clock::fresh_id(),
        first_day: ends.0,
        last_day: ends.1,
        created_at: now,
    };
    closures::insert(conn, &row).await?;
    visits::adopt(conn, site, ClosureId(row.id), ends).await?;
    Ok(ClosureId(row.id))
}

async fn leave_line(
    conn: &mut Conn,
    who: &Membership,
    now: DateTime<Utc>,
    done: &ImportedClosures,
) -> Result<(), DeskError> {
    let of = |becomes| {
        let days = done.days.iter();
        days.filter(|days| days.becomes == becomes).count()
    };
    let detail = json!({
        "new": of(Becomes::New), "joined": of(Becomes::Joined),
        "called_off": done.turns.called_off, "held_places": done.turns.held_places,
    });
    trail::leave(conn, who, now, "closures_imported", Subject::Site, detail).await
}
