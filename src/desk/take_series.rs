//! Taking a free place on every Tuesday, or every second one, in one go.

use super::book::usual_mix;
use super::bring::{Bringing, can_bring};
use super::fields::Check;
use super::membership::{Membership, admit};
use super::place_at_hand::{Giving, SiteDays, TurnAtHand, lock_members, rules_of};
use super::place_rules::PlaceRules;
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand};
use crate::store::places::How;
use crate::store::{Conn, bins, turns};
use chrono::{DateTime, Datelike, Days, NaiveDate, Utc};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use serde_json::json;
use std::collections::BTreeMap;
use wormrota_domain::access::Deed;
use wormrota_domain::food::Offer;
use wormrota_domain::ids::{BinId, BookingId, PlaceId, SiteId, TurnId};
use wormrota_domain::living_bin::settings::ModelSettings;
use wormrota_domain::rota::rules::HardRule;
use wormrota_domain::units::Grams;

/// How many days after its first one a series can end.
const LONGEST_DAYS: u64 = 366;
/// How many turns are looked at in one go.
const MOST_TURNS: usize = 60;

/// On which days the caller wants a place.
#[derive(Debug, Clone, Copy)]
pub struct Series {
    /// Of which bin.
    pub bin: BinId,
    /// 1 is Monday.
    pub weekday: u32,
    /// 1 is every week.
    pub every_weeks: u32,
    /// From when on; today without. The weeks are counted from the first such weekday.
    pub from: Option<NaiveDate>,
    /// Until when.
    pub to: NaiveDate,
    /// What the caller means to bring each time, where it can be booked so far ahead.
    pub amount: Option<Grams>,
}

/// What came of one day of a series.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SeriesDay {
    /// The local day.
    pub on_date: NaiveDate,
    /// What became of it.
    pub outcome: SeriesOutcome,
}

/// Whether a place was taken on a day.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub enum SeriesOutcome {
    /// It was.
    Taken {
        /// The turn.
        turn: TurnId,
        /// The place.
        place: PlaceId,
        /// The booking, where the amount could be booked.
        booking: Option<BookingId>,
    },
    /// The bin has no turn for members on that day.
    NoTurn,
    /// It was not.
    NotTaken {
        /// The turn, the first of the day.
        turn: TurnId,
        /// The code of the problem that taking it would have been.
        code: String,
        /// The rules that would break, if it is that.
        rules: Vec<HardRule>,
    },
}

/// Takes a free place on each day of a series that has one, as far as the rules of the rota
/// allow: each day is answered for itself, and those that could not be had stop none of the
/// others.
///
/// # Errors
/// [`DeskError::Conflicting`] for days in the past, out of order or too far ahead, a bin that
/// is not of the site, and more turns than are looked at in one go.
pub async fn take_series(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    series: Series,
) -> Result<Vec<SeriesDay>, DeskError> {
    let mut check = Check::default();
    if !(1..=7).contains(&series.weekday) {
        check.wrong("/weekday", "must be 1 to 7, 1 is Monday");
    }
    if !(1..=8).contains(&series.every_weeks) {
        check.wrong("/every_weeks", "must be 1 to 8 weeks");
    }
    check.done()?;
    let offer = series.amount.map(usual_mix).transpose()?;
    let model = desk.model();
    desk.write(
        "take a series",
        errand,
        offer,
        move |conn, errand, offer| {
            let model = model.clone();
            async move {
                let who = admit(conn, errand, site, Deed::TakePlace).await?;
                insist_on_bin(conn, site, series.bin).await?;
                let days = SiteDays::load(conn, site, errand.now).await?;
                let dates = series.dates(days.today)?;
                lock_members(conn, &who, &[], &[(who.member, "")]).await?;
                let wanted = turns_on(conn, site, series.bin, &dates).await?;
                let turns = TurnAtHand::lock_all(conn, site, &wanted).await?;
                let mut of_day: BTreeMap<NaiveDate, Vec<TurnAtHand>> = BTreeMap::new();
                let all: Vec<&TurnAtHand> = turns.iter().collect();
                let mut rules = match all.as_slice() {
                    [] => None,
                    all => Some(rules_of(conn, &who, all, &[who.member]).await?),
                };
                for turn in turns {
                    of_day.entry(turn.row.on_date).or_default().push(turn);
                }
                let taker = Taker {
                    who: &who,
                    model: &model,
                    now: errand.now,
                    days,
                    offer: series.amount.zip(offer.as_ref()),
                };
                let mut days = Vec::with_capacity(dates.len());
                for on_date in dates {
                    let turns = of_day.remove(&on_date).unwrap_or_default();
                    let outcome = match &mut rules {
                        Some(rules) => taker.take_one_of(conn, rules, turns).await?,
                        None => SeriesOutcome::NoTurn,
                    };
                    days.push(SeriesDay { on_date, outcome });
                }
                Ok(days)
            }
            .boxed()
        },
    )
    .await
}

impl Series {
    /// Its days, in order.
    fn dates(&self, today: NaiveDate) -> Result<Vec<NaiveDate>, DeskError> {
        let from = self.from.unwrap_or(today);
        let mut check = Check::default();
        let last = from.checked_add_days(Days::new(LONGEST_DAYS));
        if from < today {
            check.conflict("/from", "must be today or later");
        }
        if self.to < from || last.is_none_or(|last| self.to > last) {
            check.conflict(
                "/to",
                format!("must be a day within {LONGEST_DAYS} days of the first one"),
            );
        }
        check.done()?;
        let step = usize::try_from(7 * self.every_weeks).unwrap_or(7);
        let on_weekday = |day: &NaiveDate| day.weekday().number_from_monday() == self.weekday;
        Ok(from
            .iter_days()
            .take_while(|day| *day <= self.to)
            .skip_while(|day| !on_weekday(day))
            .step_by(step)
            .collect())
    }
}

/// The turns of a bin that members take on some days.
async fn turns_on(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    dates: &[NaiveDate],
) -> Result<Vec<TurnId>, DeskError> {
    let (Some(first), Some(last)) = (dates.first(), dates.last()) else {
        return Ok(Vec::new());
    };
    let found = turns::of_days(conn, site, Some(bin), *first, *last).await?;
    let found: Vec<TurnId> = found
        .into_iter()
        .filter(|turn| turn.class_id.is_none() && dates.contains(&turn.on_date))
        .map(|turn| TurnId(turn.id))
        .collect();
    if found.len() > MOST_TURNS {
        let detail = format!("must be earlier: {MOST_TURNS} turns are looked at in one go");
        return Err(DeskError::conflict("/to", detail));
    }
    Ok(found)
}

async fn insist_on_bin(conn: &mut Conn, site: SiteId, bin: BinId) -> Result<(), DeskError> {
    let row = bins::by_id(conn, site, bin).await?;
    if row.is_some_and(|row| row.retired_at.is_none()) {
        return Ok(());
    }
    let detail = "must be a bin of this site";
    Err(DeskError::conflict("/bin_id", detail))
}

/// Whoever takes one place after the other.
struct Taker<'a> {
    who: &'a Membership,
    model: &'a ModelSettings,
    now: DateTime<Utc>,
    days: SiteDays,
    offer: Option<(Grams, &'a Offer)>,
}

impl Taker<'_> {
    /// Takes a place of the first turn of a day where it can be; otherwise tells of the first.
    async fn take_one_of(
        &self,
        conn: &mut Conn,
        rules: &mut PlaceRules,
        turns: Vec<TurnAtHand>,
    ) -> Result<SeriesOutcome, DeskError> {
        let mut first = SeriesOutcome::NoTurn;
        for mut turn in turns {
            let outcome = match self.take(conn, rules, &mut turn).await {
                Ok(taken) => taken,
                Err(error) => not_taken(turn.id(), error)?,
            };
            if matches!(outcome, SeriesOutcome::Taken { .. }) {
                rules.came((self.who.member, turn.id()))?;
                return Ok(outcome);
            }
            if first == SeriesOutcome::NoTurn {
                first = outcome;
            }
        }
        Ok(first)
    }

    async fn take(
        &self,
        conn: &mut Conn,
        rules: &PlaceRules,
        turn: &mut TurnAtHand,
    ) -> Result<SeriesOutcome, DeskError> {
        let (me, id) = (self.who.member, turn.id());
        turn.insist_on_going(self.days.today)?;
        turn.insist_on_offer(&self.days)?;
        turn.free_for(me)?;
        rules.insist_on_coming(self.who, (me, id))?;
        let mut booking = None;
        if let Some((amount, offer)) = self.offer
            && can_bring(&turn.row, self.days.today)
        {
            let bringing = Bringing {
                who: self.who,
                turn: &turn.row,
                amount,
                offer,
                instead_of: None,
            };
            booking = bringing.book(conn, self.model, self.now).await?.booking;
            if booking.is_none() {
                return Ok(SeriesOutcome::NotTaken {
                    turn: id,
                    code: "feeding_refused".to_owned(),
                    rules: Vec::new(),
                });
            }
        }
        let place = turn.free_for(me)?;
        let giving = Giving {
            to: me,
            how: How::Taken,
            kept: None,
            booking,
        };
        giving.write(conn, place, self.now).await?;
        let place = PlaceId(place.id);
        let detail = json!({ "place_id": place, "member_id": me, "kept": true });
        let subject = Subject::Turn(id.0);
        trail::leave(conn, self.who, self.now, "place_taken", subject, detail).await?;
        Ok(SeriesOutcome::Taken {
            turn: id,
            place,
            booking,
        })
    }
}

/// What is told of a day that could not be had. What is wrong with more than the day ends the
/// whole series.
fn not_taken(turn: TurnId, error: DeskError) -> Result<SeriesOutcome, DeskError> {
    let code = error.code().to_owned();
    let rules = match error {
        DeskError::RulesBroken(broken) => broken.into_iter().map(|broken| broken.rule).collect(),
        DeskError::NoFreePlace
        | DeskError::HeldAlready
        | DeskError::TurnOver
        | DeskError::BookedAlready => Vec::new(),
        other => return Err(other),
    };
    Ok(SeriesOutcome::NotTaken { turn, code, rules })
}
