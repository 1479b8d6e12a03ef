//! Letters about a coming turn, for reading them all.

use super::content::Content;
use super::turn_coming_words::{Feeding, Shared, Told, When, content};
use super::turn_words::{Help, TurnTold};
use chrono::{DateTime, TimeDelta, Utc};
use wormrota_domain::closure::serving::Serving;
use wormrota_domain::ids::{MemberId, TurnId};
use wormrota_domain::turns::Duty;
use wormrota_domain::units::Grams;

/// Letters of this kind.
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let told = |days: i64, duty, feeding| {
        let on_date = now.date_naive() + TimeDelta::days(days);
        let opens = now + TimeDelta::days(days) - TimeDelta::hours(5);
        Told {
            name: Some("Ana".to_owned()),
            turn_id: TurnId(uuid::Uuid::nil()),
            member: MemberId(uuid::Uuid::nil()),
            turn: TurnTold {
                bin: "Courtyard".to_owned(),
                on_date,
                duty,
                hours: Some((opens, opens + TimeDelta::hours(10))),
                with: vec!["Bo".to_owned()],
            },
            unnamed: 0,
            when: When::of(on_date, now.date_naive()),
            site: "Sunny Court".to_owned(),
            is_visit: false,
            is_brief: days < 2,
            feeding,
            help: Help::sample(now, &["Cy", "Di"], if days < 2 { 2 } else { 1 }),
            cannot_come: "TOKEN".to_owned(),
            is_first: days >= 2,
        }
    };
    let food = |room, booked| Feeding {
        room: Some(Grams(room)),
        shared: None,
        booked,
        bedding: Some(Grams(90)),
        visit: None,
        never: vec!["citrus".to_owned(), "bread_and_grain".to_owned()],
    };
    let alone = |told: Told, unnamed| Told {
        turn: TurnTold {
            hours: None,
            with: Vec::new(),
            ..told.turn
        },
        unnamed,
        ..told
    };
    let unstocked = Feeding {
        room: None,
        shared: None,
        booked: None,
        bedding: None,
        visit: None,
        never: Vec::new(),
    };
    let shared = |room, in_all, people, unbooked| Feeding {
        shared: Some(Shared {
            in_all: Grams(in_all),
            people,
            unbooked,
        }),
        ..food(room, None)
    };
    let visit = |days, meal, dry, water_first| {
        let serving = Serving {
            meal: Grams(meal),
            room: Grams(meal),
            ordinary: Grams(1_400),
            dry: Grams(dry),
            millilitres: 5_900,
            water_first,
        };
        let feeding = Feeding {
            room: Some(serving.meal),
            bedding: None,
            visit: Some(serving),
            ..food(0, None)
        };
        Told {
            is_visit: true,
            ..alone(told(days, Duty::Feeding, Some(feeding)), 0)
        }
    };
    let all = [
        visit(2, 1_300, 120, false),
        visit(0, 0, 0, false),
        visit(1, 700, 0, true),
        told(2, Duty::Feeding, Some(food(700, None))),
        told(0, Duty::Feeding, Some(food(900, Some(Grams(500))))),
        Told {
            help: Help::sample(now, &[], 2),
            ..alone(told(1, Duty::Feeding, Some(food(0, None))), 2)
        },
        alone(told(0, Duty::Feeding, Some(unstocked)), 0),
        told(2, Duty::Feeding, Some(shared(700, 700, 2, 2))),
        told(0, Duty::Feeding, Some(shared(600, 1_000, 3, 2))),
        told(0, Duty::Feeding, Some(shared(0, 400, 2, 1))),
        told(3, Duty::Watering, None),
        told(2, Duty::Looking, None),
        told(2, Duty::Harvest, None),
        told(0, Duty::Tidying, None),
    ];
    all.iter().map(content).collect()
}
