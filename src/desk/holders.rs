//! Who holds a place as it is before any lock: what tells whom to lock.

use super::{DeskError, Noun};
use crate::store::Conn;
use crate::store::places::{self, Holder, PlaceRow};
use wormrota_domain::ids::{MemberId, PlaceId, SiteId, TurnId};

/// The member who holds a place of a turn as it is before any lock: what tells whom to lock.
pub(super) async fn holder_of(
    conn: &mut Conn,
    site: SiteId,
    turn: TurnId,
    place: PlaceId,
) -> Result<(TurnId, MemberId), DeskError> {
    let row = places::by_id(conn, site, place).await?;
    let row = row
        .filter(|row| row.turn_id == turn.0)
        .ok_or(DeskError::NotFound(Noun::Place))?;
    member_of(&row)
}

/// The same for two places at one moment: read one after the other, two that are being traded could
/// both seem to be one member's.
pub(super) async fn holders_of(
    conn: &mut Conn,
    site: SiteId,
    two: [PlaceId; 2],
) -> Result<[(TurnId, MemberId); 2], DeskError> {
    let rows = places::by_ids(conn, site, &two).await?;
    let [one, other] = two.map(|place| {
        let row = rows.iter().find(|row| row.id == place.0);
        member_of(row.ok_or(DeskError::NotFound(Noun::Place))?)
    });
    Ok([one?, other?])
}

fn member_of(row: &PlaceRow) -> Result<(TurnId, MemberId), DeskError> {
    match row.holder() {
        Some(Holder::Member(member)) => Ok((TurnId(row.turn_id), member)),
        Some(Holder::Pupil(_)) | None => Err(DeskError::NotTheHolder),
    }
}
