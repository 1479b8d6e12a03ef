//! How much the planner takes. Anything above is refused before any work is done.
//!
//! The limits are ours (common practice, no source): about ten times the largest site we
//! plan for, small enough that memory and time stay bounded.

/// The most members.
pub const MEMBERS: u64 = 10_000;
/// The most turns.
pub const TURNS: u64 = 50_000;
/// The most bins.
pub const BINS: u64 = 2_000;
/// The longest span in days: ten years.
pub const DAYS: u32 = 3_653;
/// The most places of one turn.
pub const PLACES: u32 = 100;
/// The most effort of one turn.
pub const EFFORT: u32 = 1_000;
/// The largest share, in the unit of all shares of one input.
pub const SHARE: u32 = 400;
/// The largest least common multiple of all shares.
pub const SHARES: u64 = 5_000_000;
/// The largest balance, above or below zero.
pub const BALANCE: i64 = 1_000_000;
/// The most free days between two turns.
pub const REST_DAYS: u32 = 366;
/// The largest number that may stand as the most turns in 28 days.
pub const MOST_IN_28_DAYS: u32 = 1_000;
/// The most absences of a member.
pub const ABSENCES: u64 = 1_000;
/// The most earlier turns of a member.
pub const PAST: u64 = 1_000;
/// How many days back an earlier turn may lie.
pub const PAST_DAYS: i32 = 3_653;
/// The most pairs kept apart.
pub const APART: u64 = 100_000;
/// The most pupils of a class that takes turns in order.
pub const PUPILS: u64 = 1_000;
/// The most pairs of a member and a turn that they may be on.
pub const PAIRS: u64 = 10_000_000;
