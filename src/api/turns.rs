//! Turns: when which bin is due, and who has which place.

use super::bearer::SignedIn;
use super::etag::etag;
use super::hour::hour;
use super::page::{PageOf, PageWanted, after_day};
use super::problem::{Problem, ProblemBody};
use super::query;
use super::{AppState, responses};
use crate::desk::TurnCounts;
use crate::desk::turns::{HolderSeen, Place, Turn, TurnsWanted, list_turns, see_turn};
use crate::store::places::How;
use actix_web::{HttpRequest, HttpResponse, get, web};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, SiteId, TurnId};
use wormrota_domain::turns::{CalledOffBy, Duty};

/// Which turns are wanted.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct TurnsQuery {
    /// The first local day; today without.
    from: Option<NaiveDate>,
    /// The last local day, 400 days in all at most; without, four weeks in all.
    to: Option<NaiveDate>,
    /// Only this bin's.
    bin_id: Option<Uuid>,
    /// With `true` only those that take place, that their pattern still wants, that are no
    /// class's, and that have a free place.
    free: Option<bool>,
    /// With `true` only those of which you hold a place.
    mine: Option<bool>,
    /// Where the page begins: `next_cursor` of the page before.
    #[param(pattern = "^[A-Za-z0-9_-]{25}[AQgw]$")]
    cursor: Option<String>,
    /// Items on the page, 1 to 200; 50 when not given.
    #[param(minimum = 1, maximum = 200)]
    limit: Option<u16>,
}

/// What is to be done on a turn.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
pub(super) enum DutyCode {
    Feeding,
    Watering,
    Looking,
    Harvest,
    Tidying,
}

/// One bin on one local day when something is due.
#[derive(Serialize, ToSchema)]
#[schema(as = Turn)]
pub struct TurnBody {
    id: Uuid,
    /// The bin. What it can take in the coming four weeks stands in its forecast.
    bin_id: Uuid,
    /// The pattern that it comes from; null when it was added by hand.
    pattern_id: Option<Uuid>,
    /// The local day.
    on_date: NaiveDate,
    #[schema(value_type = DutyCode)]
    duty: Duty,
    /// What it costs each of those who hold a place, beside other turns.
    effort: i16,
    /// From when on, on a clock on the site's wall, such as `17:00`; null when all day.
    opens: Option<String>,
    /// Until when.
    closes: Option<String>,
    /// The instant at which it opens.
    opens_at: Option<DateTime<Utc>>,
    /// The instant at which it closes.
    closes_at: Option<DateTime<Utc>>,
    /// Whether the pupils of a class take it.
    is_of_a_class: bool,
    /// Which class that is, if you may see it.
    class_id: Option<Uuid>,
    /// Why it does not take place: `hand` when somebody said so, `closure` when the site is
    /// shut; null when it does.
    called_off: Option<&'static str>,
    /// Its pattern does not want this day any more, but somebody holds a place.
    off_pattern: bool,
    /// The closure during which it is a visit: the site is shut then, and what the bin needs
    /// stands in the closure's plan. Null of any other turn.
    visit_during: Option<Uuid>,
    /// How many places are free.
    free: usize,
    /// By seat.
    places: Vec<PlaceBody>,
}

/// A place of a turn.
#[derive(Serialize, ToSchema)]
#[schema(as = Place)]
pub struct PlaceBody {
    id: Uuid,
    /// 1, 2 and so on.
    seat: i16,
    /// Whether somebody holds it.
    held: bool,
    /// Whether that is you.
    mine: bool,
    /// Who holds it; null when it is free, and when the site does not let you know.
    holder: Option<HolderBody>,
    /// How they came to it: `taken`, `assigned`, `rota` or `duty`; null with `holder`.
    how: Option<&'static str>,
    /// Whether the planner leaves it alone.
    kept: bool,
}

/// Who holds a place: a member, or a pupil.
#[derive(Serialize, ToSchema)]
#[schema(as = Holder)]
pub struct HolderBody {
    member_id: Option<Uuid>,
    pupil_id: Option<Uuid>,
    /// The name, or the first name or initials of a pupil, unless it was erased.
    name: Option<String>,
    /// The flat, where there are flats and you may know it.
    flat: Option<String>,
}

/// What became of turns.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = TurnCounts)]
pub(super) struct TurnCountsBody {
    /// New ones, with free places.
    added: usize,
    /// Those that went: nobody held a place of them.
    removed: usize,
    /// Those that are now flagged `off_pattern`: somebody holds a place of them.
    kept_off_pattern: usize,
    /// Those that lost that flag.
    wanted_again: usize,
    /// Those called off because the site is shut.
    called_off: usize,
    /// Those that are on again.
    reopened: usize,
    /// Those with another effort, other hours or another number of places.
    changed: usize,
    /// Held places of turns that were called off or are on again.
    held_places: usize,
}

/// Turns of a site in order of day. Who holds a place you see as far as the site lets
/// neighbours see each other; how many are free everybody sees.
#[utoipa::path(
    tag = "turns",
    params(("site_id" = Uuid, Path, description = "The site"), TurnsQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of turns", body = PageOf<TurnBody>),
        responses::Reading,
        (status = 409, description = "conflicting_fields: no such span of days",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
#[get("/v1/sites/{site_id}/turns")]
pub(super) async fn index_turns(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    request: HttpRequest,
) -> Result<web::Json<PageOf<TurnBody>>, Problem> {
    let query: TurnsQuery = query::read(&request)?;
    let page = PageWanted::read(query.cursor, query.limit)?;
    let after = page.after_day()?;
    let wanted = TurnsWanted {
        from: query.from,
        to: query.to,
        bin: query.bin_id.map(BinId),
        free: query.free.unwrap_or(false),
        mine: query.mine.unwrap_or(false),
    };
    let errand = who.errand(&state, None).await?;
    let turns = list_turns(
        &state.desk,
        errand,
        SiteId(*site),
        wanted,
        after,
        page.limit,
    )
    .await?;
    Ok(web::Json(PageOf::of(
        turns,
        |turn| after_day(turn.on_date, turn.id.0),
        TurnBody::from,
    )))
}

/// One turn with its places.
#[utoipa::path(
    tag = "turns",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("turn_id" = Uuid, Path, description = "The turn"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The turn", body = TurnBody,
            headers(("ETag" = String, description = "For If-Match of a change"))),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/turns/{turn_id}")]
pub(super) async fn show_turn(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, None).await?;
    let turn = see_turn(&state.desk, errand, SiteId(path.0), TurnId(path.1)).await?;
    Ok(tagged(turn))
}

/// A turn with the tag that a change of it may name.
pub(super) fn tagged(turn: Turn) -> HttpResponse {
    HttpResponse::Ok()
        .insert_header(etag(turn.revision))
        .json(TurnBody::from(turn))
}

impl From<TurnCounts> for TurnCountsBody {
    fn from(counts: TurnCounts) -> Self {
        Self {
            added: counts.added,
            removed: counts.removed,
            kept_off_pattern: counts.kept_off_pattern,
            wanted_again: counts.wanted_again,
            called_off: counts.called_off,
            reopened: counts.reopened,
            changed: counts.changed,
            held_places: counts.held_places,
        }
    }
}

impl From<Turn> for TurnBody {
    fn from(turn: Turn) -> Self {
        let hours = turn.hours;
        Self {
            id: turn.id.0,
            bin_id: turn.bin.0,
            pattern_id: turn.pattern.map(|pattern| pattern.0),
            on_date: turn.on_date,
            duty: turn.duty,
            effort: turn.effort,
            opens: hours.map(|hours| hour(hours.opens)),
            closes: hours.map(|hours| hour(hours.closes)),
            opens_at: hours.map(|hours| hours.opens_at),
            closes_at: hours.map(|hours| hours.closes_at),
            is_of_a_class: turn.is_of_a_class,
            class_id: turn.class.map(|class| class.0),
            called_off: turn.called_off.map(CalledOffBy::code),
            off_pattern: turn.off_pattern,
            visit_during: turn.visit_during.map(|closure| closure.0),
            free: turn.places.iter().filter(|place| !place.held).count(),
            places: turn.places.into_iter().map(PlaceBody::from).collect(),
        }
    }
}

impl From<Place> for PlaceBody {
    fn from(place: Place) -> Self {
        Self {
            id: place.id.0,
            seat: place.seat,
            held: place.held,
            mine: place.mine,
            holder: place.holder.map(HolderBody::from),
            how: place.how.map(How::code),
            kept: place.kept,
        }
    }
}

impl From<HolderSeen> for HolderBody {
    fn from(holder: HolderSeen) -> Self {
        match holder {
            HolderSeen::Member { id, name, flat } => Self {
                member_id: Some(id.0),
                pupil_id: None,
                name,
                flat,
            },
            HolderSeen::Pupil { id, label } => Self {
                member_id: None,
                pupil_id: Some(id.0),
                name: label,
                flat: None,
            },
        }
    }
}
