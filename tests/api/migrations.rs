use crate::frame::empty_database;
use std::process::Command;
use wormrota::settings::DatabaseUrl;
use wormrota::store::migrate;

async fn blocking<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> T {
    tokio::task::spawn_blocking(work).await.unwrap()
}

/// The schema as `pg_dump` writes it, without what differs between two dumps of one.
fn dump(url: &DatabaseUrl) -> String {
    let output = Command::new("pg_dump")
        .args(["--schema-only", "--no-owner", url.reveal()])
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let text = String::from_utf8(output.stdout).unwrap();
    let lines = text
        .lines()
        .filter(|line| !line.starts_with("\\restrict") && !line.starts_with("\\unrestrict"));
    lines.collect::<Vec<_>>().join("\n")
}

#[tokio::test]
async fn migrations_go_up_down_and_up_to_the_same_schema() {
    let url = empty_database().await;
    let (first, bare, second) = blocking(move || {
        let pending = migrate::pending(&url).unwrap();
        assert!(!pending.is_empty());
        migrate::up(&url).unwrap();
        assert_eq!(migrate::pending(&url).unwrap(), Vec::<String>::new());
        let first = dump(&url);
        assert_eq!(migrate::down(&url).unwrap().len(), pending.len());
        let bare = dump(&url);
        assert_eq!(migrate::up(&url).unwrap().len(), pending.len());
        (first, bare, dump(&url))
    })
    .await;
    assert!(first.contains("CREATE TABLE public.bin_events"));
    assert_eq!(first, second);
    let left: Vec<_> = bare
        .lines()
        .filter(|line| line.starts_with("CREATE "))
        .collect();
    assert_eq!(left, ["CREATE TABLE public.__diesel_schema_migrations ("]);
}

#[tokio::test]
async fn copies_that_migrate_at_once_do_not_meet() {
    let url = empty_database().await;
    let running: Vec<_> = (0..4)
        .map(|_| {
            let url = url.clone();
            tokio::task::spawn_blocking(move || migrate::up(&url).unwrap().len())
        })
        .collect();
    let mut ran = 0;
    for running in running {
        ran += running.await.unwrap();
    }
    let all = blocking(move || migrate::down(&url).unwrap().len()).await;
    assert_eq!(ran, all);
}

#[test]
fn no_migration_reads_the_clock_or_makes_keys() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/migrations");
    let mut read = 0;
    for migration in std::fs::read_dir(folder).unwrap() {
        let sql = std::fs::read_to_string(migration.unwrap().path().join("up.sql")).unwrap();
        let code: String = sql
            .lines()
            .map(|line| line.split("--").next().unwrap().to_lowercase() + "\n")
            .collect();
        for forbidden in [
            "now()",
            "current_timestamp",
            "clock_timestamp",
            "gen_random_uuid",
        ] {
            assert!(!code.contains(forbidden), "{forbidden}");
        }
        // A plain number may stand as the default of an added column, or copies of the older
        // program, which do not name the column, could not write any more.
        for rest in code.split("default ").skip(1) {
            let value = rest.split([',', ';', ')', '\n']).next().unwrap();
            assert!(value.trim().parse::<i64>().is_ok(), "default {value}");
        }
        read += 1;
    }
    assert!(read > 0);
}
