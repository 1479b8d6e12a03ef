//! A mail server that does as it is told: it takes letters, and makes every mistake.

use std::collections::HashMap;
use std::sync::{Arc, Mutex};
use tokio::io::{AsyncBufReadExt, AsyncWriteExt, BufReader};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::Semaphore;

/// What happens to a letter.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Does {
    Takes,
    /// Answers to the receiver.
    SaysToReceiver(&'static str),
    /// Answers to the letter, which it has got.
    SaysToLetter(&'static str),
    /// Never answers to the receiver.
    Hangs,
    /// Gets the letter, and hangs up instead of answering.
    DropsLetter,
    /// Gets the letter, and answers when it is told to.
    HoldsLetter,
}

/// How it begins.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Greets {
    Well,
    With(&'static str),
    /// Offers encryption, and then speaks something else.
    WithFalseTls,
    /// Wants user and password, and takes none.
    WithAuth,
}

/// A letter that was received in full, whatever was answered to it.
#[derive(Debug, Clone)]
pub(crate) struct Received {
    pub(crate) to: String,
    pub(crate) message: String,
}

impl Received {
    /// The value of a header that stands on one line.
    pub(crate) fn header(&self, name: &str) -> String {
        let begin = format!("{name}: ");
        let line = self.message.lines().find(|line| line.starts_with(&begin));
        line.unwrap()[begin.len()..].to_owned()
    }
}

#[derive(Debug, Clone)]
pub(crate) struct MailPeer {
    pub(crate) port: u16,
    inner: Arc<Inner>,
}

#[derive(Debug)]
struct Inner {
    greets: Mutex<Greets>,
    /// By the receiver's local part.
    does: Mutex<HashMap<String, Does>>,
    received: Mutex<Vec<Received>>,
    commands: Mutex<Vec<String>>,
    /// Letters that may be answered.
    released: Semaphore,
}

impl MailPeer {
    pub(crate) async fn start() -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let port = listener.local_addr().unwrap().port();
        let inner = Arc::new(Inner {
            greets: Mutex::new(Greets::Well),
            does: Mutex::default(),
            received: Mutex::default(),
            commands: Mutex::default(),
            released: Semaphore::new(0),
        });
        let serving = Arc::clone(&inner);
        tokio::spawn(async move {
            while let Ok((stream, _)) = listener.accept().await {
                let inner = Arc::clone(&serving);
                // A client that goes away ends its connection and nothing else.
                tokio::spawn(async move { inner.serve(stream).await });
            }
        });
        Self { port, inner }
    }

    /// The port of one that has gone.
    pub(crate) async fn start_and_leave() -> u16 {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        listener.local_addr().unwrap().port()
    }

    /// Forgets what it was told and what it got.
    pub(crate) fn forget(&self) {
        self.inner.received.lock().unwrap().clear();
        self.inner.commands.lock().unwrap().clear();
    }

    pub(crate) fn greet(&self, greets: Greets) {
        *self.inner.greets.lock().unwrap() = greets;
    }

    /// What it does with letters to somebody.
    pub(crate) fn to(&self, whom: &str, does: Does) {
        let mut all = self.inner.does.lock().unwrap();
        all.insert(whom.to_owned(), does);
    }

    pub(crate) fn received(&self) -> Vec<Received> {
        self.inner.received.lock().unwrap().clone()
    }

    pub(crate) fn commands(&self) -> Vec<String> {
        self.inner.commands.lock().unwrap().clone()
    }

    /// Waits until so many letters have come.
    pub(crate) async fn until_received(&self, letters: usize) {
        while self.received().len() < letters {
            tokio::time::sleep(std::time::Duration::from_millis(5)).await;
        }
    }

    /// Answers to one letter that is held.
    pub(crate) fn release(&self) {
        self.inner.released.add_permits(1);
    }
}

impl Inner {
    async fn serve(&self, stream: TcpStream) -> Option<()> {
        let mut stream = BufReader::new(stream);
        let greets = *self.greets.lock().unwrap();
        let greeting = match greets {
            Greets::With(text) => text,
            _ => "220 peer",
        };
        say(&mut stream, greeting).await?;
        let mut receiver = String::new();
        loop {
            let line = read_line(&mut stream).await?;
            self.commands.lock().unwrap().push(line.clone());
            let word = line.split([' ', ':']).next()?.to_uppercase();
            match word.as_str() {
                "EHLO" => {
                    let offer = match greets {
                        Greets::WithFalseTls => "250-peer\r\n250 STARTTLS",
                        Greets::WithAuth => "250-peer\r\n250 AUTH PLAIN",
                        _ => "250-peer\r\n250 8BITMIME",
                    };
                    say(&mut stream, offer).await?;
                }
                "STARTTLS" => {
                    say(&mut stream, "220 go on").await?;
                    say(&mut stream, "this is no handshake").await?;
                    return None;
                }
                "AUTH" => say(&mut stream, "535 5.7.8 no").await?,
                "RCPT" => {
                    receiver = line.split(['<', '>']).nth(1)?.to_owned();
                    match self.does_with(&receiver) {
                        Does::SaysToReceiver(text) => say(&mut stream, text).await?,
                        Does::Hangs => std::future::pending().await,
                        _ => say(&mut stream, "250 fine").await?,
                    }
                }
                "DATA" => {
                    say(&mut stream, "354 go on").await?;
                    let message = read_letter(&mut stream).await?;
                    let to = receiver.clone();
                    self.received.lock().unwrap().push(Received { to, message });
                    match self.does_with(&receiver) {
                        Does::SaysToLetter(text) => say(&mut stream, text).await?,
                        Does::DropsLetter => return None,
                        Does::HoldsLetter => {
                            self.released.acquire().await.ok()?.forget();
                            say(&mut stream, "250 taken").await?;
                        }
                        _ => say(&mut stream, "250 taken").await?,
                    }
                }
                "QUIT" => return say(&mut stream, "221 bye").await,
                _ => say(&mut stream, "250 fine").await?,
            }
        }
    }

    fn does_with(&self, receiver: &str) -> Does {
        let whom = receiver.split('@').next().unwrap_or_default();
        let all = self.does.lock().unwrap();
        all.get(whom).copied().unwrap_or(Does::Takes)
    }
}

async fn say(stream: &mut BufReader<TcpStream>, text: &str) -> Option<()> {
    let line = format!("{text}\r\n");
    stream.get_mut().write_all(line.as_bytes()).await.ok()
}

async fn read_line(stream: &mut BufReader<TcpStream>) -> Option<String> {
    let mut line = String::new();
    let read = stream.read_line(&mut line).await.ok()?;
    (read > 0).then(|| line.trim_end().to_owned())
}

async fn read_letter(stream: &mut BufReader<TcpStream>) -> Option<String> {
    let mut letter = String::new();
    while !letter.ends_with("\r\n.\r\n") {
        let read = stream.read_line(&mut letter).await.ok()?;
        if read == 0 {
            return None;
        }
    }
    Some(letter.trim_end_matches(".\r\n").replace("\r\n..", "\r\n."))
}
