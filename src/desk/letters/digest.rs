//! The week, once a week, for whoever looks after sites: one letter over all of them.

use super::content::{Content, Part};
use super::digest_site::{BinLine, MOST_LINES, OpenNotice, SiteWeek, site_week};
use super::receiver::{Receiver, greeting};
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::post::{For, Owing};
use crate::store::letters::LetterRow;
use crate::store::{Conn, members};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::access::{KEEPERS, Role};
use wormrota_domain::ids::{AccountId, MemberId, SiteId};
use wormrota_domain::letters::LetterKind;
use wormrota_domain::living_bin::aftermath::Trouble;
use wormrota_domain::living_bin::outlook::WORTH_BRINGING;
use wormrota_domain::phrase::{Phrase, Value};

#[derive(Serialize, Deserialize)]
struct Keys {
    monday: NaiveDate,
}

/// The letter of a week to a keeper: to whoever has an account in one of their memberships, for
/// all.
pub(in crate::desk) fn of_week(
    site: SiteId,
    keeper: MemberId,
    account: Option<AccountId>,
    monday: NaiveDate,
    too_late_at: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    let whose = account.map_or(keeper.0, |account| account.0);
    Owing {
        kind: LetterKind::Digest,
        purpose: format!("{whose}:{monday}"),
        whom: For::Member(site, keeper),
        too_late_at,
        links_until: None,
    }
    .row(&Keys { monday }, wall)
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let Keys { monday } = at.keys()?;
    let mut weeks = Vec::new();
    for (site, name) in looked_after(conn, &receiver).await? {
        weeks.push(site_week(conn, at, (site, name), monday).await?);
    }
    if weeks.is_empty() {
        return Ok(Found::Settled);
    }
    let content = content(receiver.name.as_deref(), monday, &weeks);
    Ok(receiver.letter(content))
}

/// The sites that the receiver looks after today: by their account at all, else at this one.
async fn looked_after(
    conn: &mut Conn,
    receiver: &Receiver,
) -> Result<Vec<(SiteId, String)>, DeskError> {
    let keeps = |roles: &[Role]| roles.iter().any(|role| KEEPERS.contains(role));
    let Some(person) = members::person(conn, receiver.site, receiver.member).await? else {
        return Ok(Vec::new());
    };
    let Some(account) = person.member.account_id else {
        let here = (receiver.site, receiver.site_name.clone());
        let keeps = keeps(&person.roles);
        return Ok(keeps.then_some(here).into_iter().collect());
    };
    let everywhere = members::of_account_everywhere(conn, AccountId(account)).await?;
    let kept = everywhere
        .into_iter()
        .filter(|membership| keeps(&membership.roles));
    Ok(kept
        .map(|membership| (SiteId(membership.member.site_id), membership.site_name))
        .collect())
}

fn content(name: Option<&str>, monday: NaiveDate, weeks: &[SiteWeek]) -> Content {
    let mut parts = vec![
        greeting(name),
        Part::sentence(Phrase::of("letter-week").with("date", Value::LocalDate(monday))),
    ];
    for week in weeks {
        parts.push(Part::Heading(
            Phrase::of("letter-week-site").with_text("site", &week.name),
        ));
        if week.is_quiet() {
            parts.push(Part::sentence(
                fed("letter-week-quiet", week).with("count", Value::Count(count(week.bins.len()))),
            ));
        } else {
            parts.push(Part::Points(points(week)));
        }
    }
    let subject = Phrase::of("letter-week-subject").with("date", Value::LocalDate(monday));
    Content::of(subject, parts)
}

fn points(week: &SiteWeek) -> Vec<Phrase> {
    let mut points: Vec<Phrase> = few(&week.empty, "letter-week-empty-more", |turn| {
        let (day, bin, free) = turn;
        Phrase::of("letter-week-empty")
            .with("date", Value::LocalDate(*day))
            .with_text("bin", bin)
            .with("count", Value::Count(*free))
    });
    points.extend(few(&week.missed, "letter-week-missed-more", |turn| {
        let (day, bin) = turn;
        Phrase::of("letter-week-missed")
            .with("date", Value::LocalDate(*day))
            .with_text("bin", bin)
    }));
    points.extend(week.bins.iter().map(bin_line));
    let named = || {
        week.open
            .iter()
            .take(usize::try_from(MOST_LINES).unwrap_or(0))
    };
    // What the line of its bin says already needs none of its own.
    let is_said = |one: &&OpenNotice| {
        let said = |bin: &BinLine| bin.name == one.bin && bin.trouble == Some(one.trouble);
        week.bins.iter().any(said)
    };
    points.extend(named().filter(|one| !is_said(one)).map(|one| {
        Phrase::of("letter-week-notice")
            .with("date", Value::LocalDate(one.day))
            .with_text("bin", &one.bin)
            .with("trouble", Value::Code(one.trouble.code()))
    }));
    let undone = &week.undone;
    let named: i64 = named().map(|one| one.notices).sum();
    let counted = [
        ("letter-week-notices-more", undone.notices - named),
        ("letter-week-newcomers", undone.waiting),
        ("letter-week-come-back", undone.come_back),
        ("letter-week-failed", undone.failed),
    ];
    points.extend(
        counted
            .into_iter()
            .filter(|(_, left)| *left > 0)
            .map(|(code, left)| {
                let left = u64::try_from(left).unwrap_or(0);
                Phrase::of(code).with("count", Value::Count(left))
            }),
    );
    points.push(fed("letter-week-fed", week));
    points
}

/// The first few in a line each, and how many more there are.
fn few<T>(all: &[T], more: &'static str, line: impl Fn(&T) -> Phrase) -> Vec<Phrase> {
    let most = usize::try_from(MOST_LINES).unwrap_or(0);
    let mut lines: Vec<Phrase> = all.iter().take(most).map(line).collect();
    if let Some(left) = all.len().checked_sub(most).filter(|left| *left > 0) {
        lines.push(Phrase::of(more).with("count", Value::Count(count(left))));
    }
    lines
}

fn bin_line(bin: &BinLine) -> Phrase {
    let how = match bin.trouble {
        // It could be fed but for what others have booked.
        Some(Trouble::Hungry) if bin.room < WORTH_BRINGING => "hungry_booked",
        Some(trouble) => trouble.code(),
        None if bin.rests => Trouble::Rests.code(),
        None if bin.room < WORTH_BRINGING => "full",
        None => "fine",
    };
    Phrase::of("letter-week-bin")
        .with_text("bin", &bin.name)
        .with("how", Value::Code(how))
        .with("room", Value::AtMost(bin.room))
}

fn fed(code: &'static str, week: &SiteWeek) -> Phrase {
    Phrase::of(code)
        .with("week", Value::AtMost(week.fed_week))
        .with("year", Value::AtMost(week.fed_year))
}

fn count(of: usize) -> u64 {
    u64::try_from(of).unwrap_or(u64::MAX)
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    use crate::store::keepers::LeftUndone;
    use chrono::Days;
    use wormrota_domain::units::Grams;
    let monday = now.date_naive();
    let line = |name: &str, trouble, room| BinLine {
        name: name.to_owned(),
        trouble,
        rests: false,
        room: Grams(room),
    };
    // What somebody did or saw stands in the notices.
    let told = [Trouble::OverLimit, Trouble::NeverFood, Trouble::TroubleSeen];
    let all = Trouble::ALL.iter().filter(|one| !told.contains(one));
    let room = |one: Trouble| if one == Trouble::Hungry { 300 } else { 0 };
    let of_trouble = |one: &Trouble| line("Stairwell", Some(*one), room(*one));
    let mut bins: Vec<BinLine> = all.map(of_trouble).collect();
    bins.push(line("Cellar", Some(Trouble::Hungry), 0));
    bins.insert(0, line("Courtyard", None, 420));
    bins.insert(1, line("Roof", None, 0));
    let day = |n| monday + Days::new(n);
    let busy = SiteWeek {
        name: "Elm Court".to_owned(),
        empty: (0..8)
            .map(|n| (day(n % 7), "Courtyard".to_owned(), 1 + n % 2))
            .collect(),
        missed: vec![(monday - Days::new(3), "Stairwell".to_owned())],
        bins,
        open: told
            .map(|trouble| OpenNotice {
                day: monday - Days::new(2),
                bin: "Stairwell".to_owned(),
                trouble,
                notices: 1,
            })
            .into(),
        undone: LeftUndone {
            waiting: 2,
            come_back: 1,
            failed: 3,
            notices: 4,
        },
        fed_week: Grams(2_340),
        fed_year: Grams(81_200),
    };
    let quiet = SiteWeek {
        name: "Oak School".to_owned(),
        empty: Vec::new(),
        missed: Vec::new(),
        open: Vec::new(),
        bins: vec![line("Classroom", None, 300)],
        undone: LeftUndone::default(),
        fed_week: Grams(900),
        fed_year: Grams(12_400),
    };
    vec![content(Some("Ana"), monday, &[busy, quiet])]
}
