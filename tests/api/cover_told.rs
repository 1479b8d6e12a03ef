//! What whoever looks after a site hears of turns that nobody comes to, when all is clear, and what
//! those hear who were told that somebody comes.

use crate::cover_ground::{call_of, look};
use crate::cover_told_ground::{CoverTold, days, saying};
use crate::frame::{App, settings};
use crate::mail_peer::{Does, MailPeer};
use chrono::TimeDelta;
use std::collections::BTreeSet;
use wormrota::clock;
use wormrota::desk::lease_letters::LEASE;
use wormrota::letters::send_due;

fn june(from: u32, to: u32) -> Vec<String> {
    (from..=to).map(|day| format!("June {day}")).collect()
}

/// Protects caretakers from a pile of letters about one bin, in which the one that matters drowns:
/// thirteen calls of two bins are two letters, each with every day once.
#[tokio::test]
async fn the_calls_of_a_bin_are_one_letter() {
    let peer = MailPeer::start().await;
    let told = CoverTold::with_peer(&peer).await;
    let second = told.second_bin().await;
    let [ben, pri] = told.ground.residents().await;
    let first = told.hold(told.ground.court.bin, &ben, 12..=17).await;
    // Two places of one turn are one line.
    told.hold_beside(first[0], &pri).await;
    told.hold(second, &ben, 18..=23).await;
    told.away(&ben, "2026-06-11").await;
    told.away(&pri, "2026-06-11").await;
    look(&told.ground.app).await;
    assert_eq!(told.ends().await["owed"], 13);
    let wall = clock::wall();
    assert_eq!(told.send_at(wall).await, 2);
    assert_eq!(told.send_at(wall + TimeDelta::hours(1)).await, 0);
    let mut letters = told.uncovered(&peer);
    letters.sort_by_key(|letter| days(letter));
    assert_eq!(letters.len(), 2, "{letters:?}");
    for (letter, on) in letters.iter().zip([june(12, 17), june(18, 23)]) {
        assert_eq!(days(letter), on, "{letter}");
        assert!(letter.contains("obody comes so far to 6 turns"), "{letter}");
        assert!(letter.contains("at the latest"), "{letter}");
    }
    let ends = told.ends().await;
    assert_eq!((ends["sent"], ends["told_together"]), (2, 11));
}

/// Protects a word from going with a letter that was refused: the others that it would have spoken
/// for speak for themselves, and for it.
#[tokio::test]
async fn a_letter_that_is_refused_takes_no_word_along() {
    let peer = MailPeer::start().await;
    let told = CoverTold::with_peer(&peer).await;
    let [ben] = told.ground.residents().await;
    told.hold(told.ground.court.bin, &ben, 12..=15).await;
    told.away(&ben, "2026-06-11").await;
    look(&told.ground.app).await;
    told.only_the_first_is_due().await;
    peer.to(&told.mailbox(), Does::SaysToLetter("554 5.6.0 no"));
    let wall = clock::wall();
    assert_eq!(told.send_at(wall).await, 0);
    let ends = told.ends().await;
    assert_eq!((ends["refused"], ends["owed"]), (1, 3));
    peer.to(&told.mailbox(), Does::Takes);
    peer.forget();
    assert_eq!(told.send_at(wall + TimeDelta::hours(2)).await, 1);
    let letters = told.uncovered(&peer);
    assert_eq!(days(&letters[0]), june(12, 15), "{letters:?}");
    let ends = told.ends().await;
    assert_eq!((ends["sent"], ends["told_together"]), (1, 2));
}

/// Protects readers whose mail server wants to be asked twice, as many do: it stays one letter.
#[tokio::test]
async fn a_letter_that_is_put_off_speaks_for_the_others_all_the_same() {
    let peer = MailPeer::start().await;
    let told = CoverTold::with_peer(&peer).await;
    let [ben] = told.ground.residents().await;
    told.hold(told.ground.court.bin, &ben, 12..=15).await;
    told.away(&ben, "2026-06-11").await;
    look(&told.ground.app).await;
    peer.to(&told.mailbox(), Does::SaysToReceiver("451 4.7.1 later"));
    let wall = clock::wall();
    assert_eq!(told.send_at(wall).await, 0);
    peer.to(&told.mailbox(), Does::Takes);
    assert_eq!(told.send_at(wall + TimeDelta::minutes(2)).await, 1);
    assert_eq!(told.send_at(wall + TimeDelta::hours(1)).await, 0);
    assert_eq!(days(&told.uncovered(&peer)[0]), june(12, 15));
}

/// Protects a word that is owed while a letter is under way which does not hold it, also where the
/// copy that sends it dies and the mail program drops what it has already.
#[tokio::test]
async fn a_word_that_comes_while_a_letter_is_sent_has_one_of_its_own() {
    let peer = MailPeer::start().await;
    let told = CoverTold::with_peer(&peer).await;
    let [ben, pri] = told.ground.residents().await;
    told.hold(told.ground.court.bin, &ben, 12..=13).await;
    told.ground.limit(&pri, "share", "'none'").await;
    // Too late for the bin.
    let last = told.ground.turn("2026-07-04", 1).await;
    told.ground.taken(&pri.who, last).await;
    told.away(&ben, "2026-06-11").await;
    look(&told.ground.app).await;
    told.only_the_first_is_due().await;
    peer.to(&told.mailbox(), Does::HoldsLetter);
    let (desk, post) = (told.ground.app.desk.clone(), told.post.clone());
    let wall = clock::wall();
    let dying = tokio::spawn(async move { send_due(&desk, &post, wall).await });
    peer.until_received(1).await;
    dying.abort();
    assert!(dying.await.unwrap_err().is_cancelled());
    told.away(&pri, "2026-06-11").await;
    look(&told.ground.app).await;
    peer.to(&told.mailbox(), Does::Takes);
    // The first goes again under the same key: what is new in it may never be read.
    told.send_at(wall + LEASE).await;
    told.send_at(wall + TimeDelta::hours(2)).await;
    let received = peer.received();
    let ids: Vec<String> = (received.iter())
        .map(|one| one.header("Message-ID"))
        .collect();
    let different: BTreeSet<&String> = ids.iter().collect();
    assert_eq!((ids.len(), different.len()), (3, 2), "{ids:?}");
    let all = [june(12, 13), vec!["July 4".to_owned()]].concat();
    assert_eq!(days(told.uncovered(&peer).last().unwrap()), all);
    assert_ne!(ids[0], ids[2]);
    let ends = told.ends().await;
    assert_eq!((ends["sent"], ends["told_together"]), (2, 1));
}

/// Protects readers from doubles, and words from getting lost, where two copies send at once.
#[tokio::test]
async fn two_copies_at_once_send_one_letter_for_a_bin() {
    let peer = MailPeer::start().await;
    let told = CoverTold::with_peer(&peer).await;
    let [ben] = told.ground.residents().await;
    told.hold(told.ground.court.bin, &ben, 12..=19).await;
    told.away(&ben, "2026-06-11").await;
    look(&told.ground.app).await;
    let other = App::on(told.ground.app.url.clone(), settings());
    let wall = clock::wall();
    let (one, two) = tokio::join!(
        send_due(&told.ground.app.desk, &told.post, wall),
        send_due(&other.desk, &told.post, wall),
    );
    assert_eq!(one.unwrap() + two.unwrap(), 1);
    assert_eq!(told.send_at(wall + TimeDelta::minutes(2)).await, 0);
    let letters = told.uncovered(&peer);
    assert_eq!(days(&letters[0]), june(12, 19), "{letters:?}");
    let ends = told.ends().await;
    assert_eq!((ends["sent"], ends["told_together"]), (1, 7));
}

/// Protects caretakers from looking for more people than it takes, and from a visit during a
/// closure that they take for an ordinary turn.
#[tokio::test]
async fn the_letter_says_what_is_enough_and_that_the_site_is_shut() {
    let peer = MailPeer::start().await;
    let told = CoverTold::with_peer(&peer).await;
    let [ben, pri] = told.ground.residents().await;
    told.hold(told.ground.court.bin, &ben, 20..=20).await;
    told.visit(&ben, "2026-06-21").await;
    // Until then the bed dries without the other two, and not without one of them.
    let sure = told.ground.turn("2026-07-04", 1).await;
    told.ground.taken(&pri.who, sure).await;
    told.ground.limit(&pri, "share", "'none'").await;
    told.away(&ben, "2026-06-19").await;
    look(&told.ground.app).await;
    told.send_at(clock::wall()).await;
    let letters = told.uncovered(&peer);
    let letter = &letters[0];
    assert_eq!(days(letter), june(20, 21), "{letter}");
    let one = "If somebody comes on Saturday, June 20, the bin can do without the others.";
    assert!(letter.contains(one), "{letter}");
    let shut = "Sunday, June 21: a visit, since the site is shut then.";
    assert!(letter.contains(shut), "{letter}");
    assert!(!letter.contains("June 20: a visit"), "{letter}");
}

/// Protects caretakers from worrying on: once somebody comes to the last of the days of which they
/// heard, they hear that too, and nobody does who heard nothing.
#[tokio::test]
async fn when_all_days_are_settled_those_who_were_told_hear_it() {
    let peer = MailPeer::start().await;
    let told = CoverTold::with_peer(&peer).await;
    let [ben, ada, cy] = told.ground.residents().await;
    for one in [&ada, &cy] {
        told.ground.limit(one, "share", "'none'").await;
    }
    let turns = told.hold(told.ground.court.bin, &ben, 20..=21).await;
    told.away(&ben, "2026-06-19").await;
    look(&told.ground.app).await;
    let wall = clock::wall();
    let clear = async |minutes| {
        told.send_at(wall + TimeDelta::minutes(minutes)).await;
        told.clear(&peer)
    };
    assert!(clear(0).await.is_empty());
    assert_eq!(told.uncovered(&peer).len(), 1);
    let late = told.another_keeper().await;
    told.ground.taken(&ada.who, turns[0]).await;
    assert!(clear(2).await.is_empty(), "one day is left");
    let place = told.place(turns[0]).await;
    let back = told.ground.give_back(&ada.who, (turns[0], place)).await;
    assert_eq!(back.status, 204);
    told.ground.taken(&ada.who, turns[1]).await;
    assert!(clear(4).await.is_empty(), "the first is free again");
    told.ground.taken(&cy.who, turns[0]).await;
    let letters = clear(6).await;
    assert_eq!(letters.len(), 1);
    let days = "Saturday, June 20: somebody comes. - Sunday, June 21: somebody comes.";
    assert!(letters[0].contains(days), "{}", letters[0]);
    assert_eq!(clear(60).await.len(), 1, "once");
    assert!(saying(&peer, &late, "we wrote to you").is_empty());
}

/// Protects whoever was told that somebody comes from believing it when they do not; and from a
/// letter when another one does by then, or when nothing was said yet.
#[tokio::test]
async fn whoever_was_told_that_somebody_comes_hears_when_they_cannot() {
    let peer = MailPeer::start().await;
    let told = CoverTold::with_peer(&peer).await;
    let [ben, ada, cy] = told.ground.residents().await;
    let turn = told.hold(told.ground.court.bin, &ben, 20..=20).await[0];
    let call = call_of(&told.away(&ben, "2026-06-19").await);
    let place = told.place(turn).await;
    let wall = clock::wall();
    let lost = async |minutes| {
        told.send_at(wall + TimeDelta::minutes(minutes)).await;
        saying(&peer, &ben, "after all")
    };
    let gives_back = async |who: &crate::place_ground::Neighbour| {
        let back = told.ground.give_back(&who.who, (turn, place)).await;
        assert_eq!(back.status, 204);
    };
    told.yes(&ada, call).await;
    gives_back(&ada).await;
    assert!(lost(0).await.is_empty(), "nothing was said yet");
    told.yes(&cy, call).await;
    assert!(lost(2).await.is_empty());
    gives_back(&cy).await;
    told.ground.taken(&ada.who, turn).await;
    assert!(lost(4).await.is_empty(), "somebody comes by then");
    gives_back(&ada).await;
    let letters = lost(6).await;
    assert_eq!(letters.len(), 1);
    let how = "There is nothing more for you to do.";
    assert!(letters[0].contains(how), "{}", letters[0]);
    assert_eq!(lost(60).await.len(), 1, "once");
}
