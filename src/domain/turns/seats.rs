//! How many places a turn has, when that changes while some are held.

/// A turn's places never have a higher seat: what the table allows.
pub const MOST: i16 = 20;

/// Seats that come and go.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Seating {
    /// Seats of new places.
    pub add: Vec<i16>,
    /// Seats of free places that go.
    pub drop: Vec<i16>,
}

/// What brings a turn to `wanted` places: free ones go, highest seats first, and held ones stay
/// even if they are more than wanted. `places` are the seats there are, each with whether it is
/// held.
#[must_use]
pub fn seating(places: &[(i16, bool)], wanted: usize) -> Seating {
    let mut free: Vec<i16> = places
        .iter()
        .filter(|(_, held)| !held)
        .map(|(seat, _)| *seat)
        .collect();
    free.sort_unstable();
    let surplus = places.len().saturating_sub(wanted).min(free.len());
    let missing = wanted.saturating_sub(places.len());
    let taken = |seat: &i16| places.iter().any(|(there, _)| there == seat);
    Seating {
        add: (1..=MOST)
            .filter(|seat| !taken(seat))
            .take(missing)
            .collect(),
        drop: free.split_off(free.len() - surplus),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Guards holders of places against a change of the pattern.
    #[test]
    fn held_places_stay_and_free_ones_go_from_the_top() {
        let places = [(1, false), (2, true), (3, false), (4, true)];
        assert_eq!(seating(&places, 3).drop, [3]);
        assert_eq!(seating(&places, 1).drop, [1, 3]);
        assert_eq!(seating(&places, 4), Seating::default());
    }

    /// Guards the rule that a seat stands once in a turn.
    #[test]
    fn new_places_take_the_lowest_seats_that_are_not_there() {
        assert_eq!(seating(&[(2, true)], 3).add, [1, 3]);
        assert_eq!(seating(&[], 2).add, [1, 2]);
    }

    proptest! {
        #[test]
        fn there_are_as_many_places_as_wanted_or_as_are_held(
            seats in prop::collection::btree_map(1_i16..=MOST, any::<bool>(), 0..=20),
            wanted in 1_usize..=20,
        ) {
            let places: Vec<(i16, bool)> = seats.into_iter().collect();
            let change = seating(&places, wanted);
            let held = places.iter().filter(|(_, held)| *held).count();
            let after = places.len() + change.add.len() - change.drop.len();
            prop_assert_eq!(after, wanted.max(held));
            for seat in &change.drop {
                prop_assert!(places.contains(&(*seat, false)));
            }
            for seat in &change.add {
                prop_assert!(!places.iter().any(|(there, _)| there == seat));
            }
        }
    }
}
