//! Reading what the bins of a site need while it is shut.

use super::agreed_visits::{AgreedVisit, Certain, agreed, comings, rows};
use super::closure_ground::{BinPlan, bins_before, planned, stretch};
use super::keep_closure::{NewClosure, insist_on_days};
use super::membership::admit;
use super::plan_terms::PlanTerms;
use super::turns::zone_of_site;
use super::{Desk, DeskError, Errand, Noun};
use crate::store::{Conn, closures};
use chrono::{DateTime, NaiveDate, Utc};
use futures_util::FutureExt;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{ClosureId, SiteId};

/// Which closed days a plan is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlanFor {
    /// Those of a closure.
    Closure(ClosureId),
    /// Days on which the site could be shut.
    Days(NaiveDate, NaiveDate),
}

/// What the bins of a site need before, during and after closed days.
#[derive(Debug, Clone, PartialEq)]
pub struct ClosurePlans {
    /// The first closed day: of a closure, or of those that touch it.
    pub first_day: NaiveDate,
    /// The last one.
    pub last_day: NaiveDate,
    /// When it was planned.
    pub at: DateTime<Utc>,
    /// Every stocked bin.
    pub bins: Vec<BinPlan>,
    /// The visits that were agreed on, in order of day.
    pub visits: Vec<AgreedVisit>,
}

/// The plans for closed days, reckoned anew: a bin is fed, and the weather turns. The visits
/// that were agreed on are in them. Nothing is written.
///
/// # Errors
/// [`DeskError::EndedAlready`] of a closure that is over, and [`DeskError::Conflicting`] for days
/// on which the site could not be shut.
pub async fn see_plan(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    of: PlanFor,
    terms: PlanTerms,
) -> Result<ClosurePlans, DeskError> {
    plans_with(desk, errand, site, of, terms, Certain::Agreed).await
}

/// The same with some of the visits that were agreed on, the others open again.
pub(super) async fn plans_with(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    of: PlanFor,
    terms: PlanTerms,
    certain: Certain,
) -> Result<ClosurePlans, DeskError> {
    let model = desk.model();
    let (plans, bins) = desk
        .store()
        .read(
            "plan a closure",
            (errand, terms),
            move |conn, (errand, terms)| {
                let model = model.clone();
                async move {
                    let who = admit(conn, errand, site, Deed::KeepTurns).await?;
                    let zone = zone_of_site(conn, site).await?;
                    let today = zone.local_date(errand.now);
                    let days = days_of(conn, site, of, today).await?;
                    let (first_day, last_day) = stretch(conn, site, days).await?;
                    let days = (first_day, last_day);
                    let visits = rows(conn, site, days).await?;
                    let come = comings(conn, site, &visits, certain).await?;
                    let asked = (days, &come);
                    let bins = bins_before(conn, &model, site, asked, terms, errand.now).await?;
                    let plans = ClosurePlans {
                        first_day,
                        last_day,
                        at: errand.now,
                        bins: Vec::new(),
                        visits: agreed(conn, who, zone, visits).await?,
                    };
                    Ok::<_, DeskError>((plans, bins))
                }
                .boxed()
            },
        )
        .await?;
    Ok(ClosurePlans {
        bins: planned(bins).await?,
        ..plans
    })
}

async fn days_of(
    conn: &mut Conn,
    site: SiteId,
    of: PlanFor,
    today: NaiveDate,
) -> Result<(NaiveDate, NaiveDate), DeskError> {
    match of {
        PlanFor::Days(first_day, last_day) => {
            let days = NewClosure {
                first_day,
                last_day,
            };
            insist_on_days(days, today)?;
            Ok((first_day, last_day))
        }
        PlanFor::Closure(closure) => {
            let row = closures::by_id(conn, site, closure).await?;
            let row = row.ok_or(DeskError::NotFound(Noun::Closure))?;
            if row.last_day < today {
                return Err(DeskError::EndedAlready);
            }
            Ok((row.first_day, row.last_day))
        }
    }
}
