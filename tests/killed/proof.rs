//! What has to be so afterwards, seen in the tables and reckoned again by the domain.

use crate::clients::{Answers, answered, ask, client};
use crate::ground::{Bin, Ground, VOLUME_L};
use diesel::sql_types::{BigInt, Jsonb, Nullable, Text, Timestamptz, Uuid as SqlUuid};
use diesel::{QueryableByName, sql_query};
use diesel_async::{AsyncConnection, AsyncPgConnection, RunQueryDsl};
use serde_json::Value;
use std::collections::{HashMap, HashSet};
use uuid::Uuid;
use wormrota_domain::living_bin::climate::Climate;
use wormrota_domain::living_bin::event::{Event, How};
use wormrota_domain::living_bin::habitat::{BinShape, Habitat};
use wormrota_domain::living_bin::outlook::Outlook;
use wormrota_domain::living_bin::state::BinState;
use wormrota_domain::site::Spot;
use wormrota_domain::units::{Grams, Litres, SquareMetres};

/// How many of the answered keys are asked again.
const ASKED_AGAIN: usize = 300;

/// What was found.
#[derive(Debug, Default)]
pub(crate) struct Figures {
    /// Feedings on the spines that people asked for.
    feedings: usize,
    /// Of them, those whose answer never arrived and after which nobody asked again.
    of_those_who_gave_up: usize,
    lost: usize,
    doubled: usize,
    refusals_kept: usize,
}

#[derive(QueryableByName)]
struct Fed {
    #[diesel(sql_type = SqlUuid)]
    event: Uuid,
    #[diesel(sql_type = SqlUuid)]
    decision: Uuid,
    #[diesel(sql_type = BigInt)]
    allowed_g: i64,
    #[diesel(sql_type = BigInt)]
    room_g: i64,
    #[diesel(sql_type = BigInt)]
    amount_g: i64,
    #[diesel(sql_type = SqlUuid)]
    account: Uuid,
    #[diesel(sql_type = Text)]
    key: String,
}

#[derive(QueryableByName)]
struct Counted {
    #[diesel(sql_type = BigInt)]
    rows: i64,
}

#[derive(QueryableByName)]
struct Refusal {
    #[diesel(sql_type = SqlUuid)]
    id: Uuid,
}

#[derive(QueryableByName)]
struct Entry {
    #[diesel(sql_type = BigInt)]
    seq: i64,
    #[diesel(sql_type = Timestamptz)]
    occurred_at: chrono::DateTime<chrono::Utc>,
    #[diesel(sql_type = Jsonb)]
    payload: Value,
    #[diesel(sql_type = Nullable<Jsonb>)]
    state: Option<Value>,
}

async fn connect(ground: &Ground) -> AsyncPgConnection {
    AsyncPgConnection::establish(ground.url.reveal())
        .await
        .unwrap()
}

async fn count(conn: &mut AsyncPgConnection, query: &str) -> i64 {
    let found: Counted = sql_query(format!("SELECT count(*) AS rows FROM {query}"))
        .get_result(conn)
        .await
        .unwrap();
    found.rows
}

/// Whoever asks again under the same key gets the same answer, and nothing is written.
pub(crate) async fn retries_get_the_first_answer(ground: &Ground, answers: &Answers) {
    let mut conn = connect(ground).await;
    let before = count(&mut conn, "bin_events").await;
    let client = client();
    let every = answers.answered.len().div_ceil(ASKED_AGAIN).max(1);
    for first in answers.answered.iter().step_by(every) {
        let path = ground.bin_at(first.bin.id, "/feedings");
        let token = ground.token(first.account);
        let again = ask(&client, &path, &token, &first.offer, &first.key).await;
        let (status, body) = again.unwrap();
        let (bin, key) = (first.bin, &first.key);
        let again = answered(first.account, bin, &first.offer, key, status, &body);
        assert_eq!(again.status, first.status);
        assert_eq!(again.feeding, first.feeding);
        assert_eq!(again.decision, first.decision);
        assert_eq!(again.allowed_g, first.allowed_g);
    }
    assert_eq!(count(&mut conn, "bin_events").await, before);
}

/// Every acknowledged feeding is on the spine once, with its amount, its decision and its
/// key, and there is none that nobody asked for.
pub(crate) async fn nothing_lost_nothing_doubled(ground: &Ground, answers: &Answers) -> Figures {
    let mut conn = connect(ground).await;
    // A key that led to two feedings, or a feeding under two keys, would come twice here.
    let fed: Vec<Fed> = sql_query(
        "SELECT e.id AS event, d.id AS decision, d.allowed_g,
             (d.decision ->> 'room')::bigint AS room_g,
             (SELECT sum((line ->> 'amount')::bigint)::bigint
                 FROM jsonb_array_elements(e.payload -> 'lines') AS line) AS amount_g,
             k.account_id AS account, k.key
         FROM bin_events AS e
         JOIN decisions AS d ON d.site_id = e.site_id AND d.event_id = e.id
         JOIN idempotency_keys AS k ON k.answer ->> 'feeding' = e.id::text
         WHERE e.kind = 'fed' AND e.payload ->> 'how' = 'allowed'",
    )
    .load(&mut conn)
    .await
    .unwrap();
    let there = count(
        &mut conn,
        "bin_events WHERE kind = 'fed' AND payload ->> 'how' = 'allowed'",
    )
    .await;
    assert_eq!(i64::try_from(fed.len()).unwrap(), there);
    let by_event: HashMap<Uuid, &Fed> = fed.iter().map(|fed| (fed.event, fed)).collect();
    let keys: HashSet<(Uuid, &str)> = fed
        .iter()
        .map(|fed| (fed.account, fed.key.as_str()))
        .collect();

    let mut figures = Figures {
        feedings: fed.len(),
        doubled: (fed.len() - by_event.len()) + (fed.len() - keys.len()),
        ..Figures::default()
    };
    let mut acknowledged = HashSet::new();
    for answer in &answers.answered {
        let Some(feeding) = answer.feeding else {
            continue;
        };
        assert!(
            acknowledged.insert(feeding),
            "two people got the same feeding"
        );
        let Some(fed) = by_event.get(&feeding) else {
            figures.lost += 1;
            continue;
        };
        assert_eq!((fed.account, &fed.key), (answer.account.0, &answer.key));
        assert_eq!(fed.decision, answer.decision);
        assert_eq!(
            (fed.allowed_g, fed.amount_g),
            (answer.allowed_g, answer.allowed_g)
        );
    }
    for fed in &fed {
        assert!(
            fed.allowed_g <= fed.room_g,
            "{} over {}",
            fed.allowed_g,
            fed.room_g
        );
    }
    let given_up: HashSet<(Uuid, &str)> = answers
        .given_up
        .iter()
        .map(|(account, key)| (account.0, key.as_str()))
        .collect();
    let others = fed.iter().filter(|fed| !acknowledged.contains(&fed.event));
    for fed in others {
        assert!(
            given_up.contains(&(fed.account, fed.key.as_str())),
            "nobody asked for it"
        );
        figures.of_those_who_gave_up += 1;
    }

    let refusals: Vec<Refusal> =
        sql_query("SELECT id FROM decisions WHERE outcome = 'refused' AND event_id IS NULL")
            .load(&mut conn)
            .await
            .unwrap();
    let refusals: HashSet<Uuid> = refusals.into_iter().map(|refusal| refusal.id).collect();
    for answer in answers
        .answered
        .iter()
        .filter(|answer| answer.feeding.is_none())
    {
        assert!(refusals.contains(&answer.decision), "a refusal is gone");
    }
    figures.refusals_kept = refusals.len();
    assert_eq!((figures.lost, figures.doubled), (0, 0), "{figures:?}");
    assert!(
        figures.feedings >= answers.answered.len() / 4,
        "{figures:?}"
    );
    figures
}

/// Every feeding that was allowed fits into the room that the domain finds, reckoning the
/// whole spine again from the stocking; and the stored states are those.
pub(crate) async fn nothing_over_the_room(ground: &Ground) -> usize {
    let mut conn = connect(ground).await;
    let mut checked = 0;
    for bin in &ground.bins {
        let id = bin.id.0;
        let spine: Vec<Entry> = sql_query(format!(
            "SELECT e.seq, e.occurred_at, e.payload, s.state FROM bin_events AS e
             LEFT JOIN bin_states AS s ON s.site_id = e.site_id AND s.event_id = e.id
             WHERE e.bin_id = '{id}' ORDER BY e.occurred_at, e.seq"
        ))
        .load(&mut conn)
        .await
        .unwrap();
        let last = i64::try_from(spine.len()).unwrap();
        let next = format!("bins WHERE id = '{id}' AND next_seq = {}", last + 1);
        assert_eq!(count(&mut conn, &next).await, 1, "the spine has a gap");
        checked += walk(&habitat(ground, bin), &spine);
    }
    checked
}

fn walk(habitat: &Habitat, spine: &[Entry]) -> usize {
    let mut checked = 0;
    let mut state: Option<BinState> = None;
    for (seq, entry) in (1..).zip(spine) {
        assert_eq!(entry.seq, seq, "out of the order in which it was written");
        let event: Event = serde_json::from_value(entry.payload.clone()).unwrap();
        if let (Some(before), Event::Fed { lines, how, .. }) = (&state, &event)
            && *how == How::Allowed
        {
            let before = before.clone().advanced(habitat, entry.occurred_at);
            let room = Outlook::cautious(habitat, &before).room(&[]).amount;
            let amount: Grams = lines.iter().map(|line| line.amount).sum();
            assert!(amount <= room, "{amount:?} into {room:?}");
            checked += 1;
        }
        state = event.apply(habitat, state.take(), entry.occurred_at);
        let stored: BinState = serde_json::from_value(entry.state.clone().unwrap()).unwrap();
        assert_eq!(state.as_ref(), Some(&stored), "entry {seq}");
    }
    checked
}

fn habitat(ground: &Ground, bin: &Bin) -> Habitat {
    Habitat {
        settings: (*ground.desk.model()).clone(),
        shape: BinShape {
            surface: SquareMetres(f64::from(bin.surface_cm2) / 10_000.0),
            volume: Litres(VOLUME_L),
            spot: Spot::Indoors,
        },
        climate: Climate::default(),
    }
}

/// The service goes on: every bin still says what it can take.
pub(crate) async fn every_bin_answers(ground: &Ground) {
    for bin in &ground.bins {
        let path = ground.bin_at(bin.id, "/room");
        let ask = client()
            .get(&path)
            .bearer_auth(ground.token(ground.people[0]));
        let response = ask.send().await.unwrap();
        assert_eq!(response.status(), 200);
        let room: Value = response.json().await.unwrap();
        assert!(room["room_kg"].as_f64().unwrap() >= 0.0, "{room}");
    }
}
