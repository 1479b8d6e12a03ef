//! Letters about turns that others changed, for reading them all.

use super::changes_told::{HEADINGS, Item, Told, Visit, Why};
use super::content::Content;
use super::turn_words::{Help, sample_turn};
use chrono::{DateTime, Utc};
use uuid::Uuid;
use wormrota_domain::closure::serving::Serving;
use wormrota_domain::ids::{MemberId, TurnId};
use wormrota_domain::letters::TurnNews;
use wormrota_domain::turns::Duty;
use wormrota_domain::units::Grams;

/// Letters of this kind, for reading them all.
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let hours_before = Some((now, now + chrono::TimeDelta::hours(1)));
    let item = |news, room| Item {
        turn_id: TurnId(Uuid::nil()),
        news,
        turn: sample_turn(now, 9, Duty::Feeding, &[]),
        hours_before,
        why: Why::Wanted,
        in_calendar: true,
        visit: None,
        site_shut: false,
        room,
    };
    let with_bo = Item {
        turn: sample_turn(now, 1, Duty::Looking, &["Bo"]),
        ..item(TurnNews::Given, None)
    };
    let instead = Item {
        why: Why::StandsIn,
        ..item(TurnNews::Given, None)
    };
    let again = Item {
        why: Why::IsBack,
        ..item(TurnNews::Given, None)
    };
    let visit = |news, serving| Item {
        visit: Some(Visit { serving }),
        ..item(news, None)
    };
    let serving = Some(Serving {
        meal: Grams(900),
        room: Grams(900),
        ordinary: Grams(1_400),
        dry: Grams(120),
        millilitres: 5_900,
        water_first: false,
    });
    let shut = Item {
        site_shut: true,
        ..item(TurnNews::Off, Some(Grams(500)))
    };
    let any_hour = Item {
        turn: sample_turn(now, 9, Duty::Watering, &[]),
        ..item(TurnNews::OtherHours, None)
    };
    let all = HEADINGS
        .map(|(news, _)| item(news, Some(Grams(500))))
        .to_vec();
    [
        vec![with_bo],
        vec![item(TurnNews::Given, None)],
        vec![instead],
        vec![again.clone()],
        vec![visit(TurnNews::Given, serving)],
        vec![visit(TurnNews::On, None)],
        vec![again, visit(TurnNews::Given, serving)],
        vec![item(TurnNews::Gone, Some(Grams(500)))],
        vec![item(TurnNews::Off, None)],
        vec![shut],
        vec![item(TurnNews::On, Some(Grams(500)))],
        vec![item(TurnNews::OtherHours, None)],
        vec![any_hour],
        vec![item(TurnNews::RoomGone, Some(Grams(500)))],
        all,
    ]
    .into_iter()
    .zip([Some("Di"), None].into_iter().cycle())
    .map(|(items, by)| Told {
        member: MemberId(Uuid::nil()),
        name: Some("Ana".to_owned()),
        site: "Elm Court".to_owned(),
        by: by.map(str::to_owned),
        help: Help::sample(now, &["Di", "El"], 2),
        items,
    })
    .map(|told| told.content())
    .collect()
}
