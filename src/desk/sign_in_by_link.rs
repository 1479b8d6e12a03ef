//! Signing in with a link from a letter, without a password.

use super::ask_for_link::LinkKind;
use super::sessions::{self, Session};
use super::{Desk, DeskError, my_links};
use crate::clock;
use crate::store::accounts;
use futures_util::FutureExt;
use std::net::IpAddr;

/// Signs the link's account in. A link that is unknown, expired, used or revoked gives one
/// and the same answer.
///
/// # Errors
/// [`DeskError::LinkRefused`].
pub async fn sign_in_by_link(
    desk: &Desk,
    token: &str,
    device: Option<&str>,
    from: IpAddr,
) -> Result<Session, DeskError> {
    let device = sessions::device(device)?;
    let link = my_links::of_token(desk, LinkKind::SignIn, token)?;
    let (terms, place) = (desk.terms(), desk.credentials().hidden.place(from));
    let begun = desk
        .store()
        .transact("sign in by link", device, move |conn, device| {
            async move {
                let wall = clock::wall();
                let account = my_links::owner(conn, LinkKind::SignIn, link).await?;
                // The account before the link, as everywhere.
                let held = accounts::hold(conn, account).await?;
                held.ok_or(DeskError::LinkRefused)?;
                my_links::use_up(conn, link).await?;
                let device = device.as_deref();
                let begun = sessions::begin(conn, terms, account, "link", device, wall).await?;
                accounts::remember_place(conn, account, &place, wall).await?;
                Ok::<_, DeskError>(begun)
            }
            .boxed()
        })
        .await?;
    tracing::info!(account = %begun.account, session = %begun.session, "signed in by link");
    sessions::finish(desk, begun)
}
