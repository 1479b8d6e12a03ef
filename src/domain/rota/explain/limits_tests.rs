//! Every turn is counted once, and a limit that is lifted opens as many turns as was said.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::limits::{Limits, ORDER, OWN, Shut, limits, own_limits};
use crate::rota::index::{BinIndex, MemberIndex, TurnIndex, weekday};
use crate::rota::input::{InForceInput, Input};
use crate::rota::making::{member, turn};
use crate::rota::plan::Plan;
use crate::rota::rules::{Broken, HardRule, broken};
use crate::rota::snapshot::Snapshot;
use crate::rota::trials::{Trial, trials};

fn members(trial: &Trial) -> impl Iterator<Item = MemberIndex> + use<> {
    (0..trial.snapshot.members().len()).map(MemberIndex)
}

fn shut(limits: &Limits, rule: HardRule) -> Shut {
    limits.shut[&rule]
}

/// Protects the sums that a reader will add up.
#[test]
fn every_turn_is_held_shut_or_within_the_limits() {
    for trial in trials(300) {
        for who in members(&trial) {
            for look in [limits, own_limits] {
                let found = look(&trial.snapshot, &trial.plan, who);
                let first: usize = found.shut.values().map(|shut| shut.first).sum();
                let turns = trial.snapshot.turns().len();
                assert_eq!(found.held + found.within + first, turns);
                assert_eq!(found.held, trial.plan.turns_of(who).len());
                assert!(found.full <= found.within);
                assert!(found.at_all >= found.held + found.within);
                let weekdays = found.weekdays.iter().fold((0, 0), |sum, weekday| {
                    (sum.0 + weekday.first, sum.1 + weekday.alone)
                });
                let all = shut(&found, HardRule::Weekday);
                assert_eq!(weekdays, (all.first, all.alone));
                assert!(found.shut.values().all(|shut| shut.alone <= shut.first));
            }
        }
    }
}

/// Protects the classes: written down once more here, turn by turn, from all broken rules.
#[test]
fn a_turn_counts_for_the_first_rule_that_breaks() {
    let mut met = std::collections::BTreeSet::new();
    for trial in trials(300) {
        let (snapshot, plan) = (&trial.snapshot, &trial.plan);
        for who in members(&trial) {
            let found = limits(snapshot, plan, who);
            let mut count = std::collections::BTreeMap::new();
            let mut within = 0;
            for turn in (0..snapshot.turns().len()).map(TurnIndex) {
                if plan.members_on(turn).contains(&who) {
                    continue;
                }
                let mut rules: Vec<HardRule> = broken(snapshot, plan, who, turn)
                    .iter()
                    .map(Broken::rule)
                    .filter(|rule| !matches!(rule, HardRule::Places | HardRule::Open))
                    .collect();
                if snapshot
                    .in_force()
                    .is_some_and(|rota| snapshot.turn(turn).day < rota.first_open_day)
                {
                    rules.push(HardRule::Open);
                }
                rules.sort_by_key(|rule| ORDER.iter().position(|other| other == rule));
                let Some(first) = rules.first() else {
                    within += 1;
                    continue;
                };
                let shut: &mut Shut = count.entry(*first).or_default();
                shut.first += 1;
                shut.alone += usize::from(rules.len() == 1);
            }
            assert_eq!(found.within, within, "seed {}", trial.seed);
            for rule in ORDER {
                let expected = count.get(rule).copied().unwrap_or_default();
                assert_eq!(
                    shut(&found, *rule),
                    expected,
                    "seed {}: {rule:?}",
                    trial.seed
                );
            }
            met.extend(
                count
                    .iter()
                    .filter(|(_, shut)| shut.alone > 0)
                    .map(|(rule, _)| *rule),
            );
        }
    }
    assert_eq!(met.len(), ORDER.len(), "{met:?}");
}

fn lift(rule: HardRule, who: MemberIndex, input: &mut Input) -> bool {
    let member = &mut input.members[who.0];
    match rule {
        HardRule::Weekday => member.weekdays = [true; 7],
        HardRule::Absence => member.absences.clear(),
        HardRule::Trained => member.bins = (0..input.bins).map(BinIndex).collect(),
        HardRule::MostIn28Days => member.most_in_28_days = None,
        HardRule::Apart => input
            .apart
            .retain(|(one, other)| *one != who && *other != who),
        _ => return false,
    }
    true
}

/// Protects the sentence "without this limit so many more turns would be open to you": the
/// limit is lifted, everything else and the plan stay, and exactly so many are.
#[test]
fn lifting_a_limit_opens_what_it_alone_shut() {
    let mut opened = std::collections::BTreeMap::new();
    for trial in trials(300) {
        for who in members(&trial) {
            let before = limits(&trial.snapshot, &trial.plan, who);
            for rule in ORDER {
                let mut input = trial.input.clone();
                if !lift(*rule, who, &mut input) {
                    continue;
                }
                let snapshot = Snapshot::parse(input).unwrap();
                let after = limits(&snapshot, &trial.plan, who);
                let alone = shut(&before, *rule).alone;
                assert_eq!(after.within, before.within + alone, "seed {}", trial.seed);
                assert_eq!(shut(&after, *rule).first, 0);
                *opened.entry(*rule).or_insert(0) += alone;
            }
        }
    }
    assert!(
        opened.len() == 5 && opened.values().all(|alone| *alone > 0),
        "{opened:?}"
    );
}

/// Protects the meaning of each count with a rota that can be followed by hand.
#[test]
fn somebody_who_cannot_do_tuesdays_reads_what_that_costs() {
    // Mondays and Tuesdays for three weeks; the second Tuesday needs training, and on the
    // third the member is away as well.
    let mut input = Input {
        days: 21,
        bins: 2,
        members: vec![member(), member()],
        turns: [0, 1, 7, 8, 14, 15].map(turn).to_vec(),
        ..Input::default()
    };
    input.turns[3].bin = BinIndex(1);
    input.members[0].weekdays[1] = false;
    input.members[0].absences.push((15, 20));
    input.members[0].rest_days = 6;
    let [own, other] = [MemberIndex(0), MemberIndex(1)];
    let snapshot = Snapshot::parse(input).unwrap();
    let places = [(own, TurnIndex(0)), (other, TurnIndex(2))];
    let plan = Plan::from_places(&snapshot, places);
    let found = limits(&snapshot, &plan, own);
    assert_eq!((found.held, found.within, found.full), (1, 2, 1));
    assert_eq!(found.at_all, 3);
    assert_eq!(shut(&found, HardRule::Weekday), Shut { first: 3, alone: 0 });
    assert_eq!(found.weekdays[weekday(8)], Shut { first: 3, alone: 0 });
    assert_eq!(shut(&found, HardRule::Absence), Shut { first: 0, alone: 0 });

    let idle = limits(&snapshot, &Plan::empty(&snapshot), own);
    assert_eq!((idle.held, idle.within, idle.full), (0, 3, 0));
    // With nothing held no rest is in the way: the first Tuesday is shut by its weekday alone.
    assert_eq!(shut(&idle, HardRule::Weekday), Shut { first: 3, alone: 1 });
}

/// Protects that closed days come before all else, and stay the holder's.
#[test]
fn a_closed_day_is_shut_to_whoever_does_not_hold_it() {
    let mut input = Input {
        days: 7,
        bins: 1,
        members: vec![member(), member()],
        turns: vec![turn(0), turn(5)],
        ..Input::default()
    };
    input.members[1].weekdays[0] = false;
    let places = vec![(MemberIndex(0), TurnIndex(0))];
    input.in_force = Some(InForceInput {
        places: places.clone(),
        first_open_day: 2,
    });
    let snapshot = Snapshot::parse(input).unwrap();
    let plan = Plan::from_places(&snapshot, places);
    let holder = limits(&snapshot, &plan, MemberIndex(0));
    assert_eq!((holder.held, holder.within, holder.at_all), (1, 1, 2));
    let other = limits(&snapshot, &plan, MemberIndex(1));
    assert_eq!(shut(&other, HardRule::Open), Shut { first: 1, alone: 0 });
    assert_eq!((other.within, other.at_all), (1, 1));
}

/// Protects a new hard rule from being forgotten here, and the front of the order from being
/// something else than what members are told.
#[test]
fn every_rule_but_places_has_its_turn_in_the_order() {
    let mut all = ORDER.to_vec();
    all.push(HardRule::Places);
    all.sort_unstable();
    assert_eq!(all, HardRule::ALL);
    assert_eq!(&ORDER[..OWN.len()], OWN);
}
