//! Snapshots and plans for the tests that hold for every plan: the planner's, and such as
//! people make by hand, which break rules.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::index::{Day, MemberIndex, TurnIndex};
use super::input::Input;
use super::making::{Size, invented, invented_in_force};
use super::plan::Plan;
use super::planner::Planner;
use super::random::Random;
use super::snapshot::Snapshot;

/// One case; its seed makes it again.
#[derive(Debug)]
pub(super) struct Trial {
    pub(super) seed: u64,
    pub(super) input: Input,
    pub(super) snapshot: Snapshot,
    pub(super) plan: Plan,
}

const MEMBERS: usize = 7;

/// From rotas where a few members fill every place to such where nobody can.
fn size(seed: u64) -> Size {
    let mut random = Random::new(seed ^ 0x512E);
    Size {
        members: MEMBERS,
        turns: 4 + random.below(13),
        bins: 1 + random.below(2),
        places: 1 + random.below(3),
        effort: 4,
        gap: 2 + random.below(4),
    }
}

/// A plan that anybody may have made: about every third place taken, and the kept ones.
fn by_hand(snapshot: &Snapshot, seed: u64) -> Plan {
    let mut random = Random::new(seed ^ 0xBAD);
    let mut plan = Plan::from_places(snapshot, snapshot.kept().iter().copied());
    for turn in 0..snapshot.turns().len() {
        for member in 0..snapshot.members().len() {
            if random.below(3) == 0 {
                plan.put((MemberIndex(member), TurnIndex(turn)));
            }
        }
    }
    plan
}

/// The trial of a seed: drafts and re-plannings, by the planner and by hand, in turn. None
/// where the invented snapshot is refused.
pub(super) fn trial(seed: u64) -> Option<Trial> {
    let mut input = if seed.is_multiple_of(2) {
        invented(seed, size(seed))
    } else {
        invented_in_force(seed, size(seed))
    };
    let mut random = Random::new(seed ^ 0xA9A);
    for _ in 0..random.below(4) {
        let (one, other) = (random.below(MEMBERS), random.below(MEMBERS));
        if one != other {
            input.apart.push((MemberIndex(one), MemberIndex(other)));
        }
    }
    if let Some(rota) = &mut input.in_force {
        // Several on one turn and many closed days, so that a pair kept apart meets there.
        rota.first_open_day =
            Day::try_from(random.below(usize::try_from(input.days).unwrap())).unwrap();
        for turn in 0..input.turns.len() {
            let place = (MemberIndex(random.below(MEMBERS)), TurnIndex(turn));
            if !rota.places.contains(&place) {
                rota.places.push(place);
            }
        }
    }
    let snapshot = Snapshot::parse(input.clone()).ok()?;
    let plan = if seed % 4 < 2 {
        let mut planner = Planner::new(snapshot.clone(), seed).ok()?;
        planner.run(20);
        planner.plan()
    } else {
        by_hand(&snapshot, seed)
    };
    Some(Trial {
        seed,
        input,
        snapshot,
        plan,
    })
}

/// The trials of many seeds, at least half of which must have come about.
pub(super) fn trials(seeds: u64) -> Vec<Trial> {
    let found: Vec<Trial> = (0..seeds).filter_map(trial).collect();
    assert!(u64::try_from(found.len()).unwrap() > seeds / 2);
    found
}
