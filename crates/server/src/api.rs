//! The calls, and the OpenAPI document that is made of them.

mod assembly;
mod bookings;
mod cut;
mod documents;
mod edits;
mod exports;
mod fit;
mod gas;
mod health;
mod history;
mod jobs;
mod meshes;
mod names;
mod papers;
mod photos;
mod quote;
mod routes;
mod saw;
mod search;
mod sessions;
mod shelf;
mod shop;
mod sizes;
mod starter;
mod strength;
mod survey;

use app::view::codes::{FormatCode, PaperCode, SheetKindCode, SheetSetCode};
use axum::Router;
use axum::extract::DefaultBodyLimit;
use utoipa::OpenApi;
use utoipa::openapi::security::{ApiKey, ApiKeyValue, SecurityScheme};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::errors::ErrorBody;
use crate::events::{PaceView, Started};
use crate::settings::{LONGEST_BODY, LONGEST_MESH};
use crate::shop::SharedShop;

/// General part of the OpenAPI document.
#[derive(OpenApi)]
#[openapi(
    info(title = "Tubewright", description = "The local server of Tubewright. Lengths in mm, angles in degrees, times in \
        milliseconds since 1970."),
    components(schemas(
        ErrorBody, Started, PaceView, search::Better, search::SearchDone, cut::BetterPlan, cut::CutDone, survey::PhotoProgress, survey::SurveyAdjusted,
        // Of parameters, which are not collected by themselves.
        FormatCode, PaperCode, SheetKindCode, SheetSetCode
    )),
    tags((name = "shop"), (name = "jobs"), (name = "history"), (name = "routes"), (name = "cut"), (name = "price"))
)]
struct Document;

fn described() -> OpenApiRouter<SharedShop> {
    let long = OpenApiRouter::new()
        .routes(routes!(meshes::put_mesh))
        .routes(routes!(photos::put_photo))
        .routes(routes!(jobs::import_job))
        .layer(DefaultBodyLimit::max(LONGEST_MESH));
    let short = OpenApiRouter::new()
        .routes(routes!(health::health))
        .routes(routes!(shop::shop, shop::change_shop))
        .routes(routes!(shop::stock, shop::put_stock, shop::edit_stock))
        .routes(routes!(sessions::sign_in, sessions::sign_out))
        .routes(routes!(starter::examples))
        .routes(routes!(jobs::jobs, jobs::create_job))
        .routes(routes!(jobs::job, jobs::describe_job, jobs::delete_job))
        .routes(routes!(jobs::copy_job))
        .routes(routes!(jobs::picture))
        .routes(routes!(jobs::archive))
        .routes(routes!(sizes::sizes))
        .routes(routes!(strength::strength))
        .routes(routes!(strength::part))
        .routes(routes!(fit::fit))
        .routes(routes!(fit::accept_fit))
        .routes(routes!(fit::recut_fit))
        .routes(routes!(fit::pooled_fits))
        .routes(routes!(gas::curve))
        .routes(routes!(gas::band))
        .routes(routes!(gas::map))
        .routes(routes!(gas::waves))
        .routes(routes!(gas::sound))
        .routes(routes!(survey::survey))
        .routes(routes!(survey::adjust_survey))
        .routes(routes!(survey::write_survey))
        .routes(routes!(photos::photo, photos::delete_photo))
        .routes(routes!(edits::edit))
        .routes(routes!(documents::document, documents::put_document))
        .routes(routes!(meshes::mesh))
        .routes(routes!(history::undo))
        .routes(routes!(history::redo))
        .routes(routes!(history::revisions))
        .routes(routes!(history::name_revision))
        .routes(routes!(history::restore_revision))
        .routes(routes!(history::compare))
        .routes(routes!(routes::trial))
        .routes(routes!(routes::put_routes))
        .routes(routes!(search::search))
        .routes(routes!(search::stop_search))
        .routes(routes!(search::alternatives))
        .routes(routes!(cut::cut))
        .routes(routes!(assembly::assembly))
        .routes(routes!(bookings::book, bookings::bookings))
        .routes(routes!(bookings::unbook))
        .routes(routes!(shelf::shelf, shelf::add_to_shelf))
        .routes(routes!(shelf::remove_from_shelf))
        .routes(routes!(quote::quote))
        .routes(routes!(quote::put_rates))
        .routes(routes!(papers::papers))
        .routes(routes!(papers::sheets))
        .routes(routes!(exports::export))
        .routes(routes!(saw::saw, saw::put_saw))
        .layer(DefaultBodyLimit::max(LONGEST_BODY));
    OpenApiRouter::with_openapi(Document::openapi()).nest("/api", short.merge(long))
}

/// The calls.
pub fn router() -> Router<SharedShop> {
    described().split_for_parts().0.route("/api/openapi.json", axum::routing::get(document))
}

async fn document() -> axum::Json<utoipa::openapi::OpenApi> {
    axum::Json(openapi())
}

/// The OpenAPI document.
pub fn openapi() -> utoipa::openapi::OpenApi {
    let mut document = described().into_openapi();
    let cookie = SecurityScheme::ApiKey(ApiKey::Cookie(ApiKeyValue::new(crate::session::COOKIE)));
    if let Some(components) = document.components.as_mut() {
        components.add_security_scheme("session", cookie);
    }
    document
}
