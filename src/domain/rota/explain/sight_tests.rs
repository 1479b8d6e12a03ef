//! Nobody learns from the reasons what is not theirs to know.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use super::limits::OWN;
use super::shares::shares;
use super::sight::{
    ComparisonSeen, EmptySeen, FEWEST, JudgementSeen, MemberSeen, Reason, Sight, Viewer,
};
use crate::rota::change::{Change, judge};
use crate::rota::index::{MemberIndex, TurnIndex};
use crate::rota::input::Input;
use crate::rota::making::{member, turn};
use crate::rota::plan::Plan;
use crate::rota::rules::Broken;
use crate::rota::snapshot::Snapshot;
use crate::rota::trials::trials;

type Everything = (Vec<MemberSeen>, Vec<EmptySeen>, Vec<ComparisonSeen>);

/// All that somebody can see of a plan.
fn everything(snapshot: &Snapshot, plan: &Plan, viewer: Viewer) -> Everything {
    let sight = Sight {
        snapshot,
        plan,
        viewer,
    };
    let shares = shares(snapshot, plan);
    let all = || (0..snapshot.members().len()).map(MemberIndex);
    let pairs = all().flat_map(|one| all().map(move |other| (one, other)));
    let compared = pairs.map(|pair| sight.comparison(&shares, pair).unwrap());
    (
        sight.members(),
        sight.empty_from(TurnIndex(0)).collect(),
        compared.collect(),
    )
}

fn viewers(snapshot: &Snapshot) -> impl Iterator<Item = Viewer> + use<> {
    (0..snapshot.members().len()).map(|at| Viewer::Member(MemberIndex(at)))
}

/// Protects pairs kept apart: what any resident sees of a plan, of the pair or not, is the same
/// to the last number as if there were no such list.
#[test]
fn no_resident_can_tell_whether_anybody_is_kept_apart() {
    let (mut asked, mut told_apart) = (0, 0);
    for trial in trials(400) {
        let mut input = trial.input.clone();
        input.apart.clear();
        let without = Snapshot::parse(input).unwrap();
        for viewer in viewers(&without) {
            assert_eq!(
                everything(&trial.snapshot, &trial.plan, viewer),
                everything(&without, &trial.plan, viewer),
                "seed {}: {viewer:?}",
                trial.seed
            );
            asked += 1;
        }
        // A keeper sees the difference, so there is something to hide.
        let keeper = |snapshot| everything(snapshot, &trial.plan, Viewer::Keeper);
        told_apart += u32::from(keeper(&trial.snapshot) != keeper(&without));
    }
    assert!(asked > 1_000 && told_apart > 100, "{asked} {told_apart}");
}

/// Protects everybody's limits and absences from their neighbours: of others there are figures
/// only, and they do not move when only somebody's limits do.
#[test]
fn others_are_figures_without_reasons() {
    let mut compared = 0;
    for trial in trials(100) {
        let (snapshot, plan) = (&trial.snapshot, &trial.plan);
        let mut input = trial.input.clone();
        input.kept.clear();
        input.members[0].weekdays = [true, false, true, false, true, false, true];
        input.members[0].absences = vec![(2, 9)];
        input.members[0].bins.clear();
        input.members[0].rest_days = 2;
        input.members[0].most_in_28_days = Some(1);
        input.members[0].wishes = [0; 7];
        let Ok(changed) = Snapshot::parse(input) else {
            continue;
        };
        for viewer in viewers(snapshot).skip(1) {
            let (members, empty, comparisons) = everything(snapshot, plan, viewer);
            for (at, seen) in members.iter().enumerate() {
                let own = viewer == Viewer::Member(MemberIndex(at));
                assert_eq!(matches!(seen, MemberSeen::Reasons { .. }), own);
                if let MemberSeen::Reasons { limits, .. } = seen {
                    assert!(limits.shut.keys().copied().eq(sorted(OWN)));
                }
            }
            assert!(empty.iter().all(|e| matches!(e, EmptySeen::Counts { .. })));
            let figures = |c: &ComparisonSeen| match c {
                ComparisonSeen::Figures { effort, fair, rest } => effort - fair - rest == 0,
                ComparisonSeen::Reasons(_) => false,
            };
            assert!(comparisons.iter().all(figures));
            let (members_after, _, comparisons_after) = everything(&changed, plan, viewer);
            assert_eq!(members, members_after, "seed {}", trial.seed);
            assert_eq!(comparisons, comparisons_after);
            compared += 1;
        }
    }
    assert!(compared > 100, "{compared}");
}

fn sorted(rules: &[crate::rota::rules::HardRule]) -> Vec<crate::rota::rules::HardRule> {
    let mut rules = rules.to_vec();
    rules.sort_unstable();
    rules
}

/// Protects somebody who is not in the rota, or no longer, from being taken for somebody else.
#[test]
fn a_stranger_to_the_rota_sees_nobodys_reasons() {
    let trial = &trials(3)[0];
    let stranger = Viewer::Member(MemberIndex(trial.snapshot.members().len()));
    let (members, empty, _) = everything(&trial.snapshot, &trial.plan, stranger);
    assert!(
        members
            .iter()
            .all(|m| matches!(m, MemberSeen::Figures { .. }))
    );
    assert!(empty.iter().all(|e| matches!(e, EmptySeen::Counts { .. })));
}

fn house(members: usize) -> Input {
    Input {
        days: 7,
        bins: 1,
        members: vec![member(); members],
        turns: vec![turn(0), turn(2)],
        ..Input::default()
    }
}

fn reasons(input: Input) -> Option<Vec<(Reason, usize)>> {
    let snapshot = Snapshot::parse(input).unwrap();
    let plan = Plan::from_places(&snapshot, [(MemberIndex(0), TurnIndex(0))]);
    let sight = Sight {
        snapshot: &snapshot,
        plan: &plan,
        viewer: Viewer::Member(MemberIndex(0)),
    };
    match &sight.empty_from(TurnIndex(0)).collect::<Vec<_>>()[..] {
        [
            EmptySeen::Counts {
                turn,
                places,
                reasons,
            },
        ] => {
            assert_eq!((*turn, *places), (TurnIndex(1), 1));
            reasons.clone().map(|reasons| reasons.into_iter().collect())
        }
        other => panic!("{other:?}"),
    }
}

/// Protects a house of few, where a count would be a name.
#[test]
fn reasons_for_an_empty_place_are_counted_only_among_enough_others() {
    let mut input = house(FEWEST + 1);
    input.members[1].absences.push((2, 2));
    input.members[2].weekdays[2] = false;
    input.members[3].bins.clear();
    input.members[4].rest_days = 3;
    input.members[4].past.push(-1);
    let counted = [
        (Reason::Closed, 0),
        (Reason::Day, 2),
        (Reason::Training, 1),
        (Reason::Enough, 1),
        (Reason::Others, 1),
    ];
    assert_eq!(reasons(input.clone()), Some(counted.to_vec()));
    input.members.pop();
    assert_eq!(reasons(input), None);
}

/// Protects a pair kept apart from being read off a refusal: it looks like any other company
/// that does not go together.
#[test]
fn a_refused_change_does_not_say_which_company_is_in_the_way() {
    let mut apart = house(3);
    apart.turns[1].places = 2;
    let mut not_alone = apart.clone();
    apart.apart.push((MemberIndex(0), MemberIndex(1)));
    not_alone.members[1].not_alone = true;
    let full = house(3);
    let seen = |input: Input| {
        let snapshot = Snapshot::parse(input).unwrap();
        let plan = Plan::from_places(&snapshot, [(MemberIndex(1), TurnIndex(1))]);
        let change = Change::Assign((MemberIndex(0), TurnIndex(1)));
        let judgement = judge(&snapshot, &plan, change).unwrap();
        let sight = Sight {
            snapshot: &snapshot,
            plan: &plan,
            viewer: Viewer::Member(MemberIndex(0)),
        };
        sight.judgement(&judgement)
    };
    let refused = seen(apart.clone());
    assert_eq!(
        refused,
        JudgementSeen::Figures {
            own: Vec::new(),
            others: vec![TurnIndex(1)],
            kept: Vec::new(),
            against: Vec::new(),
            uncovered: -1,
        }
    );
    assert_eq!(refused, seen(not_alone));
    assert_eq!(refused, seen(full));
    apart.members[0].weekdays[2] = false;
    apart.members[0].wishes[2] = -1;
    let JudgementSeen::Figures { own, against, .. } = seen(apart) else {
        panic!("a resident is shown a keeper's reasons");
    };
    assert_eq!(own, [(TurnIndex(1), Broken::Weekday { weekday: 2 })]);
    assert_eq!(against, [TurnIndex(1)]);
}

/// Protects what the other of a trade cannot or would rather not do: it is theirs to tell.
#[test]
fn a_trade_does_not_say_what_the_other_cannot_do() {
    let mut input = house(3);
    input.members[1].weekdays[2] = false;
    input.members[1].wishes[2] = -1;
    let [own, other] = [MemberIndex(0), MemberIndex(1)];
    let [monday, wednesday] = [TurnIndex(0), TurnIndex(1)];
    let snapshot = Snapshot::parse(input).unwrap();
    let places = [(own, wednesday), (other, monday)];
    let plan = Plan::from_places(&snapshot, places);
    let judgement = judge(&snapshot, &plan, Change::Trade(places[0], places[1])).unwrap();
    let seen = |viewer| {
        let sight = Sight {
            snapshot: &snapshot,
            plan: &plan,
            viewer: Viewer::Member(viewer),
        };
        match sight.judgement(&judgement) {
            JudgementSeen::Figures {
                own,
                others,
                against,
                ..
            } => (own, others, against),
            JudgementSeen::Reasons(_) => panic!("a resident is shown a keeper's reasons"),
        }
    };
    assert_eq!(seen(own), (vec![], vec![wednesday], vec![]));
    let weekday = Broken::Weekday { weekday: 2 };
    let theirs = (vec![(wednesday, weekday)], vec![], vec![wednesday]);
    assert_eq!(seen(other), theirs);
}
