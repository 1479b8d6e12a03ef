//! Everybody once before anybody twice, whoever is away.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::in_order::{ClassTurn, Exchange, Line, LineRefusal, in_order};
use super::index::{Day, PupilIndex};
use super::random::Random;
use std::collections::BTreeSet;

const fn p(at: usize) -> PupilIndex {
    PupilIndex(at)
}

fn pupils(positions: &[usize]) -> Vec<PupilIndex> {
    positions.iter().copied().map(PupilIndex).collect()
}

/// A class of so many, in the order of the list.
fn class(count: usize, last: Option<usize>, pairs: &[(usize, usize)]) -> Line {
    let order: Vec<PupilIndex> = (0..count).map(PupilIndex).collect();
    let pairs: Vec<_> = pairs.iter().map(|(a, b)| (p(*a), p(*b))).collect();
    Line::parse(&order, last.map(PupilIndex), &pairs).unwrap()
}

fn nobody(_: PupilIndex) -> bool {
    false
}

/// An invented class with its turns, and who is away when.
struct Invented {
    seed: u64,
    count: usize,
    pairs: Vec<(usize, usize)>,
    line: Line,
    turns: Vec<ClassTurn>,
    away: BTreeSet<(PupilIndex, Day)>,
}

impl Invented {
    fn new(seed: u64) -> Self {
        let mut random = Random::new(seed);
        let count = 3 + random.below(8);
        let pairs = match random.below(3) {
            0 => vec![],
            1 => vec![(0, 2)],
            _ => (0..count / 2).map(|at| (at, at + count / 2)).collect(),
        };
        let last = (random.below(2) == 0).then(|| random.below(count));
        let turns: Vec<ClassTurn> = (0..4 + Day::try_from(random.below(30)).unwrap())
            .map(|day| ClassTurn {
                day,
                places: 1 + random.below(3),
            })
            .chain([ClassTurn { day: 99, places: 2 }])
            .collect();
        let mut away = BTreeSet::new();
        let often = 2 + random.below(9);
        for turn in &turns {
            for pupil in 0..count {
                if random.below(often) == 0 {
                    away.insert((p(pupil), turn.day));
                }
            }
        }
        Self {
            seed,
            count,
            line: class(count, last, &pairs),
            pairs,
            turns,
            away,
        }
    }

    fn away(&self, pupil: PupilIndex, day: Day) -> bool {
        self.away.contains(&(pupil, day))
    }

    /// Who goes with a pupil, themselves included.
    fn unit(&self, pupil: usize) -> Vec<PupilIndex> {
        let pair = self.pairs.iter().find(|(a, b)| *a == pupil || *b == pupil);
        pair.map_or(vec![p(pupil)], |(a, b)| vec![p(*a), p(*b)])
    }

    /// Whether the pupil could be on the turn at all.
    fn there(&self, pupil: usize, turn: &ClassTurn) -> bool {
        let unit = self.unit(pupil);
        unit.len() <= turn.places && unit.iter().all(|pupil| !self.away(*pupil, turn.day))
    }

    fn planned(&self) -> (Vec<Vec<PupilIndex>>, Line) {
        in_order(self.line.clone(), &self.turns, |who, day| {
            self.away(who, day)
        })
        .unwrap()
    }
}

/// Protects whoever was there all along: over any stretch of turns nobody had two more than a
/// pupil who was there for every one of them.
#[test]
fn nobody_has_two_more_than_somebody_who_was_there() {
    let (mut stretches, mut uneven) = (0, 0);
    for seed in 0..400 {
        let invented = Invented::new(seed);
        let (on, _) = invented.planned();
        for first in 0..on.len() {
            for end in first + 1..=on.len() {
                let turns = &invented.turns[first..end];
                let count = |who: usize| {
                    let turns = on[first..end].iter();
                    turns.filter(|turn| turn.contains(&p(who))).count()
                };
                let counts: Vec<usize> = (0..invented.count).map(count).collect();
                let most = *counts.iter().max().unwrap();
                for (who, had) in counts.iter().enumerate() {
                    if turns.iter().all(|turn| invented.there(who, turn)) {
                        assert!(most <= had + 1, "seed {seed}: {who} in {first}..{end}");
                        stretches += 1;
                        uneven += u32::from(most > *had);
                    }
                }
            }
        }
    }
    assert!(stretches > 10_000 && uneven > 1_000, "{stretches} {uneven}");
}

/// Protects the places: nobody is there twice, away, or without the other of their pair, and a
/// place stays empty only where nobody could take it without a second turn before a pair's first.
#[test]
fn places_are_filled_with_who_is_there_and_pairs_stay_together() {
    let (mut filled, mut empty, mut left) = (0, 0, 0);
    for seed in 0..400 {
        let invented = Invented::new(seed);
        let (on, after) = invented.planned();
        assert_eq!(on.len(), invented.turns.len());
        for (turn, on) in invented.turns.iter().zip(&on) {
            let set: BTreeSet<PupilIndex> = on.iter().copied().collect();
            assert_eq!(set.len(), on.len(), "seed {seed}");
            assert!(on.len() <= turn.places);
            for who in on {
                assert!(!invented.away(*who, turn.day));
                let unit = invented.unit(who.0);
                assert!(unit.iter().all(|who| set.contains(who)), "seed {seed}");
            }
            let free = turn.places - on.len();
            let idle: Vec<usize> = (0..invented.count)
                .filter(|who| !set.contains(&p(*who)) && invented.there(*who, turn))
                .collect();
            let pair_waits = idle.iter().any(|who| invented.unit(*who).len() > free);
            assert!(free == 0 || idle.is_empty() || pair_waits, "seed {seed}");
            filled += on.len();
            empty += free;
            left += usize::from(free > 0 && pair_waits);
        }
        let mut everybody: Vec<PupilIndex> = after.pupils().collect();
        everybody.sort_unstable();
        assert!(
            everybody
                .into_iter()
                .eq((0..invented.count).map(PupilIndex))
        );
    }
    assert!(
        filled > 5_000 && empty > 100 && left > 10,
        "{filled} {empty} {left}"
    );
}

/// Protects a term that is planned in pieces, and one whose line is found again from its list
/// and the turns that were.
#[test]
fn a_line_goes_on_where_it_was_left() {
    for seed in 0..200 {
        let invented = Invented::new(seed);
        let (whole, after) = invented.planned();
        let mut line = invented.line.clone();
        for (turn, on) in invented.turns.iter().zip(&whole) {
            let next = line.next(turn.places, |who| invented.away(who, turn.day));
            assert_eq!(next, *on, "seed {}", invented.seed);
            line.done(on);
        }
        assert_eq!(line, after);
    }
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
    line.done(&pupils(&[1, 3]));
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

/// Protects the promise over many mornings: with an exchange on every turn, in classes without
/// pairs, still nobody has two more than somebody who was there all along.
#[test]
fn exchanges_on_the_day_keep_the_order_fair() {
    let (mut exchanged, mut looked_at) = (0, 0);
    for seed in 0..300 {
        let mut random = Random::new(seed);
        let count = 3 + random.below(7);
        let places = 1 + random.below(2);
        let mut line = class(count, None, &[]);
        let mut turns: Vec<(Vec<PupilIndex>, BTreeSet<PupilIndex>)> = Vec::new();
        for _ in 0..25 {
            let mut on = line.next(places, nobody);
            let away: BTreeSet<PupilIndex> = (0..count)
                .map(PupilIndex)
                .filter(|_| random.below(5) == 0)
                .collect();
            let absent: Vec<PupilIndex> = (on.iter().copied())
                .filter(|who| away.contains(who))
                .collect();
            for who in absent {
                let told = line.exchange(&on, who, |who| away.contains(&who));
                assert_eq!(told.gone, [who]);
                on.retain(|other| *other != who);
                on.extend(told.come);
                exchanged += 1;
            }
            assert!(on.iter().all(|who| !away.contains(who)));
            line.done(&on);
            turns.push((on, away));
        }
        for first in 0..turns.len() {
            for end in first + 1..=turns.len() {
                let stretch = &turns[first..end];
                let had =
                    |who: &PupilIndex| stretch.iter().filter(|(on, _)| on.contains(who)).count();
                let most = (0..count).map(|who| had(&p(who))).max().unwrap();
                for who in (0..count).map(PupilIndex) {
                    if stretch.iter().all(|(_, away)| !away.contains(&who)) {
                        assert!(most <= had(&who) + 1, "seed {seed}: {who}");
                        looked_at += 1;
                    }
                }
            }
        }
    }
    assert!(
        exchanged > 500 && looked_at > 10_000,
        "{exchanged} {looked_at}"
    );
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
