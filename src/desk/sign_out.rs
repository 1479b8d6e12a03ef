//! Signing somebody out everywhere, by whoever runs the service.

use super::{Desk, DeskError, Noun, fields};
use crate::clock;
use crate::store::{account_links, accounts, sessions};
use futures_util::FutureExt;
use wormrota_domain::ids::AccountId;

/// Ends every session and takes back every link of the account with this address; says how
/// many sessions that were.
///
/// # Errors
/// [`DeskError::NotFound`] when there is no such account.
pub async fn sign_out(desk: &Desk, email: &str) -> Result<usize, DeskError> {
    let email = fields::email(email).ok_or(DeskError::NotFound(Noun::Account))?;
    desk.store()
        .transact("sign somebody out", email, |conn, email| {
            async move {
                let account = accounts::by_email(conn, email).await?;
                let account = account.ok_or(DeskError::NotFound(Noun::Account))?;
                let id = AccountId(account.id);
                accounts::hold_to_change(conn, id).await?;
                let wall = clock::wall();
                account_links::revoke_all(conn, id, wall).await?;
                let ended = sessions::revoke_all(conn, id, None, wall).await?;
                tracing::info!(account = %id, ended, "signed out by whoever runs the service");
                Ok::<_, DeskError>(ended)
            }
            .boxed()
        })
        .await
}
