//! A file with a secret, which only its owner can read.

use std::fs;
use std::os::unix::fs::MetadataExt;
use std::path::Path;

/// What stands in it.
///
/// # Errors
/// A sentence that never repeats the secret.
pub(super) fn read(path: &Path) -> Result<String, String> {
    let unusable = |error: std::io::Error| format!("cannot use {}: {error}", path.display());
    let metadata = fs::metadata(path).map_err(unusable)?;
    if metadata.mode() & 0o077 != 0 {
        return Err(format!(
            "{} can be read or written by others; run `chmod 600` on it, and replace what stands in it if anybody may have seen it",
            path.display()
        ));
    }
    fs::read_to_string(path).map_err(unusable)
}
