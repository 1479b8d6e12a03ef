//! Positions in a snapshot, told apart by type.

use serde::{Deserialize, Serialize};
use std::fmt;

macro_rules! positions {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
        )]
        #[serde(transparent)]
        pub struct $name(pub usize);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }
    )+};
}

positions! {
    /// A member's position in the snapshot, counted from 0.
    MemberIndex,
    /// A turn's position in the snapshot, counted from 0.
    TurnIndex,
    /// A bin's position in the snapshot, counted from 0.
    BinIndex,
    /// A pupil's position in the list of a class, counted from 0.
    PupilIndex,
}

/// A member on a turn.
pub type Place = (MemberIndex, TurnIndex);

/// Days from the first day of the span, which is a Monday; earlier days are negative.
pub type Day = i32;

/// The weekday of a day: 0 is Monday, 6 is Sunday.
#[must_use]
pub fn weekday(day: Day) -> usize {
    usize::try_from(day.rem_euclid(7)).unwrap_or(0)
}
