//! Who may come to a place that nobody comes to, with what decides who is asked first.

use super::call_at_hand::CallAtHand;
use crate::desk::DeskError;
use crate::desk::place_at_hand::TurnAtHand;
use crate::desk::place_rules::PlaceRules;
use crate::desk::rota_at_hand::share;
use crate::store::limits::LimitsRow;
use crate::store::members::{self, Person, Which};
use crate::store::{Conn, absences, call_answers, limits, rota_shares};
use chrono::{DateTime, Datelike, Days, Utc};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;
use wormrota_domain::cover::candidates::Candidate;
use wormrota_domain::cover::manner::Manner;
use wormrota_domain::ids::{MemberId, SiteId};
use wormrota_domain::rota::share::Share;

/// Members that are looked at: as many as a site can have in a rota.
const MOST_MEMBERS: i64 = 10_000;

/// Everybody who may hold a place of the turn under all hard rules, has a part in the rota and
/// can be asked: has an address that letters reach, has not ended such letters, and does not leave
/// as soon as the turn is over.
pub(super) async fn seekers(
    conn: &mut Conn,
    (call, others): (&CallAtHand, &[CallAtHand]),
    turn: &TurnAtHand,
    now: DateTime<Utc>,
) -> Result<Vec<Candidate>, DeskError> {
    let site = call.site();
    let people = members::people(conn, site, Which::Members, None, MOST_MEMBERS).await?;
    let ids: Vec<MemberId> = people
        .iter()
        .map(|person| MemberId(person.member.id))
        .collect();
    let limits: BTreeMap<Uuid, LimitsRow> = limits::of_members(conn, site, &ids)
        .await?
        .into_iter()
        .map(|row| (row.member_id, row))
        .collect();
    let unwilling = call_answers::unwilling(conn, site).await?;
    let away: BTreeSet<MemberId> = (others.iter())
        .filter(|other| other.row.closed_at.is_none())
        .chain([call])
        .filter_map(CallAtHand::away)
        .collect();
    let leaving = leaving_soon(conn, site, turn, &ids).await?;
    let mut askable = BTreeSet::new();
    for person in &people {
        let id = MemberId(person.member.id);
        let part = share(person, limits.get(&id.0))? != Share::None;
        let busy = unwilling.contains(&id) || away.contains(&id) || leaving.contains(&id);
        if part && is_reached(person) && !busy {
            askable.insert(id);
        }
    }
    let may = may_come(conn, site, turn, &askable).await?;
    let balances = rota_shares::left_before(conn, site, turn.row.on_date).await?;
    let mut asked: BTreeMap<MemberId, Vec<DateTime<Utc>>> = BTreeMap::new();
    for (member, at) in call_answers::asked_lately(conn, site, now).await? {
        asked.entry(member).or_default().push(at);
    }
    let weekday = i16::try_from(turn.row.on_date.weekday().number_from_monday()).unwrap_or(0);
    let candidate = |member: MemberId| Candidate {
        member,
        balance_milli: balances.get(&member).copied().unwrap_or(0),
        wish: limits.get(&member.0).map_or(0, |row| {
            i8::from(row.likes_weekdays.contains(&weekday))
                - i8::from(row.rather_not_weekdays.contains(&weekday))
        }),
        asked_at: asked.remove(&member).unwrap_or_default(),
    };
    Ok(may.into_iter().map(candidate).collect())
}

/// Those of some members who are away from so soon after a turn on that nobody asks them.
async fn leaving_soon(
    conn: &mut Conn,
    site: SiteId,
    turn: &TurnAtHand,
    ids: &[MemberId],
) -> Result<BTreeSet<MemberId>, DeskError> {
    let manner = Manner::default();
    let on = turn.row.on_date;
    let days = Days::new(manner.days_before_leaving.unsigned_abs());
    let until = on.checked_add_days(days).unwrap_or(on);
    let found = absences::of_members(conn, site, ids, on, until).await?;
    let leaves = found
        .into_iter()
        .filter(|absence| manner.leaves_too_soon(on, absence.first_day))
        .map(|absence| MemberId(absence.member_id));
    Ok(leaves.collect())
}

/// Those of some members whom every hard rule of the rota lets come onto a turn.
async fn may_come(
    conn: &mut Conn,
    site: SiteId,
    turn: &TurnAtHand,
    askable: &BTreeSet<MemberId>,
) -> Result<Vec<MemberId>, DeskError> {
    if askable.is_empty() {
        return Ok(Vec::new());
    }
    let all: BTreeSet<MemberId> = askable.iter().copied().chain(turn.members()).collect();
    let rules = PlaceRules::at(conn, site, &[&turn.row], &all).await?;
    let mut may = rules.may_come(turn.id());
    may.retain(|member| askable.contains(member));
    Ok(may)
}

fn is_reached(person: &Person) -> bool {
    let own = person
        .name
        .as_ref()
        .and_then(|row| row.email_lower.as_ref());
    person.bounced_at.is_none() && (person.account_email.is_some() || own.is_some())
}
