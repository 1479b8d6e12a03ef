//! How good a rota is, and what is proven about it.

use super::voice::Voice;
use wormrota_domain::rota::planner::Standing;
use wormrota_domain::rota::score::Aim;

/// Above so many times the bound a number says nothing: distances ten times as large.
const MOST_TIMES: i64 = 100;
/// Tenths of a percent that a distance ten times as large, and a bit, is larger.
const MOST_TENTHS: i128 = 10_000;

impl Voice {
    /// What a rota reaches of one aim, beside the best that any could: a sentence that claims
    /// no more than what is proven.
    #[must_use]
    pub fn standing(&self, standing: &Standing) -> String {
        let part = match standing.aim {
            Aim::EmptyPlaces => self.few(
                standing,
                ["rota-empty-none", "rota-empty-least", "rota-empty-maybe"],
            ),
            Aim::Changes => self.few(
                standing,
                [
                    "rota-changes-none",
                    "rota-changes-least",
                    "rota-changes-maybe",
                ],
            ),
            Aim::Fairness => self.fairness(standing),
            Aim::Wishes => self.wishes(standing),
        };
        self.sentence(&part)
    }

    /// An aim of which less is better, told as none at all, as the least, or beside a bound.
    fn few(&self, standing: &Standing, [none, least, maybe]: [&str; 3]) -> String {
        let count = standing.value;
        if count == 0 {
            self.say(none, [])
        } else if standing.bound >= count {
            self.say(least, [("count", count.into())])
        } else {
            let bound = standing.bound.max(0);
            self.say(maybe, [("count", count.into()), ("bound", bound.into())])
        }
    }

    /// The number of the aim is a sum of squares, so distances from the fair share go with its
    /// root.
    fn fairness(&self, standing: &Standing) -> String {
        if standing.value == 0 {
            return self.say("rota-fair-exactly", []);
        }
        if standing.bound >= standing.value {
            return self.say("rota-fair-proven", []);
        }
        if standing.bound <= 0 || standing.value / standing.bound > MOST_TIMES {
            return self.say("rota-fair-unknown", []);
        }
        let percent = self.percent_above(standing.value, standing.bound);
        self.say("rota-fair-within", [("percent", percent.into())])
    }

    /// By how much the root of a number is above that of a smaller one, rounded up to tenths
    /// of a percent: it is said that it is at most so much.
    fn percent_above(&self, value: i64, bound: i64) -> String {
        // The least number of tenths whose square is enough, in whole numbers: a root that is
        // rounded could promise too much.
        let (value, bound) = (i128::from(value), i128::from(bound));
        let enough = |tenths: i128| {
            let above = 1_000 + tenths;
            above * above * bound >= 1_000_000 * value
        };
        let (mut low, mut high) = (0, MOST_TENTHS);
        while low < high {
            let middle = low.midpoint(high);
            (low, high) = if enough(middle) {
                (low, middle)
            } else {
                (middle + 1, high)
            };
        }
        self.say("percent", [("n", self.decimal(low).into())])
    }

    fn wishes(&self, standing: &Standing) -> String {
        let (count, bound) = (standing.value, standing.bound);
        if bound <= count {
            self.say("rota-wishes-most", [("count", signed(count).into())])
        } else {
            self.say(
                "rota-wishes-maybe",
                [
                    ("count", signed(count).into()),
                    ("bound", signed(bound).into()),
                ],
            )
        }
    }
}

/// A whole number with the minus sign that is printed, not a hyphen.
fn signed(number: i64) -> String {
    let digits = number.unsigned_abs();
    if number < 0 {
        format!("−{digits}")
    } else {
        digits.to_string()
    }
}
