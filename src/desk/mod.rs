//! The use cases, a file for each deed.
//!
//! A use case gets who asks and what time it is, works in one transaction, asks the domain,
//! writes, and answers with values. It knows nothing of HTTP and words no sentences.

pub mod absences;
pub mod accept_invitation;
mod account_link_page;
pub mod add_account;
pub mod add_bin;
pub mod agreed_visits;
pub mod allowances;
pub mod apart_pairs;
pub mod ask_for_link;
pub mod ask_for_link_page;
mod asked_rota;
mod at_hand;
pub mod audit;
pub mod bins;
pub mod book;
mod bring;
pub mod calendar_addresses;
pub mod calendar_feed;
pub mod change;
pub mod change_absence;
pub mod change_member;
pub mod change_password;
pub mod change_place;
pub mod change_site;
pub mod check_bin;
mod chosen_password;
pub mod class_adults;
pub mod class_duty;
pub mod classes;
pub mod closure_ground;
pub mod closure_moments;
pub mod closure_plan;
pub mod closures;
pub mod cover;
pub mod credentials;
mod deputy;
pub mod draft_rota;
pub mod drafting;
pub mod due;
mod duty_at_hand;
pub mod duty_by_hand;
pub mod duty_exchange;
mod duty_planner;
pub mod end_school_year;
pub mod erase_account;
mod error;
mod fields;
pub mod give_place_back;
pub mod held_place;
mod holders;
mod hourly;
pub mod households;
pub mod import_closures;
pub mod import_people;
pub mod invitation_page;
pub mod invitations;
pub mod join;
pub mod joined_closures;
pub mod joining_sheets;
pub mod keep_class;
pub mod keep_closure;
pub mod keep_pattern;
pub mod keep_turn;
pub mod keep_visits;
mod keepers;
mod labels;
pub mod lease_letters;
pub mod leave;
pub mod letter_links;
pub mod letters;
pub mod lids;
pub mod limits;
mod locked_turns;
pub mod me;
pub mod measure;
pub mod membership;
mod morning_room;
pub mod move_clock;
pub mod my_links;
mod new_password;
pub mod newcomers;
pub mod notices;
pub mod offers;
pub mod once;
pub mod open_site;
pub mod outlooks;
pub mod own_data;
mod pass_on;
pub mod password_page;
pub mod patterns;
pub mod people;
mod people_rules;
mod place_at_hand;
mod place_rules;
pub mod post;
pub mod probes;
pub mod pupils;
pub mod put_in;
pub mod put_up_rota;
pub mod readings;
mod reckoning;
pub mod reset_password;
pub mod rhythm;
mod rota_at_hand;
mod rota_ground;
pub mod rota_reasons;
pub mod rotas;
pub mod said_limits;
mod said_time;
mod seating;
pub mod see_duty;
pub mod see_letters;
pub mod sessions;
mod settle_turns;
pub mod sign_in;
pub mod sign_in_by_link;
pub mod sign_in_page;
pub mod sign_out;
pub mod site_change;
mod site_lists;
pub mod sites;
pub mod slips;
mod spine;
pub mod stock_bin;
mod stocked_bins;
pub mod substitute_sheet;
pub mod take_back;
pub mod take_place;
pub mod take_series;
pub mod tell;
pub mod tell_absence;
mod tell_of_rota;
pub mod tend_bed;
mod throttle;
pub mod trade_places;
pub mod trail;
mod turn_fields;
mod turn_news;
mod turn_view;
pub mod turns;
pub mod waiting_letters;
mod watched_turns;

pub use error::{BrokenRule, DeskError, FieldError, Noun};
pub use settle_turns::TurnCounts;

use crate::clock::{self, Clock};
use crate::settings::People;
use crate::store::{Conn, Store, demo_clock};
use chrono::{DateTime, Utc};
use credentials::Credentials;
use futures_util::FutureExt;
use futures_util::future::BoxFuture;
use once::Ticket;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::sync::Arc;
use wormrota_domain::ids::AccountId;
use wormrota_domain::living_bin::settings::ModelSettings;

/// Everything that use cases work with. Cloning is cheap.
#[derive(Debug, Clone)]
pub struct Desk {
    store: Store,
    clock: Clock,
    credentials: Arc<Credentials>,
    model: Arc<ModelSettings>,
    lots: Arc<allowances::Lots>,
    people: People,
}

/// Who asks for something, when, and under which idempotency key.
#[derive(Debug, Clone)]
pub struct Errand {
    /// The account that is signed in.
    pub account: AccountId,
    /// The time at which bins live.
    pub now: DateTime<Utc>,
    /// The key that makes a write happen once, if the caller sent one.
    pub ticket: Option<Ticket>,
}

/// One page of a list.
#[derive(Debug, Clone, PartialEq)]
pub struct Page<T> {
    /// What is on it.
    pub items: Vec<T>,
    /// Whether more follows.
    pub more: bool,
}

impl<T> Page<T> {
    /// Cuts a list that was read one row longer than the page is.
    #[must_use]
    pub fn cut(mut items: Vec<T>, limit: u16) -> Self {
        let limit = usize::from(limit);
        let more = items.len() > limit;
        items.truncate(limit);
        Self { items, more }
    }
}

impl Desk {
    /// Puts the parts together.
    #[must_use]
    pub fn new(
        store: Store,
        clock: Clock,
        credentials: Credentials,
        model: ModelSettings,
        people: People,
    ) -> Self {
        Self {
            store,
            clock,
            credentials: Arc::new(credentials),
            model: Arc::new(model),
            lots: Arc::default(),
            people,
        }
    }

    /// The door to the database.
    #[must_use]
    pub const fn store(&self) -> &Store {
        &self.store
    }

    /// Passwords and tokens.
    #[must_use]
    pub fn credentials(&self) -> &Credentials {
        &self.credentials
    }

    /// The same, for work that outlives a borrow.
    pub(crate) fn credentials_shared(&self) -> Arc<Credentials> {
        Arc::clone(&self.credentials)
    }

    /// The constants of the living bin.
    #[must_use]
    pub fn model(&self) -> Arc<ModelSettings> {
        Arc::clone(&self.model)
    }

    /// How people come and go.
    #[must_use]
    pub const fn people(&self) -> People {
        self.people
    }

    /// Which time this copy lives in.
    #[must_use]
    pub const fn clock(&self) -> Clock {
        self.clock
    }

    /// The time at which bins live. In the demo it costs one read, so that all copies
    /// agree the moment somebody moves it.
    pub async fn now(&self) -> Result<DateTime<Utc>, DeskError> {
        self.now_at(clock::wall()).await
    }

    /// The same when the machine's clock shows `wall`.
    pub async fn now_at(&self, wall: DateTime<Utc>) -> Result<DateTime<Utc>, DeskError> {
        match self.clock {
            Clock::System => Ok(wall),
            Clock::Demo => {
                let offset = self
                    .store
                    .read("read the demo's clock", (), |conn, ()| {
                        async move { Ok::<_, DeskError>(demo_clock::offset(conn).await?) }.boxed()
                    })
                    .await?;
                Ok(wall.checked_add_signed(offset).unwrap_or(wall))
            }
        }
    }

    /// Runs a write as one transaction, and only once for each idempotency key: who asks
    /// again gets the first answer. The answer is kept in the database, so it holds ids
    /// and figures, never names.
    pub async fn write<I, T, W>(
        &self,
        name: &'static str,
        errand: Errand,
        input: I,
        work: W,
    ) -> Result<T, DeskError>
    where
        I: Send + Sync + 'static,
        T: Serialize + DeserializeOwned + Send + Sync + 'static,
        W: for<'a> Fn(&'a mut Conn, &'a Errand, &'a I) -> BoxFuture<'a, Result<T, DeskError>>
            + Send
            + Sync
            + 'static,
    {
        self.store
            .transact(
                name,
                (errand, input, work),
                |conn, (errand, input, work)| {
                    async move {
                        if let Some(answer) = once::first_answer(conn, errand).await? {
                            return Ok(answer);
                        }
                        let answer = work(conn, errand, input).await?;
                        once::keep(conn, errand, &answer).await?;
                        Ok(answer)
                    }
                    .boxed()
                },
            )
            .await
    }
}
