//! What letters and pages about a call have in common: the turn in words.

use super::turn_words::TurnTold;
use crate::desk::DeskError;
use crate::desk::at_hand::unreadable;
use crate::desk::cover::{CallAtHand, turn_span};
use crate::store::turns::TurnRow;
use crate::store::{Conn, bins, turns};
use chrono::{DateTime, NaiveDate, Utc};
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::ids::{BinId, CallId, SiteId};
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::turns::Duty;

/// A turn as letters about a call say it.
#[derive(Debug, Clone)]
pub(in crate::desk) struct TurnSaid {
    /// What the bin is called.
    pub bin: String,
    /// The local day.
    pub on_date: NaiveDate,
    /// From when to when, where it has hours.
    pub hours: Option<(DateTime<Utc>, DateTime<Utc>)>,
    /// What is to be done.
    pub duty: Duty,
    /// What it counts.
    pub effort: u64,
}

impl TurnSaid {
    /// Reads what is said about a turn; none where its bin is gone.
    pub(in crate::desk) async fn of(
        conn: &mut Conn,
        row: &TurnRow,
        zone: SiteZone,
    ) -> Result<Option<Self>, DeskError> {
        let bin = bins::by_id(conn, SiteId(row.site_id), BinId(row.bin_id)).await?;
        let span = turn_span(row, zone)?;
        let duty = Duty::from_code(&row.duty).ok_or_else(|| unreadable("turns.duty"))?;
        Ok(bin.map(|bin| Self {
            bin: bin.name,
            on_date: row.on_date,
            hours: row.opens.and(Some(span)),
            duty,
            effort: u64::try_from(row.effort).unwrap_or(1),
        }))
    }

    /// A sentence about the turn: bin, day, date, duty and effort can stand in it.
    pub(in crate::desk) fn say(&self, code: &'static str) -> Phrase {
        Phrase::of(code)
            .with_text("bin", &self.bin)
            .with("day", Value::Phrase(Box::new(self.day())))
            .with("date", Value::LocalDate(self.on_date))
            .with("duty", Value::Code(self.duty.code()))
            .with("effort", Value::Count(self.effort))
    }

    /// The turn as other letters tell of it.
    pub(super) fn told(&self) -> TurnTold {
        TurnTold {
            bin: self.bin.clone(),
            on_date: self.on_date,
            duty: self.duty,
            hours: self.hours,
            with: Vec::new(),
        }
    }

    fn day(&self) -> Phrase {
        let date = Value::LocalDate(self.on_date);
        match self.hours {
            None => Phrase::of("cover-day").with("date", date),
            Some((opens, closes)) => Phrase::of("cover-day-hours")
                .with("date", date)
                .with("from", Value::Time(opens))
                .with("to", Value::Time(closes)),
        }
    }
}

/// A call with its turn; none where either is gone.
pub(in crate::desk) async fn call_and_turn(
    conn: &mut Conn,
    (site, call): (SiteId, CallId),
    zone: SiteZone,
) -> Result<Option<(CallAtHand, TurnSaid)>, DeskError> {
    let call = match CallAtHand::load(conn, site, call).await {
        Ok(call) => call,
        Err(DeskError::NotFound(_)) => return Ok(None),
        Err(other) => return Err(other),
    };
    let Some(row) = turns::by_id(conn, site, call.turn()).await? else {
        return Ok(None);
    };
    let said = TurnSaid::of(conn, &row, zone).await?;
    Ok(said.map(|said| (call, said)))
}

/// A turn for reading letters.
#[cfg(test)]
pub(super) fn sample(now: DateTime<Utc>, with_hours: bool) -> TurnSaid {
    let day = now + chrono::TimeDelta::days(3);
    TurnSaid {
        bin: "Courtyard".to_owned(),
        on_date: day.date_naive(),
        hours: with_hours.then_some((day, day + chrono::TimeDelta::hours(2))),
        duty: Duty::Feeding,
        effort: 1,
    }
}
