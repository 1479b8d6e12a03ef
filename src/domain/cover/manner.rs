//! How a site goes about asking: named settings, and the tempo that follows from the time left.

use chrono::{DateTime, TimeDelta, Utc};

/// How people are asked. All defaults are common practice, no source, unless said otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Manner {
    /// How long before the last moment the caretaker is told at the latest.
    pub lead: TimeDelta,
    /// How long before the turn a place that was taken can be given back.
    pub settled: TimeDelta,
    /// How long somebody has to answer where there is much time; halved as the time runs out.
    pub longest_answer: TimeDelta,
    /// Where not even four times so long are left, all are asked at once.
    pub shortest_answer: TimeDelta,
    /// Waking hours that everybody has to answer, as far as there is time for them.
    pub awake: TimeDelta,
    /// How many are asked at a time at the least.
    pub least_at_once: usize,
    /// How often one person is asked in any 7 days at the most, over all calls.
    pub most_in_a_week: usize,
    /// How much later a wish moves somebody who would rather not, in thousandths of effort.
    pub wish_milli: i64,
    /// How much later each time that they were asked in four weeks moves somebody.
    pub asked_milli: i64,
}

impl Default for Manner {
    fn default() -> Self {
        Self {
            lead: TimeDelta::hours(24),
            settled: TimeDelta::hours(24),
            longest_answer: TimeDelta::hours(48),
            shortest_answer: TimeDelta::hours(3),
            awake: TimeDelta::hours(2),
            least_at_once: 2,
            most_in_a_week: 2,
            wish_milli: 1_000,
            asked_milli: 500,
        }
    }
}

/// Rounds that there must be time for, or people get half as long to answer.
const ROUNDS: i32 = 4;

/// How many are asked at a time, and how long they have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tempo {
    /// How many.
    pub at_once: usize,
    /// How long.
    pub answer: TimeDelta,
}

impl Manner {
    /// The tempo at which so many people are asked from now on, so that everybody has been asked
    /// before the end. `quiet` gives the end of the quiet hours that an instant lies in.
    ///
    /// With less time never fewer are asked in an hour, but for what quiet hours take. While the
    /// time to answer stays, fewer rounds fit, and so more are asked in each. Where it halves, at
    /// most twice as many rounds fit as before, and so at least half as many are asked in each,
    /// twice as often.
    #[must_use]
    pub fn tempo(
        &self,
        (now, end): (DateTime<Utc>, DateTime<Utc>),
        people: usize,
        quiet: impl Fn(DateTime<Utc>) -> Option<DateTime<Utc>>,
    ) -> Tempo {
        let mut answer = self.longest_answer;
        while answer * ROUNDS > end - now && answer > self.shortest_answer {
            answer = answer / 2;
        }
        let mut rounds = 0;
        if answer >= self.shortest_answer && answer * ROUNDS <= end - now {
            let mut at = self.answer_by(now, answer, &quiet);
            // More rounds than people are no use.
            while at <= end && rounds < people {
                rounds += 1;
                at = self.answer_by(at, answer, &quiet);
            }
        }
        Tempo {
            at_once: people.div_ceil(rounds.max(1)).max(self.least_at_once),
            answer: answer.max(self.shortest_answer),
        }
    }

    /// Until when somebody has to answer who is asked now: never within quiet hours, and with
    /// some waking hours at the least. `quiet` gives the end of the quiet hours that an instant
    /// lies in.
    #[must_use]
    pub fn answer_by(
        &self,
        now: DateTime<Utc>,
        answer: TimeDelta,
        quiet: impl Fn(DateTime<Utc>) -> Option<DateTime<Utc>>,
    ) -> DateTime<Utc> {
        let by = (now + answer).max(awake_for(now, self.awake.min(answer), &quiet));
        quiet(by).unwrap_or(by)
    }
}

/// Waking time is counted in steps of this.
const STEP: TimeDelta = TimeDelta::minutes(15);

/// The instant at which so much time outside quiet hours has passed.
fn awake_for(
    now: DateTime<Utc>,
    mut left: TimeDelta,
    quiet: impl Fn(DateTime<Utc>) -> Option<DateTime<Utc>>,
) -> DateTime<Utc> {
    let mut at = now;
    while left > TimeDelta::zero() {
        let step = STEP.min(left);
        if let Some(end) = quiet(at) {
            // Quiet hours that are over before they end would never let go.
            at = end.max(at + step);
        } else {
            at += step;
            left -= step;
        }
    }
    at
}
