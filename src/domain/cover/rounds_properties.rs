//! What holds for every round of every call.

use super::call::Call;
use super::candidates::Candidate;
use super::event::Event;
use super::manner::Manner;
use super::rounds::{Next, Search};
use crate::ids::MemberId;
use chrono::{DateTime, TimeDelta, Timelike, Utc};
use proptest::prelude::*;
use std::collections::BTreeMap;
use uuid::Uuid;

const NOW: DateTime<Utc> = DateTime::UNIX_EPOCH;

fn candidates() -> impl Strategy<Value = Vec<Candidate>> {
    let asked = prop::collection::vec(1_i64..40 * 24, 0..4);
    let one = (-3_000_i64..3_000, -1_i8..=1, asked);
    prop::collection::vec(one, 0..24).prop_map(|people| {
        let person = |(n, (balance_milli, wish, asked)): (usize, (i64, i8, Vec<i64>))| Candidate {
            member: MemberId(Uuid::from_u128(n as u128)),
            balance_milli,
            wish,
            asked_at: (asked.iter())
                .map(|ago| NOW - TimeDelta::hours(*ago))
                .collect(),
        };
        people.into_iter().enumerate().map(person).collect()
    })
}

/// Quiet from nine in the evening to eight in the morning.
fn nights(at: DateTime<Utc>) -> Option<DateTime<Utc>> {
    let morning = at.date_naive().and_hms_opt(8, 0, 0).unwrap().and_utc();
    match at.hour() {
        0..8 => Some(morning),
        21.. => Some(morning + TimeDelta::days(1)),
        _ => None,
    }
}

/// What a call saw that nobody answered: when each was asked, when the caretaker was told, and
/// when it was looked at last.
struct Seen {
    asked: BTreeMap<MemberId, Vec<DateTime<Utc>>>,
    told: Vec<DateTime<Utc>>,
}

/// Runs a call to its end, looking only when it said to, and nobody answers.
fn unanswered(
    people: &[Candidate],
    minutes: i64,
    deadline: Option<i64>,
    begin: DateTime<Utc>,
) -> Seen {
    let turn_at = begin + TimeDelta::minutes(minutes);
    let deadline = deadline.map(|minutes| begin + TimeDelta::minutes(minutes));
    let mut call = Call::begin(turn_at, turn_at);
    let mut now = begin;
    let mut seen = Seen {
        asked: BTreeMap::new(),
        told: Vec::new(),
    };
    let manner = Manner::default();
    for _ in 0..1_000 {
        let search = Search {
            call: &call,
            others: &[],
            candidates: people,
            deadline,
            now,
        };
        match search.next(&manner, nights) {
            Next::Ask { whom, answer_by } => {
                assert!(!whom.is_empty() && answer_by > now && answer_by <= turn_at);
                for member in &whom {
                    seen.asked.entry(*member).or_default().push(now);
                }
                let event = Event::Asked { whom, answer_by };
                call = call.after(&event, now).unwrap();
            }
            Next::Escalate { at } => {
                assert_eq!(at, search.escalate_at(&manner));
                seen.told.push(now);
                call = call.after(&Event::NobodyLeft, now).unwrap();
            }
            Next::Wait { until } => {
                assert!(until > now, "waits for {until} at {now}");
                now = until;
            }
            Next::Settled => return seen,
        }
    }
    panic!("no end");
}

proptest! {
    /// Guards the bin: with less time never fewer are asked in an hour.
    #[test]
    fn less_time_never_means_fewer_asked_in_an_hour(
        people in 1_u32..200,
        minutes in 0_i64..60 * 24 * 40,
        less in 0_i64..60 * 24 * 10,
    ) {
        let manner = Manner::default();
        let tempo = |minutes| {
            let end = NOW + TimeDelta::minutes(minutes);
            manner.tempo((NOW, end), people as usize, |_| None)
        };
        let much = tempo(minutes);
        let little = tempo((minutes - less).max(0));
        // People an hour, both sides times both answers' length.
        let pace = |n: usize, other: TimeDelta| i64::try_from(n).unwrap() * other.num_minutes();
        prop_assert!(
            pace(little.at_once, much.answer) >= pace(much.at_once, little.answer),
            "{much:?} with {minutes}, {little:?} with {less} less"
        );
    }

    /// Guards everybody's patience, nights, and the caretaker's time, whatever the call.
    #[test]
    fn an_unanswered_call_begs_nobody_and_reaches_the_caretaker(
        people in candidates(),
        hour in 0_i64..24,
        minutes in 1_i64..60 * 24 * 30,
        deadline in prop::option::of(0_i64..60 * 24 * 30),
    ) {
        let begin = NOW + TimeDelta::hours(hour);
        let seen = unanswered(&people, minutes, deadline, begin);
        for (member, asked) in &seen.asked {
            prop_assert_eq!(asked.len(), 1, "{} asked more than once", member);
            prop_assert_eq!(nights(asked[0]), None);
            let person = people.iter().find(|one| one.member == *member).unwrap();
            let week = asked[0] - TimeDelta::days(7);
            let times = person.asked_at.iter().filter(|at| **at > week).count();
            prop_assert!(times < Manner::default().most_in_a_week);
        }
        prop_assert_eq!(seen.told.len(), 1);
        let last = deadline.map_or(minutes, |deadline| deadline.min(minutes));
        let at = begin + TimeDelta::minutes(last) - Manner::default().lead;
        prop_assert!(seen.told[0] <= at.max(begin));
    }

    /// Guards against telling the caretaker that nobody was found before everybody was asked:
    /// where there are two days left for it and nobody was asked lately, all are.
    #[test]
    fn with_time_everybody_is_asked_first(
        mut people in candidates(),
        hour in 0_i64..24,
        minutes in 60 * 24 * 3_i64..60 * 24 * 30,
    ) {
        for person in &mut people {
            person.asked_at.clear();
        }
        let seen = unanswered(&people, minutes, Some(minutes), NOW + TimeDelta::hours(hour));
        prop_assert_eq!(seen.asked.len(), people.len());
        prop_assert!(seen.asked.values().all(|asked| asked[0] < seen.told[0]));
    }

    /// Guards neighbours from a crowd of letters about a turn that the bin can do without, also
    /// where little time is left.
    #[test]
    fn few_are_asked_about_what_is_not_needed(
        people in candidates(),
        hour in 0_i64..24,
        minutes in 1_i64..60 * 24 * 30,
    ) {
        let manner = Manner::default();
        let seen = unanswered(&people, minutes, None, NOW + TimeDelta::hours(hour));
        prop_assert!(seen.asked.len() <= manner.most_if_not_needed);
        let mut at_once: BTreeMap<DateTime<Utc>, usize> = BTreeMap::new();
        for at in seen.asked.values().flatten() {
            *at_once.entry(*at).or_default() += 1;
        }
        prop_assert!(at_once.values().all(|many| *many <= manner.least_at_once));
        let mut moments = at_once.keys();
        let first = moments.next();
        let pause = first.zip(moments.next()).map(|(one, next)| *next - *one);
        prop_assert!(pause.is_none_or(|pause| pause >= manner.awake));
    }

    /// Guards against favours of the list's order.
    #[test]
    fn the_order_of_the_list_does_not_matter(
        people in candidates(),
        shuffled in any::<prop::sample::Index>(),
        minutes in 1_i64..60 * 24 * 30,
    ) {
        let turn_at = NOW + TimeDelta::minutes(minutes);
        let call = Call::begin(turn_at, turn_at);
        let mut others = people.clone();
        if !others.is_empty() {
            let by = shuffled.index(others.len());
            others.rotate_left(by);
            others.reverse();
            others.push(others[0].clone());
        }
        let next = |candidates: &[Candidate]| {
            let deadline = Some(turn_at);
            let search = Search { call: &call, others: &[], candidates, deadline, now: NOW };
            search.next(&Manner::default(), |_| None)
        };
        prop_assert_eq!(next(&people), next(&others));
    }

    /// Guards the order: who owes more, likes the day better or was asked less, all else the
    /// same, is never asked later.
    #[test]
    fn to_owe_more_never_means_to_be_asked_later(
        people in candidates(),
        owes in 0_i64..5_000,
        likes in 0_i8..=2,
    ) {
        for person in people {
            let manner = Manner::default();
            let mut sooner = person.clone();
            sooner.balance_milli -= owes;
            sooner.wish = (sooner.wish + likes).min(1);
            sooner.asked_at.pop();
            let (one, other) = (sooner.rank_milli(&manner, NOW), person.rank_milli(&manner, NOW));
            prop_assert!(one <= other);
        }
    }
}
