//! Password hashes: Argon2id, a few at a time.
//!
//! Each hash takes megabytes and tens of milliseconds on purpose. A small number of slots
//! bounds the memory, and an unknown address costs the same work as a known one.

use super::guessable::is_guessable;
use crate::desk::DeskError;
use crate::settings::SignIn;
use argon2::password_hash::phc::PasswordHash;
use argon2::{Algorithm, Argon2, Params, PasswordHasher, PasswordVerifier, Version};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use unicode_normalization::UnicodeNormalization;

/// Characters (Unicode code points) that a password must have: NIST SP 800-63B-4, section
/// 3.1.1.2, asks for 15 where it is the only factor. The published text is cited from memory;
/// its second public draft, which was read, says that 15 are recommended and 8 are the least.
pub const SHORTEST_PASSWORD: usize = 15;
/// Characters that a password may have (the same section: at least 64 should be allowed).
pub const LONGEST_PASSWORD: usize = 128;

/// How long somebody waits for a slot before hearing that too much is going on.
const LONGEST_WAIT: Duration = Duration::from_secs(8);

/// Hashes and checks passwords.
#[derive(Debug)]
pub struct Passwords {
    argon2: Argon2<'static>,
    slots: Arc<Semaphore>,
    worked: AtomicU64,
    /// The hash of nobody's password, checked when there is no account.
    nobody: String,
}

impl Passwords {
    /// Prepares the slots.
    ///
    /// # Errors
    /// When the parameters cannot be used.
    pub fn new(settings: &SignIn) -> Result<Self, DeskError> {
        let params = Params::new(
            settings.argon2_memory_kib,
            settings.argon2_iterations,
            settings.argon2_lanes,
            None,
        )
        .map_err(|error| DeskError::broken(format!("sign_in.argon2_*: {error}")))?;
        let argon2 = Argon2::new(Algorithm::Argon2id, Version::V0x13, params);
        let nobody = hash_now(&argon2, "the password of nobody")?;
        Ok(Self {
            argon2,
            slots: Arc::new(Semaphore::new(settings.password_slots)),
            worked: AtomicU64::new(0),
            nobody,
        })
    }

    /// Hashes a password into a PHC string.
    ///
    /// # Errors
    /// [`DeskError::Unavailable`] when no slot becomes free in time.
    pub async fn hash(&self, password: String) -> Result<String, DeskError> {
        let slot = self.slot().await?;
        let argon2 = self.argon2.clone();
        on_another_thread(slot, move || hash_now(&argon2, &password)).await?
    }

    /// Whether the password is the one that was hashed. Without a hash the answer is no,
    /// after the same work.
    ///
    /// # Errors
    /// [`DeskError::Unavailable`] when no slot becomes free in time.
    pub async fn matches(&self, password: String, hash: Option<String>) -> Result<bool, DeskError> {
        let slot = self.slot().await?;
        let argon2 = self.argon2.clone();
        let somebody = hash.is_some();
        let hash = hash.unwrap_or_else(|| self.nobody.clone());
        on_another_thread(slot, move || {
            let hash = PasswordHash::new(&hash)
                .map_err(|error| DeskError::broken(format!("a password hash: {error}")))?;
            let typed = normalised(&password);
            Ok(argon2.verify_password(typed.as_bytes(), &hash).is_ok() && somebody)
        })
        .await?
    }

    /// Whether somebody who goes through likely passwords would soon come to this one.
    ///
    /// # Errors
    /// [`DeskError::Unavailable`] when no slot becomes free in time.
    pub async fn is_guessable(
        &self,
        password: String,
        email: Option<String>,
    ) -> Result<bool, DeskError> {
        let slot = self.slot().await?;
        on_another_thread(slot, move || is_guessable(&password, email.as_deref())).await
    }

    /// How many passwords were hashed or compared since the start: the work that tells, by the
    /// time it takes, whether something was looked at.
    #[must_use]
    pub fn worked(&self) -> u64 {
        self.worked.load(Ordering::Relaxed)
    }

    async fn slot(&self) -> Result<OwnedSemaphorePermit, DeskError> {
        let wait = tokio::time::timeout(LONGEST_WAIT, Arc::clone(&self.slots).acquire_owned());
        match wait.await {
            Ok(Ok(slot)) => {
                self.worked.fetch_add(1, Ordering::Relaxed);
                Ok(slot)
            }
            _ => Err(DeskError::Unavailable(
                "too many people sign in at once".to_owned(),
            )),
        }
    }
}

/// The form of a password that is hashed: keyboards write one character in several ways, and
/// the same section of NIST SP 800-63B asks for normalisation form NFKC or NFKD. Plain ASCII
/// stays as it was typed.
fn normalised(password: &str) -> String {
    password.nfkc().collect()
}

fn hash_now(argon2: &Argon2<'_>, password: &str) -> Result<String, DeskError> {
    argon2
        .hash_password(normalised(password).as_bytes())
        .map(|hash| hash.to_string())
        .map_err(|error| DeskError::broken(format!("hashing a password: {error}")))
}

/// Keeps the slot until the work is done, even when nobody waits for it any more.
async fn on_another_thread<T: Send + 'static>(
    slot: OwnedSemaphorePermit,
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, DeskError> {
    tokio::task::spawn_blocking(move || {
        let _slot = slot;
        work()
    })
    .await
    .map_err(|error| DeskError::broken(format!("hashing a password: {error}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn passwords() -> Passwords {
        Passwords::new(&crate::desk::credentials::test_settings()).unwrap()
    }

    #[tokio::test]
    async fn only_the_same_password_matches() {
        let passwords = passwords();
        let hash = passwords.hash("red wigglers 7".to_owned()).await.unwrap();
        assert!(
            hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"),
            "{hash}"
        );
        for (password, right) in [
            ("red wigglers 7", true),
            ("Red wigglers 7", false),
            ("red wigglers 7 ", false),
            ("", false),
        ] {
            let answer = passwords
                .matches(password.to_owned(), Some(hash.clone()))
                .await;
            assert_eq!(answer.unwrap(), right, "{password:?}");
        }
    }

    #[tokio::test]
    async fn a_character_written_in_two_ways_is_one() {
        let passwords = passwords();
        let hash = passwords
            .hash("caf\u{e9} con leche".to_owned())
            .await
            .unwrap();
        let typed = "cafe\u{301} con leche".to_owned();
        assert!(passwords.matches(typed, Some(hash)).await.unwrap());
    }

    #[tokio::test]
    async fn nobody_has_a_password() {
        let answer = passwords()
            .matches("the password of nobody".to_owned(), None)
            .await;
        assert!(!answer.unwrap());
    }

    #[tokio::test]
    async fn two_hashes_of_one_password_differ() {
        let passwords = passwords();
        let first = passwords.hash("same again".to_owned()).await.unwrap();
        let second = passwords.hash("same again".to_owned()).await.unwrap();
        assert_ne!(first, second);
    }
}
