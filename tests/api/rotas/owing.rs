//! What one rota leaves to the next. Every figure here was reckoned by hand.

use super::ground::House;
use serde_json::{Value, json};
use uuid::Uuid;

/// Share, what was brought along and the part of a rota, in the order of residents.
async fn shares(house: &House, rota: Uuid) -> Vec<(i64, i64, i64)> {
    let query = format!("SELECT * FROM rota_shares WHERE rota_id = '{rota}' ORDER BY member_id");
    let number = |row: &Value, name: &str| row[name].as_i64().unwrap();
    let rows = house.app.rows(&query).await;
    let read = |row| {
        (
            number(row, "share"),
            number(row, "carried_milli"),
            number(row, "fair_milli"),
        )
    };
    rows.iter().map(read).collect()
}

/// How many places of a span each resident holds.
async fn held(house: &House, first: &str, last: &str) -> Vec<usize> {
    let places = house.held().await;
    let within = |place: &&Value| {
        let day = place["on_date"].as_str().unwrap();
        (first..=last).contains(&day)
    };
    let count = |member: &Uuid| {
        let mine = |place: &&Value| place["member_id"] == json!(member);
        places.iter().filter(within).filter(mine).count()
    };
    house.residents.iter().map(count).collect()
}

/// Protects fairness over time: who did more, as it really went, does less afterwards, and
/// what is rounded for the planner is not lost.
#[tokio::test]
async fn who_did_more_in_one_rota_does_less_in_the_next() {
    let mut house = House::open(3).await;
    let [one, two, three] = house.residents[..] else {
        panic!()
    };
    house.limit(three, &[("share", "'half'")]).await;
    house.add_turns("2026-06-15", "2026-06-19", 1, 1).await;
    // The first can on the first four days, the third on the fifth, the second on none.
    house.away(one, "2026-06-19", "2026-06-19").await;
    house.away(two, "2026-06-15", "2026-06-19").await;
    house.away(three, "2026-06-15", "2026-06-18").await;
    let spring = house.draft("2026-06-15", "2026-06-19").await;
    house.put_up(spring).await.ok(200);
    assert_eq!(house.counts().await, [4, 0, 1]);
    // Five turns for two full shares and a half one: two, two, and one.
    assert_eq!(
        shares(&house, spring).await,
        [(60, 0, 2_000), (60, 0, 2_000), (30, 0, 1_000)]
    );
    // In the end the second stood in for the third. So they owe: -2, 1 and 1.
    house
        .sql(&format!(
            "UPDATE places SET member_id = '{two}' WHERE member_id = '{three}'"
        ))
        .await;

    house.add_turns("2026-06-22", "2026-06-26", 1, 1).await;
    let summer = house.draft("2026-06-22", "2026-06-26").await;
    let seen = house.see(summer).await;
    assert_eq!(
        seen["aims"][1]["sentence"],
        "Everybody has exactly their fair share."
    );
    house.put_up(summer).await.ok(200);
    assert_eq!(held(&house, "2026-06-22", "2026-06-26").await, [0, 3, 2]);
    assert_eq!(
        shares(&house, summer).await,
        [(60, 2_000, 2_000), (60, -1_000, 2_000), (30, -1_000, 1_000)]
    );

    // Nobody owes anything now. A fourth joins, and seven half shares make four turns: 8/7 for
    // a full one, 4/7 for a half one.
    house.add_resident().await;
    house.add_turns("2026-06-29", "2026-07-02", 1, 1).await;
    let autumn = house.draft("2026-06-29", "2026-07-02").await;
    house.put_up(autumn).await.ok(200);
    assert_eq!(
        shares(&house, autumn).await,
        [(60, 0, 1_143), (60, 0, 1_143), (30, 0, 571), (60, 0, 1_143)]
    );
    // Whoever has none of the four owes most: of the four turns each has one, or the third none.
    let now = held(&house, "2026-06-29", "2026-07-02").await;
    assert_eq!(now.iter().sum::<usize>(), 4);

    // What is left is told to the thousandth: effort less part, summed over all three rotas.
    house.add_turns("2026-07-06", "2026-07-06", 1, 1).await;
    let winter = house.draft("2026-07-06", "2026-07-06").await;
    let asked = house
        .app
        .rows(&format!("SELECT asked FROM rotas WHERE id = '{winter}'"))
        .await;
    let parts = [1_143, 1_143, 571, 1_143];
    let owed: Vec<i64> = (now.iter().zip(parts))
        .map(|(held, part)| 1_000 * i64::try_from(*held).unwrap() - part)
        .collect();
    assert_eq!(asked[0]["asked"]["carried_milli"], json!(owed));
}

/// Protects a rota that is changed from being reckoned twice.
#[tokio::test]
async fn a_rota_that_is_changed_begins_from_what_was_brought_into_it() {
    let house = House::open(2).await;
    house.add_turns("2026-06-15", "2026-06-17", 1, 1).await;
    let before = house.draft("2026-06-15", "2026-06-17").await;
    house.put_up(before).await.ok(200);
    house.add_turns("2026-06-22", "2026-06-24", 1, 1).await;
    let first = house.draft("2026-06-22", "2026-06-24").await;
    house.put_up(first).await.ok(200);
    let brought = shares(&house, first).await;
    // Three turns for two: one and a half each, of which one had two and the other one.
    let mut carried: Vec<i64> = brought.iter().map(|(_, carried, _)| *carried).collect();
    carried.sort_unstable();
    assert_eq!(carried, [-500, 500]);

    let day = "2026-06-23";
    let place = house.held().await;
    let place = place.iter().find(|place| place["on_date"] == day).unwrap();
    let gone = place["member_id"].as_str().unwrap().parse().unwrap();
    house.away(gone, day, day).await;
    let second = house.draft("2026-06-22", "2026-06-24").await;
    house.put_up(second).await.ok(200);
    assert_eq!(shares(&house, second).await, brought);
    // The one that was replaced counts no more.
    house.add_turns("2026-06-29", "2026-06-29", 1, 1).await;
    let third = house.draft("2026-06-29", "2026-06-29").await;
    house.put_up(third).await.ok(200);
    let held = house.counts().await;
    let all = held[0] + held[1];
    assert_eq!(all, 7);
    let carried: Vec<i64> = shares(&house, third)
        .await
        .iter()
        .map(|row| row.1)
        .collect();
    assert_eq!(carried.iter().sum::<i64>(), 0);
    let places = house.held().await;
    let mine = |member: Uuid| {
        let of = |place: &&Value| place["member_id"] == json!(member);
        let early = |place: &&Value| place["on_date"].as_str().unwrap() < "2026-06-29";
        i64::try_from(places.iter().filter(of).filter(early).count()).unwrap()
    };
    // Six turns for two: three each.
    assert_eq!(
        carried,
        house
            .residents
            .iter()
            .map(|member| 1_000 * (mine(*member) - 3))
            .collect::<Vec<_>>()
    );
}
