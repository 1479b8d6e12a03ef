//! Pages for people who followed a link in a letter, or who ask for one. They are no part of the
//! JSON API: a form and a sentence or two, without scripts and without anything to fetch. Beside
//! them stand the calendars that programs subscribe to.

mod answered;
mod asking_page;
mod calendar;
mod frame;
mod letter_link;
mod secret_page;

pub(super) use calendar::address_of_calendar;

use crate::desk::ask_for_link::LinkKind;
use actix_web::web;
use secret_page::SecretPage;

/// Every page.
pub(super) fn routes(config: &mut web::ServiceConfig) {
    config.service(
        web::resource(letter_link::PATH)
            .route(web::get().to(letter_link::show))
            .route(web::head().to(letter_link::show))
            .route(web::post().to(letter_link::act)),
    );
    for page in SecretPage::ALL {
        config.service(
            web::resource(page.path())
                .route(web::get().to(move |state, request, token| {
                    secret_page::show(page, state, request, token)
                }))
                .route(web::post().to(move |state, request, token, form| {
                    secret_page::act(page, state, request, token, form)
                })),
        );
    }
    for kind in [LinkKind::Reset, LinkKind::SignIn] {
        config.service(
            web::resource(kind.path())
                .route(web::get().to(move |state, request| asking_page::show(kind, state, request)))
                .route(
                    web::post().to(move |state, request, form| {
                        asking_page::act(kind, state, request, form)
                    }),
                ),
        );
    }
    config.service(web::resource(calendar::PATH).route(web::get().to(calendar::show)));
}
