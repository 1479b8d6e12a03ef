//! Owing the letters that are due because of the time alone.

use crate::clock;
use crate::desk::Desk;
use crate::desk::due::owe_due;
use std::time::Duration;

/// How often a copy looks: a reminder may be that late.
const LOOKS_EVERY: Duration = Duration::from_secs(20);

/// Owes what is due until the surrounding task is dropped.
pub async fn keep_owing(desk: Desk) {
    let mut ticks = tokio::time::interval(LOOKS_EVERY);
    ticks.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
    loop {
        ticks.tick().await;
        if let Err(error) = owe_due(&desk, clock::wall()).await {
            tracing::warn!(code = error.code(), "due letters are left for later");
        }
    }
}
