//! Looking for somebody while others look after the bin.

use crate::cover_ground::{away, held, look};
use crate::frame::weighed;
use crate::place_ground::PlaceGround;

/// Protects people from being looked for on account of how a bin was: once somebody, whoever it
/// is, has looked after it, its calls are looked at again.
#[tokio::test]
async fn a_bin_that_is_looked_after_has_its_calls_looked_at_again() {
    let ground = PlaceGround::open().await;
    let [ben, cy] = ground.residents().await;
    let app = &ground.app;
    held(&ground, "2026-06-20", &[&ben]).await;
    away(&ground, &ben, ("2026-06-19", Some("2026-06-21"))).await;
    look(app).await;
    app.sql("UPDATE calls SET look_at = '2026-06-18T00:00:00Z'")
        .await;
    let due = "SELECT id FROM calls WHERE look_at < '2026-06-18T00:00:00Z'";
    assert!(app.rows(due).await.is_empty());
    let meal = weighed("usual-mix", 0.05);
    let feedings = ground.court.bin_at("/feedings");
    app.post(&cy.who, &feedings, &meal).await.ok(201);
    assert_eq!(app.rows(due).await.len(), 1);
}
