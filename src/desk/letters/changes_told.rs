//! What is said about turns that others changed.

use super::content::{Appointment, Content, Part};
use super::receiver::greeting;
use super::turn_coming_words::{visit_shut, visit_to_do};
use super::turn_freed::in_files;
use super::turn_words::{Help, TurnTold};
use chrono::{DateTime, Utc};
use wormrota_domain::closure::serving::Serving;
use wormrota_domain::ids::{MemberId, TurnId};
use wormrota_domain::letters::TurnNews;
use wormrota_domain::living_bin::outlook::WORTH_BRINGING;
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::turns::Duty;
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
    /// Why the reader has it, if they were given it.
    pub why: Why,
    /// Whether it stands in the reader's calendar, or may.
    pub in_calendar: bool,
    /// What the reader is called to, where the site is shut on its day and it takes place all the
    /// same.
    pub visit: Option<Visit>,
    /// Whether the site is shut on its day.
    pub site_shut: bool,
    /// Room that the reader had booked for it and that was given back.
    pub room: Option<Grams>,
}

/// Why somebody was given a turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Why {
    /// Somebody wants it so.
    Wanted,
    /// Somebody else cannot come.
    StandsIn,
    /// They had it before they were away, and are back.
    IsBack,
}

/// A visit while the site is shut.
#[derive(Clone, Copy)]
pub(super) struct Visit {
    /// What goes in; none while no worms live in the bin.
    pub serving: Option<Serving>,
}

/// The headings of a list, in its order.
pub(super) const HEADINGS: [(TurnNews, &str); 6] = [
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
        if let Some(visit) = item.visit {
            let shut = visit_shut(&self.site, &self.help);
            parts.push(Part::Paragraph(shut.into()));
            parts.push(Part::Points(visit.points(item.turn.duty)));
        }
        if item.news.calls() {
            let how = self.help.cannot_come(item.turn.on_date);
            parts.push(Part::sentence(how));
        }
        parts.push(Part::Paragraph(self.whose()));
        Content {
            calendar: self.appointment(item).into_iter().collect(),
            ..Content::of(item.subject(), parts).about(item.turn_id.0)
        }
    }

    fn of_several(&self) -> Content {
        let about = |code| Phrase::of(code).with_text("site", &self.site);
        let mut parts = vec![
            greeting(self.name.as_deref()),
            Part::sentence(about("letter-turns")),
        ];
        let mut list = |heading, of: &dyn Fn(&Item) -> bool| {
            let items = self.items.iter().filter(|item| of(item));
            let points: Vec<Phrase> = items.map(|item| item.point(&self.site)).collect();
            if !points.is_empty() {
                parts.push(Part::Heading(Phrase::of(heading)));
                parts.push(Part::Points(points));
            }
        };
        list("letter-turns-again", &|item| item.is_again());
        for (news, heading) in HEADINGS {
            list(heading, &|item| item.news == news && !item.is_again());
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
        // What no letter brought into the calendar comes with the first one before the turn.
        let there = self.items.iter().filter(|item| item.in_calendar);
        let calendar: Vec<_> = there.filter_map(|item| self.appointment(item)).collect();
        if calendar.len() > 1 {
            parts.push(in_files(calendar.len()));
        }
        Content {
            calendar,
            ..Content::of(about("letter-turns-subject"), parts)
        }
    }

    /// The turn as it is in the reader's calendar from now on.
    fn appointment(&self, item: &Item) -> Option<Appointment> {
        let calls = item.news.calls();
        let how = self.help.cannot_come(item.turn.on_date);
        (item.news != TurnNews::RoomGone).then(|| Appointment {
            description: if calls { vec![how] } else { Vec::new() },
            is_off: !calls,
            ..(item.turn).appointment(item.turn_id, self.member, &self.site)
        })
    }

    /// Who changed it, and whom to ask.
    fn whose(&self) -> Vec<Phrase> {
        let by = self.by.as_deref();
        let code = match self.items.as_slice() {
            [item] if item.news == TurnNews::Given && !item.is_again() => "letter-turn-given-by",
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

impl Visit {
    /// What is to be done, as the letters before it say.
    fn points(&self, duty: Duty) -> Vec<Phrase> {
        let of_duty = |code| Phrase::of(code).with("duty", Value::Code(duty.code()));
        let Some(serving) = &self.serving else {
            return vec![Phrase::of("letter-coming-no-worms")];
        };
        let mut points = vec![visit_to_do(serving)];
        if serving.meal >= WORTH_BRINGING {
            points.push(of_duty("letter-coming-how"));
        }
        points.push(of_duty("letter-coming-hands"));
        points.push(Phrase::of("letter-coming-hot"));
        points.push(Phrase::of("care-health"));
        points
    }
}

impl Item {
    /// Whether it is the reader's again.
    fn is_again(&self) -> bool {
        self.why == Why::IsBack && self.news == TurnNews::Given
    }

    /// A point of a list.
    fn point(&self, site: &str) -> Phrase {
        let point = self.turn.point();
        if self.visit.is_none() {
            return point;
        }
        Phrase::of("letter-turns-visit")
            .with("point", Value::Phrase(Box::new(point)))
            .with_text("site", site)
    }

    fn subject(&self) -> Phrase {
        let code = match self.news {
            TurnNews::Given if self.is_again() => "letter-turn-again-subject",
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
                let given = about(if self.is_again() {
                    "letter-turn-again"
                } else {
                    "letter-turn-given"
                });
                let why = Phrase::of("letter-turn-given-instead");
                let why = (self.why == Why::StandsIn).then_some(why);
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
