//! Signing in with address and password.

use super::credentials::AccessToken;
use super::{Desk, DeskError, fields};
use crate::clock;
use crate::store::accounts;
use futures_util::FutureExt;
use std::fmt;
use wormrota_domain::ids::AccountId;

/// What somebody typed to sign in. Its `Debug` output holds neither.
pub struct SignIn {
    /// The address.
    pub email: String,
    /// The password.
    pub password: String,
}

impl fmt::Debug for SignIn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("SignIn(hidden)")
    }
}

/// Somebody who signed in.
#[derive(Debug)]
pub struct Session {
    /// The account.
    pub account: AccountId,
    /// Whether it may open sites.
    pub is_educator: bool,
    /// What to send with further requests.
    pub token: AccessToken,
}

/// Signs somebody in. An address that is unknown, malformed or has another password gives
/// one and the same answer after the same work.
pub async fn sign_in(desk: &Desk, typed: SignIn) -> Result<Session, DeskError> {
    let account = match fields::email(&typed.email) {
        None => None,
        Some(email) => {
            desk.store()
                .read("sign in", email, |conn, email| {
                    async move { Ok::<_, DeskError>(accounts::by_email(conn, email).await?) }
                        .boxed()
                })
                .await?
        }
    };
    let hash = account
        .as_ref()
        .and_then(|account| account.password_hash.clone());
    let right = desk
        .credentials()
        .passwords
        .matches(typed.password, hash)
        .await?;
    match account {
        Some(account) if right => {
            let id = AccountId(account.id);
            tracing::info!(account = %id, "signed in");
            Ok(Session {
                account: id,
                is_educator: account.is_educator,
                token: desk.credentials().tokens.issue(id, clock::wall())?,
            })
        }
        known => {
            // The id helps to see an attack on one account; it says nothing to outsiders.
            tracing::info!(
                account = known.map(|a| tracing::field::display(a.id)),
                "sign-in failed"
            );
            Err(DeskError::SignInFailed)
        }
    }
}
