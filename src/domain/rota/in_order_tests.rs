//! A line of pupils, turn by turn.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::in_order::{ClassTurn, Exchange, Line, LineRefusal, in_order};
use super::index::{Day, PupilIndex};

pub(super) const fn p(at: usize) -> PupilIndex {
    PupilIndex(at)
}

pub(super) fn pupils(positions: &[usize]) -> Vec<PupilIndex> {
    positions.iter().copied().map(PupilIndex).collect()
}

/// A class of so many, in the order of the list.
pub(super) fn class(count: usize, last: Option<usize>, pairs: &[(usize, usize)]) -> Line {
    let order: Vec<PupilIndex> = (0..count).map(PupilIndex).collect();
    let pairs: Vec<_> = pairs.iter().map(|(a, b)| (p(*a), p(*b))).collect();
    Line::parse(&order, last.map(PupilIndex), &pairs).unwrap()
}

pub(super) fn nobody(_: PupilIndex) -> bool {
    false
}

/// Protects the promise to a pupil who was ill: first when back, once, and nothing to make up.
#[test]
fn who_was_away_comes_first_when_back_and_owes_nothing() {
    let turns: Vec<ClassTurn> = (0..8).map(|day| ClassTurn { day, places: 1 }).collect();
    let ill = |who: PupilIndex, day: Day| who == p(1) && day < 5;
    let (on, _) = in_order(class(3, None, &[]), &turns, ill).unwrap();
    let order: Vec<usize> = on.iter().map(|on| on[0].0).collect();
    assert_eq!(order, [0, 2, 0, 2, 0, 1, 2, 0]);
}

/// Protects the round that a class is in the middle of.
#[test]
fn the_line_begins_after_who_was_last() {
    let line = class(4, Some(1), &[]);
    assert!(line.pupils().eq(pupils(&[2, 3, 0, 1])));
    // A pair stands where its first does, and had its turn together.
    let line = class(5, Some(4), &[(1, 4)]);
    assert!(line.pupils().eq(pupils(&[2, 3, 0, 1, 4])));
}

/// Protects the strict order where pairs do not fit: the third place is not given to somebody
/// who has had a turn while a pair has had none.
#[test]
fn a_place_stays_empty_rather_than_give_a_second_turn_before_a_first() {
    let turns: Vec<ClassTurn> = (0..3).map(|day| ClassTurn { day, places: 2 }).collect();
    let line = class(5, None, &[(3, 4)]);
    let (on, _) = in_order(line, &turns, |_, _| false).unwrap();
    assert_eq!(on, [pupils(&[0, 1]), pupils(&[2]), pupils(&[3, 4])]);
    // Who has not had a turn either may go before the pair.
    let line = class(5, None, &[(1, 2)]);
    let (on, _) = in_order(line, &turns, |_, _| false).unwrap();
    assert_eq!(on, [pupils(&[0, 3]), pupils(&[1, 2]), pupils(&[4, 0])]);
    // Nor may anybody of the last round, though this line has not seen them yet.
    let line = class(5, Some(2), &[(3, 4)]);
    assert_eq!(line.next(3, nobody), pupils(&[3, 4, 0]));
    assert_eq!(line.next(1, nobody), pupils(&[0]));
    let line = class(5, Some(1), &[(3, 4)]);
    assert_eq!(line.next(2, nobody), pupils(&[2]));
}

/// Protects a class on the morning somebody is missing, and the pupil who is ill.
#[test]
fn an_absent_pupil_is_exchanged_and_keeps_their_place_in_the_line() {
    let mut line = class(6, None, &[]);
    let on = line.next(2, nobody);
    let told = line.exchange(&on, p(0), |who| who == p(2));
    assert_eq!(
        told,
        Exchange {
            gone: pupils(&[0]),
            come: pupils(&[3]),
        }
    );
    line.done(&pupils(&[3, 1]));
    assert!(line.pupils().eq(pupils(&[0, 2, 4, 5, 1, 3])));
    let nothing = line.exchange(&pupils(&[1, 3]), p(5), nobody);
    assert!(nothing.gone.is_empty() && nothing.come.is_empty());
}

/// Protects exchanges in classes with pairs: both go, and as many come as go where they can.
#[test]
fn a_pair_is_exchanged_together() {
    let line = class(6, None, &[(0, 1), (2, 3)]);
    let told = line.exchange(&pupils(&[0, 1]), p(1), |who| who == p(1));
    assert_eq!(
        told,
        Exchange {
            gone: pupils(&[0, 1]),
            come: pupils(&[2, 3]),
        }
    );
    let told = line.exchange(&pupils(&[0, 1]), p(1), |who| who == p(3));
    assert_eq!(told.come, pupils(&[4, 5]));
    // The pair that is next does not fit in for one; somebody has to come today.
    let told = line.exchange(&pupils(&[4]), p(4), nobody);
    assert_eq!(told.come, pupils(&[5]));
    let told = line.exchange(&pupils(&[4]), p(4), |who| who == p(5));
    assert_eq!((told.gone, told.come), (pupils(&[4]), vec![]));
}

/// Protects the line from lists that cannot be meant.
#[test]
fn a_line_that_contradicts_itself_is_refused() {
    let parse = |order: &[usize], last: Option<usize>, pairs: &[(usize, usize)]| {
        let pairs: Vec<_> = pairs.iter().map(|(a, b)| (p(*a), p(*b))).collect();
        Line::parse(&pupils(order), last.map(PupilIndex), &pairs).unwrap_err()
    };
    assert_eq!(parse(&[0, 1, 0], None, &[]), LineRefusal::Twice(p(0)));
    assert_eq!(parse(&[0, 1], Some(2), &[]), LineRefusal::Unknown(p(2)));
    assert_eq!(parse(&[0, 1], None, &[(1, 3)]), LineRefusal::Unknown(p(3)));
    let twice = LineRefusal::PairedTwice(p(1));
    assert_eq!(parse(&[0, 1, 2], None, &[(0, 1), (1, 2)]), twice);
    assert_eq!(parse(&[0, 1], None, &[(1, 1)]), twice);
    let many: Vec<usize> = (0..1_001).collect();
    let refused = parse(&many, None, &[]).to_string();
    assert_eq!(refused, "1001 pupils: at most 1000");
    let single = [ClassTurn { day: 0, places: 1 }];
    let refused = in_order(class(3, None, &[(0, 1)]), &single, |_, _| false);
    assert_eq!(refused, Err(LineRefusal::NoTurnForPairs));
    assert!(in_order(class(0, None, &[]), &single, |_, _| false).is_ok());
}
