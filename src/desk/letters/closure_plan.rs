//! What the bins need because the site is shut for long: three weeks and one week before, and
//! on the day on which it opens again.

use super::content::{Content, Part};
use super::plan_words::{PlanWords, comings_of, in_mind, nothing_planned};
use super::receiver::{Receiver, greeting};
use super::{Found, Reading};
use crate::desk::agreed_visits::{self, AgreedVisit, Certain, agreed, comings};
use crate::desk::closure_ground::{BinPlan, bins_before, planned, stretch};
use crate::desk::plan_terms::PlanTerms;
use crate::desk::post::{For, Owing};
use crate::desk::turns::zone_of_site;
use crate::desk::{DeskError, keepers};
use crate::store::letters::LetterRow;
use crate::store::{Conn, closures};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::closure::plan::Course;
use wormrota_domain::ids::{ClosureId, MemberId, SiteId};
use wormrota_domain::letters::LetterKind;
use wormrota_domain::phrase::{Phrase, Value};

/// Which of the letters about a closure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(in crate::desk) enum Rule {
    /// Three weeks before.
    ThreeWeeks,
    /// One week before.
    OneWeek,
    /// On the first day after.
    OpenAgain,
}

impl Rule {
    const fn code(self) -> &'static str {
        match self {
            Self::ThreeWeeks => "three_weeks",
            Self::OneWeek => "one_week",
            Self::OpenAgain => "open_again",
        }
    }
}

#[derive(Serialize, Deserialize)]
struct Keys {
    closure_id: ClosureId,
    rule: Rule,
}

/// The letter about a closure to one of those who look after the site; one for all bins.
pub(in crate::desk) fn of_closure(
    site: SiteId,
    member: MemberId,
    closure_id: ClosureId,
    rule: Rule,
    too_late_at: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    let rule_code = rule.code();
    Owing {
        kind: LetterKind::ClosurePlan,
        purpose: format!("{closure_id}:{member}:{rule_code}"),
        whom: For::Member(site, member),
        too_late_at,
        links_until: None,
    }
    .row(&Keys { closure_id, rule }, wall)
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let Keys { closure_id, rule } = at.keys()?;
    let site = receiver.site;
    let still_told = keepers::told(conn, site, None).await?;
    let row = closures::by_id(conn, site, closure_id).await?;
    let Some(row) = row.filter(|_| still_told.contains(&receiver.member)) else {
        return Ok(Found::Settled);
    };
    let days = stretch(conn, site, (row.first_day, row.last_day)).await?;
    let zone = zone_of_site(conn, site).await?;
    let today = zone.local_date(at.by.now);
    // Its days changed since.
    let over = match rule {
        Rule::ThreeWeeks | Rule::OneWeek => today >= days.0,
        Rule::OpenAgain => today <= days.1,
    };
    if over {
        return Ok(Found::Settled);
    }
    let name = receiver.name.clone();
    let content = if rule == Rule::OpenAgain {
        open_again(name.as_deref(), &receiver.site_name)
    } else {
        let terms = PlanTerms::default();
        let rows = agreed_visits::rows(conn, site, days).await?;
        let come = comings(conn, site, &rows, Certain::Agreed).await?;
        let asked = (days, &come);
        let bins = bins_before(conn, &at.by.model, site, asked, &terms, at.by.now).await?;
        let who = receiver.membership(conn).await?;
        let mut visits = agreed(conn, who, zone, rows).await?;
        visits.retain(|visit| visit.turn.called_off.is_none());
        let told = Told {
            days,
            site: receiver.site_name.clone(),
            zone,
            visits,
            bins: planned(bins).await?,
        };
        told.letter(name.as_deref(), &terms)
    };
    Ok(receiver.letter(content))
}

/// What a letter is made of.
struct Told {
    days: (NaiveDate, NaiveDate),
    site: String,
    zone: SiteZone,
    bins: Vec<BinPlan>,
    visits: Vec<AgreedVisit>,
}

impl Told {
    fn letter(&self, name: Option<&str>, terms: &PlanTerms) -> Content {
        let (first, last) = self.days;
        let count = u64::try_from((last - first).num_days() + 1).unwrap_or(1);
        let from = |code| {
            Phrase::of(code)
                .with("first", Value::LocalDate(first))
                .with_text("site", &self.site)
        };
        let mut parts = vec![
            greeting(name),
            Part::sentence(
                from("letter-closure")
                    .with("last", Value::LocalDate(last))
                    .with("count", Value::Count(count)),
            ),
        ];
        for bin in &self.bins {
            parts.push(heading(bin));
            match &bin.plan {
                Ok(plan) => {
                    let words =
                        PlanWords::of(bin, plan, &comings_of(bin.bin, &self.visits, self.zone));
                    let all = [words.before, words.host, words.visits, words.alone].concat();
                    parts.push(Part::Points(all));
                }
                Err(why) => parts.push(Part::sentence(nothing_planned(why))),
            }
        }
        let volunteers = self.volunteers();
        if !volunteers.is_empty() {
            parts.push(Part::Paragraph(volunteers));
        }
        parts.push(Part::Aside(in_mind(terms.heating)));
        Content::of(from("letter-closure-subject"), parts)
    }

    /// Whether people are there for the visits, where any are needed.
    fn volunteers(&self) -> Vec<Phrase> {
        let free = || self.visits.iter().filter(|visit| !visit.is_held());
        let mut said = Vec::new();
        if let Some(first) = free().next() {
            let count = Value::Count(u64::try_from(free().count()).unwrap_or(u64::MAX));
            said.push(
                Phrase::of("letter-closure-free")
                    .with("count", count)
                    .with("first", Value::LocalDate(first.turn.on_date)),
            );
        }
        if self.bins.iter().any(needs_more_visits) {
            said.push(Phrase::of(if self.visits.is_empty() {
                "letter-closure-agree"
            } else {
                "letter-closure-agree-more"
            }));
        } else if said.is_empty() && !self.visits.is_empty() && !self.bins.iter().any(moves) {
            said.push(Phrase::of("letter-closure-held"));
        }
        said
    }
}

/// How to begin again.
fn open_again(name: Option<&str>, site: &str) -> Content {
    let about = |code| Phrase::of(code).with_text("site", site);
    let mut parts = vec![greeting(name), Part::sentence(about("letter-closure-open"))];
    let steps = [
        "letter-closure-open-look",
        "letter-closure-open-water",
        "letter-closure-open-feed",
        "letter-closure-open-slowly",
    ];
    parts.push(Part::Points(steps.map(Phrase::of).into()));
    parts.push(Part::Aside(vec![
        Phrase::of("closure-care-hands"),
        Phrase::of("closure-care-liquid"),
        Phrase::of("closure-care-hot"),
    ]));
    Content::of(about("letter-closure-open-subject"), parts)
}

fn heading(bin: &BinPlan) -> Part {
    Part::Heading(Phrase::of("letter-closure-bin").with_text("bin", &bin.name))
}

/// Whether more visits are needed than were agreed on.
fn needs_more_visits(bin: &BinPlan) -> bool {
    let course = bin.plan.as_ref().map(|plan| &plan.course);
    matches!(course, Ok(Course::Stay { visits, .. }) if visits.iter().any(|visit| !visit.comes))
}

/// Whether somebody has to be found to take it.
fn moves(bin: &BinPlan) -> bool {
    let course = bin.plan.as_ref().map(|plan| &plan.course);
    matches!(course, Ok(Course::Move { .. }))
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    use super::closure_samples::{agreed_bin, bins, days, done_bin, dry_bin, moving_bin, visits};
    let told = |bins: Vec<BinPlan>, visits: Vec<AgreedVisit>| Told {
        days: days(now),
        site: "Sunny Court".to_owned(),
        zone: "UTC".parse().unwrap(),
        bins,
        visits,
    };
    let terms = PlanTerms::default();
    let agreed = |ahead: &[i64], names: &[Option<&str>]| {
        told(vec![agreed_bin(now, ahead)], visits(now, ahead, names))
    };
    vec![
        told(bins(now), Vec::new()).letter(Some("Ana"), &terms),
        agreed(&[15, 30], &[Some("Bo"), None]).letter(None, &terms),
        agreed(&[15, 30], &[Some("Bo"), Some("")]).letter(Some("Ana"), &terms),
        agreed(&[8], &[Some("Bo")]).letter(Some("Ana"), &terms),
        told(
            vec![dry_bin(now, &[3, 20])],
            visits(now, &[3, 20], &[Some("Bo"), None]),
        )
        .letter(Some("Ana"), &terms),
        told(
            vec![done_bin(now, &[18])],
            visits(now, &[18], &[Some("Bo")]),
        )
        .letter(Some("Ana"), &terms),
        told(
            vec![moving_bin(now, &[8])],
            visits(now, &[8], &[Some("Bo")]),
        )
        .letter(Some("Ana"), &terms),
        open_again(Some("Ana"), "Sunny Court"),
    ]
}
