//! What a bin could take on the morning of a turn, reckoned again from its log: whoever was to
//! come read it in the letter of that day.

use super::DeskError;
use super::at_hand::{Hold, SiteAtHand, bin_and_habitat, read};
use super::watched_turns::window;
use crate::store::turns::TurnRow;
use crate::store::{Conn, events};
use chrono::{DateTime, Utc};
use wormrota_domain::ids::BinId;
use wormrota_domain::letters::{HeldTurn, QuietHours};
use wormrota_domain::living_bin::outlook::{Outlook, WORTH_BRINGING};
use wormrota_domain::living_bin::settings::ModelSettings;
use wormrota_domain::living_bin::state::BinState;

/// Whether the bin could take nothing on the morning of a turn: then whoever was to come was told
/// to put nothing in, and nobody is asked whether they did. Room that others had booked does not
/// count, since they were to bring something.
pub(super) async fn took_nothing(
    conn: &mut Conn,
    model: &ModelSettings,
    site: &SiteAtHand,
    quiet: QuietHours,
    turn: &TurnRow,
) -> Result<bool, DeskError> {
    let bin = BinId(turn.bin_id);
    let (_, habitat) = match bin_and_habitat(conn, model, site, bin, Hold::Look).await {
        Ok(found) => found,
        // It is out of use by now.
        Err(DeskError::NotFound(_)) => return Ok(true),
        Err(error) => return Err(error),
    };
    let turn = HeldTurn {
        on_date: turn.on_date,
        window: window(turn)?,
        held_since: DateTime::<Utc>::MIN_UTC,
    };
    let morning = turn.morning(quiet, site.zone);
    let stored = events::state_before(conn, site.id, bin, morning, i64::MAX).await?;
    let Some(stored) = stored else {
        // No worms lived in it then.
        return Ok(true);
    };
    let state: BinState = read("bin_states.state", stored.state)?;
    let state = state.advanced(&habitat, morning);
    let room = Outlook::cautious(&habitat, &state).room(&[]);
    Ok(room.amount < WORTH_BRINGING)
}
