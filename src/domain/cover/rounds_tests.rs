//! Who is asked when, in plain cases.

use super::answer::AnswerState;
use super::call::Call;
use super::candidates::{Candidate, may_come};
use super::event::Event;
use super::manner::{Manner, Tempo};
use super::rounds::{Next, Search};
use crate::ids::MemberId;
use crate::rota::index::{MemberIndex, TurnIndex};
use crate::rota::input::{Input, MemberInput, TurnInput};
use crate::rota::{Plan, Snapshot};
use chrono::{DateTime, TimeDelta, TimeZone, Timelike, Utc};
use uuid::Uuid;

/// Nine in the morning of a Monday.
fn now() -> DateTime<Utc> {
    Utc.with_ymd_and_hms(2026, 6, 1, 9, 0, 0).unwrap()
}

fn hours(hours: i64) -> DateTime<Utc> {
    now() + TimeDelta::hours(hours)
}

fn member(n: u128) -> MemberId {
    MemberId(Uuid::from_u128(n))
}

fn people(count: u128) -> Vec<Candidate> {
    let person = |n| Candidate {
        member: member(n),
        balance_milli: 0,
        wish: 0,
        asked_at: Vec::new(),
    };
    (1..=count).map(person).collect()
}

fn call(turn_in_hours: i64) -> Call {
    Call::begin(hours(turn_in_hours), hours(turn_in_hours - 24))
}

const fn never(_: DateTime<Utc>) -> Option<DateTime<Utc>> {
    None
}

/// From nine in the evening to eight in the morning.
fn nights(at: DateTime<Utc>) -> Option<DateTime<Utc>> {
    let morning = at.date_naive().and_hms_opt(8, 0, 0).unwrap().and_utc();
    match at.hour() {
        0..8 => Some(morning),
        21.. => Some(morning + TimeDelta::days(1)),
        _ => None,
    }
}

/// What is to be done about a call whose bin needs somebody by the end of the turn.
fn next(call: &Call, candidates: &[Candidate], at: DateTime<Utc>) -> Next {
    let search = Search {
        call,
        others: &[],
        candidates,
        deadline: Some(call.turn_at),
        now: at,
    };
    search.next(&Manner::default(), nights)
}

fn ask(whom: &[u128], answer_by: DateTime<Utc>) -> Next {
    let whom = whom.iter().copied().map(member).collect();
    Next::Ask { whom, answer_by }
}

/// Does what was decided, and gives the call after it.
fn done(call: &Call, next: &Next, at: DateTime<Utc>) -> Call {
    let event = match next.clone() {
        Next::Ask { whom, answer_by } => Event::Asked { whom, answer_by },
        Next::Escalate { .. } => Event::NobodyLeft,
        other => panic!("{other:?}"),
    };
    call.after(&event, at).unwrap()
}

/// Guards neighbours from a crowd of letters where there is much time, and the bin from a slow
/// search where there is little.
#[test]
fn the_less_time_the_more_are_asked_at_once_and_the_shorter_they_have() {
    let tempo =
        |hours| Manner::default().tempo((now(), now() + TimeDelta::hours(hours)), 12, never);
    let of = |at_once, hours| Tempo {
        at_once,
        answer: TimeDelta::hours(hours),
    };
    assert_eq!(tempo(24 * 14), of(2, 48));
    assert_eq!(tempo(24 * 8), of(3, 48));
    assert_eq!(tempo(24 * 4), of(3, 24));
    assert_eq!(tempo(24), of(3, 6));
    assert_eq!(tempo(12), of(3, 3));
    assert_eq!(tempo(11), of(12, 3));
    assert_eq!(tempo(0), of(12, 3));
}

/// Guards a house from a letter to everybody about a turn that would only be nice to have: a late
/// call for it asks two, waits, and stops after six.
#[test]
fn few_are_asked_late_about_a_turn_that_the_bin_can_do_without() {
    let candidates = people(23);
    let mut call = call(20);
    let mut rounds = Vec::new();
    let mut now = now();
    loop {
        let search = Search {
            call: &call,
            others: &[],
            candidates: &candidates,
            deadline: None,
            now,
        };
        match search.next(&Manner::default(), never) {
            Next::Wait { until } => now = until,
            Next::Settled => break,
            next => {
                if let Next::Ask { whom, .. } = &next {
                    rounds.push((now, whom.len()));
                }
                call = done(&call, &next, now);
            }
        }
    }
    assert_eq!(rounds, [(hours(0), 2), (hours(3), 2), (hours(6), 2)]);
}

/// Guards neighbours who pack their bags, and who is back by then or goes only later.
#[test]
fn who_leaves_the_day_after_a_turn_is_not_asked_about_it() {
    let turn = now().date_naive();
    let leaves = |days| Manner::default().leaves_too_soon(turn, turn + TimeDelta::days(days));
    assert_eq!([-1, 0, 1, 2].map(leaves), [false, true, true, false]);
}

/// Guards whoever did much, and whoever was asked much.
#[test]
fn who_owes_is_asked_first_then_wishes_and_past_questions_tell() {
    let mut candidates = people(5);
    candidates[0].balance_milli = 2_000;
    candidates[1].wish = -1;
    candidates[2].asked_at = vec![now() - TimeDelta::days(10)];
    candidates[3].wish = 1;
    candidates[4].balance_milli = -1_500;
    let manner = Manner::default();
    let ranks = candidates.iter().map(|one| one.rank_milli(&manner, now()));
    assert_eq!(
        ranks.collect::<Vec<_>>(),
        [2_000, 1_000, 500, -1_000, -1_500]
    );
    let by = now() + TimeDelta::hours(48);
    assert_eq!(next(&call(24 * 15), &candidates, now()), ask(&[5, 4], by));
    candidates[2].asked_at = vec![now() - TimeDelta::days(28)];
    assert_eq!(candidates[2].rank_milli(&manner, now()), 0);
}

/// Guards people's time to answer: the next are asked when it is up, or when all have said no.
#[test]
fn a_round_ends_with_its_last_answer_or_its_time() {
    let candidates = people(5);
    let begun = call(24 * 15);
    let asked = done(&begun, &next(&begun, &candidates, now()), now());
    let until = hours(48);
    assert_eq!(next(&asked, &candidates, hours(1)), Next::Wait { until });
    let say_no = |call: &Call, by| call.after(&Event::No { by: member(by) }, hours(1)).unwrap();
    let one_no = say_no(&asked, 1);
    assert_eq!(next(&one_no, &candidates, hours(1)), Next::Wait { until });
    let both_no = say_no(&one_no, 2);
    assert_eq!(
        next(&both_no, &candidates, hours(1)),
        ask(&[3, 4], hours(49))
    );
    assert_eq!(next(&asked, &candidates, until), ask(&[3, 4], hours(96)));
}

/// Guards the caretaker's time: told a day before at the latest, at once where there is less,
/// and at once when nobody is left.
#[test]
fn the_caretaker_is_told_early_enough() {
    let mut search = Search {
        call: &call(24 * 10),
        others: &[],
        candidates: &[],
        deadline: Some(hours(100)),
        now: now(),
    };
    let at = hours(76);
    assert_eq!(
        search.next(&Manner::default(), never),
        Next::Escalate { at }
    );
    let candidates = people(1);
    search.candidates = &candidates;
    assert!(matches!(
        search.next(&Manner::default(), never),
        Next::Ask { .. }
    ));
    search.now = at;
    assert_eq!(
        search.next(&Manner::default(), never),
        Next::Escalate { at }
    );
    let late = call(20);
    let told = next(&late, &people(9), now());
    assert_eq!(told, Next::Escalate { at: hours(-4) });
    // The rest are asked all the same.
    let knows = done(&late, &told, now());
    assert_eq!(next(&knows, &people(9), now()), ask(&[1, 2, 3], hours(3)));
    assert_eq!(next(&knows, &people(9), hours(20)), Next::Settled);
}

/// Guards a bin whose need came to light while people were still thinking it over.
#[test]
fn a_deadline_that_comes_nearer_is_not_slept_through() {
    let begun = call(24 * 15);
    let candidates = people(2);
    let asked = done(&begun, &next(&begun, &candidates, now()), now());
    let mut search = Search {
        call: &asked,
        others: &[],
        candidates: &candidates,
        deadline: Some(hours(30)),
        now: hours(1),
    };
    let at = hours(6);
    let manner = Manner::default();
    assert_eq!(search.next(&manner, nights), Next::Wait { until: at });
    search.now = at;
    assert_eq!(search.next(&manner, nights), Next::Escalate { at });
}

/// Guards sleep: nobody is asked in the night, nor in the evening for an answer by the morning.
#[test]
fn quiet_hours_are_kept() {
    let night = hours(14);
    let until = hours(23);
    assert_eq!(
        next(&call(24 * 15), &people(3), night),
        Next::Wait { until }
    );
    let evening = hours(11) + TimeDelta::minutes(30);
    let soon = next(&call(24 + 36), &people(20), evening);
    let by = now() + TimeDelta::hours(24) + TimeDelta::minutes(30);
    let Next::Ask { answer_by, whom } = soon else {
        panic!("{soon:?}")
    };
    // Half an hour of the evening, and an hour and a half of the morning. One more round ends
    // before the next evening.
    assert_eq!((answer_by, whom.len()), (by, 10));
    // Nobody can be asked any more before the caretaker is told.
    let short = next(&call(24 + 20), &people(3), night);
    assert_eq!(short, Next::Escalate { at: hours(20) });
}

/// Guards people from letters every other day: twice in any seven days, over all calls.
#[test]
fn who_was_asked_twice_in_a_week_is_left_alone() {
    let mut candidates = people(1);
    let days = |days| now() - TimeDelta::days(days);
    candidates[0].asked_at = vec![days(1), days(6), days(20)];
    let until = hours(24);
    assert_eq!(
        next(&call(24 * 9), &candidates, now()),
        Next::Wait { until }
    );
    assert_eq!(
        next(&call(24 * 2), &candidates, now()),
        Next::Escalate { at: hours(24) }
    );
    assert_eq!(
        candidates[0].free_at(&Manner::default(), now()),
        Some(until)
    );
    let none = Manner {
        most_in_a_week: 0,
        ..Manner::default()
    };
    assert_eq!(candidates[0].free_at(&none, now()), None);
}

/// Guards hard rules: who is away, untrained or on the turn already is not asked, nor whoever is
/// not to be alone while nobody experienced is there.
#[test]
fn only_those_who_may_hold_the_place_come_into_question() {
    use crate::rota::index::BinIndex;
    let anybody = MemberInput {
        weekdays: [true; 7],
        absences: Vec::new(),
        bins: vec![BinIndex(0)],
        most_in_28_days: None,
        rest_days: 0,
        share: 60,
        balance: 0,
        wishes: [0; 7],
        experienced: false,
        not_alone: false,
        past: Vec::new(),
    };
    let mut members = vec![anybody; 6];
    members[0].absences = vec![(0, 2)];
    members[1].bins = Vec::new();
    members[2].not_alone = true;
    members[3].rest_days = 3;
    members[4].weekdays[1] = false;
    let turn = |day| TurnInput {
        bin: BinIndex(0),
        day,
        places: 2,
        effort: 1,
    };
    let input = Input {
        days: 7,
        bins: 1,
        members,
        turns: vec![turn(1), turn(4)],
        ..Input::default()
    };
    let snapshot = Snapshot::parse(input).unwrap();
    let (first, second) = (TurnIndex(0), TurnIndex(1));
    let rested = Plan::from_places(&snapshot, [(MemberIndex(3), second)]);
    assert_eq!(may_come(&snapshot, &rested, first), [MemberIndex(5)]);
    let empty = Plan::empty(&snapshot);
    let may = may_come(&snapshot, &empty, first);
    assert_eq!(may, [MemberIndex(3), MemberIndex(5)]);
    let there = Plan::from_places(&snapshot, [(MemberIndex(5), first)]);
    assert_eq!(may_come(&snapshot, &there, first), [MemberIndex(3)]);
}

/// Guards a late yes, and who may still give one.
#[test]
fn an_answer_is_awaited_until_its_time() {
    let begun = call(24 * 15);
    let asked = done(&begun, &next(&begun, &people(1), now()), now());
    let answer = asked.answers[&member(1)];
    assert_eq!((answer.state, answer.asked_at), (AnswerState::Asked, now()));
    assert!(answer.is_awaited(hours(47)) && !answer.is_awaited(hours(48)));
}
