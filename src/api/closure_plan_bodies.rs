//! Plans for closed days as they are shown.

use super::exact::kg;
use super::room::to_gram;
use super::turns::TurnBody;
use crate::desk::agreed_visits::AgreedVisit;
use crate::desk::closure_ground::BinPlan;
use crate::desk::closure_moments::LastTurn;
use crate::desk::closure_plan::ClosurePlans;
use crate::desk::letters::plan_words::{
    Coming, PlanWords, comings_of, in_mind, nothing_planned, visit_said,
};
use crate::wording::Voice;
use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::closure::closing::{ClosingError, Heating};
use wormrota_domain::closure::plan::{ClosurePlan, Course, Visit};
use wormrota_domain::closure::serving::Serving;
use wormrota_domain::closure::standing::{Broken, ShareBand};
use wormrota_domain::phrase::Phrase;

/// What the bins of a site need while it is shut.
#[derive(Serialize, ToSchema)]
#[schema(as = ClosurePlans)]
pub struct ClosurePlansBody {
    /// The first closed day; of closures that touch, of the first.
    first_day: NaiveDate,
    /// The last closed day.
    last_day: NaiveDate,
    /// When this was reckoned. Ask again after each visit: windows move.
    planned_at: DateTime<Utc>,
    /// Every bin with worms.
    bins: Vec<BinPlanBody>,
    /// What the plans take for granted, and what to keep in mind at each visit.
    in_mind: Vec<String>,
    /// The visits that were agreed on.
    visits: Vec<AgreedVisitBody>,
}

/// What one bin needs.
#[derive(Serialize, ToSchema)]
#[schema(as = BinPlan)]
pub struct BinPlanBody {
    bin_id: Uuid,
    name: String,
    /// Why there is nothing to plan: `no_worms`, `no_closed_days`, `closed_days_out_of_order` or
    /// `closure_setting_out_of_range`.
    refused: Option<&'static str>,
    /// The plan, if there is one.
    plan: Option<PlanBody>,
    /// At the last turn before: what to do, or that it is done; or why the bin should move.
    before: Vec<String>,
    /// Whether somebody must come, and what to do each time.
    during: Vec<String>,
    /// What becomes of the bin if nobody comes.
    alone: Vec<String>,
    /// At the first turn after.
    after: Vec<String>,
    /// What moving it to a host takes, in order; empty if it stays.
    host: Vec<String>,
}

/// A plan in figures.
#[derive(Serialize, ToSchema)]
#[schema(as = ClosurePlan)]
pub struct PlanBody {
    /// `stay`, or `move` if no visits can keep the bin.
    course: &'static str,
    /// When somebody looks after the bin for the last time before; null where no turn is known,
    /// and it is reckoned for the day before the first closed one. Now, once the site is shut or
    /// that turn is done.
    last_turn_at: Option<DateTime<Utc>>,
    /// What goes in then.
    last_turn: ServingBody,
    /// The bed on the coldest of the days.
    coldest_bed_c: f64,
    /// The bed on the warmest of the days.
    warmest_bed_c: f64,
    /// The visits, in order, those that were agreed on among them; none if the bin does without.
    /// Where no visits can keep it, those that were agreed on, which help it until it moves.
    visits: Vec<VisitBody>,
    /// When somebody looks after it for the first time after; null where no turn is known.
    first_turn_at: Option<DateTime<Utc>>,
    /// Food that may go in then, at most.
    first_meal_kg: Option<f64>,
    /// What part of a full meal goes in during each week from then on; empty when meals are
    /// full at once.
    ramp: Vec<f64>,
    /// Why no visits can keep it: `deadly_heat`, `deadly_frost`, `dries_out` or `starves`.
    danger: Option<&'static str>,
    /// The share of the worms at the last turn that lives at the end if nobody comes.
    unvisited_share: ShareBody,
    /// The first day on which fewer live than wanted if nobody comes.
    unvisited_below_wanted_on: Option<NaiveDate>,
    /// The first day on which the bin is lost if nobody comes.
    unvisited_lost_on: Option<NaiveDate>,
    /// No plan has fewer visits, or there is none. False when there were too many to try.
    proven: bool,
}

/// What goes in.
#[derive(Serialize, ToSchema)]
#[schema(as = ClosureServing)]
pub struct ServingBody {
    /// Food, at most.
    meal_kg: f64,
    /// Dry bedding.
    bedding_kg: f64,
    /// Water for the whole bed, in litres: pour it in several goes.
    water_l: f64,
    /// The bed is too dry by then: water goes in before anything else.
    water_first: bool,
}

/// A visit during closed days.
#[derive(Serialize, ToSchema)]
#[schema(as = ClosureVisit)]
pub struct VisitBody {
    /// The first day from which on every one up to the latest does, the ones before it as planned,
    /// and as many after it on days that are planned anew.
    earliest: NaiveDate,
    /// The latest day.
    latest: NaiveDate,
    /// The day to agree on, for which the rest is reckoned.
    agreed: NaiveDate,
    /// Whether it was agreed on: all three are its day.
    is_agreed: bool,
    /// What breaks if somebody comes later: `damp` or `worms`.
    later_breaks: Option<&'static str>,
    /// What goes in.
    serving: ServingBody,
    /// The share of the worms that lives then.
    share: ShareBody,
    /// The same for people.
    sentence: String,
}

/// A share of the worms, with its band.
#[derive(Serialize, ToSchema)]
#[schema(as = WormShare)]
pub struct ShareBody {
    low: f64,
    middle: f64,
    high: f64,
}

/// A visit that was agreed on, as a turn with its holder.
#[derive(Serialize, ToSchema)]
#[schema(as = AgreedVisit)]
pub struct AgreedVisitBody {
    /// The first day on which it would have done when it was planned.
    earliest: NaiveDate,
    /// The last one.
    latest: NaiveDate,
    turn: TurnBody,
}

/// The plans in a reader's words.
pub(super) fn body(plans: ClosurePlans, heating: Heating, voice: &Voice) -> ClosurePlansBody {
    let said = |phrases: Vec<Phrase>| -> Vec<String> {
        let phrases = phrases.iter();
        phrases
            .map(|one| voice.sentence_of(one, plans.at))
            .collect()
    };
    let bin = |bin: &BinPlan| {
        let comings = comings_of(bin.bin, &plans.visits, voice.zone);
        let words = match &bin.plan {
            Ok(plan) => PlanWords::of(bin, plan, &comings),
            Err(why) => PlanWords {
                before: vec![nothing_planned(why)],
                ..PlanWords::default()
            },
        };
        BinPlanBody {
            bin_id: bin.bin.0,
            name: bin.name.clone(),
            refused: bin.plan.as_ref().err().map(ClosingError::code),
            plan: (bin.plan.as_ref().ok())
                .map(|plan| figures(bin, plan, &comings, voice, plans.at)),
            before: said(words.before),
            during: said(words.visits),
            alone: said(words.alone),
            after: said(words.after),
            host: said(words.host),
        }
    };
    ClosurePlansBody {
        first_day: plans.first_day,
        last_day: plans.last_day,
        planned_at: plans.at,
        bins: plans.bins.iter().map(bin).collect(),
        in_mind: said(in_mind(heating)),
        visits: plans
            .visits
            .into_iter()
            .map(AgreedVisitBody::from)
            .collect(),
    }
}

fn figures(
    bin: &BinPlan,
    plan: &ClosurePlan,
    comings: &[Coming],
    voice: &Voice,
    now: DateTime<Utc>,
) -> PlanBody {
    let day = |at: DateTime<Utc>| voice.zone.local_date(at);
    let said = |visits: &[Visit]| -> Vec<VisitBody> {
        let visits = visits.iter();
        visits
            .map(|visit| visit_body(visit, comings, voice, now))
            .collect()
    };
    let tenth = |celsius: f64| (celsius * 10.0).round() / 10.0;
    let mut body = PlanBody {
        course: "move",
        last_turn_at: (bin.last_turn != LastTurn::Unknown).then_some(plan.last_turn),
        last_turn: plan.last_serving.into(),
        coldest_bed_c: tenth(plan.coldest.bed.bed.0),
        warmest_bed_c: tenth(plan.warmest.bed.bed.0),
        visits: Vec::new(),
        first_turn_at: None,
        first_meal_kg: None,
        ramp: Vec::new(),
        danger: None,
        unvisited_share: plan.unvisited.share.into(),
        unvisited_below_wanted_on: plan.unvisited.below_wanted_at.map(day),
        unvisited_lost_on: plan.unvisited.lost_at.map(day),
        proven: plan.proven,
    };
    match &plan.course {
        Course::Stay {
            visits,
            end,
            resume,
        } => {
            body.course = "stay";
            body.visits = said(visits);
            body.first_turn_at = bin.first_is_turn.then_some(end.at);
            body.first_meal_kg = Some(kg(resume.meal));
            body.ramp.clone_from(&resume.ramp);
        }
        Course::Move { why, visits, .. } => {
            body.danger = Some(why.danger.code());
            body.visits = said(visits);
        }
    }
    body
}

fn visit_body(of: &Visit, comings: &[Coming], voice: &Voice, now: DateTime<Utc>) -> VisitBody {
    let day = |at: DateTime<Utc>| voice.zone.local_date(at);
    VisitBody {
        earliest: day(of.earliest),
        latest: day(of.latest),
        agreed: day(of.agreed),
        is_agreed: of.comes,
        later_breaks: of.later_breaks.map(Broken::code),
        serving: of.serving.into(),
        share: of.before.share.into(),
        sentence: voice.sentence_of(&visit_said(of, comings), now),
    }
}

impl From<Serving> for ServingBody {
    fn from(serving: Serving) -> Self {
        Self {
            meal_kg: kg(serving.meal),
            bedding_kg: kg(serving.dry),
            water_l: kg(wormrota_domain::units::Grams(serving.millilitres)),
            water_first: serving.water_first,
        }
    }
}

impl From<ShareBand> for ShareBody {
    fn from(share: ShareBand) -> Self {
        Self {
            low: to_gram(share.low.0),
            middle: to_gram(share.middle.0),
            high: to_gram(share.high.0),
        }
    }
}

impl From<AgreedVisit> for AgreedVisitBody {
    fn from(visit: AgreedVisit) -> Self {
        Self {
            earliest: visit.earliest,
            latest: visit.latest,
            turn: visit.turn.into(),
        }
    }
}
