//! Sharing out the turns of a class by the planner: pupils are its members, each with the same
//! share, who bring along the effort that they had in this school year.

use super::DeskError;
use super::duty_at_hand::{DutyAtHand, DutyTurn};
use chrono::NaiveDate;
use std::ops::Range;
use wormrota_domain::ids::{PlaceId, PupilId};
use wormrota_domain::rota::index::{BinIndex, Day, PupilIndex, TurnIndex};
use wormrota_domain::rota::input::{MemberInput, TurnInput};
use wormrota_domain::rota::{Input, Plan, Planner, Refusal, Snapshot};

/// Steps of the planner, a hundredth of a millisecond each: some hundred milliseconds.
const STEPS: u64 = 30_000;
/// The same turns and pupils get the same duty.
const SEED: u64 = 1;
/// What every pupil's share is: all are alike.
const SHARE: u32 = 1;

/// A plan with what it was made from: by position, so that it holds for whatever looks the same.
pub(super) struct Drawn {
    from: Input,
    plan: Plan,
}

/// Draws a plan for the free places of the turns at these positions; none where there are none.
pub(super) async fn drawn(
    at_hand: &DutyAtHand,
    within: Range<usize>,
) -> Result<Option<Drawn>, DeskError> {
    match input(at_hand, &open(at_hand, within)) {
        Some(input) => Ok(Some(draw(input).await?)),
        None => Ok(None),
    }
}

/// Who gets which free place of the turns at these positions, by the plan that was drawn before
/// the locks were taken. It is drawn anew if it was made from anything else than what is there
/// behind them.
pub(super) async fn planned(
    at_hand: &DutyAtHand,
    within: Range<usize>,
    ahead: Option<Drawn>,
) -> Result<Vec<(PlaceId, PupilId)>, DeskError> {
    let open = open(at_hand, within);
    let Some(input) = input(at_hand, &open) else {
        return Ok(Vec::new());
    };
    let drawn = match ahead.filter(|ahead| ahead.from == input) {
        Some(ahead) => ahead,
        None => draw(input).await?,
    };
    let mut chosen = Vec::new();
    for (at, turn) in open.into_iter().enumerate() {
        let on = drawn.plan.members_on(TurnIndex(at));
        let come = on.iter().map(|member| PupilIndex(member.0)).collect();
        chosen.extend(at_hand.given(turn.free().collect(), come));
    }
    Ok(chosen)
}

/// The turns at these positions that have a free place.
fn open(at_hand: &DutyAtHand, within: Range<usize>) -> Vec<&DutyTurn> {
    at_hand.turns[within]
        .iter()
        .filter(|turn| turn.free().next().is_some())
        .collect()
}

async fn draw(from: Input) -> Result<Drawn, DeskError> {
    let input = from.clone();
    // It would keep a thread from answering others.
    let plan = tokio::task::spawn_blocking(move || plan(input))
        .await
        .map_err(|error| DeskError::broken(format!("planning a class's duty: {error}")))?
        .map_err(|refusal| DeskError::broken(format!("a class's duty: {refusal}")))?;
    Ok(Drawn { from, plan })
}

fn plan(input: Input) -> Result<Plan, Refusal> {
    let mut planner = Planner::new(Snapshot::parse(input)?, SEED)?;
    planner.run(STEPS);
    Ok(planner.plan())
}

/// The free places as the planner sees them. Who has a place of a day already is away on it:
/// nobody has two turns a day.
fn input(at_hand: &DutyAtHand, open: &[&DutyTurn]) -> Option<Input> {
    let (first, last) = (open.first()?.row.on_date, open.last()?.row.on_date);
    let day = |date: NaiveDate| Day::try_from((date - first).num_days()).unwrap_or(Day::MAX);
    let count = |places: usize| u32::try_from(places).unwrap_or(0);
    let busy = at_hand.busy();
    let mut days: Vec<NaiveDate> = open.iter().map(|turn| turn.row.on_date).collect();
    days.dedup();
    let away = |pupil: PupilIndex| -> Vec<(Day, Day)> {
        days.iter()
            .filter(|date| at_hand.is_away(pupil, **date) || busy.contains(&(pupil, **date)))
            .map(|date| (day(*date), day(*date)))
            .collect()
    };
    Some(Input {
        days: u32::try_from(day(last) + 1).unwrap_or(0),
        bins: 1,
        members: (0..at_hand.pupils.len())
            .map(|at| MemberInput {
                weekdays: [true; 7],
                absences: away(PupilIndex(at)),
                bins: vec![BinIndex(0)],
                most_in_28_days: None,
                rest_days: 0,
                share: SHARE,
                balance: had(at_hand, PupilIndex(at)),
                wishes: [0; 7],
                experienced: false,
                not_alone: false,
                past: Vec::new(),
            })
            .collect(),
        turns: open
            .iter()
            .map(|turn| TurnInput {
                bin: BinIndex(0),
                day: day(turn.row.on_date),
                places: count(turn.free().count()),
                effort: u32::try_from(turn.row.effort).unwrap_or(1),
            })
            .collect(),
        ..Input::default()
    })
}

/// The effort that a pupil had, or has a place for, in this school year. Who came later owes
/// nothing for the time before: it counts as if they had had as much as the others.
fn had(at_hand: &DutyAtHand, pupil: PupilIndex) -> i64 {
    let since = at_hand.since.get(pupil.0).copied();
    let were_there = (at_hand.since.iter())
        .filter(|other| since.is_some_and(|since| **other < since))
        .count();
    let (mut own, mut before) = (0, 0);
    for turn in &at_hand.turns {
        let effort = i64::from(turn.row.effort);
        let on = at_hand.on(turn);
        if on.contains(&pupil) {
            own += effort;
        }
        if since.is_some_and(|since| turn.row.on_date < since) {
            before += effort * i64::try_from(on.len()).unwrap_or(0);
        }
    }
    own + before / i64::try_from(were_there.max(1)).unwrap_or(1)
}
