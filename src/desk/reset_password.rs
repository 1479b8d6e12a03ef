//! Setting a new password with a link from a letter. It ends every session and takes back
//! every other link: whoever had the old password has nothing left.

use super::ask_for_link::LinkKind;
use super::new_password::{self, hash_new_password};
use super::{Desk, DeskError, my_links};
use crate::clock;
use crate::store::{account_links, accounts, sessions};
use futures_util::FutureExt;
use wormrota_domain::ids::AccountId;

/// Sets a new password for the link's account.
///
/// # Errors
/// [`DeskError::LinkRefused`], the same for every link that cannot be used; the password is
/// looked at only where the link is good, and its length before that.
pub async fn reset_password(
    desk: &Desk,
    token: &str,
    new_password: String,
) -> Result<(), DeskError> {
    if !new_password::is_long_enough(&new_password) {
        return Err(DeskError::field("/new_password", new_password::LENGTH));
    }
    let link = my_links::of_token(desk, LinkKind::Reset, token)?;
    let account = desk
        .store()
        .read("look at a link", link, |conn, link| {
            async move { my_links::account_of(conn, LinkKind::Reset, *link).await }.boxed()
        })
        .await?;
    let email = account.email_lower.as_deref();
    let hash = hash_new_password(desk, "/new_password", new_password, email).await?;
    let id = AccountId(account.id);
    let ended = desk
        .store()
        .transact("reset a password", hash, move |conn, hash| {
            async move {
                let wall = clock::wall();
                // The account before the link, as everywhere.
                let held = accounts::hold_to_change(conn, id).await?;
                held.ok_or(DeskError::LinkRefused)?;
                my_links::use_up(conn, link).await?;
                accounts::set_password(conn, id, hash).await?;
                account_links::revoke_all(conn, id, wall).await?;
                Ok::<_, DeskError>(sessions::revoke_all(conn, id, None, wall).await?)
            }
            .boxed()
        })
        .await?;
    tracing::info!(account = %id, ended, "password reset");
    Ok(())
}
