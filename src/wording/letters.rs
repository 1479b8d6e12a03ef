//! What letters say.

use super::voice::Voice;
use chrono::{DateTime, Utc};

/// What a letter is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LetterAbout<'a> {
    /// An invitation to a site.
    Invitation {
        /// What the receiver is called.
        name: Option<&'a str>,
        /// What the site is called.
        site: &'a str,
    },
    /// Setting a new password.
    Reset,
    /// Signing in without a password.
    SignIn,
}

/// A letter in words. The request that it tells of stands between the two parts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LetterWords {
    /// What it is about, in a few words.
    pub subject: String,
    /// Paragraphs before the request, one sentence each.
    pub before: Vec<String>,
    /// Paragraphs after it.
    pub after: Vec<String>,
}

impl Voice {
    /// A letter whose link works until `expires_at`, as it reads at `now`.
    #[must_use]
    pub fn letter(
        &self,
        about: LetterAbout<'_>,
        expires_at: DateTime<Utc>,
        now: DateTime<Utc>,
    ) -> LetterWords {
        let nameless = || self.say("letter-greeting-nameless", []);
        let (subject, greeting, what, how) = match about {
            LetterAbout::Invitation { name, site } => (
                self.say("letter-invitation-subject", [("site", site.into())]),
                name.map_or_else(nameless, |name| {
                    self.say("letter-greeting", [("name", name.into())])
                }),
                self.say("letter-invitation", [("site", site.into())]),
                self.say("letter-invitation-how", []),
            ),
            LetterAbout::Reset => (
                self.say("letter-reset-subject", []),
                nameless(),
                self.say("letter-reset", []),
                self.say("letter-reset-how", []),
            ),
            LetterAbout::SignIn => (
                self.say("letter-signin-subject", []),
                nameless(),
                self.say("letter-signin", []),
                self.say("letter-signin-how", []),
            ),
        };
        let until = self.say(
            "letter-until",
            [
                ("date", self.date(expires_at, now).into()),
                ("time", self.zone.local_time(expires_at).into()),
                ("zone", self.zone.name().into()),
            ],
        );
        let after = [
            until,
            self.say("letter-secret", []),
            match about {
                LetterAbout::Invitation { site, .. } => {
                    self.say("letter-invitation-unexpected", [("site", site.into())])
                }
                LetterAbout::Reset | LetterAbout::SignIn => self.say("letter-unexpected", []),
            },
        ];
        LetterWords {
            subject,
            before: [greeting, what, how]
                .map(|part| self.sentence(&part))
                .into(),
            after: after.map(|part| self.sentence(&part)).into(),
        }
    }
}
