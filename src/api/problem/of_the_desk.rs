//! From what went wrong at the desk to a problem.

use super::{Problem, kinds};
use crate::desk::{BrokenRule, DeskError, FieldError};
use crate::store::StoreError;
use serde_json::json;
use std::fmt;
use wormrota_domain::access::Role;
use wormrota_domain::ids::SiteId;

fn import_refused(errors: Vec<FieldError>, total: usize) -> Problem {
    let told = errors.len();
    let detail =
        format!("Nobody was added. Errors in the list: {total}; `errors` names the first {told}.");
    Problem::new(&kinds::IMPORT_REFUSED, detail)
        .pointing_at(errors)
        .with("errors_total", total.into())
}

fn last_keeper(roles: Vec<Role>, site: SiteId) -> Problem {
    let roles: Vec<&str> = roles.into_iter().map(Role::code).collect();
    let detail = format!(
        "The site would be left without a {} who can sign in.",
        roles.join(" and a ")
    );
    Problem::new(&kinds::LAST_KEEPER, detail)
        .with("roles", roles.into())
        .with("site_id", site.0.to_string().into())
}

/// Each rule that would break, for whom and where.
fn rules_broken(broken: &[BrokenRule]) -> Problem {
    let listed: Vec<serde_json::Value> = broken
        .iter()
        .map(|broken| {
            json!({
                "member_id": broken.member,
                "turn_id": broken.turn,
                "rule": broken.rule.code(),
            })
        })
        .collect();
    Problem::new(
        &kinds::RULES_BROKEN,
        "Nothing was changed: rules would break.",
    )
    .with("broken", listed.into())
}

/// The service cannot do something at the moment.
fn not_reached(inside: impl fmt::Display) -> Problem {
    Problem::new(
        &kinds::UNAVAILABLE,
        "The service cannot do this just now. Come back in a moment.",
    )
    .because(inside)
}

/// What went wrong with the database.
fn of_the_store(error: StoreError) -> Problem {
    match error {
        StoreError::Unavailable(inside) | StoreError::Lost(inside) => not_reached(inside),
        StoreError::Contended => Problem::new(
            &kinds::UNAVAILABLE,
            "Too many people wanted the same at once. Come back in a moment.",
        )
        .because(error),
        error => mistake(error),
    }
}

/// A mistake of the service's own.
fn mistake(inside: impl fmt::Display) -> Problem {
    Problem::new(
        &kinds::INTERNAL,
        "The service made a mistake, which is in its log.",
    )
    .because(inside)
}

/// What is about turns, places and rotas.
fn of_turns(error: DeskError) -> Problem {
    match error {
        DeskError::NoFreePlace => Problem::new(
            &kinds::NO_FREE_PLACE,
            "There is no place on this turn to be had.",
        ),
        DeskError::HeldAlready => {
            Problem::new(&kinds::HELD_ALREADY, "A place of the turn is held already.")
        }
        DeskError::NotTheHolder => Problem::new(
            &kinds::NOT_THE_HOLDER,
            "The place has another holder, or none.",
        ),
        DeskError::TurnOver => Problem::new(
            &kinds::TURN_OVER,
            "Its day or its hours have passed, it was called off, or its pattern does not want it any more.",
        ),
        DeskError::TooLate { last_day } => Problem::new(
            &kinds::TOO_LATE,
            format!(
                "It could be given back until the end of {last_day}. Whoever cannot come says so \
                 all the same, by its `call`."
            ),
        ),
        DeskError::PlaceNeeded => Problem::new(
            &kinds::PLACE_NEEDED,
            "The bin would go without for longer than it can.",
        ),
        DeskError::RulesBroken(broken) => rules_broken(&broken),
        DeskError::RotaMovedOn => Problem::new(
            &kinds::ROTA_MOVED_ON,
            "Places, turns or people changed since the draft was begun.",
        ),
        DeskError::RotaState { state } => {
            Problem::new(&kinds::ROTA_STATE, format!("The rota is {state}."))
        }
        other => mistake(other),
    }
}

/// What is about letting people in and out.
fn of_people(error: DeskError) -> Problem {
    match error {
        DeskError::CodeRefused => {
            Problem::new(&kinds::CODE_REFUSED, "No code like this can be used.")
        }
        DeskError::InvitationForAnother => Problem::new(
            &kinds::INVITATION_FOR_ANOTHER,
            "You are signed in with another address than the invited one.",
        ),
        DeskError::EndedAlready => {
            Problem::new(&kinds::ENDED_ALREADY, "It is not in force any more.")
        }
        DeskError::NeedsNoSlip => Problem::new(
            &kinds::NEEDS_NO_SLIP,
            "Slips are for members who are residents of this site only and have no address.",
        ),
        DeskError::LastKeeper { roles, site } => last_keeper(roles, site),
        DeskError::ImportRefused { errors, total } => import_refused(errors, total),
        other => mistake(other),
    }
}

impl From<DeskError> for Problem {
    fn from(error: DeskError) -> Self {
        match error {
            DeskError::NotFound(noun) => Self::new(
                &kinds::NOT_FOUND,
                format!("There is no such {}.", noun.word()),
            ),
            DeskError::Forbidden(deed) => Self::new(
                &kinds::FORBIDDEN,
                format!(
                    "None of your roles at this site allows you to {}.",
                    deed.title()
                ),
            ),
            DeskError::MayNotOpenSites => Self::new(
                &kinds::FORBIDDEN,
                "Only an educator's account can open a site.",
            ),
            DeskError::SignInFailed => Self::new(
                &kinds::SIGN_IN_FAILED,
                "There is no account with this address and this password.",
            ),
            DeskError::SessionEnded => Self::new(
                &kinds::SESSION_ENDED,
                "This token is of a session that goes on no more.",
            ),
            DeskError::RefreshRefused => Self::new(
                &kinds::REFRESH_REFUSED,
                "This refresh token opens no session.",
            ),
            DeskError::LinkRefused => Self::new(
                &kinds::LINK_REFUSED,
                "This link cannot be used, or not any more.",
            ),
            DeskError::TooOften { wait_s } => Self::too_often(wait_s),
            DeskError::Invalid(errors) => Self::fields(errors),
            DeskError::Conflicting(errors) => Self::conflicts(errors),
            DeskError::NameTaken { pointer } => {
                Self::new(&kinds::NAME_TAKEN, "Something else has this name already.")
                    .pointing_at(vec![FieldError::new(pointer, "must not be in use already")])
            }
            DeskError::AddressTaken => Self::new(
                &kinds::ADDRESS_TAKEN,
                "There is an account with this address already.",
            ),
            DeskError::NotStocked => Self::new(
                &kinds::NOT_STOCKED,
                "The bin takes no food until it is stocked.",
            ),
            DeskError::StockedAlready => {
                Self::new(&kinds::STOCKED_ALREADY, "The bin was stocked before.")
            }
            DeskError::BookedAlready => Self::new(
                &kinds::BOOKED_ALREADY,
                "You have room booked in this bin for this day already.",
            ),
            DeskError::BookingEnded => {
                Self::new(&kinds::BOOKING_ENDED, "The booking is not open any more.")
            }
            DeskError::EntryStands => {
                Self::new(&kinds::ENTRY_STANDS, "This entry can not be taken back.")
            }
            DeskError::ClassEnded => Self::new(&kinds::CLASS_ENDED, "The class is over."),
            DeskError::LastTeacher => Self::new(
                &kinds::LAST_TEACHER,
                "This is the only teacher of the class, and a class needs one.",
            ),
            people @ (DeskError::CodeRefused
            | DeskError::InvitationForAnother
            | DeskError::EndedAlready
            | DeskError::NeedsNoSlip
            | DeskError::LastKeeper { .. }
            | DeskError::ImportRefused { .. }) => of_people(people),
            rota @ (DeskError::NoFreePlace
            | DeskError::HeldAlready
            | DeskError::NotTheHolder
            | DeskError::TurnOver
            | DeskError::TooLate { .. }
            | DeskError::PlaceNeeded
            | DeskError::RulesBroken(_)
            | DeskError::RotaMovedOn
            | DeskError::RotaState { .. }) => of_turns(rota),
            DeskError::UnknownProbe => Self::new(&kinds::UNKNOWN_PROBE, "No probe has this key."),
            DeskError::TooMany { what } => Self::new(
                &kinds::TOO_MANY,
                format!("There are too many {what} already."),
            ),
            DeskError::ChangedMeanwhile => Self::new(
                &kinds::CHANGED_MEANWHILE,
                "If-Match does not name this as it is now; nothing was changed.",
            ),
            DeskError::KeyReused => Self::new(
                &kinds::KEY_REUSED,
                "This key came with another method, address or body the first time.",
            ),
            DeskError::Unavailable(inside) => not_reached(inside),
            DeskError::Store(error) | DeskError::Broken(error) => of_the_store(error),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_error_of_the_desk_gets_the_row_of_its_code() {
        use crate::desk::Noun;
        use wormrota_domain::access::Deed;
        let unavailable = || StoreError::Unavailable(String::new());
        for error in [
            DeskError::NotFound(Noun::Bin),
            DeskError::Forbidden(Deed::AddBin),
            DeskError::MayNotOpenSites,
            DeskError::SignInFailed,
            DeskError::SessionEnded,
            DeskError::RefreshRefused,
            DeskError::LinkRefused,
            DeskError::TooOften { wait_s: 1 },
            DeskError::field("/x", "must be y"),
            DeskError::conflict("/x", "must be y"),
            DeskError::NameTaken { pointer: "/name" },
            DeskError::AddressTaken,
            DeskError::NotStocked,
            DeskError::StockedAlready,
            DeskError::BookedAlready,
            DeskError::BookingEnded,
            DeskError::EntryStands,
            DeskError::CodeRefused,
            DeskError::InvitationForAnother,
            DeskError::EndedAlready,
            DeskError::NeedsNoSlip,
            DeskError::LastKeeper {
                roles: vec![Role::Caretaker],
                site: SiteId(uuid::Uuid::nil()),
            },
            DeskError::UnknownProbe,
            DeskError::ClassEnded,
            DeskError::LastTeacher,
            DeskError::ImportRefused {
                errors: Vec::new(),
                total: 1,
            },
            DeskError::TooMany { what: "things" },
            DeskError::ChangedMeanwhile,
            DeskError::KeyReused,
            DeskError::Unavailable(String::new()),
            DeskError::Store(unavailable()),
            DeskError::Store(StoreError::Contended),
            DeskError::broken("x"),
            DeskError::Store(StoreError::Unreadable { what: "x" }),
        ] {
            let code = error.code();
            assert_eq!(Problem::from(error).kind.code, code);
        }
    }
}
