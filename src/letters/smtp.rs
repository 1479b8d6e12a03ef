//! Handing letters to a mail server (RFC 5321). Each command stands by itself rather than in
//! one call of the library, because a no to the receiver means something else than a no to the
//! sender, and because a connection that was left in the middle must not be used again.

use super::answer::{Fault, Step};
use super::compose::Composed;
use crate::settings::{MailServer, Tls};
use lettre::transport::smtp::Error;
use lettre::transport::smtp::authentication::{Credentials, DEFAULT_MECHANISMS};
use lettre::transport::smtp::client::{AsyncSmtpConnection, TlsParameters};
use lettre::transport::smtp::commands::{Data, Mail, Rcpt, Rset};
use lettre::transport::smtp::extension::{ClientId, Extension, MailParameter};
use std::io;
use std::time::Duration;
use tokio::net::TcpStream;
use wormrota_domain::letters::{Reason, Tried};

/// A letter is given up for now after so long, however lively the server is: well before the
/// lease ends.
pub(super) const ATTEMPT: Duration = Duration::from_secs(90);

/// A mail server as the settings name it. Its `Debug` output holds no password.
#[derive(Clone)]
pub(super) struct Peer {
    host: String,
    port: u16,
    tls: Tls,
    parameters: Option<TlsParameters>,
    credentials: Option<Credentials>,
    hello: ClientId,
    patience: Duration,
}

impl std::fmt::Debug for Peer {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Peer({}:{}, {:?})", self.host, self.port, self.tls)
    }
}

impl Peer {
    /// # Errors
    /// When TLS cannot be set up: mostly since no certificate authorities are found.
    pub(super) fn of(settings: &MailServer) -> Result<Self, Error> {
        let parameters = match settings.tls {
            Tls::Off => None,
            Tls::StartTls | Tls::Tls => Some(TlsParameters::new(settings.host.clone())?),
        };
        let password = settings.password.as_ref();
        let credentials = password
            .map(|password| Credentials::new(settings.user.clone(), password.reveal().to_owned()));
        Ok(Self {
            host: settings.host.clone(),
            port: settings.port,
            tls: settings.tls,
            parameters,
            credentials,
            hello: ClientId::default(),
            patience: Duration::from_secs(settings.timeout_s.into()),
        })
    }

    async fn connect(&self) -> Result<AsyncSmtpConnection, Fault> {
        let mut connection = match (self.tls, self.parameters.clone()) {
            (Tls::Tls, parameters @ Some(_)) => self.wrapped(parameters).await?,
            _ => self.open().await?,
        };
        if let (Tls::StartTls, Some(parameters)) = (self.tls, &self.parameters) {
            if !connection.can_starttls() {
                return Err(Reason::NoTls.into());
            }
            let securing = connection.starttls(parameters.clone(), &self.hello);
            self.answer(Step::Securing, securing).await?;
        }
        if let Some(credentials) = &self.credentials {
            let signing_in = connection.auth(DEFAULT_MECHANISMS, credentials);
            self.answer(Step::SigningIn, signing_in).await?;
        }
        Ok(connection)
    }

    /// A connection that sends what it has at once. A letter and its end are two writes, and
    /// without this the end waits for the server's word that the rest came, which a server
    /// keeps back for 40 ms or more (RFC 1122, section 4.2.3.2).
    async fn open(&self) -> Result<AsyncSmtpConnection, Fault> {
        let server = (self.host.as_str(), self.port);
        let connecting = async {
            let stream = TcpStream::connect(server).await?;
            stream.set_nodelay(true)?;
            io::Result::Ok(stream)
        };
        let Ok(Ok(stream)) = tokio::time::timeout(self.patience, connecting).await else {
            return Err(Reason::Unreachable.into());
        };
        let greeting = AsyncSmtpConnection::connect_with_transport(Box::new(stream), &self.hello);
        self.answer(Step::Greeting, greeting).await
    }

    /// A connection that is encrypted from its first byte on: the library opens these itself.
    async fn wrapped(
        &self,
        parameters: Option<TlsParameters>,
    ) -> Result<AsyncSmtpConnection, Fault> {
        let server = (self.host.as_str(), self.port);
        let patience = Some(self.patience);
        let connecting =
            AsyncSmtpConnection::connect_tokio1(server, patience, &self.hello, parameters, None);
        self.answer(Step::Greeting, connecting).await
    }

    /// Says from whom a letter comes.
    async fn begin(
        &self,
        connection: &mut AsyncSmtpConnection,
        letter: &Composed,
    ) -> Result<(), Fault> {
        let envelope = &letter.envelope;
        let mut parameters = Vec::new();
        let mut addresses = envelope.from().into_iter().chain(envelope.to());
        if addresses.any(|address| !AsRef::<str>::as_ref(address).is_ascii()) {
            let utf8 = Extension::SmtpUtfEight;
            if !connection.server_info().supports_feature(utf8) {
                return Err(Fault {
                    tried: Tried::Refused(Reason::AddressUnusable),
                    code: None,
                });
            }
            parameters.push(MailParameter::SmtpUtfEight);
        }
        let mail = Mail::new(envelope.from().cloned(), parameters);
        self.answer(Step::Sender, connection.command(mail)).await?;
        Ok(())
    }

    /// Says the rest.
    async fn finish(
        &self,
        connection: &mut AsyncSmtpConnection,
        letter: &Composed,
    ) -> Result<(), Fault> {
        for receiver in letter.envelope.to() {
            let rcpt = Rcpt::new(receiver.clone(), Vec::new());
            self.answer(Step::Receiver, connection.command(rcpt))
                .await?;
        }
        self.answer(Step::Content, connection.command(Data)).await?;
        let content = connection.message(&letter.message);
        self.answer(Step::Content, content).await?;
        Ok(())
    }

    /// Waits for one answer, not for ever.
    async fn answer<T>(
        &self,
        step: Step,
        asking: impl Future<Output = Result<T, Error>>,
    ) -> Result<T, Fault> {
        match tokio::time::timeout(self.patience, asking).await {
            Ok(answer) => answer.map_err(|error| Fault::at(step, &error)),
            Err(_) => Err(Fault::late(step)),
        }
    }
}

/// One sender's connection, which goes from letter to letter.
#[derive(Default)]
pub(super) struct Line(Option<Kept>);

/// A connection between two letters.
struct Kept {
    connection: AsyncSmtpConnection,
    /// The server said no in the middle of a letter, and waits for the rest of it.
    in_the_middle: bool,
}

impl Line {
    /// Hands a letter over. After a fault the connection is not used again, unless the server
    /// only said no to this letter.
    pub(super) async fn hand_over(&mut self, peer: &Peer, letter: &Composed) -> Result<(), Fault> {
        // Out of its place while it is in use: whoever is stopped in between leaves none.
        let kept = self.0.take();
        let trying = async {
            let (mut connection, begun) = begun(peer, kept, letter).await?;
            let handed = match begun {
                Ok(()) => peer.finish(&mut connection, letter).await,
                no => no,
            };
            Ok::<_, Fault>((connection, handed))
        };
        let (connection, handed) = tokio::time::timeout(ATTEMPT, trying)
            .await
            .unwrap_or_else(|_| Err(Reason::TimedOut.into()))?;
        if handed.map_or_else(still_there, |()| true) {
            self.0 = Some(Kept {
                connection,
                in_the_middle: handed.is_err(),
            });
        }
        handed
    }

    /// Takes leave, if there is anybody.
    pub(super) async fn hang_up(&mut self, peer: &Peer) {
        if let Some(mut kept) = self.0.take() {
            // Whether the server says goodbye too changes nothing.
            let _ = tokio::time::timeout(peer.patience, kept.connection.quit()).await;
        }
    }
}

/// Whether the connection can be used after a fault: the server answered, and did not announce
/// that it hangs up, which is what 421 says.
fn still_there(fault: Fault) -> bool {
    fault.code.is_some_and(|code| code != 421)
}

/// A connection on which the letter is begun, and how the server took that. The old one, if it
/// still answers: what was left of it before the first word of a letter costs no letter a try.
async fn begun(
    peer: &Peer,
    kept: Option<Kept>,
    letter: &Composed,
) -> Result<(AsyncSmtpConnection, Result<(), Fault>), Fault> {
    if let Some(Kept {
        mut connection,
        in_the_middle,
    }) = kept
    {
        let ready = if in_the_middle {
            let reset = peer.answer(Step::Greeting, connection.command(Rset)).await;
            reset.is_ok()
        } else {
            true
        };
        if ready {
            let begun = peer.begin(&mut connection, letter).await;
            if begun.map_or_else(still_there, |()| true) {
                return Ok((connection, begun));
            }
        }
    }
    let mut connection = peer.connect().await?;
    let begun = peer.begin(&mut connection, letter).await;
    Ok((connection, begun))
}
