//! Plans while a site is shut for a bed that is too dry already, or was just looked after.

use super::closing::Closing;
use super::host::Danger;
use super::plan::{ClosurePlan, Course, Visit};
use super::trials::Trial;

/// The plan for a bin that nobody is at now, with people who come so many days from now.
fn left_alone(mut trial: Trial, come: &[usize]) -> (ClosurePlan, Trial) {
    for day in come {
        trial.days[day - 1].comes = true;
    }
    let plan = Closing {
        is_looked_after: false,
        ..trial.closing()
    }
    .plan()
    .unwrap();
    (plan, trial)
}

/// A bin whose bed is at 20 degrees Celsius, and that nobody looked after for so many days.
fn dry(unattended: f64, days: usize) -> Trial {
    let mut trial = Trial::steady(20.0, days);
    trial.state.vitals.unattended = unattended;
    trial
}

fn visits(plan: &ClosurePlan) -> &[Visit] {
    match &plan.course {
        Course::Stay { visits, .. } => visits,
        Course::Move { why, .. } => panic!("no plan: {why:?}"),
    }
}

/// Protects a bin from being carried away because its bed is a day too dry: whoever agreed to
/// come waters it, before anything else, and nobody else has to come.
#[test]
fn an_agreed_visit_finds_a_dry_bed_and_waters_it_first() {
    for unattended in [20.5, 22.0, 25.0] {
        let (plan, trial) = left_alone(dry(unattended, 20), &[3]);
        let [visit] = visits(&plan) else {
            panic!("{plan:?}");
        };
        assert_eq!((visit.agreed, visit.comes), (trial.days[2].at, true));
        assert!(visit.serving.water_first && visit.serving.millilitres > 0);
        assert!(visit.before.moisture.0 < 0.70, "{visit:?}");
    }
    // A bed that is damp still then is fed before it is watered.
    let (plan, _) = left_alone(dry(10.0, 20), &[3]);
    assert!(!visits(&plan)[0].serving.water_first);
}

/// Protects worms from an agreed visit that comes too late for them: somebody has to come on the
/// first day on which anybody can, and what was agreed on stays.
#[test]
fn somebody_comes_at_once_where_the_agreed_visit_is_too_late() {
    let mut late = dry(25.0, 40);
    late.days[0].can_visit = false;
    let (plan, trial) = left_alone(late, &[38]);
    let days: Vec<_> = visits(&plan).iter().map(|visit| visit.latest).collect();
    assert_eq!(days.first(), Some(&trial.days[1].at), "{plan:?}");
    assert_eq!(days.last(), Some(&trial.days[37].at), "{plan:?}");
    assert!(visits(&plan)[0].serving.water_first);
    assert!(!visits(&plan)[1].serving.water_first);
    // With a bed that is damp, who comes first may still choose.
    let (plan, trial) = left_alone(dry(15.0, 40), &[38]);
    assert!(visits(&plan)[0].latest > trial.days[1].at, "{plan:?}");
}

/// Protects who agreed to come from being left out where no visit keeps the bin: what is to be done
/// on their days is said until it moves.
#[test]
fn agreed_visits_are_in_the_plan_of_a_bin_that_must_move() {
    let (plan, trial) = left_alone(Trial::steady(36.0, 30), &[4, 9]);
    let Course::Move { why, visits, .. } = &plan.course else {
        panic!("{plan:?}");
    };
    assert_eq!(why.danger, Danger::DeadlyHeat);
    let days: Vec<_> = visits.iter().map(|visit| visit.agreed).collect();
    assert_eq!(days, [trial.days[3].at, trial.days[8].at]);
    assert!(visits.iter().all(|visit| visit.comes));
}

/// Protects people from amounts that change when they agree: what a plan says of each visit, of
/// the end and of the first meal after is the same once somebody comes on the days to agree on.
#[test]
fn a_plan_says_the_same_once_it_is_agreed_on() {
    let mut compared = 0;
    for (bed, days) in [(16.0, 60), (20.0, 42), (24.0, 80), (28.0, 50)] {
        let trial = Trial::steady(bed, days);
        let before = trial.closing().plan().unwrap();
        let mut agreed = trial.clone();
        for day in &mut agreed.days {
            day.comes = visits(&before).iter().any(|visit| visit.agreed == day.at);
        }
        let after = agreed.closing().plan().unwrap();
        assert_eq!(visits(&after).len(), visits(&before).len());
        for (after, before) in visits(&after).iter().zip(visits(&before)) {
            assert_eq!(after.agreed, before.agreed);
            assert_eq!(
                (after.serving, after.before),
                (before.serving, before.before)
            );
            compared += 1;
        }
        let end = |plan: &ClosurePlan| match &plan.course {
            Course::Stay { end, resume, .. } => Some((*end, resume.clone())),
            Course::Move { .. } => None,
        };
        assert_eq!(end(&after), end(&before));
    }
    assert!(compared > 4);
}
