//! Whose server it is: our own account's, or, when we are root, one that is
//! allowed to run Postgres.

use std::ffi::OsStr;
use std::os::unix::ffi::OsStringExt;
use std::os::unix::fs::MetadataExt;
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use nix::unistd::{Uid, User};

use super::StartError;

/// The shell that POSIX promises on every machine.
pub(super) const SHELL: &str = "/bin/sh";

const NAMES: [&str; 2] = ["postgres", "nobody"];

// The loader's paths matter to programs in unusual places. Everything else
// stays out: our secrets, and the PG… variables that would change the server.
const PASSED_ON: [&str; 3] = ["PATH", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH"];

/// An account to step down to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Account {
    pub(super) uid: u32,
    pub(super) gid: u32,
    pub(super) name: String,
}

/// The account that runs the server, or `None` when our own does.
/// Data that exist already are run by the account that owns them.
pub(super) fn to_step_down_to(cluster: &Path) -> Result<Option<Account>, StartError> {
    if !Uid::effective().is_root() {
        return Ok(None);
    }
    if let Ok(owned) = cluster.metadata()
        && owned.uid() != 0
    {
        let name = match User::from_uid(Uid::from_raw(owned.uid())) {
            Ok(Some(user)) => user.name,
            _ => owned.uid().to_string(),
        };
        return Ok(Some(Account {
            uid: owned.uid(),
            gid: owned.gid(),
            name,
        }));
    }
    for name in NAMES {
        if let Ok(Some(user)) = User::from_name(name)
            && !user.uid.is_root()
        {
            return Ok(Some(Account {
                uid: user.uid.as_raw(),
                gid: user.gid.as_raw(),
                name: user.name,
            }));
        }
    }
    Err(StartError::NoAccount)
}

/// A command run by that account, in the folder `/`, with a bare environment.
pub(super) fn command(program: impl AsRef<OsStr>, account: Option<&Account>) -> Command {
    let mut command = Command::new(program);
    command.current_dir("/").env_clear().env("LC_ALL", "C");
    for name in PASSED_ON {
        if let Some(value) = std::env::var_os(name) {
            command.env(name, value);
        }
    }
    if let Some(account) = account {
        // The standard library drops the supplementary groups along with root.
        command.uid(account.uid).gid(account.gid);
    }
    command
}

/// The first folder above `path` that the account can't pass through.
/// The account itself is asked, since modes don't tell everything.
pub(super) fn first_impassable(
    path: &Path,
    account: &Account,
) -> Result<Option<PathBuf>, StartError> {
    let mut above: Vec<&Path> = path.ancestors().skip(1).collect();
    above.reverse();
    let answer = command(SHELL, Some(account))
        .arg("-c")
        .arg(r#"for d; do [ -x "$d" ] || { printf %s "$d"; exit; }; done"#)
        .arg("sh")
        .args(above)
        .stdin(Stdio::null())
        .output()
        .map_err(StartError::system("ask about the way to", path))?;
    let blocked = PathBuf::from(std::ffi::OsString::from_vec(answer.stdout));
    Ok((!blocked.as_os_str().is_empty()).then_some(blocked))
}
