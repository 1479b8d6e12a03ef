//! The calls of one bin, of which whoever looks after it is told together.

use super::call_at_hand::CallAtHand;
use crate::desk::DeskError;
use crate::store::{Conn, calls};
use chrono::{DateTime, Utc};
use wormrota_domain::ids::{BinId, SiteId};

/// The calls of a bin whose turns are to come, over or not, in the order of their turns.
pub(in crate::desk) async fn calls_of_bin(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    now: DateTime<Utc>,
) -> Result<Vec<CallAtHand>, DeskError> {
    let rows = calls::of_bin(conn, site, bin, now).await?;
    let mut calls = CallAtHand::with_answers(conn, site, rows).await?;
    // Two turns may end at one instant.
    calls.sort_by_key(|call| (call.call.turn_at, call.turn(), call.id()));
    Ok(calls)
}
