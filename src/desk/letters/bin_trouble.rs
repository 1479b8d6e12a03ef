//! A bin needs somebody who looks after it.

use super::content::{Content, Part};
use super::receiver::{Receiver, greeting};
use super::trouble_steps::steps;
use super::{Found, Reading};
use crate::desk::at_hand::{BinAtHand, Hold, SiteAtHand, read as read_value, unreadable};
use crate::desk::notices::TROUBLE_STANDS;
use crate::desk::post::{For, Owing};
use crate::desk::{DeskError, keepers};
use crate::store::letters::LetterRow;
use crate::store::notices::{self, NoticeRow};
use crate::store::{Conn, events};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::access::HOUSE;
use wormrota_domain::ids::{BinId, EventId, MemberId, NoticeId, SiteId};
use wormrota_domain::letters::LetterKind;
use wormrota_domain::living_bin::aftermath::Trouble;
use wormrota_domain::living_bin::ailment::{Ailment, ailments};
use wormrota_domain::living_bin::check::{Check, Visitor};
use wormrota_domain::living_bin::event::Event;
use wormrota_domain::living_bin::gate::{Gate, Sign};
use wormrota_domain::living_bin::outlook::Outlook;
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::units::Grams;

#[derive(Serialize, Deserialize)]
struct Keys {
    notice: NoticeId,
}

/// The letter to a keeper, or to the deputy, about a notice.
pub(in crate::desk) fn of_trouble(
    site: SiteId,
    keeper: MemberId,
    notice: NoticeId,
    too_late_at: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    Owing {
        kind: LetterKind::BinTrouble,
        purpose: format!("{notice}:{keeper}"),
        whom: For::Member(site, keeper),
        too_late_at,
        links_until: None,
    }
    .row(&Keys { notice }, wall)
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let Keys { notice } = at.keys()?;
    if !keepers::is_told(conn, receiver.site, receiver.member).await? {
        return Ok(Found::Settled);
    }
    let notice = notices::by_id(conn, receiver.site, notice).await?;
    let stands =
        |row: &NoticeRow| row.seen_at.is_none() && row.created_at > at.by.now - TROUBLE_STANDS;
    let Some(notice) = notice.filter(stands) else {
        return Ok(Found::Settled);
    };
    let Some(case) = case(conn, at, receiver.site, &notice).await? else {
        return Ok(Found::Settled);
    };
    let names = keepers::names(conn, receiver.site, HOUSE, receiver.member).await?;
    let (name, site) = (receiver.name.as_deref(), &receiver.site_name);
    let content = content(name, site, &case, names);
    Ok(receiver.letter(content))
}

/// What is wrong, as far as it is known when the letter is sent.
pub(super) struct Case {
    pub bin: String,
    pub trouble: Trouble,
    pub since: DateTime<Utc>,
    pub ailment: Option<Ailment>,
    pub sign: Option<Sign>,
    pub seen: Option<Check>,
    pub room: Grams,
}

/// The case behind a notice, unless it is over: the bin was given up, or is well again.
async fn case(
    conn: &mut Conn,
    at: &Reading,
    site: SiteId,
    notice: &NoticeRow,
) -> Result<Option<Case>, DeskError> {
    let trouble = Trouble::from_code(&notice.kind).ok_or_else(|| unreadable("notices.kind"))?;
    let site = SiteAtHand::load(conn, site).await?;
    let id = BinId(notice.bin_id);
    let bin = match BinAtHand::load(conn, &at.by.model, &site, id, at.by.now, Hold::Look).await {
        Ok(bin) => bin,
        Err(DeskError::NotFound(_) | DeskError::NotStocked) => return Ok(None),
        Err(error) => return Err(error),
    };
    let coming = site.days_soon(bin.now);
    let found = ailments(&bin.habitat, &bin.state, &coming);
    let ailment = found.into_iter().find(|one| one.trouble == trouble);
    let sign = match bin.state.gate {
        Gate::Held { sign, .. } => Some(sign),
        Gate::Open | Gate::Half { .. } => None,
    };
    let lasts = match trouble {
        // What somebody did or saw stands until it is ticked off.
        Trouble::OverLimit | Trouble::NeverFood | Trouble::TroubleSeen => true,
        Trouble::Rests => sign.is_some(),
        Trouble::TooHot => bin.state.vitals.too_hot || ailment.is_some(),
        Trouble::TooCold
        | Trouble::Hungry
        | Trouble::DryingOut
        | Trouble::TooWet
        | Trouble::NoWorms => ailment.is_some(),
    };
    if !lasts {
        return Ok(None);
    }
    let seen = match notice.event_id {
        Some(event) => seen(conn, site.id, id, EventId(event)).await?,
        None => None,
    };
    let bookings = bin.kept_bookings(&site, None);
    let room = Outlook::cautious(&bin.habitat, &bin.state).room(&bookings);
    Ok(Some(Case {
        bin: bin.row.name.clone(),
        trouble,
        since: ailment.map_or(notice.created_at, |ailment| ailment.since),
        ailment,
        sign,
        seen,
        room: room.amount,
    }))
}

async fn seen(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    event: EventId,
) -> Result<Option<Check>, DeskError> {
    let Some(row) = events::by_id(conn, site, bin, event).await? else {
        return Ok(None);
    };
    Ok(match read_value("bin_events.payload", row.payload)? {
        Event::Checked { check, .. } => Some(check),
        _ => None,
    })
}

fn content(name: Option<&str>, site: &str, case: &Case, names: Vec<String>) -> Content {
    let about = |code| {
        Phrase::of(code)
            .with("trouble", Value::Code(case.trouble.code()))
            .with_text("bin", &case.bin)
    };
    let mut what = vec![about("letter-trouble").with("date", Value::Date(case.since))];
    if let Some(warning) = case.ailment.and_then(|ailment| ailment.warning) {
        let said = |code| {
            Phrase::of(code)
                .with("bed", Value::Degrees(warning.bed))
                .with("date", Value::Date(warning.at))
        };
        what.push(said(if warning.assumed {
            "letter-trouble-assumed"
        } else {
            "letter-trouble-measured"
        }));
    }
    if let (Trouble::Rests, Some(sign)) = (case.trouble, case.sign) {
        let sign = Box::new(Phrase::of(named_sign(sign)));
        what.push(Phrase::of("letter-trouble-sign").with("sign", Value::Phrase(sign)));
    }
    what.push(Phrase::of("letter-trouble-site").with_text("site", site));
    let mut parts = vec![greeting(name), Part::Paragraph(what)];
    if let Some(check) = &case.seen {
        let visitors = check.visitors.iter();
        let seen: Vec<Phrase> = visitors
            .map(|one| Phrase::of(named_visitor(*one)))
            .collect();
        if !seen.is_empty() {
            parts.push(Part::Points(seen));
        }
    }
    parts.push(Part::Heading(Phrase::of("letter-what-to-do")));
    parts.push(Part::Steps(steps(case)));
    let mut then = Vec::new();
    if !names.is_empty() {
        then.push(Phrase::of("letter-trouble-ask").with("names", Value::List(names)));
    }
    then.push(Phrase::of("letter-trouble-tick"));
    parts.push(Part::Paragraph(then));
    parts.push(Part::Paragraph(vec![
        Phrase::of("letter-care-gloves"),
        Phrase::of("care-hands"),
        Phrase::of("care-health"),
        Phrase::of("letter-care-rules"),
    ]));
    Content::of(about("letter-trouble-subject"), parts)
}

const fn named_sign(sign: Sign) -> &'static str {
    match sign {
        Sign::SourSmell => "sign-sour_smell",
        Sign::AmmoniaSmell => "sign-ammonia_smell",
        Sign::OldFood => "sign-old_food",
    }
}

const fn named_visitor(visitor: Visitor) -> &'static str {
    match visitor {
        Visitor::FruitFlies => "letter-seen-flies",
        Visitor::Ants => "letter-seen-ants",
        Visitor::Mites => "letter-seen-mites",
        Visitor::WormsClimbing => "letter-seen-climbing",
        Visitor::Liquid => "letter-seen-liquid",
        Visitor::Rodents => "letter-seen-rodents",
    }
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    use wormrota_domain::living_bin::warning::{Warning, WarningKind};
    use wormrota_domain::units::Celsius;
    let warning = |trouble| {
        let (kind, bed, assumed) = match trouble {
            Trouble::TooHot => (WarningKind::TooHot, 31.0, false),
            Trouble::TooCold => (WarningKind::TooCold, 2.0, true),
            _ => return None,
        };
        let (at, bed) = (now, Celsius(bed));
        Some(Warning {
            kind,
            at,
            bed,
            assumed,
        })
    };
    let visitors = vec![Visitor::Rodents, Visitor::Liquid, Visitor::WormsClimbing];
    let troubles = Trouble::ALL.iter();
    troubles
        .map(|&trouble| {
            let since = now - chrono::TimeDelta::days(9);
            let warning = warning(trouble);
            let case = Case {
                bin: "Courtyard".to_owned(),
                trouble,
                since: if warning.is_some() { now } else { since },
                ailment: warning.map(|_| Ailment {
                    trouble,
                    since,
                    warning,
                }),
                sign: Some(Sign::SourSmell),
                seen: (trouble == Trouble::TroubleSeen).then(|| Check {
                    visitors: visitors.clone(),
                    ..Check::default()
                }),
                room: Grams(420),
            };
            let names = vec!["Cy".to_owned(), "Iris".to_owned()];
            content(Some("Ana"), "Elm Court", &case, names)
        })
        .collect()
}
