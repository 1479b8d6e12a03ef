//! Joining sheets, and what people do with them.

use super::bearer::{SignedIn, Whoever};
use super::body::{Body, KeyHeader};
use super::exact::Whole;
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::Problem;
use super::reader::site_in_words;
use super::schemas::{EmailAddress, FlatName, LongName};
use super::site_codes::LanguageCode;
use super::{AppState, rate, responses};
use crate::clock;
use crate::desk::Errand;
use crate::desk::join::{Joining, ask_to_join};
use crate::desk::joining_sheets::{
    NewSheet, PrintedSheet, Sheet, SheetState, list_sheets, print_sheet, replace_sheet,
    take_back_sheet,
};
use actix_web::{HttpRequest, HttpResponse, delete, get, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{CodeId, SiteId};
use wormrota_domain::site::Language;

/// A sheet to be printed.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewJoiningSheet, example = json!({ "expires_in_days": 30, "most_uses": 60 }))]
pub struct NewSheetBody {
    /// Days that its code works.
    #[schema(value_type = u32, minimum = 1, maximum = 90)]
    expires_in_days: Whole,
    /// How many may join with it.
    #[schema(value_type = u32, minimum = 1, maximum = 500)]
    most_uses: Whole,
}

/// A joining sheet, without its code.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = JoiningSheet)]
pub struct SheetBody {
    id: Uuid,
    /// Who printed it.
    made_by_member_id: Uuid,
    created_at: DateTime<Utc>,
    /// Until when its code works.
    expires_at: DateTime<Utc>,
    /// How many may join with it.
    most_uses: i32,
    /// How many did.
    uses: i32,
    state: SheetStateCode,
}

/// What has become of a sheet.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum SheetStateCode {
    /// Its code works.
    Open,
    /// Its time is over.
    Expired,
    /// As many have used it as may.
    UsedUp,
    /// It was taken back, or another took its place.
    Revoked,
}

/// A joining sheet that was just made.
#[derive(Serialize, ToSchema)]
#[schema(as = PrintedJoiningSheet)]
pub struct PrintedSheetBody {
    #[serde(flatten)]
    sheet: SheetBody,
    /// The code, shown this once: the service keeps no copy. Null when a request is repeated
    /// under its Idempotency-Key; ask for a replacement if the first answer was lost.
    code: Option<String>,
    /// What to print, in the site's language; null when there is no code to show.
    text: Option<String>,
}

/// Somebody who wants to join.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = Joining, example = json!({
    "code": "7K3M-W9XT-0QRB", "name": "Sam", "flat": "3b", "email": "sam@elmcourt.example"
}))]
pub struct JoiningBody {
    /// The code of the sheet, typed as you like: case, blanks and hyphens do not matter.
    code: String,
    /// What people call you.
    #[schema(value_type = LongName)]
    name: String,
    /// Your flat, where there are flats.
    #[schema(value_type = Option<FlatName>)]
    flat: Option<String>,
    /// Your address, if you have one. Not when you are signed in: your account has yours.
    #[schema(value_type = Option<EmailAddress>)]
    email: Option<String>,
    /// The language that you want to be written to in; the site's without one.
    #[schema(value_type = Option<LanguageCode>)]
    language: Option<Language>,
}

/// Somebody will decide.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Waiting)]
pub struct WaitingBody {
    /// Always true, whoever asked.
    waiting: bool,
}

/// Joining sheets of a site, newest first, without their codes; for caretakers, teachers and
/// educators.
#[utoipa::path(
    tag = "people",
    params(("site_id" = Uuid, Path, description = "The site"), PageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of sheets", body = PageOf<SheetBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/joining_sheets")]
pub(super) async fn index_joining_sheets(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    page: PageWanted,
) -> Result<web::Json<PageOf<SheetBody>>, Problem> {
    let before = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let found = list_sheets(&state.desk, errand, SiteId(*site), before, page.limit).await?;
    Ok(web::Json(PageOf::of(
        found,
        |sheet| after_id(sheet.id.0),
        SheetBody::from,
    )))
}

/// Makes a joining sheet to be printed. Its code is shown this once; under the same
/// Idempotency-Key the answer comes again without it.
#[utoipa::path(
    tag = "people",
    request_body = NewSheetBody,
    params(("site_id" = Uuid, Path, description = "The site"), KeyHeader),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Made", body = PrintedSheetBody),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/joining_sheets")]
pub(super) async fn create_joining_sheet(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    body: Body<NewSheetBody>,
) -> Result<HttpResponse, Problem> {
    let site = SiteId(*site);
    let errand = who.errand(&state, body.ticket).await?;
    let new = NewSheet {
        expires_in_days: body.value.expires_in_days.0,
        most_uses: body.value.most_uses.0,
    };
    let printed = print_sheet(&state.desk, errand.clone(), site, new).await?;
    answer(&state, &errand, site, printed).await
}

/// Puts a new code in the place of a lost one, which dies at once. Until when it works and
/// how many may still join stay as they were. Each repetition makes yet another code; the
/// last one counts.
#[utoipa::path(
    tag = "people",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("sheet_id" = Uuid, Path, description = "The joining sheet"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "The new sheet", body = PrintedSheetBody),
        responses::Replacing,
    )
)]
#[post("/v1/sites/{site_id}/joining_sheets/{sheet_id}/replacement")]
pub(super) async fn replace_joining_sheet(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, sheet) = (SiteId(path.0), CodeId(path.1));
    let errand = who.errand(&state, None).await?;
    let printed = replace_sheet(&state.desk, errand.clone(), site, sheet).await?;
    answer(&state, &errand, site, printed).await
}

/// Takes a joining sheet back: its code dies at once. Who waits already goes on waiting.
#[utoipa::path(
    tag = "people",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("sheet_id" = Uuid, Path, description = "The joining sheet"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 204, description = "Taken back"),
        responses::Deleting,
    )
)]
#[delete("/v1/sites/{site_id}/joining_sheets/{sheet_id}")]
pub(super) async fn delete_joining_sheet(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, None).await?;
    take_back_sheet(&state.desk, errand, SiteId(path.0), CodeId(path.1)).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Asks to join with the code of a sheet, signed in or not: somebody who looks after the
/// site decides. Whoever belongs to the site or waits already hears the same and changes
/// nothing. Each code that does not work gets the same answer.
#[utoipa::path(
    tag = "people",
    request_body = JoiningBody,
    security((), ("bearer" = [])),
    responses(
        (status = 201, description = "Waiting", body = WaitingBody),
        responses::LettingIn,
    )
)]
#[post("/v1/joinings")]
pub(super) async fn create_joining(
    state: web::Data<AppState>,
    request: HttpRequest,
    who: Whoever,
    body: Body<JoiningBody>,
) -> Result<HttpResponse, Problem> {
    rate::count_address(&state, &request).await?;
    let joining = Joining {
        code: body.value.code,
        name: body.value.name,
        flat: body.value.flat,
        email: body.value.email,
        language: body.value.language,
    };
    ask_to_join(&state.desk, who.account(), joining).await?;
    Ok(HttpResponse::Created().json(WaitingBody { waiting: true }))
}

async fn answer(
    state: &AppState,
    errand: &Errand,
    site: SiteId,
    printed: PrintedSheet,
) -> Result<HttpResponse, Problem> {
    let (voice, name) = site_in_words(state, errand, site).await?;
    let (until, now) = (printed.sheet.expires_at, clock::wall());
    let lines = printed
        .code
        .as_ref()
        .map(|code| voice.joining_sheet(&name, code, until, now));
    Ok(HttpResponse::Created().json(PrintedSheetBody {
        sheet: printed.sheet.into(),
        code: printed.code,
        text: lines.map(|lines| lines.join("\n")),
    }))
}

impl From<Sheet> for SheetBody {
    fn from(sheet: Sheet) -> Self {
        Self {
            id: sheet.id.0,
            made_by_member_id: sheet.made_by.0,
            created_at: sheet.created_at,
            expires_at: sheet.expires_at,
            most_uses: sheet.most_uses,
            uses: sheet.uses,
            state: match sheet.state {
                SheetState::Open => SheetStateCode::Open,
                SheetState::Expired => SheetStateCode::Expired,
                SheetState::UsedUp => SheetStateCode::UsedUp,
                SheetState::Revoked => SheetStateCode::Revoked,
            },
        }
    }
}
