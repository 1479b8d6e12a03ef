//! The two programs with which Postfix measures mail servers and clients.

use std::fs;
use std::net::{TcpListener, TcpStream};
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// Where Debian's package puts them, besides what `PATH` names.
const FOLDERS: [&str; 3] = ["/usr/sbin", "/usr/lib/postfix", "/usr/lib/postfix/sbin"];

pub(crate) struct Postfix {
    source: PathBuf,
    sink: PathBuf,
}

impl Postfix {
    /// Says what is missing, if something is.
    pub(crate) fn find() -> Result<Self, String> {
        let find = |name: &str| {
            let path = std::env::var_os("PATH").unwrap_or_default();
            let folders = std::env::split_paths(&path).chain(FOLDERS.map(PathBuf::from));
            let mut found = folders.map(|folder| folder.join(name));
            found.find(|path| path.is_file()).ok_or_else(|| {
                format!("this machine lacks {name}, which Debian's package postfix holds")
            })
        };
        Ok(Self {
            source: find("smtp-source")?,
            sink: find("smtp-sink")?,
        })
    }
}

/// A mail server that takes everything and forgets it.
pub(crate) struct Sink {
    process: Child,
    pub(crate) port: u16,
    dump: Option<PathBuf>,
}

impl Sink {
    pub(crate) fn start(postfix: &Postfix) -> Self {
        Self::with(postfix, None)
    }

    /// One that writes letters into a folder within `folder`.
    pub(crate) fn that_keeps(postfix: &Postfix, folder: &Path) -> Self {
        let dump = folder.join("dump");
        fs::create_dir(&dump).unwrap();
        // Root lets it run as somebody else.
        fs::set_permissions(&dump, fs::Permissions::from_mode(0o777)).unwrap();
        Self::with(postfix, Some(dump))
    }

    fn with(postfix: &Postfix, dump: Option<PathBuf>) -> Self {
        let free = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = free.local_addr().unwrap().port();
        drop(free);
        let mut command = Command::new(&postfix.sink);
        if nix::unistd::geteuid().is_root() {
            command.args(["-u", "nobody"]);
        }
        if let Some(dump) = &dump {
            command.arg("-d").arg(dump.join("%M."));
        }
        command.arg(format!("127.0.0.1:{port}")).arg("1000");
        let process = command.stdout(Stdio::null()).spawn().unwrap();
        let gives_up = Instant::now() + Duration::from_secs(10);
        while TcpStream::connect(("127.0.0.1", port)).is_err() {
            assert!(Instant::now() < gives_up, "smtp-sink does not listen");
            std::thread::sleep(Duration::from_millis(20));
        }
        Self {
            process,
            port,
            dump,
        }
    }

    /// Bytes of the one letter that it keeps, without the lines that it writes above it.
    pub(crate) fn size_of_its_letter(&self) -> usize {
        let dump = fs::read_dir(self.dump.as_ref().unwrap()).unwrap();
        let files = dump.map(|file| fs::read_to_string(file.unwrap().path()).unwrap());
        let letter = files.map(|text| text.split_once("From: ").map_or(0, |(_, rest)| rest.len()));
        "From: ".len() + letter.max().unwrap()
    }

    /// Seconds that `smtp-source` takes; with `keep` a connection goes from letter to letter.
    pub(crate) fn seconds_of_source(
        &self,
        postfix: &Postfix,
        letters: usize,
        bytes: usize,
        connections: u32,
        keep: bool,
    ) -> f64 {
        let mut command = Command::new(&postfix.source);
        if keep {
            command.arg("-d");
        }
        command.args(["-f", "bins@elm.example", "-t", "somebody@elm.example"]);
        command.args(["-m", &letters.to_string(), "-l", &bytes.to_string()]);
        command.args(["-s", &connections.to_string()]);
        command.arg(format!("127.0.0.1:{}", self.port));
        let began = Instant::now();
        assert!(command.status().unwrap().success());
        began.elapsed().as_secs_f64()
    }
}

impl Drop for Sink {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}
