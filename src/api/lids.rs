//! The codes on the lids of bins.

use super::bearer::SignedIn;
use super::problem::Problem;
use super::reader::{site_in_words, voice_of};
use super::{AppState, rate, responses};
use crate::desk::lids::{print_lid_code, see_lid};
use actix_web::{HttpRequest, HttpResponse, get, post, web};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, SiteId};

/// A code that was just made for a bin's lid.
#[derive(Serialize, ToSchema)]
#[schema(as = LidCode)]
pub struct LidCodeBody {
    id: Uuid,
    /// The code, shown this once: the service keeps no copy.
    code: String,
    /// What to print, in the site's language.
    text: String,
}

/// What anybody before the bin may know.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = LidPage)]
pub struct LidPageBody {
    /// What the site is called.
    site: String,
    /// What the bin is called.
    bin: String,
    /// What it can take today, in the site's language and units.
    sentence: String,
}

/// Makes a code for a bin's lid; the one that it had dies at once.
#[utoipa::path(
    tag = "bins",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Made", body = LidCodeBody),
        responses::Replacing,
    )
)]
#[post("/v1/sites/{site_id}/bins/{bin_id}/lid_code")]
pub(super) async fn create_lid_code(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, bin) = (SiteId(path.0), BinId(path.1));
    let errand = who.errand(&state, None).await?;
    let lid = print_lid_code(&state.desk, errand.clone(), site, bin).await?;
    let (voice, name) = site_in_words(&state, &errand, site).await?;
    let lines = voice.lid(&name, &lid.bin_name, &lid.code);
    Ok(HttpResponse::Created().json(LidCodeBody {
        id: lid.id.0,
        text: lines.join("\n"),
        code: lid.code,
    }))
}

/// What a bin can take today, for whoever has the code of its lid.
#[utoipa::path(
    tag = "bins",
    params(("code" = String, Path, description = "The code, typed as you like")),
    responses(
        (status = 200, description = "The bin's page", body = LidPageBody),
        responses::ReadingLid,
    )
)]
#[get("/v1/lids/{code}")]
pub(super) async fn show_lid(
    state: web::Data<AppState>,
    request: HttpRequest,
    code: web::Path<String>,
) -> Result<web::Json<LidPageBody>, Problem> {
    rate::count_address(&state, &request).await?;
    let page = see_lid(&state.desk, &code).await?;
    let site = page.words.site.name.clone();
    let (voice, names) = voice_of(page.words);
    let bin = names.bin(page.bin).unwrap_or_default();
    let sentence = voice.room(
        &page.room,
        Some(bin),
        page.temperature_assumed,
        page.at,
        page.at,
    );
    Ok(web::Json(LidPageBody {
        site,
        bin: bin.to_owned(),
        sentence,
    }))
}
