//! Making the server's data on the first start.

use std::ffi::OsStr;
use std::fs;
use std::io::{self, Write};
use std::path::Path;
use std::process::{Output, Stdio};

use super::account;
use super::place::{Place, last_lines};
use super::programs::Programs;
use super::{DATABASE, Durability, ROLE, StartError};

const UNFINISHED: &str = "unfinished-";

/// The major version that made the data, or `None` when there is none yet.
pub(super) fn major_of(place: &Place) -> Result<Option<u32>, StartError> {
    let file = place.cluster().join("PG_VERSION");
    match fs::read_to_string(&file) {
        Ok(text) => text.trim().parse().map(Some).map_err(|_| {
            StartError::system("read", &file)(io::Error::new(
                io::ErrorKind::InvalidData,
                format!("it should hold a version, but says {text:?}"),
            ))
        }),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(StartError::system("read", &file)(error)),
    }
}

/// Makes the data, all or nothing: it gets its name only when it is complete.
pub(super) fn make_if_missing(
    place: &Place,
    programs: &Programs,
    durability: Durability,
) -> Result<(), StartError> {
    let cluster = place.cluster();
    if cluster.exists() {
        return Ok(());
    }
    clear_away_unfinished(place.folder())?;
    let unfinished = super::place::new_folder(place.folder(), &format!("{UNFINISHED}cluster"))?;
    if let Some(account) = place.account() {
        super::place::give(&unfinished, account)?;
    }

    let mut initdb = account::command(programs.initdb(), place.account());
    initdb
        .arg("-D")
        .arg(&unfinished)
        .args(["-U", ROLE, "-E", "UTF8", "--locale=C", "-k"])
        // Whoever can open the socket is us: its folder is closed to others.
        .args(["--auth=trust", "--no-instructions"])
        .stdin(Stdio::null());
    if durability == Durability::ForTests {
        initdb.arg("--no-sync");
    }
    let said = initdb
        .output()
        .map_err(StartError::system("run", &programs.initdb()))?;
    succeeded("initdb", &said, &unfinished)?;
    make_database(place, programs, durability, &unfinished)?;
    fs::rename(&unfinished, &cluster).map_err(StartError::system("name", &cluster))
}

/// The server's mode for one session needs no socket and no client program.
fn make_database(
    place: &Place,
    programs: &Programs,
    durability: Durability,
    unfinished: &Path,
) -> Result<(), StartError> {
    let run = || -> io::Result<Output> {
        let mut command = account::command(programs.postgres(), place.account());
        command.arg("--single").arg("-D").arg(unfinished);
        if durability == Durability::ForTests {
            command.args(["-c", "fsync=off"]);
        }
        let mut session = command
            .arg("postgres")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()?;
        if let Some(mut input) = session.stdin.take() {
            writeln!(input, "CREATE DATABASE {DATABASE}")?;
        }
        session.wait_with_output()
    };
    let said = run().map_err(StartError::system("run", &programs.postgres()))?;
    succeeded("postgres", &said, unfinished)?;
    // This mode ends well even when its statement failed.
    if String::from_utf8_lossy(&said.stderr).contains("ERROR:") {
        return Err(not_made("postgres", &said, unfinished));
    }
    Ok(())
}

fn succeeded(program: &'static str, said: &Output, folder: &Path) -> Result<(), StartError> {
    if said.status.success() {
        Ok(())
    } else {
        Err(not_made(program, said, folder))
    }
}

fn not_made(program: &'static str, said: &Output, folder: &Path) -> StartError {
    let words = if said.stderr.is_empty() {
        &said.stdout
    } else {
        &said.stderr
    };
    StartError::NotMade {
        program,
        folder: folder.to_owned(),
        output: last_lines(words),
    }
}

fn clear_away_unfinished(folder: &Path) -> Result<(), StartError> {
    let entries = folder
        .read_dir()
        .map_err(StartError::system("look into", folder))?;
    for entry in entries.flatten() {
        if is_unfinished(&entry.file_name()) {
            fs::remove_dir_all(entry.path())
                .map_err(StartError::system("clear away", &entry.path()))?;
        }
    }
    Ok(())
}

fn is_unfinished(name: &OsStr) -> bool {
    name.as_encoded_bytes().starts_with(UNFINISHED.as_bytes())
}
