//! Decisions and what follows from them, as JSON. The words and numbers are the domain's;
//! the sentence is that of letters and pages.

use super::exact::kg;
use crate::wording::{Names, Spoken, Voice};
use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use serde_json::{Map, Value, json};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::food::{Class, Why};
use wormrota_domain::living_bin::aftermath::{Aftermath, Deed};
use wormrota_domain::living_bin::decision::{Condition, Decision, Outcome, Reason, Rule};
use wormrota_domain::units::Grams;

/// The answer to an offer.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Decision)]
pub struct DecisionBody {
    /// Under which the decision is kept; absent when somebody only asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    id: Option<Uuid>,
    /// The answer in one word.
    #[schema(value_type = OutcomeCode)]
    outcome: &'static str,
    /// The same for people, with the main reason and what to do next.
    sentence: String,
    /// What to do, each a sentence.
    todo: Vec<String>,
    /// The moment for which it was reckoned.
    at: DateTime<Utc>,
    /// What was offered in all.
    offered_kg: f64,
    /// What may go in; 0 when refused.
    allowed_kg: f64,
    /// What the bin could take at that moment, bookings kept.
    room_kg: f64,
    /// The offer, food by food.
    items: Vec<VerdictBody>,
    /// What must be done for the allowed amount to go in.
    conditions: Vec<CodedBody>,
    /// Each broken rule with its numbers; empty unless refused.
    reasons: Vec<CodedBody>,
    /// The first moment at which all of it would fit, if it does not now.
    fits_at: Option<DateTime<Utc>>,
    /// The local day of that moment.
    fits_on: Option<NaiveDate>,
    /// Where it would not fit within four weeks: the best day.
    best_day: Option<BestDayBody>,
    /// Other bins of the site that could take all of it now.
    other_bins: Vec<OtherBinBody>,
    /// Where else the site says that scraps may go.
    outlets: Vec<&'static str>,
    /// Which forecast it was reckoned with.
    forecast: ForecastUsedBody,
}

/// The answer in one word.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
enum OutcomeCode {
    Accepted,
    AcceptedIf,
    Refused,
}

/// One food of an offer.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ItemVerdict)]
pub struct VerdictBody {
    food: String,
    offered_kg: f64,
    allowed_kg: f64,
    /// `welcome`, `sparing` or `never`, at this site.
    class: &'static str,
    /// Why it is not welcome, as a code.
    why: Option<&'static str>,
}

/// A condition, a reason or a deed: a stable code, and numbers that depend on it.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Coded)]
pub struct CodedBody {
    /// The stable code.
    code: &'static str,
    /// The numbers behind it.
    #[serde(flatten)]
    #[schema(value_type = Object, additional_properties = true)]
    numbers: Map<String, Value>,
}

/// The day on which most would fit.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = BestDay)]
pub struct BestDayBody {
    at: DateTime<Utc>,
    amount_kg: f64,
}

/// Another bin with room.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = OtherBin)]
pub struct OtherBinBody {
    bin_id: Uuid,
    name: Option<String>,
    room_kg: f64,
}

/// Which forecast a decision was reckoned with.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ForecastUsed)]
pub struct ForecastUsedBody {
    /// When it was made.
    pub(super) made_at: DateTime<Utc>,
    /// The version of the equations.
    pub(super) model_version: i32,
    /// The fingerprint of the constants.
    pub(super) settings_revision: String,
    /// Nobody measured the bed lately: its temperature is assumed.
    pub(super) temperature_assumed: bool,
}

/// A decision as its reader gets it.
pub(super) fn decision_body(
    id: Option<Uuid>,
    decision: &Decision,
    voice: &Voice,
    names: &Names,
    decided_at: DateTime<Utc>,
) -> DecisionBody {
    let Spoken { sentence, todo } = voice.decision(decision, names, decided_at);
    let other_bin = |other: &wormrota_domain::living_bin::decision::OtherBin| OtherBinBody {
        bin_id: other.id.0,
        name: names.bin(other.id).map(ToOwned::to_owned),
        room_kg: kg(other.room),
    };
    DecisionBody {
        id,
        outcome: decision.outcome.code(),
        sentence,
        todo,
        at: decision.at,
        offered_kg: kg(decision.offered),
        allowed_kg: kg(decision.allowed),
        room_kg: kg(decision.room),
        items: decision
            .lines
            .iter()
            .map(|line| VerdictBody {
                food: line.food.clone(),
                offered_kg: kg(line.offered),
                allowed_kg: kg(line.allowed),
                class: Class::code(line.class),
                why: line.why.map(Why::code),
            })
            .collect(),
        conditions: decision.conditions.iter().map(condition).collect(),
        reasons: decision.reasons.iter().map(reason).collect(),
        fits_at: decision.fits_at,
        fits_on: decision.fits_at.map(|at| voice.zone.local_date(at)),
        best_day: decision.most.map(|day| BestDayBody {
            at: day.at,
            amount_kg: kg(day.amount),
        }),
        other_bins: decision.other_bins.iter().map(other_bin).collect(),
        outlets: decision
            .outlets
            .iter()
            .map(|outlet| outlet.code())
            .collect(),
        forecast: ForecastUsedBody {
            made_at: decided_at,
            model_version: decision.model_version,
            settings_revision: decision.settings_revision.clone(),
            temperature_assumed: decision.temperature_assumed,
        },
    }
}

impl DecisionBody {
    /// The answer for people.
    pub(super) fn sentence(&self) -> &str {
        &self.sentence
    }
}

/// Whether the answer is a refusal.
pub(super) fn is_refused(decision: &Decision) -> bool {
    decision.outcome == Outcome::Refused
}

/// What came of a feeding that was told afterwards.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Aftermath)]
pub struct AftermathBody {
    /// What happened, for people, and what to do first.
    sentence: String,
    /// What to do, each a sentence.
    todo: Vec<String>,
    /// What was recorded.
    recorded_kg: f64,
    /// What the bin could have taken just before.
    room_before_kg: f64,
    /// By how much it is over its limit now.
    over_by_kg: f64,
    /// What to do now, in this order.
    deeds: Vec<CodedBody>,
    /// Whether the caretaker hears of it.
    caretaker_told: bool,
}

/// The aftermath of a feeding as its reader gets it.
pub(super) fn aftermath_body(
    aftermath: &Aftermath,
    voice: &Voice,
    now: DateTime<Utc>,
) -> AftermathBody {
    let Spoken { sentence, todo } = voice.aftermath(aftermath, now);
    AftermathBody {
        sentence,
        todo,
        recorded_kg: kg(aftermath.recorded),
        room_before_kg: kg(aftermath.room_before),
        over_by_kg: kg(aftermath.over_by),
        deeds: aftermath.deeds.iter().map(deed).collect(),
        caretaker_told: !aftermath.troubles.is_empty(),
    }
}

fn coded(code: &'static str, numbers: Value) -> CodedBody {
    let numbers = match numbers {
        Value::Object(numbers) => numbers,
        _ => Map::new(),
    };
    CodedBody { code, numbers }
}

fn condition(condition: &Condition) -> CodedBody {
    match condition {
        Condition::LeaveOut { foods } => coded("leave_out", json!({ "foods": foods })),
        Condition::LessOf {
            foods,
            limit,
            at_most,
        } => coded(
            "less_of",
            json!({ "foods": foods, "rule": limit.code(), "at_most_kg": kg(*at_most) }),
        ),
        Condition::StopAt { amount } => coded("stop_at", json!({ "amount_kg": kg(*amount) })),
        Condition::CutSmall { foods } => coded("cut_small", json!({ "foods": foods })),
        Condition::AddBedding { dry } => coded("add_bedding", json!({ "dry_kg": kg(*dry) })),
        Condition::AddWater { millilitres } => {
            coded("add_water", json!({ "millilitres": millilitres }))
        }
    }
}

fn reason(reason: &Reason) -> CodedBody {
    let (code, numbers) = match &reason.rule {
        Rule::NeverFood { foods } => ("never_food", json!({ "foods": foods })),
        Rule::Eating { uneaten } => ("eating", json!({ "uneaten_kg": kg(*uneaten) })),
        Rule::Ramp {
            week,
            percent,
            uneaten,
        } => (
            "ramp",
            json!({ "week": week, "percent": percent, "uneaten_kg": kg(*uneaten) }),
        ),
        Rule::Area { a_week } => ("area", json!({ "a_week_kg": kg(*a_week) })),
        Rule::Depth { millimetres } => ("depth", json!({ "millimetres": millimetres })),
        Rule::Fill { percent } => ("fill", json!({ "percent": percent })),
        Rule::TooHot {
            bed,
            opens_below,
            deadly_above,
        } => (
            "too_hot",
            json!({ "bed_c": bed.0, "opens_below_c": opens_below.0, "deadly_above_c": deadly_above.0 }),
        ),
        Rule::TooCold { bed } => ("too_cold", json!({ "bed_c": bed.0 })),
        Rule::Signs { sign, since } => ("signs", json!({ "sign": sign.code(), "since": since })),
        Rule::Handful { sign, since } => {
            ("handful", json!({ "sign": sign.code(), "since": since }))
        }
        Rule::Resuming { percent, uneaten } => (
            "resuming",
            json!({ "percent": percent, "uneaten_kg": kg(*uneaten) }),
        ),
        Rule::NoWorms => ("no_worms", json!({})),
        Rule::SparingShare { percent, foods } => (
            "sparing_share",
            json!({ "percent": percent, "foods": foods }),
        ),
        Rule::CoffeeShare { percent, foods } => (
            "coffee_share",
            json!({ "percent": percent, "foods": foods }),
        ),
    };
    let mut body = coded(code, numbers);
    body.numbers
        .insert("leaves_kg".to_owned(), json!(kg(reason.leaves)));
    if let Some(at) = reason.guards {
        body.numbers
            .insert("guards_booking_at".to_owned(), json!(at));
    }
    body
}

fn deed(deed: &Deed) -> CodedBody {
    let amount = |grams: &Grams| json!({ "amount_kg": kg(*grams) });
    match deed {
        Deed::TakeOutFoods { foods } => coded("take_out_foods", json!({ "foods": foods })),
        Deed::TakeOutAmount { amount: grams } => coded("take_out_amount", amount(grams)),
        Deed::AddBedding { dry } => coded("add_bedding", json!({ "dry_kg": kg(*dry) })),
        Deed::AddWater { millilitres } => coded("add_water", json!({ "millilitres": millilitres })),
        Deed::FeedNothingUntil { at } => coded("feed_nothing_until", json!({ "at": at })),
        Deed::Cover => coded("cover", json!({})),
        Deed::Cool => coded("cool", json!({})),
        Deed::SayWhenOut => coded("say_when_out", json!({})),
    }
}
