//! What answers when no handler does: 405 for a known address, 404 for any other.

use super::AppState;
use super::problem::{self, Problem};
use actix_web::dev::ResourceDef;
use actix_web::{HttpRequest, web};
use utoipa::openapi::{OpenApi, PathItem};

/// The addresses that the service knows with the methods that each takes.
#[derive(Debug)]
pub(super) struct KnownPaths(Vec<(ResourceDef, String)>);

impl KnownPaths {
    /// Reads them from the OpenAPI document, which is generated from the handlers.
    #[must_use]
    pub(super) fn of(document: &OpenApi) -> Self {
        Self(
            document
                .paths
                .paths
                .iter()
                .map(|(path, item)| (ResourceDef::new(path.as_str()), methods(item)))
                .collect(),
        )
    }

    fn allowed(&self, path: &str) -> Option<&str> {
        self.0
            .iter()
            .find(|(known, _)| known.is_match(path))
            .map(|(_, methods)| methods.as_str())
    }
}

fn methods(item: &PathItem) -> String {
    let all = [
        ("GET, HEAD", item.get.is_some()),
        ("POST", item.post.is_some()),
        ("PUT", item.put.is_some()),
        ("PATCH", item.patch.is_some()),
        ("DELETE", item.delete.is_some()),
    ];
    let taken: Vec<_> = all
        .into_iter()
        .filter_map(|(method, taken)| taken.then_some(method))
        .collect();
    taken.join(", ")
}

/// The default service.
///
/// # Errors
/// Always: that is what it is for.
pub(super) async fn fallback(
    request: HttpRequest,
    state: web::Data<AppState>,
) -> Result<&'static str, Problem> {
    match state.known_paths.allowed(request.path()) {
        Some(allow) => Err(Problem::new(
            &problem::METHOD_NOT_ALLOWED,
            format!("This address takes {allow}."),
        )
        .allowing(allow)),
        None => Err(Problem::new(
            &problem::NOT_FOUND,
            "There is nothing at this address.",
        )),
    }
}
