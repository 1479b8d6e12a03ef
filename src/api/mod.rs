//! HTTP in and out. Handlers translate and hold no rule.
//!
//! To add an endpoint: write a handler with its `utoipa::path` beside the others of its
//! noun, and name it in [`routes`]. The OpenAPI document and the answers to wrong methods
//! follow from there.

pub mod absences;
pub mod account_links;
mod address;
pub mod apart_pairs;
pub mod audit;
pub mod bearer;
pub mod bins;
pub mod body;
pub mod bookings;
pub mod calendar_addresses;
pub mod call_deeds;
pub mod calls;
pub mod checks;
mod class_adults;
pub mod class_duty;
pub mod classes;
pub mod closure_imports;
pub mod closure_plan_bodies;
pub mod closure_plans;
pub mod closures;
pub mod decisions;
pub mod demo_clock;
mod demo_letters;
mod doors;
pub mod etag;
pub mod exact;
pub mod facts;
mod fallback;
pub mod feedings;
pub mod finish;
pub mod foods;
mod hour;
pub mod households;
pub mod imports;
pub mod invitations;
pub mod joining_sheets;
mod json;
pub mod keep_turns;
pub mod letters;
pub mod lids;
pub mod limits;
mod links;
pub mod me;
pub mod members;
pub mod needs;
pub mod newcomers;
pub mod notices;
pub mod offers;
pub mod openapi;
mod outside;
pub mod own_data;
pub mod page;
mod pages;
pub mod patterns;
pub mod places;
pub mod probe_key;
pub mod probes;
pub mod problem;
pub mod pupil_absences;
pub mod pupils;
mod query;
pub mod rate;
mod reader;
pub mod readings;
pub mod request_id;
pub mod responses;
mod reword;
pub mod rhythm;
pub mod room;
pub mod rota_comparison;
pub mod rota_empty_places;
pub mod rota_limits;
pub mod rota_places;
pub mod rota_reasons;
pub mod rotas;
mod schemas;
pub mod series;
pub mod service;
pub mod sessions;
pub mod site_bodies;
pub mod site_changes;
mod site_codes;
pub mod sites;
pub mod slips;
mod span;
pub mod stockings;
pub mod substitute_sheet;
mod text_body;
mod together;
pub mod trades;
pub mod turns;
pub mod uncovered;

use crate::clock::Clock;
use crate::desk::Desk;
use crate::letters::LetterFolder;
use crate::settings::{Letters, Server};
use actix_web::middleware::from_fn;
use actix_web::web::Bytes;
use actix_web::{App, HttpServer, web};
use doors::Doors;
use fallback::{KnownPaths, fallback};
use problem::Problem;
use std::io;
use std::net::TcpListener;
use std::time::Duration;
use tracing_actix_web::TracingLogger;
use utoipa_actix_web::AppExt;
use utoipa_actix_web::service_config::ServiceConfig;

/// What handlers work with; the same for all threads.
#[derive(Debug)]
pub struct AppState {
    /// The use cases.
    pub desk: Desk,
    /// How requests are taken.
    pub server: Server,
    /// The OpenAPI document, ready to be sent.
    document: Bytes,
    known_paths: KnownPaths,
    doors: Doors,
    /// How often somebody may ask.
    limits: rate::RateLimits,
    outside: outside::Outside,
    /// The letters that the demo shows.
    demo_letters: Option<LetterFolder>,
}

impl AppState {
    /// Puts together what handlers need.
    ///
    /// # Errors
    /// When the OpenAPI document cannot be written, or `letters.from` is no address.
    pub fn new(desk: Desk, server: Server, letters: &Letters) -> io::Result<Self> {
        let document = openapi::document(desk.clock() == Clock::Demo);
        Ok(Self {
            desk,
            limits: rate::RateLimits::new(&server),
            outside: outside::Outside::of(letters).map_err(io::Error::other)?,
            server,
            document: document.to_json().map_err(io::Error::other)?.into(),
            known_paths: KnownPaths::of(&document),
            doors: Doors::of(&document),
            demo_letters: None,
        })
    }

    /// Has the letters of a folder shown to this machine, which only the demo does.
    #[must_use]
    pub fn showing_letters(self, folder: LetterFolder) -> Self {
        Self {
            demo_letters: Some(folder),
            ..self
        }
    }
}

/// Every handler.
pub fn routes(config: &mut ServiceConfig) {
    config
        .service(service::live)
        .service(service::ready)
        .service(service::openapi)
        .service(service::problems)
        .service(service::problem_kind)
        .service(sessions::create_session)
        .service(sessions::index_sessions)
        .service(sessions::delete_sessions)
        .service(sessions::refresh_session)
        .service(sessions::create_session_by_link)
        .service(sessions::delete_session)
        .service(account_links::create_sign_in_link)
        .service(account_links::create_password_reset)
        .service(account_links::use_password_reset)
        .service(account_links::index_my_links)
        .service(account_links::delete_my_link)
        .service(me::show_me)
        .service(me::update_my_password)
        .service(own_data::export_own_data)
        .service(own_data::erase_own_account)
        .service(sites::index_sites)
        .service(sites::create_site)
        .service(sites::show_site)
        .service(sites::update_site)
        .service(members::index_members)
        .service(members::show_member)
        .service(members::update_member)
        .service(members::delete_member)
        .service(limits::show_limits)
        .service(limits::put_limits)
        .service(calendar_addresses::index_calendar_addresses)
        .service(calendar_addresses::create_calendar_address)
        .service(calendar_addresses::delete_calendar_address)
        .service(absences::index_absences)
        .service(absences::create_absence)
        .service(absences::update_absence)
        .service(absences::delete_absence)
        .service(apart_pairs::index_apart_pairs)
        .service(apart_pairs::create_apart_pair)
        .service(apart_pairs::delete_apart_pair)
        .service(slips::create_slip)
        .service(slips::create_slip_use)
        .service(households::index_households)
        .service(invitations::index_invitations)
        .service(invitations::create_invitation)
        .service(invitations::delete_invitation)
        .service(invitations::replace_invitation_link)
        .service(invitations::accept_invitation_link)
        .service(joining_sheets::index_joining_sheets)
        .service(joining_sheets::create_joining_sheet)
        .service(joining_sheets::replace_joining_sheet)
        .service(joining_sheets::delete_joining_sheet)
        .service(joining_sheets::create_joining)
        .service(newcomers::index_newcomers)
        .service(newcomers::confirm_newcomer)
        .service(newcomers::delete_newcomer)
        .service(lids::create_lid_code)
        .service(lids::show_lid)
        .service(audit::index_changes)
        .service(bins::index_bins)
        .service(bins::create_bin)
        .service(bins::show_bin)
        .service(stockings::create_stocking)
        .service(room::show_room)
        .service(room::show_forecast)
        .service(feedings::index_feedings)
        .service(feedings::create_feeding)
        .service(feedings::ask_feeding)
        .service(feedings::tell_feeding)
        .service(bookings::index_bookings)
        .service(bookings::create_booking)
        .service(bookings::delete_booking)
        .service(facts::show_facts)
        .service(checks::create_check)
        .service(checks::create_bedding)
        .service(checks::create_side)
        .service(checks::create_removal)
        .service(checks::delete_entry)
        .service(readings::index_readings)
        .service(readings::create_readings)
        .service(readings::create_probe_readings)
        .service(probes::index_probes)
        .service(probes::create_probe)
        .service(probes::delete_probe)
        .service(foods::index_foods)
        .service(letters::index_letters)
        .service(notices::index_notices)
        .service(notices::see_notice)
        .service(imports::import_members)
        .configure(class_routes)
        .configure(rota_routes);
}

/// Those about classes.
fn class_routes(config: &mut ServiceConfig) {
    config
        .service(classes::index_classes)
        .service(classes::create_class)
        .service(classes::show_class)
        .service(classes::update_class)
        .service(classes::end_class)
        .service(class_adults::put_helper)
        .service(class_adults::delete_helper)
        .service(pupils::create_pupils)
        .service(pupils::update_pupil)
        .service(pupils::delete_pupil)
        .service(pupil_absences::create_pupil_absence)
        .service(pupil_absences::delete_pupil_absence)
        .service(class_duty::show_duty)
        .service(class_duty::create_duty)
        .service(class_duty::put_duty_place)
        .service(pupil_absences::exchange_duty_place)
        .service(substitute_sheet::show_sheet)
        .service(rhythm::show_rhythm)
        .service(patterns::index_patterns)
        .service(patterns::create_pattern)
        .service(patterns::show_pattern)
        .service(patterns::update_pattern)
        .service(patterns::delete_pattern)
        .service(closures::index_closures)
        .service(closures::create_closure)
        .service(closures::delete_closure)
        .service(closure_plans::show_plan_of_days)
        .service(closure_plans::show_closure_plan)
        .service(closure_plans::create_visits)
        .service(closure_imports::import_closures)
        .service(turns::index_turns)
        .service(keep_turns::create_turn)
        .service(turns::show_turn)
        .service(keep_turns::update_turn);
    place_routes(config);
}

fn place_routes(config: &mut ServiceConfig) {
    config
        .service(places::create_place)
        .service(places::update_place)
        .service(places::delete_place)
        .service(trades::create_trade)
        .service(series::create_series)
        .service(calls::index_calls)
        .service(calls::show_call)
        .service(call_deeds::create_call_answer)
        .service(call_deeds::create_call_assignment)
        .service(call_deeds::leave_call_empty)
        .service(call_deeds::search_for_call)
        .service(call_deeds::create_call)
        .service(uncovered::index_uncovered);
}

/// Drafting rotas, putting them up, and why they are as they are.
fn rota_routes(config: &mut ServiceConfig) {
    config
        .service(rotas::index_rotas)
        .service(rotas::create_rota)
        .service(rotas::show_rota)
        .service(rotas::delete_rota)
        .service(rota_places::index_rota_places)
        .service(rotas::put_up)
        .service(rota_reasons::show_rota_reasons)
        .service(rota_reasons::index_rota_members)
        .service(rota_empty_places::index_empty_places)
        .service(rota_comparison::show_rota_comparison);
}

/// What only the demo serves besides.
pub fn demo_routes(config: &mut ServiceConfig) {
    config.service(demo_clock::move_demo_clock);
}

/// Serves until it is told to stop through the handle of the returned server. Signals are
/// left to the caller, who has more to stop than this.
///
/// # Errors
/// When the listener cannot be used.
pub fn run(listener: TcpListener, state: AppState) -> io::Result<actix_web::dev::Server> {
    let settings = state.server.clone();
    let demo = state.desk.clock() == Clock::Demo;
    let shows_letters = state.demo_letters.is_some();
    let state = web::Data::new(state);
    let mut server = HttpServer::new(move || {
        App::new()
            .into_utoipa_app()
            .configure(|config| {
                routes(config);
                if demo {
                    demo_routes(config);
                }
            })
            .into_app()
            .configure(pages::routes)
            .configure(|config| {
                if shows_letters {
                    demo_letters::routes(config);
                }
            })
            .app_data(state.clone())
            // A key that is no UUID is a key of nothing.
            .app_data(web::PathConfig::default().error_handler(|_, _| {
                Problem::new(&problem::NOT_FOUND, "There is nothing at this address.").into()
            }))
            .default_service(web::to(fallback))
            .wrap(from_fn(bearer::sign_in_first))
            .wrap(TracingLogger::<span::RequestSpan>::new())
            .wrap(from_fn(finish::finish))
    })
    .client_request_timeout(Duration::from_secs(settings.request_timeout_s))
    .shutdown_timeout(settings.shutdown_timeout_s)
    .disable_signals();
    if settings.workers > 0 {
        server = server.workers(settings.workers);
    }
    Ok(server.listen(listener)?.run())
}
