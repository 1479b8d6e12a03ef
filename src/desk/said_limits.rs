//! Limits as they are typed, checked once at the door.

use super::DeskError;
use super::fields::Check;
use super::limits::{ByKeepers, OwnLimits};
use std::collections::BTreeSet;
use wormrota_domain::rota::share::Share;

/// Free days between two turns that somebody can ask for.
const MOST_REST_DAYS: u32 = 60;
/// Turns in 28 days that can be a limit at all: one a day.
const MOST_IN_28_DAYS: u32 = 28;
/// Bins that somebody can be trained for.
const MOST_BINS: usize = 200;
/// What limits are to be, as it was typed.
#[derive(Debug, Clone, Default)]
pub struct NewLimits {
    /// Weekdays that do not work.
    pub cannot_weekdays: Vec<u32>,
    /// Weekdays that they like.
    pub likes_weekdays: Vec<u32>,
    /// Weekdays that they would rather not.
    pub rather_not_weekdays: Vec<u32>,
    /// Free days between two turns.
    pub rest_days: u32,
    /// The most turns in any 28 days in a row.
    pub most_in_28_days: Option<u32>,
    /// What part of the turns is theirs.
    pub share: Option<Share>,
    /// What only whoever looks after the site may change; without, it stays as it is.
    pub by_keepers: Option<ByKeepers>,
}

impl NewLimits {
    /// The same within its bounds, weekdays in order and none in two lists.
    pub(super) fn checked(self) -> Result<(OwnLimits, Option<ByKeepers>), DeskError> {
        let mut check = Check::default();
        let most = self.most_in_28_days.map(|most| {
            let pointer = "/most_in_28_days";
            number(&mut check, pointer, most, 1, MOST_IN_28_DAYS)
        });
        let own = OwnLimits {
            cannot_weekdays: weekdays(&mut check, "/cannot_weekdays", &self.cannot_weekdays),
            likes_weekdays: weekdays(&mut check, "/likes_weekdays", &self.likes_weekdays),
            rather_not_weekdays: weekdays(
                &mut check,
                "/rather_not_weekdays",
                &self.rather_not_weekdays,
            ),
            rest_days: number(&mut check, "/rest_days", self.rest_days, 0, MOST_REST_DAYS),
            most_in_28_days: most,
            share: self.share,
        };
        if own.cannot_weekdays.len() == 7 {
            check.conflict(
                "/cannot_weekdays",
                "must leave a weekday: to have no part in the rota say share none, and while \
                 away tell an absence",
            );
        }
        let met = |one: &[i16], other: &[i16]| one.iter().any(|day| other.contains(day));
        if met(&own.likes_weekdays, &own.cannot_weekdays) {
            let detail = "must not hold a weekday of cannot_weekdays";
            check.conflict("/likes_weekdays", detail);
        }
        if met(&own.rather_not_weekdays, &own.cannot_weekdays)
            || met(&own.rather_not_weekdays, &own.likes_weekdays)
        {
            let detail = "must not hold a weekday of cannot_weekdays or likes_weekdays";
            check.conflict("/rather_not_weekdays", detail);
        }
        let by_keepers = self.by_keepers.map(|mut known| {
            if known.trained_bins.len() > MOST_BINS {
                let detail = format!("must name at most {MOST_BINS} bins");
                check.wrong("/by_keepers/trained_bin_ids", detail);
            }
            if known.experienced && known.not_alone {
                let detail = "must not be true of somebody experienced";
                check.conflict("/by_keepers/not_alone", detail);
            }
            known.trained_bins.sort_unstable();
            known.trained_bins.dedup();
            known
        });
        check.done()?;
        Ok((own, by_keepers))
    }
}

/// Weekdays, each once and in order.
fn weekdays(check: &mut Check, pointer: &str, typed: &[u32]) -> Vec<i16> {
    if typed.len() > 7 {
        check.wrong(pointer, "must name at most 7 weekdays");
    }
    let read: BTreeSet<i16> = typed
        .iter()
        .take(7)
        .enumerate()
        .map(|(at, day)| number(check, &format!("{pointer}/{at}"), *day, 1, 7))
        .collect();
    read.into_iter().collect()
}

/// A number within its bounds, as the tables have it.
fn number(check: &mut Check, pointer: &str, typed: u32, least: u32, most: u32) -> i16 {
    if !(least..=most).contains(&typed) {
        check.wrong(pointer, format!("must be {least} to {most}"));
    }
    i16::try_from(typed).unwrap_or(0)
}
