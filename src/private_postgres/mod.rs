//! A private Postgres: the server programs of this machine, run on a folder of
//! our own and reached through a socket that only this account can open.
//!
//! The server never listens on a network. It ends when [`PrivatePostgres`] is
//! stopped or dropped, and also when this process dies without a word: a small
//! shell beside it watches a pipe that only this process holds open.

mod account;
mod cluster;
mod errors;
mod pid_file;
mod place;
mod programs;
mod sockets;
mod watchdog;

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::thread::sleep;
use std::time::{Duration, Instant};

use pid_file::PidFile;
use place::Place;
use programs::Programs;
use sockets::SocketFolder;
use watchdog::Watchdog;

pub use errors::{StartError, StopError};

/// The database that every cluster made here has from its first start.
pub const DATABASE: &str = "wormrota";

/// The database role that owns everything; it has no password.
pub const ROLE: &str = "wormrota";

/// How long a server may take until it answers. Recovery after a crash replays
/// at most the log since the last checkpoint, five minutes of work by default.
const READY_WITHIN: Duration = Duration::from_secs(120);

/// What a server that was killed leaves behind (its lock, its last children)
/// goes away by itself within a second or two.
const LEFTOVERS_GONE_WITHIN: Duration = Duration::from_secs(10);

const POLL: Duration = Duration::from_millis(10);

/// How much of a crash the data must survive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Durability {
    /// Everything that was committed survives a crash of the machine.
    Kept,
    /// Nothing is written through to the disk: quick, and lost with the machine.
    ForTests,
}

/// A running server. Dropping it stops the server.
#[derive(Debug)]
pub struct PrivatePostgres {
    // Dropped first: the folder's lock is let go only when the server has ended.
    watchdog: Watchdog,
    sockets: SocketFolder,
    pid_file: PidFile,
    place: Place,
}

impl PrivatePostgres {
    /// Starts a server on `folder`, which is made if it is missing and belongs to
    /// the server alone. Blocks for about a second the first time, then for less
    /// than a tenth of one.
    ///
    /// Postgres refuses to run as root. A root process runs it as the account
    /// `postgres`, else `nobody`, and hands the folder to that account. Where that
    /// account can't reach the folder (a clone under `/root`, say), the data goes
    /// to a new folder under `/var/lib/wormrota`, and a file `moved-to` in
    /// `folder` says which one. [`Self::data_folder`] tells where the data is.
    ///
    /// Several servers may run at once, one on each folder. A second on the same
    /// folder is refused. What a killed predecessor left running there is stopped.
    ///
    /// # Errors
    /// See [`StartError`]; each says what to do.
    pub fn start(folder: &Path, durability: Durability) -> Result<Self, StartError> {
        Self::start_at(Place::claim(folder)?, durability, None)
    }

    /// Starts a server for a test run on a new folder in memory (`/dev/shm`, else
    /// the temporary folder). The folder goes away with the server, even if this
    /// process is killed, so that it may be kept in a static.
    ///
    /// # Errors
    /// See [`StartError`]; each says what to do.
    pub fn throwaway() -> Result<Self, StartError> {
        let folder = place::scratch_folder()?;
        Place::claim(&folder)
            .and_then(|place| Self::start_at(place, Durability::ForTests, Some(&folder)))
            .inspect_err(|_| watchdog::clear_away(&folder))
    }

    fn start_at(
        place: Place,
        durability: Durability,
        removed_after: Option<&Path>,
    ) -> Result<Self, StartError> {
        let account = place.account();
        let programs = Programs::find(cluster::major_of(&place)?, account, place.folder())?;
        let pid_file = PidFile::in_cluster(place.cluster());
        pid_file.stop_orphan(LEFTOVERS_GONE_WITHIN)?;
        cluster::make_if_missing(&place, &programs, durability)?;

        let gives_up = Instant::now() + LEFTOVERS_GONE_WITHIN;
        loop {
            let before = pid_file.text();
            let sockets = SocketFolder::make(place.folder(), account)?;
            let arguments = server_arguments(&place, &sockets, durability);
            let mut watchdog = Watchdog::spawn(&watchdog::Orders {
                program: &programs.postgres(),
                arguments: &arguments,
                account,
                log: &place.fresh_log()?,
                pid_file: &pid_file,
                removed_after,
                sockets_removed_after: sockets.elsewhere(),
            })?;
            match wait_until_ready(&mut watchdog, &pid_file, before.as_deref(), &place)? {
                Start::Ready => {
                    return Ok(Self {
                        watchdog,
                        sockets,
                        pid_file,
                        place,
                    });
                }
                Start::HeldUp(_) if Instant::now() < gives_up => sleep(Duration::from_millis(200)),
                Start::HeldUp(tail) => {
                    return Err(StartError::EndedEarly {
                        log: place.log_file(),
                        tail,
                    });
                }
            }
        }
    }

    /// The address of one of its databases, in the form `tokio-postgres` reads.
    /// [`DATABASE`] is there from the first start; others are made with SQL.
    #[must_use]
    pub fn url(&self, database: &str) -> String {
        self.sockets.url(ROLE, database)
    }

    /// The folder that holds the data: the one that was asked for, or the one
    /// that it had to be moved to.
    #[must_use]
    pub fn data_folder(&self) -> &Path {
        self.place.folder()
    }

    /// Process id of the server, if it is running.
    #[must_use]
    pub fn process_id(&self) -> Option<i32> {
        self.pid_file.running_server()
    }

    /// Where the server writes its messages. Statements and values are kept out
    /// of them.
    #[must_use]
    pub fn log_file(&self) -> PathBuf {
        self.place.log_file()
    }

    /// Ends open sessions, writes everything down and waits for the end.
    ///
    /// # Errors
    /// See [`StopError`]. The data are safe in each case: the next start recovers.
    pub fn stop(mut self) -> Result<(), StopError> {
        self.watchdog.stop()
    }
}

enum Start {
    Ready,
    /// What a killed predecessor left behind was still there; the server's words.
    HeldUp(String),
}

fn wait_until_ready(
    watchdog: &mut Watchdog,
    pid_file: &PidFile,
    before: Option<&str>,
    place: &Place,
) -> Result<Start, StartError> {
    let gives_up = Instant::now() + READY_WITHIN;
    loop {
        if watchdog.ended()? {
            let tail = place.log_tail();
            // The server speaks English here: its cluster has the locale C.
            let held_up = tail.contains("is still in use") || tail.contains("already exists");
            return if held_up {
                Ok(Start::HeldUp(tail))
            } else {
                Err(StartError::EndedEarly {
                    log: place.log_file(),
                    tail,
                })
            };
        }
        // A server that was killed leaves a file that still says ready.
        let text = pid_file.text();
        if text.as_deref() != before && text.as_deref().is_some_and(pid_file::says_ready) {
            return Ok(Start::Ready);
        }
        if Instant::now() > gives_up {
            return Err(StartError::TooSlow {
                seconds: READY_WITHIN.as_secs(),
                log: place.log_file(),
            });
        }
        sleep(POLL);
    }
}

fn server_arguments(
    place: &Place,
    sockets: &SocketFolder,
    durability: Durability,
) -> Vec<OsString> {
    let mut arguments: Vec<OsString> = vec!["-D".into(), place.cluster().into()];
    let mut set = |name: &str, value: &dyn AsRef<std::ffi::OsStr>| {
        let mut setting = OsString::from(format!("{name}="));
        setting.push(value);
        arguments.extend(["-c".into(), setting]);
    };
    set("listen_addresses", &"");
    set("unix_socket_directories", &sockets.folder());
    set("unix_socket_permissions", &"0700");
    set("port", &sockets::PORT.to_string());
    set("max_connections", &"200");
    set("timezone", &"UTC");
    set("log_timezone", &"UTC");
    set("logging_collector", &"off");
    set("log_destination", &"stderr");
    set("log_checkpoints", &"off");
    // People's names and addresses stand in statements and in the details of
    // errors; neither belongs in a log.
    set("log_min_error_statement", &"panic");
    set("log_error_verbosity", &"terse");
    match durability {
        Durability::Kept => {
            set("fsync", &"on");
            set("full_page_writes", &"on");
            set("synchronous_commit", &"on");
        }
        Durability::ForTests => {
            set("fsync", &"off");
            set("full_page_writes", &"off");
            set("synchronous_commit", &"off");
        }
    }
    arguments
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A server that has only just begun ignores being asked to end.
    #[test]
    fn a_server_is_ended_even_if_the_service_dies_while_it_starts() {
        let folder = place::scratch_folder().unwrap();
        let place = Place::claim(&folder).unwrap();
        let programs = Programs::find(None, place.account(), &folder).unwrap();
        cluster::make_if_missing(&place, &programs, Durability::ForTests).unwrap();
        let pid_file = PidFile::in_cluster(place.cluster());
        for wait in [0, 1, 3, 10, 30] {
            let sockets = SocketFolder::make(place.folder(), place.account()).unwrap();
            let mut watchdog = Watchdog::spawn(&watchdog::Orders {
                program: &programs.postgres(),
                arguments: &server_arguments(&place, &sockets, Durability::ForTests),
                account: place.account(),
                log: &place.fresh_log().unwrap(),
                pid_file: &pid_file,
                removed_after: None,
                sockets_removed_after: None,
            })
            .unwrap();
            sleep(Duration::from_millis(wait));
            let asked = Instant::now();
            let stopped = watchdog.stop();
            assert!(stopped.is_ok(), "after {wait} ms: {stopped:?}");
            assert!(asked.elapsed() < Duration::from_secs(10));
            assert_eq!(pid_file.running_server(), None);
        }
        watchdog::clear_away(&folder);
    }
}
