//! A member's days in order, and what on them stands in the way of another turn.

use super::index::Day;

/// What stands in the way of a member taking a turn, as far as their own diary goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Clash {
    /// Nothing.
    Free,
    /// Giving up this turn would clear the way.
    One(usize),
    /// More than giving up one turn.
    Blocked,
}

/// What a member's own rules allow.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pace {
    /// Free days between two turns.
    pub(super) rest: Day,
    /// The most turns in 28 days; 28 is no such limit.
    pub(super) most: usize,
}

/// A day with its turn. Small on purpose: the search reads little else.
#[derive(Debug, Clone, Copy)]
struct Entry {
    day: Day,
    turn: u32,
}

/// Stands in the place of a turn that cannot be given up: an earlier one or a kept one.
const FIXED: u32 = u32::MAX;

impl Entry {
    fn turn(self) -> Option<usize> {
        (self.turn != FIXED).then_some(self.turn as usize)
    }
}

fn number(turn: usize) -> u32 {
    u32::try_from(turn).unwrap_or(FIXED)
}

/// The days of one member.
#[derive(Debug, Clone, Default)]
pub(super) struct Diary {
    entries: Vec<Entry>,
}

impl Diary {
    /// Adds a day; without a turn it can never be given up.
    pub(super) fn insert(&mut self, day: Day, turn: Option<usize>) {
        let at = self.entries.partition_point(|entry| entry.day < day);
        let turn = turn.map_or(FIXED, number);
        self.entries.insert(at, Entry { day, turn });
    }

    /// Takes a turn out again.
    pub(super) fn remove(&mut self, day: Day, turn: usize) {
        let turn = number(turn);
        let from = self.entries.partition_point(|entry| entry.day < day);
        if let Some(at) = (self.entries[from..].iter()).position(|entry| entry.turn == turn) {
            self.entries.remove(from + at);
        }
    }

    pub(super) const fn len(&self) -> usize {
        self.entries.len()
    }

    /// The turn at a position, unless it cannot be given up.
    pub(super) fn turn_at(&self, at: usize) -> Option<usize> {
        self.entries.get(at)?.turn()
    }

    /// The turns within 28 days of a day that may be given up.
    pub(super) fn near(&self, day: Day) -> impl Iterator<Item = usize> + '_ {
        let from = self.entries.partition_point(|entry| entry.day <= day - 28);
        (self.entries[from..].iter())
            .take_while(move |entry| entry.day - day < 28)
            .filter_map(|entry| entry.turn())
    }

    /// What stands in the way of a day, were the member not on `without`.
    pub(super) fn clash(&self, pace: Pace, day: Day, without: Option<usize>) -> Clash {
        let without = without.map(number);
        let at = self.entries.partition_point(|entry| entry.day < day);
        let mut found = Clash::Free;
        let mut meets = |entry: &Entry| {
            if Some(entry.turn) == without {
                return;
            }
            found = match (found, entry.turn()) {
                (Clash::Free, Some(turn)) => Clash::One(turn),
                _ => Clash::Blocked,
            };
        };
        (self.entries[..at].iter().rev())
            .take_while(|entry| day - entry.day <= pace.rest)
            .for_each(&mut meets);
        (self.entries[at..].iter())
            .take_while(|entry| entry.day - day <= pace.rest)
            .for_each(&mut meets);
        if pace.most >= 28 || found == Clash::Blocked {
            return found;
        }
        match found {
            // Which of several turns to give up is for the caller to try.
            Clash::Free if self.too_many(pace.most, day, at, without) => Clash::Blocked,
            Clash::One(turn)
                if without.is_some() || self.too_many(pace.most, day, at, Some(number(turn))) =>
            {
                Clash::Blocked
            }
            _ => found,
        }
    }

    /// Whether a new day at `at` makes more than `most` in some 28 days.
    fn too_many(&self, most: usize, day: Day, at: usize, without: Option<u32>) -> bool {
        if most == 0 {
            return true;
        }
        let counts = |entry: &&Entry| Some(entry.turn) != without;
        // Every run of most + 1 days that holds the new one, from the latest on.
        let mut later = [Day::MAX; 28];
        let mut found = 0;
        let near = |entry: &&Entry| entry.day - day < 28;
        for entry in (self.entries[at..].iter()).take_while(near).filter(counts) {
            if found == most {
                break;
            }
            later[found] = entry.day;
            found += 1;
        }
        if found == most {
            return true;
        }
        let mut earlier = 0;
        let near = |entry: &&Entry| day - entry.day < 28;
        for entry in (self.entries[..at].iter().rev())
            .take_while(near)
            .filter(counts)
        {
            earlier += 1;
            let last = match most.checked_sub(earlier + 1) {
                None => day,
                Some(after) if after < found => later[after],
                Some(_) => continue,
            };
            if last - entry.day < 28 {
                return true;
            }
            if earlier == most {
                break;
            }
        }
        false
    }
}
