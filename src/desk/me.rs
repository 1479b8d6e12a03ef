//! Who one is: the account, and where it belongs.

use super::{Desk, DeskError, Errand};
use crate::store::accounts::{self, AccountRow};
use crate::store::members::{self, MembershipOfAccount};
use futures_util::FutureExt;

/// Somebody as the service knows them.
#[derive(Debug)]
pub struct Me {
    /// The account.
    pub account: AccountRow,
    /// Where it belongs, or waits to be let in.
    pub memberships: Vec<MembershipOfAccount>,
}

/// Shows the caller to themselves.
///
/// # Errors
/// [`DeskError::SessionEnded`] when the account is gone.
pub async fn show_me(desk: &Desk, errand: Errand) -> Result<Me, DeskError> {
    desk.store()
        .read("show somebody themselves", errand.account, |conn, id| {
            async move {
                let account = accounts::by_id(conn, *id).await?;
                Ok(Me {
                    account: account.ok_or(DeskError::SessionEnded)?,
                    memberships: members::of_account_everywhere(conn, *id).await?,
                })
            }
            .boxed()
        })
        .await
}
