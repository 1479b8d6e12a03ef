//! A call does what its diagram says, and nothing else.

use super::answer::AnswerState;
use super::call::{Call, CallState};
use super::event::{CallRefusal, Event};
use super::need::Verdict;
use crate::ids::MemberId;
use chrono::{DateTime, TimeDelta, Utc};
use uuid::Uuid;

const NOW: DateTime<Utc> = DateTime::UNIX_EPOCH;

fn turn_at() -> DateTime<Utc> {
    NOW + TimeDelta::days(5)
}

fn settled_at() -> DateTime<Utc> {
    NOW + TimeDelta::days(4)
}

fn member(n: u128) -> MemberId {
    MemberId(Uuid::from_u128(n))
}

fn asked(whom: &[u128]) -> Event {
    Event::Asked {
        whom: whom.iter().copied().map(member).collect(),
        answer_by: NOW + TimeDelta::days(1),
    }
}

fn yes(by: u128) -> Event {
    Event::Yes {
        by: member(by),
        may_hold: true,
    }
}

fn came_back(may_hold: bool) -> Event {
    Event::CameBack { may_hold }
}

fn no(by: u128) -> Event {
    Event::No { by: member(by) }
}

fn after(events: &[Event]) -> Call {
    let call = Call::begin(turn_at(), settled_at());
    let next = |call: Call, event| call.after(event, NOW).unwrap();
    events.iter().fold(call, next)
}

fn answers(call: &Call) -> Vec<&'static str> {
    let codes = call.answers.values().map(|answer| answer.state.code());
    codes.collect()
}

/// Guards a place from two helpers, and those who were not faster from waiting for an answer.
#[test]
fn the_first_yes_takes_it_and_the_others_hear_of_it() {
    let before = after(&[asked(&[1, 2, 3]), no(2)]);
    let call = before.after(&yes(1), NOW).unwrap();
    assert_eq!(
        (call.state, call.helper),
        (CallState::Covered, Some(member(1)))
    );
    assert_eq!(answers(&call), ["yes", "no", "closed"]);
    assert_eq!(call.closed_since(&before), [member(3)]);
    assert_eq!(call.after(&yes(3), NOW), Err(CallRefusal::Taken));
}

/// Guards against asking somebody a second time, whatever they said.
#[test]
fn nobody_is_asked_twice() {
    let before = after(&[asked(&[1, 2]), no(1)]);
    for who in [1, 2] {
        let refused = before.after(&asked(&[3, who]), NOW);
        assert_eq!(refused, Err(CallRefusal::AskedBefore(member(who))));
    }
    let call = after(&[asked(&[1, 2]), yes(1), Event::GivenBack]);
    assert_eq!(answers(&call), ["given_back", "closed"]);
    assert!(call.after(&asked(&[2]), NOW).is_err());
    let again = call.after(&yes(2), NOW).unwrap();
    assert_eq!(again.helper, Some(member(2)));
}

/// Guards the next helper's time: shortly before the turn a yes stands, unless the helper
/// cannot come.
#[test]
fn a_yes_is_given_back_while_there_is_time() {
    let call = after(&[asked(&[1]), yes(1)]);
    let back = call.after(&Event::GivenBack, settled_at() - TimeDelta::seconds(1));
    assert_eq!(back.map(|call| call.state), Ok(CallState::Open));
    let late = call.after(&Event::GivenBack, settled_at());
    assert_eq!(late, Err(CallRefusal::TooLate));
    let away = call.after(&Event::HelperAway, settled_at()).unwrap();
    assert_eq!((away.state, away.helper), (CallState::Open, None));
}

/// Guards hard rules, and bins that need somebody.
#[test]
fn what_may_not_be_is_refused() {
    let call = after(&[asked(&[1])]);
    let by = member(1);
    let forbidden = Event::Yes {
        by,
        may_hold: false,
    };
    assert_eq!(call.after(&forbidden, NOW), Err(CallRefusal::MayNotHold));
    let back = call.after(&came_back(false), NOW);
    assert_eq!(back, Err(CallRefusal::MayNotHold));
    let need = Verdict::Needed;
    let empty = call.after(&Event::LeftEmpty { need }, NOW);
    assert_eq!(empty, Err(CallRefusal::Needed));
    assert_eq!(call.after(&no(2), NOW), Err(CallRefusal::NotAsked));
    assert_eq!(call.after(&yes(1), turn_at()), Err(CallRefusal::Over));
    let early = call.after(&Event::TurnOver, turn_at() - TimeDelta::seconds(1));
    assert_eq!(early, Err(CallRefusal::NotOver));
}

/// Guards the diagram: every event in every state, and where it leads.
#[test]
fn every_event_leads_where_the_diagram_says() {
    let empty = Event::LeftEmpty {
        need: Verdict::Helpful,
    };
    let to = member(9);
    let assigned = Event::Assigned { to, may_hold: true };
    let states = [
        ("open", vec![]),
        ("nobody", vec![Event::NobodyLeft]),
        ("covered", vec![yes(1)]),
        ("left_empty", vec![empty.clone()]),
        ("withdrawn", vec![came_back(true)]),
    ];
    let events = [
        (yes(2), ["covered", "covered", "-", "-", "-"]),
        (assigned, ["covered", "covered", "-", "-", "-"]),
        (Event::GivenBack, ["-", "-", "open", "-", "-"]),
        (Event::HelperAway, ["-", "-", "open", "-", "-"]),
        (empty, ["left_empty", "left_empty", "-", "-", "-"]),
        (Event::NeededAgain, ["-", "-", "-", "open", "-"]),
        (
            came_back(true),
            ["withdrawn", "withdrawn", "-", "withdrawn", "-"],
        ),
        (Event::NobodyLeft, ["nobody", "-", "-", "-", "-"]),
        (asked(&[4]), ["open", "nobody", "-", "-", "-"]),
    ];
    for (column, (state, path)) in states.iter().enumerate() {
        let call = after(path);
        assert_eq!(call.state.code(), *state);
        for (event, leads) in &events {
            let found = call.after(event, NOW);
            let found = found.map_or("-", |call| call.state.code());
            assert_eq!(found, leads[column], "{event:?} in {state}");
        }
        let over = call.after(&Event::TurnOver, turn_at()).unwrap();
        let missed = ["open", "nobody"].contains(state);
        assert_eq!(over.state == CallState::Missed, missed, "{state}");
        assert_eq!(missed, call.state.is_open());
    }
}

/// Guards those asked from a question that has no use any more, and what they say all the same.
#[test]
fn when_a_call_ends_nobody_has_to_answer() {
    let need = Verdict::NotNeeded;
    for ends in [Event::LeftEmpty { need }, came_back(true)] {
        let call = after(&[asked(&[1, 2]), no(1), ends]);
        assert_eq!(answers(&call), ["no", "closed"]);
        let late = call.after(&no(2), NOW).unwrap();
        assert_eq!(late.answers[&member(2)].state, AnswerState::No);
    }
}
