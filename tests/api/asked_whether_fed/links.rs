//! Links that are followed by programs, pressed at once, or do nothing any more.

use super::{FIRST, Ground, links_in, to};
use crate::frame::all_at_once;
use reqwest::Method;
use std::sync::Arc;

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
    let other = if &forged[40..41] == "A" { "B" } else { "A" };
    forged.replace_range(40..41, other);
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

/// Protects people who answer late from a page that does not say why, and keepers from not
/// hearing what is still known.
#[tokio::test]
async fn an_answer_that_comes_too_late_is_told_so_and_whom_to_tell() {
    let (ground, [bo]) = Ground::held_by().await;
    let links = ground.asked(&bo).await;
    let late = "UPDATE letters SET links_until = created_at";
    ground.post.app.sql(late).await;
    let before = ground.post.app.contents().await;
    for deed in ["fed", "not_fed", "fed_by_other"] {
        let path = &links[deed];
        for answer in [
            ground.look(path).await,
            ground.press(path, "amount=100").await,
        ] {
            assert_eq!(answer.status, 404, "{}", answer.text);
            for part in [
                "The time for this is over",
                "If you know whether the bin was fed",
            ] {
                assert!(answer.text.contains(part), "{part}: {}", answer.text);
            }
            assert!(!answer.text.contains("<form"), "{}", answer.text);
        }
    }
    assert_eq!(ground.post.app.contents().await, before);
}

/// Protects the bin from a thumb that taps many times, and from two who answer at once.
#[tokio::test]
async fn a_link_pressed_many_times_at_once_records_one_feeding() {
    let (ground, [bo, cy]) = Ground::held_by().await;
    let letters = ground.go_to(FIRST).await;
    let path = |who| links_in(&to(&letters, "turn_unlogged", who))["fed"].clone();
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
