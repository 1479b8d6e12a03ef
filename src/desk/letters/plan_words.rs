//! What a plan for a closure says: what to do before, during and after it, and what becomes of
//! the bin if nobody comes. Letters and the API say the same.

use wormrota_domain::closure::closing::{ClosingError, Heating};
use wormrota_domain::closure::host::{Danger, HostStep, Shortfall, Unvisited};
use wormrota_domain::closure::plan::{ClosurePlan, Course, Resume, Visit};
use wormrota_domain::closure::serving::Serving;
use wormrota_domain::closure::standing::Standing;
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
    /// The words of a plan.
    #[must_use]
    pub fn of(plan: &ClosurePlan) -> Self {
        let alone = vec![alone(&plan.unvisited)];
        match &plan.course {
            Course::Stay {
                visits,
                end,
                resume,
            } => Self {
                before: before(plan),
                visits: coming(visits),
                alone,
                after: after(end, resume),
                host: Vec::new(),
            },
            Course::Move { why, checklist } => Self {
                before: vec![moving(why)],
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

fn before(plan: &ClosurePlan) -> Vec<Phrase> {
    let serving = plan.last_serving;
    let on = |code| Phrase::of(code).with("on", Value::OnDay(plan.last_turn));
    let meal = if serving.meal > Grams::ZERO {
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

fn coming(visits: &[Visit]) -> Vec<Phrase> {
    if visits.is_empty() {
        return vec![Phrase::of("closure-nobody-needed")];
    }
    let count = u64::try_from(visits.len()).unwrap_or(u64::MAX);
    let mut said = vec![Phrase::of("closure-visits").with("count", Value::Count(count))];
    said.extend(visits.iter().map(visit));
    said.push(Phrase::of("closure-plan-anew"));
    said
}

/// When somebody should come, and what to do then.
#[must_use]
pub fn visit(visit: &Visit) -> Phrase {
    let what = Value::Phrase(Box::new(to_do(&visit.serving)));
    if visit.earliest == visit.latest {
        return Phrase::of("closure-visit-on")
            .with("on", Value::OnDay(visit.latest))
            .with("what", what);
    }
    Phrase::of("closure-visit-between")
        .with("earliest", Value::Date(visit.earliest))
        .with("latest", Value::Date(visit.latest))
        .with("on", Value::OnDay(visit.agreed))
        .with("what", what)
}

fn to_do(serving: &Serving) -> Phrase {
    let fed = serving.meal > Grams::ZERO;
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

fn after(end: &Standing, resume: &Resume) -> Vec<Phrase> {
    let on = |code| Phrase::of(code).with("on", Value::OnDay(end.at));
    let meal = if resume.meal > Grams::ZERO {
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
