//! Pages for people who followed a link in a letter. They are no part of the JSON API: a form
//! and a sentence or two, without scripts and without anything to fetch. Beside them stand the
//! calendars that programs subscribe to.

mod calendar;
mod frame;
mod invitation;
mod letter_link;
mod password;

pub(super) use calendar::address_of_calendar;

use actix_web::web;

/// Every page.
pub(super) fn routes(config: &mut web::ServiceConfig) {
    config.service(
        web::resource(letter_link::PATH)
            .route(web::get().to(letter_link::show))
            .route(web::head().to(letter_link::show))
            .route(web::post().to(letter_link::act)),
    );
    config.service(
        web::resource(invitation::PATH)
            .route(web::get().to(invitation::show))
            .route(web::post().to(invitation::act)),
    );
    config.service(
        web::resource(password::PATH)
            .route(web::get().to(password::show))
            .route(web::post().to(password::act)),
    );
    config.service(web::resource(calendar::PATH).route(web::get().to(calendar::show)));
}
