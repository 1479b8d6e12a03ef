//! The duty of a class: its pupils share out the turns that are the class's, in order or by the
//! planner. Places that somebody has already stay theirs.

use super::classes::{adults_if_own, kept};
use super::duty_at_hand::DutyAtHand;
use super::duty_planner::{Drawn, drawn, planned};
use super::fields::{Check, insist_on_years};
use super::membership::{Membership, admit};
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand};
use crate::store::places::PlaceRow;
use crate::store::{Conn, class_turns, classes, turns};
use chrono::{DateTime, NaiveDate, Utc};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use serde_json::json;
use std::collections::BTreeSet;
use std::ops::Range;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{ClassId, PlaceId, PupilId, SiteId, TurnId};
use wormrota_domain::rota::index::PupilIndex;

/// Turns that are filled at once.
const MOST_AT_ONCE: i64 = 1_000;
/// Pairs of pupils that stay together: half a class.
pub const MOST_PAIRS: usize = 30;

/// Who is chosen for a turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// Who has not had a turn for longest: everybody once before anybody twice.
    InOrder,
    /// Whom the planner finds: everybody as much effort as the others, over the school year.
    Planner,
}

impl By {
    /// The word in the API and in the trail.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::InOrder => "in_order",
            Self::Planner => "planner",
        }
    }
}

/// Which turns are to be shared out, and how.
#[derive(Debug, Clone)]
pub struct Sharing {
    /// The first local day.
    pub from: NaiveDate,
    /// The last local day.
    pub to: NaiveDate,
    /// Who is chosen.
    pub by: By,
    /// Pupils who go together or not at all.
    pub pairs: Vec<[PupilId; 2]>,
}

/// How many places were filled, and how many are still free.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Shared {
    /// Places that a pupil got.
    pub filled: usize,
    /// Places for which nobody was there.
    pub still_free: usize,
}

/// Fills the free places of a class's turns from one day to another.
///
/// # Errors
/// [`DeskError::Conflicting`] for days before today or after the class's last one, and for
/// pairs that cannot stay together.
pub async fn share_out(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    class: ClassId,
    sharing: Sharing,
) -> Result<Shared, DeskError> {
    insist_on_years(&[("/from", Some(sharing.from)), ("/to", Some(sharing.to))])?;
    if sharing.pairs.len() > MOST_PAIRS {
        let detail = format!("must name at most {MOST_PAIRS} pairs");
        return Err(DeskError::field("/pairs", detail));
    }
    desk.write(
        "share out a class's turns",
        errand,
        sharing,
        move |conn, errand, sharing| {
            async move {
                let who = admit(conn, errand, site, Deed::KeepClasses).await?;
                let ahead = drawn_ahead(conn, &who, class, sharing, errand.now).await?;
                let (row, _) = kept(conn, &who, class, None).await?;
                let span = (sharing.from, sharing.to);
                let of_span =
                    class_turns::of_class(conn, site, class, span, MOST_AT_ONCE + 1).await?;
                if i64::try_from(of_span.len()).is_ok_and(|count| count > MOST_AT_ONCE) {
                    let what = "turns at once";
                    return Err(DeskError::TooMany { what });
                }
                let ids: Vec<TurnId> = of_span.iter().map(|turn| TurnId(turn.id)).collect();
                let locked: BTreeSet<_> = turns::lock(conn, site, &ids)
                    .await?
                    .into_iter()
                    .map(|turn| turn.id)
                    .collect();
                let mut at_hand = DutyAtHand::load(conn, &row, errand.now).await?;
                insist_on_span(sharing, at_hand.today, row.ends_on)?;
                // One that came since cannot be filled without its lock.
                at_hand.turns.retain(|turn| {
                    let within = turn.row.on_date >= sharing.from && turn.row.on_date <= sharing.to;
                    !within || locked.contains(&turn.row.id)
                });
                let within = positions(&at_hand, span);
                let pairs = pairs_of(&at_hand, sharing, within.clone())?;
                let chosen = match sharing.by {
                    By::InOrder => in_order(&at_hand, within.clone(), &pairs)?,
                    By::Planner => planned(&at_hand, within.clone(), ahead).await?,
                };
                let free: usize = at_hand.turns[within]
                    .iter()
                    .map(|turn| turn.free().count())
                    .sum();
                let filled = chosen.len();
                class_turns::give_by_duty(conn, site, &chosen, errand.now).await?;
                let detail = json!({
                    "from": sharing.from, "to": sharing.to, "by": sharing.by.code(),
                    "filled": filled,
                });
                let subject = Subject::Class(class.0);
                trail::leave(conn, &who, errand.now, "duty_shared_out", subject, detail).await?;
                Ok(Shared {
                    filled,
                    still_free: free - filled,
                })
            }
            .boxed()
        },
    )
    .await
}

/// The planner's work, done before anybody has to wait for the locks. What is not as it must be
/// is left for what is read behind them to tell.
async fn drawn_ahead(
    conn: &mut Conn,
    who: &Membership,
    class: ClassId,
    sharing: &Sharing,
    now: DateTime<Utc>,
) -> Result<Option<Drawn>, DeskError> {
    if sharing.by == By::InOrder || !sharing.pairs.is_empty() {
        return Ok(None);
    }
    adults_if_own(conn, who, class).await?;
    let Some(row) = classes::by_id(conn, who.site, class).await? else {
        return Ok(None);
    };
    let at_hand = DutyAtHand::load(conn, &row, now).await?;
    let within = positions(&at_hand, (sharing.from, sharing.to));
    let too_many = i64::try_from(within.len()).is_ok_and(|count| count > MOST_AT_ONCE);
    if row.ended_at.is_some()
        || too_many
        || insist_on_span(sharing, at_hand.today, row.ends_on).is_err()
    {
        return Ok(None);
    }
    drawn(&at_hand, within).await
}

fn insist_on_span(
    sharing: &Sharing,
    today: NaiveDate,
    last_day: NaiveDate,
) -> Result<(), DeskError> {
    let mut check = Check::default();
    if sharing.from < today {
        check.conflict("/from", "must be today or later");
    }
    if sharing.to < sharing.from {
        check.conflict("/to", "must not be before from");
    } else if sharing.to > last_day {
        check.conflict("/to", "must not be after the last day of the class");
    }
    check.done()
}

/// The positions of the turns from one day to another.
fn positions(at_hand: &DutyAtHand, (from, to): (NaiveDate, NaiveDate)) -> Range<usize> {
    let before = |day: NaiveDate| (at_hand.turns).partition_point(|turn| turn.row.on_date < day);
    let end = (at_hand.turns).partition_point(|turn| turn.row.on_date <= to);
    before(from).min(end)..end
}

/// The pairs by position, if they can stay together.
fn pairs_of(
    at_hand: &DutyAtHand,
    sharing: &Sharing,
    within: Range<usize>,
) -> Result<Vec<(PupilIndex, PupilIndex)>, DeskError> {
    if sharing.pairs.is_empty() {
        return Ok(Vec::new());
    }
    if sharing.by == By::Planner {
        let detail = "must be left out: only in order do two stay together";
        return Err(DeskError::conflict("/pairs", detail));
    }
    let mut check = Check::default();
    let mut named = BTreeSet::new();
    let mut pairs = Vec::new();
    for (at, [one, other]) in sharing.pairs.iter().enumerate() {
        let pointer = format!("/pairs/{at}");
        if !named.insert(*one) || !named.insert(*other) {
            check.conflict(pointer, "must be two pupils who are in no other pair");
        } else if let (Some(one), Some(other)) = (at_hand.position(*one), at_hand.position(*other))
        {
            pairs.push((one, other));
        } else {
            check.conflict(pointer, "must be pupils of this class");
        }
    }
    if !at_hand.turns[within]
        .iter()
        .any(|turn| turn.free().count() >= 2)
    {
        let detail = "must be left out: no turn of these days has two free places";
        check.conflict("/pairs", detail);
    }
    check.done()?;
    Ok(pairs)
}

/// Who has not had a turn for longest comes first, as far as they are there and not on another
/// turn of the day.
fn in_order(
    at_hand: &DutyAtHand,
    within: Range<usize>,
    pairs: &[(PupilIndex, PupilIndex)],
) -> Result<Vec<(PlaceId, PupilId)>, DeskError> {
    let mut line = at_hand
        .line_before(within.start, pairs)
        .map_err(|refusal| DeskError::broken(refusal.to_string()))?;
    let turns = &at_hand.turns[within];
    let mut busy = at_hand.busy();
    let mut chosen = Vec::new();
    for turn in turns {
        let day = turn.row.on_date;
        let free: Vec<&PlaceRow> = turn.free().collect();
        let come = line.next(free.len(), |pupil| {
            at_hand.is_away(pupil, day) || busy.contains(&(pupil, day))
        });
        busy.extend(come.iter().map(|pupil| (*pupil, day)));
        let mut on = at_hand.there(turn);
        on.extend(&come);
        line.done(&on);
        chosen.extend(at_hand.given(free, come));
    }
    Ok(chosen)
}
