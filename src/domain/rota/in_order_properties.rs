//! Everybody once before anybody twice, whoever is away: tried on many invented classes.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::in_order::{ClassTurn, Line, in_order};
use super::in_order_tests::{class, nobody, p};
use super::index::{Day, PupilIndex};
use super::random::Random;
use std::collections::BTreeSet;

/// An invented class with its turns, and who is away when.
struct Invented {
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

/// Protects a term that is planned in pieces: the line of the middle is found again from its
/// list and the turns that were, and goes on as if nobody had stopped.
#[test]
fn a_line_goes_on_where_it_was_left() {
    for seed in 0..200 {
        let invented = Invented::new(seed);
        let (whole, after) = invented.planned();
        let middle = whole.len() / 2;
        let mut line = invented.line.clone();
        for on in &whole[..middle] {
            line.done(on);
        }
        let rest = &invented.turns[middle..];
        let again = in_order(line, rest, |who, day| invented.away(who, day)).unwrap();
        assert_eq!(again, (whole[middle..].to_vec(), after), "seed {seed}");
    }
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
