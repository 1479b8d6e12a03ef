//! Booking room for a day, and giving it back.

use super::at_hand::{BinAtHand, Hold, SiteAtHand};
use super::membership::{Membership, admit};
use super::put_in::{keep, sent_elsewhere};
use super::{Desk, DeskError, Errand, Noun};
use crate::clock;
use crate::store::Conn;
use crate::store::bookings::{self, BookingRow, BookingState};
use chrono::{DateTime, NaiveDate, Utc};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::food::{Estimate, Offer};
use wormrota_domain::ids::{BinId, BookingId, DecisionId, SiteId};
use wormrota_domain::living_bin::decide::Asked;
use wormrota_domain::living_bin::decision::{Decision, Outcome};
use wormrota_domain::living_bin::settings::ModelSettings;
use wormrota_domain::units::{Fraction, Grams};

/// An amount that somebody means to bring.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Promise {
    /// The local day.
    pub on_date: NaiveDate,
    /// How much.
    pub amount: Grams,
}

/// What a promise got.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Booked {
    /// Under which the decision is kept.
    pub decision_id: DecisionId,
    /// The decision.
    pub decision: Decision,
    /// The booking, unless it was refused.
    pub booking: Option<BookingId>,
    /// The local day.
    pub on_date: NaiveDate,
    /// The moment at which it was decided.
    pub decided_at: DateTime<Utc>,
}

/// Books room for a day; refused with what fits and when if the bin could not take it
/// then, or if somebody else's booking would suffer.
///
/// # Errors
/// [`DeskError::Conflicting`] for a day in the past or too far ahead;
/// [`DeskError::BookedAlready`].
pub async fn book(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    promise: Promise,
) -> Result<Booked, DeskError> {
    let offer = usual_mix(promise.amount)?;
    let model = desk.model();
    desk.write("book room", errand, offer, move |conn, errand, offer| {
        let model = model.clone();
        async move {
            let who = admit(conn, errand, site, Deed::Book).await?;
            let site = SiteAtHand::load(conn, site).await?;
            let bin = BinAtHand::load(conn, &model, &site, bin, errand.now, Hold::Lock).await?;
            let (today, last) = site.days_looked_at(bin.now);
            let on_date = promise.on_date;
            if on_date < today || on_date > last {
                let allowed = format!("must be a day from {today} to {last}");
                return Err(DeskError::conflict("/on_date", allowed));
            }
            let wanted = Wanted {
                who: &who,
                promise,
                offer,
                instead_of: None,
            };
            let decision = wanted.decide(conn, &model, &site, &bin).await?;
            wanted.write_down(conn, &bin, decision).await
        }
        .boxed()
    })
    .await
}

/// Gives a booking back. Its holder may, and so may whoever looks after the bins.
pub async fn withdraw(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    booking: BookingId,
) -> Result<(), DeskError> {
    desk.write("give room back", errand, (), move |conn, errand, ()| {
        async move {
            let who = admit(conn, errand, site, Deed::Book).await?;
            let row = bookings::by_id(conn, site, booking).await?;
            let row = row
                .filter(|row| row.bin_id == bin.0)
                .ok_or(DeskError::NotFound(Noun::Booking))?;
            if row.member_id != who.member.0 && !who.may(Deed::CorrectAnyEntry) {
                return Err(DeskError::Forbidden(Deed::CorrectAnyEntry));
            }
            if !bookings::end(conn, site, booking, BookingState::Withdrawn).await? {
                return Err(DeskError::BookingEnded);
            }
            Ok(())
        }
        .boxed()
    })
    .await
}

/// An amount that somebody wants to book in a bin whose row is locked.
#[derive(Debug)]
pub(super) struct Wanted<'a> {
    /// Who brings it.
    pub who: &'a Membership,
    /// How much, and on which day.
    pub promise: Promise,
    /// The same as [`usual_mix`] says it.
    pub offer: &'a Offer,
    /// Their own booking of that day, which ends if this one is allowed.
    pub instead_of: Option<Uuid>,
}

impl Wanted<'_> {
    /// Whether the bin will have room on that day, with all other bookings kept. Writes nothing.
    ///
    /// # Errors
    /// [`DeskError::BookedAlready`].
    pub(super) async fn decide(
        &self,
        conn: &mut Conn,
        model: &ModelSettings,
        site: &SiteAtHand,
        bin: &BinAtHand,
    ) -> Result<Decision, DeskError> {
        let on_date = self.promise.on_date;
        let own = bin.booking_of(self.who.member, on_date);
        if own.is_some() && own != self.instead_of {
            return Err(DeskError::BookedAlready);
        }
        let at = site.zone.start_of_day(on_date).max(bin.now);
        let days = site.days_after(bin.now);
        let decision = Asked {
            habitat: &bin.habitat,
            state: &bin.state,
            bookings: &bin.kept_bookings(site, self.instead_of),
            at,
            offer: self.offer,
            list: &site.list,
            moments: days
                .get(days.partition_point(|day| *day <= at)..)
                .unwrap_or_default(),
        }
        .decide();
        sent_elsewhere(conn, model, site, bin, decision).await
    }

    /// Keeps the decision and, unless it refuses, books what it allows.
    pub(super) async fn write_down(
        &self,
        conn: &mut Conn,
        bin: &BinAtHand,
        decision: Decision,
    ) -> Result<Booked, DeskError> {
        let booking = (decision.outcome != Outcome::Refused).then(|| BookingId(clock::fresh_id()));
        let decision_id = keep(conn, bin, self.who, &decision, "book", None, booking).await?;
        if let Some(booking) = booking {
            if let Some(old) = self.instead_of {
                bookings::end(conn, self.who.site, BookingId(old), BookingState::Withdrawn).await?;
            }
            let row = BookingRow {
                site_id: self.who.site.0,
                id: booking.0,
                bin_id: bin.id.0,
                member_id: self.who.member.0,
                on_date: self.promise.on_date,
                promised_g: decision.allowed.0,
                state: BookingState::Open.code().to_owned(),
                created_at: bin.now,
                decision_id: decision_id.0,
            };
            bookings::insert(conn, &row).await?;
        }
        Ok(Booked {
            decision_id,
            decision,
            booking,
            on_date: self.promise.on_date,
            decided_at: bin.now,
        })
    }
}

/// A promise is of the usual mix: nobody knows yet what will be in the caddy.
pub(super) fn usual_mix(amount: Grams) -> Result<Offer, DeskError> {
    let exact = Estimate {
        amount,
        spread: Fraction(0.0),
    };
    Offer::of_usual_mix(exact).map_err(|error| {
        tracing::debug!(code = error.code(), "a promise is no offer");
        DeskError::field("/amount_kg", "must be above 0 and at most 50 kilograms")
    })
}
