//! Why the demo could not be prepared: each a sentence for whoever starts it.

use crate::desk::DeskError;
use chrono::NaiveDate;

/// Why the demo could not be prepared.
#[derive(Debug, thiserror::Error)]
pub enum DemoError {
    /// A file of `demo-data/` does not say what it should.
    #[error("demo-data/{file}, line {line}: {what}")]
    Data {
        /// The file.
        file: &'static str,
        /// The line, from 1; 0 where it is not known.
        line: usize,
        /// What is wrong with it.
        what: String,
    },
    /// Somebody's real bins are in this database.
    #[error(
        "this database holds other data; the demo wants an empty one (another data folder, \
         or a DATABASE_URL of its own)"
    )]
    OtherData,
    /// The demo has gone on further than the start that was asked for.
    #[error(
        "the demo in this database has entries that are later than {0}; begin at a later day, \
         or in another data folder"
    )]
    StartPassed(NaiveDate),
    /// The start lies in a year for which nothing is known of time zones.
    #[error("the demo can begin in the years 2000 to 2099, not on {0}")]
    StartOutOfRange(NaiveDate),
    /// A use case failed.
    #[error("{what}: {}", in_full(.error))]
    Desk {
        /// What was being done.
        what: String,
        /// How it failed.
        #[source]
        error: DeskError,
    },
}

impl DemoError {
    /// The stable code.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Data { .. } => "demo_data",
            Self::OtherData => "demo_other_data",
            Self::StartPassed(_) => "demo_start_passed",
            Self::StartOutOfRange(_) => "demo_start_out_of_range",
            Self::Desk { error, .. } => error.code(),
        }
    }

    /// Says what was being done when a use case failed.
    pub(super) fn while_doing(what: impl Into<String>) -> impl FnOnce(DeskError) -> Self {
        let what = what.into();
        move |error| Self::Desk { what, error }
    }
}

/// The error with the fields that it speaks of.
fn in_full(error: &DeskError) -> String {
    match error {
        DeskError::Invalid(fields) | DeskError::Conflicting(fields) => {
            let fields: Vec<String> = fields
                .iter()
                .map(|field| format!("{} {}", field.pointer, field.detail))
                .collect();
            fields.join("; ")
        }
        other => other.to_string(),
    }
}
