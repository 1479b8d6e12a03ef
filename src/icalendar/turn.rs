//! What a turn is called in people's calendars, so that a letter and what they subscribe to
//! show the same one.

use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use wormrota_domain::ids::{MemberId, TurnId};

/// The UID of a member's turn (RFC 7986, 5.3). `domain` is the part behind the `@` of the address
/// from which letters come.
#[must_use]
pub fn uid_of_turn(turn: TurnId, member: MemberId, domain: &str) -> String {
    format!("{turn}.{member}@{domain}")
}

/// The UID of a turn that is nobody's own, in the calendar of its bin: another thing than what
/// its holders have in theirs.
#[must_use]
pub fn uid_of_bins_turn(turn: TurnId, domain: &str) -> String {
    format!("{turn}@{domain}")
}

/// The SEQUENCE of what is said about a turn at an instant: seconds since 2020, so that what is
/// said later replaces what was said before (RFC 5546, 2.1.4), whoever says it, and nobody has
/// to remember a number. The format's INTEGER ends in 2088.
#[must_use]
pub fn sequence_at(at: DateTime<Utc>) -> u32 {
    const EPOCH: Option<NaiveDate> = NaiveDate::from_ymd_opt(2020, 1, 1);
    let epoch = EPOCH.map_or(DateTime::UNIX_EPOCH, |day| {
        day.and_time(NaiveTime::MIN).and_utc()
    });
    let most = i64::from(i32::MAX);
    let seconds = (at - epoch).num_seconds().clamp(0, most);
    u32::try_from(seconds).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> DateTime<Utc> {
        text.parse().unwrap()
    }

    /// Protects calendars from an older letter that takes back what a newer one said, and from
    /// numbers that the format does not know.
    #[test]
    fn what_is_said_later_has_the_larger_sequence() {
        assert_eq!(sequence_at(at("2019-06-01T00:00:00Z")), 0);
        assert_eq!(sequence_at(at("2020-01-01T00:00:59Z")), 59);
        let now = sequence_at(at("2026-11-25T12:00:00Z"));
        assert_eq!(sequence_at(at("2026-11-25T12:00:01Z")), now + 1);
        assert_eq!(sequence_at(at("2190-01-01T00:00:00Z")), 2_147_483_647);
    }
}
