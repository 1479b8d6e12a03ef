//! How often something may be done in a span of time, counted by all copies together.
//!
//! Spans follow one another at fixed times. What is used in one stands in a row that every
//! copy adds to in one statement: of the numbers up to the sum it gets back, those within the
//! limit are its own and nobody else's, so that all copies together never grant more. A copy
//! may take a lot of several at once and hand it out by itself; what it has left when the span
//! ends is lost, which errs on the careful side.

use super::{Desk, DeskError};
use crate::store::{Conn, allowances};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use std::collections::{BTreeMap, HashMap};
use std::sync::{Mutex, PoisonError};

/// Kinds of allowances by the word that stands in the database, with their span in minutes.
pub(crate) const KINDS: [(&str, i64); 9] = [
    (REQUESTS, 1),
    (ANONYMOUS, 1),
    (PASSWORDS_HERE, 15),
    (PASSWORDS_ELSEWHERE, 24 * 60),
    (PASSWORDS_FROM_ADDRESS, 60),
    (PASSWORD_CHANGES, 15),
    (LETTERS_TO, 10),
    (LETTERS_FROM, 60),
    (LETTERS_SENT, 60),
];

/// Requests of an account.
pub(crate) const REQUESTS: &str = "requests";
/// Requests from an address that is not signed in.
pub(crate) const ANONYMOUS: &str = "anonymous_requests";
/// Passwords tried for one typed address from one place.
pub(super) const PASSWORDS_HERE: &str = "passwords_here";
/// Passwords tried for one typed address from unfamiliar places.
pub(super) const PASSWORDS_ELSEWHERE: &str = "passwords_elsewhere";
/// Passwords tried from one unfamiliar place.
pub(super) const PASSWORDS_FROM_ADDRESS: &str = "passwords_from_address";
/// Current passwords tried to change a password.
pub(super) const PASSWORD_CHANGES: &str = "password_changes";
/// Letters with a link to one typed address.
pub(super) const LETTERS_TO: &str = "letters_to";
/// Letters with a link asked for from one place.
pub(super) const LETTERS_FROM: &str = "letters_from";
/// Letters that one address gets, of whatever kind.
pub(super) const LETTERS_SENT: &str = "letters_sent";

/// Keys whose lots a copy holds before it forgets those of spans that have ended.
const MANY_KEYS: usize = 10_000;

/// How much of something may be had in a span.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Allowance {
    counted: &'static str,
    most: u32,
    span: TimeDelta,
    lot: u32,
}

impl Allowance {
    /// An allowance of one of the [`KINDS`]; nothing where `most` is 0, which means no limit.
    #[must_use]
    pub(crate) fn of(counted: &'static str, most: u32) -> Option<Self> {
        let (_, minutes) = KINDS.iter().find(|(kind, _)| *kind == counted)?;
        (most > 0).then_some(Self {
            counted,
            most,
            span: TimeDelta::minutes(*minutes),
            lot: 1,
        })
    }

    /// Taken in lots of so many, at least one.
    #[must_use]
    pub(crate) fn in_lots_of(self, lot: u32) -> Self {
        Self {
            lot: lot.max(1),
            ..self
        }
    }

    fn start(&self, wall: DateTime<Utc>) -> DateTime<Utc> {
        let into = wall.timestamp().rem_euclid(self.span.num_seconds());
        let second = wall.timestamp() - into;
        DateTime::from_timestamp(second, 0).unwrap_or(wall)
    }

    /// When the next span begins.
    pub(super) fn next_span(&self, wall: DateTime<Utc>) -> DateTime<Utc> {
        self.start(wall) + self.span
    }

    fn verdict(&self, allowed: bool, left: u32, wall: DateTime<Utc>) -> Verdict {
        let ends = self.next_span(wall);
        let seconds = u64::try_from((ends - wall).num_seconds()).unwrap_or(0);
        Verdict {
            allowed,
            most: self.most,
            span_s: self.span.num_seconds().unsigned_abs(),
            left,
            // Rounded up: whoever comes back then is in the next span.
            resets_in_s: seconds + 1,
        }
    }
}

/// Whether there was some left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Verdict {
    /// Whether this one was within the limit.
    pub allowed: bool,
    /// The limit.
    pub most: u32,
    /// Seconds of a span.
    pub span_s: u64,
    /// How many are left in this span, as far as this copy knows.
    pub left: u32,
    /// Seconds until the next span begins, rounded up.
    pub resets_in_s: u64,
}

/// What this copy holds of each allowance.
#[derive(Debug, Default)]
pub struct Lots(Mutex<HashMap<Key, Held>>);

type Key = (&'static str, [u8; 32]);

#[derive(Debug, Clone, Copy)]
struct Held {
    start: DateTime<Utc>,
    /// Taken and not handed out yet.
    in_hand: u32,
    /// Taken by nobody when the row was last seen.
    elsewhere: u32,
}

impl Lots {
    /// Hands out of what is held; nothing when the row has to be asked.
    fn hand_out(&self, key: Key, allowance: &Allowance, wall: DateTime<Utc>) -> Option<Verdict> {
        let mut lots = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let held = lots.get_mut(&key)?;
        if held.start != allowance.start(wall) {
            return None;
        }
        if held.in_hand > 0 {
            held.in_hand -= 1;
            Some(allowance.verdict(true, held.in_hand + held.elsewhere, wall))
        } else {
            (held.elsewhere == 0).then(|| allowance.verdict(false, 0, wall))
        }
    }

    /// Adds a lot, one of which is handed out at once.
    fn put(
        &self,
        key: Key,
        allowance: &Allowance,
        granted: u32,
        elsewhere: u32,
        wall: DateTime<Utc>,
    ) -> Verdict {
        let start = allowance.start(wall);
        let mut lots = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if lots.len() > MANY_KEYS {
            // What is taken here has spans of a minute.
            lots.retain(|_, held| wall - held.start < TimeDelta::minutes(1));
        }
        let held = lots.entry(key).or_insert(Held {
            start,
            in_hand: 0,
            elsewhere,
        });
        if held.start != start {
            *held = Held {
                start,
                in_hand: 0,
                elsewhere,
            };
        }
        held.in_hand += granted;
        held.elsewhere = elsewhere.min(held.elsewhere);
        let allowed = held.in_hand > 0;
        held.in_hand = held.in_hand.saturating_sub(1);
        allowance.verdict(allowed, held.in_hand + held.elsewhere, wall)
    }
}

/// Of the last `wanted` that were added to reach `used`, how many lie within the limit; and
/// how many are left after them.
fn within(most: u32, used: i64, wanted: u32) -> (u32, u32) {
    let left = |used: i64| u32::try_from(i64::from(most) - used).unwrap_or(0);
    (left(used - i64::from(wanted)).min(wanted), left(used))
}

impl Desk {
    /// Takes one of an allowance for somebody, out of a lot where the allowance is taken in
    /// lots. `wall` is the machine's time.
    ///
    /// # Errors
    /// When the database cannot be reached.
    pub(crate) async fn take(
        &self,
        allowance: Allowance,
        whom: [u8; 32],
        wall: DateTime<Utc>,
    ) -> Result<Verdict, DeskError> {
        let key = (allowance.counted, whom);
        if let Some(verdict) = self.lots.hand_out(key, &allowance, wall) {
            return Ok(verdict);
        }
        let (start, lot) = (allowance.start(wall), allowance.lot);
        let used = self
            .store
            .transact("take an allowance", key, move |conn, (counted, whom)| {
                async move {
                    let used = allowances::take(conn, counted, whom, start, lot.into()).await?;
                    Ok::<_, DeskError>(used)
                }
                .boxed()
            })
            .await?;
        let (granted, elsewhere) = within(allowance.most, used, lot);
        Ok(self.lots.put(key, &allowance, granted, elsewhere, wall))
    }
}

/// Takes as many of an allowance as each of several wants, as far as there are some; says how
/// many each has got.
pub(super) async fn take_each(
    conn: &mut Conn,
    allowance: Allowance,
    wanted: &BTreeMap<[u8; 32], u32>,
    wall: DateTime<Utc>,
) -> Result<BTreeMap<[u8; 32], u32>, DeskError> {
    let start = allowance.start(wall);
    let used = allowances::take_each(conn, allowance.counted, wanted, start).await?;
    let used: HashMap<Vec<u8>, i64> = used.into_iter().collect();
    let mut granted = BTreeMap::new();
    for (whom, wanted) in wanted {
        let used = used.get(whom.as_slice()).copied().unwrap_or(i64::MAX);
        let (got, _) = within(allowance.most, used, *wanted);
        if got < *wanted {
            give_back(conn, allowance, whom, *wanted - got, wall).await?;
        }
        granted.insert(*whom, got);
    }
    Ok(granted)
}

/// Takes one of an allowance within a transaction, always asking the row.
pub(super) async fn take(
    conn: &mut Conn,
    allowance: Allowance,
    whom: &[u8; 32],
    wall: DateTime<Utc>,
) -> Result<Verdict, DeskError> {
    let start = allowance.start(wall);
    let used = allowances::take(conn, allowance.counted, whom, start, 1).await?;
    let (granted, left) = within(allowance.most, used, 1);
    Ok(allowance.verdict(granted == 1, left, wall))
}

/// Gives back some that were taken at `wall`.
pub(super) async fn give_back(
    conn: &mut Conn,
    allowance: Allowance,
    whom: &[u8; 32],
    how_many: u32,
    wall: DateTime<Utc>,
) -> Result<(), DeskError> {
    let start = allowance.start(wall);
    Ok(allowances::give_back(conn, allowance.counted, whom, start, how_many.into()).await?)
}

/// Forgets spans that are over; says how many.
pub(crate) async fn forget_old(conn: &mut Conn, wall: DateTime<Utc>) -> Result<usize, DeskError> {
    let mut forgotten = 0;
    for (counted, minutes) in KINDS {
        // Another copy's clock may be a little behind.
        let before = wall - TimeDelta::minutes(minutes + 5);
        forgotten += allowances::forget_before(conn, counted, before).await?;
    }
    Ok(forgotten)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(second: i64) -> DateTime<Utc> {
        DateTime::from_timestamp(1_800_000_000 + second, 0).unwrap()
    }

    #[test]
    fn lots_beyond_the_limit_are_cut_to_it() {
        assert_eq!(within(10, 4, 4), (4, 6));
        assert_eq!(within(10, 12, 4), (2, 0));
        assert_eq!(within(10, 16, 4), (0, 0));
        assert_eq!(within(10, i64::MAX, 4), (0, 0));
    }

    #[test]
    fn all_lots_together_are_the_limit_whatever_their_size() {
        for lot in 1..=12 {
            let mut used = 0;
            let granted: u32 = (0..40)
                .map(|_| {
                    used += i64::from(lot);
                    within(30, used, lot).0
                })
                .sum();
            assert_eq!(granted, 30, "lots of {lot}");
        }
    }

    #[test]
    fn a_span_begins_and_ends_for_everybody_at_once() {
        let minute = Allowance::of(REQUESTS, 5).unwrap();
        assert_eq!(minute.start(at(0)), at(0));
        assert_eq!(minute.start(at(59)), at(0));
        assert_eq!(minute.start(at(60)), at(60));
        assert_eq!(minute.verdict(true, 1, at(50)).resets_in_s, 11);
        assert_eq!(Allowance::of(REQUESTS, 0), None);
    }

    #[test]
    fn what_is_in_hand_is_handed_out_without_asking() {
        let (lots, allowance) = (Lots::default(), Allowance::of(REQUESTS, 5).unwrap());
        let key = (REQUESTS, [1; 32]);
        assert_eq!(lots.hand_out(key, &allowance, at(0)), None);
        let first = lots.put(key, &allowance, 2, 3, at(0));
        assert_eq!((first.allowed, first.left), (true, 4));
        let second = lots.hand_out(key, &allowance, at(1)).unwrap();
        assert_eq!((second.allowed, second.left), (true, 3));
        assert_eq!(lots.hand_out(key, &allowance, at(2)), None);
        let last = lots.put(key, &allowance, 0, 0, at(3));
        assert_eq!((last.allowed, last.left), (false, 0));
        assert!(!lots.hand_out(key, &allowance, at(4)).unwrap().allowed);
        assert_eq!(lots.hand_out(key, &allowance, at(60)), None);
    }
}
