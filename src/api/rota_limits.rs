//! What somebody's limits cost in a rota, and effort to the thousandth.

use serde::Serialize;
use utoipa::ToSchema;
use wormrota_domain::rota::explain::Fraction;
use wormrota_domain::rota::explain::limits::{Limits, ORDER};

/// How somebody stands to every turn of the rota: `held`, `within` and each `first` of `shut`
/// make all turns.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RotaLimits)]
pub struct LimitsBody {
    /// Turns that they hold.
    held: usize,
    /// Turns that they do not hold and that no limit shuts.
    within: usize,
    /// Of these, those whose places all are held by others.
    within_held_by_others: usize,
    /// Turns on which they could have been, whatever else they did.
    at_all: usize,
    /// What each limit shuts, a turn that several shut under the first of them.
    shut: Vec<ShutBody>,
    /// The same for each weekday that does not work.
    weekdays: Vec<WeekdayBody>,
}

/// What a limit shuts.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RotaLimitShut)]
pub struct ShutBody {
    /// `open` (the day is closed to change), `weekday`, `absence`, `trained`, `rest`,
    /// `most_in_28_days`; for caretakers and teachers also `not_alone` and `apart`.
    rule: &'static str,
    /// Turns that it shuts and no limit before it does.
    first: usize,
    /// Turns that it alone shuts.
    alone: usize,
}

/// What a weekday that does not work shuts.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RotaWeekdayShut)]
pub struct WeekdayBody {
    /// 1 is Monday.
    weekday: usize,
    first: usize,
    alone: usize,
}

/// Limits whose weekdays begin with Monday.
pub(super) fn limits_body(limits: &Limits) -> LimitsBody {
    let shut = ORDER.iter().filter_map(|rule| {
        let shut = limits.shut.get(rule)?;
        Some(ShutBody {
            rule: rule.code(),
            first: shut.first,
            alone: shut.alone,
        })
    });
    let weekdays = (limits.weekdays.iter().enumerate())
        .filter(|(_, shut)| shut.first > 0)
        .map(|(at, shut)| WeekdayBody {
            weekday: at + 1,
            first: shut.first,
            alone: shut.alone,
        });
    LimitsBody {
        held: limits.held,
        within: limits.within,
        within_held_by_others: limits.full,
        at_all: limits.at_all,
        shut: shut.collect(),
        weekdays: weekdays.collect(),
    }
}

/// Effort to the nearest thousandth.
pub(super) fn thousandths(effort: Fraction) -> f64 {
    let (parts, of) = (i128::from(effort.parts), i128::from(effort.of.max(1)));
    let milli = (2_000 * parts + of).div_euclid(2 * of);
    #[expect(
        clippy::cast_precision_loss,
        reason = "effort is far below 2^53 thousandths"
    )]
    let milli = milli as f64;
    milli / 1_000.0
}
