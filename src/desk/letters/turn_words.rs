//! How letters speak of turns.

use super::content::Appointment;
use chrono::{DateTime, Days, NaiveDate, Utc};
use wormrota_domain::ids::{MemberId, TurnId};
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::turns::Duty;

/// A turn as somebody is told of it.
#[derive(Clone, PartialEq, Eq)]
pub(super) struct TurnTold {
    /// What the bin is called.
    pub bin: String,
    /// The local day.
    pub on_date: NaiveDate,
    /// What is to be done.
    pub duty: Duty,
    /// From when to when; all day without.
    pub hours: Option<(DateTime<Utc>, DateTime<Utc>)>,
    /// Who else comes, as far as the reader may know.
    pub with: Vec<String>,
}

impl TurnTold {
    /// What is to be done, and when, as it stands after "a turn".
    pub(super) fn to_do(&self) -> Phrase {
        self.about("letter-turn")
    }

    /// A point of a list.
    pub(super) fn point(&self) -> Phrase {
        let point = self.about("letter-turn-point");
        if self.with.is_empty() {
            return point;
        }
        Phrase::of("letter-turn-point-with")
            .with("point", Value::Phrase(Box::new(point)))
            .with("names", Value::List(self.with.clone()))
    }

    /// Who else comes, as a sentence.
    pub(super) fn company(&self) -> Option<Phrase> {
        let names = Value::List(self.with.clone());
        (!self.with.is_empty()).then(|| Phrase::of("letter-turn-with").with("names", names))
    }

    /// The turn in the calendar of somebody who holds a place of it at a site. Every letter says
    /// the same of one turn but for its description, so that no letter takes back what another
    /// said.
    pub(super) fn appointment(&self, turn: TurnId, member: MemberId, site: &str) -> Appointment {
        Appointment {
            turn,
            member,
            on_date: self.on_date,
            hours: self.hours,
            title: self.task("letter-turn-title"),
            description: Vec::new(),
            location: site.to_owned(),
            is_off: false,
        }
    }

    /// A text about what is to be done at which bin.
    pub(super) fn task(&self, code: &'static str) -> Phrase {
        Phrase::of(code)
            .with("duty", Value::Code(self.duty.code()))
            .with_text("bin", &self.bin)
    }

    fn about(&self, code: &'static str) -> Phrase {
        let date = Value::LocalDate(self.on_date);
        let when = match self.hours {
            Some((opens, closes)) => Phrase::of("letter-turn-hours")
                .with("date", date)
                .with("opens", Value::Time(opens))
                .with("closes", Value::Time(closes)),
            None => Phrase::of("letter-turn-day").with("date", date),
        };
        self.task(code).with("when", Value::Phrase(Box::new(when)))
    }
}

/// What whoever cannot come is to do.
#[derive(Clone, PartialEq, Eq)]
pub(super) struct Help {
    /// The names of those who can be asked.
    pub ask: Vec<String>,
    /// How many days before a turn its place can still be given back.
    pub give_back_days: u8,
    /// The local day.
    pub today: NaiveDate,
}

impl Help {
    /// A sentence in which somebody is named who can be asked.
    pub(super) fn asking(&self, code: &'static str) -> Phrase {
        let whom = if self.ask.is_empty() {
            Phrase::of("letter-ask-keepers")
        } else {
            Phrase::of("letter-ask-names").with("names", Value::OneOf(self.ask.clone()))
        };
        Phrase::of(code).with("whom", Value::Phrase(Box::new(whom)))
    }

    /// The last day on which the place of a turn can be given back, as long as it can.
    pub(super) fn last_day(&self, on_date: NaiveDate) -> Option<NaiveDate> {
        let last = on_date.checked_sub_days(Days::new(self.give_back_days.into()));
        last.filter(|last| *last >= self.today)
    }

    /// What whoever cannot come on a day is to do, as long as it helps.
    pub(super) fn cannot_come(&self, on_date: NaiveDate) -> Phrase {
        match self.last_day(on_date) {
            Some(last) => self
                .asking("letter-turn-back")
                .with("date", Value::LocalDate(last)),
            None => self.asking("letter-turn-back-late"),
        }
    }

    /// The same for several days.
    pub(super) fn cannot_come_on_one(&self) -> Phrase {
        self.asking("letter-turns-back")
            .with("days", Value::Count(self.give_back_days.into()))
    }
}

/// A turn so many days from now, for reading letters.
#[cfg(test)]
pub(super) fn sample_turn(now: DateTime<Utc>, days: u64, duty: Duty, with: &[&str]) -> TurnTold {
    let hours = (duty != Duty::Watering).then(|| {
        let opens = now + chrono::TimeDelta::days(i64::try_from(days).unwrap());
        (opens, opens + chrono::TimeDelta::hours(2))
    });
    TurnTold {
        bin: "Courtyard".to_owned(),
        on_date: now.date_naive() + Days::new(days),
        duty,
        hours,
        with: with.iter().map(|name| (*name).to_owned()).collect(),
    }
}

#[cfg(test)]
impl Help {
    /// What letters that are read by somebody say.
    pub(super) fn sample(now: DateTime<Utc>, ask: &[&str], give_back_days: u8) -> Self {
        Self {
            ask: ask.iter().map(|name| (*name).to_owned()).collect(),
            give_back_days,
            today: now.date_naive(),
        }
    }
}
