//! What can go wrong when starting and stopping, and what to do about it.

use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

/// Why the private Postgres didn't start. Each sentence says what to do.
#[derive(Debug, Error)]
pub enum StartError {
    /// No usable server programs were found.
    #[error(
        "No Postgres server programs (initdb and postgres, version {oldest} or later) were found on this machine. \
         Run config/postgres-programs, or install them yourself (apt: postgresql; dnf: postgresql-server; \
         apk: postgresql; pacman: postgresql; brew: postgresql@17) and set PG_BIN to their folder if they \
         are in an unusual place. Or set DATABASE_URL to a Postgres that runs already, for example the one \
         in docker-compose.yml.{}", looked_at(.unusable)
    )]
    NoPrograms {
        /// Oldest major version that will do.
        oldest: u32,
        /// Programs that were found but can't be used, each with the reason.
        unusable: Vec<String>,
    },
    /// `PG_BIN` names programs that can't be used.
    #[error("PG_BIN is {}, but {reason}. Correct PG_BIN, or unset it to let the programs be found.", .folder.display())]
    UnusablePgBin {
        /// What `PG_BIN` says.
        folder: PathBuf,
        /// Half a sentence.
        reason: String,
    },
    /// The data was made by another major version.
    #[error(
        "The data in {} was made by Postgres {made_by}, and only other versions were found ({found}). \
         Install Postgres {made_by} (or set PG_BIN to its folder), or move the folder away to begin with \
         empty data.", .folder.display()
    )]
    OtherMajor {
        /// The data folder.
        folder: PathBuf,
        /// Major version that made it.
        made_by: u32,
        /// Major versions on this machine.
        found: String,
    },
    /// Another service runs on this folder.
    #[error("Another running service already uses {}. Stop it first, or give this one a folder of its own.", .folder.display())]
    InUse {
        /// The folder in question.
        folder: PathBuf,
    },
    /// The folder holds something else.
    #[error(
        "{} already holds other files, and the database needs a folder to itself. \
         Name a new or an empty one.", .folder.display()
    )]
    NotOurs {
        /// The folder in question.
        folder: PathBuf,
    },
    /// The server's account can't get to its data.
    #[error(
        "Postgres doesn't run as root, and the account {account} can't pass through {}. \
         Let it pass (chmod o+x {}), or move the data folder.", .blocked.display(), .blocked.display()
    )]
    Unreachable {
        /// The first folder on the way that it can't pass.
        blocked: PathBuf,
        /// The account that runs the server.
        account: String,
    },
    /// The data was moved once, and now it is gone from there.
    #[error(
        "{} says that the data is in {}, but nothing is there. Put it back, \
         or delete {} to begin with empty data.", .pointer.display(), .target.display(), .pointer.display()
    )]
    DataGone {
        /// The file that says where the data is.
        pointer: PathBuf,
        /// Where it should be.
        target: PathBuf,
    },
    /// Running as root on a machine with neither of the two accounts.
    #[error(
        "Postgres doesn't run as root, and this machine has neither an account postgres nor nobody to run it as. \
         Start the service from an ordinary account."
    )]
    NoAccount,
    /// A server without a service wouldn't end.
    #[error(
        "An earlier Postgres (process {process_id}) still runs on {} and did not end when asked. \
         Stop it and start again.", .folder.display()
    )]
    OrphanStays {
        /// Its process id.
        process_id: i32,
        /// The folder it runs on.
        folder: PathBuf,
    },
    /// It can't be told whether the process in the lock file is our server.
    #[error(
        "{} names process {process_id}, a Postgres of which can't be told whether it runs on this folder. \
         If it doesn't, delete that file and start again.", .file.display()
    )]
    UnclearLock {
        /// The server's lock file.
        file: PathBuf,
        /// The process it names.
        process_id: i32,
    },
    /// Making new data failed.
    #[error("{program} could not make a new database in {}. It said:\n{output}", .folder.display())]
    NotMade {
        /// Which program failed.
        program: &'static str,
        /// Where.
        folder: PathBuf,
        /// Its last words.
        output: String,
    },
    /// The server ended before it answered.
    #[error("Postgres ended before it was ready. The end of {} says:\n{tail}", .log.display())]
    EndedEarly {
        /// The whole log.
        log: PathBuf,
        /// Its last lines.
        tail: String,
    },
    /// The server wasn't ready in time.
    #[error("Postgres was not ready after {seconds} seconds. See {}.", .log.display())]
    TooSlow {
        /// How long we waited, in seconds.
        seconds: u64,
        /// The whole log.
        log: PathBuf,
    },
    /// The operating system said no.
    #[error("Could not {deed} {}: {source}.{}", .path.display(), hint(.source))]
    System {
        /// What was tried, as a verb.
        deed: &'static str,
        /// What it was tried on.
        path: PathBuf,
        /// The system's answer.
        source: io::Error,
    },
}

impl StartError {
    /// Stable name for logs and programs.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::NoPrograms { .. } => "postgres_programs_missing",
            Self::UnusablePgBin { .. } => "pg_bin_unusable",
            Self::OtherMajor { .. } => "data_of_other_version",
            Self::InUse { .. } => "data_folder_in_use",
            Self::NotOurs { .. } => "data_folder_holds_other_files",
            Self::Unreachable { .. } => "data_folder_unreachable",
            Self::DataGone { .. } => "data_gone",
            Self::NoAccount => "no_account_for_postgres",
            Self::OrphanStays { .. } => "earlier_postgres_stays",
            Self::UnclearLock { .. } => "postgres_lock_unclear",
            Self::NotMade { .. } => "database_not_made",
            Self::EndedEarly { .. } => "postgres_ended_early",
            Self::TooSlow { .. } => "postgres_too_slow",
            Self::System { .. } => "system_refused",
        }
    }

    pub(super) fn system(deed: &'static str, path: &Path) -> impl FnOnce(io::Error) -> Self {
        let path = path.to_owned();
        move |source| Self::System { deed, path, source }
    }
}

/// Why stopping didn't go as it should.
#[derive(Debug, Error)]
pub enum StopError {
    /// It had ended before, or ended with an error.
    #[error("Postgres had ended by itself or ended badly ({status}). The end of {} says:\n{tail}", .log.display())]
    EndedBadly {
        /// How it ended.
        status: String,
        /// The whole log.
        log: PathBuf,
        /// Its last lines.
        tail: String,
    },
    /// It doesn't end.
    #[error("Postgres still runs {seconds} seconds after it was asked to stop. See {}.", .log.display())]
    StillRunning {
        /// How long we waited, in seconds.
        seconds: u64,
        /// The whole log.
        log: PathBuf,
    },
    /// The operating system couldn't say how it ended.
    #[error("Could not learn how Postgres ended: {0}.")]
    System(#[from] io::Error),
}

impl StopError {
    /// Stable name for logs and programs.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::EndedBadly { .. } => "postgres_ended_badly",
            Self::StillRunning { .. } => "postgres_still_running",
            Self::System(_) => "system_refused",
        }
    }
}

fn looked_at(unusable: &[String]) -> String {
    if unusable.is_empty() {
        String::new()
    } else {
        format!(" Found but not usable: {}.", unusable.join("; "))
    }
}

fn hint(source: &io::Error) -> &'static str {
    if source.kind() == io::ErrorKind::PermissionDenied {
        " Start the service from the account that owns it, or choose another data folder."
    } else {
        ""
    }
}
