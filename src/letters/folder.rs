//! The folder that letters lie in: only its owner can look into it.

use chrono::{DateTime, TimeDelta, Utc};
use std::fs::{self, DirBuilder, OpenOptions};
use std::io::{self, Write};
use std::os::unix::fs::{DirBuilderExt, OpenOptionsExt};
use std::path::{Path, PathBuf};
use std::time::SystemTime;
use uuid::Uuid;

/// A folder for letters.
#[derive(Debug, Clone)]
pub(super) struct LetterFolder {
    path: PathBuf,
    kept: TimeDelta,
}

impl LetterFolder {
    /// The folder `letters` in the data folder. It is made when the first letter is written.
    pub(super) fn within(data_folder: &Path, kept_days: u32) -> Self {
        Self {
            path: data_folder.join("letters"),
            kept: TimeDelta::days(i64::from(kept_days)),
        }
    }

    /// Deletes letters that have lain for as long as they are kept; says how many. They hold
    /// names and addresses, which erasing an account cannot reach here.
    pub(super) async fn forget_old(&self, now: DateTime<Utc>) -> io::Result<usize> {
        let (folder, before) = (self.path.clone(), SystemTime::from(now - self.kept));
        tokio::task::spawn_blocking(move || forget_now(&folder, before))
            .await
            .map_err(io::Error::other)?
    }

    /// Puts a letter under its key, in one step: whoever looks finds all of it or
    /// nothing.
    pub(super) async fn put(&self, id: Uuid, message: Vec<u8>) -> io::Result<()> {
        let folder = self.path.clone();
        tokio::task::spawn_blocking(move || put_now(&folder, id, &message))
            .await
            .map_err(io::Error::other)?
    }
}

fn forget_now(folder: &Path, before: SystemTime) -> io::Result<usize> {
    let entries = match fs::read_dir(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(0),
        entries => entries?,
    };
    let mut forgotten = 0;
    for entry in entries {
        let entry = entry?;
        if entry.metadata()?.modified()? < before {
            fs::remove_file(entry.path())?;
            forgotten += 1;
        }
    }
    Ok(forgotten)
}

fn put_now(folder: &Path, id: Uuid, message: &[u8]) -> io::Result<()> {
    DirBuilder::new()
        .recursive(true)
        .mode(0o700)
        .create(folder)?;
    // A name of its own: two copies may write the same letter at once.
    let half = folder.join(format!(".{id}.{}", Uuid::now_v7().simple()));
    let written = OpenOptions::new()
        .write(true)
        .create_new(true)
        .mode(0o600)
        .open(&half)
        .and_then(|mut file| {
            file.write_all(message)?;
            file.sync_all()
        })
        .and_then(|()| fs::rename(&half, folder.join(format!("{id}.eml"))));
    if written.is_err() {
        // Nothing more can be done about a leftover than to say what went wrong first.
        let _ = fs::remove_file(&half);
    }
    written
}
