//! A booking that a bin can no longer take in full.

use super::content::{Content, Part};
use super::receiver::{Receiver, greeting};
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::post::{For, Owing};
use crate::store::Conn;
use crate::store::letter_sources::{self, BookingLetter};
use crate::store::letters::LetterRow;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::ids::{BookingId, MemberId, SiteId};
use wormrota_domain::letters::LetterKind;
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::units::Grams;

#[derive(Serialize, Deserialize)]
struct Keys {
    booking_id: BookingId,
    kept_g: i64,
}

/// The letter of a booking of which only `kept` is left; one for each amount.
pub(in crate::desk) fn of_shrunk_booking(
    site: SiteId,
    member: MemberId,
    booking_id: BookingId,
    kept: Grams,
    day_over_at: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    let kept_g = kept.0;
    Owing {
        kind: LetterKind::BookingShrunk,
        purpose: format!("{booking_id}:{kept_g}"),
        whom: For::Member(site, member),
        too_late_at: day_over_at,
        links_until: None,
    }
    .row(&Keys { booking_id, kept_g }, wall)
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let Keys { booking_id, kept_g } = at.keys()?;
    let row = letter_sources::booking(conn, receiver.site, booking_id).await?;
    let Some(row) = row.filter(|row| row.is_open) else {
        return Ok(Found::Settled);
    };
    let content = content(receiver.name.as_deref(), &row, Grams(kept_g)).about(booking_id.0);
    Ok(receiver.letter(content))
}

fn content(name: Option<&str>, booking: &BookingLetter, kept: Grams) -> Content {
    let (what, how) = if kept.0 > 0 {
        ("letter-shrunk", "letter-shrunk-how")
    } else {
        ("letter-shrunk-to-nothing", "letter-shrunk-to-nothing-how")
    };
    let about = |code| Phrase::of(code).with_text("bin", &booking.bin_name);
    Content::of(
        about("letter-shrunk-subject"),
        vec![
            greeting(name),
            Part::sentence(
                about(what)
                    .with("date", Value::LocalDate(booking.on_date))
                    .with("promised", Value::AtMost(Grams(booking.promised_g)))
                    .with("kept", Value::AtMost(kept)),
            ),
            Part::sentence(Phrase::of(how)),
        ],
    )
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let booking = BookingLetter {
        bin_name: "Courtyard".to_owned(),
        on_date: now.date_naive() + chrono::TimeDelta::days(1),
        promised_g: 500,
        is_open: true,
    };
    [(Some("Ana"), 120), (None, 0)]
        .map(|(name, kept)| content(name, &booking, Grams(kept)))
        .into()
}
