//! How a site goes about asking: named settings, and the tempo that follows from the time left.

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};

/// How people are asked. All defaults are common practice, no source, unless said otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Manner {
    /// How long before the last moment the caretaker is told at the latest.
    pub lead: TimeDelta,
    /// How long somebody has to answer where there is much time; halved as the time runs out.
    pub longest_answer: TimeDelta,
    /// Where not even four times so long are left, all are asked at once.
    pub shortest_answer: TimeDelta,
    /// Waking hours that everybody has to answer, as far as there is time for them.
    pub awake: TimeDelta,
    /// How many are asked at a time at the least: with one, each no would cost the whole pause.
    pub least_at_once: usize,
    /// How many are asked in all about a turn that the bin can do without: three small rounds. Who
    /// is asked about what is no loss reads the next letter less well.
    pub most_if_not_needed: usize,
    /// Who is away from so many days after a turn on is not asked about it: they have their hands
    /// full, and a yes that is given back costs more time than it gained.
    pub days_before_leaving: i64,
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
            longest_answer: TimeDelta::hours(48),
            shortest_answer: TimeDelta::hours(3),
            awake: TimeDelta::hours(2),
            least_at_once: 2,
            most_if_not_needed: 6,
            days_before_leaving: 1,
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
        let answer = self.answer_within(end - now);
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

    /// The tempo at which people are asked about a turn that the bin can do without: few, however
    /// little time is left.
    #[must_use]
    pub fn calm_tempo(&self, (now, end): (DateTime<Utc>, DateTime<Utc>)) -> Tempo {
        Tempo {
            at_once: self.least_at_once,
            answer: self.answer_within(end - now).max(self.shortest_answer),
        }
    }

    /// From when on somebody must be looked for at the latest who is to come by an instant, so
    /// that people have as long to answer as they may.
    #[must_use]
    pub fn begin_at(&self, last_moment: DateTime<Utc>) -> DateTime<Utc> {
        last_moment - self.lead - self.longest_answer * ROUNDS
    }

    /// Whether somebody who is away from a day on leaves too soon after a turn to be asked about
    /// it. That nobody is asked who is away on its day is a rule of the rota.
    #[must_use]
    pub fn leaves_too_soon(&self, turn: NaiveDate, away_from: NaiveDate) -> bool {
        (0..=self.days_before_leaving).contains(&(away_from - turn).num_days())
    }

    /// How long people have to answer where so much time is left: all of it where there is time
    /// for some rounds, and half as long each time that there is not. Where not even the
    /// shortest goes in, less than that.
    fn answer_within(&self, left: TimeDelta) -> TimeDelta {
        let mut answer = self.longest_answer;
        while answer * ROUNDS > left && answer > self.shortest_answer {
            answer = answer / 2;
        }
        answer
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
