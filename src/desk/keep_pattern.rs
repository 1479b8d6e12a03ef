//! Making a pattern, changing it, and ending it. Its turns follow in the same transaction, from
//! the site's today on; nobody loses a place by it.

use super::change::Change;
use super::fields::Check;
use super::locked_turns::Locked;
use super::membership::{Membership, admit_to_change};
use super::settle_turns::{Settling, TurnCounts, days_of, refused, shut_days};
use super::trail::{self, Subject};
use super::turn_fields::{changed_hours, insist_on_bin, insist_on_class, insist_on_own};
use super::turn_news::TurnNews;
use super::turns::zone_of_site;
use super::{Desk, DeskError, Errand, Noun};
use crate::clock;
use crate::store::patterns::{self, PatternRow};
use crate::store::{Conn, turns};
use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, ClassId, PatternId, SiteId};
use wormrota_domain::turns::{Duty, Refusal};

/// Patterns that may go on at a site at once.
const MOST_PATTERNS: usize = 100;
/// Bytes that a rule may have.
const LONGEST_RULE: usize = 500;

/// A pattern to be made.
#[derive(Debug, Clone)]
pub struct NewPattern {
    /// The bin.
    pub bin: BinId,
    /// What is to be done.
    pub duty: Duty,
    /// A recurrence rule (RFC 5545), read as local days.
    pub rule: String,
    /// The day on which the rule begins.
    pub first_day: NaiveDate,
    /// The last day, if the rule does not say.
    pub last_day: Option<NaiveDate>,
    /// How many people a turn takes.
    pub places: u32,
    /// What a turn costs each of them.
    pub effort: u32,
    /// From when on.
    pub opens: Option<NaiveTime>,
    /// Until when.
    pub closes: Option<NaiveTime>,
    /// The class whose pupils take the turns, if one does.
    pub class: Option<ClassId>,
}

/// What is to change; `None` leaves a thing as it is.
#[derive(Debug, Clone, Default)]
pub struct PatternChange {
    /// Another rule.
    pub rule: Option<String>,
    /// Another day on which it begins.
    pub first_day: Option<NaiveDate>,
    /// Another last day.
    pub last_day: Change<NaiveDate>,
    /// As many people.
    pub places: Option<u32>,
    /// As much effort.
    pub effort: Option<u32>,
    /// From when on.
    pub opens: Change<NaiveTime>,
    /// Until when.
    pub closes: Change<NaiveTime>,
}

/// A pattern that was made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MadePattern {
    /// Its key.
    pub id: PatternId,
    /// The days of its turns, from today on.
    pub days: Vec<NaiveDate>,
}

/// Makes a pattern and its turns, with free places.
pub async fn make_pattern(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    new: NewPattern,
) -> Result<MadePattern, DeskError> {
    let mut check = Check::default();
    insist_on_rule(&mut check, &new.rule);
    check.places(new.places);
    check.effort(new.effort);
    check.hours((new.opens, new.closes));
    check.done()?;
    desk.write("make a pattern", errand, new, move |conn, errand, new| {
        async move {
            let who = admit_to_change(conn, errand, site, Deed::KeepTurns).await?;
            insist_on_bin(conn, site, new.bin).await?;
            let going_on = patterns::count_going_on(conn, site).await?;
            if usize::try_from(going_on).is_ok_and(|count| count >= MOST_PATTERNS) {
                return Err(DeskError::TooMany { what: "patterns" });
            }
            let row = fresh(site, new, errand.now);
            let days = wanted(&row)?;
            if let Some(class) = new.class {
                let class = insist_on_class(conn, &who, class).await?;
                insist_on_school_year(&days, class.ends_on)?;
            }
            let today = zone_of_site(conn, site).await?.local_date(errand.now);
            if days.last().is_none_or(|last| *last < today) {
                let detail = "must give a day from today on";
                return Err(DeskError::conflict("/rule", detail));
            }
            patterns::insert(conn, &row).await?;
            let settling =
                settle(conn, &row, &days, &Locked::none(site), today, errand.now).await?;
            let made = MadePattern {
                id: PatternId(row.id),
                days: settling.days_added(),
            };
            settling.make(conn, site, today).await?;
            let detail = json!({ "bin_id": new.bin, "turns": made.days.len() });
            let subject = Subject::Pattern(row.id);
            trail::leave(conn, &who, errand.now, "pattern_made", subject, detail).await?;
            Ok(made)
        }
        .boxed()
    })
    .await
}

/// Changes a pattern, and its turns from today on; with `expected`, only if its revision is
/// still that one. What the change does not name stays as it is, on single turns too.
///
/// # Errors
/// [`DeskError::ChangedMeanwhile`], and [`DeskError::EndedAlready`] of one that has ended.
pub async fn change_pattern(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    pattern: PatternId,
    expected: Option<i64>,
    change: PatternChange,
) -> Result<TurnCounts, DeskError> {
    let mut check = Check::default();
    if let Some(rule) = &change.rule {
        insist_on_rule(&mut check, rule);
    }
    let places = change.places.map(|places| check.places(places));
    let effort = change.effort.map(|effort| check.effort(effort));
    check.done()?;
    desk.write(
        "change a pattern",
        errand,
        change,
        move |conn, errand, change| {
            async move {
                let who = admit_to_change(conn, errand, site, Deed::KeepTurns).await?;
                let mut row = kept(conn, &who, pattern, expected).await?;
                if row.ended_at.is_some() {
                    return Err(DeskError::EndedAlready);
                }
                let class = row.class_id.map(ClassId);
                insist_on_own(conn, &who, class).await?;
                let before = row.clone();
                apply(&mut row, change, places, effort)?;
                let days = wanted(&row)?;
                if let Some(class) = class {
                    let class = insist_on_class(conn, &who, class).await?;
                    insist_on_school_year(&days, class.ends_on)?;
                }
                patterns::update(conn, &row).await?;
                let today = zone_of_site(conn, site).await?.local_date(errand.now);
                let ids = turns::of_pattern(conn, site, pattern, today).await?;
                let locked = Locked::take(conn, site, &ids).await?;
                let settling = settle(conn, &row, &days, &locked, today, errand.now).await?;
                let stays = |turn| settling.keeps(turn);
                let changed = locked.reshape(conn, &before, &row, stays).await?;
                let mut counts = settling.make(conn, site, today).await?;
                counts.changed = changed;
                let mut news = TurnNews::of(&who);
                news.since(conn, &locked).await?;
                news.owe(conn, row.id, errand.now).await?;
                let detail = counted(&counts)?;
                let subject = Subject::Pattern(row.id);
                trail::leave(conn, &who, errand.now, "pattern_changed", subject, detail).await?;
                Ok(counts)
            }
            .boxed()
        },
    )
    .await
}

/// Ends a pattern: it makes no more turns, and those that nobody holds go. Doing it again
/// changes nothing.
pub async fn end_pattern(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    pattern: PatternId,
) -> Result<TurnCounts, DeskError> {
    desk.write("end a pattern", errand, (), move |conn, errand, ()| {
        async move {
            let who = admit_to_change(conn, errand, site, Deed::KeepTurns).await?;
            let mut row = kept(conn, &who, pattern, None).await?;
            if row.ended_at.is_some() {
                return Ok(TurnCounts::default());
            }
            insist_on_own(conn, &who, row.class_id.map(ClassId)).await?;
            row.ended_at = Some(errand.now);
            row.revision += 1;
            patterns::update(conn, &row).await?;
            let today = zone_of_site(conn, site).await?.local_date(errand.now);
            let ids = turns::of_pattern(conn, site, pattern, today).await?;
            let locked = Locked::take(conn, site, &ids).await?;
            let settling = settle(conn, &row, &[], &locked, today, errand.now).await?;
            let counts = settling.make(conn, site, today).await?;
            let mut news = TurnNews::of(&who);
            news.since(conn, &locked).await?;
            news.owe(conn, row.id, errand.now).await?;
            let detail = counted(&counts)?;
            let subject = Subject::Pattern(row.id);
            trail::leave(conn, &who, errand.now, "pattern_ended", subject, detail).await?;
            Ok(counts)
        }
        .boxed()
    })
    .await
}

/// A pattern that is about to change. The site's lock is held.
async fn kept(
    conn: &mut Conn,
    who: &Membership,
    pattern: PatternId,
    expected: Option<i64>,
) -> Result<PatternRow, DeskError> {
    let row = patterns::by_id(conn, who.site, pattern).await?;
    let row = row.ok_or(DeskError::NotFound(Noun::Pattern))?;
    if expected.is_some_and(|revision| revision != row.revision) {
        return Err(DeskError::ChangedMeanwhile);
    }
    Ok(row)
}

/// What the schema says of a rule; all else depends on its parts.
fn insist_on_rule(check: &mut Check, rule: &str) {
    let printable = rule.bytes().all(|byte| byte.is_ascii_graphic());
    if !(1..=LONGEST_RULE).contains(&rule.len()) || !printable {
        let detail = format!("must be 1 to {LONGEST_RULE} visible ASCII characters");
        check.wrong("/rule", detail);
    }
}

fn wanted(row: &PatternRow) -> Result<Vec<NaiveDate>, DeskError> {
    days_of(row).map_err(|refusal: Refusal| DeskError::Conflicting(vec![refused(&refusal)]))
}

/// Pupils are erased after the last day of their class.
fn insist_on_school_year(days: &[NaiveDate], ends_on: NaiveDate) -> Result<(), DeskError> {
    if days.last().is_some_and(|last| *last > ends_on) {
        let detail = "must end the turns on the last day of the class or before";
        return Err(DeskError::conflict("/last_day", detail));
    }
    Ok(())
}

fn fresh(site: SiteId, new: &NewPattern, now: DateTime<Utc>) -> PatternRow {
    let small = |number: u32| i16::try_from(number).unwrap_or(i16::MAX);
    PatternRow {
        site_id: site.0,
        id: clock::fresh_id(),
        bin_id: new.bin.0,
        duty: new.duty.code().to_owned(),
        rule: new.rule.clone(),
        first_day: new.first_day,
        last_day: new.last_day,
        places: small(new.places),
        effort: small(new.effort),
        opens: new.opens,
        closes: new.closes,
        class_id: new.class.map(|class| class.0),
        created_at: now,
        ended_at: None,
        revision: 1,
    }
}

fn apply(
    row: &mut PatternRow,
    change: &PatternChange,
    places: Option<i16>,
    effort: Option<i16>,
) -> Result<(), DeskError> {
    if let Some(rule) = &change.rule {
        row.rule.clone_from(rule);
    }
    row.first_day = change.first_day.unwrap_or(row.first_day);
    change.last_day.apply(&mut row.last_day);
    row.places = places.unwrap_or(row.places);
    row.effort = effort.unwrap_or(row.effort);
    let hours = (row.opens, row.closes);
    (row.opens, row.closes) = changed_hours(hours, change.opens, change.closes)?;
    row.revision += 1;
    Ok(())
}

async fn settle(
    conn: &mut Conn,
    row: &PatternRow,
    days: &[NaiveDate],
    locked: &Locked,
    today: NaiveDate,
    now: DateTime<Utc>,
) -> Result<Settling, DeskError> {
    let standing = locked.rows.iter().map(|turn| turn.on_date);
    let last = standing.chain(days.iter().copied()).max();
    let last = last.unwrap_or(today);
    let shut = shut_days(conn, SiteId(row.site_id), today, last).await?;
    let mut settling = Settling::default();
    settling.of_pattern(row, days, locked, &shut, today, now)?;
    Ok(settling)
}

/// Counts as the trail keeps them.
fn counted(counts: &TurnCounts) -> Result<Value, DeskError> {
    super::at_hand::write(counts)
}
