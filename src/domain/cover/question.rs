//! One turn is one question, however many calls it has.
//!
//! Several of those who were to come to a turn may not be able to, and each has a call of their
//! own. But people are asked whether they can come to the turn: they hear of it once, their yes
//! counts for whichever place is free, and they need not come only when none is looked for.

use super::answer::AnswerState;
use super::call::{Call, CallState};
use crate::ids::MemberId;
use std::collections::BTreeSet;

/// For which of the calls of a turn, by position, a yes to one of them counts: that one while its
/// place is looked for, or else another one whose place is; then that one again where its place
/// was to stay empty. None where no place is free.
#[must_use]
pub fn yes_counts_for(calls: &[&Call], said_to: usize) -> Option<usize> {
    let is_open = |at: &usize| calls.get(*at).is_some_and(|call| call.state.is_open());
    let own = Some(said_to).filter(is_open);
    let other = own.or_else(|| (0..calls.len()).find(is_open));
    let empty = |call: &&&Call| call.state == CallState::LeftEmpty;
    other.or_else(|| calls.get(said_to).filter(empty).map(|_| said_to))
}

/// Those who were asked in one of the calls of a turn, have not answered and need not any more,
/// each with the position of the call in which they were: nobody while a place is still looked
/// for, and none of those who come.
#[must_use]
pub fn need_not_come(calls: &[&Call], come: &BTreeSet<MemberId>) -> Vec<(usize, MemberId)> {
    if calls.iter().any(|call| call.state.is_open()) {
        return Vec::new();
    }
    let closed = |(at, call): (usize, &&Call)| -> Vec<(usize, MemberId)> {
        let answers = call.answers.iter();
        let closed = answers.filter(|(_, answer)| answer.state == AnswerState::Closed);
        closed.map(|(member, _)| (at, *member)).collect()
    };
    let all = calls.iter().enumerate().flat_map(closed);
    all.filter(|(_, member)| !come.contains(member)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cover::event::Event;
    use crate::cover::need::Verdict;
    use chrono::{DateTime, TimeDelta, Utc};
    use uuid::Uuid;

    const NOW: DateTime<Utc> = DateTime::UNIX_EPOCH;

    fn member(n: u128) -> MemberId {
        MemberId(Uuid::from_u128(n))
    }

    fn after(call: &Call, event: &Event) -> Call {
        call.after(event, NOW).unwrap()
    }

    /// A call in which these were asked.
    fn asking(whom: &[u128]) -> Call {
        let call = Call::begin(NOW + TimeDelta::days(9), NOW + TimeDelta::days(8));
        let whom = whom.iter().copied().map(member).collect();
        let answer_by = NOW + TimeDelta::days(1);
        after(&call, &Event::Asked { whom, answer_by })
    }

    fn yes(call: &Call, by: u128) -> Call {
        let (by, may_hold) = (member(by), true);
        after(call, &Event::Yes { by, may_hold })
    }

    /// Protects a yes from being lost while a place of the turn is free, and helpers from hearing
    /// that somebody was quicker then.
    #[test]
    fn a_yes_counts_for_whichever_place_is_looked_for() {
        let (open, taken) = (asking(&[1, 2]), yes(&asking(&[3]), 3));
        let need = Verdict::NotNeeded;
        let empty = after(&open, &Event::LeftEmpty { need });
        assert_eq!(yes_counts_for(&[&open, &open], 1), Some(1));
        assert_eq!(yes_counts_for(&[&open, &taken], 1), Some(0));
        assert_eq!(yes_counts_for(&[&open, &empty], 1), Some(0));
        assert_eq!(yes_counts_for(&[&taken, &empty], 1), Some(1));
        assert_eq!(yes_counts_for(&[&taken, &empty], 0), None);
        assert_eq!(yes_counts_for(&[&taken, &taken], 0), None);
    }

    /// Protects people from two letters that contradict each other: whoever comes does not hear
    /// that they need not, nor does anybody while somebody is looked for.
    #[test]
    fn nobody_need_not_come_while_a_place_is_looked_for() {
        let (taken, open) = (yes(&asking(&[1, 2]), 1), asking(&[3, 4]));
        let come = BTreeSet::from([member(1)]);
        assert_eq!(need_not_come(&[&taken, &open], &come), []);
        let both = yes(&open, 2);
        let come = BTreeSet::from([member(1), member(2)]);
        let told = [(1, member(3)), (1, member(4))];
        assert_eq!(need_not_come(&[&taken, &both], &come), told);
    }

    /// Protects whoever comes from being waited for in another call of the turn, and whoever gave
    /// it back from being asked again as if they had said nothing.
    #[test]
    fn who_comes_to_another_place_of_the_turn_has_answered() {
        let by = member(1);
        let comes_elsewhere = |by, assigned| Event::ComesElsewhere { by, assigned };
        let comes = after(&asking(&[1, 2]), &comes_elsewhere(by, false));
        assert_eq!(comes.answers[&by].state, AnswerState::Yes);
        assert!(comes.state.is_open());
        let back = after(&comes, &Event::GivenBackElsewhere { by });
        assert_eq!(back.answers[&by].state, AnswerState::GivenBack);
        let unasked = member(7);
        assert_eq!(after(&back, &comes_elsewhere(unasked, false)), back);
    }

    /// Protects what people said from what others did: whoever was sent onto the turn has not
    /// said yes, and a no is one although a place of the turn was taken before.
    #[test]
    fn an_answer_says_what_its_member_said() {
        let (to, may_hold, by) = (member(1), true, member(2));
        let sent = after(&asking(&[1, 2]), &Event::Assigned { to, may_hold });
        assert_eq!(sent.answers[&to].state, AnswerState::Assigned);
        assert_eq!(sent.answers[&by].state, AnswerState::Closed);
        let no = after(&sent, &Event::No { by });
        assert_eq!(no.answers[&by].state, AnswerState::No);
        let assigned = Event::ComesElsewhere {
            by: to,
            assigned: true,
        };
        let other = after(&asking(&[1, 2]), &assigned);
        assert_eq!(other.answers[&to].state, AnswerState::Assigned);
        assert!(!other.answers[&to].is_awaited_elsewhere(NOW));
        let back = after(&other, &Event::GivenBackElsewhere { by: to });
        assert_eq!(back.answers[&to].state, AnswerState::GivenBack);
    }
}
