//! What keepers know of bins that are left alone, and a summer laid open. Common practice, no
//! source, where nothing else is said.

use super::closing::{ClosingError, Heating, looked_after_until};
use super::host::{Danger, HostStep};
use super::plan::{ClosurePlan, Course, Visit};
use super::standing::Broken;
use super::trials::Trial;
use crate::living_bin::climate::{BedReading, Climate};
use crate::living_bin::time::{days_between, plus_days};
use crate::site::Spot;
use crate::units::{Celsius, Fraction, Grams};

fn plan(trial: &Trial) -> ClosurePlan {
    trial.closing().plan().unwrap()
}

fn visits(plan: &ClosurePlan) -> &[Visit] {
    match &plan.course {
        Course::Stay { visits, .. } => visits,
        Course::Move { why, .. } => panic!("no plan: {why:?}"),
    }
}

/// Protects holidays of up to three weeks from visits that nobody needs.
#[test]
fn three_closed_weeks_are_fine_without_anybody() {
    for days in [1, 7, 14, 21] {
        let plan = plan(&Trial::steady(20.0, days));
        assert!(visits(&plan).is_empty(), "{days} days");
        assert!(plan.unvisited.below_wanted_at.is_none());
    }
}

/// Protects worms from a month in which nobody comes.
#[test]
fn a_closed_month_needs_somebody() {
    for days in [28, 30, 31] {
        let plan = plan(&Trial::steady(20.0, days));
        assert_eq!(visits(&plan).len(), 1, "{days} days");
    }
}

/// Protects people from hoping: after two months without anybody the bin is lost.
#[test]
fn two_months_without_anybody_are_the_end() {
    let plan = plan(&Trial::steady(20.0, 60));
    let unvisited = plan.unvisited;
    assert!(
        unvisited.share.middle < Fraction(0.25),
        "{:?}",
        unvisited.share
    );
    let lost = days_between(plan.last_turn, unvisited.lost_at.unwrap());
    assert!((50.0..=61.0).contains(&lost), "{lost}");
    assert!(visits(&plan).len() >= 2);
}

/// Protects a sealed building from a plan that nobody can carry out: three months without
/// anybody are a matter for a host.
#[test]
fn a_building_sealed_for_three_months_needs_a_host() {
    let mut trial = Trial::steady(20.0, 90);
    trial.days.iter_mut().for_each(|day| day.can_visit = false);
    let plan = plan(&trial);
    let Course::Move { why, checklist, .. } = plan.course else {
        panic!("a plan");
    };
    assert!(plan.proven);
    assert_eq!((why.danger, why.days_with_somebody), (Danger::DriesOut, 0));
    assert_eq!(checklist, HostStep::ALL);
    assert!(plan.unvisited.lost_at.is_some());
}

/// Protects from visits that cannot help: heat and frost kill whoever comes, and a building
/// without heating can freeze where the same one with it does not.
#[test]
fn heat_and_frost_are_no_matter_of_visits() {
    let danger = |trial: &Trial| match plan(trial).course {
        Course::Move { why, .. } => Some(why.danger),
        Course::Stay { .. } => None,
    };
    assert_eq!(danger(&Trial::steady(37.0, 30)), Some(Danger::DeadlyHeat));
    assert_eq!(danger(&Trial::steady(-2.0, 30)), Some(Danger::DeadlyFrost));
    let mut winter = Trial::steady(20.0, 30);
    winter.habitat.shape.spot = Spot::Indoors;
    winter.habitat.settings.reading_fades_days = 4.0;
    winter.habitat.climate = Climate([-12.0; 12]);
    assert_eq!(danger(&winter), Some(Danger::DeadlyFrost));
    winter.heating = Heating::On;
    assert_eq!(danger(&winter), None);
}

/// Protects the site's own figures: a hot bed dries sooner, by its climate or by a reading.
#[test]
fn the_sites_own_figures_decide() {
    let at = |bed: f64, reading: Option<f64>| {
        let mut trial = Trial::steady(bed, 21);
        let at = trial.state.at;
        trial.state.reading = reading.map(|bed| BedReading {
            bed: Celsius(bed),
            at,
        });
        visits(&plan(&trial)).len()
    };
    assert_eq!((at(20.0, None), at(20.0, Some(29.0))), (0, 1));
    // Under a roof six tenths of the air arrive: 29 degrees of it make a bed of 23.
    assert_eq!((at(29.0, None), at(29.0, Some(20.0))), (1, 0));
}

/// Protects whoever comes from days that only fit one by one: on the days to agree on, all
/// together keep the bin, and each leaves a day to spare where it can.
#[test]
fn the_days_to_agree_on_keep_the_bin_together() {
    let mut spared = 0;
    for (bed, days) in [(20.0, 42), (20.0, 60), (25.0, 75), (30.0, 42)] {
        let trial = Trial::steady(bed, days);
        let planned = plan(&trial);
        let mut only = trial.clone();
        for day in &mut only.days {
            day.can_visit = visits(&planned).iter().any(|visit| visit.agreed == day.at);
        }
        assert_eq!(visits(&plan(&only)).len(), visits(&planned).len(), "{days}");
        for visit in visits(&planned) {
            assert!((visit.earliest..=visit.latest).contains(&visit.agreed));
            spared += usize::from(visit.agreed < visit.latest);
        }
    }
    assert!(spared > 0);
}

/// Protects a summer that is planned in spring: a bin that is looked after is not reckoned as
/// left alone from today on, and one whose last turn is near is taken as it is.
#[test]
fn a_closure_far_ahead_finds_the_bin_as_it_is_now() {
    let trial = Trial::steady(20.0, 30);
    let (worms, at) = (trial.state.vitals.worms_kg, trial.state.at);
    let far = plus_days(at, 60.0);
    let then = looked_after_until(&trial.state, far);
    assert_eq!((then.at, then.vitals.worms_kg), (far, worms));
    assert_eq!(looked_after_until(&trial.state, plus_days(at, 10.0)).at, at);
}

/// Protects whoever sends dates in a wrong order from a plan for other dates.
#[test]
fn what_cannot_be_planned_is_an_error_with_a_code() {
    let good = Trial::steady(20.0, 10);
    let mut turned = good.clone();
    turned.days.swap(2, 3);
    let mut empty = good.clone();
    empty.state.vitals.worms_kg = 0.0;
    let mut unsettled = good.clone();
    unsettled.settings.wanted_share = Fraction(1.2);
    let mut closing = good.closing();
    closing.days = &[];
    assert_eq!(closing.plan(), Err(ClosingError::NoDays));
    assert_eq!(turned.closing().plan(), Err(ClosingError::OutOfOrder));
    assert_eq!(empty.closing().plan(), Err(ClosingError::NoWorms));
    let error = unsettled.closing().plan().unwrap_err();
    assert_eq!(error.code(), "closure_setting_out_of_range");
    assert!(good.closing().plan().is_ok());
}

/// A summer of 42 closed days for a kilogram of worms, laid open: at 20 degrees one visit, at
/// 30 two, since the bed dries faster. Protects every figure of a plan from changing unseen.
#[test]
fn a_summer_at_20_and_at_30_degrees() {
    let told: Vec<String> = [20.0, 30.0]
        .into_iter()
        .map(|bed| table(&plan(&Trial::steady(bed, 42))))
        .collect();
    for table in &told {
        println!("{table}");
    }
    assert_eq!(told[0], SUMMER_AT_20);
    assert_eq!(told[1], SUMMER_AT_30);
}

const SUMMER_AT_20: &str = "\
bed 20.0 to 20.0 C, sd 1.0
day 0: room 875 g, ordinary 875 g, meal 875 g, dry 782 g, water 3370 ml
day 20 to 21, agreed 20: share 0.965 (0.954 to 0.985), moisture 0.705, uneaten 0 g, later breaks damp
  room 845 g, ordinary 845 g, meal 845 g, dry 0 g, water 6651 ml
day 43: share 0.864 (0.849 to 0.881), moisture 0.689; resume with 542 g of 723 g, ramp [0.75]
nobody: share 0.440 (0.434 to 0.449), moisture 0.570, below wanted on day 27, lost on day -
proven true";
const SUMMER_AT_30: &str = "\
bed 30.0 to 30.0 C, sd 1.0
day 0: room 265 g, ordinary 265 g, meal 265 g, dry 782 g, water 3065 ml
day 12 to 15, agreed 12: share 0.997 (0.984 to 1.003), moisture 0.723, uneaten 0 g, later breaks damp
  room 264 g, ordinary 264 g, meal 264 g, dry 0 g, water 5751 ml
day 27 to 30, agreed 27: share 0.971 (0.889 to 0.971), moisture 0.701, uneaten 0 g, later breaks damp
  room 258 g, ordinary 258 g, meal 258 g, dry 0 g, water 6214 ml
day 43: share 0.916 (0.767 to 0.916), moisture 0.694; resume with 237 g of 237 g, ramp []
nobody: share 0.341 (0.337 to 0.349), moisture 0.464, below wanted on day 21, lost on day -
proven true";

fn table(plan: &ClosurePlan) -> String {
    let day = |at| days_between(plan.last_turn, at);
    let or_never = |day: Option<f64>| day.map_or("-".into(), |day| format!("{day:.0}"));
    let s = plan.last_serving;
    let mut lines = vec![
        format!(
            "bed {:.1} to {:.1} C, sd {:.1}",
            plan.coldest.bed.bed.0, plan.warmest.bed.bed.0, plan.warmest.bed.sd
        ),
        format!(
            "day 0: room {} g, ordinary {} g, meal {} g, dry {} g, water {} ml",
            s.room.0, s.ordinary.0, s.meal.0, s.dry.0, s.millilitres
        ),
    ];
    let Course::Stay {
        visits,
        end,
        resume,
    } = &plan.course
    else {
        return "move".into();
    };
    for visit in visits {
        let (b, s) = (visit.before, visit.serving);
        lines.push(format!(
            "day {:.0} to {:.0}, agreed {:.0}: share {:.3} ({:.3} to {:.3}), moisture {:.3}, uneaten {:.0} g, later breaks {}",
            day(visit.earliest),
            day(visit.latest),
            day(visit.agreed),
            b.share.middle.0,
            b.share.low.0,
            b.share.high.0,
            b.moisture.0,
            Grams::rounded_up(b.uneaten.high).0,
            visit.later_breaks.map_or("-", Broken::code),
        ));
        lines.push(format!(
            "  room {} g, ordinary {} g, meal {} g, dry {} g, water {} ml",
            s.room.0, s.ordinary.0, s.meal.0, s.dry.0, s.millilitres
        ));
    }
    lines.push(format!(
        "day {:.0}: share {:.3} ({:.3} to {:.3}), moisture {:.3}; resume with {} g of {} g, ramp {:?}",
        day(end.at),
        end.share.middle.0,
        end.share.low.0,
        end.share.high.0,
        end.moisture.0,
        resume.meal.0,
        resume.room.0,
        resume.ramp
    ));
    let u = plan.unvisited;
    lines.push(format!(
        "nobody: share {:.3} ({:.3} to {:.3}), moisture {:.3}, below wanted on day {}, lost on day {}",
        u.share.middle.0,
        u.share.low.0,
        u.share.high.0,
        u.moisture.0,
        or_never(u.below_wanted_at.map(day)),
        or_never(u.lost_at.map(day))
    ));
    lines.push(format!("proven {}", plan.proven));
    lines.join("\n")
}
