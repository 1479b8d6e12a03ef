//! Classes.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::etag::{IfMatch, MatchHeader, etag};
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::{Problem, ProblemBody};
use super::schemas::{Label, ShortName};
use super::{AppState, responses};
use crate::desk::classes::{Class, ClassSummary, list_classes, see_class};
use crate::desk::keep_class::{self, ClassChange, NewClass, change_class, make_class};
use actix_web::{HttpResponse, get, patch, post, web};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{ClassId, MemberId, SiteId};

/// A class to be made.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewClass, example = json!({"name": "3b", "ends_on": "2027-06-30"}))]
pub struct NewClassBody {
    /// What it is called; 1 to 60 characters, once among the classes that go on.
    #[schema(value_type = ShortName)]
    name: String,
    /// The last day of its school year, within two years; its pupils are erased after it.
    ends_on: NaiveDate,
    /// Whose it is; yours without. Only an educator names somebody else.
    teacher_id: Option<Uuid>,
}

/// What is to change about a class; what is absent stays as it is.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = ClassChange, example = json!({"ends_on": "2027-07-15"}))]
pub struct ClassChangeBody {
    /// Another name.
    #[schema(value_type = Option<ShortName>)]
    name: Option<String>,
    /// Another last day.
    ends_on: Option<NaiveDate>,
    /// One more teacher. Only an educator names one.
    teacher_id: Option<Uuid>,
}

/// A class in a list.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ClassSummary)]
pub struct ClassSummaryBody {
    id: Uuid,
    name: String,
    ends_on: NaiveDate,
    /// How many pupils it has.
    pupils: usize,
}

/// A class.
#[derive(Serialize, ToSchema)]
#[schema(as = Class)]
pub struct ClassBody {
    id: Uuid,
    name: String,
    /// The last day of its school year; its pupils are erased after it.
    ends_on: NaiveDate,
    created_at: DateTime<Utc>,
    /// Since when it is over, if it is.
    ended_at: Option<DateTime<Utc>>,
    adults: Vec<AdultBody>,
    /// In the order in which they were added.
    pupils: Vec<PupilBody>,
}

/// An adult of a class.
#[derive(Serialize, ToSchema)]
#[schema(as = ClassAdult)]
pub struct AdultBody {
    member_id: Uuid,
    /// `teacher` or `helper`.
    part: &'static str,
    /// The name: of helpers only for caretakers, teachers and educators.
    name: Option<String>,
}

/// A pupil: a first name or initials and nothing else.
#[derive(Serialize, ToSchema)]
#[schema(as = Pupil)]
pub struct PupilBody {
    id: Uuid,
    #[schema(value_type = Label)]
    label: String,
    added_at: DateTime<Utc>,
}

/// The classes that you teach or help with and that go on; for an educator all of the site.
#[utoipa::path(
    tag = "classes",
    params(("site_id" = Uuid, Path, description = "The site"), PageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of classes", body = PageOf<ClassSummaryBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/classes")]
pub(super) async fn index_classes(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    page: PageWanted,
) -> Result<web::Json<PageOf<ClassSummaryBody>>, Problem> {
    let after = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let classes = list_classes(&state.desk, errand, SiteId(*site), after, page.limit).await?;
    Ok(web::Json(PageOf::of(
        classes,
        |class| after_id(class.id.0),
        ClassSummaryBody::from,
    )))
}

/// Makes a class; for teachers and educators. You are its teacher unless, as an educator, you
/// name another.
#[utoipa::path(
    tag = "classes",
    request_body = NewClassBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses((status = 201, description = "Made", body = ClassBody,
        headers(("Location" = String, description = "The address of the class"),
            ("ETag" = String, description = "For If-Match of a change"))), responses::Writing)
)]
#[post("/v1/sites/{site_id}/classes")]
pub(super) async fn create_class(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    body: Body<NewClassBody>,
) -> Result<HttpResponse, Problem> {
    let site = SiteId(*site);
    let errand = who.errand(&state, body.ticket).await?;
    let new = NewClass {
        name: body.value.name,
        ends_on: body.value.ends_on,
        teacher: body.value.teacher_id.map(MemberId),
    };
    let id = make_class(&state.desk, errand.clone(), site, new).await?;
    let class = see_class(&state.desk, errand, site, id).await?;
    Ok(HttpResponse::Created()
        .insert_header(("Location", format!("/v1/sites/{site}/classes/{id}")))
        .insert_header(etag(class.revision))
        .json(ClassBody::from(class)))
}

/// One class with its pupils and adults; for its adults, and for educators.
#[utoipa::path(
    tag = "classes",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("class_id" = Uuid, Path, description = "The class"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The class", body = ClassBody,
            headers(("ETag" = String, description = "For If-Match of a change"))),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/classes/{class_id}")]
pub(super) async fn show_class(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, class) = path.into_inner();
    let errand = who.errand(&state, None).await?;
    let class = see_class(&state.desk, errand, SiteId(site), ClassId(class)).await?;
    Ok(tagged(class))
}

/// Changes a class.
#[utoipa::path(
    tag = "classes",
    request_body = ClassChangeBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("class_id" = Uuid, Path, description = "The class"),
        KeyHeader,
        MatchHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The class as it is now", body = ClassBody,
            headers(("ETag" = String, description = "For If-Match"))),
        responses::Writing,
        (status = 412, description = "changed_meanwhile: read it again",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
#[patch("/v1/sites/{site_id}/classes/{class_id}")]
pub(super) async fn update_class(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    if_match: IfMatch,
    body: Body<ClassChangeBody>,
) -> Result<HttpResponse, Problem> {
    let (site, class) = (SiteId(path.0), ClassId(path.1));
    let errand = who.errand(&state, body.ticket).await?;
    let change = ClassChange {
        name: body.value.name,
        ends_on: body.value.ends_on,
        teacher: body.value.teacher_id.map(MemberId),
    };
    change_class(&state.desk, errand.clone(), site, class, if_match.0, change).await?;
    let class = see_class(&state.desk, errand, site, class).await?;
    Ok(tagged(class))
}

/// Ends a class: its pupils are erased, for good. Doing it again changes nothing.
#[utoipa::path(
    tag = "classes",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("class_id" = Uuid, Path, description = "The class"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The class as it is now", body = ClassBody,
            headers(("ETag" = String, description = "For If-Match"))),
        responses::Reading,
    )
)]
#[post("/v1/sites/{site_id}/classes/{class_id}/end")]
pub(super) async fn end_class(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, class) = (SiteId(path.0), ClassId(path.1));
    let errand = who.errand(&state, None).await?;
    keep_class::end_class(&state.desk, errand.clone(), site, class).await?;
    let class = see_class(&state.desk, errand, site, class).await?;
    Ok(tagged(class))
}

/// A class with the tag that a change of it may name.
pub(super) fn tagged(class: Class) -> HttpResponse {
    HttpResponse::Ok()
        .insert_header(etag(class.revision))
        .json(ClassBody::from(class))
}

impl From<ClassSummary> for ClassSummaryBody {
    fn from(class: ClassSummary) -> Self {
        Self {
            id: class.id.0,
            name: class.name,
            ends_on: class.ends_on,
            pupils: class.pupils,
        }
    }
}

impl From<Class> for ClassBody {
    fn from(class: Class) -> Self {
        Self {
            id: class.id.0,
            name: class.name,
            ends_on: class.ends_on,
            created_at: class.created_at,
            ended_at: class.ended_at,
            adults: class
                .adults
                .into_iter()
                .map(|adult| AdultBody {
                    member_id: adult.member.0,
                    part: adult.part.code(),
                    name: adult.name,
                })
                .collect(),
            pupils: class
                .pupils
                .into_iter()
                .map(|pupil| PupilBody {
                    id: pupil.id.0,
                    label: pupil.label,
                    added_at: pupil.added_at,
                })
                .collect(),
        }
    }
}
