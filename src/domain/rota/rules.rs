//! The hard rules: each a function with its reason, all of them in one table.

use super::index::{BinIndex, Day, MemberIndex, TurnIndex, weekday};
use super::plan::Plan;
use super::snapshot::Snapshot;
use crate::coded::coded;
use std::fmt;

coded! {
    /// A rule that no plan breaks.
    HardRule {
        /// The weekday works for the member.
        Weekday = "weekday",
        /// The member is not away.
        Absence = "absence",
        /// The member is trained for the bin.
        Trained = "trained",
        /// Enough free days lie between two turns.
        Rest = "rest",
        /// Not too many turns in any 28 days.
        MostIn28Days = "most_in_28_days",
        /// The turn has a place left.
        Places = "places",
        /// Who is not to be alone has somebody experienced beside them.
        NotAlone = "not_alone",
        /// A pair that is kept apart does not meet.
        Apart = "apart",
        /// A day that may not change any more stays as it is.
        Open = "open",
    }
}

/// Which rule would break, with its numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Broken {
    /// The weekday does not work for the member.
    Weekday {
        /// 0 is Monday.
        weekday: usize,
    },
    /// The member is away.
    Absence {
        /// First day of the absence.
        first: Day,
        /// Last day of the absence.
        last: Day,
    },
    /// The member is not trained for the bin.
    Trained {
        /// The bin.
        bin: BinIndex,
    },
    /// Another turn of the member lies too near.
    Rest {
        /// The day of the other turn.
        other: Day,
        /// The free days that the member needs.
        rest_days: u32,
    },
    /// The member would have too many turns in 28 days.
    MostIn28Days {
        /// First day of the first turn of those that are too many.
        first: Day,
        /// Day of the last of them.
        last: Day,
        /// The most allowed.
        most: u32,
    },
    /// The turn has no place left.
    Places {
        /// How many it takes.
        places: u32,
    },
    /// Nobody experienced would be on the turn.
    NotAlone {
        /// Who would be there without: the member asked about, or one already there.
        member: MemberIndex,
    },
    /// Somebody is on the turn whom the member is kept apart from.
    Apart {
        /// Who.
        other: MemberIndex,
    },
    /// The day may not change any more.
    Open {
        /// The first day that may.
        first_open_day: Day,
    },
}

impl Broken {
    /// The rule that breaks.
    #[must_use]
    pub const fn rule(&self) -> HardRule {
        match self {
            Self::Weekday { .. } => HardRule::Weekday,
            Self::Absence { .. } => HardRule::Absence,
            Self::Trained { .. } => HardRule::Trained,
            Self::Rest { .. } => HardRule::Rest,
            Self::MostIn28Days { .. } => HardRule::MostIn28Days,
            Self::Places { .. } => HardRule::Places,
            Self::NotAlone { .. } => HardRule::NotAlone,
            Self::Apart { .. } => HardRule::Apart,
            Self::Open { .. } => HardRule::Open,
        }
    }
}

impl fmt::Display for Broken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let code = self.rule().code();
        match self {
            Self::Weekday { weekday } => write!(f, "{code} (weekday {weekday})"),
            Self::Absence { first, last } => write!(f, "{code} (days {first} to {last})"),
            Self::Trained { bin } => write!(f, "{code} (bin {bin})"),
            Self::Rest { other, rest_days } => {
                write!(f, "{code} ({rest_days} free days, a turn on day {other})")
            }
            Self::MostIn28Days { first, last, most } => {
                write!(f, "{code} (more than {most} from day {first} to {last})")
            }
            Self::Places { places } => write!(f, "{code} ({places})"),
            Self::NotAlone { member } => write!(f, "{code} (member {member})"),
            Self::Apart { other } => write!(f, "{code} (member {other})"),
            Self::Open { first_open_day } => write!(f, "{code} (from day {first_open_day})"),
        }
    }
}

/// Somebody who is, or would be, on a turn of a plan.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// What is known.
    pub snapshot: &'a Snapshot,
    /// The plan as it stands.
    pub plan: &'a Plan,
    /// Who.
    pub member: MemberIndex,
    /// Which turn.
    pub turn: TurnIndex,
}

/// One rule as a function: what would break, if anything.
pub type Check = fn(&Asked<'_>) -> Option<Broken>;

/// Every hard rule. What is not in here is no hard rule.
pub const TABLE: &[(HardRule, Check)] = &[
    (HardRule::Weekday, weekday_works),
    (HardRule::Absence, not_away),
    (HardRule::Trained, trained),
    (HardRule::Rest, rested),
    (HardRule::MostIn28Days, not_too_many),
    (HardRule::Places, place_left),
    (HardRule::NotAlone, not_alone),
    (HardRule::Apart, apart),
    (HardRule::Open, open),
];

/// Every rule that would break with the member on the turn, whether they are on it already
/// or not. Nothing is in the way when it is empty.
#[must_use]
pub fn broken(
    snapshot: &Snapshot,
    plan: &Plan,
    member: MemberIndex,
    turn: TurnIndex,
) -> Vec<Broken> {
    let asked = Asked {
        snapshot,
        plan,
        member,
        turn,
    };
    TABLE.iter().filter_map(|(_, rule)| rule(&asked)).collect()
}

fn weekday_works(asked: &Asked<'_>) -> Option<Broken> {
    let weekday = weekday(asked.snapshot.turn(asked.turn).day);
    (!asked.snapshot.member(asked.member).weekdays[weekday]).then_some(Broken::Weekday { weekday })
}

fn not_away(asked: &Asked<'_>) -> Option<Broken> {
    let day = asked.snapshot.turn(asked.turn).day;
    let away = &asked.snapshot.member(asked.member).absences;
    let (first, last) = *away.iter().find(|(a, b)| (*a..=*b).contains(&day))?;
    Some(Broken::Absence { first, last })
}

fn trained(asked: &Asked<'_>) -> Option<Broken> {
    let bin = asked.snapshot.turn(asked.turn).bin;
    (!asked.snapshot.member(asked.member).bins.contains(&bin)).then_some(Broken::Trained { bin })
}

/// The days of the member's turns, earlier ones included, without the turn asked about.
fn other_days(asked: &Asked<'_>) -> Vec<Day> {
    let member = asked.snapshot.member(asked.member);
    let mut days = member.past.clone();
    days.extend(
        asked
            .plan
            .turns_of(asked.member)
            .iter()
            .filter(|turn| **turn != asked.turn)
            .map(|turn| asked.snapshot.turn(*turn).day),
    );
    days.sort_unstable();
    days
}

fn rested(asked: &Asked<'_>) -> Option<Broken> {
    let day = asked.snapshot.turn(asked.turn).day;
    let rest_days = asked.snapshot.member(asked.member).rest_days;
    let other = other_days(asked)
        .into_iter()
        .find(|other| day.abs_diff(*other) <= rest_days)?;
    Some(Broken::Rest { other, rest_days })
}

fn not_too_many(asked: &Asked<'_>) -> Option<Broken> {
    let most = asked.snapshot.member(asked.member).most_in_28_days?;
    let day = asked.snapshot.turn(asked.turn).day;
    let mut days = other_days(asked);
    days.push(day);
    days.sort_unstable();
    let span = usize::try_from(most).ok()?;
    days.iter()
        .zip(days.iter().skip(span))
        .find(|(first, last)| **last - **first < 28 && (**first..=**last).contains(&day))
        .map(|(first, last)| Broken::MostIn28Days {
            first: *first,
            last: *last,
            most,
        })
}

fn place_left(asked: &Asked<'_>) -> Option<Broken> {
    let places = asked.snapshot.turn(asked.turn).places;
    let others = others(asked).count();
    (u32::try_from(others).map_or(true, |taken| taken >= places))
        .then_some(Broken::Places { places })
}

fn others<'a>(asked: &'a Asked<'_>) -> impl Iterator<Item = MemberIndex> + 'a {
    asked
        .plan
        .members_on(asked.turn)
        .iter()
        .copied()
        .filter(|other| *other != asked.member)
}

fn not_alone(asked: &Asked<'_>) -> Option<Broken> {
    let who = || others(asked).chain([asked.member]);
    if who().any(|member| asked.snapshot.member(member).experienced) {
        return None;
    }
    who()
        .find(|member| asked.snapshot.member(*member).not_alone)
        .map(|member| Broken::NotAlone { member })
}

fn apart(asked: &Asked<'_>) -> Option<Broken> {
    others(asked)
        .find(|other| asked.snapshot.apart(asked.member, *other))
        .map(|other| Broken::Apart { other })
}

fn open(asked: &Asked<'_>) -> Option<Broken> {
    let first_open_day = asked.snapshot.first_open_day()?;
    let stays = asked.snapshot.is_kept((asked.member, asked.turn));
    (asked.snapshot.turn(asked.turn).day < first_open_day && !stays)
        .then_some(Broken::Open { first_open_day })
}
