//! How people come and go.

use super::Rule;
use serde::Deserialize;

/// How people come and go.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct People {
    /// Days that an invitation can be accepted.
    pub invitation_days: u32,
    /// Days that a printed slip can be used.
    pub slip_days: u32,
    /// Hours after which the deputy gets what nobody has answered.
    pub deputy_after_hours: u32,
    /// Lines that a list of people may have besides its header.
    pub import_most_lines: usize,
    /// Bytes that such a list may have.
    pub import_limit_bytes: usize,
}

impl People {
    /// The rules that types cannot hold.
    pub(super) fn rules(self) -> [Rule; 5] {
        [
            (
                "people.invitation_days",
                (1..=60).contains(&self.invitation_days),
                "1 to 60 days",
            ),
            (
                "people.slip_days",
                (1..=60).contains(&self.slip_days),
                "1 to 60 days",
            ),
            (
                "people.deputy_after_hours",
                (1..=720).contains(&self.deputy_after_hours),
                "1 to 720 hours",
            ),
            (
                "people.import_most_lines",
                (1..=20_000).contains(&self.import_most_lines),
                "1 to 20000 lines",
            ),
            (
                "people.import_limit_bytes",
                (1_024..=16_777_216).contains(&self.import_limit_bytes),
                "1024 to 16777216 bytes",
            ),
        ]
    }
}
