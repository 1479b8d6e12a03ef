//! Serving until told to stop.

use super::{Ground, Stopped, say};
use crate::api::{self, AppState};
use crate::clock::Clock;
use crate::desk::Desk;
use crate::letters::{self, Post};
use crate::settings::{Env, Letters};
use crate::store::{Store, service_role};
use crate::work;
use futures_util::FutureExt;
use std::net::{SocketAddr, TcpListener};
use std::time::Duration;
use tokio::signal::unix::{Signal, SignalKind, signal};
use tokio::sync::watch;

pub(super) fn serve(env: &Env) -> Result<(), Stopped> {
    let ground = Ground::enter(env)?;
    let served = ground
        .insist_on_migrations()
        .and_then(|()| ground.desk(Clock::System))
        .and_then(|desk| {
            serve_until_told(&ground, desk, |serving| {
                say::line(&format!("Serving on http://{}", serving.address));
            })
        });
    let left = ground.leave();
    served.and(left)
}

/// A service that has begun to serve.
#[derive(Debug, Clone, Copy)]
pub struct Serving {
    /// Where it listens.
    pub address: SocketAddr,
}

/// Serves until the process is told to stop (SIGTERM or SIGINT), lets running requests
/// end, and then the work that they left behind.
///
/// # Errors
/// A sentence that says what to do.
pub fn serve_until_told(
    ground: &Ground,
    desk: Desk,
    announce: impl FnOnce(&Serving),
) -> Result<(), Stopped> {
    let settings = &ground.settings.server;
    let listener = TcpListener::bind(settings.address)
        .map_err(|error| format!("cannot listen on {}: {error}", settings.address))?;
    let address = listener.local_addr()?;
    let store = desk.store().clone();
    let working = ground.runtime.spawn(work::keep_working(desk.clone()));
    let drafting = ground
        .runtime
        .spawn(work::drafting::keep_drafting(desk.clone()));
    let owing = ground.runtime.spawn(work::owing::keep_owing(desk.clone()));
    let is_demo = desk.clock() == Clock::Demo;
    let mut written = ground.settings.letters.clone();
    // Two demos on one machine have one setting and two addresses.
    if is_demo && written.public_url == Letters::USUAL_URL {
        written.public_url = format!("http://{address}");
    }
    let post = Post::of(&ground.settings.data_folder, &written)?;
    let folder = post.folder().clone();
    let (stop_sending, stop) = watch::channel(false);
    let mut sending = ground
        .runtime
        .spawn(letters::keep_sending(desk.clone(), post, stop));
    let mut state = AppState::new(desk, settings.clone(), &written)?;
    if is_demo {
        state = state.showing_letters(folder);
    }
    let patience = Duration::from_secs(settings.shutdown_timeout_s);
    ground.runtime.block_on(async {
        let mut told = Told::listen()?;
        let server = api::run(listener, state)?;
        let handle = server.handle();
        let mut running = tokio::spawn(server);
        warn_unless_stepped_down(&store).await;
        tracing::info!(%address, "serving");
        announce(&Serving { address });
        tokio::select! {
            ended = &mut running => return Ok(ended??),
            () = told.wait() => {}
        }
        tracing::info!("stopping");
        tokio::select! {
            () = handle.stop(true) => {}
            // Told twice: somebody is in a hurry.
            () = told.wait() => handle.stop(false).await,
        }
        running.await??;
        working.abort();
        drafting.abort();
        owing.abort();
        stop_sending.send_replace(true);
        // A letter that is cut off now is sent again by another copy, and arrives twice.
        if tokio::time::timeout(patience, &mut sending).await.is_err() {
            tracing::warn!("a letter did not end in time");
            sending.abort();
        }
        if tokio::time::timeout(patience, store.drain()).await.is_err() {
            tracing::warn!("some work with the database did not end in time");
        }
        tracing::info!("stopped");
        Ok(())
    })
}

/// A service whose account may rewrite the trail still works; somebody should know.
async fn warn_unless_stepped_down(store: &Store) {
    let stepped_down = store
        .read("look at the own role", (), |conn, ()| {
            async move { service_role::is_stepped_down(conn).await }.boxed()
        })
        .await;
    if matches!(stepped_down, Ok(false)) {
        tracing::warn!(
            "the database's account may change the trail of who changed what: let an \
             administrator create the role wormrota_service, grant it to the account, and run \
             `wormrota migrate` again"
        );
    }
}

/// The two signals that mean "stop".
struct Told {
    terminate: Signal,
    interrupt: Signal,
}

impl Told {
    fn listen() -> std::io::Result<Self> {
        Ok(Self {
            terminate: signal(SignalKind::terminate())?,
            interrupt: signal(SignalKind::interrupt())?,
        })
    }

    async fn wait(&mut self) {
        tokio::select! {
            _ = self.terminate.recv() => {}
            _ = self.interrupt.recv() => {}
        }
    }
}
