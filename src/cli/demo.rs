//! The demo: an invented year in a private database of its own, and a clock that can be
//! moved.

use super::{Ground, Stopped, say, serve_until_told};
use crate::clock::Clock;
use crate::demo::Demo;
use crate::settings::Env;
use chrono::NaiveDate;
use clap::Args;

/// The demo never touches the database of a real service, nor its keys.
const FOLDER: &str = "demo";

#[derive(Debug, Args)]
pub(super) struct DemoArguments {
    /// The day on which a new demo begins, or to which this one is moved forward; to go back,
    /// remove the folder `demo` in the data folder.
    #[arg(long, value_name = "DATE")]
    start: Option<NaiveDate>,
}

pub(super) fn demo(env: &Env, arguments: &DemoArguments) -> Result<(), Stopped> {
    let ground = Ground::enter_apart(env, FOLDER)?;
    let served = live_through(&ground, arguments);
    let left = ground.leave();
    served.and(left)
}

fn live_through(ground: &Ground, arguments: &DemoArguments) -> Result<(), Stopped> {
    ground.migrate()?;
    let desk = ground.desk(Clock::Demo)?;
    say::line("Preparing the demo: the first time takes a few seconds.");
    let demo = ground
        .runtime
        .block_on(Demo::prepare(&desk, arguments.start))?;
    serve_until_told(ground, desk, |serving| {
        say::line(&demo.greeting(&format!("http://{}", serving.address)));
    })
}
