//! What a look into a bin came to, and warnings of heat and cold.

use super::amounts::Rounding;
use super::voice::Voice;
use chrono::{DateTime, Utc};
use wormrota_domain::living_bin::care::Care;
use wormrota_domain::living_bin::gate::Gate;
use wormrota_domain::living_bin::warning::Warning;
use wormrota_domain::units::Grams;

impl Voice {
    /// What a check came to: thanks, whether the bin rests now, and what it can take.
    #[must_use]
    pub fn checked(
        &self,
        before: Gate,
        gate: Gate,
        found: Option<Grams>,
        room: Grams,
        now: DateTime<Utc>,
    ) -> String {
        let state = match (before, gate) {
            (Gate::Held { since: seen, .. }, Gate::Held { since, .. }) if seen == since => {
                self.say("checked-rests-still", [])
            }
            (_, Gate::Held { sign, .. }) => {
                let sign = self.say(&format!("sign-{}", sign.code()), []);
                self.say("checked-rests", [("sign", sign.into())])
            }
            (Gate::Held { .. }, Gate::Half { .. }) => self.say("checked-half", []),
            (Gate::Half { .. }, Gate::Half { .. }) => self.say("checked-half-still", []),
            (Gate::Held { .. } | Gate::Half { .. }, Gate::Open) => self.say("checked-open", []),
            (Gate::Open, Gate::Half { .. } | Gate::Open) => {
                let room = self.amount(room, Rounding::Down);
                let on = self.on_day(now, now);
                self.say("checked-room", [("room", room.into()), ("on", on.into())])
            }
        };
        let part = match found {
            Some(found) => {
                let found = self.amount(found, Rounding::Down);
                self.say(
                    "checked-found",
                    [("found", found.into()), ("state", state.into())],
                )
            }
            None => self.say("checked", [("state", state.into())]),
        };
        self.sentence(&part)
    }

    /// What to do about something that was seen.
    #[must_use]
    pub fn care(&self, care: Care) -> String {
        self.sentence(&self.say(&format!("care-{}", care.code()), []))
    }

    /// A warning with what to do.
    #[must_use]
    pub fn warning(&self, warning: &Warning, now: DateTime<Utc>) -> String {
        let bed = self.temperature(warning.bed);
        let on = self.on_day(warning.at, now);
        let surety = if warning.assumed {
            "assumed"
        } else {
            "measured"
        };
        let part = self.say(
            &format!("warning-{}", warning.kind.code()),
            [
                ("bed", bed.into()),
                ("on", on.into()),
                ("surety", surety.into()),
            ],
        );
        self.sentence(&part)
    }
}
