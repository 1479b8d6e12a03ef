//! What letters say.

use super::amounts::Rounding;
use super::voice::Voice;
use chrono::{DateTime, NaiveDate, Utc};
use wormrota_domain::units::Grams;

/// What a letter is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LetterAbout<'a> {
    /// An invitation to a site.
    Invitation {
        /// What the receiver is called.
        name: Option<&'a str>,
        /// What the site is called.
        site: &'a str,
        /// Until when its link works.
        until: DateTime<Utc>,
    },
    /// Setting a new password.
    Reset {
        /// Until when its link works.
        until: DateTime<Utc>,
    },
    /// Signing in without a password.
    SignIn {
        /// Until when its link works.
        until: DateTime<Utc>,
    },
    /// A booking that the bin can no longer take in full.
    BookingShrunk {
        /// What the receiver is called.
        name: Option<&'a str>,
        /// What the bin is called.
        bin: &'a str,
        /// The booked day.
        on: NaiveDate,
        /// What was promised.
        promised: Grams,
        /// What is left of it.
        kept: Grams,
    },
}

/// A letter in words. The request that it tells of, if it does, stands between the two parts.
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
    /// A letter as it reads at `now`.
    #[must_use]
    pub fn letter(&self, about: LetterAbout<'_>, now: DateTime<Utc>) -> LetterWords {
        let (subject, before, after) = match about {
            LetterAbout::Invitation { name, site, until } => (
                self.say("letter-invitation-subject", [("site", site.into())]),
                [
                    self.greeting(name),
                    self.say("letter-invitation", [("site", site.into())]),
                    self.say("letter-invitation-how", []),
                ],
                self.about_link(
                    until,
                    now,
                    self.say("letter-invitation-unexpected", [("site", site.into())]),
                ),
            ),
            LetterAbout::Reset { until } => (
                self.say("letter-reset-subject", []),
                [
                    self.greeting(None),
                    self.say("letter-reset", []),
                    self.say("letter-reset-how", []),
                ],
                self.about_link(until, now, self.say("letter-unexpected", [])),
            ),
            LetterAbout::SignIn { until } => (
                self.say("letter-signin-subject", []),
                [
                    self.greeting(None),
                    self.say("letter-signin", []),
                    self.say("letter-signin-how", []),
                ],
                self.about_link(until, now, self.say("letter-unexpected", [])),
            ),
            LetterAbout::BookingShrunk {
                name,
                bin,
                on,
                promised,
                kept,
            } => {
                let day = self.date(self.zone.start_of_day(on), now);
                let amount = |grams| self.amount(grams, Rounding::Down).into();
                let (id, how) = if kept.0 > 0 {
                    ("letter-shrunk", "letter-shrunk-how")
                } else {
                    ("letter-shrunk-to-nothing", "letter-shrunk-to-nothing-how")
                };
                let args = [
                    ("bin", bin.into()),
                    ("date", day.into()),
                    ("promised", amount(promised)),
                    ("kept", amount(kept)),
                ];
                (
                    self.say("letter-shrunk-subject", [("bin", bin.into())]),
                    [self.greeting(name), self.say(id, args), self.say(how, [])],
                    Vec::new(),
                )
            }
        };
        LetterWords {
            subject,
            before: before.map(|part| self.sentence(&part)).into(),
            after: after.iter().map(|part| self.sentence(part)).collect(),
        }
    }

    fn greeting(&self, name: Option<&str>) -> String {
        match name {
            Some(name) => self.say("letter-greeting", [("name", name.into())]),
            None => self.say("letter-greeting-nameless", []),
        }
    }

    /// What stands below a link.
    fn about_link(
        &self,
        until: DateTime<Utc>,
        now: DateTime<Utc>,
        unexpected: String,
    ) -> Vec<String> {
        let until = self.say(
            "letter-until",
            [
                ("date", self.date(until, now).into()),
                ("time", self.zone.local_time(until).into()),
                ("zone", self.zone.name().into()),
            ],
        );
        vec![until, self.say("letter-secret", []), unexpected]
    }
}
