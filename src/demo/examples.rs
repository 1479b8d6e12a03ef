//! Three requests whose answers are known: found by asking the bins as they are.

use super::DemoError;
use crate::desk::bins::list_bins;
use crate::desk::offers::{Amount, Item};
use crate::desk::outlooks::see_room;
use crate::desk::put_in::ask;
use crate::desk::sites::{Container, list_sites, see_site};
use crate::desk::{Desk, DeskError, Errand};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use wormrota_domain::food::{self, Measure, Quarters, estimate, in_measure};
use wormrota_domain::ids::{AccountId, BinId, SiteId};
use wormrota_domain::living_bin::decision::{Decision, Outcome};
use wormrota_domain::units::{Grams, Litres};

/// Sites and bins of a site that are looked at.
const LOOKED_AT: u16 = 20;
/// Amounts are shown to this many grams.
const STEP: i64 = 10;
/// Less than this is no meal to show.
const LEAST: Grams = Grams(30);
/// A bin with less room than this refuses too small an amount to be a good example.
const WORTH_SHOWING: Grams = Grams(300);
/// An offer that no bin of the demo takes on any day.
const LARGE: Grams = Grams(2_000);
/// An offer that is to be refused must be refused at least for so long.
const REFUSED_FOR: TimeDelta = TimeDelta::hours(36);
/// The most that one offer may come to at all.
const LARGEST: Grams = Grams(50_000);

/// A feeding whose answer is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Example {
    /// What the answer will be.
    pub outcome: Outcome,
    /// The site.
    pub site: SiteId,
    /// The bin.
    pub bin: BinId,
    /// What the bin is called.
    pub bin_name: String,
    /// What is offered.
    pub items: Vec<Item>,
}

/// A bin that could be used, and by how many examples it is.
struct Choice {
    site: SiteId,
    bin: BinId,
    name: String,
    room: Grams,
    containers: Vec<Container>,
    used: u32,
}

/// One example of each outcome as far as the account's bins give one.
pub(super) async fn find(
    desk: &Desk,
    email: &str,
    now: DateTime<Utc>,
) -> Result<Vec<Example>, DemoError> {
    let found = async {
        let Some(account) = account(desk, email).await? else {
            return Ok(Vec::new());
        };
        let errand = Errand {
            account,
            now,
            ticket: None,
        };
        let mut choices = choices(desk, &errand).await?;
        let mut examples = Vec::new();
        for outcome in [Outcome::Accepted, Outcome::AcceptedIf, Outcome::Refused] {
            examples.extend(one(desk, &errand, &mut choices, outcome).await?);
        }
        Ok::<_, DeskError>(examples)
    };
    found
        .await
        .map_err(DemoError::while_doing("looking for example requests"))
}

async fn account(desk: &Desk, email: &str) -> Result<Option<AccountId>, DeskError> {
    desk.store()
        .read("look for an account", email.to_owned(), |conn, email| {
            async move {
                let row = crate::store::accounts::by_email(conn, email).await?;
                Ok(row.map(|row| AccountId(row.id)))
            }
            .boxed()
        })
        .await
}

async fn choices(desk: &Desk, errand: &Errand) -> Result<Vec<Choice>, DeskError> {
    let mut choices = Vec::new();
    for site in list_sites(desk, errand.clone(), None, LOOKED_AT)
        .await?
        .items
    {
        let view = see_site(desk, errand.clone(), site.id).await?;
        let bins = list_bins(desk, errand.clone(), site.id, None, LOOKED_AT).await?;
        let in_use = |bin: &&crate::desk::bins::Bin| bin.is_stocked && bin.retired_at.is_none();
        for bin in bins.items.iter().filter(in_use) {
            let room = see_room(desk, errand.clone(), site.id, bin.id).await?.room;
            choices.push(Choice {
                site: site.id,
                bin: bin.id,
                name: bin.name.clone(),
                room: room.amount,
                containers: view.containers.clone(),
                used: 0,
            });
        }
    }
    Ok(choices)
}

/// The first offer that gets this answer, at a bin that no other example uses if possible:
/// putting one in should not change the answer to the next.
async fn one(
    desk: &Desk,
    errand: &Errand,
    choices: &mut [Choice],
    outcome: Outcome,
) -> Result<Option<Example>, DeskError> {
    choices.sort_by_key(|choice| choice.used);
    for kind in kinds(outcome) {
        for choice in &mut *choices {
            let Some(item) = kind.item(choice) else {
                continue;
            };
            let items = vec![item];
            let answer = ask(desk, errand.clone(), choice.site, choice.bin, items.clone());
            if kind.suits(&answer.await?.decision, outcome) {
                choice.used += 1;
                return Ok(Some(Example {
                    outcome,
                    site: choice.site,
                    bin: choice.bin,
                    bin_name: choice.name.clone(),
                    items,
                }));
            }
        }
    }
    Ok(None)
}

/// A kind of offer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// A part of the room, of the usual mix.
    Part(i64),
    /// A container that is a little too full.
    JustOver,
    /// A quarter of the room, of something to be cut small.
    ToCut,
    /// A third more than the room, if it fits on a later day.
    ThirdMore,
    /// More than fits on any day.
    FarTooMuch,
}

/// Kinds of offers that may get this answer, the best to show first.
const fn kinds(outcome: Outcome) -> &'static [Kind] {
    match outcome {
        Outcome::Accepted => &[Kind::Part(2), Kind::Part(3), Kind::Part(4), Kind::Part(6)],
        Outcome::AcceptedIf => &[Kind::JustOver, Kind::ToCut],
        Outcome::Refused => &[Kind::ThirdMore, Kind::FarTooMuch],
    }
}

impl Kind {
    fn item(self, choice: &Choice) -> Option<Item> {
        let room = choice.room;
        match self {
            Self::Part(part) => weighed("usual-mix", Grams(room.0 / part)),
            Self::JustOver => (choice.used == 0).then(|| just_over(choice)).flatten(),
            Self::ToCut => weighed("banana-peel", Grams(room.0 / 4)),
            Self::ThirdMore if room < WORTH_SHOWING => None,
            Self::ThirdMore => weighed("usual-mix", Grams(room.0 / 3 * 4).min(LARGEST)),
            Self::FarTooMuch => {
                let amount = Grams(room.0.saturating_mul(3)).max(LARGE).min(LARGEST);
                weighed("usual-mix", amount)
            }
        }
    }

    fn suits(self, decision: &Decision, outcome: Outcome) -> bool {
        let stays = self != Self::ThirdMore
            || decision
                .fits_at
                .is_some_and(|at| at >= decision.at + REFUSED_FOR);
        decision.outcome == outcome && stays
    }
}

fn weighed(food: &str, amount: Grams) -> Option<Item> {
    let amount = Grams(amount.0 - amount.0 % STEP);
    (amount >= LEAST).then(|| Item {
        food: food.to_owned(),
        amount: Amount::Weighed(amount),
    })
}

/// A container filled so that the offer is over the room by less than the guess's own
/// error, and stays so for some hours: the answer is to stop at the line.
fn just_over(choice: &Choice) -> Option<Item> {
    let food = food::find("usual-mix")?;
    choice.containers.iter().find_map(|container| {
        let litres = Litres(f64::from(container.volume_ml) / 1000.0);
        let vessel = food::Container::new(&container.name, litres).ok()?.vessel();
        let Quarters(fits) = in_measure(choice.room, vessel, food.density);
        let quarters = fits.saturating_add(1);
        let guess = estimate(Measure::Filled(vessel, Quarters(quarters)), food);
        let over = guess.amount.less(choice.room).kg().0 / guess.amount.kg().0;
        let (least, most) = (guess.spread.0 * 0.2, guess.spread.0 * 0.8);
        (over >= least && over <= most).then(|| Item {
            food: food.key.to_owned(),
            amount: Amount::Filled {
                measure: container.name.clone(),
                quarters,
            },
        })
    })
}
