//! What part of the turns is somebody's.

use crate::coded::coded;

coded! {
    /// The part of the turns that a member takes on.
    Share {
        /// As much as anybody.
        Full = "full",
        /// Half of it.
        Half = "half",
        /// One full share together with the others of the household.
        Household = "household",
        /// None: the planner asks them for nothing.
        None = "none",
    }
}

/// Sixtieths in a full share: households of up to six, and most larger ones, share evenly.
pub const FULL: u32 = 60;

impl Share {
    /// The share in sixtieths of a full one, of somebody whose household has so many people in
    /// the rota; none for who has no part in it.
    #[must_use]
    pub fn sixtieths(self, household: usize) -> Option<u32> {
        match self {
            Self::Full => Some(FULL),
            Self::Half => Some(FULL / 2),
            Self::Household => {
                let people = u32::try_from(household.max(1)).unwrap_or(FULL);
                Some((FULL / people).max(1))
            }
            Self::None => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_household_shares_what_one_person_alone_has() {
        for people in 1..=6_u32 {
            let each = Share::Household.sixtieths(people as usize);
            assert_eq!(
                each.map(|each| each * people),
                Share::Full.sixtieths(people as usize)
            );
        }
        assert_eq!(Share::Household.sixtieths(1_000), Some(1));
        assert_eq!(Share::None.sixtieths(1), None);
    }
}
