//! Who belongs to a site.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::etag::{IfMatch, MatchHeader, etag};
use super::exact::Whole;
use super::letters::LetterGroupCode;
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::{Problem, ProblemBody};
use super::query;
use super::schemas::{EmailAddress, FlatName, LongName, PhoneNumber, ReminderDays};
use super::site_codes::{LanguageCode, RoleCode};
use super::{AppState, responses};
use crate::desk::change::Change;
use crate::desk::change_member::{MemberChange, change_member};
use crate::desk::leave::end_for;
use crate::desk::people::{Person, list_people, see_person};
use actix_web::{HttpRequest, HttpResponse, delete, get, patch, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::ids::{MemberId, SiteId};
use wormrota_domain::letters::LetterGroup;
use wormrota_domain::site::Language;

/// A person at a site, as far as you may see them.
#[derive(Serialize, ToSchema)]
#[schema(as = Member)]
pub struct MemberBody {
    id: Uuid,
    /// The name, unless it was erased.
    name: Option<String>,
    /// The flat, where there are flats and you may know it.
    flat: Option<String>,
    #[schema(value_type = Vec<RoleCode>)]
    roles: Vec<Role>,
    /// The address, where you may know it: as somebody who looks after the site, or because
    /// they share it for covering a turn.
    email: Option<String>,
    /// The phone number; as the address.
    phone: Option<String>,
    /// What they themselves see, and whoever looks after the site; null for others.
    details: Option<MemberDetailsBody>,
}

/// What is nobody else's business.
#[derive(Serialize, ToSchema)]
#[schema(as = MemberDetails)]
pub struct MemberDetailsBody {
    /// Whether they can sign in.
    has_account: bool,
    joined_at: DateTime<Utc>,
    /// With whom they share a fair share of turns.
    household_id: Option<Uuid>,
    /// The language that they are written to in, if not the site's.
    #[schema(value_type = Option<LanguageCode>)]
    language: Option<Language>,
    /// Whether fellow members may see their phone number, for covering a turn.
    shares_phone: bool,
    /// Whether fellow members may see their address, for covering a turn.
    shares_email: bool,
    /// Since when letters to their address come back; null while they do not, and again with
    /// another address or `try_letters_again`.
    bounced_at: Option<DateTime<Utc>>,
    /// How many days before a turn they are reminded, 0 for its morning; null as their site does.
    reminder_days: Option<Vec<u8>>,
    /// The sorts of letters that they do without.
    #[schema(value_type = Vec<LetterGroupCode>)]
    letters_off: Vec<LetterGroup>,
}

/// What is to change about a member; what is absent stays as it is.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = MemberChange, example = json!({
    "name": "Sam", "language": "es", "phone": "+1 312 555 0117", "shares_phone": true,
    "reminder_days": [1], "letters_off": ["calls"]
}))]
pub struct MemberChangeBody {
    /// Another name.
    #[schema(value_type = Option<LongName>)]
    name: Option<String>,
    /// The language that they want to be written to in; null for the site's.
    #[serde(default)]
    #[schema(value_type = Option<LanguageCode>)]
    language: Change<Language>,
    /// A phone number; null for none.
    #[serde(default)]
    #[schema(value_type = Option<PhoneNumber>)]
    phone: Change<String>,
    /// Whether fellow members may see the phone number. Only whoever cannot sign in has this
    /// switched on by others.
    shares_phone: Option<bool>,
    /// Whether fellow members may see the address; as with the phone number.
    shares_email: Option<bool>,
    /// Another flat, or null; for whoever looks after the site.
    #[serde(default)]
    #[schema(value_type = Option<FlatName>)]
    flat: Change<String>,
    /// The address of somebody without an account, or null; for whoever looks after the
    /// site. An invitation sent to the old one dies, and the new one gets its own.
    #[serde(default)]
    #[schema(value_type = Option<EmailAddress>)]
    email: Change<String>,
    /// True to have letters tried again at an address from which they came back (`bounced_at`).
    #[serde(default)]
    try_letters_again: bool,
    /// Other roles, in the place of all the old ones; for caretakers and educators, each
    /// role within what they may hand out.
    #[schema(value_type = Option<Vec<RoleCode>>, min_items = 1)]
    roles: Option<Vec<Role>>,
    /// How many days before a turn they want to be reminded, 0 for its morning, each once; null
    /// as their site does, and an empty list for never.
    #[serde(default)]
    #[schema(value_type = Option<ReminderDays>)]
    reminder_days: Change<Vec<Whole>>,
    /// The sorts of letters that they want to do without, in the place of all the old ones.
    #[schema(value_type = Option<Vec<LetterGroupCode>>)]
    letters_off: Option<Vec<LetterGroup>>,
    /// Who takes over, where a role may not stay empty (see `last_keeper`).
    successor_id: Option<Uuid>,
}

/// Who takes over from whoever leaves.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct SuccessorQuery {
    /// A member who can sign in; only needed where a role may not stay empty (see
    /// `last_keeper`).
    successor_id: Option<Uuid>,
}

/// People of a site who were let in and have not left. Caretakers, teachers and educators
/// see all of everybody; residents see what the site's `neighbours_see` lets them.
#[utoipa::path(
    tag = "people",
    params(("site_id" = Uuid, Path, description = "The site"), PageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of people", body = PageOf<MemberBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/members")]
pub(super) async fn index_members(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    page: PageWanted,
) -> Result<web::Json<PageOf<MemberBody>>, Problem> {
    let after = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let people = list_people(&state.desk, errand, SiteId(*site), after, page.limit).await?;
    Ok(web::Json(PageOf::of(
        people,
        |person| after_id(person.id.0),
        MemberBody::from,
    )))
}

/// One person of a site, as far as you may see them.
#[utoipa::path(
    tag = "people",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("member_id" = Uuid, Path, description = "The member"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The person", body = MemberBody,
            headers(("ETag" = String, description = "For If-Match of a change"))),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/members/{member_id}")]
pub(super) async fn show_member(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, None).await?;
    let person = see_person(&state.desk, errand, SiteId(path.0), MemberId(path.1)).await?;
    Ok(tagged(person))
}

/// Changes your own details, or, if you look after the site, those of somebody whose every
/// role you may hand out.
#[utoipa::path(
    tag = "people",
    request_body = MemberChangeBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("member_id" = Uuid, Path, description = "The member"),
        KeyHeader,
        MatchHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The person as they are now", body = MemberBody,
            headers(("ETag" = String, description = "For If-Match"))),
        responses::Writing,
        (status = 412, description = "changed_meanwhile: read it again",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
#[patch("/v1/sites/{site_id}/members/{member_id}")]
pub(super) async fn update_member(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    if_match: IfMatch,
    body: Body<MemberChangeBody>,
) -> Result<HttpResponse, Problem> {
    let (site, member) = (SiteId(path.0), MemberId(path.1));
    let errand = who.errand(&state, body.ticket).await?;
    let change = change(body.value);
    change_member(
        &state.desk,
        errand.clone(),
        site,
        member,
        if_match.0,
        change,
    )
    .await?;
    let person = see_person(&state.desk, errand, site, member).await?;
    Ok(tagged(person))
}

/// Leaves the site (your own key), or removes somebody from it. What they had booked is
/// given back and what they did stays without their name. Their account stays.
#[utoipa::path(
    tag = "people",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("member_id" = Uuid, Path, description = "The member"),
        SuccessorQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 204, description = "Gone"),
        responses::DeletingWithQuery,
    )
)]
#[delete("/v1/sites/{site_id}/members/{member_id}")]
pub(super) async fn delete_member(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    request: HttpRequest,
) -> Result<HttpResponse, Problem> {
    let query: SuccessorQuery = query::read(&request)?;
    let errand = who.errand(&state, None).await?;
    end_for(
        &state.desk,
        errand,
        SiteId(path.0),
        MemberId(path.1),
        query.successor_id.map(MemberId),
    )
    .await?;
    Ok(HttpResponse::NoContent().finish())
}

fn tagged(person: Person) -> HttpResponse {
    let tag = etag(person.revision);
    HttpResponse::Ok()
        .insert_header(tag)
        .json(MemberBody::from(person))
}

fn change(body: MemberChangeBody) -> MemberChange {
    MemberChange {
        name: body.name,
        language: body.language,
        phone: body.phone,
        shares_phone: body.shares_phone,
        shares_email: body.shares_email,
        flat: body.flat,
        email: body.email,
        try_letters_again: body.try_letters_again,
        roles: body.roles,
        reminder_days: (body.reminder_days)
            .map(|days| days.into_iter().map(|days| days.0).collect()),
        letters_off: body.letters_off,
        successor: body.successor_id.map(MemberId),
    }
}

impl From<Person> for MemberBody {
    fn from(person: Person) -> Self {
        Self {
            id: person.id.0,
            name: person.name,
            flat: person.flat,
            roles: person.roles,
            email: person.email,
            phone: person.phone,
            details: person.details.map(|details| MemberDetailsBody {
                has_account: details.has_account,
                joined_at: details.joined_at,
                household_id: details.household.map(|household| household.0),
                language: details.language,
                shares_phone: details.shares_phone,
                shares_email: details.shares_email,
                bounced_at: details.bounced_at,
                reminder_days: details.reminder_days,
                letters_off: details.letters_off,
            }),
        }
    }
}
