//! Pages for people who followed a link in a letter. They are no part of the JSON API: a form
//! and a sentence or two, without scripts and without anything to fetch.

mod frame;
mod letter_link;

use actix_web::web;

/// Every page.
pub(super) fn routes(config: &mut web::ServiceConfig) {
    config.service(
        web::resource(letter_link::PATH)
            .route(web::get().to(letter_link::show))
            .route(web::head().to(letter_link::show))
            .route(web::post().to(letter_link::act)),
    );
}
