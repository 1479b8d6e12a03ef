//! What is logged and how.

use serde::Deserialize;

/// What is logged and how.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Log {
    /// For people or for machines.
    pub format: LogFormat,
    /// A level or target=level pairs.
    pub filter: String,
}

/// The form of a log line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum LogFormat {
    /// A line for people.
    Text,
    /// One JSON object a line.
    Json,
}
