//! One chain of changes: proposed, weighed and made.
//!
//! A chain begins at an open place. Somebody comes; if one of their own turns is in the way,
//! or if the chain would cost too much otherwise, they give it up, somebody else comes there,
//! and so on. It may close where it began. Every chain keeps the hard rules, so every plan
//! does. What it costs is looked at before the rules are, as that is faster.

use super::anneal::Anneal;
use super::board::{Change, LONGEST};
use super::diary::Clash;

/// One chain of so many only takes somebody off.
const REMOVAL: usize = 16;
/// One of so many goes on where it might end.
const ONWARD: usize = 3;
/// The most turns that are looked at when the most in 28 days is in the way.
const NEAR: usize = 64;

/// A chain that is being put together.
struct Draft {
    /// Who leaves the place where it begins; nobody when that place is empty.
    first: Option<usize>,
    changes: [Change; LONGEST],
    length: usize,
    /// What it costs so far, but for the load of the first to leave.
    cost: f64,
}

impl Draft {
    fn changes(&self) -> &[Change] {
        &self.changes[..self.length]
    }

    /// Whether somebody came to a place already.
    fn has_come(&self, member: usize) -> bool {
        (self.changes().iter()).any(|change| change.comes == Some(member))
    }

    fn push(&mut self, change: Change) {
        self.changes[self.length] = change;
        self.length += 1;
    }
}

impl Anneal {
    /// Where a chain begins and who goes there, if anybody.
    fn beginning(&mut self) -> (usize, Option<usize>) {
        if !self.holes.is_empty() && self.random.below(4) == 0 {
            let turn = self.holes[self.random.below(self.holes.len())];
            if self.board.on[turn].len() < self.problem.turns[turn].places {
                return (turn, None);
            }
        }
        let turn = self.open[self.random.below(self.open.len())];
        let on = &self.board.on[turn];
        let place = self.random.below(self.problem.turns[turn].places);
        (turn, on.get(place).copied())
    }

    /// What a member's load adds when it changes.
    #[allow(
        clippy::cast_precision_loss,
        reason = "a rounded difference only sways a coin"
    )]
    fn load(&self, member: usize, by: i64) -> f64 {
        let given = self.board.given[member];
        self.prices.fairness * self.problem.rise(member, given, by) as f64
    }

    /// What wishes and changes add when a member takes a turn.
    #[allow(
        clippy::cast_precision_loss,
        reason = "a rounded difference only sways a coin"
    )]
    fn place(&self, member: usize, turn: usize) -> f64 {
        let wish = self.prices.wish * self.problem.wish(member, turn) as f64;
        self.prices.change * self.problem.change(member, turn) as f64 - wish
    }

    /// Tries one chain; it is made when it costs no more than `bar`.
    pub(super) fn try_chain(&mut self, bar: f64) {
        let (turn, first) = self.beginning();
        if let Some(member) = first
            && self.problem.kept.has(member, turn)
        {
            return;
        }
        let mut draft = Draft {
            first,
            changes: [Change {
                turn,
                goes: None,
                comes: None,
            }; LONGEST],
            length: 0,
            cost: first.map_or(-self.prices.empty, |member| -self.place(member, turn)),
        };
        if let Some(member) = first
            && self.random.below(REMOVAL) == 0
        {
            return self.try_removal(&draft, member, turn, bar);
        }
        let mut next = Some((turn, first));
        while let Some((turn, goes)) = next {
            next = match self.extend(&mut draft, turn, goes, bar) {
                Some(next) => next,
                None => return,
            };
        }
        self.make(draft.changes());
    }

    /// Leaving a place empty frees its holder: the way out where two would have to go for one
    /// to come.
    fn try_removal(&mut self, draft: &Draft, member: usize, turn: usize, bar: f64) {
        let change = Change {
            turn,
            goes: Some(member),
            comes: None,
        };
        let off = self.load(member, -self.problem.turns[turn].effort);
        if draft.cost + self.prices.empty + off <= bar && self.board.turn_allows(&change) {
            self.make(&[change]);
        }
    }

    /// Lets somebody come to a turn that `goes` leaves. Gives the turn that they give up for
    /// it, if the chain goes on; nothing when there is no way.
    #[allow(
        clippy::option_option,
        reason = "no way, the end, and the next turn are three different things"
    )]
    fn extend(
        &mut self,
        draft: &mut Draft,
        turn: usize,
        goes: Option<usize>,
        bar: f64,
    ) -> Option<Option<(usize, Option<usize>)>> {
        let last = draft.length + 1 == LONGEST;
        // Closing the chain where it began keeps every load of equal turns as it is.
        if draft.length > 0 && (last || self.random.below(2) == 0) {
            return self.close(draft, turn, goes, bar).then_some(None);
        }
        let candidates = &self.problem.turns[turn].candidates;
        let comes = candidates[self.random.below(candidates.len())];
        if Some(comes) == goes || draft.first == Some(comes) || draft.has_come(comes) {
            return None;
        }
        let effort = self.problem.turns[turn].effort;
        let cost = draft.cost + self.place(comes, turn);
        let ended = cost + self.load(comes, effort) + self.left(draft, 0);
        let ends = ended <= bar && (last || self.random.below(ONWARD) > 0);
        if last && !ends {
            return None;
        }
        let change = Change {
            turn,
            goes,
            comes: Some(comes),
        };
        let day = self.problem.turns[turn].day;
        let other = match self.board.clash(comes, day, None) {
            Clash::Free if ends => {
                draft.push(change);
                return self.board.turn_allows(&change).then_some(None);
            }
            _ if last => return None,
            Clash::Free => {
                let diary = self.board.diary(comes);
                diary.turn_at(self.random.below(diary.len()))?
            }
            Clash::One(other) => other,
            Clash::Blocked => self.one_near(comes, day)?,
        };
        if draft.changes().iter().any(|change| change.turn == other) || other == turn {
            return None;
        }
        let given_up = self.problem.turns[other].effort;
        draft.cost = cost + self.load(comes, effort - given_up) - self.place(comes, other);
        if !self.board.turn_allows(&change) {
            return None;
        }
        draft.push(change);
        Some(Some((other, Some(comes))))
    }

    /// What the load of the first to leave adds when they are given this much in return.
    fn left(&self, draft: &Draft, in_return: i64) -> f64 {
        let left = self.problem.turns[draft.changes[0].turn].effort;
        (draft.first).map_or(0.0, |first| self.load(first, in_return - left))
    }

    /// Ends a chain where it began: the first to leave comes to its last turn, or that turn
    /// is left as empty as the first was. False when there is no way.
    fn close(&self, draft: &mut Draft, turn: usize, goes: Option<usize>, bar: f64) -> bool {
        let t = &self.problem.turns[turn];
        let change = Change {
            turn,
            goes,
            comes: draft.first,
        };
        let cost = match draft.first {
            None => draft.cost + self.prices.empty,
            Some(first) => draft.cost + self.place(first, turn) + self.left(draft, t.effort),
        };
        let fits = |first: usize| {
            self.problem.candidate.has(first, turn)
                && self.board.clash(first, t.day, Some(draft.changes[0].turn)) == Clash::Free
        };
        let fine = cost <= bar && draft.first.is_none_or(fits) && self.board.turn_allows(&change);
        if fine {
            draft.push(change);
        }
        fine
    }

    /// A turn whose giving up clears a day for a member, tried at random.
    fn one_near(&mut self, member: usize, day: i32) -> Option<usize> {
        if self.problem.members[member].pace.most >= 28 {
            return None;
        }
        let mut near = [0; NEAR];
        let mut count = 0;
        for turn in self.board.diary(member).near(day).take(NEAR) {
            near[count] = turn;
            count += 1;
        }
        if count == 0 {
            return None;
        }
        let turn = near[self.random.below(count)];
        (self.board.clash(member, day, Some(turn)) == Clash::Free).then_some(turn)
    }
}
