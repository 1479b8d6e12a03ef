//! The planner beside trying out everything.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::index::{MemberIndex, TurnIndex, weekday};
use super::input::{Input, MemberInput};
use super::making::{Size, invented, invented_in_force};
use super::planner::{Planner, Progress};
use super::score::{Aim, Score};
use super::snapshot::Snapshot;
use std::collections::BTreeSet;

/// Everything that a plan may be, tried out turn by turn. The rules are written down once
/// more here, in another way, so that a mistake would have to be made twice.
struct Brute<'a> {
    input: &'a Input,
    kept: &'a BTreeSet<(MemberIndex, TurnIndex)>,
    on: Vec<Vec<usize>>,
    best: Option<(i64, i64, i128, i64)>,
}

fn may(member: &MemberInput, input: &Input, turn: usize) -> bool {
    let t = &input.turns[turn];
    member.weekdays[weekday(t.day)]
        && !member
            .absences
            .iter()
            .any(|(a, b)| *a <= t.day && t.day <= *b)
        && member.bins.contains(&t.bin)
}

impl Brute<'_> {
    fn diary_fine(&self, member: usize) -> bool {
        let m = &self.input.members[member];
        let mut days: Vec<(i32, bool)> = m.past.iter().map(|day| (*day, false)).collect();
        for (turn, on) in self.on.iter().enumerate() {
            if on.contains(&member) {
                days.push((self.input.turns[turn].day, true));
            }
        }
        days.sort_unstable();
        let rest = i32::try_from(m.rest_days).unwrap();
        let rested = days.windows(2).all(|d| !d[1].1 || d[1].0 - d[0].0 > rest);
        // Every window of 28 days that reaches into the span.
        let most = m
            .most_in_28_days
            .map_or(usize::MAX, |most| usize::try_from(most).unwrap());
        let few = (-27..i32::try_from(self.input.days).unwrap()).all(|first| {
            let inside = days
                .iter()
                .filter(|(day, _)| (first..first + 28).contains(day));
            let new = inside.clone().any(|(_, new)| *new);
            !new || inside.count() <= most
        });
        rested && few
    }

    fn turn_fine(&self, turn: usize, on: &[usize]) -> bool {
        let members = &self.input.members;
        let alone =
            on.iter().any(|m| members[*m].not_alone) && !on.iter().any(|m| members[*m].experienced);
        let meet = self
            .input
            .apart
            .iter()
            .any(|(a, b)| on.contains(&a.0) && on.contains(&b.0));
        let kept = (self.kept.iter())
            .filter(|place| place.1.0 == turn)
            .all(|place| on.contains(&place.0.0));
        let closed = (self.input.in_force.as_ref())
            .is_some_and(|rota| self.input.turns[turn].day < rota.first_open_day);
        let as_kept = on
            .iter()
            .all(|m| self.kept.contains(&(MemberIndex(*m), TurnIndex(turn))));
        !alone && !meet && kept && (!closed || as_kept)
    }

    fn go(&mut self, turn: usize) {
        if turn == self.input.turns.len() {
            let key = self.key();
            if self.best.is_none_or(|best| key < best) {
                self.best = Some(key);
            }
            return;
        }
        let members = self.input.members.len();
        let places = usize::try_from(self.input.turns[turn].places).unwrap();
        for set in 0..1_usize << members {
            let on: Vec<usize> = (0..members).filter(|m| set >> m & 1 == 1).collect();
            if on.len() > places
                || !on
                    .iter()
                    .all(|m| may(&self.input.members[*m], self.input, turn))
                || !self.turn_fine(turn, &on)
            {
                continue;
            }
            self.on[turn].clone_from(&on);
            if on.iter().all(|m| self.diary_fine(*m)) {
                self.go(turn + 1);
            }
            self.on[turn].clear();
        }
    }

    fn key(&self) -> (i64, i64, i128, i64) {
        let input = self.input;
        let (mut empty, mut wishes) = (0, 0);
        let mut loads: Vec<i128> = input
            .members
            .iter()
            .map(|m| i128::from(m.balance))
            .collect();
        let mut mine = BTreeSet::new();
        for (turn, on) in self.on.iter().enumerate() {
            let t = &input.turns[turn];
            empty += i64::from(t.places) - i64::try_from(on.len()).unwrap();
            for m in on {
                wishes += i64::from(input.members[*m].wishes[weekday(t.day)]);
                loads[*m] += i128::from(t.effort);
                mine.insert((MemberIndex(*m), TurnIndex(turn)));
            }
        }
        let changes = input.in_force.as_ref().map_or(0, |rota| {
            let before: BTreeSet<_> = rota.places.iter().copied().collect();
            i64::try_from(before.symmetric_difference(&mine).count()).unwrap()
        });
        // Q·S·Σ (L − share·B/S)² / share, with Q·S² brought in to stay whole.
        let s: i128 = input.members.iter().map(|m| i128::from(m.share)).sum();
        let b: i128 = input
            .members
            .iter()
            .map(|m| i128::from(m.balance))
            .sum::<i128>()
            + input
                .turns
                .iter()
                .map(|t| i128::from(t.places * t.effort))
                .sum::<i128>();
        let q = 12;
        let spread: i128 = (input.members.iter().zip(&loads))
            .map(|(m, load)| {
                let share = i128::from(m.share);
                let off = s * load - share * b;
                off * off * (q / share)
            })
            .sum();
        (empty, changes, spread, -wishes)
    }
}

fn best_by_brute_force(input: &Input, snapshot: &Snapshot) -> Option<(i64, i64, i128, i64)> {
    let mut brute = Brute {
        input,
        kept: snapshot.kept(),
        on: vec![Vec::new(); input.turns.len()],
        best: None,
    };
    brute.go(0);
    brute.best
}

/// How many cases: 2,000 unless `WORMROTA_ROTA_CASES` says otherwise.
fn cases() -> u64 {
    let told = std::env::var("WORMROTA_ROTA_CASES").ok();
    told.map_or(2_000, |cases| cases.parse().unwrap())
}

#[test]
fn the_planner_reaches_and_proves_what_brute_force_finds() {
    let size = Size {
        members: 4,
        turns: 5,
        bins: 2,
        places: 3,
        effort: 3,
        gap: 4,
    };
    let (mut planned, mut replanned, mut with_empty, mut all_counted) = (0, 0, 0, 0);
    for seed in 0..cases() {
        let replan = seed % 2 == 1;
        let input = if replan {
            invented_in_force(seed, size)
        } else {
            invented(seed, size)
        };
        let Ok(snapshot) = Snapshot::parse(input.clone()) else {
            continue;
        };
        let best = best_by_brute_force(&input, &snapshot);
        let Ok(mut at_work) = Planner::new(snapshot.clone(), seed) else {
            assert_eq!(best, None, "seed {seed}: there is a plan");
            continue;
        };
        let (counted, (empty, changes, ..)) = (at_work.standings(), best.expect("there is a plan"));
        let counted = counted.iter().find(|standing| standing.aim == Aim::Changes);
        if let Some(counted) = counted.filter(|_| at_work.score().empty_places == empty) {
            assert!(counted.bound <= changes, "seed {seed}: {counted:?}");
            all_counted += u32::from(counted.bound == changes);
        }
        // The shortest search is enough here: the exact stage has to find what is missing.
        let progress = at_work.run_shortest();
        assert_eq!(
            progress,
            Progress::Proven,
            "seed {seed}: {:?}",
            at_work.standings()
        );
        let plan = at_work.plan();
        let (broken, missing) = plan.breaks(&snapshot);
        assert!(
            broken.is_empty() && missing.is_empty(),
            "seed {seed}: {broken:?}"
        );
        let score = Score::of(&snapshot, &plan);
        assert_eq!(score, at_work.score(), "seed {seed}");
        let (empty, changes, spread, wishes) = best.expect("there is a plan");
        assert_eq!(
            (score.empty_places, score.changes, -score.wishes),
            (empty, changes, wishes),
            "seed {seed}: {spread}"
        );
        let mine = spread_of(&input, &plan);
        assert_eq!(mine, spread, "seed {seed}");
        planned += u32::from(!replan);
        replanned += u32::from(replan);
        with_empty += u32::from(empty > 0);
    }
    let enough = u32::try_from(cases() / 4).unwrap();
    assert!(planned > enough && replanned > enough && with_empty > enough / 2);
    assert!(all_counted > enough / 20, "{all_counted}");
}

fn spread_of(input: &Input, plan: &super::plan::Plan) -> i128 {
    let on = (0..input.turns.len())
        .map(|turn| {
            plan.members_on(TurnIndex(turn))
                .iter()
                .map(|m| m.0)
                .collect()
        })
        .collect();
    let brute = Brute {
        input,
        kept: &BTreeSet::new(),
        on,
        best: None,
    };
    brute.key().2
}
