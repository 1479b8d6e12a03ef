//! What is said about a rota that was put up.

use super::changes_told::rooms_gone;
use super::content::{Appointment, Content, Part};
use super::receiver::greeting;
use super::turn_freed::in_files;
use super::turn_words::{Help, TurnTold};
use chrono::NaiveDate;
use wormrota_domain::phrase::{Phrase, Value};

/// What is told to one reader.
pub(super) struct RotaTold {
    /// What the reader is called.
    pub name: Option<String>,
    /// What the site is called.
    pub site: String,
    /// The first and the last day of the rota.
    pub span: (NaiveDate, NaiveDate),
    /// Whether only what changed is told.
    pub knows_the_rest: bool,
    /// The reader's turns, or those that are new to them.
    pub turns: Vec<TurnTold>,
    /// Those that they have no more.
    pub lost: Vec<TurnTold>,
    /// Those of them that leave the reader's calendar.
    pub off: Vec<Appointment>,
    /// For how many of those room is given back.
    pub rooms_gone: usize,
    /// What whoever cannot come is to do.
    pub help: Help,
}

impl RotaTold {
    pub(super) fn content(self) -> Content {
        let about = |code| Phrase::of(code).with_text("site", &self.site);
        let mut parts = vec![greeting(self.name.as_deref()), Part::sentence(self.what())];
        let points = |turns: &[TurnTold]| Part::Points(turns.iter().map(TurnTold::point).collect());
        if !self.turns.is_empty() {
            if self.knows_the_rest {
                parts.push(Part::Heading(Phrase::of("letter-turns-given")));
            }
            parts.push(points(&self.turns));
        }
        if !self.lost.is_empty() {
            parts.push(Part::Heading(Phrase::of("letter-turns-gone")));
            parts.push(points(&self.lost));
        }
        parts.extend(rooms_gone(self.rooms_gone).map(Part::sentence));
        if self.knows_the_rest {
            parts.push(Part::sentence(Phrase::of("letter-rota-rest")));
        }
        match self.turns.as_slice() {
            [] => {}
            [turn] => parts.push(Part::sentence(self.help.cannot_come(turn.on_date))),
            _ => parts.push(Part::sentence(self.help.cannot_come_on_one())),
        }
        parts.push(Part::sentence(self.help.asking("letter-rota-trade")));
        let subject = if self.knows_the_rest {
            "letter-turns-subject"
        } else {
            "letter-rota-subject"
        };
        let subject = about(subject);
        if self.off.len() > 1 {
            parts.push(in_files(self.off.len()));
        }
        Content {
            calendar: self.off,
            ..Content::of(subject, parts)
        }
    }

    fn what(&self) -> Phrase {
        let code = match (self.knows_the_rest, self.turns.is_empty()) {
            (true, _) => "letter-rota-changed",
            (false, true) => "letter-rota-without-you",
            (false, false) => "letter-rota",
        };
        let count = u64::try_from(self.turns.len()).unwrap_or(u64::MAX);
        let phrase = Phrase::of(code)
            .with_text("site", &self.site)
            .with("first", Value::LocalDate(self.span.0))
            .with("last", Value::LocalDate(self.span.1));
        if code == "letter-rota" {
            return phrase.with("count", Value::Count(count));
        }
        phrase
    }
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: chrono::DateTime<chrono::Utc>) -> Vec<Content> {
    use super::turn_words::sample_turn;
    use wormrota_domain::turns::Duty;
    let turn = |days, duty, with: &[&str]| sample_turn(now, days, duty, with);
    let told = RotaTold {
        name: Some("Ana".to_owned()),
        site: "Elm Court".to_owned(),
        span: (
            now.date_naive() + chrono::TimeDelta::days(7),
            now.date_naive() + chrono::TimeDelta::days(90),
        ),
        knows_the_rest: false,
        turns: vec![
            turn(9, Duty::Feeding, &["Bo", "Cy"]),
            turn(30, Duty::Harvest, &[]),
        ],
        lost: Vec::new(),
        off: Vec::new(),
        rooms_gone: 0,
        help: Help::sample(now, &["Di", "El"], 2),
    };
    let one = RotaTold {
        name: None,
        turns: vec![turn(9, Duty::Feeding, &["Bo"])],
        help: Help::sample(now, &[], 0),
        site: told.site.clone(),
        lost: Vec::new(),
        off: Vec::new(),
        ..told
    };
    let changed = RotaTold {
        name: Some("Ana".to_owned()),
        site: "Elm Court".to_owned(),
        knows_the_rest: true,
        turns: vec![turn(16, Duty::Watering, &[])],
        lost: vec![turn(9, Duty::Feeding, &[]), turn(23, Duty::Looking, &[])],
        off: Vec::new(),
        rooms_gone: 1,
        help: Help::sample(now, &["Di"], 1),
        ..told
    };
    let without = RotaTold {
        name: Some("Ana".to_owned()),
        site: "Elm Court".to_owned(),
        turns: Vec::new(),
        lost: vec![turn(9, Duty::Tidying, &[])],
        off: Vec::new(),
        help: Help::sample(now, &["Di"], 1),
        ..told
    };
    [told, one, changed, without].map(RotaTold::content).into()
}
