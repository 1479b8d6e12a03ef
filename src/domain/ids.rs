//! Every kind of identifier, in one place.
//!
//! The values are UUIDs of version 7, made at the edge; here they are only told apart.

use serde::{Deserialize, Serialize};
use std::fmt;
use uuid::Uuid;

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
        )]
        #[serde(transparent)]
        pub struct $name(pub Uuid);

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                self.0.fmt(f)
            }
        }
    )+};
}

ids! {
    /// Somebody who can sign in, over all sites.
    AccountId,
    /// A building or school that keeps shared bins.
    SiteId,
    /// A person at one site, perhaps without an account.
    MemberId,
    /// One worm bin.
    BinId,
    /// One layer of a bin.
    TrayId,
    /// A container that a site measures scraps with.
    ContainerId,
    /// One entry on a bin's spine of events.
    EventId,
    /// One answer given to an offer of food.
    DecisionId,
    /// Room promised to somebody for a day.
    BookingId,
    /// Something a caretaker has to know.
    NoticeId,
    /// Something that measures a bin by itself.
    ProbeId,
    /// One measured value.
    ReadingId,
    /// One device that is signed in.
    SessionId,
    /// A link that does one thing for an account, once.
    LinkId,
    /// An invitation to a site.
    InvitationId,
    /// Something printed that people type: to join, to sign in once, to open a lid's page.
    CodeId,
    /// Residents of a flat.
    HouseholdId,
    /// A teacher's group.
    ClassId,
    /// A first name or initials in a class.
    PupilId,
    /// How often a bin is due.
    PatternId,
    /// Days on which a site is shut.
    ClosureId,
    /// One bin on one local date when something is due.
    TurnId,
    /// One place of a turn.
    PlaceId,
    /// Two who do not share a turn.
    ApartPairId,
    /// Days on which somebody is away.
    AbsenceId,
    /// A search for somebody who comes in the stead of who is away.
    CallId,
    /// Who holds which place over a span of days.
    RotaId,
    /// A secret address of a calendar.
    CalendarAddressId,
    /// One line of who changed what.
    AuditId,
    /// One piece of background work.
    JobId,
}
