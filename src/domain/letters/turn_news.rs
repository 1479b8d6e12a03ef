//! What there is to tell a member whose turn stands otherwise than they know.

use chrono::NaiveTime;
use serde::{Deserialize, Serialize};

/// A turn as it stands for one member.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct TurnStanding {
    /// Whether the member holds a place of it.
    pub held: bool,
    /// Whether it does not take place.
    pub called_off: bool,
    /// From when to when, as the site counts hours; all day without.
    pub hours: Option<(NaiveTime, NaiveTime)>,
}

/// What is new about a turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TurnNews {
    /// The member has a place of it now.
    Given,
    /// They have none any more.
    Gone,
    /// It does not take place.
    Off,
    /// It takes place after all.
    On,
    /// It is at other hours.
    OtherHours,
    /// All is as they know it, but not the room that they had booked.
    RoomGone,
}

impl TurnStanding {
    /// What is new to a member who knows the turn as it is here, when it stands as in `now`.
    /// `room_gone` says that room which they booked for it was given back for them. Of several
    /// things only the one that changes most about their day.
    #[must_use]
    pub fn news(self, now: Self, room_gone: bool) -> Option<TurnNews> {
        match (self.held, now.held) {
            (false, false) => None,
            (true, false) => Some(TurnNews::Gone),
            // Whoever hears of it while it is called off would have to be told again.
            (false, true) => (!now.called_off).then_some(TurnNews::Given),
            (true, true) => match (self.called_off, now.called_off) {
                (false, true) => Some(TurnNews::Off),
                (true, false) => Some(TurnNews::On),
                (true, true) => None,
                (false, false) if self.hours != now.hours => Some(TurnNews::OtherHours),
                (false, false) => room_gone.then_some(TurnNews::RoomGone),
            },
        }
    }
}

impl TurnNews {
    /// Whether the member is to come.
    #[must_use]
    pub const fn calls(self) -> bool {
        match self {
            Self::Given | Self::On | Self::OtherHours | Self::RoomGone => true,
            Self::Gone | Self::Off => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HELD: TurnStanding = TurnStanding {
        held: true,
        called_off: false,
        hours: None,
    };
    const FREE: TurnStanding = TurnStanding {
        held: false,
        ..HELD
    };
    const OFF: TurnStanding = TurnStanding {
        called_off: true,
        ..HELD
    };

    fn all() -> Vec<TurnStanding> {
        let time = |hour| NaiveTime::from_hms_opt(hour, 0, 0).unwrap();
        let hours = [None, Some((time(8), time(10))), Some((time(9), time(10)))];
        let mut all = Vec::new();
        for held in [false, true] {
            for called_off in [false, true] {
                all.extend(hours.map(|hours| TurnStanding {
                    held,
                    called_off,
                    hours,
                }));
            }
        }
        all
    }

    /// Protects people from letters that say nothing: nobody hears of a turn that stands as they
    /// know it, or that was not theirs and is not.
    #[test]
    fn what_is_as_it_was_is_no_news() {
        for one in all() {
            assert_eq!(one.news(one, false), None);
            for other in all() {
                if !one.held && !other.held {
                    assert_eq!(one.news(other, true), None);
                }
            }
        }
    }

    /// Protects people from coming in vain, and bins from nobody coming: who is to come hears
    /// so, and who is not to come any more as well.
    #[test]
    fn who_is_to_come_now_and_was_not_hears_of_it_and_so_the_other_way() {
        let comes = |one: TurnStanding| one.held && !one.called_off;
        for one in all() {
            for other in all() {
                let news = one.news(other, false);
                if comes(one) != comes(other) {
                    assert_eq!(
                        news.map(TurnNews::calls),
                        Some(comes(other)),
                        "{one:?} {other:?}"
                    );
                }
            }
        }
    }

    /// Protects whoever booked room from bringing scraps that have none: it is said even where
    /// nothing else is new.
    #[test]
    fn room_that_is_gone_is_news() {
        assert_eq!(HELD.news(HELD, true), Some(TurnNews::RoomGone));
        assert_eq!(OFF.news(HELD, true), Some(TurnNews::On));
        assert_eq!(HELD.news(OFF, true), Some(TurnNews::Off));
        assert_eq!(HELD.news(FREE, true), Some(TurnNews::Gone));
    }
}
