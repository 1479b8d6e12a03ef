//! Whoever has turns by a rota that is put up hears which, and of one that changes it what is
//! another.

use crate::frame::id_of;
use crate::place_ground::Neighbour;
use crate::told_ground::{NOBODY, ToldGround, all, bringing, says, whom};
use reqwest::Method;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use uuid::Uuid;
use wormrota::work::drafting::draft_all;

const FIRST: &str = "2026-06-15";
const LAST: &str = "2026-06-20";

/// Six days with one place each, of the whole of which a rota is drafted and put up.
async fn six_days(ground: &ToldGround) -> Vec<Uuid> {
    let mut turns = Vec::new();
    for day in 15..=20 {
        turns.push(ground.turn(&format!("2026-06-{day}"), 1).await);
    }
    turns
}

async fn put_up(ground: &ToldGround) -> Uuid {
    let new = json!({ "first_day": FIRST, "last_day": LAST, "seed": 7 });
    let id = id_of(&ground.ask("/rotas", &new).await.ok(202));
    let app = &ground.post.app;
    assert_eq!(draft_all(&app.desk).await.unwrap(), 1);
    let path = ground.court.at(&format!("/rotas/{id}/put_up"));
    let ask = app.ask(Method::POST, &path).by(&ground.keeper.who);
    ask.send().await.ok(200);
    id
}

/// The days that each member holds, as letters write them.
async fn held(ground: &ToldGround) -> BTreeMap<Uuid, Vec<String>> {
    let query = "SELECT member_id, to_char(on_date, 'FMDay, FMMonth FMDD') AS day
                 FROM places JOIN turns ON turns.id = turn_id
                 WHERE member_id IS NOT NULL ORDER BY on_date";
    let mut held: BTreeMap<Uuid, Vec<String>> = BTreeMap::new();
    for row in ground.post.app.rows(query).await {
        let member = row["member_id"].as_str().unwrap().parse().unwrap();
        let day = row["day"].as_str().unwrap().to_owned();
        held.entry(member).or_default().push(day);
    }
    held
}

/// The points of a letter's plain text.
fn points(letter: &str) -> Vec<String> {
    let text = letter.split("<html").next().unwrap();
    let points = text.lines().filter_map(|line| line.strip_prefix("- "));
    points
        .map(|point| point.split(": ").next().unwrap().to_owned())
        .collect()
}

async fn away(ground: &ToldGround, who: &Neighbour, day: &str) {
    let (site, member, id) = (ground.court.site, who.id, Uuid::now_v7());
    ground
        .post
        .app
        .sql(&format!(
            "INSERT INTO absences (site_id, id, member_id, first_day, last_day, reported_by,
                 created_at)
             VALUES ('{site}', '{id}', '{member}', '{day}', '{day}', '{member}',
                 '2026-06-01T00:00:00Z')"
        ))
        .await;
}

/// The day of a turn that somebody holds.
async fn first_day_of(ground: &ToldGround, who: &Neighbour) -> (Uuid, String) {
    let query = format!(
        "SELECT turns.id, on_date FROM places JOIN turns ON turns.id = turn_id
         WHERE member_id = '{}' ORDER BY on_date LIMIT 1",
        who.id
    );
    let row: Value = ground.post.app.rows(&query).await.remove(0);
    (id_of(&row), row["on_date"].as_str().unwrap().to_owned())
}

/// Protects people from not knowing when they are on: everybody in a rota gets their turns, all
/// of them and nobody else's.
#[tokio::test]
async fn everybody_in_a_rota_that_is_put_up_gets_their_turns() {
    let ground = ToldGround::open().await;
    let [_ana, _bo] = ground.residents().await;
    six_days(&ground).await;
    put_up(&ground).await;
    let held = held(&ground).await;
    let sent = ground.sent().await;
    let holders: Vec<Uuid> = held.keys().copied().collect();
    assert_eq!(whom(&sent), holders);
    for (member, days) in &held {
        let letter = &sent[member][0];
        assert_eq!(&points(letter), days, "{letter}");
        says(
            letter,
            &[
                "Subject: Your turns at Elm Court\r\n",
                "from Monday, June 15 to Saturday, June 20",
                "so that somebody else can take it",
                "trade a turn",
            ],
            &["Yours now", "text/calendar", ", with "],
        );
    }
    // Nothing more comes of it.
    assert_eq!(whom(&ground.sent().await), NOBODY);
}

/// Protects who knows their turns from reading all of them again: of a changed rota only who
/// gained or lost a turn hears, and only that.
#[tokio::test]
async fn of_a_rota_that_changes_one_only_the_changes_are_told() {
    let ground = ToldGround::open().await;
    let [ana, _bo, _cy] = ground.residents().await;
    six_days(&ground).await;
    put_up(&ground).await;
    ground.sent().await;
    let before = held(&ground).await;
    let (turn, day) = first_day_of(&ground, &ana).await;
    let place = format!("SELECT id FROM places WHERE turn_id = '{turn}'");
    let place = id_of(&ground.post.app.rows(&place).await[0]);
    ground
        .change_place(&ana.who, (turn, place), &bringing(0.05))
        .await;
    away(&ground, &ana, &day).await;
    put_up(&ground).await;
    let after = held(&ground).await;

    let sent = ground.sent().await;
    let changed: Vec<Uuid> = (before.keys().chain(after.keys()))
        .filter(|member| before.get(member) != after.get(member))
        .copied()
        .collect::<std::collections::BTreeSet<_>>()
        .into_iter()
        .collect();
    assert!(
        changed.contains(&ana.id) && changed.len() == 2,
        "{changed:?}"
    );
    assert_eq!(whom(&sent), changed);
    for (member, letters) in &sent {
        let none = Vec::new();
        let (was, is) = (&before[member], after.get(member).unwrap_or(&none));
        let gained = is.iter().filter(|day| !was.contains(day));
        let lost = was.iter().filter(|day| !is.contains(day));
        let differs: Vec<String> = gained.chain(lost).cloned().collect();
        assert_eq!(points(&letters[0]), differs, "{}", letters[0]);
        let said = [
            "Subject: Changes to your turns at Elm Court",
            "All your other turns stay",
        ];
        says(&letters[0], &said, &[]);
    }
    let gone = [
        "Not yours any more",
        "booked for one of these turns was given back",
    ];
    says(&sent[&ana.id][0], &gone, &[]);
}

/// Protects people from two rotas in one morning: of one that was changed before it was told
/// nothing is said, and the newest is told whole.
#[tokio::test]
async fn a_rota_that_is_changed_before_it_was_told_is_told_once_and_whole() {
    let ground = ToldGround::open().await;
    let [ana, _bo, _cy] = ground.residents().await;
    six_days(&ground).await;
    // Eleven in the evening.
    ground.post.app.set_clock("2026-06-11T04:00:00Z").await;
    put_up(&ground).await;
    assert_eq!(whom(&ground.sent().await), NOBODY);
    let owed = ground.states().await.len();
    let (_, day) = first_day_of(&ground, &ana).await;
    away(&ground, &ana, &day).await;
    put_up(&ground).await;
    let held = held(&ground).await;
    let sent = ground.sent_in_the_morning().await;
    let holders: Vec<Uuid> = held.keys().copied().collect();
    assert_eq!(whom(&sent), holders);
    for (member, letters) in &sent {
        assert_eq!(&points(&letters[0]), &held[member], "{}", letters[0]);
        let said = ["Subject: Your turns at Elm Court\r\n"];
        says(&letters[0], &said, &["Not yours any more"]);
    }
    let states = ground.states().await;
    assert!(
        states[..owed].iter().all(|state| state == "not_wanted"),
        "{states:?}"
    );
}

/// Protects what neighbours know of each other: who else comes is named only where the site lets
/// them see it.
#[tokio::test]
async fn who_else_comes_is_named_as_the_site_allows() {
    let ground = ToldGround::open().await;
    let [ana, bo] = ground.residents().await;
    let site = ground.court.site;
    let rename = format!(
        "UPDATE member_names SET name = 'Bo Berg' WHERE site_id = '{site}' AND member_id = '{}'",
        bo.id
    );
    ground.post.app.sql(&rename).await;
    for (see, named) in [("keepers", false), ("names", true)] {
        let change = json!({ "neighbours_see": see });
        let path = ground.court.at("");
        let app = &ground.post.app;
        app.patch(&ground.keeper.who, &path, &change).await.ok(200);
        let turn = ground.turn("2026-06-25", 2).await;
        ground.take(&bo.who, turn, &json!({})).await;
        let give = json!({ "member_id": ana.id });
        ground.take(&ground.keeper.who, turn, &give).await;
        let sent = ground.sent().await;
        assert_eq!(whom(&sent), all([&ana]));
        assert_eq!(sent[&ana.id][0].contains("Bo Berg"), named, "{see}");
        let off = json!({ "called_off": true });
        ground.change_turn(turn, &off).await;
        ground.sent().await;
    }
}
