//! The parts of a recurrence rule, and the codes of what can be wrong with each.

use crate::coded::coded;

coded! {
    /// How often, in days or coarser.
    Frequency {
        /// Every day.
        Daily = "DAILY",
        /// Every week.
        Weekly = "WEEKLY",
        /// Every month.
        Monthly = "MONTHLY",
        /// Every year.
        Yearly = "YEARLY",
    }
}

/// One table, so that a part has all its codes and they cannot drift apart.
macro_rules! parts {
    ($($(#[$doc:meta])* $part:ident = $name:literal, $code:literal;)+) => {
        /// A part of a recurrence rule (RFC 5545, 3.3.10).
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
        pub enum Part {
            $($(#[$doc])* $part),+
        }

        impl Part {
            /// Every part, in the order of the standard.
            pub const ALL: &'static [Self] = &[$(Self::$part),+];

            /// The name in a rule, such as `BYDAY`.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$part => $name),+ }
            }

            pub(super) const fn value_code(self) -> &'static str {
                match self { $(Self::$part => concat!($code, "_value")),+ }
            }

            pub(super) const fn twice_code(self) -> &'static str {
                match self { $(Self::$part => concat!($code, "_twice")),+ }
            }

            pub(super) const fn frequency_code(self) -> &'static str {
                match self { $(Self::$part => concat!($code, "_frequency")),+ }
            }

            pub(super) const fn too_fine_code(self) -> &'static str {
                match self { $(Self::$part => concat!($code, "_too_fine")),+ }
            }

            pub(super) const fn week_number_code(self) -> &'static str {
                match self { $(Self::$part => concat!($code, "_with_byweekno")),+ }
            }
        }
    };
}

parts! {
    /// How often.
    Freq = "FREQ", "freq";
    /// The last day.
    Until = "UNTIL", "until";
    /// How many days.
    Count = "COUNT", "count";
    /// Every how many days, weeks, months or years.
    Interval = "INTERVAL", "interval";
    /// Seconds.
    BySecond = "BYSECOND", "bysecond";
    /// Minutes.
    ByMinute = "BYMINUTE", "byminute";
    /// Hours.
    ByHour = "BYHOUR", "byhour";
    /// Days of the week, perhaps numbered.
    ByDay = "BYDAY", "byday";
    /// Days of the month, counted from its end if negative.
    ByMonthDay = "BYMONTHDAY", "bymonthday";
    /// Days of the year, counted from its end if negative.
    ByYearDay = "BYYEARDAY", "byyearday";
    /// Weeks of the year, counted from its end if negative.
    ByWeekNo = "BYWEEKNO", "byweekno";
    /// Months.
    ByMonth = "BYMONTH", "bymonth";
    /// Which days of those that the rule gives in a period.
    BySetPos = "BYSETPOS", "bysetpos";
    /// On which day weeks start.
    Wkst = "WKST", "wkst";
}

impl Part {
    /// The part with this name; case does not matter (RFC 5545, 2).
    pub(super) fn named(name: &str) -> Option<Self> {
        Self::ALL
            .iter()
            .copied()
            .find(|part| part.name().eq_ignore_ascii_case(name))
    }
}
