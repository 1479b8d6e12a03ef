//! When the clocks of a zone change, and what they show from then on.

use super::SiteZone;
use chrono::{
    DateTime, Days, FixedOffset, NaiveDateTime, Offset, SubsecRound, TimeDelta, TimeZone, Utc,
};
use chrono_tz::{OffsetComponents, OffsetName, TzOffset};

/// Between two changes of a zone's clocks lie more days than one: the shortest stretch since
/// [`EARLIEST`] is six days and 22 hours, that of Cambridge Bay in October 2000. A test looks at
/// every zone twice a day.
const STRIDE: Days = Days::new(1);

/// How far back a change is looked for: what was before is no calendar's business.
const EARLIEST: DateTime<Utc> = DateTime::<Utc>::UNIX_EPOCH;

/// What a zone's clocks show from an instant until the next observance begins.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Observance {
    /// The instant from which they do.
    pub onset: DateTime<Utc>,
    /// How far local time was from UTC before.
    pub before: FixedOffset,
    /// How far local time is from UTC.
    pub offset: FixedOffset,
    /// The abbreviation of the IANA database, such as `CEST`, or its numbers, such as `+0330`.
    pub name: String,
    /// Whether it is summer time: ahead of the zone's standard time. Where the law has it the
    /// other way round, as in Ireland and Morocco, neither is.
    pub summer: bool,
}

impl Observance {
    /// What a clock that was not changed yet shows at the onset.
    #[must_use]
    pub fn wall_at_onset(&self) -> NaiveDateTime {
        self.onset.with_timezone(&self.before).naive_local()
    }

    fn of(offset: &TzOffset, onset: DateTime<Utc>, before: FixedOffset) -> Self {
        Self {
            onset,
            before,
            offset: offset.fix(),
            name: name(offset),
            summer: is_summer(offset),
        }
    }
}

impl SiteZone {
    /// Every observance that is in force at some instant of a span, in order: at least one.
    ///
    /// The first begins with or before the span. If its clocks were never changed since 1970,
    /// it begins there, or with the span if that is earlier, and changes nothing. An onset that
    /// only changes the name counts. The work is in proportion to the days of the span, and to
    /// those before it without a change.
    #[must_use]
    pub fn observances(self, from: DateTime<Utc>, to: DateTime<Utc>) -> Vec<Observance> {
        // Clocks change on whole seconds.
        let (mut at, to) = (from.trunc_subsecs(0), to.trunc_subsecs(0));
        let mut found = vec![self.in_force(at)];
        while at < to {
            let next = at.checked_add_days(STRIDE).map_or(to, |next| next.min(to));
            found.extend(self.change(at, next));
            at = next;
        }
        found
    }

    fn in_force(self, at: DateTime<Utc>) -> Observance {
        let mut later = at;
        while later > EARLIEST {
            let earlier = (later - STRIDE).max(EARLIEST);
            if let Some(change) = self.change(earlier, later) {
                return change;
            }
            later = earlier;
        }
        let offset = self.offset(at);
        Observance::of(&offset, later, offset.fix())
    }

    /// The change after `from` and up to `to`, if there is one: at most one may lie there.
    fn change(self, from: DateTime<Utc>, to: DateTime<Utc>) -> Option<Observance> {
        let old = self.offset(from);
        if same(&old, &self.offset(to)) {
            return None;
        }
        let (mut before, mut after) = (from, to);
        while after - before > TimeDelta::seconds(1) {
            let middle = before + TimeDelta::seconds((after - before).num_seconds() / 2);
            if same(&old, &self.offset(middle)) {
                before = middle;
            } else {
                after = middle;
            }
        }
        Some(Observance::of(&self.offset(after), after, old.fix()))
    }

    fn offset(self, at: DateTime<Utc>) -> TzOffset {
        self.0.offset_from_utc_datetime(&at.naive_utc())
    }
}

/// Whether a calendar can tell the two apart.
fn same(one: &TzOffset, other: &TzOffset) -> bool {
    one.fix() == other.fix()
        && is_summer(one) == is_summer(other)
        && one.abbreviation() == other.abbreviation()
}

fn is_summer(offset: &TzOffset) -> bool {
    offset.dst_offset() > TimeDelta::zero()
}

fn name(offset: &TzOffset) -> String {
    let name = offset.abbreviation().map(str::to_owned);
    name.unwrap_or_else(|| offset.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn observances(zone: &str, from: &str, to: &str) -> Vec<Observance> {
        let zone: SiteZone = zone.parse().unwrap();
        zone.observances(from.parse().unwrap(), to.parse().unwrap())
    }

    fn lines(zone: &str, from: &str, to: &str) -> Vec<String> {
        let line = |one: &Observance| {
            let (wall, summer) = (one.wall_at_onset(), one.summer);
            format!("{wall} {} {} {} {summer}", one.before, one.offset, one.name)
        };
        observances(zone, from, to).iter().map(line).collect()
    }

    /// Guards the shapes that zones have: a change within the span, half an hour, rules that
    /// were changed, standard time in summer, and clocks that nobody ever changed.
    #[test]
    fn changes_are_where_the_database_has_them() {
        let year = ["2026-06-01T00:00:00Z", "2026-12-31T00:00:00Z"];
        let of = |zone| lines(zone, year[0], year[1]);
        assert_eq!(
            of("Europe/Lisbon"),
            [
                "2026-03-29 01:00:00 +00:00 +01:00 WEST true",
                "2026-10-25 02:00:00 +01:00 +00:00 WET false",
            ]
        );
        assert_eq!(
            of("Australia/Lord_Howe"),
            [
                "2026-04-05 02:00:00 +11:00 +10:30 +1030 false",
                "2026-10-04 02:00:00 +10:30 +11:00 +11 true",
            ]
        );
        assert_eq!(
            lines("America/Sao_Paulo", "2018-12-01T00:00:00Z", year[1]),
            [
                "2018-11-04 00:00:00 -03:00 -02:00 -02 true",
                "2019-02-17 00:00:00 -02:00 -03:00 -03 false",
            ]
        );
        assert_eq!(
            lines(
                "Africa/Casablanca",
                "2026-01-01T00:00:00Z",
                "2026-03-31T00:00:00Z"
            ),
            [
                "2025-04-06 02:00:00 +00:00 +01:00 +01 false",
                "2026-02-15 03:00:00 +01:00 +00:00 +00 false",
                "2026-03-22 02:00:00 +00:00 +01:00 +01 false",
            ]
        );
        assert_eq!(
            of("Asia/Kolkata"),
            ["1970-01-01 05:30:00 +05:30 +05:30 IST false"]
        );
        assert_eq!(of("UTC"), ["1970-01-01 00:00:00 +00:00 +00:00 UTC false"]);
    }

    /// Guards both ends: an onset on the very instant counts, and nothing is older than the span
    /// of those who ask about what was before 1970.
    #[test]
    fn a_span_of_one_instant_has_one_observance() {
        let at = "2026-03-29T01:00:00Z";
        let found = observances("Europe/Berlin", at, at);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].name, "CEST");
        let later = observances(
            "Europe/Berlin",
            "2026-03-29T00:59:59.9Z",
            "2026-03-29T01:00:00.9Z",
        );
        let names: Vec<&str> = later.iter().map(|one| one.name.as_str()).collect();
        assert_eq!(names, ["CET", "CEST"]);
        assert_eq!(later[1].onset, at.parse::<DateTime<Utc>>().unwrap());
        let old = "1969-07-20T20:17:40Z";
        let found = observances("Europe/Berlin", old, old);
        assert_eq!(found[0].onset, old.parse::<DateTime<Utc>>().unwrap());
    }

    /// Guards [`STRIDE`]: what stands in no observance would be an hour wrong in every calendar.
    #[test]
    fn every_zone_is_at_all_times_as_its_observance_says() {
        let from: DateTime<Utc> = "1970-01-01T00:00:00Z".parse().unwrap();
        let to: DateTime<Utc> = "2040-01-01T00:00:00Z".parse().unwrap();
        for zone in SiteZone::all() {
            let mut left = zone.observances(from, to).into_iter().peekable();
            let mut now = left.next().unwrap();
            let mut at = from;
            while at < to {
                if let Some(next) = left.next_if(|next| next.onset <= at) {
                    assert_eq!(next.before, now.offset, "{zone} {at}");
                    now = next;
                }
                let shown = zone.offset(at);
                assert_eq!(now.offset, shown.fix(), "{zone} {at}");
                let named = shown.abbreviation().is_none_or(|name| name == now.name);
                assert!(named, "{zone} {at} {}", now.name);
                at += TimeDelta::hours(12);
            }
        }
    }
}
