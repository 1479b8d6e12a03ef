//! Asking the service on this machine whether it can answer: for containers, whose health
//! checks should need no other program.

use super::Stopped;
use crate::settings::{Env, Settings};
use std::io::{Read, Write};
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr, TcpStream};
use std::time::Duration;

const PATIENCE: Duration = Duration::from_secs(5);

pub(super) fn healthcheck(env: &Env) -> Result<(), Stopped> {
    let address = reachable(Settings::load(env)?.server.address);
    let answer = ask(address).map_err(|error| format!("no answer from {address}: {error}"))?;
    let status = answer.lines().next().unwrap_or_default();
    if status.starts_with("HTTP/1.1 200 ") {
        Ok(())
    } else {
        Err(format!("not ready: {status}").into())
    }
}

fn ask(address: SocketAddr) -> std::io::Result<String> {
    let mut stream = TcpStream::connect_timeout(&address, PATIENCE)?;
    stream.set_read_timeout(Some(PATIENCE))?;
    stream.set_write_timeout(Some(PATIENCE))?;
    write!(
        stream,
        "GET /health/ready HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n"
    )?;
    let mut answer = String::new();
    stream.take(64 * 1024).read_to_string(&mut answer)?;
    Ok(answer)
}

/// An address that listens everywhere is reached on this machine.
fn reachable(listening: SocketAddr) -> SocketAddr {
    let ip = match listening.ip() {
        IpAddr::V4(ip) if ip.is_unspecified() => Ipv4Addr::LOCALHOST.into(),
        IpAddr::V6(ip) if ip.is_unspecified() => Ipv6Addr::LOCALHOST.into(),
        ip => ip,
    };
    SocketAddr::new(ip, listening.port())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_that_listens_everywhere_is_asked_on_this_machine() {
        for (listening, asked) in [
            ("0.0.0.0:8080", "127.0.0.1:8080"),
            ("[::]:8080", "[::1]:8080"),
            ("192.0.2.7:80", "192.0.2.7:80"),
        ] {
            assert_eq!(
                reachable(listening.parse().unwrap()),
                asked.parse().unwrap()
            );
        }
    }
}
