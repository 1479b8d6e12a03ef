//! What may not stand together in a rule.

use super::part::{Frequency, Part};
use super::refusal::Refusal;
use super::rule::Rule;

/// Refuses what RFC 5545, 3.3.10, forbids, and what it leaves open.
pub(super) fn check(rule: &Rule) -> Result<(), Refusal> {
    let frequency = rule.frequency;
    let forbidden = [
        (
            Part::ByWeekNo,
            !rule.week_numbers.is_empty(),
            frequency != Frequency::Yearly,
        ),
        (
            Part::ByYearDay,
            !rule.year_days.is_empty(),
            frequency != Frequency::Yearly,
        ),
        (
            Part::ByMonthDay,
            !rule.month_days.is_empty(),
            frequency == Frequency::Weekly,
        ),
    ];
    for (part, written, wrong) in forbidden {
        if written && wrong {
            return Err(Refusal::Frequency { part, frequency });
        }
    }
    let numbered = rule.named_days.iter().any(|day| day.number.is_some());
    if numbered && matches!(frequency, Frequency::Daily | Frequency::Weekly) {
        return Err(Refusal::NumberedDay);
    }
    if !rule.week_numbers.is_empty() {
        if numbered {
            return Err(Refusal::WithWeekNumber(Part::ByDay));
        }
        if rule.interval != 1 {
            return Err(Refusal::WithWeekNumber(Part::Interval));
        }
        if !rule.positions.is_empty() {
            return Err(Refusal::WithWeekNumber(Part::BySetPos));
        }
    }
    let alone = rule.months.is_empty()
        && rule.week_numbers.is_empty()
        && rule.year_days.is_empty()
        && rule.month_days.is_empty()
        && rule.named_days.is_empty();
    if !rule.positions.is_empty() && alone {
        return Err(Refusal::PositionAlone);
    }
    if rule.until.is_some() && rule.count.is_some() {
        return Err(Refusal::UntilWithCount);
    }
    Ok(())
}
