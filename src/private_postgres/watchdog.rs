//! The shell between us and the server. It ends the server when we let go of a
//! pipe, and the system lets go of it for us if we die.

use std::ffi::{OsStr, OsString};
use std::fs::OpenOptions;
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use super::account::{self, Account, SHELL};
use super::pid_file::PidFile;
use super::{POLL, StartError, StopError, place};

const SCRIPT: &str = include_str!("watchdog.sh");

/// The script turns to a harder signal after 30 seconds.
const ENDS_WITHIN: Duration = Duration::from_secs(45);

/// What to run, and what to tidy up afterwards.
pub(super) struct Orders<'a> {
    pub(super) program: &'a Path,
    pub(super) arguments: &'a [OsString],
    pub(super) account: Option<&'a Account>,
    pub(super) log: &'a Path,
    pub(super) pid_file: &'a PidFile,
    pub(super) removed_after: Option<&'a Path>,
    pub(super) sockets_removed_after: Option<&'a Path>,
}

#[derive(Debug)]
pub(super) struct Watchdog {
    shell: Option<Child>,
    removed_after: Option<PathBuf>,
    log: PathBuf,
    pid_file: PidFile,
}

impl Watchdog {
    pub(super) fn spawn(orders: &Orders<'_>) -> Result<Self, StartError> {
        let log = OpenOptions::new()
            .append(true)
            .open(orders.log)
            .map_err(StartError::system("open", orders.log))?;
        let log_again = log
            .try_clone()
            .map_err(StartError::system("open", orders.log))?;
        let nothing = OsStr::new("");
        let shell = account::command(SHELL, orders.account)
            .args(["-c", SCRIPT, "wormrota-postgres"])
            .arg(orders.removed_after.map_or(nothing, Path::as_os_str))
            .arg(
                orders
                    .sockets_removed_after
                    .map_or(nothing, Path::as_os_str),
            )
            .arg(orders.program)
            .args(orders.arguments)
            .stdin(Stdio::piped())
            .stdout(log)
            .stderr(log_again)
            // Ctrl-C in a terminal is for the service, which still needs the server.
            .process_group(0)
            .spawn()
            .map_err(StartError::system("run", Path::new(SHELL)))?;
        Ok(Self {
            shell: Some(shell),
            removed_after: orders.removed_after.map(Path::to_owned),
            log: orders.log.to_owned(),
            pid_file: orders.pid_file.clone(),
        })
    }

    pub(super) fn ended(&mut self) -> Result<bool, StartError> {
        match &mut self.shell {
            Some(shell) => shell
                .try_wait()
                .map(|status| status.is_some())
                .map_err(StartError::system("watch", Path::new(SHELL))),
            None => Ok(true),
        }
    }

    /// Lets go of the pipe and waits. The second time it does nothing.
    pub(super) fn stop(&mut self) -> Result<(), StopError> {
        let Some(mut shell) = self.shell.take() else {
            return Ok(());
        };
        drop(shell.stdin.take());
        let gives_up = Instant::now() + ENDS_WITHIN;
        let still_running = || StopError::StillRunning {
            seconds: ENDS_WITHIN.as_secs(),
            log: self.log.clone(),
        };
        let status = loop {
            if let Some(status) = shell.try_wait()? {
                break status;
            }
            if Instant::now() > gives_up {
                return Err(still_running());
            }
            sleep(POLL);
        };
        // The shell may have been killed; its other half then ends the server.
        let left = gives_up.saturating_duration_since(Instant::now());
        if !self.pid_file.server_ends_within(left) {
            return Err(still_running());
        }
        let outcome = if status.success() {
            Ok(())
        } else {
            Err(StopError::EndedBadly {
                status: status.to_string(),
                log: self.log.clone(),
                tail: place::tail(&self.log),
            })
        };
        // The shell does this too, but not after a bad end, and its account can't
        // always remove the folder itself.
        if let Some(folder) = &self.removed_after {
            clear_away(folder);
        }
        outcome
    }
}

/// Removes a folder that nobody will miss; that it stays is no failure.
pub(super) fn clear_away(folder: &Path) {
    if let Err(error) = std::fs::remove_dir_all(folder)
        && error.kind() != std::io::ErrorKind::NotFound
    {
        tracing::warn!(folder = %folder.display(), %error, "a scratch folder stays behind");
    }
}

impl Drop for Watchdog {
    fn drop(&mut self) {
        if let Err(error) = self.stop() {
            tracing::warn!(code = error.code(), "{error}");
        }
    }
}
