//! A write happens once for each idempotency key.
//!
//! The key is claimed by the first statement of the write's own transaction. A twin that
//! comes at the same moment waits for that transaction and then reads its answer; if the
//! first one fails, nothing was kept and the twin does the work.

use super::{DeskError, Errand};
use crate::clock;
use crate::store::{Conn, idempotency};
use serde::Serialize;
use serde::de::DeserializeOwned;

/// An idempotency key with a hash of the request it came with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ticket {
    key: String,
    request_hash: [u8; 32],
}

/// The key is empty, too long or not plain ASCII.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("must be 1 to 255 visible ASCII characters")]
pub struct BadKey;

impl Ticket {
    /// Takes a key as the client sent it and the SHA-256 of what it asked.
    ///
    /// # Errors
    /// [`BadKey`].
    pub fn new(key: &str, request_hash: [u8; 32]) -> Result<Self, BadKey> {
        let sane = (1..=255).contains(&key.len()) && key.bytes().all(|b| b.is_ascii_graphic());
        sane.then(|| Self {
            key: key.to_owned(),
            request_hash,
        })
        .ok_or(BadKey)
    }
}

/// The answer that an earlier request under the same key got, if there was one.
pub(super) async fn first_answer<T: DeserializeOwned>(
    conn: &mut Conn,
    errand: &Errand,
) -> Result<Option<T>, DeskError> {
    let Some(ticket) = &errand.ticket else {
        return Ok(None);
    };
    let account = errand.account;
    if idempotency::claim(
        conn,
        account,
        &ticket.key,
        &ticket.request_hash,
        clock::wall(),
    )
    .await?
    {
        return Ok(None);
    }
    let kept = idempotency::kept(conn, account, &ticket.key)
        .await?
        // Cleaned up between the two statements: the client may ask again.
        .ok_or_else(|| DeskError::Unavailable("the key was just forgotten".to_owned()))?;
    if kept.request_hash != ticket.request_hash {
        return Err(DeskError::KeyReused);
    }
    let answer = kept
        .answer
        .ok_or_else(|| DeskError::broken("an idempotency key without an answer"))?;
    serde_json::from_value(answer)
        .map(Some)
        .map_err(|error| DeskError::broken(format!("a kept answer cannot be read: {error}")))
}

/// Keeps the answer for those who ask again.
pub(super) async fn keep<T: Serialize>(
    conn: &mut Conn,
    errand: &Errand,
    answer: &T,
) -> Result<(), DeskError> {
    if let Some(ticket) = &errand.ticket {
        let answer = serde_json::to_value(answer)
            .map_err(|error| DeskError::broken(format!("an answer cannot be kept: {error}")))?;
        idempotency::keep(conn, errand.account, &ticket.key, &answer).await?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_is_short_visible_ascii() {
        let long = "x".repeat(256);
        for bad in ["", "with space", "tab\t", "ünlaut", &long] {
            assert_eq!(Ticket::new(bad, [0; 32]), Err(BadKey), "{bad:?}");
        }
        assert!(Ticket::new(&long[1..], [0; 32]).is_ok());
    }
}
