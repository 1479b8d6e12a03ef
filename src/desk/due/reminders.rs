//! Who is to be reminded of a turn.

use super::DueAt;
use crate::desk::DeskError;
use crate::desk::letters::{Coming, of_coming_turn};
use crate::desk::sites::reminder_days;
use crate::store::held_places::{self, HeldPlace};
use crate::store::letters::LetterRow;
use crate::store::{Conn, StoreError};
use chrono::{Days, NaiveTime};
use wormrota_domain::ids::{MemberId, TurnId};
use wormrota_domain::letters::HeldTurn;
use wormrota_domain::turns::Window;

/// The longest way from a letter to its turn: seven days, and one for a letter that goes on the
/// evening before.
const AHEAD: Days = Days::new(8);

/// A letter for each place whose holder is to be reminded now.
pub(super) async fn owed(conn: &mut Conn, at: &DueAt) -> Result<Vec<LetterRow>, DeskError> {
    let today = at.site.zone.local_date(at.by.now);
    let last = today.checked_add_days(AHEAD).unwrap_or(today);
    let held = held_places::between(conn, at.site.id, today, last).await?;
    let mut rows = Vec::new();
    for place in held {
        rows.extend(letter(at, place)?);
    }
    Ok(rows)
}

fn letter(at: &DueAt, place: HeldPlace) -> Result<Option<LetterRow>, DeskError> {
    let own = reminder_days(place.reminder_days)?;
    let rules = own.as_deref().unwrap_or(&at.site.reminder_days);
    let turn = HeldTurn {
        on_date: place.on_date,
        window: window(place.opens, place.closes)?,
        held_since: place.held_since,
    };
    let due = turn.reminder(rules, at.site.quiet, at.site.zone, at.by.now);
    let coming = |days_before| Coming {
        turn: TurnId(place.turn_id),
        on_date: place.on_date,
        days_before,
    };
    let (site, member) = (at.site.id, MemberId(place.member_id));
    Ok(due.map(|due| {
        let until = at.by.on_the_wall(due.until);
        of_coming_turn(site, member, coming(due.days_before), until, at.by.wall)
    }))
}

/// The hours of a turn, from the table's times.
pub(in crate::desk) fn window(
    opens: Option<NaiveTime>,
    closes: Option<NaiveTime>,
) -> Result<Option<Window>, StoreError> {
    let hours = opens.zip(closes);
    let window = hours.map(|(opens, closes)| Window::new(opens, closes));
    window.transpose().map_err(|_| StoreError::Unreadable {
        what: "turns.opens",
    })
}
