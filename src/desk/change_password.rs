//! Changing one's password while signed in. It ends all other sessions and takes back all
//! links.

use super::new_password::{self, hash_new_password};
use super::{Desk, DeskError, throttle};
use crate::clock;
use crate::desk::credentials::Bearer;
use crate::store::{account_links, accounts, sessions};
use futures_util::FutureExt;
use std::fmt;

/// A change of password. Its `Debug` output hides both.
pub struct PasswordChange {
    /// The password until now; needed where there is one.
    pub current: Option<String>,
    /// The one from now on.
    pub new: String,
}

impl fmt::Debug for PasswordChange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("PasswordChange(hidden)")
    }
}

/// Changes the caller's password.
///
/// # Errors
/// [`DeskError::Conflicting`] when the current password is another, or is missing, or the new
/// one is easy to guess; [`DeskError::TooOften`].
pub async fn change_password(
    desk: &Desk,
    who: Bearer,
    change: PasswordChange,
) -> Result<(), DeskError> {
    if !new_password::is_long_enough(&change.new) {
        return Err(DeskError::field("/new_password", new_password::LENGTH));
    }
    let account = desk
        .store()
        .read("look at a password", who.account, |conn, id| {
            async move { Ok::<_, DeskError>(accounts::by_id(conn, *id).await?) }.boxed()
        })
        .await?
        .ok_or(DeskError::SessionEnded)?;
    let Some(email) = account.email_lower.as_deref() else {
        let detail = "must wait until the account has an e-mail address to type it with";
        return Err(DeskError::conflict("/new_password", detail));
    };
    let known = account.password_hash.clone();
    let counted = match (&known, change.current) {
        (Some(_), None) => {
            let detail = "must be given, since there is a password already";
            return Err(DeskError::conflict("/current_password", detail));
        }
        (None, Some(_)) => {
            let detail = "must be left out, since there is no password yet";
            return Err(DeskError::conflict("/current_password", detail));
        }
        (None, None) => None,
        (Some(_), Some(typed)) => {
            let counted = throttle::current_password(desk, who.account).await?;
            let passwords = &desk.credentials().passwords;
            if !passwords.matches(typed, known.clone()).await? {
                tracing::info!(account = %who.account, "password not changed");
                return Err(not_current());
            }
            Some(counted)
        }
    };
    let hash = hash_new_password(desk, "/new_password", change.new, Some(email)).await?;
    let ended = desk
        .store()
        .transact(
            "change a password",
            (hash, known, counted),
            move |conn, (hash, known, counted)| {
                async move {
                    let wall = clock::wall();
                    let held = accounts::hold_to_change(conn, who.account).await?;
                    let held = held.ok_or(DeskError::SessionEnded)?;
                    // Somebody else may have changed it meanwhile.
                    if held.password_hash != *known {
                        return Err(not_current());
                    }
                    accounts::set_password(conn, who.account, hash).await?;
                    account_links::revoke_all(conn, who.account, wall).await?;
                    if let Some(counted) = counted {
                        counted.give_back(conn).await?;
                    }
                    let kept = Some(who.session);
                    Ok(sessions::revoke_all(conn, who.account, kept, wall).await?)
                }
                .boxed()
            },
        )
        .await?;
    tracing::info!(account = %who.account, ended, "password changed");
    Ok(())
}

fn not_current() -> DeskError {
    DeskError::conflict("/current_password", "must be the password that you have")
}
