//! What can come of a use case besides success, as values with stable codes.
//!
//! Nothing here knows of HTTP; the API's table says which status each code gets.

use crate::store::{Failure, StoreError};
use chrono::NaiveDate;
use wormrota_domain::access::{Deed, Role};
use wormrota_domain::ids::{MemberId, SiteId, TurnId};
use wormrota_domain::rota::rules::HardRule;

/// A thing that was asked for and is not there, or not for whoever asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Noun {
    /// A site.
    Site,
    /// A bin.
    Bin,
    /// A notice.
    Notice,
    /// An entry on a bin's spine.
    Event,
    /// A booking.
    Booking,
    /// A container.
    Container,
    /// A probe.
    Probe,
    /// A class.
    Class,
    /// A pupil.
    Pupil,
    /// An account.
    Account,
    /// A session of the caller.
    Session,
    /// A link of the caller.
    Link,
    /// Somebody who belongs to a site.
    Member,
    /// Somebody who waits to be let in.
    Newcomer,
    /// An invitation.
    Invitation,
    /// A joining sheet.
    JoiningSheet,
    /// A lid with a code.
    Lid,
    /// A pattern.
    Pattern,
    /// A closure.
    Closure,
    /// A turn.
    Turn,
    /// A place of a turn.
    Place,
    /// A pair that is kept apart.
    ApartPair,
    /// An absence.
    Absence,
    /// A secret address of a calendar.
    CalendarAddress,
    /// A rota.
    Rota,
    /// Somebody's part in a rota.
    Part,
    /// A call for somebody who comes in another's stead.
    Call,
}

impl Noun {
    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Site => "site",
            Self::Bin => "bin",
            Self::Notice => "notice",
            Self::Event => "entry",
            Self::Booking => "booking",
            Self::Container => "container",
            Self::Probe => "probe",
            Self::Class => "class",
            Self::Pupil => "pupil",
            Self::Account => "account",
            Self::Session => "session",
            Self::Link => "link",
            Self::Member => "member",
            Self::Newcomer => "newcomer",
            Self::Invitation => "invitation",
            Self::JoiningSheet => "joining sheet",
            Self::Lid => "lid",
            Self::Pattern => "pattern",
            Self::Closure => "closure",
            Self::Turn => "turn",
            Self::Place => "place",
            Self::ApartPair => "pair",
            Self::Absence => "absence",
            Self::CalendarAddress => "calendar address",
            Self::Rota => "rota",
            Self::Part => "part in this rota",
            Self::Call => "call",
        }
    }
}

/// One field of the input that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FieldError {
    /// A JSON pointer (RFC 6901) into the input.
    pub pointer: String,
    /// What is wrong, beginning with "must". Holds no part of the input.
    pub detail: String,
}

impl FieldError {
    /// An error for one field.
    #[must_use]
    pub fn new(pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        Self {
            pointer: pointer.into(),
            detail: detail.into(),
        }
    }
}

/// A hard rule of the rota that something would break, and for whom.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BrokenRule {
    /// Whose place it is about.
    pub member: MemberId,
    /// On which turn.
    pub turn: TurnId,
    /// The rule. Whoever may not know of pairs that are kept apart gets `Places` in its place:
    /// for them the turn is full.
    pub rule: HardRule,
}

/// Why a use case did not do what it was asked.
#[derive(Debug, thiserror::Error)]
pub enum DeskError {
    /// There is no such thing, or it is of a site that the caller does not belong to.
    #[error("no such {}", .0.word())]
    NotFound(Noun),
    /// The caller's roles at the site do not allow it.
    #[error("not allowed: {}", .0.title())]
    Forbidden(Deed),
    /// Only an educator's account opens sites.
    #[error("only an educator can open a site")]
    MayNotOpenSites,
    /// Address and password do not belong together.
    #[error("address and password do not belong together")]
    SignInFailed,
    /// The session of an access token was ended.
    #[error("the session has ended")]
    SessionEnded,
    /// A refresh token is unknown, expired or used.
    #[error("the refresh token is not good")]
    RefreshRefused,
    /// A link is unknown, expired, used or revoked.
    #[error("the link is not good")]
    LinkRefused,
    /// Somebody tried something more often than they may.
    #[error("tried too often; again in {wait_s} s")]
    TooOften {
        /// Seconds after which to come back.
        wait_s: u64,
    },
    /// Fields of the input cannot be used.
    #[error("some fields cannot be used")]
    Invalid(Vec<FieldError>),
    /// Each field is well formed, but some do not go together, or not with the records or
    /// the clock.
    #[error("some fields conflict with others, with the records or with the clock")]
    Conflicting(Vec<FieldError>),
    /// A name is in use already where it has to be unique.
    #[error("the name is taken")]
    NameTaken {
        /// The field that holds the name.
        pointer: &'static str,
    },
    /// There is an account with this address already.
    #[error("there is an account with this address already")]
    AddressTaken,
    /// No worms were put into the bin yet.
    #[error("the bin is not stocked")]
    NotStocked,
    /// Worms were put into the bin before.
    #[error("the bin is stocked already")]
    StockedAlready,
    /// The member has room booked in this bin for this day.
    #[error("booked already")]
    BookedAlready,
    /// The booking was used up, given back or has lapsed.
    #[error("the booking has ended")]
    BookingEnded,
    /// The entry is too old to be taken back, was taken back already, or is the bin's
    /// beginning.
    #[error("the entry stands")]
    EntryStands,
    /// No code like this works: made up, used up, expired, or taken back.
    #[error("the code does not work")]
    CodeRefused,
    /// The invitation is for another address than that of whoever is signed in.
    #[error("the invitation is for somebody else")]
    InvitationForAnother,
    /// It was accepted, used up or taken back, or has expired.
    #[error("it has ended")]
    EndedAlready,
    /// Slips are for residents who have no other way to sign in.
    #[error("the member needs no slip")]
    NeedsNoSlip,
    /// The site would be left without anybody in these roles who can sign in.
    #[error("somebody must take over first")]
    LastKeeper {
        /// What a successor would be.
        roles: Vec<Role>,
        /// Which site.
        site: SiteId,
    },
    /// No probe has this key.
    #[error("no probe has this key")]
    UnknownProbe,
    /// The class is over, and its pupils are erased.
    #[error("the class has ended")]
    ClassEnded,
    /// A class would be left without a teacher.
    #[error("a class needs a teacher")]
    LastTeacher,
    /// Lines of a list of people cannot be taken, so none of them was.
    #[error("{total} things are wrong with the list")]
    ImportRefused {
        /// The first of them, by line.
        errors: Vec<FieldError>,
        /// How many there are altogether.
        total: usize,
    },
    /// Every place of the turn is held.
    #[error("no place is free")]
    NoFreePlace,
    /// The member, or pupil, holds a place of the turn already.
    #[error("a place is held already")]
    HeldAlready,
    /// The place was given to somebody else, or given back, meanwhile.
    #[error("the place is not held by whom it was thought to be")]
    NotTheHolder,
    /// The turn is over, or does not take place.
    #[error("the turn does not take place")]
    TurnOver,
    /// It is too near the turn to give its place back.
    #[error("too late to give the place back")]
    TooLate {
        /// The last day on which it could be.
        last_day: NaiveDate,
    },
    /// The bin needs somebody on the turn.
    #[error("the bin needs the turn")]
    PlaceNeeded,
    /// Hard rules of the rota would break.
    #[error("rules of the rota would break")]
    RulesBroken(Vec<BrokenRule>),
    /// The rota in force, its turns or its people are not what the draft was made from.
    #[error("the rota in force has moved on")]
    RotaMovedOn,
    /// The rota is not in the state that this needs.
    #[error("the rota is {state}")]
    RotaState {
        /// The word of the state that it is in.
        state: &'static str,
    },
    /// There are as many of something as there may be.
    #[error("too many {what}")]
    TooMany {
        /// Of what.
        what: &'static str,
    },
    /// Somebody else changed it since the caller read it.
    #[error("changed meanwhile")]
    ChangedMeanwhile,
    /// An idempotency key came with another request than the first time.
    #[error("the idempotency key was used for another request")]
    KeyReused,
    /// The database cannot be reached, or too much is asked at once.
    #[error("not available: {0}")]
    Unavailable(String),
    /// A mistake in the program.
    #[error(transparent)]
    Broken(StoreError),
    /// A transaction lost or met a constraint; the store looks at it before anybody else.
    #[error(transparent)]
    Store(StoreError),
}

impl DeskError {
    /// One field is wrong.
    #[must_use]
    pub fn field(pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        Self::Invalid(vec![FieldError::new(pointer, detail)])
    }

    /// One field does not go with the others, with the records or with the clock.
    #[must_use]
    pub fn conflict(pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        Self::Conflicting(vec![FieldError::new(pointer, detail)])
    }

    /// A mistake in the program that no store reported.
    #[must_use]
    pub fn broken(what: impl Into<String>) -> Self {
        Self::Broken(StoreError::Broken(what.into()))
    }

    /// The stable code.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::NotFound(_) => "not_found",
            Self::Forbidden(_) | Self::MayNotOpenSites => "forbidden",
            Self::SignInFailed => "sign_in_failed",
            Self::SessionEnded => "session_ended",
            Self::RefreshRefused => "refresh_refused",
            Self::LinkRefused => "link_refused",
            Self::TooOften { .. } => "too_many_requests",
            Self::Invalid(_) => "invalid_fields",
            Self::Conflicting(_) => "conflicting_fields",
            Self::NameTaken { .. } => "name_taken",
            Self::AddressTaken => "address_taken",
            Self::NotStocked => "bin_not_stocked",
            Self::StockedAlready => "bin_stocked_already",
            Self::BookedAlready => "booked_already",
            Self::BookingEnded => "booking_ended",
            Self::EntryStands => "entry_stands",
            Self::CodeRefused => "code_refused",
            Self::InvitationForAnother => "invitation_for_another",
            Self::EndedAlready => "ended_already",
            Self::NeedsNoSlip => "needs_no_slip",
            Self::LastKeeper { .. } => "last_keeper",
            Self::UnknownProbe => "unknown_probe",
            Self::ClassEnded => "class_ended",
            Self::LastTeacher => "last_teacher",
            Self::ImportRefused { .. } => "import_refused",
            Self::NoFreePlace => "no_free_place",
            Self::HeldAlready => "held_already",
            Self::NotTheHolder => "not_the_holder",
            Self::TurnOver => "turn_over",
            Self::TooLate { .. } => "too_late",
            Self::PlaceNeeded => "place_needed",
            Self::RulesBroken(_) => "rules_broken",
            Self::RotaMovedOn => "rota_moved_on",
            Self::RotaState { .. } => "rota_state",
            Self::TooMany { .. } => "too_many",
            Self::ChangedMeanwhile => "changed_meanwhile",
            Self::KeyReused => "idempotency_key_reused",
            Self::Unavailable(_)
            | Self::Store(
                StoreError::Unavailable(_) | StoreError::Lost(_) | StoreError::Contended,
            ) => "unavailable",
            Self::Broken(_) | Self::Store(_) => "internal",
        }
    }

    /// Turns a constraint that was met into the error that it means: that something is there
    /// already, or that spans of days overlap.
    #[must_use]
    pub fn where_taken(self, constraint: &str, meaning: Self) -> Self {
        match self {
            Self::Store(
                StoreError::Duplicate { constraint: met } | StoreError::Refused { constraint: met },
            ) if met == constraint => meaning,
            other => other,
        }
    }
}

impl From<StoreError> for DeskError {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

impl Failure for DeskError {
    fn store_error(&self) -> Option<&StoreError> {
        match self {
            Self::Store(error) => Some(error),
            _ => None,
        }
    }
}
