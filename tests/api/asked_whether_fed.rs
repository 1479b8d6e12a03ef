//! Was the bin fed? Told by letters and the pages behind their links alone: nobody here signs in
//! to answer.

use crate::frame::{Answer, Court, Person, all_at_once, weighed};
use crate::place_ground::turn_of;
use crate::post_office::PostOffice;
use chrono::{DateTime, Utc};
use reqwest::Method;
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use uuid::Uuid;
use wormrota::clock;
use wormrota::desk::due::owe_due;
use wormrota_domain::access::Role;

/// The morning after the turn, when the quiet hours of Chicago end, and the two after it.
const FIRST: &str = "2026-06-11T12:00:00Z";
const SECOND: &str = "2026-06-12T12:00:00Z";
const KEEPERS: &str = "2026-06-13T12:00:00Z";

/// A turn on June 10, without hours, at a bin that got nothing since the day before.
struct Ground {
    post: PostOffice,
    court: Court,
    turn: Uuid,
}

impl Ground {
    async fn open(places: u8) -> Self {
        let post = PostOffice::with_folder().await;
        let court = post.app.court().await;
        let bin = (court.site, court.bin);
        let turn = turn_of(&post.app, bin, ("feeding", "2026-06-10"), places).await;
        Self { post, court, turn }
    }

    /// One with a holder for each place.
    async fn held_by<const N: usize>() -> (Self, [Person; N]) {
        let ground = Self::open(u8::try_from(N).unwrap()).await;
        let mut holders = Vec::new();
        for seat in 1..=N {
            let who = ground.somebody(Role::Resident).await;
            ground.give(seat, &who).await;
            holders.push(who);
        }
        (
            ground,
            holders.try_into().unwrap_or_else(|_| unreachable!()),
        )
    }

    async fn somebody(&self, role: Role) -> Person {
        self.post.app.member(self.court.site, role).await
    }

    async fn id(&self, who: &Person) -> Uuid {
        self.post.app.member_id(who, self.court.site).await
    }

    async fn give(&self, seat: usize, to: &Person) {
        let (turn, member) = (self.turn, self.id(to).await);
        self.post
            .app
            .sql(&format!(
                "UPDATE places SET member_id = '{member}', how = 'taken',
                    held_since = '2026-06-01T00:00:00Z'
                 WHERE turn_id = '{turn}' AND seat = {seat}"
            ))
            .await;
    }

    /// Owes and sends what is due at an instant of the bins' time; gives the letters that went,
    /// as they lie in the folder, with the kind of each.
    async fn go_to(&self, instant: &str) -> Vec<(String, String)> {
        let before = self.sent().await;
        self.post.app.set_clock(instant).await;
        let wall = clock::wall();
        owe_due(&self.post.app.desk, wall).await.unwrap();
        self.post.send_at(wall).await;
        let new = self.sent().await;
        let new = new.difference(&before);
        new.map(|(kind, id)| (kind.clone(), self.post.letter(*id)))
            .collect()
    }

    async fn sent(&self) -> BTreeSet<(String, Uuid)> {
        let sent = "SELECT id, kind FROM letters WHERE state = 'sent'";
        let row = |row: &Value| {
            let kind = row["kind"].as_str().unwrap().to_owned();
            (kind, row["id"].as_str().unwrap().parse().unwrap())
        };
        self.post.app.rows(sent).await.iter().map(row).collect()
    }

    /// The links of the question that somebody gets at the first instant.
    async fn asked(&self, who: &Person) -> BTreeMap<String, String> {
        let letters = self.go_to(FIRST).await;
        links(&to(&letters, "turn_unlogged", who))
    }

    async fn look(&self, path: &str) -> Answer {
        self.post.app.ask(Method::GET, path).send().await
    }

    async fn press(&self, path: &str, form: &str) -> Answer {
        let ask = self.post.app.ask(Method::POST, path);
        let ask = ask.header("content-type", "application/x-www-form-urlencoded");
        ask.body(form.to_owned()).send().await
    }

    /// What was told of the day of the turn: grams, instant and who.
    async fn told(&self) -> Vec<(i64, DateTime<Utc>, Uuid)> {
        let fed = "SELECT (payload -> 'lines' -> 0 ->> 'amount')::bigint AS grams, occurred_at,
                       member_id
                   FROM bin_events WHERE kind = 'fed' AND occurred_at >= '2026-06-10T05:00:00Z'
                   ORDER BY seq";
        let text = |row: &Value, name: &str| row[name].as_str().unwrap().to_owned();
        let row = |row: &Value| {
            (
                row["grams"].as_i64().unwrap(),
                text(row, "occurred_at").parse().unwrap(),
                text(row, "member_id").parse().unwrap(),
            )
        };
        self.post.app.rows(fed).await.iter().map(row).collect()
    }

    async fn count(&self, kind: &str) -> usize {
        let query = format!("SELECT id FROM letters WHERE kind = '{kind}'");
        self.post.app.rows(&query).await.len()
    }
}

/// The one letter of a kind that went to somebody.
#[track_caller]
fn to(letters: &[(String, String)], kind: &str, who: &Person) -> String {
    let address = format!("<{}>", who.email);
    let mut own = letters
        .iter()
        .filter(|(of, text)| of == kind && text.contains(&address));
    let (_, text) = own
        .next()
        .unwrap_or_else(|| panic!("no {kind}: {letters:?}"));
    assert!(own.next().is_none(), "two of {kind}");
    text.clone()
}

/// The paths of the links in a letter, by what they do.
fn links(letter: &str) -> BTreeMap<String, String> {
    let (_, rest) = letter.split_once("Content-Type: text/plain").unwrap();
    let (plain, _) = rest.split_once("Content-Type: text/html").unwrap();
    plain
        .split_whitespace()
        .filter_map(|word| word.strip_prefix("https://bins.example.org"))
        .filter(|path| path.starts_with("/letters/"))
        .map(|path| (path.split('/').nth(2).unwrap().to_owned(), path.to_owned()))
        .collect()
}

/// Protects the caretaker from running after people who fed, and whoever fed from signing in to
/// say so: the letter, the page, the amount, and what pressing again does.
#[tokio::test]
async fn one_tap_says_that_it_was_fed_and_how_much() {
    let (ground, [bo]) = Ground::held_by().await;
    let app = &ground.post.app;
    let book = json!({ "on_date": "2026-06-10", "amount_kg": 0.3 });
    let bookings = ground.court.bin_at("/bookings");
    app.post(&bo, &bookings, &book).await.ok(201);
    app.sql("UPDATE places SET booking_id = (SELECT id FROM bookings) WHERE member_id IS NOT NULL")
        .await;

    assert_eq!(ground.go_to("2026-06-11T11:59:00Z").await, []);
    let letters = ground.go_to(FIRST).await;
    assert_eq!(letters.len(), 1, "{letters:?}");
    let letter = to(&letters, "turn_unlogged", &bo);
    assert!(letter.contains("Subject: Was the bin"), "{letter}");
    let links = links(&letter);
    let deeds = ["fed", "fed_by_other", "not_fed"];
    assert!(
        deeds.iter().all(|deed| links.contains_key(*deed)),
        "{links:?}"
    );
    assert_eq!(ground.go_to(FIRST).await, []);

    let asks = ground.look(&links["fed"]).await;
    assert_eq!(asks.status, 200);
    let options = asks.text.split_once("<select").unwrap().1;
    let first = options.split_once("<option value=\"").unwrap().1;
    assert!(first.starts_with("300\""), "{options}");
    assert_eq!(ground.told().await, []);

    let done = ground.press(&links["fed"], "amount=300").await;
    assert_eq!(done.status, 200);
    for part in ["Thank you for your answer", "is in the log"] {
        assert!(done.text.contains(part), "{part}: {}", done.text);
    }
    let noon = "2026-06-10T17:00:00Z".parse().unwrap();
    let fed = [(300, noon, ground.id(&bo).await)];
    assert_eq!(ground.told().await, fed);
    let used = app.rows("SELECT state FROM bookings").await;
    assert_eq!(used, [json!({ "state": "used" })]);

    for deed in deeds {
        let again = ground.press(&links[deed], "amount=900").await;
        assert_eq!(
            (again.status, &again.text),
            (done.status, &done.text),
            "{deed}"
        );
        assert_eq!(ground.look(&links[deed]).await.text, done.text, "{deed}");
    }
    assert_eq!(ground.told().await, fed);
    for instant in [SECOND, KEEPERS] {
        assert_eq!(ground.go_to(instant).await, []);
    }
}

/// Protects bins from programs that follow every link of a letter before it is read.
#[tokio::test]
async fn following_every_link_changes_nothing() {
    let (ground, [bo]) = Ground::held_by().await;
    let links = ground.asked(&bo).await;
    assert!(links.len() >= 3, "{links:?}");
    let before = ground.post.app.contents().await;
    for path in links.values() {
        for _ in 0..10 {
            for method in [Method::GET, Method::HEAD] {
                let answer = ground.post.app.ask(method, path).send().await;
                assert_eq!(answer.status, 200, "{path}");
            }
        }
    }
    assert_eq!(ground.post.app.contents().await, before);
}

/// Protects the bin from being reckoned with one meal twice, and neighbours from a question that
/// another has answered: sent, owed or asked again.
#[tokio::test]
async fn what_one_holder_says_settles_the_questions_of_the_others() {
    let (ground, [bo, cy]) = Ground::held_by().await;
    let letters = ground.go_to(FIRST).await;
    assert_eq!(letters.len(), 2);
    let of = |who| links(&to(&letters, "turn_unlogged", who));
    let (of_bo, of_cy) = (of(&bo), of(&cy));
    ground.press(&of_bo["fed"], "amount=200").await;
    for deed in ["fed", "not_fed", "fed_by_other"] {
        let known = ground.press(&of_cy[deed], "amount=200").await;
        assert_eq!(known.status, 200);
        assert!(
            known.text.contains("written down meanwhile"),
            "{}",
            known.text
        );
        assert!(!known.text.contains("<form"), "{}", known.text);
    }
    assert_eq!(ground.told().await.len(), 1);
    for instant in [SECOND, KEEPERS] {
        assert_eq!(ground.go_to(instant).await, []);
    }
    assert_eq!(ground.count("turn_missed").await, 0);
}

/// Protects worms from a turn that nobody did: whoever looks after the bins hears of it at once,
/// each by one letter, with who was to come and what to do.
#[tokio::test]
async fn a_no_is_told_to_whoever_looks_after_the_bins_at_once() {
    let (ground, [bo, cy]) = Ground::held_by().await;
    let caretaker = ground.somebody(Role::Caretaker).await;
    let teacher = ground.somebody(Role::Teacher).await;
    let app = &ground.post.app;
    let name = format!(
        "UPDATE member_names SET name = 'Bo Reed' WHERE member_id = '{}'",
        ground.id(&bo).await
    );
    app.sql(&name).await;
    let letters = ground.go_to(FIRST).await;
    let links_of = |who| links(&to(&letters, "turn_unlogged", who));
    let of_bo = links_of(&bo);
    let asks = ground.look(&of_bo["not_fed"]).await;
    assert!(asks.text.contains("nobody fed the bin"), "{}", asks.text);
    assert_eq!(ground.count("turn_missed").await, 0);
    let done = ground.press(&of_bo["not_fed"], "").await;
    assert!(done.text.contains("hears of it"), "{}", done.text);
    let again = ground.press(&of_bo["not_fed"], "").await;
    assert_eq!(again.text, done.text);

    let told = ground.go_to("2026-06-11T12:05:00Z").await;
    assert_eq!(told.len(), 2, "{told:?}");
    for keeper in [&caretaker, &teacher] {
        let letter = to(&told, "turn_missed", keeper);
        for part in [
            "was not fed",
            "Bo Reed says that it was not fed",
            "has not answered",
            "gloves",
        ] {
            assert!(letter.contains(part), "{part}: {letter}");
        }
    }
    // Nobody is asked any more, and nothing is told twice.
    for instant in [SECOND, KEEPERS, "2026-06-14T12:00:00Z"] {
        assert_eq!(ground.go_to(instant).await, []);
    }
    // The other one did feed: no is not the last word.
    let done = ground.press(&links_of(&cy)["fed"], "amount=150").await;
    assert!(done.text.contains("is in the log"), "{}", done.text);
    assert_eq!(ground.told().await.len(), 1);
}

/// Protects people from being asked more than twice, and the caretaker from silence.
#[tokio::test]
async fn silence_is_asked_about_once_more_and_then_told() {
    let (ground, [bo]) = Ground::held_by().await;
    let caretaker = ground.somebody(Role::Caretaker).await;
    // Whoever holds a place and looks after the bins themselves hears of it as a keeper too.
    let first = ground.go_to(FIRST).await;
    to(&first, "turn_unlogged", &bo);
    assert_eq!(first.len(), 1);
    assert_eq!(ground.go_to("2026-06-12T11:59:00Z").await, []);
    let second = ground.go_to(SECOND).await;
    assert_eq!(second.len(), 1);
    let again = to(&second, "turn_unlogged", &bo);
    assert!(again.contains("we still do not know") || again.contains("We still do not know"));
    assert_eq!(ground.go_to("2026-06-13T11:59:00Z").await, []);
    let told = ground.go_to(KEEPERS).await;
    assert_eq!(told.len(), 1);
    let letter = to(&told, "turn_missed", &caretaker);
    assert!(letter.contains("has not answered"), "{letter}");
    for instant in [
        "2026-06-14T12:00:00Z",
        "2026-06-15T12:00:00Z",
        "2026-06-17T12:00:00Z",
    ] {
        assert_eq!(ground.go_to(instant).await, []);
    }
    // The links of both letters still do what they say, and answering one answers both.
    let (older, newer) = (links(&to(&first, "turn_unlogged", &bo)), links(&again));
    ground.press(&older["fed"], "amount=100").await;
    let known = ground.press(&newer["fed"], "amount=100").await;
    assert!(
        known.text.contains("written down meanwhile"),
        "{}",
        known.text
    );
    assert_eq!(ground.told().await.len(), 1);
}

/// Protects people from being asked on one morning about all that lay in a long pause.
#[tokio::test]
async fn nobody_is_asked_about_a_turn_of_last_week_or_one_that_was_called_off() {
    let (ground, [_]) = Ground::held_by().await;
    assert_eq!(ground.go_to("2026-06-16T12:00:00Z").await, []);
    assert_eq!(ground.count("turn_unlogged").await, 0);
    let (ground, [_]) = Ground::held_by().await;
    let off = "UPDATE turns SET called_off = 'hand'";
    ground.post.app.sql(off).await;
    assert_eq!(ground.go_to(FIRST).await, []);
    let (ground, [_]) = Ground::held_by().await;
    ground
        .post
        .app
        .sql("UPDATE turns SET duty = 'tidying'")
        .await;
    assert_eq!(ground.go_to(FIRST).await, []);
}

/// Protects whoever wrote it down from being asked; and the bin from an entry that was taken back.
#[tokio::test]
async fn what_was_written_down_is_not_asked_about() {
    let (ground, [bo]) = Ground::held_by().await;
    let app = &ground.post.app;
    let mut meal = weighed("usual-mix", 0.2);
    meal["fed_at"] = json!("2026-06-10T16:00:00Z");
    let told = ground.court.bin_at("/feedings/told");
    let entry = app.post(&ground.court.resident, &told, &meal).await.ok(201);
    assert_eq!(ground.go_to(FIRST).await, []);
    let entry = ground
        .court
        .bin_at(&format!("/feedings/{}", entry["id"].as_str().unwrap()));
    assert_eq!(app.delete(&ground.court.resident, &entry).await.status, 204);
    // Owed, and then written down before it was sent.
    let wall = clock::wall();
    owe_due(&app.desk, wall).await.unwrap();
    assert_eq!(ground.count("turn_unlogged").await, 1);
    app.post(&bo, &told, &meal).await.ok(201);
    assert_eq!(ground.post.send_at(clock::wall()).await, 0);
    let states = app.rows("SELECT state, reason FROM letters").await;
    assert_eq!(states, [json!({ "state": "not_wanted", "reason": null })]);
}

/// Protects the model from amounts that nobody knows, and people from being asked again.
#[tokio::test]
async fn that_somebody_else_fed_closes_it_with_an_amount_or_without() {
    for (form, grams) in [("amount=unknown", vec![]), ("amount=250", vec![250])] {
        let (ground, [bo]) = Ground::held_by().await;
        ground.somebody(Role::Caretaker).await;
        let links = ground.asked(&bo).await;
        let asks = ground.look(&links["fed_by_other"]).await;
        assert!(
            asks.text.contains("<option value=\"unknown\">"),
            "{}",
            asks.text
        );
        let done = ground.press(&links["fed_by_other"], form).await;
        assert_eq!(done.status, 200);
        assert!(done.text.contains("will not ask again"), "{}", done.text);
        let told: Vec<i64> = ground.told().await.iter().map(|fed| fed.0).collect();
        assert_eq!(told, grams);
        for instant in [SECOND, KEEPERS] {
            assert_eq!(ground.go_to(instant).await, []);
        }
    }
}

/// Protects a bin that got too much: the page says what to do, and a notice is put up. What
/// cannot be meant is asked again.
#[tokio::test]
async fn too_much_is_recorded_and_the_page_says_what_to_do() {
    let (ground, [bo]) = Ground::held_by().await;
    let links = ground.asked(&bo).await;
    for bad in [
        "",
        "amount=",
        "amount=-5",
        "amount=0",
        "amount=1e3",
        "amount=50001",
        "amount=unknown",
    ] {
        let asks = ground.press(&links["fed"], bad).await;
        assert_eq!(asks.status, 200, "{bad}");
        assert!(asks.text.contains("<form"), "{bad}: {}", asks.text);
    }
    assert_eq!(ground.told().await, []);
    let done = ground.press(&links["fed"], "amount=5000").await;
    for part in [
        "more than the worms can keep up with",
        "<li>",
        "Wash your hands",
    ] {
        assert!(done.text.contains(part), "{part}: {}", done.text);
    }
    let notices = ground.post.app.rows("SELECT kind FROM notices").await;
    assert!(
        notices.contains(&json!({ "kind": "over_limit" })),
        "{notices:?}"
    );
}

/// Protects everybody from links that are not theirs, not any more or not at all: one page says
/// nothing about which of these it is.
#[tokio::test]
async fn links_that_do_nothing_all_show_one_page() {
    let (ground, [bo]) = Ground::held_by().await;
    let links = ground.asked(&bo).await;
    let token = |deed: &str| links[deed].rsplit('/').next().unwrap().to_owned();
    let nothing = ground.look("/letters/fed/nothing").await;
    assert_eq!(nothing.status, 404);
    let mut forged = token("fed");
    let last = if forged.ends_with('A') { 'B' } else { 'A' };
    forged.replace_range(10..11, &last.to_string());
    let foreign = [
        format!("/letters/fed/{forged}"),
        format!("/letters/fed/{}", token("not_fed")),
        format!("/letters/not_fed/{}", token("fed")),
        format!("/letters/feed/{}", token("fed")),
    ];
    let is_over = async |path: &str| {
        for answer in [
            ground.look(path).await,
            ground.press(path, "amount=100").await,
        ] {
            assert_eq!(
                (answer.status, &answer.text),
                (nothing.status, &nothing.text),
                "{path}"
            );
        }
    };
    for path in &foreign {
        is_over(path).await;
    }
    let bo = ground.id(&bo).await;
    for (sql, back) in [
        (
            "UPDATE letters SET links_until = created_at",
            "UPDATE letters SET links_until = created_at + interval '6 days'",
        ),
        (
            "UPDATE letters SET links_revoked_at = created_at",
            "UPDATE letters SET links_revoked_at = NULL",
        ),
        (
            "UPDATE turns SET called_off = 'hand'",
            "UPDATE turns SET called_off = NULL",
        ),
    ] {
        ground.post.app.sql(sql).await;
        for deed in ["fed", "not_fed", "fed_by_other"] {
            is_over(&links[deed]).await;
        }
        ground.post.app.sql(back).await;
    }
    assert_eq!(ground.look(&links["fed"]).await.status, 200);
    let left = format!("UPDATE members SET left_at = joined_at WHERE id = '{bo}'");
    ground.post.app.sql(&left).await;
    for path in links.values() {
        is_over(path).await;
    }
    assert_eq!(ground.told().await, []);
    assert_eq!(ground.count("turn_missed").await, 0);
}

/// Protects the bin from a thumb that taps many times, and from two who answer at once.
#[tokio::test]
async fn a_link_pressed_many_times_at_once_records_one_feeding() {
    let (ground, [bo, cy]) = Ground::held_by().await;
    let letters = ground.go_to(FIRST).await;
    let path = |who| links(&to(&letters, "turn_unlogged", who))["fed"].clone();
    let paths = [path(&bo), path(&cy)];
    let ground = Arc::new(ground);
    let presses = (0..20).map(|n: usize| {
        let (ground, path) = (Arc::clone(&ground), paths[n % 2].clone());
        async move { ground.press(&path, "amount=200").await.status }
    });
    let answers = all_at_once(presses).await;
    assert!(answers.iter().all(|status| *status == 200), "{answers:?}");
    assert_eq!(ground.told().await.len(), 1);
    let told = "SELECT id FROM decisions WHERE deed = 'tell' AND outcome = 'recorded'
                AND decided_at > '2026-06-11T00:00:00Z'";
    assert_eq!(ground.post.app.rows(told).await.len(), 1);
}

/// Protects pupils from letters: the teacher of the class is asked, once, and hears what becomes
/// of it; a helper is not.
#[tokio::test]
async fn of_a_class_the_teacher_is_asked_and_nobody_else() {
    let ground = Ground::open(2).await;
    let (teacher, helper) = (
        ground.somebody(Role::Resident).await,
        ground.somebody(Role::Resident).await,
    );
    let (site, turn, class) = (ground.court.site, ground.turn, Uuid::now_v7());
    let (teacher_id, helper_id) = (ground.id(&teacher).await, ground.id(&helper).await);
    let pupils = [Uuid::now_v7(), Uuid::now_v7()];
    let since = "2026-06-01T00:00:00Z";
    let mut sql = format!(
        "INSERT INTO classes (site_id, id, name, ends_on, created_at, revision)
            VALUES ('{site}', '{class}', '2b', '2026-07-31', '{since}', 1);
         INSERT INTO class_adults (site_id, class_id, member_id, part)
            VALUES ('{site}', '{class}', '{teacher_id}', 'teacher'),
                ('{site}', '{class}', '{helper_id}', 'helper');
         UPDATE turns SET class_id = '{class}';"
    );
    for (seat, pupil) in (1..).zip(pupils) {
        sql += &format!(
            "INSERT INTO pupils (site_id, id, class_id, label, added_at)
                VALUES ('{site}', '{pupil}', '{class}', 'P{seat}', '{since}');
             UPDATE places SET pupil_id = '{pupil}', how = 'duty', held_since = '{since}'
                WHERE turn_id = '{turn}' AND seat = {seat};"
        );
    }
    ground.post.app.sql(&sql).await;
    let asked = ground.go_to(FIRST).await;
    assert_eq!(asked.len(), 1, "{asked:?}");
    let letter = to(&asked, "turn_unlogged", &teacher);
    assert!(letter.contains("Yes, we fed it"), "{letter}");
    assert_eq!(ground.go_to(SECOND).await.len(), 1);
    let told = ground.go_to(KEEPERS).await;
    assert_eq!(told.len(), 1, "{told:?}");
    let letter = to(&told, "turn_missed", &teacher);
    assert!(letter.contains("a class's turn") || letter.contains("a class&#39;s turn"));
}

/// Protects whoever turned questions off from them, and the caretaker from not hearing then.
#[tokio::test]
async fn whoever_turned_questions_off_gets_none_and_the_caretaker_hears() {
    let (ground, [bo]) = Ground::held_by().await;
    let caretaker = ground.somebody(Role::Caretaker).await;
    let off = format!(
        "UPDATE members SET letters_off = '{{questions}}' WHERE id = '{}'",
        ground.id(&bo).await
    );
    ground.post.app.sql(&off).await;
    assert_eq!(ground.go_to(FIRST).await, []);
    assert_eq!(ground.go_to(SECOND).await, []);
    let told = ground.go_to(KEEPERS).await;
    to(&told, "turn_missed", &caretaker);
    assert_eq!(told.len(), 1);
}
