//! What is to become of something that may be there or not.

use serde::{Deserialize, Deserializer};

/// In JSON: absent, null, or a value.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Change<T> {
    /// It stays as it is.
    #[default]
    Keep,
    /// It goes away.
    Clear,
    /// It becomes this.
    To(T),
}

impl<T> Change<T> {
    /// Whether anything is to change.
    #[must_use]
    pub const fn is_one(&self) -> bool {
        !matches!(self, Self::Keep)
    }

    /// With another kind of value.
    pub fn map<U>(self, with: impl FnOnce(T) -> U) -> Change<U> {
        match self {
            Self::Keep => Change::Keep,
            Self::Clear => Change::Clear,
            Self::To(value) => Change::To(with(value)),
        }
    }

    /// Does it to something that is stored.
    pub fn apply(self, stored: &mut Option<T>) {
        match self {
            Self::Keep => {}
            Self::Clear => *stored = None,
            Self::To(value) => *stored = Some(value),
        }
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Change<T> {
    /// Only called when the member is there.
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Ok(Option::deserialize(deserializer)?.map_or(Self::Clear, Self::To))
    }
}
