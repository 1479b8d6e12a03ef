//! What a plan for a closure says: what to do before, during and after it, and what becomes of
//! the bin if nobody comes. Letters and the API say the same.

use crate::desk::agreed_visits::AgreedVisit;
use crate::desk::closure_ground::BinPlan;
use crate::desk::closure_moments::LastTurn;
use chrono::NaiveDate;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::closure::closing::{ClosingError, Heating};
use wormrota_domain::closure::host::{Danger, HostStep, Shortfall, Unvisited};
use wormrota_domain::closure::plan::{ClosurePlan, Course, Resume, Visit};
use wormrota_domain::closure::serving::Serving;
use wormrota_domain::closure::standing::Standing;
use wormrota_domain::ids::BinId;
use wormrota_domain::living_bin::outlook::WORTH_BRINGING;
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::units::Grams;

/// A plan as sentences.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PlanWords {
    /// At the last turn before; why the bin must move, if it must.
    pub before: Vec<Phrase>,
    /// Whether somebody must come, and a sentence for each visit.
    pub visits: Vec<Phrase>,
    /// What becomes of the bin if nobody comes.
    pub alone: Vec<Phrase>,
    /// At the first turn after.
    pub after: Vec<Phrase>,
    /// What moving to a host takes, in order; nothing if the bin stays.
    pub host: Vec<Phrase>,
}

impl PlanWords {
    /// The words of a plan, with who comes to the visits that were agreed on.
    #[must_use]
    pub fn of(bin: &BinPlan, plan: &ClosurePlan, comings: &[Coming]) -> Self {
        let alone = vec![alone(&plan.unvisited)];
        match &plan.course {
            Course::Stay {
                visits,
                end,
                resume,
            } => Self {
                before: before(plan, bin.last_turn),
                visits: coming(visits, comings),
                alone,
                after: after(end, resume, bin.first_is_turn),
                host: Vec::new(),
            },
            Course::Move {
                why,
                checklist,
                visits,
            } => Self {
                before: vec![moving(why)],
                visits: until_it_moves(visits, comings),
                alone,
                host: checklist.iter().map(|step| host_step(*step)).collect(),
                ..Self::default()
            },
        }
    }
}

/// Why there is nothing to plan for a bin.
#[must_use]
pub fn nothing_planned(why: &ClosingError) -> Phrase {
    Phrase::of(match why {
        ClosingError::NoWorms => "closure-no-worms",
        ClosingError::NoDays | ClosingError::OutOfOrder | ClosingError::Setting { .. } => {
            "closure-no-plan"
        }
    })
}

/// What a plan takes for granted, and what to keep in mind at every visit.
#[must_use]
pub fn in_mind(heating: Heating) -> Vec<Phrase> {
    vec![
        Phrase::of("closure-heating").with("heating", Value::Code(heating.code())),
        Phrase::of("closure-care-hands"),
        Phrase::of("closure-care-liquid"),
        Phrase::of("closure-care-hot"),
        Phrase::of("closure-care-rules"),
    ]
}

fn before(plan: &ClosurePlan, last: LastTurn) -> Vec<Phrase> {
    let serving = plan.last_serving;
    let known = match last {
        LastTurn::Turn => "turn",
        LastTurn::Unknown => "none",
        LastTurn::Now => "now",
        LastTurn::Over => return Vec::new(),
        LastTurn::Done => return vec![Phrase::of("closure-done")],
    };
    let on = |code| {
        Phrase::of(code)
            .with("known", Value::Code(known))
            .with("on", Value::OnDay(plan.last_turn))
    };
    let meal = if serving.meal >= WORTH_BRINGING {
        on("closure-last").with("meal", Value::AtMost(serving.meal))
    } else {
        on("closure-last-no-food")
    };
    let mut said = vec![meal];
    if serving.dry > Grams::ZERO {
        said.push(Phrase::of("closure-bedding").with("dry", Value::AtLeast(serving.dry)));
    }
    if serving.millilitres > 0 {
        said.push(Phrase::of("closure-water").with("water", Value::Water(serving.millilitres)));
    }
    said
}

/// The visits of a bin that take place, with who comes.
#[must_use]
pub fn comings_of(bin: BinId, visits: &[AgreedVisit], zone: SiteZone) -> Vec<Coming> {
    let its = visits
        .iter()
        .filter(|visit| visit.turn.bin == bin && visit.turn.called_off.is_none());
    let coming = |visit: &AgreedVisit| Coming {
        on: visit.turn.on_date,
        is_held: visit.is_held(),
        names: visit.names(),
        zone,
    };
    its.map(coming).collect()
}

/// Who comes on a day that was agreed on.
#[derive(Debug, Clone, PartialEq)]
pub struct Coming {
    /// The day.
    pub on: NaiveDate,
    /// Whether anybody comes.
    pub is_held: bool,
    /// Who, as far as the reader may know.
    pub names: Vec<String>,
    /// Where it is that day.
    pub zone: SiteZone,
}

impl Coming {
    fn is_for(&self, visit: &Visit) -> bool {
        visit.comes && self.zone.local_date(visit.agreed) == self.on
    }
}

fn coming(visits: &[Visit], comings: &[Coming]) -> Vec<Phrase> {
    if visits.is_empty() {
        return vec![Phrase::of("closure-nobody-needed")];
    }
    let count = |count: usize| Value::Count(u64::try_from(count).unwrap_or(u64::MAX));
    let more = visits.iter().filter(|visit| !visit.comes).count();
    let agreed = visits.len() - more;
    let mut said = vec![match (agreed, more) {
        (0, more) => Phrase::of("closure-visits").with("count", count(more)),
        (agreed, 0) => Phrase::of("closure-visits-agreed").with("count", count(agreed)),
        (_, more) => Phrase::of("closure-visits-more").with("count", count(more)),
    }];
    said.extend(visits.iter().map(|visit| visit_said(visit, comings)));
    let is_dry = |visit: &Visit| visit.serving.water_first;
    if visits.first().is_some_and(is_dry) {
        said.push(Phrase::of("closure-visits-dry"));
    }
    said.push(Phrase::of("closure-plan-anew"));
    said
}

/// What who agreed to come does for a bin that has to move.
fn until_it_moves(visits: &[Visit], comings: &[Coming]) -> Vec<Phrase> {
    if visits.is_empty() {
        return Vec::new();
    }
    let said = visits.iter().map(|visit| visit_said(visit, comings));
    let until = Phrase::of("closure-visits-until");
    [until].into_iter().chain(said).collect()
}

/// When somebody should come, and what to do then; who comes, where that was agreed on.
#[must_use]
pub fn visit_said(visit: &Visit, comings: &[Coming]) -> Phrase {
    let what = Value::Phrase(Box::new(to_do(&visit.serving)));
    let on = |code| Phrase::of(code).with("on", Value::OnDay(visit.agreed));
    if let Some(coming) = comings.iter().find(|coming| coming.is_for(visit)) {
        let names = &coming.names;
        let said = match (coming.is_held, names.len()) {
            (false, _) => on("closure-visit-free"),
            (true, 0) => on("closure-visit-somebody"),
            (true, count) => on("closure-visit-held")
                .with("names", Value::List(names.clone()))
                .with(
                    "count",
                    Value::Count(u64::try_from(count).unwrap_or(u64::MAX)),
                ),
        };
        return said.with("what", what);
    }
    if visit.earliest == visit.latest {
        return on("closure-visit-on").with("what", what);
    }
    on("closure-visit-between")
        .with("earliest", Value::Date(visit.earliest))
        .with("latest", Value::Date(visit.latest))
        .with("what", what)
}

/// What goes in.
pub(super) fn to_do(serving: &Serving) -> Phrase {
    let fed = serving.meal >= WORTH_BRINGING;
    let bedding = if serving.dry > Grams::ZERO {
        "some"
    } else {
        "none"
    };
    let code = if fed {
        "closure-visit-feed"
    } else {
        "closure-visit-no-food"
    };
    let mut said = Phrase::of(code)
        .with("bedding", Value::Code(bedding))
        .with("dry", Value::AtLeast(serving.dry))
        .with("water", Value::Water(serving.millilitres));
    if fed {
        said = said.with("meal", Value::AtMost(serving.meal));
    }
    if serving.water_first {
        return Phrase::of("closure-visit-dry").with("what", Value::Phrase(Box::new(said)));
    }
    said
}

fn alone(unvisited: &Unvisited) -> Phrase {
    if let Some(lost) = unvisited.lost_at {
        return Phrase::of("closure-alone-lost").with("on", Value::OnDay(lost));
    }
    unvisited.below_wanted_at.map_or_else(
        || Phrase::of("closure-alone-fine"),
        |below| {
            Phrase::of("closure-alone-fewer")
                .with("date", Value::Date(below))
                .with("of_hundred", Value::Count(of_hundred(unvisited)))
        },
    )
}

/// Of a hundred worms, those that live at the end: never said to be more than they are.
fn of_hundred(unvisited: &Unvisited) -> u64 {
    (0..100)
        .take_while(|hundredth: &u32| f64::from(hundredth + 1) / 100.0 <= unvisited.share.middle.0)
        .count()
        .try_into()
        .unwrap_or(100)
}

fn after(end: &Standing, resume: &Resume, is_turn: bool) -> Vec<Phrase> {
    let known = if is_turn { "turn" } else { "none" };
    let on = |code| {
        Phrase::of(code)
            .with("known", Value::Code(known))
            .with("on", Value::OnDay(end.at))
    };
    let meal = if resume.meal >= WORTH_BRINGING {
        on("closure-after").with("meal", Value::AtMost(resume.meal))
    } else {
        on("closure-after-no-food")
    };
    let mut said = vec![meal];
    let weeks = u64::try_from(resume.ramp.len()).unwrap_or(u64::MAX);
    if weeks > 0 {
        said.push(Phrase::of("closure-after-ramp").with("weeks", Value::Count(weeks)));
    }
    said
}

fn moving(why: &Shortfall) -> Phrase {
    Phrase::of(match why.danger {
        Danger::DeadlyHeat => "closure-move-heat",
        Danger::DeadlyFrost => "closure-move-frost",
        Danger::DriesOut => "closure-move-dry",
        Danger::Starves => "closure-move-hunger",
    })
    .with("date", Value::Date(why.at))
}

fn host_step(step: HostStep) -> Phrase {
    Phrase::of(match step {
        HostStep::FindHost => "closure-host-find",
        HostStep::ChoosePlace => "closure-host-place",
        HostStep::FeedLittleBefore => "closure-host-feed-little",
        HostStep::DrainLiquid => "closure-host-drain",
        HostStep::CarryLevel => "closure-host-carry",
        HostStep::LightFirstNights => "closure-host-light",
        HostStep::ShowHost => "closure-host-show",
        HostStep::LookAfterTwoDays => "closure-host-look",
        HostStep::AgreeReturn => "closure-host-return",
    })
}
