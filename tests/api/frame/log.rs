//! What the service logs in tests.

use std::io::Write;
use std::sync::{Mutex, OnceLock};
use tracing_subscriber::util::SubscriberInitExt;
use wormrota::settings::{Log, LogFormat};
use wormrota::telemetry;

/// Everything that this process has logged so far.
pub(crate) fn logged() -> String {
    String::from_utf8_lossy(&LOG.lock().unwrap()).into_owned()
}

static LOG: Mutex<Vec<u8>> = Mutex::new(Vec::new());

struct LogWriter;

impl Write for LogWriter {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        LOG.lock().unwrap().extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

pub(super) fn log_everything() {
    static STARTED: OnceLock<()> = OnceLock::new();
    STARTED.get_or_init(|| {
        let log = Log {
            format: LogFormat::Text,
            filter: "debug,wormrota=trace,wormrota_domain=trace".to_owned(),
        };
        telemetry::subscriber(&log, || LogWriter).unwrap().init();
    });
}
