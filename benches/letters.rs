//! How fast letters go, beside what the machine can do: `smtp-source` of Postfix sends as many
//! letters of the same size over as many connections to the same `smtp-sink`.
//!
//! `cargo bench --bench letters` invites `WORMROTA_BENCH_LETTERS` people (5,000 unless told), and
//! writes to them over `WORMROTA_BENCH_CONNECTIONS` connections (4 and 16 unless told), in a
//! private Postgres that writes through to the disk, as a service's own does, and prints letters
//! in a second, their ratio to `smtp-source`, and statements and transactions for each letter.

#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::disallowed_methods,
    clippy::cast_precision_loss,
    reason = "a bench prints, looks at the clock and stops at the first surprise"
)]

#[path = "letters/ground.rs"]
mod ground;
#[path = "letters/postfix.rs"]
mod postfix;

use ground::Ground;
use postfix::{Postfix, Sink};
use std::time::Instant;
use wormrota::clock;
use wormrota::letters::{Post, send_due};
use wormrota::settings::{Letters, Tls};

/// Runs of each, taking turns, so that a busy moment hits both.
const ROUNDS: usize = 3;
/// Letters whose statements are counted.
const WATCHED: usize = 1_000;
/// Connections at once: those of the settings as they come, and many.
const CONNECTIONS: [u32; 2] = [4, 16];

fn main() {
    let postfix = match Postfix::find() {
        Ok(postfix) => postfix,
        Err(missing) => {
            println!("Not run: {missing}");
            return;
        }
    };
    let letters = std::env::var("WORMROTA_BENCH_LETTERS");
    let letters: usize = letters.map_or(5_000, |text| text.parse().unwrap());
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .unwrap();
    let ground = Ground::lay(&runtime);
    let connections = std::env::var("WORMROTA_BENCH_CONNECTIONS");
    let connections = connections.map_or(CONNECTIONS.to_vec(), |text| vec![text.parse().unwrap()]);
    let bytes = runtime.block_on(size(&ground, &postfix));
    for connections in connections {
        println!("{letters} letters of {bytes} bytes over {connections} connections:");
        runtime.block_on(compare(&ground, &postfix, letters, bytes, connections));
    }
    runtime.block_on(count(&ground, &postfix));
    ground.leave();
}

/// The settings as they come, with the sink as the mail server.
fn settings(ground: &Ground, sink: &Sink, connections: u32) -> Letters {
    let mut letters = ground.settings.letters.clone();
    "127.0.0.1".clone_into(&mut letters.smtp.host);
    letters.smtp.port = sink.port;
    letters.smtp.tls = Tls::Off;
    letters.smtp.connections = connections;
    letters
}

/// Sends everything that is owed; gives the seconds it took.
async fn sent(ground: &Ground, sink: &Sink, letters: usize, connections: u32) -> f64 {
    let settings = settings(ground, sink, connections);
    let post = Post::of(ground.folder(), &settings).unwrap();
    let began = Instant::now();
    let sent = send_due(&ground.desk, &post, clock::wall()).await.unwrap();
    assert_eq!(sent, letters);
    began.elapsed().as_secs_f64()
}

/// Bytes of a letter.
async fn size(ground: &Ground, postfix: &Postfix) -> usize {
    let dump = Sink::that_keeps(postfix, ground.folder());
    ground.invite(1).await;
    sent(ground, &dump, 1, 1).await;
    dump.size_of_its_letter()
}

async fn compare(
    ground: &Ground,
    postfix: &Postfix,
    letters: usize,
    bytes: usize,
    connections: u32,
) {
    let sink = Sink::start(postfix);
    let (mut ours, mut kept, mut fresh) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        let source = |keep| sink.seconds_of_source(postfix, letters, bytes, connections, keep);
        kept.push(source(true));
        fresh.push(source(false));
        ground.invite(letters).await;
        let before = ground.transactions().await;
        ours.push(sent(ground, &sink, letters, connections).await);
        let after = ground.transactions().await;
        println!(
            "  {:.2} transactions a letter",
            (after - before) as f64 / letters as f64
        );
    }
    let rate = |seconds: &mut Vec<f64>| {
        seconds.sort_by(f64::total_cmp);
        letters as f64 / seconds[ROUNDS / 2]
    };
    let (ours, kept, fresh) = (rate(&mut ours), rate(&mut kept), rate(&mut fresh));
    println!("  ours                                 {ours:.0} letters in a second");
    println!(
        "  smtp-source, a connection a letter   {fresh:.0}: ours is {:.2} of it",
        ours / fresh
    );
    println!(
        "  smtp-source, connections kept        {kept:.0}: ours is {:.2} of it",
        ours / kept
    );
}

/// Lets Postgres write down what it is asked.
async fn count(ground: &Ground, postfix: &Postfix) {
    let watched = ground.watched().await;
    watched.invite(WATCHED).await;
    let sink = Sink::start(postfix);
    let place = watched.log().len();
    sent(&watched, &sink, WATCHED, CONNECTIONS[0]).await;
    let log = watched.log();
    let is_statement = |line: &&str| {
        line.split_once("LOG:  ").is_some_and(|(_, said)| {
            said.starts_with("statement: ") || said.starts_with("execute ")
        })
    };
    let statements = log[place..].lines().filter(is_statement).count();
    println!(
        "{:.2} statements a letter over {} connections, BEGIN and COMMIT among them",
        statements as f64 / WATCHED as f64,
        CONNECTIONS[0]
    );
}
