//! What an empty turn does to the later ones, and to the bin if nobody comes at all.

use super::course::{Bin, ComingTurn, Course};
use super::need::{Need, Verdict, need};
use crate::units::Fraction;
use chrono::{DateTime, Utc};

/// A later turn that matters in another way once an earlier one stays empty.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Changed {
    /// Its position among the turns.
    pub turn: usize,
    /// Whether it would have to happen if somebody came to the earlier one.
    pub from: Verdict,
    /// Whether it has to happen now.
    pub to: Verdict,
}

/// How a bin is at an instant to which nobody has come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Alone {
    /// The instant.
    pub at: DateTime<Utc>,
    /// The worms alive, of those alive now.
    pub worms: Fraction,
    /// They lose mass for want of food.
    pub hungry: bool,
    /// Its bed dries out.
    pub drying: bool,
}

/// Whether each turn must happen, if one of those who hold it stayed away and all others came:
/// what has to be asked again after every turn that is left empty, which counts as held by
/// nobody. Turns as for [`need`].
#[must_use]
pub fn needs(bin: &Bin<'_>, turns: &[ComingTurn]) -> Vec<Need> {
    let all = 0..turns.len();
    all.filter_map(|at| need(bin, &one_less(turns, at), at))
        .collect()
}

/// Whether each of these places must be covered that somebody gives up together, by the positions
/// of their turns, which must rise: they count as free until they were asked about, then as held
/// if they are needed. So what is needed is as early as can be, and there is time to ask about
/// the later ones again if nobody is found.
#[must_use]
pub fn given_up(bin: &Bin<'_>, turns: &[ComingTurn], places: &[usize]) -> Vec<Need> {
    let mut turns = turns.to_vec();
    let mut found = Vec::with_capacity(places.len());
    for &at in places {
        let Some(need) = need(bin, &turns, at) else {
            continue;
        };
        if need.verdict == Verdict::Needed {
            turns[at].held += 1;
        }
        found.push(need);
    }
    found
}

/// The first later turn that matters in another way when the turn at this position stays as it
/// is rather than have one more person on it.
#[must_use]
pub fn first_changed(bin: &Bin<'_>, turns: &[ComingTurn], empty: usize) -> Option<Changed> {
    let mut held = turns.to_vec();
    held.get_mut(empty)?.held += 1;
    let verdict = |turns: &[ComingTurn], at| {
        let need = need(bin, &one_less(turns, at), at)?;
        Some(need.verdict)
    };
    (empty + 1..turns.len()).find_map(|turn| {
        let (from, to) = (verdict(&held, turn)?, verdict(turns, turn)?);
        (from != to).then_some(Changed { turn, from, to })
    })
}

/// How the bin is at these later moments, which must rise, if after the sure turns before the
/// one at this position nobody comes any more.
#[must_use]
pub fn left_alone(
    bin: &Bin<'_>,
    turns: &[ComingTurn],
    empty: usize,
    moments: &[DateTime<Utc>],
) -> Vec<Alone> {
    let mut course = Course::begin(*bin).through(turns.iter().take(empty));
    let now = libm::fmax(bin.state.vitals.worms_kg, f64::MIN_POSITIVE);
    let dry_after = bin.habitat.settings.unattended_days;
    let at = |&at: &DateTime<Utc>| {
        course.pass(at);
        let vitals = course.state().vitals;
        Alone {
            at,
            worms: Fraction(vitals.worms_kg / now),
            hungry: vitals.hunger >= 1.0,
            drying: vitals.unattended >= dry_after,
        }
    };
    moments.iter().map(at).collect()
}

/// The turns with one person less on the one at this position.
fn one_less(turns: &[ComingTurn], at: usize) -> Vec<ComingTurn> {
    let mut turns = turns.to_vec();
    if let Some(turn) = turns.get_mut(at) {
        turn.held = turn.held.saturating_sub(1);
    }
    turns
}
