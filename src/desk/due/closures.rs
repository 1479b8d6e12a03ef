//! Before and after a long closure: who looks after the site is told what its bins need.

use super::DueAt;
use crate::desk::closure_ground::stretch;
use crate::desk::letters::{ClosureRule, of_closure};
use crate::desk::{DeskError, keepers};
use crate::store::letters::LetterRow;
use crate::store::{Conn, closures};
use chrono::{Days, NaiveDate};
use std::collections::BTreeSet;
use wormrota_domain::ids::ClosureId;

/// Bins do without anybody for so many closed days: nothing is said of shorter ones.
const SHORT_DAYS: i64 = 14;
/// Days before the first closed one on which somebody is told: early enough to find people.
const THREE_WEEKS: i64 = 21;
/// And once more, when the last turns are near.
const ONE_WEEK: i64 = 7;
/// Days from the first open one on after which nobody needs to be told how to begin again.
const BEGINS_WITHIN: i64 = 2;

/// The letters that are due today.
pub(super) async fn owed(conn: &mut Conn, at: &DueAt) -> Result<Vec<LetterRow>, DeskError> {
    let (site, zone) = (at.site.id, at.site.zone);
    let today = zone.local_date(at.by.now);
    let from = today - Days::new(BEGINS_WITHIN.unsigned_abs());
    let to = today + Days::new(THREE_WEEKS.unsigned_abs());
    let mut rows = Vec::new();
    let mut told_of = BTreeSet::new();
    for row in closures::of_days(conn, site, from, to).await? {
        // Those that touch are one, told of by the first of them.
        let days = stretch(conn, site, (row.first_day, row.last_day)).await?;
        if (days.1 - days.0).num_days() < SHORT_DAYS || !told_of.insert(days) {
            continue;
        }
        let Some((rule, over_on)) = due(days, today) else {
            continue;
        };
        let too_late_at = at.by.on_the_wall(zone.start_of_day(over_on));
        for member in keepers::told(conn, site, None).await? {
            let closure = ClosureId(row.id);
            rows.push(of_closure(
                site,
                member,
                closure,
                rule,
                too_late_at,
                at.by.wall,
            ));
        }
    }
    Ok(rows)
}

/// Which letter is due on a day, and the first day on which it is of no use any more.
fn due(
    (first, last): (NaiveDate, NaiveDate),
    today: NaiveDate,
) -> Option<(ClosureRule, NaiveDate)> {
    let (ahead, behind) = ((first - today).num_days(), (today - last).num_days());
    match (ahead, behind) {
        (1..=ONE_WEEK, _) => Some((ClosureRule::OneWeek, first)),
        (1..=THREE_WEEKS, _) => {
            let next = first - Days::new(ONE_WEEK.unsigned_abs());
            Some((ClosureRule::ThreeWeeks, next))
        }
        (_, 1..=BEGINS_WITHIN) => {
            let over = last + Days::new(BEGINS_WITHIN.unsigned_abs() + 1);
            Some((ClosureRule::OpenAgain, over))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::TimeDelta;

    /// Protects people from hearing nothing, or the same every day: each letter has days of its
    /// own, and between them and while the site is shut there is none.
    #[test]
    fn each_letter_has_its_days() {
        let first: NaiveDate = "2026-07-06".parse().unwrap();
        let last = first + TimeDelta::days(41);
        let on = |ahead: i64| due((first, last), first - TimeDelta::days(ahead)).map(|due| due.0);
        assert_eq!(on(22), None);
        assert_eq!(on(21), Some(ClosureRule::ThreeWeeks));
        assert_eq!(on(8), Some(ClosureRule::ThreeWeeks));
        assert_eq!(on(7), Some(ClosureRule::OneWeek));
        assert_eq!(on(1), Some(ClosureRule::OneWeek));
        for closed in [0, -20, -41] {
            assert_eq!(on(closed), None);
        }
        assert_eq!(on(-42), Some(ClosureRule::OpenAgain));
        assert_eq!(on(-43), Some(ClosureRule::OpenAgain));
        assert_eq!(on(-44), None);
    }
}
