//! The sheet for whoever stands in for a teacher for one day.

use super::bearer::SignedIn;
use super::exact::kg;
use super::hour::hour;
use super::problem::{Problem, ProblemBody};
use super::query;
use super::reader::reader;
use super::{AppState, responses};
use crate::desk::see_duty::DutyTurn;
use crate::desk::sites::see_site;
use crate::desk::substitute_sheet::{Sheet, SheetBin, see_sheet};
use crate::wording::{SheetOf, Voice};
use actix_web::{HttpRequest, get, web};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{ClassId, SiteId};

/// Which day a sheet is for.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct SheetQuery {
    /// The local day: today (also when absent), or a later one of the class's school year.
    on_date: Option<NaiveDate>,
}

/// A sheet for one day.
#[derive(Serialize, ToSchema)]
#[schema(as = SubstituteSheet)]
pub struct SheetBody {
    class_id: Uuid,
    /// What the class is called.
    class_name: String,
    on_date: NaiveDate,
    /// First names and initials.
    pupils: Vec<String>,
    /// Those of them who are away on that day, as far as somebody said so.
    away: Vec<String>,
    /// What its teachers are called.
    teachers: Vec<String>,
    /// The turns of the class on that day, as one comes after the other.
    duty: Vec<SheetDutyBody>,
    bins: Vec<SheetBinBody>,
    /// What to do, a sentence each.
    to_do: Vec<String>,
    /// What not to do.
    not_to_do: Vec<String>,
    /// What to be careful of, and whom to ask.
    cautions: Vec<String>,
    /// What to write down of each thing that goes in. A teacher tells it later, with
    /// `fed_at`.
    columns: Vec<String>,
    /// The whole sheet, ready to be printed.
    text: String,
}

/// A turn of the class on a sheet.
#[derive(Serialize, ToSchema)]
#[schema(as = SubstituteSheetDuty)]
pub struct SheetDutyBody {
    turn_id: Uuid,
    bin_id: Uuid,
    /// First names and initials of those who are on it and not away.
    pupils: Vec<String>,
    /// The same for people.
    sentence: String,
}

/// A bin on a sheet.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = SubstituteSheetBin)]
pub struct SheetBinBody {
    bin_id: Uuid,
    name: String,
    /// The most that may be fed now; absent on a later day and while no worms live in it.
    room_kg: Option<f64>,
    /// The same for people.
    sentence: String,
}

/// The sheet of a class for whoever stands in for its teacher on one day; for the adults of
/// the class, and for educators.
#[utoipa::path(
    tag = "classes",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("class_id" = Uuid, Path, description = "The class"),
        SheetQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The sheet", body = SheetBody),
        responses::Reading,
        (status = 409, description = "conflicting_fields: not a day to come; or class_ended",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
#[get("/v1/sites/{site_id}/classes/{class_id}/sheet")]
pub(super) async fn show_sheet(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    request: HttpRequest,
) -> Result<web::Json<SheetBody>, Problem> {
    let query: SheetQuery = query::read(&request)?;
    let (site, class) = (SiteId(path.0), ClassId(path.1));
    let errand = who.errand(&state, None).await?;
    let on_date = query.on_date;
    let sheet = see_sheet(&state.desk, errand.clone(), site, class, on_date).await?;
    let (voice, _) = reader(&state, &errand, site).await?;
    let view = see_site(&state.desk, errand, site).await?;
    Ok(web::Json(body(&sheet, &voice, &view.site.name)))
}

fn body(sheet: &Sheet, voice: &Voice, site: &str) -> SheetBody {
    let bins: Vec<SheetBinBody> = sheet
        .bins
        .iter()
        .map(|bin| said(sheet, bin, voice))
        .collect();
    let duty: Vec<SheetDutyBody> = (sheet.duty.iter())
        .map(|turn| on_duty(turn, voice))
        .collect();
    let whose_turn: Vec<String> = duty.iter().map(|turn| turn.sentence.clone()).collect();
    let sentences: Vec<String> = bins.iter().map(|bin| bin.sentence.clone()).collect();
    let pupils = sheet.class.pupils.iter().map(|pupil| pupil.label.clone());
    let pupils: Vec<String> = pupils.collect();
    let away: Vec<String> = sheet.away().map(str::to_owned).collect();
    let teachers: Vec<String> = sheet.teachers().map(str::to_owned).collect();
    let words = voice.sheet(&SheetOf {
        site,
        class: &sheet.class.name,
        on: sheet.starts_at,
        now: sheet.at,
        pupils: &pupils,
        away: &away,
        teachers: &teachers,
        duty: &whose_turn,
        bins: &sentences,
        foods: &sheet.foods,
    });
    SheetBody {
        class_id: sheet.class.id.0,
        class_name: sheet.class.name.clone(),
        on_date: sheet.on_date,
        pupils,
        away,
        teachers,
        duty,
        bins,
        to_do: words.to_do,
        not_to_do: words.not_to_do,
        cautions: words.cautions,
        columns: words.columns,
        text: words.text,
    }
}

fn on_duty(turn: &DutyTurn, voice: &Voice) -> SheetDutyBody {
    let there = turn.places.iter().filter(|place| !place.is_away);
    let pupils: Vec<String> = there.filter_map(|place| place.label.clone()).collect();
    let hours = turn
        .hours
        .map(|(opens, closes)| (hour(opens), hour(closes)));
    let between = (hours.as_ref()).map(|(opens, closes)| (opens.as_str(), closes.as_str()));
    SheetDutyBody {
        turn_id: turn.id.0,
        bin_id: turn.bin.0,
        sentence: voice.sheet_duty(&turn.bin_name, between, &pupils),
        pupils,
    }
}

fn said(sheet: &Sheet, bin: &SheetBin, voice: &Voice) -> SheetBinBody {
    let name = &bin.name;
    let (room_kg, sentence) = match &bin.room {
        None => (None, voice.sheet_bin_empty(name)),
        Some(_) if !sheet.is_today => (None, voice.sheet_bin_later(name)),
        Some(now) => {
            let (at, assumed) = (sheet.at, now.temperature_assumed);
            let sentence = voice.room(&now.room, Some(name), assumed, at, at);
            (Some(kg(now.room.amount)), sentence)
        }
    };
    SheetBinBody {
        bin_id: bin.id.0,
        name: name.clone(),
        room_kg,
        sentence,
    }
}
