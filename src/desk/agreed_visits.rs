//! The visits that were agreed on for closed days, as somebody sees them.

use super::DeskError;
use super::membership::Membership;
use super::turns::{HolderSeen, Turn, seen};
use crate::store::turns::TurnRow;
use crate::store::visits::{self, VisitRow};
use crate::store::{Conn, closures, places};
use chrono::NaiveDate;
use std::collections::BTreeSet;
use uuid::Uuid;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::ids::{ClosureId, SiteId, TurnId};

/// A visit that was agreed on, with its holder as far as the reader may know.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AgreedVisit {
    /// The first day on which it would have done when it was planned.
    pub earliest: NaiveDate,
    /// The last one.
    pub latest: NaiveDate,
    /// The turn.
    pub turn: Turn,
}

impl AgreedVisit {
    /// Whether somebody comes.
    #[must_use]
    pub fn is_held(&self) -> bool {
        self.turn.places.iter().any(|place| place.held)
    }

    /// Who comes, as far as the reader may know.
    #[must_use]
    pub fn names(&self) -> Vec<String> {
        let holders = self
            .turn
            .places
            .iter()
            .filter_map(|place| place.holder.clone());
        let names = holders.filter_map(|holder| match holder {
            HolderSeen::Member { name, .. } => name,
            HolderSeen::Pupil { label, .. } => label,
        });
        names.collect()
    }
}

/// On which days somebody comes to which bin.
pub(super) type Comings = BTreeSet<(Uuid, NaiveDate)>;

/// Which of the visits count as certain in a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Certain {
    /// All that were agreed on.
    Agreed,
    /// Those that somebody holds.
    Held,
}

/// The visits of the closures that have some of these days, in order of day.
pub(super) async fn rows(
    conn: &mut Conn,
    site: SiteId,
    (first, last): (NaiveDate, NaiveDate),
) -> Result<Vec<(VisitRow, TurnRow)>, DeskError> {
    let closures = closures::of_days(conn, site, first, last).await?;
    let ids: Vec<ClosureId> = closures.iter().map(|row| ClosureId(row.id)).collect();
    Ok(visits::of_closures(conn, site, &ids).await?)
}

/// Those of the visits that take place and are certain.
pub(super) async fn comings(
    conn: &mut Conn,
    site: SiteId,
    visits: &[(VisitRow, TurnRow)],
    certain: Certain,
) -> Result<Comings, DeskError> {
    let ids: Vec<TurnId> = visits.iter().map(|(_, turn)| TurnId(turn.id)).collect();
    let held: BTreeSet<Uuid> = match certain {
        Certain::Agreed => ids.iter().map(|turn| turn.0).collect(),
        Certain::Held => (places::of_turns(conn, site, &ids).await?)
            .into_iter()
            .filter(|place| place.how.is_some())
            .map(|place| place.turn_id)
            .collect(),
    };
    let turns = visits.iter().map(|(_, turn)| turn);
    let on = turns.filter(|turn| turn.called_off.is_none() && held.contains(&turn.id));
    Ok(on.map(|turn| (turn.bin_id, turn.on_date)).collect())
}

/// The visits as somebody sees them.
pub(super) async fn agreed(
    conn: &mut Conn,
    who: Membership,
    zone: SiteZone,
    visits: Vec<(VisitRow, TurnRow)>,
) -> Result<Vec<AgreedVisit>, DeskError> {
    let (windows, rows): (Vec<_>, Vec<_>) = visits
        .into_iter()
        .map(|(visit, turn)| ((visit.earliest, visit.latest), turn))
        .unzip();
    let turns = seen(conn, who, zone, rows).await?;
    let visits = windows.into_iter().zip(turns);
    let visit = |((earliest, latest), turn)| AgreedVisit {
        earliest,
        latest,
        turn,
    };
    Ok(visits.map(visit).collect())
}
