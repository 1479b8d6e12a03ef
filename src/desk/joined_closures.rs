//! Closed days beside the closures that are there: what overlaps or touches becomes one, which
//! keeps the key of the earliest.

use super::keep_closure::LONGEST_DAYS;
use crate::store::closures::ClosureRow;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use wormrota_domain::ids::ClosureId;
use wormrota_domain::turns::regenerate::Closure;

/// What becomes of closed days that are imported.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Becomes {
    /// A closure of its own.
    New,
    /// Part of a closure that was there with fewer days, or in the place of several.
    Joined,
    /// Nothing: the site is shut on all of them already.
    Known,
    /// Nothing: the closure would have too many days.
    TooLong,
}

impl Becomes {
    /// The stable code.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::New => "new",
            Self::Joined => "joined",
            Self::Known => "known",
            Self::TooLong => "too_long",
        }
    }

    /// Whether a closure is written.
    pub(super) const fn is_written(self) -> bool {
        matches!(self, Self::New | Self::Joined)
    }
}

/// A closure as it is after an import, or days that are not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct ImportedDays {
    /// What becomes of the days.
    pub becomes: Becomes,
    /// The first day of the closure.
    pub first_day: NaiveDate,
    /// The last one.
    pub last_day: NaiveDate,
    /// Its key, if it has one by now.
    pub closure: Option<ClosureId>,
}

/// Days that become one, with the closures that they touch, the earliest first.
struct Group<'a> {
    first: NaiveDate,
    last: NaiveDate,
    there: Vec<&'a ClosureRow>,
}

impl<'a> Group<'a> {
    fn of(span: Closure, there: &'a [ClosureRow]) -> Self {
        let there: Vec<_> = there.iter().filter(|row| touches(span, row)).collect();
        let ends = there.iter().fold((span.first, span.last), |ends, row| {
            (ends.0.min(row.first_day), ends.1.max(row.last_day))
        });
        Self {
            first: ends.0,
            last: ends.1,
            there,
        }
    }

    /// Both as one, if they touch the same closure and have not too many days together.
    fn with(&self, other: &Self) -> Option<Self> {
        let shared = |row: &&ClosureRow| self.there.contains(row);
        let mut there = self.there.clone();
        there.extend(other.there.iter().filter(|row| !shared(row)));
        let joined = Self {
            first: self.first.min(other.first),
            last: self.last.max(other.last),
            there,
        };
        (other.there.iter().any(shared) && joined.fits()).then_some(joined)
    }

    fn fits(&self) -> bool {
        (self.last - self.first).num_days() < LONGEST_DAYS
    }

    fn told(&self) -> (ImportedDays, Vec<ClosureId>) {
        let known = |row: &&ClosureRow| (row.first_day, row.last_day) == (self.first, self.last);
        let becomes = match self.there.as_slice() {
            [] => Becomes::New,
            [row] if known(row) => Becomes::Known,
            _ => Becomes::Joined,
        };
        let ids: Vec<ClosureId> = self.there.iter().map(|row| ClosureId(row.id)).collect();
        let days = ImportedDays {
            becomes,
            first_day: self.first,
            last_day: self.last,
            closure: ids.first().copied(),
        };
        (days, ids)
    }
}

/// The closures that closed days come to, each with the keys of those whose place it takes. Both
/// lists are in order of day; closures that are there and merely touch stay two.
pub(super) fn joined(
    spans: &[Closure],
    there: &[ClosureRow],
) -> Vec<(ImportedDays, Vec<ClosureId>)> {
    let mut groups: Vec<Group<'_>> = Vec::new();
    let mut too_long = Vec::new();
    for span in spans {
        let group = Group::of(*span, there);
        let joined = groups.last().and_then(|before| before.with(&group));
        let taken = group
            .there
            .iter()
            .any(|row| groups.iter().any(|group| group.there.contains(row)));
        if let (Some(joined), Some(before)) = (joined, groups.last_mut()) {
            *before = joined;
        } else if group.fits() && !taken {
            groups.push(group);
        } else {
            let days = ImportedDays {
                becomes: Becomes::TooLong,
                first_day: span.first,
                last_day: span.last,
                closure: None,
            };
            too_long.push((days, Vec::new()));
        }
    }
    let mut days: Vec<_> = groups.iter().map(Group::told).collect();
    days.extend(too_long);
    days.sort_by_key(|(days, _)| days.first_day);
    days
}

/// Whether days overlap a closure, or lie beside it.
fn touches(span: Closure, row: &ClosureRow) -> bool {
    let before = span.first.pred_opt().unwrap_or(span.first);
    let after = span.last.succ_opt().unwrap_or(span.last);
    row.first_day <= after && row.last_day >= before
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock;
    use uuid::Uuid;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn rows(days: &[(&str, &str)]) -> Vec<ClosureRow> {
        let row = |(first, last): &(&str, &str)| ClosureRow {
            site_id: Uuid::nil(),
            id: clock::fresh_id(),
            first_day: day(first),
            last_day: day(last),
            created_at: clock::wall(),
        };
        days.iter().map(row).collect()
    }

    /// What spans come to beside closures: code, days, and the places of those that are taken.
    fn shown(spans: &[(&str, &str)], there: &[(&str, &str)]) -> Vec<String> {
        let there = rows(there);
        let span = |(first, last): &(&str, &str)| Closure {
            first: day(first),
            last: day(last),
        };
        let spans: Vec<Closure> = spans.iter().map(span).collect();
        let place = |id: &ClosureId| there.iter().position(|row| row.id == id.0).unwrap();
        let said = joined(&spans, &there).into_iter().map(|(days, taken)| {
            let taken: Vec<usize> = taken.iter().map(place).collect();
            let (first, last) = (days.first_day, days.last_day);
            format!("{} {first} {last} {taken:?}", days.becomes.code())
        });
        said.collect()
    }

    /// Protects days from being shut twice, and visits from a closure that goes: days that
    /// overlap or touch a closure become part of it.
    #[test]
    fn days_that_overlap_or_touch_become_one() {
        let known = [("2026-12-21", "2027-01-03")];
        assert_eq!(
            shown(&[("2026-12-22", "2026-12-31")], &known),
            ["known 2026-12-21 2027-01-03 [0]"]
        );
        assert_eq!(
            shown(&[("2026-12-19", "2026-12-20")], &known),
            ["joined 2026-12-19 2027-01-03 [0]"]
        );
        assert_eq!(
            shown(&[("2026-12-18", "2027-01-06")], &known),
            ["joined 2026-12-18 2027-01-06 [0]"]
        );
        assert_eq!(
            shown(&[("2026-12-18", "2026-12-19")], &known),
            ["new 2026-12-18 2026-12-19 []"]
        );
    }

    /// Protects closures from overlapping after an import that reaches several of them, and
    /// two spans on both sides of one.
    #[test]
    fn a_span_over_several_closures_and_several_spans_at_one_are_one() {
        let two = [("2027-02-01", "2027-02-03"), ("2027-02-06", "2027-02-08")];
        assert_eq!(
            shown(&[("2027-02-02", "2027-02-07")], &two),
            ["joined 2027-02-01 2027-02-08 [0, 1]"]
        );
        assert_eq!(
            shown(
                &[("2027-01-30", "2027-01-31"), ("2027-02-04", "2027-02-04")],
                &two
            ),
            ["joined 2027-01-30 2027-02-04 [0]"]
        );
        assert_eq!(
            shown(
                &[
                    ("2027-01-30", "2027-01-31"),
                    ("2027-02-04", "2027-02-05"),
                    ("2027-02-09", "2027-02-09")
                ],
                &two
            ),
            ["joined 2027-01-30 2027-02-09 [0, 1]"]
        );
    }

    /// Protects the bound of a closure made by hand.
    #[test]
    fn days_that_would_make_a_closure_too_long_are_not_taken() {
        assert_eq!(
            shown(
                &[("2027-01-01", "2028-02-10")],
                &[("2027-02-01", "2027-02-02")]
            ),
            ["too_long 2027-01-01 2028-02-10 []"]
        );
        assert_eq!(
            shown(
                &[("2027-01-01", "2027-06-30"), ("2027-12-02", "2028-03-01")],
                &[("2027-07-01", "2027-12-01")]
            ),
            [
                "joined 2027-01-01 2027-12-01 [0]",
                "too_long 2027-12-02 2028-03-01 []"
            ]
        );
    }
}
