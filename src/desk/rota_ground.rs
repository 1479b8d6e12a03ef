//! What of a rota is explained, and to whom: read once, and looked at by the planner's own rules.

use super::asked_rota::Asked;
use super::draft_rota::state_of;
use super::membership::{Membership, admit};
use super::people::names_seen;
use super::rotas::seen;
use super::{Desk, DeskError, Errand};
use crate::store::rotas::{RotaRow, RotaState};
use crate::store::{Conn, places, turns};
use chrono::Datelike;
use futures_util::FutureExt;
use std::collections::{BTreeMap, BTreeSet};
use tokio::sync::{Semaphore, SemaphorePermit};
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{MemberId, RotaId, SiteId, TurnId};
use wormrota_domain::rota::explain::limits::{Limits, Shut};
use wormrota_domain::rota::explain::{Sight, Viewer};
use wormrota_domain::rota::index::MemberIndex;
use wormrota_domain::rota::{Plan, Snapshot};

/// What of a rota is explained, and to whom.
pub(super) struct Ground {
    pub who: Membership,
    pub row: RotaRow,
    pub asked: Asked,
    /// Who is on which turn, as far as they and it were asked about.
    places: Vec<(MemberId, TurnId)>,
    /// Holders who had no part in the rota, with their turns.
    pub outside: Vec<(MemberId, TurnId)>,
    /// Places that nobody holds now, of turns that take place; none while it is a draft.
    pub free_now: Option<BTreeMap<TurnId, usize>>,
    /// Whom the reader sees, with names.
    pub names: BTreeMap<MemberId, Option<String>>,
    /// Held for as long as it is looked at.
    _look: Option<SemaphorePermit<'static>>,
}

/// Rotas looked at at once in one copy; others wait, without a connection. A large one is
/// megabytes and seconds, and everybody may ask (common practice, no source).
static LOOKS: Semaphore = Semaphore::const_new(2);

/// Reads what a rota is explained from.
pub(super) async fn ground(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    rota: RotaId,
) -> Result<Ground, DeskError> {
    let look = LOOKS.acquire().await;
    let look = look.map_err(|error| DeskError::Unavailable(error.to_string()))?;
    let ground = desk
        .store()
        .read("read a rota's reasons", errand, move |conn, errand| {
            async move {
                let who = admit(conn, errand, site, Deed::SeeReasons).await?;
                let row = seen(conn, &who, rota).await?;
                let (asked, found) = Asked::kept(conn, &row).await?;
                let state = state_of(&row)?;
                let found = found.ok_or(DeskError::RotaState {
                    state: state.code(),
                })?;
                let mut ground = Ground {
                    names: BTreeMap::new(),
                    who,
                    row,
                    asked,
                    places: found.places,
                    outside: Vec::new(),
                    free_now: None,
                    _look: None,
                };
                if state == RotaState::PutUp {
                    ground.as_held_now(conn).await?;
                }
                let outside = ground.outside.iter().map(|(member, _)| *member);
                let everybody: BTreeSet<MemberId> = ground
                    .asked
                    .members
                    .iter()
                    .copied()
                    .chain(outside)
                    .collect();
                let everybody: Vec<MemberId> = everybody.into_iter().collect();
                ground.names = names_seen(conn, &ground.who, &everybody).await?;
                Ok::<_, DeskError>(ground)
            }
            .boxed()
        })
        .await?;
    Ok(Ground {
        _look: Some(look),
        ..ground
    })
}

/// Looks at a plan. That is work for a processor, and so not for a thread that serves requests.
pub(super) async fn look<T: Send + 'static>(
    ground: Ground,
    with: impl FnOnce(&Ground, &Sight<'_>) -> T + Send + 'static,
) -> Result<T, DeskError> {
    let looked = tokio::task::spawn_blocking(move || {
        let snapshot = Snapshot::parse(ground.asked.input.clone())
            .map_err(|error| DeskError::broken(format!("a kept rota is refused: {error}")))?;
        let plan: Plan = ground.asked.plan(&snapshot, ground.places.iter().copied());
        // Whoever has no part in the rota is at no position, and sees nobody's reasons.
        let position = ground.asked.member(ground.who.member);
        let viewer = if ground.who.may(Deed::SeeAllReasons) {
            Viewer::Keeper
        } else {
            Viewer::Member(position.unwrap_or(MemberIndex(usize::MAX)))
        };
        let sight = Sight {
            snapshot: &snapshot,
            plan: &plan,
            viewer,
        };
        Ok(with(&ground, &sight))
    });
    looked
        .await
        .map_err(|error| DeskError::broken(format!("a rota could not be explained: {error}")))?
}

impl Ground {
    /// Reads who holds the places now; turns that were called off have none.
    async fn as_held_now(&mut self, conn: &mut Conn) -> Result<(), DeskError> {
        let site = SiteId(self.row.site_id);
        let (first, last) = (self.row.first_day, self.row.last_day);
        let on: BTreeSet<Uuid> = turns::of_days(conn, site, None, first, last)
            .await?
            .into_iter()
            .filter(|turn| turn.called_off.is_none())
            .map(|turn| turn.id)
            .collect();
        self.places.clear();
        let mut free: BTreeMap<TurnId, usize> = BTreeMap::new();
        for place in places::of_turns(conn, site, &self.asked.turns).await? {
            let turn = TurnId(place.turn_id);
            if !on.contains(&place.turn_id) {
                continue;
            }
            match place.member_id.map(MemberId) {
                Some(member) if self.asked.member(member).is_some() => {
                    self.places.push((member, turn));
                }
                Some(member) => self.outside.push((member, turn)),
                None if place.pupil_id.is_none() => *free.entry(turn).or_default() += 1,
                None => {}
            }
        }
        self.free_now = Some(free);
        Ok(())
    }

    /// The effort of each turn.
    pub(super) fn efforts(&self) -> BTreeMap<TurnId, i64> {
        let turns = self.asked.turns.iter().zip(&self.asked.input.turns);
        turns
            .map(|(turn, of)| (*turn, i64::from(of.effort)))
            .collect()
    }

    /// Limits with the weekdays from Monday on: the planner counts them from the first day.
    pub(super) fn weekdays_from_monday(&self, mut limits: Limits) -> Limits {
        let weekdays: &mut [Shut; 7] = &mut limits.weekdays;
        let first = self.row.first_day.weekday().num_days_from_monday();
        weekdays.rotate_right(usize::try_from(first).unwrap_or(0));
        limits
    }
}
