//! What is printed on paper with a code: each line a sentence.

use super::voice::Voice;
use chrono::{DateTime, Utc};

impl Voice {
    /// The sheet with which people ask to join a site.
    #[must_use]
    pub fn joining_sheet(
        &self,
        site: &str,
        code: &str,
        until: DateTime<Utc>,
        now: DateTime<Utc>,
    ) -> Vec<String> {
        let site = self.say("quoted", [("name", site.into())]);
        let parts = [
            self.say("sheet-what", [("site", site.into())]),
            self.say("sheet-how", [("code", code.into())]),
            self.say("sheet-then", []),
            self.works_until(until, now),
        ];
        parts.iter().map(|part| self.sentence(part)).collect()
    }

    /// The slip that signs somebody in once.
    #[must_use]
    pub fn slip(
        &self,
        site: &str,
        name: Option<&str>,
        code: &str,
        until: DateTime<Utc>,
        now: DateTime<Utc>,
    ) -> Vec<String> {
        let site = self.say("quoted", [("name", site.into())]);
        let what = match name {
            Some(name) => self.say(
                "slip-what-for",
                [("site", site.into()), ("name", name.into())],
            ),
            None => self.say("slip-what", [("site", site.into())]),
        };
        let parts = [
            what,
            self.say("slip-how", [("code", code.into())]),
            self.say("slip-care", []),
            self.works_until(until, now),
        ];
        parts.iter().map(|part| self.sentence(part)).collect()
    }

    /// What stands on a bin's lid.
    #[must_use]
    pub fn lid(&self, site: &str, bin: &str, code: &str) -> Vec<String> {
        let quoted = |name: &str| self.say("quoted", [("name", name.into())]);
        let (site, bin) = (quoted(site), quoted(bin));
        let parts = [
            self.say("lid-what", [("site", site.into()), ("bin", bin.into())]),
            self.say("lid-how", [("code", code.into())]),
        ];
        parts.iter().map(|part| self.sentence(part)).collect()
    }

    /// A date and never "today": paper is read later.
    fn works_until(&self, until: DateTime<Utc>, now: DateTime<Utc>) -> String {
        let date = self.date(until, now);
        self.say("code-until", [("date", date.into())])
    }
}
