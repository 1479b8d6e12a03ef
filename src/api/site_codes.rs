//! The words that a site is described with, for the OpenAPI document.

use utoipa::ToSchema;

/// `metric` or `us`.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
pub(super) enum Units {
    Metric,
    Us,
}

/// English or Spanish.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
pub(super) enum LanguageCode {
    En,
    Es,
}

/// The format of paper.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
pub(super) enum PaperSize {
    A4,
    Letter,
}

/// Where scraps can go that no bin takes.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
pub(super) enum Outlet {
    OrganicsCollection,
    GardenHeap,
    DropOffPoint,
}

/// What residents see of each other: only whom to ask, what everybody is called, or also
/// where they live.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
pub(super) enum NeighboursSeeCode {
    Keepers,
    Names,
    NamesAndFlats,
}

/// What somebody is at a site.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
pub(super) enum RoleCode {
    Resident,
    Caretaker,
    Teacher,
    Educator,
}
