//! Two members trade places: each gets the other's, or nothing happens.

use super::held_place::Held;
use super::holders::holders_of;
use super::membership::admit;
use super::pass_on::PassingOn;
use super::place_at_hand::{SiteDays, TurnAtHand, insist_on_wishes, lock_members, rules_of};
use super::turn_news::TurnNews;
use super::{Desk, DeskError, Errand, Noun};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{PlaceId, SiteId};

/// Whose holders trade.
#[derive(Debug, Clone, Copy)]
pub struct Trade {
    /// A place.
    pub one: PlaceId,
    /// A place of another turn.
    pub other: PlaceId,
    /// Whether it happens against a wish of one of them.
    pub overrule: bool,
}

/// Two places after their holders traded.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Traded {
    /// The first place, with the holder of the second.
    pub one: Held,
    /// The second, with the holder of the first.
    pub other: Held,
}

/// Lets the holders of two places trade. Rules are judged on how it is afterwards: nobody is
/// asked whether they could come before the other has gone. What either had booked is given
/// back.
///
/// # Errors
/// [`DeskError::Conflicting`] when both places are of one turn or held by one member;
/// [`DeskError::NotTheHolder`] when one of them is held by nobody; and those of
/// [`take_place`](super::take_place::take_place).
pub async fn trade_places(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    trade: Trade,
) -> Result<Traded, DeskError> {
    desk.write("trade places", errand, (), move |conn, errand, ()| {
        async move {
            let who = admit(conn, errand, site, Deed::AssignPlaces).await?;
            let both = holders_of(conn, site, [trade.one, trade.other]).await?;
            let [(one_turn, one), (other_turn, other)] = both;
            if one_turn == other_turn || one == other {
                let detail = "must be of another turn, and held by somebody else";
                return Err(DeskError::conflict("/other_place_id", detail));
            }
            let days = SiteDays::load(conn, site, errand.now).await?;
            let getting = [(one, "/one_place_id"), (other, "/other_place_id")];
            lock_members(conn, &who, &[], &getting).await?;
            let turns = TurnAtHand::lock_all(conn, site, &[one_turn, other_turn]).await?;
            let Ok([first, second]) = <[TurnAtHand; 2]>::try_from(turns) else {
                return Err(DeskError::NotFound(Noun::Turn));
            };
            let (mut at_one, mut at_other) = if first.id() == one_turn {
                (first, second)
            } else {
                (second, first)
            };
            at_one.held_by(trade.one, one)?;
            at_other.held_by(trade.other, other)?;
            for turn in [&at_one, &at_other] {
                turn.insist_on_going(days.today)?;
            }
            if at_one.has(other) || at_other.has(one) {
                return Err(DeskError::HeldAlready);
            }
            let rules = rules_of(conn, &who, &[&at_one, &at_other], &[]).await?;
            rules.insist_on_trade(&who, (one, one_turn), (other, other_turn))?;
            let wishes = [(other, &at_one.row), (one, &at_other.row)];
            let overruled = insist_on_wishes(conn, site, &wishes, trade.overrule).await?;
            let passing = |place, from, to| PassingOn {
                place,
                from,
                to,
                kept: false,
                overruled,
                deed: "place_traded",
            };
            let now = errand.now;
            let there = passing(trade.one, one, other);
            let back = passing(trade.other, other, one);
            let mut news = TurnNews::of(&who);
            let one = there.write(conn, &who, (&mut at_one, &mut news), now);
            let one = one.await?;
            let other = back.write(conn, &who, (&mut at_other, &mut news), now);
            let other = other.await?;
            news.owe(conn, one_turn.0, now).await?;
            Ok(Traded { one, other })
        }
        .boxed()
    })
    .await
}
