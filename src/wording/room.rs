//! What a bin can take, and which rule binds.

use super::amounts::{Rounding, worth_saying};
use super::measures::densest;
use super::voice::Voice;
use chrono::{DateTime, Utc};
use wormrota_domain::living_bin::outlook::Room;
use wormrota_domain::units::Grams;

impl Voice {
    /// An amount of ordinary scraps, in mass and in the site's best measure, both rounded down:
    /// "400 g (half of the caddy)".
    #[must_use]
    pub fn ordinary(&self, amount: Grams) -> String {
        self.portion(amount, densest(std::iter::empty()))
    }

    /// What a bin can take at a moment, as it reads at `now`, in one sentence: in mass and
    /// in the site's measure of ordinary scraps, both rounded down, and the rule that binds.
    ///
    /// `bin` is its name, where the reader sees several. `temperature_assumed` says that
    /// nobody measured the bed.
    #[must_use]
    pub fn room(
        &self,
        room: &Room,
        bin: Option<&str>,
        temperature_assumed: bool,
        at: DateTime<Utc>,
        now: DateTime<Utc>,
    ) -> String {
        let bin = match bin {
            Some(name) => self.say("quoted", [("name", name.into())]),
            None => self.say("the-bin", []),
        };
        let on = self.on_day(at, now);
        let binds = self.binds(room.bound_by());
        let can = worth_saying(room.amount).map(|amount| {
            let measure = self.best_measure(amount, densest(std::iter::empty()));
            let measure = measure.map(|filled| self.filled(filled));
            (self.amount(amount, Rounding::Down), measure)
        });
        let part = match can {
            Some((amount, Some(measure))) => self.say(
                "room-in-measure",
                [
                    ("bin", bin.into()),
                    ("amount", amount.into()),
                    ("measure", measure.into()),
                    ("on", on.into()),
                    ("binds", binds.into()),
                ],
            ),
            Some((amount, None)) => self.say(
                "room",
                [
                    ("bin", bin.into()),
                    ("amount", amount.into()),
                    ("on", on.into()),
                    ("binds", binds.into()),
                ],
            ),
            None => self.say(
                "room-none",
                [
                    ("bin", bin.into()),
                    ("on", on.into()),
                    ("binds", binds.into()),
                ],
            ),
        };
        let kept: Grams = room.kept.iter().map(|kept| kept.amount).sum();
        let part = match worth_saying(kept) {
            Some(kept) => {
                let kept = self.amount(kept, Rounding::Down);
                self.say(
                    "room-kept",
                    [("sentence", part.into()), ("kept", kept.into())],
                )
            }
            None => part,
        };
        self.sentence(&self.with_assumed(part, temperature_assumed))
    }
}
