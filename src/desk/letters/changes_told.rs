//! What is said about turns that others changed.

use super::content::{Appointment, Content, Part};
use super::receiver::greeting;
use super::turn_words::{Help, TurnTold};
use chrono::{DateTime, Utc};
use wormrota_domain::ids::{MemberId, TurnId};
use wormrota_domain::letters::TurnNews;
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::units::Grams;

/// What is told to one reader, in order of day.
pub(super) struct Told {
    /// The reader.
    pub member: MemberId,
    /// What the reader is called.
    pub name: Option<String>,
    /// What the site is called.
    pub site: String,
    /// Whoever changed it, where they still have a name.
    pub by: Option<String>,
    /// What whoever cannot come is to do.
    pub help: Help,
    /// The turns: one at least.
    pub items: Vec<Item>,
}

/// What is new about one turn.
#[derive(Clone)]
pub(super) struct Item {
    /// Its key.
    pub turn_id: TurnId,
    /// What it is.
    pub news: TurnNews,
    /// The turn as it is now.
    pub turn: TurnTold,
    /// The hours that the reader knows, if there are any.
    pub hours_before: Option<(DateTime<Utc>, DateTime<Utc>)>,
    /// Whether the reader has it since somebody else cannot come.
    pub stands_in: bool,
    /// Whether the site is shut on its day.
    pub site_shut: bool,
    /// Room that the reader had booked for it and that was given back.
    pub room: Option<Grams>,
}

/// The headings of a list, in its order.
const HEADINGS: [(TurnNews, &str); 6] = [
    (TurnNews::Given, "letter-turns-given"),
    (TurnNews::On, "letter-turns-on"),
    (TurnNews::OtherHours, "letter-turns-hours"),
    (TurnNews::Gone, "letter-turns-gone"),
    (TurnNews::Off, "letter-turns-off"),
    (TurnNews::RoomGone, "letter-turns-room"),
];

impl Told {
    pub(super) fn content(&self) -> Content {
        match self.items.as_slice() {
            [item] => self.of_one(item),
            _ => self.of_several(),
        }
    }

    fn of_one(&self, item: &Item) -> Content {
        let mut said = item.said(&self.site);
        said.extend(item.room_gone());
        let mut parts = vec![greeting(self.name.as_deref()), Part::Paragraph(said)];
        if item.news.calls() {
            let how = self.help.cannot_come(item.turn.on_date);
            parts.push(Part::sentence(how));
        }
        parts.push(Part::Paragraph(self.whose()));
        Content {
            calendar: self.appointment(item),
            ..Content::of(item.subject(), parts).about(item.turn_id.0)
        }
    }

    fn of_several(&self) -> Content {
        let about = |code| Phrase::of(code).with_text("site", &self.site);
        let mut parts = vec![
            greeting(self.name.as_deref()),
            Part::sentence(about("letter-turns")),
        ];
        for (news, heading) in HEADINGS {
            let items = self.items.iter().filter(|item| item.news == news);
            let points: Vec<Phrase> = items.map(|item| item.turn.point()).collect();
            if !points.is_empty() {
                parts.push(Part::Heading(Phrase::of(heading)));
                parts.push(Part::Points(points));
            }
        }
        let rooms = self.items.iter().filter(|item| item.room.is_some());
        parts.extend(rooms_gone(rooms.count()).map(Part::sentence));
        if self.items.iter().any(|item| item.news == TurnNews::Off) {
            parts.push(Part::sentence(Phrase::of("letter-turns-off-kept")));
        }
        if self.items.iter().any(|item| item.news.calls()) {
            parts.push(Part::sentence(self.help.cannot_come_on_one()));
        }
        parts.push(Part::Paragraph(self.whose()));
        Content::of(about("letter-turns-subject"), parts)
    }

    /// The turn as it is in the reader's calendar from now on.
    fn appointment(&self, item: &Item) -> Option<Appointment> {
        let calls = item.news.calls();
        let how = self.help.cannot_come(item.turn.on_date);
        (item.news != TurnNews::RoomGone).then(|| Appointment {
            description: if calls { vec![how] } else { Vec::new() },
            location: Some(self.site.clone()),
            is_off: !calls,
            ..item.turn.appointment(item.turn_id, self.member)
        })
    }

    /// Who changed it, and whom to ask.
    fn whose(&self) -> Vec<Phrase> {
        let by = self.by.as_deref();
        let code = match self.items.as_slice() {
            [item] if item.news == TurnNews::Given => "letter-turn-given-by",
            _ => "letter-turn-by",
        };
        let by = by.map(|name| Phrase::of(code).with_text("name", name));
        let ask = self.help.asking("letter-turn-ask");
        by.into_iter().chain([ask]).collect()
    }
}

/// That room for some turns is given back, if it is.
pub(super) fn rooms_gone(count: usize) -> Option<Phrase> {
    let count = u64::try_from(count).unwrap_or(u64::MAX);
    (count > 0).then(|| Phrase::of("letter-turns-rooms").with("count", Value::Count(count)))
}

impl Item {
    fn subject(&self) -> Phrase {
        let code = match self.news {
            TurnNews::Given => "letter-turn-given-subject",
            TurnNews::Gone => "letter-turn-gone-subject",
            TurnNews::Off => "letter-turn-off-subject",
            TurnNews::On => "letter-turn-on-subject",
            TurnNews::OtherHours => "letter-turn-hours-subject",
            TurnNews::RoomGone => "letter-turn-room-subject",
        };
        Phrase::of(code).with("date", Value::LocalDate(self.turn.on_date))
    }

    fn said(&self, site: &str) -> Vec<Phrase> {
        let about = |code| {
            let turn = Value::Phrase(Box::new(self.turn.to_do()));
            Phrase::of(code).with("turn", turn)
        };
        match self.news {
            TurnNews::Given => {
                let given = about("letter-turn-given");
                let why = Phrase::of("letter-turn-given-instead");
                let why = self.stands_in.then_some(why);
                let company = self.turn.company();
                [given].into_iter().chain(why).chain(company).collect()
            }
            TurnNews::Gone => vec![about("letter-turn-gone")],
            TurnNews::Off if self.site_shut => vec![
                about("letter-turn-off-shut").with_text("site", site),
                Phrase::of("letter-turn-off-kept"),
            ],
            TurnNews::Off => vec![about("letter-turn-off"), Phrase::of("letter-turn-off-kept")],
            TurnNews::On => vec![about("letter-turn-on")],
            TurnNews::OtherHours => {
                let before = self.hours_before.map(|(opens, closes)| {
                    Phrase::of("letter-turn-hours-before")
                        .with("opens", Value::Time(opens))
                        .with("closes", Value::Time(closes))
                });
                let any = Phrase::of("letter-turn-hours-any");
                let any = self.turn.hours.is_none().then_some(any);
                let now = about("letter-turn-hours-now");
                [now].into_iter().chain(any).chain(before).collect()
            }
            TurnNews::RoomGone => vec![about("letter-turn-room-only")],
        }
    }

    /// That the room for it is given back, and what that means.
    fn room_gone(&self) -> Vec<Phrase> {
        let Some(room) = self.room else {
            return Vec::new();
        };
        let then = if self.news.calls() {
            "letter-turn-room-again"
        } else {
            "letter-turn-room-keep"
        };
        let amount = Value::AtMost(room);
        let gone = Phrase::of("letter-turn-room").with("amount", amount);
        vec![gone, Phrase::of(then)]
    }
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    use super::turn_words::sample_turn;
    use uuid::Uuid;
    use wormrota_domain::turns::Duty;
    let hours_before = Some((now, now + chrono::TimeDelta::hours(1)));
    let item = |news, room| Item {
        turn_id: TurnId(Uuid::nil()),
        news,
        turn: sample_turn(now, 9, Duty::Feeding, &[]),
        hours_before,
        stands_in: false,
        site_shut: false,
        room,
    };
    let with_bo = Item {
        turn: sample_turn(now, 1, Duty::Looking, &["Bo"]),
        ..item(TurnNews::Given, None)
    };
    let instead = Item {
        stands_in: true,
        ..item(TurnNews::Given, None)
    };
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
