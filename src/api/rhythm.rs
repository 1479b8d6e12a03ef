//! How often a bin wants to be fed.

use super::bearer::SignedIn;
use super::exact::kg;
use super::problem::Problem;
use super::reader::reader;
use super::room::{BandBody, to_gram};
use super::{AppState, responses};
use crate::desk::rhythm::{RhythmNow, see_rhythm};
use crate::wording::Voice;
use actix_web::{get, web};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, SiteId};
use wormrota_domain::living_bin::rhythm::{Advice, Rhythm};

/// How often to feed a bin, as things stand: advice for a pattern. Whether food may go in is
/// decided on the day.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RhythmAdvice)]
pub struct AdviceBody {
    /// Members who have a part in the rota and may take turns at this bin.
    people: u32,
    /// The rule that lets nothing in now, or a handful at most; then there is no rhythm yet.
    wait_for: Option<&'static str>,
    /// The rhythm.
    rhythm: Option<RhythmBody>,
}

/// How often, and how much each time.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Rhythm)]
pub struct RhythmBody {
    /// A recurrence rule for a pattern that begins on a day of feeding; it wants a `last_day`.
    rule: String,
    /// Every how many days.
    every_days: u32,
    /// How much each time.
    each_kg: f64,
    /// The same for people, with the site's best measure.
    each: String,
    /// Turns in four weeks.
    turns_in_four_weeks: f64,
    /// Turns in four weeks for each who shares the bin, with one place a turn; null when
    /// nobody does.
    turns_for_each: Option<f64>,
    /// What the bin eats in a day.
    appetite_kg_per_day: BandBody,
    /// What may go in within a week, in the long run, reckoned with slow worms.
    weekly_kg: f64,
    /// The rule behind it: `eating`, `area`, or `ramp` while the bin is young and `resuming`
    /// after it rested, which both will let in more later.
    weekly_by: &'static str,
    /// The most that may go in at once when all is eaten.
    at_once_kg: f64,
    /// The rule behind it.
    at_once_by: &'static str,
}

/// How often to feed a bin and how much each time: as rarely as its rules allow, and the
/// oftener the more people share it, so that everybody has a turn in four weeks.
#[utoipa::path(
    tag = "turns",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The advice", body = AdviceBody),
        responses::ReadingBin,
    )
)]
#[get("/v1/sites/{site_id}/bins/{bin_id}/rhythm")]
pub(super) async fn show_rhythm(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<web::Json<AdviceBody>, Problem> {
    let (site, bin) = (SiteId(path.0), BinId(path.1));
    let errand = who.errand(&state, None).await?;
    let now = see_rhythm(&state.desk, errand.clone(), site, bin).await?;
    let (voice, _) = reader(&state, &errand, site).await?;
    Ok(web::Json(advice(now, &voice)))
}

fn advice(now: RhythmNow, voice: &Voice) -> AdviceBody {
    let people = now.people;
    let (wait_for, rhythm) = match now.advice {
        Advice::Wait(limit) => (Some(limit.code()), None),
        Advice::Feed(rhythm) => (None, Some(body(&rhythm, people, voice))),
    };
    AdviceBody {
        people,
        wait_for,
        rhythm,
    }
}

fn body(rhythm: &Rhythm, people: u32, voice: &Voice) -> RhythmBody {
    let turns = rhythm.turns_in_a_round();
    let tenth = |number: f64| (number * 10.0).round() / 10.0;
    RhythmBody {
        rule: rhythm.rule(),
        every_days: rhythm.every_days,
        each_kg: kg(rhythm.each),
        each: voice.ordinary(rhythm.each),
        turns_in_four_weeks: tenth(turns),
        turns_for_each: (people > 0).then(|| tenth(turns / f64::from(people))),
        appetite_kg_per_day: rhythm.appetite.into(),
        weekly_kg: to_gram(rhythm.weekly.0),
        weekly_by: rhythm.weekly_by.code(),
        at_once_kg: to_gram(rhythm.at_once.0),
        at_once_by: rhythm.at_once_by.code(),
    }
}
