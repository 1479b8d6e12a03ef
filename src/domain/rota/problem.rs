//! A snapshot laid out for speed: plain positions, no searching in lists.

use super::diary::Pace;
use super::index::{Day, MemberIndex, TurnIndex, weekday};
use super::reach;
use super::snapshot::Snapshot;
use super::steps;

/// Yes or no for each member on each turn.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    words: usize,
    bits: Vec<u64>,
}

impl Grid {
    fn new(turns: usize, members: usize) -> Self {
        let words = members.div_ceil(64);
        Self {
            words,
            bits: vec![0; turns * words],
        }
    }

    fn set(&mut self, member: usize, turn: usize) {
        self.bits[turn * self.words + member / 64] |= 1 << (member % 64);
    }

    pub(super) fn has(&self, member: usize, turn: usize) -> bool {
        self.bits[turn * self.words + member / 64] >> (member % 64) & 1 == 1
    }
}

/// A turn.
#[derive(Debug, Clone)]
pub(super) struct Turn {
    pub(super) day: Day,
    pub(super) weekday: usize,
    pub(super) places: usize,
    pub(super) effort: i64,
    /// Members that may be on it, kept ones included.
    pub(super) candidates: Vec<usize>,
}

/// A member.
#[derive(Debug, Clone)]
pub(super) struct Member {
    pub(super) pace: Pace,
    pub(super) experienced: bool,
    pub(super) not_alone: bool,
    pub(super) past: Vec<Day>,
    pub(super) wishes: [i8; 7],
    pub(super) apart: Vec<usize>,
}

/// Everything that the engines read and none of them writes.
#[derive(Debug, Clone)]
pub(super) struct Problem {
    pub(super) turns: Vec<Turn>,
    pub(super) members: Vec<Member>,
    pub(super) candidate: Grid,
    pub(super) kept: Grid,
    pub(super) in_force: Option<Grid>,
    /// How many places the rota in force has.
    pub(super) in_force_places: i64,
    /// For each member the effort they can reach, ascending.
    pub(super) efforts: Vec<Vec<i64>>,
    /// How far apart two values of fairness are at the least: among plans that share out the
    /// same effort, and among all.
    pub(super) fairness_steps: (i64, i64),
    pub(super) snapshot: Snapshot,
}

/// In any window of 28 days nobody can have more turns than days.
const NO_LIMIT: usize = 28;

impl Problem {
    pub(super) fn new(snapshot: Snapshot) -> Self {
        let (turn_count, member_count) = (snapshot.turns().len(), snapshot.members().len());
        let mut candidate = Grid::new(turn_count, member_count);
        let mut kept = Grid::new(turn_count, member_count);
        let turns: Vec<Turn> = (snapshot.turns().iter().enumerate())
            .map(|(at, turn)| {
                let candidates: Vec<usize> = (snapshot.candidates(TurnIndex(at)).iter())
                    .map(|member| member.0)
                    .collect();
                for member in &candidates {
                    candidate.set(*member, at);
                }
                Turn {
                    day: turn.day,
                    weekday: weekday(turn.day),
                    places: turn.place_count(),
                    effort: i64::from(turn.effort),
                    candidates,
                }
            })
            .collect();
        for (member, turn) in snapshot.kept() {
            kept.set(member.0, turn.0);
        }
        let members = (snapshot.members().iter().enumerate())
            .map(|(at, member)| Member {
                pace: Pace {
                    rest: Day::try_from(member.rest_days).unwrap_or(Day::MAX / 2),
                    most: member.most_in_28_days.map_or(NO_LIMIT, |most| {
                        usize::try_from(most).unwrap_or(NO_LIMIT).min(NO_LIMIT)
                    }),
                },
                experienced: member.experienced,
                not_alone: member.not_alone && !member.experienced,
                past: member.past.clone(),
                wishes: member.wishes,
                apart: (snapshot.apart_from(MemberIndex(at)).iter())
                    .map(|other| other.0)
                    .collect(),
            })
            .collect();
        let mut in_force_places = 0;
        let in_force = snapshot.in_force().map(|rota| {
            let mut grid = Grid::new(turn_count, member_count);
            for (member, turn) in &rota.places {
                grid.set(member.0, turn.0);
                in_force_places += 1;
            }
            grid
        });
        let mut problem = Self {
            turns,
            members,
            candidate,
            kept,
            in_force,
            in_force_places,
            efforts: Vec::new(),
            fairness_steps: (1, 1),
            snapshot,
        };
        problem.efforts = reach::efforts(&problem);
        problem.fairness_steps = steps::fairness(&problem);
        problem
    }

    pub(super) fn wish(&self, member: usize, turn: usize) -> i64 {
        i64::from(self.members[member].wishes[self.turns[turn].weekday])
    }

    /// What it adds to the count of changes when a member takes a turn: 1 for a new place,
    /// -1 for one they hold in the rota in force.
    pub(super) fn change(&self, member: usize, turn: usize) -> i64 {
        match &self.in_force {
            None => 0,
            Some(grid) if grid.has(member, turn) => -1,
            Some(_) => 1,
        }
    }

    /// How much a member's part of fairness grows when what they are given changes.
    pub(super) fn rise(&self, member: usize, given: i64, by: i64) -> i64 {
        (self.snapshot.fairness()).rise(MemberIndex(member), given, by)
    }

    /// The part of fairness of a member who is given this much effort.
    pub(super) fn part(&self, member: usize, given: i64) -> i64 {
        self.snapshot.fairness().part(MemberIndex(member), given)
    }
}
