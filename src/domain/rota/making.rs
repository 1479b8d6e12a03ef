//! Invented snapshots for the tests: the same seed, the same snapshot.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::index::{BinIndex, Day, MemberIndex, TurnIndex};
use super::input::{InForceInput, Input, MemberInput, TurnInput};
use super::random::Random;

/// How large an invented snapshot is.
#[derive(Debug, Clone, Copy)]
pub(super) struct Size {
    pub(super) members: usize,
    pub(super) turns: usize,
    pub(super) bins: usize,
    /// The most places of a turn.
    pub(super) places: usize,
    /// The most effort of a turn.
    pub(super) effort: usize,
    /// The most days between one turn and the next.
    pub(super) gap: usize,
}

pub(super) fn small(value: usize) -> u32 {
    u32::try_from(value).unwrap()
}

pub(super) fn member() -> MemberInput {
    MemberInput {
        weekdays: [true; 7],
        absences: Vec::new(),
        bins: vec![BinIndex(0)],
        most_in_28_days: None,
        rest_days: 0,
        share: 4,
        balance: 0,
        wishes: [0; 7],
        experienced: false,
        not_alone: false,
        past: Vec::new(),
    }
}

pub(super) fn turn(day: Day) -> TurnInput {
    TurnInput {
        bin: BinIndex(0),
        day,
        places: 1,
        effort: 1,
    }
}

fn a_member(random: &mut Random, size: Size, days: Day) -> MemberInput {
    let mut m = member();
    for weekday in &mut m.weekdays {
        *weekday = random.below(5) > 0;
    }
    if random.below(3) == 0 {
        let first = Day::try_from(random.below(usize::try_from(days).unwrap())).unwrap();
        m.absences
            .push((first, first + Day::try_from(random.below(9)).unwrap()));
    }
    m.bins = (0..size.bins)
        .map(BinIndex)
        .filter(|_| random.below(4) > 0)
        .collect();
    m.most_in_28_days = (random.below(2) == 0).then(|| small(1 + random.below(3)));
    m.rest_days = small([0, 1, 3, 6][random.below(4)]);
    m.share = small([4, 4, 4, 2, 1, 3][random.below(6)]);
    m.balance = i64::try_from(random.below(5)).unwrap() - 2;
    for wish in &mut m.wishes {
        *wish = i8::try_from(random.below(3)).unwrap() - 1;
    }
    m.experienced = random.below(3) == 0;
    m.not_alone = random.below(3) == 0;
    if random.below(3) == 0 {
        m.past.push(-1 - Day::try_from(random.below(20)).unwrap());
    }
    m
}

/// A snapshot with something of every rule in it.
pub(super) fn invented(seed: u64, size: Size) -> Input {
    let mut random = Random::new(seed);
    let mut day = Day::try_from(random.below(3)).unwrap();
    let mut turns = Vec::new();
    for _ in 0..size.turns {
        turns.push(TurnInput {
            bin: BinIndex(random.below(size.bins)),
            day,
            places: small(1 + random.below(size.places)),
            effort: small(1 + random.below(size.effort)),
        });
        day += Day::try_from(random.below(size.gap + 1)).unwrap();
    }
    let members: Vec<_> = (0..size.members)
        .map(|_| a_member(&mut random, size, day + 1))
        .collect();
    let mut apart = Vec::new();
    if size.members > 1 && random.below(2) == 0 {
        let one = random.below(size.members);
        let other = (one + 1 + random.below(size.members - 1)) % size.members;
        apart.push((MemberIndex(one), MemberIndex(other)));
    }
    let mut kept = Vec::new();
    if random.below(3) == 0 {
        kept.push((
            MemberIndex(random.below(size.members)),
            TurnIndex(random.below(size.turns)),
        ));
    }
    Input {
        days: u32::try_from(day + 1).unwrap(),
        bins: size.bins,
        members,
        turns,
        apart,
        kept,
        in_force: None,
    }
}

/// The same with a rota in force, invented too, that may break rules.
pub(super) fn invented_in_force(seed: u64, size: Size) -> Input {
    let mut input = invented(seed, size);
    let mut random = Random::new(seed ^ 0x5eed);
    let mut places = Vec::new();
    for turn in 0..size.turns {
        if random.below(4) > 0 {
            places.push((MemberIndex(random.below(size.members)), TurnIndex(turn)));
        }
    }
    input.in_force = Some(InForceInput {
        places,
        first_open_day: Day::try_from(random.below(4)).unwrap(),
    });
    input
}
