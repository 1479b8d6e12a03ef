//! Why a rota is as it is: one's own reasons, everybody's figures, empty places, and two
//! members beside each other.

use super::bearer::SignedIn;
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::Problem;
use super::query::read;
use super::reader::reader;
use super::{AppState, responses};
use crate::desk::rota_reasons::{
    Beside, EmptyTurn, MemberOfRota, Reasons, compare_members, list_empty_places,
    list_members_of_rota, see_reasons,
};
use crate::wording::Voice;
use actix_web::{HttpRequest, get, web};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::fmt;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{MemberId, RotaId, SiteId};
use wormrota_domain::rota::explain::Fraction;
use wormrota_domain::rota::explain::limits::{Limits, ORDER};
use wormrota_domain::rota::explain::sight::{ComparisonSeen, EmptySeen};
use wormrota_domain::rota::index::MemberIndex;

/// Whose reasons are wanted.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct ReasonsQuery {
    /// Whose; your own when not given. Others' are for caretakers and teachers.
    member_id: Option<Uuid>,
}

/// Who is compared.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct ComparisonQuery {
    /// Who is asked about.
    one_id: Uuid,
    /// Beside whom.
    other_id: Uuid,
}

/// Why somebody has the turns that they have.
#[derive(Serialize, ToSchema)]
#[schema(as = RotaReasons)]
pub struct ReasonsBody {
    member_id: Uuid,
    name: Option<String>,
    turns: usize,
    /// Effort of these turns.
    effort: i64,
    /// The share of the work, in sixtieths of a full share.
    share: u32,
    /// Effort beyond their part that earlier rotas left; below zero for too little.
    brought_along: i64,
    /// Effort that would be fair here, to the thousandth.
    fair: f64,
    /// Effort less what would be fair, to the thousandth.
    difference: f64,
    limits: LimitsBody,
    /// The same in words, a sentence each.
    sentences: Vec<String>,
}

impl fmt::Debug for ReasonsBody {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "ReasonsBody({})", self.member_id)
    }
}

/// How somebody stands to every turn of the rota: `held`, `within` and each `first` of `shut`
/// make all turns.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RotaLimits)]
pub struct LimitsBody {
    /// Turns that they hold.
    held: usize,
    /// Turns that they do not hold and that no limit shuts.
    within: usize,
    /// Of these, those whose places all are held by others.
    within_held_by_others: usize,
    /// Turns on which they could have been, whatever else they did.
    at_all: usize,
    /// What each limit shuts, a turn that several shut under the first of them.
    shut: Vec<ShutBody>,
    /// The same for each weekday that does not work.
    weekdays: Vec<WeekdayBody>,
}

/// What a limit shuts.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RotaLimitShut)]
pub struct ShutBody {
    /// `open` (the day is closed to change), `weekday`, `absence`, `trained`, `rest`,
    /// `most_in_28_days`; for caretakers and teachers also `not_alone` and `apart`.
    rule: &'static str,
    /// Turns that it shuts and no limit before it does.
    first: usize,
    /// Turns that it alone shuts.
    alone: usize,
}

/// What a weekday that does not work shuts.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RotaWeekdayShut)]
pub struct WeekdayBody {
    /// 1 is Monday.
    weekday: usize,
    first: usize,
    alone: usize,
}

/// What somebody has in a rota.
#[derive(Serialize, ToSchema)]
#[schema(as = MemberOfRota)]
pub struct MemberOfRotaBody {
    member_id: Uuid,
    name: Option<String>,
    turns: usize,
    /// Effort of these turns.
    effort: i64,
    /// Effort that would be fair, to the nearest whole; null for who has no part in the rota
    /// and holds a place all the same.
    fair: Option<i64>,
}

impl fmt::Debug for MemberOfRotaBody {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "MemberOfRotaBody({})", self.member_id)
    }
}

/// A turn with empty places.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = EmptyTurnOfRota)]
pub struct EmptyTurnBody {
    turn_id: Uuid,
    bin_id: Uuid,
    on_date: NaiveDate,
    /// How many of its places nobody holds.
    places: usize,
    /// Who could take a place; for caretakers and teachers.
    could: Vec<Uuid>,
    /// Who could not, and every rule that would break; for caretakers and teachers.
    cannot: Vec<CannotBody>,
    /// How many of the others have which reason: for caretakers and teachers each rule, and
    /// somebody can count for several; for others `closed`, `day`, `training`, `enough` or
    /// `others`, each person once, and none where so few are left that it would tell whose it
    /// is.
    reasons: Vec<ReasonCountBody>,
    /// The same in words.
    sentence: String,
}

/// Why somebody cannot take a place.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RotaCannot)]
pub struct CannotBody {
    member_id: Uuid,
    rules: Vec<&'static str>,
}

/// How many have a reason.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RotaReasonCount)]
pub struct ReasonCountBody {
    reason: &'static str,
    count: usize,
}

/// Two members beside each other. The parts of the difference add up to it.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RotaComparison)]
pub struct ComparisonBody {
    one_id: Uuid,
    other_id: Uuid,
    /// How much more effort the first has; below zero for less.
    effort: i64,
    /// What of it is because of their shares, to the thousandth; for caretakers and teachers.
    by_share: Option<f64>,
    /// What of it is because of earlier rotas; for caretakers and teachers.
    by_earlier_rotas: Option<i64>,
    /// What of it is fair, to the nearest whole for each; for others.
    fair: Option<i64>,
    /// What is left, to the thousandth: limits, wishes, and what does not divide evenly.
    rest: f64,
    /// The limits of the first; for caretakers and teachers.
    limits_of_one: Option<LimitsBody>,
    /// The limits of the other; for caretakers and teachers.
    limits_of_other: Option<LimitsBody>,
    /// The same in words.
    sentence: String,
}

/// Why you have the turns that you have: what would be fair, what earlier rotas left, and how
/// many turns each of your limits shuts. Caretakers and teachers see anybody's.
#[utoipa::path(
    tag = "rotas",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("rota_id" = Uuid, Path, description = "The rota"),
        ReasonsQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The reasons", body = ReasonsBody),
        responses::ReadingRota,
    )
)]
#[get("/v1/sites/{site_id}/rotas/{rota_id}/reasons")]
pub(super) async fn show_rota_reasons(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    request: HttpRequest,
) -> Result<web::Json<ReasonsBody>, Problem> {
    let (site, rota) = (SiteId(path.0), RotaId(path.1));
    let query: ReasonsQuery = read(&request)?;
    let errand = who.errand(&state, None).await?;
    let (voice, _) = reader(&state, &errand, site).await?;
    let of = query.member_id.map(MemberId);
    let reasons = see_reasons(&state.desk, errand, site, rota, of).await?;
    Ok(web::Json(reasons_body(reasons, &voice)))
}

/// What everybody has in a rota beside what would be fair: those whom the site lets you see.
#[utoipa::path(
    tag = "rotas",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("rota_id" = Uuid, Path, description = "The rota"),
        PageQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of members", body = PageOf<MemberOfRotaBody>),
        responses::ReadingRota,
    )
)]
#[get("/v1/sites/{site_id}/rotas/{rota_id}/members")]
pub(super) async fn index_rota_members(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    page: PageWanted,
) -> Result<web::Json<PageOf<MemberOfRotaBody>>, Problem> {
    let (site, rota) = (SiteId(path.0), RotaId(path.1));
    let wanted = (page.after_id()?, page.limit);
    let errand = who.errand(&state, None).await?;
    let members = list_members_of_rota(&state.desk, errand, site, rota, wanted).await?;
    Ok(web::Json(PageOf::of(
        members,
        |member| after_id(member.member.0),
        MemberOfRotaBody::from,
    )))
}

/// Turns with places that nobody holds, and why.
#[utoipa::path(
    tag = "rotas",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("rota_id" = Uuid, Path, description = "The rota"),
        PageQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of turns", body = PageOf<EmptyTurnBody>),
        responses::ReadingRota,
    )
)]
#[get("/v1/sites/{site_id}/rotas/{rota_id}/empty_places")]
pub(super) async fn index_empty_places(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    page: PageWanted,
) -> Result<web::Json<PageOf<EmptyTurnBody>>, Problem> {
    let (site, rota) = (SiteId(path.0), RotaId(path.1));
    let wanted = (page.after_id()?, page.limit);
    let errand = who.errand(&state, None).await?;
    let (voice, _) = reader(&state, &errand, site).await?;
    let turns = list_empty_places(&state.desk, errand, site, rota, wanted).await?;
    Ok(web::Json(PageOf::of(
        turns,
        |turn| after_id(turn.turn.0),
        |turn| empty_body(&turn, &voice),
    )))
}

/// Why one member has more effort than another.
#[utoipa::path(
    tag = "rotas",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("rota_id" = Uuid, Path, description = "The rota"),
        ComparisonQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The two beside each other", body = ComparisonBody),
        responses::ReadingRota,
    )
)]
#[get("/v1/sites/{site_id}/rotas/{rota_id}/comparison")]
pub(super) async fn show_rota_comparison(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    request: HttpRequest,
) -> Result<web::Json<ComparisonBody>, Problem> {
    let (site, rota) = (SiteId(path.0), RotaId(path.1));
    let query: ComparisonQuery = read(&request)?;
    let errand = who.errand(&state, None).await?;
    let (voice, _) = reader(&state, &errand, site).await?;
    let two = (MemberId(query.one_id), MemberId(query.other_id));
    let beside = compare_members(&state.desk, errand, site, rota, two).await?;
    Ok(web::Json(comparison_body(beside, &voice)))
}

fn reasons_body(reasons: Reasons, voice: &Voice) -> ReasonsBody {
    let account = &reasons.account;
    ReasonsBody {
        member_id: reasons.member.0,
        turns: account.turns,
        effort: account.effort,
        share: account.share_quarters,
        brought_along: account.balance,
        fair: thousandths(account.fair),
        difference: thousandths(account.difference),
        sentences: voice.reasons(account, &reasons.limits),
        limits: limits_body(&reasons.limits),
        name: reasons.name,
    }
}

fn limits_body(limits: &Limits) -> LimitsBody {
    let shut = ORDER.iter().filter_map(|rule| {
        let shut = limits.shut.get(rule)?;
        Some(ShutBody {
            rule: rule.code(),
            first: shut.first,
            alone: shut.alone,
        })
    });
    let weekdays = (limits.weekdays.iter().enumerate())
        .filter(|(_, shut)| shut.first > 0)
        .map(|(at, shut)| WeekdayBody {
            weekday: at + 1,
            first: shut.first,
            alone: shut.alone,
        });
    LimitsBody {
        held: limits.held,
        within: limits.within,
        within_held_by_others: limits.full,
        at_all: limits.at_all,
        shut: shut.collect(),
        weekdays: weekdays.collect(),
    }
}

fn empty_body(empty: &EmptyTurn, voice: &Voice) -> EmptyTurnBody {
    let key = |member: &MemberIndex| empty.members.get(member.0).map(|member| member.0);
    let count = |(reason, count)| ReasonCountBody { reason, count };
    let (places, could, cannot, reasons) = match &empty.seen {
        EmptySeen::Reasons(seen) => (
            seen.places,
            seen.could.iter().filter_map(key).collect(),
            (seen.cannot.iter())
                .filter_map(|(member, broken)| {
                    Some(CannotBody {
                        member_id: key(member)?,
                        rules: broken.iter().map(|one| one.rule().code()).collect(),
                    })
                })
                .collect(),
            (seen.by_rule().into_iter())
                .map(|(rule, number)| count((rule.code(), number)))
                .collect(),
        ),
        EmptySeen::Counts {
            places, reasons, ..
        } => (
            *places,
            Vec::new(),
            Vec::new(),
            (reasons.iter().flatten())
                .map(|(reason, number)| count((reason.code(), *number)))
                .collect(),
        ),
    };
    EmptyTurnBody {
        turn_id: empty.turn.0,
        bin_id: empty.bin.0,
        on_date: empty.on_date,
        places,
        could,
        cannot,
        reasons,
        sentence: voice.empty_places(&empty.seen),
    }
}

fn comparison_body(beside: Beside, voice: &Voice) -> ComparisonBody {
    let mut body = ComparisonBody {
        one_id: beside.one.0,
        other_id: beside.other.0,
        effort: 0,
        by_share: None,
        by_earlier_rotas: None,
        fair: None,
        rest: 0.0,
        limits_of_one: None,
        limits_of_other: None,
        sentence: voice.comparison(&beside.seen),
    };
    match beside.seen {
        ComparisonSeen::Reasons(all) => {
            body.effort = all.effort;
            body.by_share = Some(thousandths(all.by_share));
            body.by_earlier_rotas = Some(all.by_balance);
            body.rest = thousandths(all.rest);
            body.limits_of_one = Some(limits_body(&all.limits_of_one));
            body.limits_of_other = Some(limits_body(&all.limits_of_other));
        }
        ComparisonSeen::Figures { effort, fair, rest } => {
            body.effort = effort;
            body.fair = Some(fair);
            body.rest = thousandths(Fraction { parts: rest, of: 1 });
        }
    }
    body
}

/// Effort to the nearest thousandth.
fn thousandths(effort: Fraction) -> f64 {
    let (parts, of) = (i128::from(effort.parts), i128::from(effort.of.max(1)));
    let milli = (2_000 * parts + of).div_euclid(2 * of);
    #[expect(
        clippy::cast_precision_loss,
        reason = "effort is far below 2^53 thousandths"
    )]
    let milli = milli as f64;
    milli / 1_000.0
}

impl From<MemberOfRota> for MemberOfRotaBody {
    fn from(member: MemberOfRota) -> Self {
        Self {
            member_id: member.member.0,
            name: member.name,
            turns: member.turns,
            effort: member.effort,
            fair: member.fair,
        }
    }
}
