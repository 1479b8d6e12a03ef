//! Signing in with address and password.

use super::credentials::RefreshToken;
use super::sessions::{self, Session};
use super::throttle::{self, From};
use super::{Desk, DeskError, fields};
use crate::clock;
use crate::store::accounts::{self, AccountRow};
use crate::store::{Conn, sessions as stored};
use futures_util::FutureExt;
use std::fmt;
use std::net::IpAddr;
use uuid::Uuid;
use wormrota_domain::ids::AccountId;

/// What somebody typed to sign in. Its `Debug` output holds none of it.
pub struct SignIn {
    /// The address.
    pub email: String,
    /// The password.
    pub password: String,
    /// What they call the device.
    pub device: Option<String>,
    /// A refresh token that the device was given once, to show that it is known.
    pub refresh_token: Option<String>,
    /// Where the request came from.
    pub from: IpAddr,
}

impl fmt::Debug for SignIn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("SignIn(hidden)")
    }
}

/// Signs somebody in. An address that is unknown, malformed or has another password gives
/// one and the same answer after the same work.
///
/// # Errors
/// [`DeskError::SignInFailed`]; [`DeskError::TooOften`].
pub async fn sign_in(desk: &Desk, typed: SignIn) -> Result<Session, DeskError> {
    let device = sessions::device(typed.device.as_deref())?;
    let (account, from) = look_up(desk, &typed).await?;
    let counted = throttle::password_for(desk, &typed.email, from).await?;
    let hash = account
        .as_ref()
        .and_then(|account| account.password_hash.clone());
    let passwords = &desk.credentials().passwords;
    let right = passwords.matches(typed.password, hash).await?;
    let account = match account {
        Some(account) if right => account,
        known => {
            // The id helps to see an attack on one account; it says nothing to outsiders.
            tracing::info!(
                account = known.map(|a| tracing::field::display(a.id)),
                "sign-in failed"
            );
            return Err(DeskError::SignInFailed);
        }
    };
    let before = match from {
        From::Device(session) => Some(session),
        From::Familiar(_) | From::Elsewhere(_) => None,
    };
    let (terms, place) = (desk.terms(), desk.credentials().hidden.place(typed.from));
    let begun = desk
        .store()
        .transact(
            "sign in",
            (account, device, counted, before),
            move |conn, (account, device, counted, before)| {
                async move {
                    let wall = clock::wall();
                    let id = AccountId(account.id);
                    insist_on_password(conn, account).await?;
                    // The device begins anew: what it had until now is no way in any more.
                    if let Some(before) = before {
                        stored::revoke(conn, id, *before, wall).await?;
                    }
                    let device = device.as_deref();
                    let begun = sessions::begin(conn, terms, id, "password", device, wall).await?;
                    accounts::remember_place(conn, id, &place, wall).await?;
                    counted.give_back(conn).await?;
                    Ok::<_, DeskError>(begun)
                }
                .boxed()
            },
        )
        .await?;
    tracing::info!(account = %begun.account, session = %begun.session, "signed in");
    sessions::finish(desk, begun)
}

/// The account of the typed address, and from where it is tried: the same statements whether
/// or not there is one.
async fn look_up(desk: &Desk, typed: &SignIn) -> Result<(Option<AccountRow>, From), DeskError> {
    let from = typed.from;
    let place = desk.credentials().hidden.place(from);
    let shown = typed.refresh_token.as_deref().and_then(RefreshToken::read);
    let shown = shown.map(|token| token.hash());
    // Nobody's address holds a control character.
    let email = fields::email(&typed.email).unwrap_or_else(|| "\n".to_owned());
    desk.store()
        .read("look up who signs in", email, move |conn, email| {
            async move {
                let found = accounts::by_email_and_place(conn, email, &place).await?;
                let (account, is_familiar) = match found {
                    Some((account, is_familiar)) => (Some(account), is_familiar),
                    None => (None, false),
                };
                let id = AccountId(account.as_ref().map_or(Uuid::nil(), |account| account.id));
                let device = match shown {
                    Some(hash) => stored::once_given(conn, id, &hash).await?,
                    None => None,
                };
                let from = match device {
                    Some(session) => From::Device(session),
                    None if is_familiar => From::Familiar(from),
                    None => From::Elsewhere(from),
                };
                Ok::<_, DeskError>((account, from))
            }
            .boxed()
        })
        .await
}

/// The password may have been changed since it was compared.
async fn insist_on_password(conn: &mut Conn, account: &AccountRow) -> Result<(), DeskError> {
    let now = accounts::hold(conn, AccountId(account.id)).await?;
    let same = now.is_some_and(|now| now.password_hash == account.password_hash);
    same.then_some(()).ok_or(DeskError::SignInFailed)
}
