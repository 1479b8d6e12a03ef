//! Bringing an amount on a turn: the room for it is booked in the living bin.

use super::DeskError;
use super::at_hand::{BinAtHand, DAYS_AHEAD, Hold, SiteAtHand};
use super::book::{Booked, Promise, Wanted};
use super::membership::Membership;
use crate::store::Conn;
use crate::store::turns::TurnRow;
use chrono::{DateTime, Days, NaiveDate, Utc};
use uuid::Uuid;
use wormrota_domain::food::Offer;
use wormrota_domain::ids::BinId;
use wormrota_domain::living_bin::settings::ModelSettings;
use wormrota_domain::turns::Duty;
use wormrota_domain::units::Grams;

/// An amount that the caller means to bring on a turn whose place they hold, or are to hold.
#[derive(Debug)]
pub(super) struct Bringing<'a> {
    pub who: &'a Membership,
    pub turn: &'a TurnRow,
    pub amount: Grams,
    /// The same as the bin reckons with it.
    pub offer: &'a Offer,
    /// The booking that the place had so far.
    pub instead_of: Option<Uuid>,
}

impl Bringing<'_> {
    /// Books room for it as far as the bin allows; a refusal is kept with what was decided, and
    /// leaves the booking as it was. The turn is locked.
    ///
    /// # Errors
    /// [`DeskError::Conflicting`] for a turn on which nothing is fed, or one too far ahead;
    /// [`DeskError::BookedAlready`].
    pub(super) async fn book(
        &self,
        conn: &mut Conn,
        model: &ModelSettings,
        now: DateTime<Utc>,
    ) -> Result<Booked, DeskError> {
        insist_on_feeding(self.turn)?;
        let site = SiteAtHand::load(conn, self.who.site).await?;
        let bin = BinId(self.turn.bin_id);
        let bin = BinAtHand::load(conn, model, &site, bin, now, Hold::Lock).await?;
        let (_, last) = site.days_looked_at(bin.now);
        if self.turn.on_date > last {
            return Err(DeskError::conflict(
                "/amount_kg",
                format!("must be left out for now: room is booked {DAYS_AHEAD} days ahead"),
            ));
        }
        let wanted = Wanted {
            who: self.who,
            promise: Promise {
                on_date: self.turn.on_date,
                amount: self.amount,
            },
            offer: self.offer,
            // What was used, or given back by itself, has no part in this any more.
            instead_of: (self.instead_of)
                .filter(|old| bin.bookings.iter().any(|row| row.id == *old)),
        };
        let decision = wanted.decide(conn, model, &site, &bin).await?;
        wanted.write_down(conn, &bin, decision).await
    }
}

/// Only the holder knows what they will bring.
pub(super) fn others_amount() -> DeskError {
    DeskError::conflict(
        "/amount_kg",
        "must be left out: what they bring, only the holder says",
    )
}

/// Whether an amount can be booked for a turn: food goes in, and soon enough.
pub(super) fn can_bring(turn: &TurnRow, today: NaiveDate) -> bool {
    let last = today.checked_add_days(Days::new(DAYS_AHEAD));
    turn.duty == Duty::Feeding.code() && last.is_none_or(|last| turn.on_date <= last)
}

fn insist_on_feeding(turn: &TurnRow) -> Result<(), DeskError> {
    if turn.duty == Duty::Feeding.code() {
        return Ok(());
    }
    let detail = "must be left out: nothing is fed on this turn";
    Err(DeskError::conflict("/amount_kg", detail))
}
