//! Whether a bin needs a turn, as JSON and in words.

use super::reader::voice_of;
use crate::desk::cover::{KeptNeed, alone_said, need_said};
use crate::desk::sites::words_of_site;
use crate::desk::{DeskError, Errand};
use crate::wording::{Names, Voice};
use chrono::{DateTime, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use wormrota_domain::cover::need::Verdict;
use wormrota_domain::cover::recheck::Alone;
use wormrota_domain::ids::{BinId, SiteId};

/// Whether the bin needs somebody on a turn, and what that was reckoned from.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = TurnNeed)]
pub struct NeedBody {
    /// Needed: somebody must come; helpful: the bin can do without, but something waits.
    #[schema(value_type = VerdictCode)]
    verdict: &'static str,
    /// Why, as a code.
    reason: &'static str,
    /// How many others come to the same turn.
    others: u32,
    /// The last instant at which somebody must have come; null where nobody must.
    deadline_at: Option<DateTime<Utc>>,
    /// When somebody looks after the bin for the last time before the turn.
    last_care_at: DateTime<Utc>,
    /// When the next one after the turn is sure to come; null if nobody is.
    next_care_at: Option<DateTime<Utc>>,
    /// When the bed begins to dry if nobody comes.
    dries_at: DateTime<Utc>,
    /// When hunger begins to take worms, if it does.
    hungry_at: Option<DateTime<Utc>>,
    /// The instant for which worms are compared.
    compared_at: DateTime<Utc>,
    /// The worms alive then, of those alive now, if somebody comes.
    worms_with_share: f64,
    /// The same if nobody does.
    worms_without_share: f64,
    /// Days that the bin can go without care.
    bears_days: f64,
    /// Days without care if the place stays empty; null if nobody is sure to come.
    gap_days: Option<f64>,
}

/// Whether somebody must come.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
enum VerdictCode {
    Needed,
    Helpful,
    NotNeeded,
}

/// How a bin is at a moment if nobody comes any more.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = LeftAlone)]
pub struct AloneBody {
    at: DateTime<Utc>,
    /// The worms alive, of those alive now.
    worms_share: f64,
    /// They lose mass for want of food.
    hungry: bool,
    /// Its bed dries out.
    drying: bool,
    /// The same for people.
    sentence: String,
}

/// How a site's sentences about needs are said.
pub(super) struct NeedVoice {
    voice: Voice,
    names: Names,
    now: DateTime<Utc>,
}

impl NeedVoice {
    /// That of a site, for who may read it.
    pub(super) async fn of(
        state: &super::AppState,
        errand: &Errand,
        site: SiteId,
    ) -> Result<Self, DeskError> {
        let words = words_of_site(&state.desk, errand.clone(), site).await?;
        let (voice, names) = voice_of(words);
        Ok(Self {
            voice,
            names,
            now: errand.now,
        })
    }

    /// Whether the bin needs the turn, as a sentence.
    pub(super) fn need(&self, bin: BinId, need: Option<&KeptNeed>) -> String {
        let name = self.names.bin(bin).unwrap_or_default();
        self.voice.sentence_of(&need_said(name, need), self.now)
    }

    /// How the bin is at moments to which nobody comes.
    pub(super) fn alone(&self, alone: &[Alone]) -> Vec<AloneBody> {
        let body = |alone: &Alone| AloneBody {
            at: alone.at,
            worms_share: share(alone.worms.0),
            hungry: alone.hungry,
            drying: alone.drying,
            sentence: self.voice.sentence_of(&alone_said(alone), self.now),
        };
        alone.iter().map(body).collect()
    }
}

/// To the thousandth: more is not known.
fn share(exact: f64) -> f64 {
    (exact * 1_000.0).round() / 1_000.0
}

fn tenth(days: f64) -> f64 {
    (days * 10.0).round() / 10.0
}

impl From<KeptNeed> for NeedBody {
    fn from(need: KeptNeed) -> Self {
        Self {
            verdict: need.verdict.code(),
            reason: need.reason.code(),
            others: need.others,
            deadline_at: (need.verdict == Verdict::Needed).then_some(need.deadline),
            last_care_at: need.last_care_at,
            next_care_at: need.next_care_at,
            dries_at: need.dries_at,
            hungry_at: need.hungry_at,
            compared_at: need.seen_at,
            worms_with_share: share(need.worms_with),
            worms_without_share: share(need.worms_without),
            bears_days: tenth(need.bears_days),
            gap_days: need.gap_days.map(tenth),
        }
    }
}
