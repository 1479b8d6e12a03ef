//! Passwords and tokens.

use super::Rule;
use serde::Deserialize;

/// Passwords and tokens.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SignIn {
    /// Minutes that an access token is good for.
    pub access_token_minutes: u32,
    /// Memory of one password hash, in KiB.
    pub argon2_memory_kib: u32,
    /// Passes of one password hash.
    pub argon2_iterations: u32,
    /// Lanes of one password hash.
    pub argon2_lanes: u32,
    /// Passwords hashed at the same time.
    pub password_slots: usize,
    /// Days in which a refresh token must be used.
    pub refresh_token_days: u32,
    /// Days after which a session ends whatever happens.
    pub session_days: u32,
    /// Minutes that a link for setting a new password is good for.
    pub reset_minutes: u32,
    /// Minutes that a link for signing in is good for.
    pub link_minutes: u32,
    /// Wrong passwords for one account from one address in a quarter of an hour; 0 sets no
    /// limit.
    pub wrong_passwords_here: u32,
    /// Wrong passwords for one account in a day from where it was never signed in to; 0 sets
    /// no limit.
    pub wrong_passwords_elsewhere: u32,
    /// Wrong passwords from one address in an hour for accounts that were never signed in to
    /// from there; 0 sets no limit.
    pub wrong_passwords_from_address: u32,
    /// Letters with a link to one typed address in ten minutes; 0 sets no limit.
    pub letters_to_address: u32,
    /// Letters with a link asked for from one address in an hour; 0 sets no limit.
    pub letters_from_address: u32,
}

impl SignIn {
    /// The rules that types cannot hold.
    pub(super) fn rules(&self) -> [Rule; 9] {
        [
            (
                "sign_in.access_token_minutes",
                (1..=60).contains(&self.access_token_minutes),
                "1 to 60 minutes",
            ),
            (
                "sign_in.password_slots",
                (1..=64).contains(&self.password_slots),
                "1 to 64 passwords at a time",
            ),
            (
                "sign_in.argon2_lanes",
                (1..=16).contains(&self.argon2_lanes),
                "1 to 16 lanes",
            ),
            // OWASP, Password Storage Cheat Sheet: Argon2id with at least 19 MiB, 2 passes, 1 lane.
            (
                "sign_in.argon2_memory_kib",
                (19_456..=1_048_576).contains(&self.argon2_memory_kib),
                "19456 to 1048576 KiB",
            ),
            (
                "sign_in.argon2_iterations",
                (2..=32).contains(&self.argon2_iterations),
                "2 to 32 passes",
            ),
            (
                "sign_in.refresh_token_days",
                (1..=self.session_days).contains(&self.refresh_token_days),
                "1 day to sign_in.session_days",
            ),
            (
                "sign_in.session_days",
                (1..=730).contains(&self.session_days),
                "1 to 730 days",
            ),
            (
                "sign_in.reset_minutes",
                (5..=1_440).contains(&self.reset_minutes),
                "5 to 1440 minutes",
            ),
            (
                "sign_in.link_minutes",
                (1..=60).contains(&self.link_minutes),
                "1 to 60 minutes",
            ),
        ]
    }
}
