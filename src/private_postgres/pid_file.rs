//! The server's own lock file, `postmaster.pid`, and the process that it names.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::thread::sleep;
use std::time::{Duration, Instant};

use nix::errno::Errno;
use nix::sys::signal::{Signal, kill};
use nix::unistd::Pid;

use super::{POLL, StartError};

const PROCESSES: &str = "/proc";

/// The file that a server writes into its data when it starts.
#[derive(Clone, Debug)]
pub(super) struct PidFile {
    file: PathBuf,
    cluster: PathBuf,
}

/// What a process is to a cluster.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Process {
    Gone,
    ItsServer,
    Stranger,
    Unclear,
}

impl PidFile {
    pub(super) fn in_cluster(cluster: PathBuf) -> Self {
        Self {
            file: cluster.join("postmaster.pid"),
            cluster,
        }
    }

    pub(super) fn text(&self) -> Option<String> {
        fs::read_to_string(&self.file).ok()
    }

    fn process_id(&self) -> Option<i32> {
        let first = self.text()?.lines().next()?.trim().parse::<i32>().ok()?;
        // A pid of 0 or less means a group or everybody to the kill call.
        (first > 1).then_some(first)
    }

    /// Process id of the server of this cluster, if it runs.
    pub(super) fn running_server(&self) -> Option<i32> {
        self.process_id()
            .filter(|&id| self.look_at(id) == Process::ItsServer)
    }

    /// Stops a server that a killed service left behind, and removes a file that
    /// names a process which has nothing to do with us: the server itself would
    /// take that for a running server. A file of a process that is gone is left to
    /// the next server, which then also looks for the last children of the dead.
    ///
    /// The caller holds the folder's lock, so that no service owns what runs here.
    pub(super) fn stop_orphan(&self, within: Duration) -> Result<(), StartError> {
        let Some(process_id) = self.process_id() else {
            return Ok(());
        };
        match self.look_at(process_id) {
            Process::Gone => Ok(()),
            Process::Stranger => match fs::remove_file(&self.file) {
                Err(error) if error.kind() != io::ErrorKind::NotFound => {
                    Err(StartError::system("remove", &self.file)(error))
                }
                _ => Ok(()),
            },
            Process::Unclear => Err(StartError::UnclearLock {
                file: self.file.clone(),
                process_id,
            }),
            Process::ItsServer => {
                tracing::warn!(
                    process_id,
                    "stopping a Postgres that an earlier service left running"
                );
                // First the orderly way, then the quick one that is repaired at the next start.
                for signal in [Signal::SIGINT, Signal::SIGQUIT] {
                    self.ask_to_end(process_id, signal)?;
                    if self.ends_within(process_id, within) {
                        return Ok(());
                    }
                }
                Err(StartError::OrphanStays {
                    process_id,
                    folder: self.cluster.clone(),
                })
            }
        }
    }

    /// Whether the server of this cluster, if one runs, ends in time.
    pub(super) fn server_ends_within(&self, within: Duration) -> bool {
        self.process_id()
            .is_none_or(|id| self.ends_within(id, within))
    }

    fn ends_within(&self, process_id: i32, within: Duration) -> bool {
        let gives_up = Instant::now() + within;
        while self.look_at(process_id) == Process::ItsServer {
            if Instant::now() > gives_up {
                return false;
            }
            sleep(POLL);
        }
        true
    }

    fn ask_to_end(&self, process_id: i32, signal: Signal) -> Result<(), StartError> {
        match kill(Pid::from_raw(process_id), signal) {
            Ok(()) | Err(Errno::ESRCH) => Ok(()),
            Err(error) => Err(StartError::system(
                "stop the earlier server of",
                &self.cluster,
            )(error.into())),
        }
    }

    fn look_at(&self, process_id: i32) -> Process {
        if kill(Pid::from_raw(process_id), None) == Err(Errno::ESRCH) {
            return Process::Gone;
        }
        let processes = Path::new(PROCESSES);
        if processes.join("self/cmdline").exists() {
            self.look_at_linux(&processes.join(process_id.to_string()))
        } else {
            self.look_at_elsewhere(process_id)
        }
    }

    fn look_at_linux(&self, process: &Path) -> Process {
        let Ok(line) = fs::read(process.join("cmdline")) else {
            return match process.try_exists() {
                Ok(false) => Process::Gone,
                _ => Process::Unclear,
            };
        };
        // What has ended and only waits to be collected has no arguments left.
        if line.is_empty() {
            return Process::Gone;
        }
        let mut words = line.split(|&byte| byte == 0);
        if !words.next().is_some_and(is_postgres) {
            return Process::Stranger;
        }
        let cluster = self.cluster.as_os_str().as_encoded_bytes();
        let words: Vec<&[u8]> = words.collect();
        if words.windows(2).any(|pair| pair == [b"-D", cluster]) {
            return Process::ItsServer;
        }
        // Somebody may have started it with another spelling of the path.
        match fs::read_link(process.join("cwd")) {
            Ok(at) if at == self.cluster => Process::ItsServer,
            Ok(_) => Process::Stranger,
            Err(_) => Process::Unclear,
        }
    }

    fn look_at_elsewhere(&self, process_id: i32) -> Process {
        let Ok(answer) = std::process::Command::new("/bin/ps")
            .args(["-ww", "-o", "args=", "-p", &process_id.to_string()])
            .output()
        else {
            return Process::Unclear;
        };
        let line = String::from_utf8_lossy(&answer.stdout);
        let line = line.trim();
        let program = line.split(" -").next().unwrap_or(line);
        if line.is_empty() || line.contains("<defunct>") {
            Process::Gone
        } else if !is_postgres(program.as_bytes()) {
            Process::Stranger
        } else if line.contains(&format!("-D {} ", self.cluster.display())) {
            Process::ItsServer
        } else {
            Process::Unclear
        }
    }
}

/// Whether the text of a lock file says that the server takes connections.
/// Line 8 is its state: <https://www.postgresql.org/docs/current/storage-file-layout.html>
/// lists the file; the states stand in the server's `pidfile.h`.
pub(super) fn says_ready(text: &str) -> bool {
    text.lines()
        .nth(7)
        .is_some_and(|line| line.trim() == "ready")
}

fn is_postgres(program: &[u8]) -> bool {
    program
        .rsplit(|&byte| byte == b'/')
        .next()
        .is_some_and(|name| name == b"postgres")
}

#[cfg(test)]
mod tests {
    use super::{PidFile, Process, is_postgres, says_ready};

    #[test]
    fn only_the_eighth_line_tells_that_it_is_ready() {
        let lines = "41\n/d\n1790000000\n5432\n/s\n\n  1 2\n";
        assert!(says_ready(&format!("{lines}ready   \n")));
        assert!(!says_ready(&format!("{lines}starting\n")));
        assert!(!says_ready(lines));
        assert!(!says_ready("ready\n"));
    }

    #[test]
    fn a_servers_children_are_not_taken_for_it() {
        assert!(is_postgres(b"/usr/lib/postgresql/15/bin/postgres"));
        assert!(is_postgres(b"postgres"));
        assert!(!is_postgres(b"postgres: checkpointer "));
        assert!(!is_postgres(b"/usr/bin/psql"));
    }

    #[test]
    fn our_own_process_is_a_stranger_to_every_cluster() {
        let file = PidFile::in_cluster("/nowhere/cluster".into());
        let id = i32::try_from(std::process::id()).unwrap();
        assert_eq!(file.look_at(id), Process::Stranger);
        assert_eq!(file.look_at(i32::MAX), Process::Gone);
    }
}
