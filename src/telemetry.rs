//! Structured logs.
//!
//! What is never logged: e-mail addresses, names, passwords, tokens, query strings and the
//! parameters of statements. The last is why some targets are capped whatever the filter
//! says: they would print what is bound to a statement.

use crate::settings::{Log, LogFormat};
use tracing::{Level, Metadata, Subscriber};
use tracing_subscriber::filter::{EnvFilter, FilterFn};
use tracing_subscriber::fmt::MakeWriter;
use tracing_subscriber::layer::SubscriberExt;
use tracing_subscriber::util::SubscriberInitExt;

/// Crates that print parameters or headers when asked for detail.
const TALKATIVE: [&str; 4] = ["tokio_postgres", "diesel", "actix_http", "actix_server"];

/// The filter cannot be read.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub struct BadFilter(String);

/// Logging cannot be started.
#[derive(Debug, thiserror::Error)]
pub enum TelemetryError {
    /// The filter cannot be read.
    #[error("log.filter: {0}")]
    Filter(#[from] BadFilter),
    /// Something else in this process logs already.
    #[error("logging was started already")]
    Twice,
}

/// Whether a filter can be read.
///
/// # Errors
/// [`BadFilter`] with the reason.
pub fn check_filter(filter: &str) -> Result<(), BadFilter> {
    parse(filter).map(|_| ())
}

fn parse(filter: &str) -> Result<EnvFilter, BadFilter> {
    EnvFilter::builder()
        .with_regex(false)
        .parse(filter)
        .map_err(|error| BadFilter(error.to_string()))
}

/// Starts logging to standard error for the whole process.
///
/// # Errors
/// See [`TelemetryError`].
pub fn start(settings: &Log) -> Result<(), TelemetryError> {
    subscriber(settings, std::io::stderr)?
        .try_init()
        .map_err(|_| TelemetryError::Twice)
}

/// The subscriber that [`start`] installs, writing where the caller wants.
///
/// # Errors
/// [`BadFilter`] when the filter cannot be read.
pub fn subscriber<W>(
    settings: &Log,
    writer: W,
) -> Result<Box<dyn Subscriber + Send + Sync>, BadFilter>
where
    W: for<'w> MakeWriter<'w> + Send + Sync + 'static,
{
    let registry = tracing_subscriber::registry()
        .with(parse(&settings.filter)?)
        .with(FilterFn::new(discreet));
    let lines = tracing_subscriber::fmt::layer().with_writer(writer);
    Ok(match settings.format {
        LogFormat::Text => Box::new(registry.with(lines.with_ansi(false))),
        LogFormat::Json => Box::new(registry.with(lines.json().flatten_event(true))),
    })
}

/// Keeps talkative crates to warnings.
fn discreet(metadata: &Metadata<'_>) -> bool {
    let talkative = TALKATIVE.iter().any(|name| {
        metadata
            .target()
            .strip_prefix(name)
            .is_some_and(|rest| rest.is_empty() || rest.starts_with("::"))
    });
    !talkative || *metadata.level() <= Level::WARN
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write;
    use std::sync::Mutex;

    #[test]
    fn a_filter_that_cannot_be_read_is_an_error() {
        assert!(check_filter("info,wormrota=debug").is_ok());
        assert!(check_filter("wormrota=loud").is_err());
    }

    #[test]
    fn crates_that_print_parameters_stay_quiet_whatever_the_filter_says() {
        static LINES: Mutex<Vec<u8>> = Mutex::new(Vec::new());
        struct Lines;
        impl Write for Lines {
            fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
                LINES.lock().unwrap().extend_from_slice(bytes);
                Ok(bytes.len())
            }
            fn flush(&mut self) -> std::io::Result<()> {
                Ok(())
            }
        }
        let log = Log {
            format: LogFormat::Json,
            filter: "trace,tokio_postgres::query=trace".to_owned(),
        };
        tracing::subscriber::with_default(subscriber(&log, || Lines).unwrap(), || {
            tracing::debug!(target: "tokio_postgres::query", "heron");
            tracing::info!(target: "diesel", "heron");
            tracing::warn!(target: "tokio_postgres", "bittern");
            tracing::debug!(target: "tokio_postgres_like", "coot");
        });
        let lines = String::from_utf8(LINES.lock().unwrap().clone()).unwrap();
        assert!(!lines.contains("heron"), "{lines}");
        assert!(
            lines.contains("bittern") && lines.contains("coot"),
            "{lines}"
        );
    }
}
