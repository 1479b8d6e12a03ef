//! Whether bins were fed on turns of which nothing was written down: who is asked now, and of
//! which turns whoever keeps the bins hears.

use super::DueAt;
use crate::desk::DeskError;
use crate::desk::at_hand::SiteAtHand;
use crate::desk::letters::{of_missed_turn, of_unlogged_turn};
use crate::desk::morning_room::took_nothing;
use crate::desk::watched_turns::{WatchedTurn, window};
use crate::store::letters::LetterRow;
use crate::store::{Conn, bins, turns};
use chrono::{DateTime, Days, TimeDelta, Utc};
use std::collections::BTreeSet;
use uuid::Uuid;
use wormrota_domain::ids::MemberId;
use wormrota_domain::letters::{Course, Step};

/// How many days back a turn can lie of which somebody is asked.
const DAYS_BACK: Days = Days::new(7);
/// How long the links in a question do something: longer than anybody is asked.
const LINKS_LAST: TimeDelta = TimeDelta::days(6);

pub(super) async fn due(conn: &mut Conn, at: &DueAt) -> Result<Vec<LetterRow>, DeskError> {
    let site = &at.site;
    let today = site.zone.local_date(at.by.now);
    let from = today.checked_sub_days(DAYS_BACK).unwrap_or(today);
    let mut rows = Vec::new();
    for row in turns::of_days(conn, site.id, None, from, today).await? {
        let course = Course::of(row.on_date, window(&row)?, site.quiet, site.zone);
        if course.is_open(at.by.now) {
            rows.push(row);
        }
    }
    if rows.is_empty() {
        return Ok(Vec::new());
    }
    let in_use = bins::stocked(conn, site.id).await?;
    let in_use: BTreeSet<Uuid> = in_use.into_iter().map(|bin| bin.0).collect();
    rows.retain(|row| in_use.contains(&row.bin_id));
    let at_hand = SiteAtHand::load(conn, site.id).await?;
    let mut owed = Vec::new();
    for turn in WatchedTurn::of(conn, site, rows).await? {
        let Some(step) = turn.step(site, at.by.now) else {
            continue;
        };
        if took_nothing(conn, &at.by.model, &at_hand, site.quiet, &turn.row).await? {
            continue;
        }
        match step {
            Step::Ask(ask) => {
                let lasts = (too_late(at, &turn), at.by.wall + LINKS_LAST);
                let letter = |member: &MemberId| {
                    of_unlogged_turn((site.id, *member), &turn, ask, at.by.now, lasts, at.by.wall)
                };
                owed.extend(turn.knowing.iter().map(letter));
            }
            Step::TellKeepers => {
                owed.extend(of_missed_turn(conn, site.id, &turn, None, at.by.wall).await?);
            }
        }
    }
    Ok(owed)
}

fn too_late(at: &DueAt, turn: &WatchedTurn) -> DateTime<Utc> {
    at.by.on_the_wall(turn.course(&at.site).over())
}
