//! A bin with its coming turns, for asking whether it needs one of them.

use super::give_up::far_ahead;
use crate::desk::DeskError;
use crate::desk::at_hand::{BinAtHand, DAYS_AHEAD, Hold, SiteAtHand, unreadable};
use crate::store::turns::TurnRow;
use crate::store::{Conn, places, turns};
use chrono::{DateTime, Days, TimeDelta, Utc};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::cover::manner::Manner;
use wormrota_domain::cover::need::{Need, Reason, Verdict};
use wormrota_domain::cover::recheck::{Alone, given_up, left_alone};
use wormrota_domain::cover::unheld::sought;
use wormrota_domain::cover::{Bin, ComingTurn};
use wormrota_domain::ids::{BinId, TurnId};
use wormrota_domain::living_bin::rhythm::{Advice, advise};
use wormrota_domain::living_bin::settings::ModelSettings;
use wormrota_domain::turns::{Duty, Window};
use wormrota_domain::units::{Fraction, Grams};

/// Days of turns that are read: as far as is looked ahead, and as much again for who comes next.
const READ_DAYS: u64 = 2 * DAYS_AHEAD;

/// Whether a bin needs a turn, with the numbers behind it, as it is kept beside a call and told.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KeptNeed {
    /// Whether.
    pub verdict: Verdict,
    /// Why.
    pub reason: Reason,
    /// How many others come to the turn.
    pub others: u32,
    /// When somebody looks after the bin for the last time before the turn.
    pub last_care_at: DateTime<Utc>,
    /// When the next one after the turn is sure to come; none if nobody is.
    pub next_care_at: Option<DateTime<Utc>>,
    /// When the bed begins to dry if nobody comes.
    pub dries_at: DateTime<Utc>,
    /// Whether the bed is dry already; an older program did not say.
    #[serde(default)]
    pub is_dry: bool,
    /// When hunger begins to take worms, if it does.
    pub hungry_at: Option<DateTime<Utc>>,
    /// The instant for which worms are compared.
    pub seen_at: DateTime<Utc>,
    /// The worms alive then, of those alive now, if somebody comes.
    pub worms_with: f64,
    /// The same if nobody does.
    pub worms_without: f64,
    /// The worms that hunger alone takes until then if nobody comes.
    pub lost_to_hunger: f64,
    /// The latest instant at which somebody must have come.
    pub deadline: DateTime<Utc>,
    /// Days that the bin can go without care.
    pub bears_days: f64,
    /// Days without care if the turn stays empty; none if nobody is sure to come.
    pub gap_days: Option<f64>,
}

impl KeptNeed {
    /// The last instant at which somebody must have come, where somebody must.
    #[must_use]
    pub fn last_moment(&self) -> Option<DateTime<Utc>> {
        (self.verdict == Verdict::Needed).then_some(self.deadline)
    }
}

impl From<Need> for KeptNeed {
    fn from(need: Need) -> Self {
        Self {
            verdict: need.verdict,
            reason: need.reason,
            others: need.others,
            last_care_at: need.last_care_at,
            next_care_at: need.next_care_at,
            dries_at: need.dries_at,
            is_dry: need.is_dry,
            hungry_at: need.hungry_at,
            seen_at: need.seen_at,
            worms_with: finite(need.worms_with),
            worms_without: finite(need.worms_without),
            lost_to_hunger: finite(need.lost_to_hunger),
            deadline: need.deadline,
            bears_days: need.bears_days(),
            gap_days: need.gap_days(),
        }
    }
}

/// JSON knows no other numbers: where there are no worms, none are lost.
fn finite(share: Fraction) -> f64 {
    if share.0.is_finite() { share.0 } else { 0.0 }
}

/// From when to when somebody can come to a turn: a turn without hours lasts the local day.
pub(in crate::desk) fn turn_span(
    turn: &TurnRow,
    zone: SiteZone,
) -> Result<(DateTime<Utc>, DateTime<Utc>), DeskError> {
    let (Some(opens), Some(closes)) = (turn.opens, turn.closes) else {
        let next = turn.on_date.succ_opt().unwrap_or(turn.on_date);
        return Ok((zone.start_of_day(turn.on_date), zone.start_of_day(next)));
    };
    let window = Window::new(opens, closes).map_err(|_| unreadable("turns.opens"))?;
    Ok(window.on(turn.on_date, zone))
}

/// A bin as it is now, with the turns that are still to come.
pub(in crate::desk) struct BinCourse {
    bin: BinAtHand,
    turns: Vec<TurnId>,
    coming: Vec<ComingTurn>,
    /// Turns with a free place that any member may take.
    free: BTreeSet<TurnId>,
    meal: Grams,
}

impl BinCourse {
    /// Reads it; none where there is nothing to forecast: no worms were put in yet, or the bin
    /// is gone.
    pub(in crate::desk) async fn load(
        conn: &mut Conn,
        model: &ModelSettings,
        site: &SiteAtHand,
        id: BinId,
        now: DateTime<Utc>,
    ) -> Result<Option<Self>, DeskError> {
        let bin = match BinAtHand::load(conn, model, site, id, now, Hold::Look).await {
            Ok(bin) => bin,
            Err(DeskError::NotStocked | DeskError::NotFound(_)) => return Ok(None),
            Err(other) => return Err(other),
        };
        let today = site.day(bin.now);
        let last = today.checked_add_days(Days::new(READ_DAYS));
        let rows = turns::of_days(conn, site.id, Some(id), today, last.unwrap_or(today)).await?;
        let ids: Vec<TurnId> = rows.iter().map(|row| TurnId(row.id)).collect();
        let mut held: BTreeMap<Uuid, (u32, u32)> = BTreeMap::new();
        for place in places::of_turns(conn, site.id, &ids).await? {
            let (all, taken) = held.entry(place.turn_id).or_default();
            *all += 1;
            *taken += u32::from(place.holder().is_some());
        }
        let mut coming = Vec::new();
        let mut free = BTreeSet::new();
        for row in rows.iter().filter(|row| row.called_off.is_none()) {
            let (_, at) = turn_span(row, site.zone)?;
            let (places, held) = held.get(&row.id).copied().unwrap_or_default();
            let duty = Duty::from_code(&row.duty).ok_or_else(|| unreadable("turns.duty"))?;
            let turn = ComingTurn {
                at,
                duty,
                places,
                held,
            };
            if held < places && row.class_id.is_none() && !row.off_pattern {
                free.insert(TurnId(row.id));
            }
            coming.push((TurnId(row.id), turn));
        }
        coming.retain(|(_, turn)| turn.at > bin.now);
        coming.sort_by_key(|(id, turn)| (turn.at, *id));
        let meal = usual_meal(&bin, &coming);
        let (turns, coming) = coming.into_iter().unzip();
        Ok(Some(Self {
            bin,
            turns,
            coming,
            free,
            meal,
        }))
    }

    fn bin(&self) -> Bin<'_> {
        Bin {
            habitat: &self.bin.habitat,
            state: &self.bin.state,
            meal: self.meal,
        }
    }

    /// Its coming turns.
    pub(super) fn turns(&self) -> &[TurnId] {
        &self.turns
    }

    fn position(&self, turn: TurnId) -> Option<usize> {
        self.turns.iter().position(|known| *known == turn)
    }

    /// Whether the bin needs one more person on each of these turns, which somebody gives up
    /// together and nobody has taken yet. A turn that is over or called off is missing.
    pub(in crate::desk) fn given_up(&self, turns: &[TurnId]) -> BTreeMap<TurnId, KeptNeed> {
        let mut at: Vec<usize> = turns.iter().filter_map(|id| self.position(*id)).collect();
        at.sort_unstable();
        let found = given_up(&self.bin(), &self.coming, &at);
        let turns = at.into_iter().map(|at| self.turns[at]);
        turns.zip(found.into_iter().map(KeptNeed::from)).collect()
    }

    /// Whether the bin needs one more person on a turn as things stand.
    pub(in crate::desk) fn need(&self, turn: TurnId) -> Option<KeptNeed> {
        self.given_up(&[turn]).remove(&turn)
    }

    /// The turns with a free place that somebody must be looked for by now, each with why. Where
    /// somebody is looked for already, as if they came; where it was decided about the free
    /// places, nobody is.
    pub(super) fn unheld(
        &self,
        manner: &Manner,
        (looked_for, decided): (&BTreeSet<TurnId>, &BTreeSet<TurnId>),
    ) -> Vec<(TurnId, KeptNeed)> {
        let now = self.bin.now;
        let coming: Vec<ComingTurn> = (self.turns.iter().zip(&self.coming))
            .map(|(id, turn)| ComingTurn {
                held: turn.held + u32::from(looked_for.contains(id)),
                ..*turn
            })
            .collect();
        let is_free = |at: &usize| {
            let id = self.turns[*at];
            let known = looked_for.contains(&id) || decided.contains(&id);
            self.free.contains(&id) && !known && far_ahead(coming[*at].at, now).is_none()
        };
        let free: Vec<usize> = (0..coming.len()).filter(is_free).collect();
        let found = sought(&self.bin(), &coming, &free, manner, now);
        let told = found.into_iter();
        told.map(|one| (self.turns[one.turn], one.need.into()))
            .collect()
    }

    /// How the bin is some days after a turn to which nobody comes, and when somebody is sure to
    /// come the next time, if somebody is: nothing is told beyond that.
    pub(in crate::desk) fn left_alone(&self, turn: TurnId, days: &[i64]) -> Vec<Alone> {
        let Some(at) = self.position(turn) else {
            return Vec::new();
        };
        let from = self.coming[at].at;
        let later = self.coming[at + 1..].iter();
        let next = later
            .filter(|turn| turn.tends() && turn.is_sure())
            .map(|turn| turn.at)
            .next();
        let days = days.iter().map(|days| from + TimeDelta::days(*days));
        let before = days.filter(|at| next.is_none_or(|next| *at < next));
        let moments: Vec<DateTime<Utc>> = before.chain(next).collect();
        left_alone(&self.bin(), &self.coming, at, &moments)
    }
}

/// What a feeding usually brings: as much as the bin advises for so many feedings in four weeks
/// as are laid.
fn usual_meal(bin: &BinAtHand, coming: &[(TurnId, ComingTurn)]) -> Grams {
    let until = bin.now + TimeDelta::days(i64::try_from(DAYS_AHEAD).unwrap_or(0));
    let feedings = coming
        .iter()
        .filter(|(_, turn)| turn.feeds() && turn.at <= until)
        .count();
    let feedings = u32::try_from(feedings.max(1)).unwrap_or(u32::MAX);
    match advise(&bin.habitat, &bin.state, feedings) {
        Advice::Feed(rhythm) => rhythm.each,
        Advice::Wait(_) => Grams::ZERO,
    }
}
