//! What the tests of cover stand on: a building with a bin, turns with holders, and the service
//! looking after its calls at a moment.

use crate::frame::{Answer, App, id_of};
use crate::place_ground::{Neighbour, PlaceGround};
use reqwest::Method;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota::clock;
use wormrota::desk::due::owe_due;

/// An absence from one day to another.
pub(crate) async fn away(
    ground: &PlaceGround,
    who: &Neighbour,
    (first, last): (&str, Option<&str>),
) -> Value {
    let path = absences(ground, who);
    let body = json!({ "first_day": first, "last_day": last });
    ground.app.post(&who.who, &path, &body).await.ok(201)
}

/// Takes the court's own resident out of the rota: nobody asks them.
pub(crate) async fn without_the_courts_own(ground: &PlaceGround) {
    let who = ground.court.resident.clone();
    let id = ground.app.member_id(&who, ground.court.site).await;
    let own = Neighbour { who, id };
    ground.limit(&own, "share", "'none'").await;
}

/// Where the absences of somebody are.
pub(crate) fn absences(ground: &PlaceGround, of: &Neighbour) -> String {
    ground.court.at(&format!("/members/{}/absences", of.id))
}

/// A turn whose places these hold.
pub(crate) async fn held(ground: &PlaceGround, on_date: &str, by: &[&Neighbour]) -> Uuid {
    let places = u8::try_from(by.len()).unwrap();
    let turn = ground.turn(on_date, places).await;
    for one in by {
        ground.taken(&one.who, turn).await;
    }
    turn
}

/// Lets the service look at everything that is due now.
pub(crate) async fn look(app: &App) {
    owe_due(&app.desk, clock::wall()).await.unwrap();
}

/// Moves the clock, and looks.
pub(crate) async fn look_at(app: &App, at: &str) {
    app.set_clock(at).await;
    look(app).await;
}

/// The only call there is, with what can be sent to it.
pub(crate) async fn call(app: &App) -> Value {
    app.rows("SELECT * FROM calls ORDER BY id").await.remove(0)
}

/// Who was asked in any call, in the order in which they were.
pub(crate) async fn asked(app: &App) -> Vec<Uuid> {
    let rows = app
        .rows("SELECT member_id FROM call_answers ORDER BY asked_at, member_id")
        .await;
    rows.iter()
        .map(|row| row["member_id"].as_str().unwrap().parse().unwrap())
        .collect()
}

/// Kinds of the letters that are owed about cover, each with its member.
pub(crate) async fn letters(app: &App, kind: &str) -> Vec<Uuid> {
    let query = format!("SELECT member_id FROM letters WHERE kind = '{kind}' ORDER BY member_id");
    let rows = app.rows(&query).await;
    rows.iter()
        .map(|row| row["member_id"].as_str().unwrap().parse().unwrap())
        .collect()
}

/// Says yes or no.
pub(crate) async fn says(ground: &PlaceGround, by: &Neighbour, call: Uuid, word: &str) -> Answer {
    let path = ground.court.at(&format!("/calls/{call}/answer"));
    ground
        .app
        .post(&by.who, &path, &json!({ "answer": word }))
        .await
}

/// Does something to a call that needs no body.
pub(crate) async fn does(ground: &PlaceGround, by: &Neighbour, call: Uuid, deed: &str) -> Answer {
    let path = ground.court.at(&format!("/calls/{call}/{deed}"));
    ground.app.ask(Method::POST, &path).by(&by.who).send().await
}

/// The key of the call of the first place that was given up.
pub(crate) fn call_of(told: &Value) -> Uuid {
    id_of(&json!({ "id": told["given_up"][0]["call_id"] }))
}
