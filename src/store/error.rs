//! What can go wrong between the service and its database.

use diesel::result::{DatabaseErrorKind, Error as DieselError};
use diesel_async::pooled_connection::deadpool::PoolError;

/// A failure of the store, sorted by what a caller can do about it.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The database cannot be reached or is overloaded: come back later.
    #[error("the database is not available: {0}")]
    Unavailable(String),
    /// The connection broke. What the transaction wanted has not happened, or (where it
    /// broke during the commit) may have; a retry with the same idempotency key is safe
    /// either way.
    #[error("the connection to the database broke: {0}")]
    Lost(String),
    /// Two transactions could not both have their way; this one lost and may try again.
    #[error("the transaction lost against another one")]
    Contended,
    /// A row with this key exists already.
    #[error("the constraint {constraint} holds already")]
    Duplicate {
        /// The unique constraint or index.
        constraint: String,
    },
    /// A constraint was broken: a mistake in the program, or a row that went away.
    #[error("the constraint {constraint} refused the row")]
    Refused {
        /// The constraint.
        constraint: String,
    },
    /// A row holds what the program cannot read.
    #[error("cannot read {what}")]
    Unreadable {
        /// Table and column.
        what: &'static str,
    },
    /// Anything else: a mistake in the program.
    #[error("the database refused a statement: {0}")]
    Broken(String),
}

/// An error that a transaction may end with: the store looks into it to see whether the
/// whole transaction should be tried again.
pub trait Failure: From<StoreError> + Send + 'static {
    /// The failure of the store inside, if it is one.
    fn store_error(&self) -> Option<&StoreError>;
}

impl Failure for StoreError {
    fn store_error(&self) -> Option<&StoreError> {
        Some(self)
    }
}

impl From<DieselError> for StoreError {
    fn from(error: DieselError) -> Self {
        match error {
            DieselError::DatabaseError(kind, information) => {
                let constraint = || {
                    information
                        .constraint_name()
                        .unwrap_or("without a name")
                        .to_owned()
                };
                match kind {
                    DatabaseErrorKind::SerializationFailure => Self::Contended,
                    DatabaseErrorKind::UniqueViolation => Self::Duplicate {
                        constraint: constraint(),
                    },
                    DatabaseErrorKind::ForeignKeyViolation
                    | DatabaseErrorKind::CheckViolation
                    | DatabaseErrorKind::NotNullViolation
                    | DatabaseErrorKind::RestrictViolation
                    | DatabaseErrorKind::ExclusionViolation => Self::Refused {
                        constraint: constraint(),
                    },
                    DatabaseErrorKind::ClosedConnection
                    | DatabaseErrorKind::UnableToSendCommand => {
                        Self::Lost(information.message().to_owned())
                    }
                    _ => by_message(information.message()),
                }
            }
            other => Self::Broken(other.to_string()),
        }
    }
}

/// Diesel keeps no SQLSTATE for these, so their text has to do. In a database that speaks
/// another language they count as broken, which is an error page too many and no more.
fn by_message(message: &str) -> StoreError {
    const AWAY: [&str; 4] = [
        "the database system is",
        "canceling statement due to statement timeout",
        "canceling statement due to lock timeout",
        "too many clients already",
    ];
    if message.contains("deadlock detected") {
        StoreError::Contended
    } else if message.contains("terminating connection") {
        StoreError::Lost(message.to_owned())
    } else if AWAY.iter().any(|known| message.contains(known)) {
        StoreError::Unavailable(message.to_owned())
    } else {
        StoreError::Broken(message.to_owned())
    }
}

impl From<PoolError> for StoreError {
    fn from(error: PoolError) -> Self {
        Self::Unavailable(error.to_string())
    }
}
