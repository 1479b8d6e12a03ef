//! What the bins need because the site is shut for long: three weeks and one week before, and
//! on the day on which it opens again.

use super::content::{Content, Part};
use super::plan_words::{PlanWords, in_mind, nothing_planned};
use super::receiver::{Receiver, greeting};
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::closure_ground::{BinPlan, PlanTerms, bins_before, planned, stretch};
use crate::desk::post::{For, Owing};
use crate::desk::turns::zone_of_site;
use crate::store::letters::LetterRow;
use crate::store::members;
use crate::store::places;
use crate::store::visits;
use crate::store::{Conn, closures};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use wormrota_domain::access::Role;
use wormrota_domain::closure::plan::Course;
use wormrota_domain::ids::{ClosureId, MemberId, SiteId, TurnId};
use wormrota_domain::letters::LetterKind;
use wormrota_domain::phrase::{Phrase, Value};

/// Who is told.
pub(in crate::desk) const TOLD: &[Role] = &[Role::Caretaker, Role::Teacher];

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
    let still_told = members::in_roles(conn, site, TOLD).await?;
    let row = closures::by_id(conn, site, closure_id).await?;
    let Some(row) = row.filter(|_| still_told.contains(&receiver.member)) else {
        return Ok(Found::Settled);
    };
    let days = stretch(conn, site, (row.first_day, row.last_day)).await?;
    let today = zone_of_site(conn, site).await?.local_date(at.now);
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
        open_again(name.as_deref())
    } else {
        let terms = PlanTerms::default();
        let bins = bins_before(conn, &at.model, site, days, &terms, at.now).await?;
        let told = Told {
            days,
            visits: agreed(conn, site, days).await?,
            bins: planned(bins).await?,
        };
        told.letter(name.as_deref(), &terms)
    };
    Ok(receiver.letter(content))
}

/// The visits that were agreed on and take place.
async fn agreed(
    conn: &mut Conn,
    site: SiteId,
    days: (NaiveDate, NaiveDate),
) -> Result<Visits, DeskError> {
    let closures = closures::of_days(conn, site, days.0, days.1).await?;
    let ids: Vec<ClosureId> = closures.iter().map(|row| ClosureId(row.id)).collect();
    let mut agreed = visits::of_closures(conn, site, &ids).await?;
    agreed.retain(|(_, turn)| turn.called_off.is_none());
    let turns: Vec<TurnId> = agreed.iter().map(|(_, turn)| TurnId(turn.id)).collect();
    let places = places::of_turns(conn, site, &turns).await?;
    let held: BTreeSet<_> = (places.iter())
        .filter(|place| place.how.is_some())
        .map(|place| place.turn_id)
        .collect();
    let free = agreed.iter().filter(|(_, turn)| !held.contains(&turn.id));
    Ok(Visits {
        free: free.map(|(_, turn)| turn.on_date).collect(),
        agreed: agreed.len(),
    })
}

/// What was agreed on.
struct Visits {
    /// The days of those that nobody holds.
    free: Vec<NaiveDate>,
    /// How many there are.
    agreed: usize,
}

/// What a letter is made of.
struct Told {
    days: (NaiveDate, NaiveDate),
    bins: Vec<BinPlan>,
    visits: Visits,
}

impl Told {
    fn letter(&self, name: Option<&str>, terms: &PlanTerms) -> Content {
        let (first, last) = self.days;
        let count = u64::try_from((last - first).num_days() + 1).unwrap_or(1);
        let from = |code| Phrase::of(code).with("first", Value::LocalDate(first));
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
                    let words = PlanWords::of(plan);
                    let all = [words.before, words.host, words.visits, words.alone].concat();
                    parts.push(Part::Points(all));
                }
                Err(why) => parts.push(Part::sentence(nothing_planned(why))),
            }
        }
        parts.extend(self.volunteers());
        parts.push(Part::Aside(in_mind(terms.heating)));
        Content::of(from("letter-closure-subject"), parts)
    }

    /// Whether people are there for the visits, where any are needed.
    fn volunteers(&self) -> Option<Part> {
        let free = &self.visits.free;
        let said = if let Some(first) = free.first() {
            Phrase::of("letter-closure-free")
                .with(
                    "count",
                    Value::Count(u64::try_from(free.len()).unwrap_or(u64::MAX)),
                )
                .with("first", Value::LocalDate(*first))
        } else if self.visits.agreed > 0 {
            Phrase::of("letter-closure-held")
        } else if self.bins.iter().any(needs_visits) {
            Phrase::of("letter-closure-agree")
        } else {
            return None;
        };
        Some(Part::sentence(said))
    }
}

/// How to begin again.
fn open_again(name: Option<&str>) -> Content {
    let mut parts = vec![
        greeting(name),
        Part::sentence(Phrase::of("letter-closure-open")),
    ];
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
    Content::of(Phrase::of("letter-closure-open-subject"), parts)
}

fn heading(bin: &BinPlan) -> Part {
    Part::Heading(Phrase::of("letter-closure-bin").with_text("bin", &bin.name))
}

fn needs_visits(bin: &BinPlan) -> bool {
    let course = bin.plan.as_ref().map(|plan| &plan.course);
    matches!(course, Ok(Course::Stay { visits, .. }) if !visits.is_empty())
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    use super::closure_samples::{bins, days};
    let told = |most, free: &[i64], agreed| Told {
        days: days(now),
        bins: bins(now).into_iter().take(most).collect(),
        visits: Visits {
            free: (free.iter())
                .map(|ahead| now.date_naive() + chrono::TimeDelta::days(*ahead))
                .collect(),
            agreed,
        },
    };
    let terms = PlanTerms::default();
    vec![
        told(3, &[], 0).letter(Some("Ana"), &terms),
        told(1, &[40, 60], 3).letter(None, &terms),
        told(1, &[], 3).letter(Some("Ana"), &terms),
        open_again(Some("Ana")),
    ]
}
