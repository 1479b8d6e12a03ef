//! The limits of an input, entry by entry.

use super::index::{BinIndex, MemberIndex, Place, TurnIndex};
use super::input::{Input, MemberInput, TurnInput};
use super::limits;
use super::refusal::Refusal;
use std::collections::BTreeSet;

fn count(found: usize) -> u64 {
    u64::try_from(found).unwrap_or(u64::MAX)
}

fn at_most(what: &'static str, found: usize, most: u64) -> Result<(), Refusal> {
    let found = count(found);
    if found > most {
        return Err(Refusal::TooMany { what, found, most });
    }
    Ok(())
}

/// Checks the count of pairs of members and turns that they may be on.
pub(super) fn pairs(found: usize) -> Result<(), Refusal> {
    at_most("pairs of a member and an open turn", found, limits::PAIRS)
}

/// Checks everything that can be checked entry by entry.
pub(super) fn all(input: &Input) -> Result<(), Refusal> {
    at_most("members", input.members.len(), limits::MEMBERS)?;
    at_most("turns", input.turns.len(), limits::TURNS)?;
    at_most("bins", input.bins, limits::BINS)?;
    at_most("pairs kept apart", input.apart.len(), limits::APART)?;
    let days = usize::try_from(input.days).unwrap_or(usize::MAX);
    at_most("days", days, u64::from(limits::DAYS))?;
    for (at, member) in input.members.iter().enumerate() {
        check_member(input, MemberIndex(at), member)?;
    }
    for (at, turn) in input.turns.iter().enumerate() {
        check_turn(input, TurnIndex(at), turn)?;
    }
    for (entry, (one, other)) in input.apart.iter().enumerate() {
        for member in [*one, *other] {
            known_member(input, "apart", entry, member)?;
        }
        if one == other {
            return Err(Refusal::ApartFromSelf {
                entry,
                member: *one,
            });
        }
    }
    check_places(input, "kept", &input.kept)?;
    if let Some(rota) = &input.in_force {
        check_places(input, "in_force", &rota.places)?;
    }
    Ok(())
}

fn known_member(
    input: &Input,
    list: &'static str,
    entry: usize,
    member: MemberIndex,
) -> Result<(), Refusal> {
    if member.0 < input.members.len() {
        return Ok(());
    }
    Err(Refusal::UnknownMember {
        list,
        entry,
        member,
    })
}

fn known_bin(
    input: &Input,
    list: &'static str,
    entry: usize,
    bin: BinIndex,
) -> Result<(), Refusal> {
    if bin.0 < input.bins {
        return Ok(());
    }
    Err(Refusal::UnknownBin { list, entry, bin })
}

fn check_places(input: &Input, list: &'static str, places: &[Place]) -> Result<(), Refusal> {
    let mut seen = BTreeSet::new();
    for (entry, (member, turn)) in places.iter().enumerate() {
        known_member(input, list, entry, *member)?;
        if turn.0 >= input.turns.len() {
            return Err(Refusal::UnknownTurn {
                list,
                entry,
                turn: *turn,
            });
        }
        if !seen.insert((*member, *turn)) {
            return Err(Refusal::Twice {
                list,
                entry,
                member: *member,
                turn: *turn,
            });
        }
    }
    Ok(())
}

fn check_member(input: &Input, member: MemberIndex, of: &MemberInput) -> Result<(), Refusal> {
    at_most(
        "absences of one member",
        of.absences.len(),
        limits::ABSENCES,
    )?;
    at_most("earlier turns of one member", of.past.len(), limits::PAST)?;
    at_most("bins of one member", of.bins.len(), limits::BINS)?;
    let within = |what, found, low, high| {
        if (low..=high).contains(&found) {
            return Ok(());
        }
        Err(Refusal::Member {
            member,
            what,
            found,
            low,
            high,
        })
    };
    let share = i64::from(limits::SHARE);
    within("share", i64::from(of.share), 1, share)?;
    within("balance", of.balance, -limits::BALANCE, limits::BALANCE)?;
    let rest = i64::from(limits::REST_DAYS);
    within("rest in days", i64::from(of.rest_days), 0, rest)?;
    let most = i64::from(limits::MOST_IN_28_DAYS);
    let found = i64::from(of.most_in_28_days.unwrap_or(0));
    within("most turns in 28 days", found, 0, most)?;
    for wish in of.wishes {
        within("wish", i64::from(wish), -1, 1)?;
    }
    for day in &of.past {
        let back = i64::from(limits::PAST_DAYS);
        within("day of an earlier turn", i64::from(*day), -back, -1)?;
    }
    for (first, last) in &of.absences {
        if last < first {
            return Err(Refusal::AbsenceBackwards {
                member,
                first: *first,
                last: *last,
            });
        }
    }
    for bin in &of.bins {
        known_bin(input, "members", member.0, *bin)?;
    }
    Ok(())
}

fn check_turn(input: &Input, turn: TurnIndex, of: &TurnInput) -> Result<(), Refusal> {
    let within = |what, found, low, high| {
        if (low..=high).contains(&found) {
            return Ok(());
        }
        Err(Refusal::Turn {
            turn,
            what,
            found,
            low,
            high,
        })
    };
    let places = i64::from(limits::PLACES);
    within("places", i64::from(of.places), 1, places)?;
    within("effort", i64::from(of.effort), 1, i64::from(limits::EFFORT))?;
    within("day", i64::from(of.day), 0, i64::from(input.days) - 1)?;
    known_bin(input, "turns", turn.0, of.bin)
}
