//! Letters in random histories of a site: that nobody comes to a turn reaches whoever looks after it.

use crate::cover_world::{World, key};
use chrono::{NaiveDate, TimeDelta};
use wormrota::clock;
use wormrota::letters::send_due;

impl World<'_> {
    /// The machine's clock does not go on: what waits has waited for so long.
    pub(crate) async fn letters_wait_for(&self, hours: i64) {
        let waited = format!(
            "UPDATE letters SET due_at = due_at - interval '{hours} h',
                 too_late_at = too_late_at - interval '{hours} h',
                 created_at = created_at - interval '{hours} h' WHERE state = 'owed'"
        );
        self.ground.app.sql(&waited).await;
    }

    /// Sends what is due now, and what waits for it.
    pub(crate) async fn send(&self) {
        let wall = clock::wall();
        for at in [wall, wall + TimeDelta::minutes(2)] {
            send_due(&self.ground.app.desk, self.post, at)
                .await
                .unwrap();
        }
    }

    /// Whoever looks after the site heard of each turn that somebody must have come to and nobody
    /// did, in a letter that names its day, unless it came up so late that quiet hours outlasted
    /// it; and no such word waits for ever.
    pub(crate) async fn check_letters(&self) {
        let untold = "SELECT id FROM calls WHERE state = 'missed' AND deadline_at IS NOT NULL
            AND NOT EXISTS (SELECT FROM letters WHERE kind = 'uncovered'
                AND purpose LIKE calls.id || ':%')";
        let untold = self.ground.app.rows(untold).await;
        assert!(untold.is_empty(), "nobody knew: {untold:?}");
        let words = "SELECT calls.id, on_date,
                bool_or(letters.state = 'sent' OR letters.reason = 'told_together') AS told,
                bool_or(letters.state = 'too_late') AS late
            FROM calls
            JOIN turns ON turns.site_id = calls.site_id AND turns.id = calls.turn_id
            JOIN letters ON kind = 'uncovered' AND purpose LIKE calls.id || ':%'
            WHERE calls.state = 'missed' AND deadline_at IS NOT NULL GROUP BY calls.id, on_date";
        let words = self.ground.app.rows(words).await;
        let mut letters = Vec::new();
        let sent = "SELECT id FROM letters WHERE kind = 'uncovered' AND state = 'sent'";
        for row in self.ground.app.rows(sent).await {
            let lying = self.post.folder().read(key(&row["id"])).await.unwrap();
            letters.push(lying.unwrap().letter.text);
        }
        for word in words {
            let day: NaiveDate = word["on_date"].as_str().unwrap().parse().unwrap();
            let date = day.format("%B %-d").to_string();
            let named = letters.iter().any(|text| text.contains(&date));
            let told = word["told"] == true && named;
            assert!(told || word["late"] == true, "{word} {letters:?}");
        }
        let waiting = "SELECT id FROM letters WHERE kind IN ('uncovered', 'covered_again')
            AND state IN ('owed', 'leased')";
        let waiting = self.ground.app.rows(waiting).await;
        assert!(waiting.is_empty(), "{waiting:?}");
    }
}
