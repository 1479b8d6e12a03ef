//! Why a rota is as it is, by key.
//!
//! A draft is explained as it was drafted. A rota in force is explained from what it was
//! drafted from and from who holds the places now. Who sees how much is decided in the domain,
//! by [`Sight`](wormrota_domain::rota::explain::Sight); whose figures a resident sees at all is what the site lets them see of each
//! other.

use super::asked_rota::date;
use super::rota_ground::{Ground, ground, look};
use super::{Desk, DeskError, Errand, Noun, Page};
use chrono::NaiveDate;
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, MemberId, RotaId, SiteId, TurnId};
use wormrota_domain::rota::explain::limits::Limits;
use wormrota_domain::rota::explain::shares::{Account, shares};
use wormrota_domain::rota::explain::sight::{ComparisonSeen, EmptySeen, MemberSeen};
use wormrota_domain::rota::index::TurnIndex;

/// Somebody's reasons. Its `Debug` output holds no name.
#[derive(Clone, PartialEq, Eq)]
pub struct Reasons {
    /// Whose.
    pub member: MemberId,
    /// The name, where it may be seen and was not erased.
    pub name: Option<String>,
    /// What is fair, and what they got.
    pub account: Account,
    /// What their limits cost, weekdays from Monday on.
    pub limits: Limits,
}

impl std::fmt::Debug for Reasons {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Reasons({})", self.member)
    }
}

/// Somebody's figures in a rota. Its `Debug` output holds no name.
#[derive(Clone, PartialEq, Eq)]
pub struct MemberOfRota {
    /// Who.
    pub member: MemberId,
    /// The name, unless it was erased.
    pub name: Option<String>,
    /// Turns in the rota.
    pub turns: usize,
    /// Their effort.
    pub effort: i64,
    /// What would be fair, to the nearest whole effort; none for who holds a place without a
    /// part in the rota.
    pub fair: Option<i64>,
}

impl std::fmt::Debug for MemberOfRota {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "MemberOfRota({})", self.member)
    }
}

/// A turn with empty places.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EmptyTurn {
    /// The turn.
    pub turn: TurnId,
    /// Its bin.
    pub bin: BinId,
    /// Its local day.
    pub on_date: NaiveDate,
    /// Why, as far as the reader may know: members by their position in `members`.
    pub seen: EmptySeen,
    /// The members of the positions.
    pub members: Vec<MemberId>,
}

/// Two members beside each other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Beside {
    /// Who is asked about.
    pub one: MemberId,
    /// Beside whom.
    pub other: MemberId,
    /// Why, as far as the reader may know; weekdays from Monday on.
    pub seen: ComparisonSeen,
}

/// The reasons of a member; the caller's own without one.
///
/// # Errors
/// [`DeskError::Forbidden`] when they are somebody else's and the caller may not see them.
pub async fn see_reasons(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    rota: RotaId,
    of: Option<MemberId>,
) -> Result<Reasons, DeskError> {
    let ground = ground(desk, errand, site, rota).await?;
    let member = of.unwrap_or(ground.who.member);
    if member != ground.who.member && !ground.who.may(Deed::SeeAllReasons) {
        return Err(DeskError::Forbidden(Deed::SeeAllReasons));
    }
    let nobody = DeskError::NotFound(Noun::Part);
    let Some(position) = ground.asked.member(member) else {
        return Err(nobody);
    };
    look(ground, move |ground, sight| {
        let all = shares(sight.snapshot, sight.plan);
        match sight.member(&all, position) {
            Some(MemberSeen::Reasons { account, limits }) => Ok(Reasons {
                member,
                name: ground.names.get(&member).cloned().flatten(),
                account,
                limits: ground.weekdays_from_monday(*limits),
            }),
            Some(MemberSeen::Figures { .. }) | None => Err(nobody),
        }
    })
    .await?
}

/// What everybody has in a rota, a page in the order of keys: those that the site lets the
/// caller see.
pub async fn list_members_of_rota(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    rota: RotaId,
    (after, limit): (Option<Uuid>, u16),
) -> Result<Page<MemberOfRota>, DeskError> {
    let ground = ground(desk, errand, site, rota).await?;
    look(ground, move |ground, sight| {
        let all = shares(sight.snapshot, sight.plan);
        let efforts = ground.efforts();
        let items = (ground.names.iter())
            .filter(|(member, _)| after.is_none_or(|after| member.0 > after))
            .map(|(member, name)| {
                let account = ground.asked.member(*member);
                let account = account.and_then(|position| all.members.get(position.0));
                let outside = (ground.outside.iter()).filter(|(holder, _)| holder == member);
                let outside = outside.map(|(_, turn)| efforts.get(turn).copied().unwrap_or(0));
                let (turns, effort) = match account {
                    Some(account) => (account.turns, account.effort),
                    None => (outside.clone().count(), outside.sum()),
                };
                MemberOfRota {
                    member: *member,
                    name: name.clone(),
                    turns,
                    effort,
                    fair: account.map(|account| account.fair.rounded()),
                }
            })
            .take(usize::from(limit) + 1)
            .collect();
        Page::cut(items, limit)
    })
    .await
}

/// Why places are empty, a page of turns in order of day.
pub async fn list_empty_places(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    rota: RotaId,
    (after, limit): (Option<Uuid>, u16),
) -> Result<Page<EmptyTurn>, DeskError> {
    let ground = ground(desk, errand, site, rota).await?;
    look(ground, move |ground, sight| {
        let begin = after.map_or(0, |after| {
            let at = ground.asked.turns.iter().position(|turn| turn.0 == after);
            at.map_or(usize::MAX, |at| at + 1)
        });
        let items = (sight.empty_from(TurnIndex(begin)))
            .filter_map(|seen| {
                let turn = turn_of(&seen);
                EmptyTurn::of(ground, turn, seen)
            })
            .take(usize::from(limit) + 1)
            .collect();
        Page::cut(items, limit)
    })
    .await
}

/// Why one member has more effort than another.
pub async fn compare_members(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    rota: RotaId,
    (one, other): (MemberId, MemberId),
) -> Result<Beside, DeskError> {
    let ground = ground(desk, errand, site, rota).await?;
    let nobody = DeskError::NotFound(Noun::Part);
    let position = |member: &MemberId| {
        let seen = ground.names.contains_key(member);
        ground.asked.member(*member).filter(|_| seen)
    };
    let (Some(first), Some(second)) = (position(&one), position(&other)) else {
        return Err(nobody);
    };
    look(ground, move |ground, sight| {
        let all = shares(sight.snapshot, sight.plan);
        let seen = match sight.comparison(&all, (first, second)) {
            Some(ComparisonSeen::Reasons(mut all)) => {
                all.limits_of_one = ground.weekdays_from_monday(all.limits_of_one);
                all.limits_of_other = ground.weekdays_from_monday(all.limits_of_other);
                ComparisonSeen::Reasons(all)
            }
            Some(figures) => figures,
            None => return Err(nobody),
        };
        Ok(Beside { one, other, seen })
    })
    .await?
}

fn turn_of(seen: &EmptySeen) -> TurnIndex {
    match seen {
        EmptySeen::Reasons(empty) => empty.turn,
        EmptySeen::Counts { turn, .. } => *turn,
    }
}

impl EmptyTurn {
    /// An empty turn by key; none when its places were filled by people without a part in the
    /// rota, or it does not take place.
    fn of(ground: &Ground, turn: TurnIndex, mut seen: EmptySeen) -> Option<Self> {
        let id = *ground.asked.turns.get(turn.0)?;
        let of = ground.asked.input.turns.get(turn.0)?;
        if let Some(free) = &ground.free_now {
            let free = free.get(&id).copied().filter(|free| *free > 0)?;
            let places = match &mut seen {
                EmptySeen::Reasons(empty) => &mut empty.places,
                EmptySeen::Counts { places, .. } => places,
            };
            *places = free.min(*places);
        }
        Some(Self {
            turn: id,
            bin: *ground.asked.bins.get(of.bin.0)?,
            on_date: date(ground.row.first_day, of.day),
            seen,
            members: ground.asked.members.clone(),
        })
    }
}
