//! How the service is known outside of it.

use crate::icalendar::Person;
use crate::settings::{Letters, SettingsError};

/// Where the service is reached, and from whom its letters come.
#[derive(Debug)]
pub(super) struct Outside {
    url: String,
    /// From whom letters come: the same calls people to their turns.
    pub(super) sender: Person,
    /// The part of that address behind the `@`.
    pub(super) domain: String,
}

impl Outside {
    /// As the settings say.
    ///
    /// # Errors
    /// When `letters.from` is no address.
    pub(super) fn of(settings: &Letters) -> Result<Self, SettingsError> {
        let sender = settings.sender()?;
        Ok(Self {
            url: settings.outside().to_owned(),
            domain: sender.email.domain().to_owned(),
            sender: Person {
                name: sender.name,
                address: sender.email.to_string(),
            },
        })
    }

    /// The whole address of something that the service serves.
    pub(super) fn address_of(&self, path: &str) -> String {
        format!("{}{path}", self.url)
    }
}
