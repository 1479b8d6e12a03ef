//! What is said about a turn that somebody cannot come to.

use super::bin_course::KeptNeed;
use wormrota_domain::cover::need::Verdict;
use wormrota_domain::cover::recheck::Alone;
use wormrota_domain::phrase::{Phrase, Value};

/// Whether a bin needs a turn, as a sentence. Without a forecast it says from when on there is
/// one.
#[must_use]
pub fn need_said(bin: &str, need: Option<&KeptNeed>) -> Phrase {
    let Some(need) = need else {
        return Phrase::of("cover-need-unknown").with_text("bin", bin);
    };
    Phrase::of(match need.verdict {
        Verdict::Needed if need.is_dry => "cover-needed-dry",
        Verdict::Needed => "cover-needed",
        Verdict::Helpful => "cover-helpful",
        Verdict::NotNeeded => "cover-not-needed",
    })
    .with_text("bin", bin)
    .with("reason", Value::Code(need.reason.code()))
    .with("until", Value::Until(need.deadline))
}

/// How a bin is at a moment if nobody comes, as a sentence.
#[must_use]
pub fn alone_said(alone: &Alone) -> Phrase {
    let state = match (alone.hungry, alone.drying) {
        (false, false) => "well",
        (true, false) => "hungry",
        (false, true) => "drying",
        (true, true) => "both",
    };
    // More than there are now are still all of them; a few left are not none.
    let percent = (alone.worms.0.clamp(0.0, 1.0) * 100.0).ceil();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "from 0 to 100"
    )]
    let percent = percent as u64;
    let left = Phrase::of("cover-worms-left").with("percent", Value::Count(percent));
    Phrase::of("cover-alone")
        .with("date", Value::Date(alone.at))
        .with("state", Value::Code(state))
        .with("left", Value::Phrase(Box::new(left)))
}
