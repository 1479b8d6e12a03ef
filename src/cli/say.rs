//! Words for whoever sits at the terminal. A terminal that went away is no reason to fail.

use std::io::{Write, stderr, stdout};

/// What was asked for.
pub(super) fn line(text: &str) {
    let _ = writeln!(stdout().lock(), "{text}");
}

/// Why a command stops.
pub(super) fn error(text: &str) {
    let _ = writeln!(stderr().lock(), "wormrota: {text}");
}

/// A question, on the line where the answer is typed.
pub(super) fn prompt(text: &str) {
    let mut terminal = stderr().lock();
    let _ = write!(terminal, "{text}");
    let _ = terminal.flush();
}
