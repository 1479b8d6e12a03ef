//! The private Postgres, tried with real servers, real kills and, when the tests
//! run as root, a real change of account.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "helpers of tests are tests too; one process tells another on its output"
)]

use std::fs;
use std::io::{BufRead, BufReader};
use std::os::unix::fs::{DirBuilderExt, MetadataExt, PermissionsExt};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use diesel::sql_query;
use diesel::sql_types::Text;
use diesel_async::{AsyncConnection, AsyncPgConnection, RunQueryDsl, SimpleAsyncConnection};
use nix::sys::signal::{Signal, kill};
use nix::unistd::{Pid, Uid};
use wormrota::private_postgres::{DATABASE, Durability, PrivatePostgres, StartError, StopError};

/// Tells this program, when it has started itself again, what to do.
const ACT: &str = "WORMROTA_TEST_ACT";
/// The folder to do it on.
const ON: &str = "WORMROTA_TEST_ON";

/// A folder in memory that an account we step down to can reach.
fn scratch() -> tempfile::TempDir {
    let base = if Path::new("/dev/shm").is_dir() {
        "/dev/shm"
    } else {
        "/tmp"
    };
    let folder = tempfile::Builder::new()
        .prefix("wormrota-launcher-")
        .tempdir_in(base)
        .unwrap();
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).unwrap();
    folder
}

fn start(folder: &Path) -> PrivatePostgres {
    PrivatePostgres::start(folder, Durability::ForTests).unwrap()
}

#[derive(diesel::QueryableByName)]
struct Answer {
    #[diesel(sql_type = Text)]
    text: String,
}

/// Runs statements, then asks for one text, through the driver that the service uses.
fn ask(server: &PrivatePostgres, statements: &str, question: &str) -> String {
    tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap()
        .block_on(async {
            let mut connection = AsyncPgConnection::establish(&server.url(DATABASE))
                .await
                .unwrap();
            connection.batch_execute(statements).await.unwrap();
            let answer: Answer = sql_query(format!("SELECT ({question})::text AS text"))
                .get_result(&mut connection)
                .await
                .unwrap();
            answer.text
        })
}

fn runs(process_id: i32) -> bool {
    let processes = Path::new("/proc");
    if processes.join("self/cmdline").exists() {
        // What waits to be collected by its parent has no arguments left.
        fs::read(processes.join(process_id.to_string()).join("cmdline"))
            .is_ok_and(|line| !line.is_empty())
    } else {
        kill(Pid::from_raw(process_id), None).is_ok()
    }
}

fn ends_within(process_id: i32, limit: Duration) -> bool {
    let start = Instant::now();
    while runs(process_id) {
        if start.elapsed() > limit {
            return false;
        }
        sleep(Duration::from_millis(20));
    }
    true
}

fn kill_hard(process_id: i32) {
    kill(Pid::from_raw(process_id), Signal::SIGKILL).unwrap();
}

#[test]
fn a_new_cluster_answers_with_the_settings_the_service_counts_on() {
    let base = scratch();
    let server = PrivatePostgres::start(base.path(), Durability::Kept).unwrap();
    for (setting, value) in [
        ("fsync", "on"),
        ("full_page_writes", "on"),
        ("synchronous_commit", "on"),
        ("data_checksums", "on"),
        ("server_encoding", "UTF8"),
        ("lc_collate", "C"),
        ("timezone", "UTC"),
        ("max_connections", "200"),
        ("listen_addresses", ""),
    ] {
        let question = if setting == "lc_collate" {
            "SELECT datcollate FROM pg_database WHERE datname = current_database()".to_owned()
        } else {
            format!("current_setting('{setting}')")
        };
        assert_eq!(ask(&server, "", &question), value, "{setting}");
    }
    server.stop().unwrap();
}

#[test]
fn a_server_for_tests_does_not_wait_for_the_disk() {
    let server = PrivatePostgres::throwaway().unwrap();
    assert_eq!(ask(&server, "", "current_setting('fsync')"), "off");
    assert_eq!(
        ask(&server, "", "current_setting('full_page_writes')"),
        "off"
    );
}

#[test]
fn only_the_servers_account_can_come_near_the_data_or_the_socket() {
    let base = scratch();
    let server = start(base.path());
    let folder = server.data_folder().metadata().unwrap();
    assert_eq!(folder.mode() & 0o777, 0o700);
    let process = server.process_id().unwrap();
    if Uid::effective().is_root() {
        assert_ne!(folder.uid(), 0, "Postgres refuses to run as root");
    }
    if Path::new("/proc/self/cmdline").exists() {
        let runs_as = fs::metadata(format!("/proc/{process}")).unwrap().uid();
        assert_eq!(runs_as, folder.uid());
    }
    let socket = server.data_folder().join("socket/.s.PGSQL.5432");
    assert_eq!(socket.metadata().unwrap().mode() & 0o777, 0o700);
}

#[test]
fn a_throwaway_server_leaves_nothing_behind() {
    let server = PrivatePostgres::throwaway().unwrap();
    let folder = server.data_folder().to_owned();
    assert!(folder.join("cluster/PG_VERSION").exists());
    server.stop().unwrap();
    assert!(!folder.exists());
}

#[test]
fn two_services_run_side_by_side_on_two_folders() {
    let base = scratch();
    let one = start(&base.path().join("one"));
    let two = start(&base.path().join("two"));
    ask(
        &one,
        "CREATE TABLE t AS SELECT 'one' AS name",
        "SELECT name FROM t",
    );
    assert_eq!(ask(&two, "", "to_regclass('t') IS NULL"), "true");
    one.stop().unwrap();
    assert_eq!(ask(&two, "", "1 + 1"), "2");
}

#[test]
fn a_second_service_on_the_same_folder_is_refused_and_the_first_goes_on() {
    let base = scratch();
    let first = start(base.path());
    let error = PrivatePostgres::start(base.path(), Durability::ForTests).unwrap_err();
    assert_eq!(error.code(), "data_folder_in_use");
    assert!(error.to_string().contains("Stop it first"), "{error}");
    assert_eq!(ask(&first, "", "1 + 1"), "2");
}

#[test]
fn data_survive_a_restart() {
    let base = scratch();
    let server = PrivatePostgres::start(base.path(), Durability::Kept).unwrap();
    ask(
        &server,
        "CREATE TABLE t AS SELECT 'kept' AS word",
        "SELECT word FROM t",
    );
    let process = server.process_id().unwrap();
    server.stop().unwrap();
    assert!(!runs(process));
    let server = PrivatePostgres::start(base.path(), Durability::Kept).unwrap();
    assert_eq!(ask(&server, "", "SELECT word FROM t"), "kept");
}

#[test]
fn dropping_a_server_stops_it() {
    let base = scratch();
    let server = start(base.path());
    let process = server.process_id().unwrap();
    drop(server);
    assert!(!runs(process));
}

#[test]
fn stopping_does_not_wait_for_open_sessions() {
    let base = scratch();
    let server = start(base.path());
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap();
    let session = runtime
        .block_on(AsyncPgConnection::establish(&server.url(DATABASE)))
        .unwrap();
    let asked = Instant::now();
    server.stop().unwrap();
    assert!(asked.elapsed() < Duration::from_secs(10));
    drop(session);
}

#[test]
fn a_killed_server_is_noticed_and_starts_again_with_what_was_committed() {
    let base = scratch();
    let server = PrivatePostgres::start(base.path(), Durability::Kept).unwrap();
    ask(
        &server,
        "CREATE TABLE t AS SELECT 'kept' AS word",
        "SELECT word FROM t",
    );
    let process = server.process_id().unwrap();
    kill_hard(process);
    assert!(ends_within(process, Duration::from_secs(5)));
    assert_eq!(server.process_id(), None);
    assert!(matches!(server.stop(), Err(StopError::EndedBadly { .. })));

    let server = PrivatePostgres::start(base.path(), Durability::Kept).unwrap();
    assert_ne!(server.process_id(), Some(process));
    assert_eq!(ask(&server, "", "SELECT word FROM t"), "kept");
}

/// A service in a process of its own: this test program again, holding a server.
struct Service {
    process: Child,
    server: i32,
}

impl Service {
    fn on(folder: &Path) -> Self {
        let mut process = again("hold", folder).spawn().unwrap();
        let server = BufReader::new(process.stdout.take().unwrap())
            .lines()
            .find_map(|line| line.unwrap().strip_prefix("server ")?.parse().ok())
            .unwrap();
        Self { process, server }
    }

    fn kill(mut self) -> i32 {
        self.process.kill().unwrap();
        self.process.wait().unwrap();
        self.server
    }
}

/// Starts this test program again to do what stands in [`was_started_again`].
fn again(what: &str, folder: &Path) -> Command {
    let mut command = Command::new(std::env::current_exe().unwrap());
    command
        .args(["--exact", "--nocapture", "--test-threads=1"])
        .arg("a_killed_service_leaves_no_server_behind")
        .env(ACT, what)
        .env(ON, folder)
        .stdout(Stdio::piped());
    command
}

/// Whether this process was started by [`again`]; then it has done its part.
fn was_started_again() -> bool {
    let (Some(what), Some(folder)) = (std::env::var_os(ACT), std::env::var_os(ON)) else {
        return false;
    };
    match PrivatePostgres::start(Path::new(&folder), Durability::Kept) {
        Ok(server) if what == "hold" => {
            println!("\nserver {}", server.process_id().unwrap());
            sleep(Duration::from_secs(120));
        }
        Ok(_) => println!("\nstarted"),
        Err(error) => println!("\n{} {error}", error.code()),
    }
    true
}

#[test]
fn a_killed_service_leaves_no_server_behind() {
    if was_started_again() {
        return;
    }
    let base = scratch();
    let service = Service::on(base.path());
    assert!(runs(service.server));
    let server = service.kill();
    assert!(ends_within(server, Duration::from_secs(10)));
    assert!(!base.path().join("cluster/postmaster.pid").exists());
}

#[test]
fn the_next_service_may_come_before_the_killed_ones_server_has_ended() {
    let base = scratch();
    let left = Service::on(base.path()).kill();
    let server = start(base.path());
    assert!(!runs(left));
    assert_eq!(ask(&server, "", "1 + 1"), "2");
}

#[cfg(target_os = "linux")]
#[test]
fn a_server_that_lost_both_its_service_and_its_watchdog_is_stopped_first() {
    let base = scratch();
    let service = Service::on(base.path());
    let cluster = base.path().join("cluster");
    let cluster = cluster.as_os_str().as_encoded_bytes();
    let mut shells = 0;
    for entry in fs::read_dir("/proc").unwrap().flatten() {
        let line = fs::read(entry.path().join("cmdline")).unwrap_or_default();
        let names_ours = line.windows(cluster.len()).any(|part| part == cluster);
        if line.starts_with(b"/bin/sh\0") && names_ours {
            kill_hard(entry.file_name().to_str().unwrap().parse().unwrap());
            shells += 1;
        }
    }
    assert_eq!(shells, 2, "one waits for the server, one for the service");
    let left = service.kill();
    assert!(!ends_within(left, Duration::from_secs(2)), "nobody ends it");

    let server = start(base.path());
    assert!(!runs(left));
    assert_eq!(ask(&server, "", "1 + 1"), "2");
}

#[test]
fn a_wrong_pg_bin_is_named() {
    let base = scratch();
    let said = again("start", base.path())
        .env("PG_BIN", "/nowhere")
        .output()
        .unwrap();
    let said = String::from_utf8(said.stdout).unwrap();
    assert!(
        said.contains("pg_bin_unusable PG_BIN is /nowhere"),
        "{said}"
    );
}

#[test]
fn an_environment_made_for_another_postgres_changes_nothing() {
    let base = scratch();
    let said = again("start", base.path())
        .env("PGDATA", "/nowhere")
        .env("PGPORT", "1")
        .env("PGOPTIONS", "-c nonsense=1")
        .output()
        .unwrap();
    let said = String::from_utf8(said.stdout).unwrap();
    assert!(said.lines().any(|line| line == "started"), "{said}");
}

#[test]
fn a_stale_lock_with_the_number_of_somebody_elses_process_is_no_hindrance() {
    let base = scratch();
    start(base.path()).stop().unwrap();
    let cluster = base.path().join("cluster");
    let owner = cluster.metadata().unwrap();
    // A process of the same account: to the server's own check it is a running server.
    let mut stranger = Command::new("/bin/sleep");
    if Uid::effective().is_root() {
        use std::os::unix::process::CommandExt;
        stranger.uid(owner.uid()).gid(owner.gid());
    }
    let mut stranger = stranger.arg("60").spawn().unwrap();
    let file = cluster.join("postmaster.pid");
    let text = format!(
        "{}\n{}\n1790000000\n5432\n/nowhere\n\n 1 1\nready   \n",
        stranger.id(),
        cluster.display()
    );
    fs::write(&file, text).unwrap();
    std::os::unix::fs::chown(&file, Some(owner.uid()), Some(owner.gid())).unwrap();

    let server = start(base.path());
    assert_ne!(server.process_id(), i32::try_from(stranger.id()).ok());
    assert_eq!(ask(&server, "", "1 + 1"), "2");
    assert!(stranger.try_wait().unwrap().is_none(), "it was left alone");
    stranger.kill().unwrap();
    stranger.wait().unwrap();
}

#[test]
fn a_folder_too_deep_for_a_socket_gets_one_elsewhere_and_it_is_cleared_away() {
    let base = scratch();
    let deep = base.path().join("deep, \"odd\" and long ".repeat(6));
    let server = start(&deep);
    let url = server.url(DATABASE);
    let socket = url
        .split("host=")
        .nth(1)
        .unwrap()
        .split('&')
        .next()
        .unwrap()
        .replace("%2F", "/");
    assert!(socket.starts_with("/tmp/wormrota-"), "{socket}");
    assert_eq!(Path::new(&socket).metadata().unwrap().mode() & 0o777, 0o700);
    assert_eq!(ask(&server, "", "1 + 1"), "2");
    server.stop().unwrap();
    assert!(!Path::new(&socket).exists());
}

#[test]
fn a_folder_with_other_files_is_refused_and_left_as_it_was() {
    let base = scratch();
    fs::write(base.path().join("letter.txt"), "hello").unwrap();
    let before = base.path().metadata().unwrap();
    let error = PrivatePostgres::start(base.path(), Durability::ForTests).unwrap_err();
    assert!(matches!(error, StartError::NotOurs { .. }), "{error}");
    let after = base.path().metadata().unwrap();
    assert_eq!((before.uid(), before.mode()), (after.uid(), after.mode()));
    assert_eq!(fs::read_dir(base.path()).unwrap().count(), 1);
}

#[test]
fn data_of_a_version_that_is_not_here_are_refused_by_name() {
    let base = scratch();
    start(base.path()).stop().unwrap();
    fs::write(base.path().join("cluster/PG_VERSION"), "9\n").unwrap();
    let error = PrivatePostgres::start(base.path(), Durability::ForTests).unwrap_err();
    assert_eq!(error.code(), "data_of_other_version");
    assert!(error.to_string().contains("Install Postgres 9"), "{error}");
}

#[test]
fn a_server_that_ends_early_says_why() {
    let base = scratch();
    start(base.path()).stop().unwrap();
    let settings = base.path().join("cluster/postgresql.conf");
    fs::write(&settings, "shared_buffers = 'a lot'\n").unwrap();
    let asked = Instant::now();
    let error = PrivatePostgres::start(base.path(), Durability::ForTests).unwrap_err();
    assert!(asked.elapsed() < Duration::from_secs(5));
    assert_eq!(error.code(), "postgres_ended_early");
    assert!(error.to_string().contains("shared_buffers"), "{error}");
}

#[test]
fn a_start_that_broke_off_half_way_is_made_good() {
    let base = scratch();
    fs::write(base.path().join("launcher.lock"), "").unwrap();
    let half = base.path().join("unfinished-cluster-1-0");
    fs::create_dir(&half).unwrap();
    fs::write(half.join("PG_VERSION"), "15\n").unwrap();
    let server = start(base.path());
    assert_eq!(ask(&server, "", "1 + 1"), "2");
    assert!(!half.exists());
}

#[test]
fn messages_hold_no_statement_and_no_value() {
    let base = scratch();
    let server = start(base.path());
    let failed = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
        ask(
            &server,
            "CREATE TABLE t (mail text UNIQUE); INSERT INTO t VALUES ('ida@example.org'), ('ida@example.org')",
            "1",
        )
    }));
    assert!(failed.is_err());
    let log = fs::read_to_string(server.log_file()).unwrap();
    assert!(log.contains("duplicate key"), "{log}");
    assert!(!log.contains("ida@example.org"), "{log}");
}

/// Only root has to step down, so only root can meet this.
#[test]
fn where_the_servers_account_cannot_pass_the_data_go_elsewhere_and_stay_there() {
    let base = scratch();
    let closed = base.path().join("closed");
    fs::DirBuilder::new().mode(0o700).create(&closed).unwrap();
    let asked = closed.join("data");
    let server = PrivatePostgres::start(&asked, Durability::ForTests).unwrap();
    if !Uid::effective().is_root() {
        assert_eq!(server.data_folder(), asked.canonicalize().unwrap());
        return;
    }
    let data = server.data_folder().to_owned();
    let told = fs::read_to_string(asked.join("moved-to")).unwrap();
    assert_eq!(PathBuf::from(told.trim()), data);
    assert!(data.starts_with("/var/lib/wormrota"));
    ask(
        &server,
        "CREATE TABLE t AS SELECT 'kept' AS word",
        "SELECT word FROM t",
    );

    let error = PrivatePostgres::start(&asked, Durability::ForTests).unwrap_err();
    assert_eq!(error.code(), "data_folder_in_use");
    server.stop().unwrap();

    let server = PrivatePostgres::start(&asked, Durability::ForTests).unwrap();
    assert_eq!(server.data_folder(), data);
    assert_eq!(ask(&server, "", "SELECT word FROM t"), "kept");
    server.stop().unwrap();

    fs::remove_dir_all(&data).unwrap();
    let error = PrivatePostgres::start(&asked, Durability::ForTests).unwrap_err();
    assert_eq!(error.code(), "data_gone");
}
