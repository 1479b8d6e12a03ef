//! A place that goes from one member to another.

use super::DeskError;
use super::held_place::Held;
use super::membership::Membership;
use super::place_at_hand::{Giving, OVERRULED, TurnAtHand};
use super::trail::{self, Subject};
use super::turn_news::TurnNews;
use crate::store::Conn;
use crate::store::places::How;
use chrono::{DateTime, Utc};
use serde_json::json;
use wormrota_domain::ids::{MemberId, PlaceId};

/// A place that goes from its holder to somebody else, because whoever may said so.
#[derive(Debug, Clone, Copy)]
pub(super) struct PassingOn {
    pub place: PlaceId,
    pub from: MemberId,
    pub to: MemberId,
    /// Whether the planner leaves it alone from now on.
    pub kept: bool,
    /// Whether it goes against a wish.
    pub overruled: bool,
    /// The word for it in the trail.
    pub deed: &'static str,
}

impl PassingOn {
    /// Writes it, ends what the old holder had booked, leaves a line in the trail, and has both
    /// members told. The turn is locked, and so are both.
    pub(super) async fn write(
        self,
        conn: &mut Conn,
        who: &Membership,
        (turn, news): (&mut TurnAtHand, &mut TurnNews),
        now: DateTime<Utc>,
    ) -> Result<Held, DeskError> {
        let row = turn.row.clone();
        let place = turn.held_by(self.place, self.from)?;
        let giving = Giving {
            to: self.to,
            how: How::Assigned,
            kept: Some(self.kept),
            booking: None,
        };
        let given_back = giving.write(conn, place, now).await?;
        news.went(self.from, &row, given_back)?;
        news.came(self.to, &row)?;
        let mut detail = json!({
            "place_id": self.place, "from": self.from, "member_id": self.to, "kept": self.kept,
        });
        if self.overruled {
            detail["overruled"] = OVERRULED.into();
        }
        let subject = Subject::Turn(row.id);
        trail::leave(conn, who, now, self.deed, subject, detail).await?;
        Held::of(&row, place)
    }
}
