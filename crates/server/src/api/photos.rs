//! Photos of a survey: upload, thumbnails, removal.

use app::archive::{document_name, is_photo};
use axum::Json as JsonResponse;
use axum::extract::State;
use axum::http::header;
use axum::response::IntoResponse;
use store::{DocumentUpdate, JobRecord, hash_of};
use tokio::runtime::Handle;

use super::meshes::AtVersionQuery;
use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Path, Query, Upload};
use crate::job_view::JobView;
use crate::settings::{LONGEST_PHOTO, LONGEST_PHOTOS, MOST_PHOTOS};
use crate::shop::{SharedShop, Shop};
use crate::work::{Lane, StopSignal};

fn photo_name(name: &str) -> ApiResult<()> {
    if document_name(name).is_ok() && is_photo(name) {
        return Ok(());
    }
    let error = ApiError::unprocessable(format!("{name}: not a valid name of a photo"));
    Err(error.expected("letters, digits, - and _, ending in .jpg, .jpeg or .png").hint("set the camera to JPEG"))
}

/// Refuses a photo that the job has no room for.
async fn room_for(shop: &Shop, job: &JobRecord, name: &str, length: usize) -> ApiResult<()> {
    let hint = "remove photos that show least; 12 to 16 do";
    let (mut count, mut total) = (1, length);
    for (other, hash) in shop.store.documents(&job.head.id).await? {
        if is_photo(&other) && other != name {
            count += 1;
            total += match shop.photos.get(&(other, hash.clone())) {
                Some(known) => known.length,
                None => shop.store.content(&hash).await?.len(),
            };
        }
    }
    if count > MOST_PHOTOS {
        return Err(ApiError::too_large(format!("{name}: the job has {MOST_PHOTOS} photos already")).hint(hint));
    }
    if total > LONGEST_PHOTOS {
        let error = ApiError::too_large(format!("{name}: the photos would take {} MB", total.div_ceil(1 << 20)));
        return Err(error.expected(format!("at most {} MB together", LONGEST_PHOTOS >> 20)).hint(hint));
    }
    Ok(())
}

/// Adds a photo of printed markers to a job. It is looked through at once; one that cannot be used is refused.
#[utoipa::path(put, path = "/jobs/{id}/photos/{name}", tag = "jobs",
    params(("id" = String, Path, description = "The job"),
        ("name" = String, Path, description = "`IMG_01.jpg`", pattern = "^[A-Za-z0-9_-]{1,40}\\.(jpg|jpeg|png)$"), AtVersionQuery),
    request_body(content = Vec<u8>, content_type = "application/octet-stream"),
    responses((status = 200, body = JobView), Refusals))]
pub async fn put_photo(
    State(shop): State<SharedShop>,
    Path((id, name)): Path<(String, String)>,
    Query(seen): Query<AtVersionQuery>,
    upload: Upload,
) -> ApiResult<JsonResponse<JobView>> {
    photo_name(&name)?;
    let job = shop.job_at(&id, seen.version).await?;
    let Upload { bytes, room: _held } = upload;
    if bytes.len() > LONGEST_PHOTO {
        let error = ApiError::too_large(format!("{name}: {} MB", bytes.len().div_ceil(1 << 20)));
        let error = error.expected(format!("at most {} MB a photo", LONGEST_PHOTO >> 20));
        return Err(error.hint("set the camera to 12 megapixels"));
    }
    room_for(&shop, &job, &name, bytes.len()).await?;
    let (looked, key, cache) = (bytes.clone(), (name.clone(), hash_of(&bytes)), shop.photos.clone());
    let found = shop.work.run(Lane::Intake, move |_| cache.search(key, &looked)).await?;
    found.map_err(|problem| ApiError::of_problem(&problem))?;
    let label = format!("Add {name}");
    let changes = vec![DocumentUpdate::Put(name, bytes.into())];
    Ok(JsonResponse(shop.commit(&id, seen.version, &label, changes).await?))
}

/// Removes a photo from a job.
#[utoipa::path(delete, path = "/jobs/{id}/photos/{name}", tag = "jobs",
    params(("id" = String, Path, description = "The job"),
        ("name" = String, Path, description = "`IMG_01.jpg`", pattern = "^[A-Za-z0-9_-]{1,40}\\.(jpg|jpeg|png)$"), AtVersionQuery),
    responses((status = 200, body = JobView), Refusals))]
pub async fn delete_photo(
    State(shop): State<SharedShop>,
    Path((id, name)): Path<(String, String)>,
    Query(seen): Query<AtVersionQuery>,
) -> ApiResult<JsonResponse<JobView>> {
    let job = shop.job_at(&id, seen.version).await?;
    if !is_photo(&name) || !shop.store.documents(&job.head.id).await?.contains_key(&name) {
        return Err(ApiError::missing("such photo of the job"));
    }
    let label = format!("Remove {name}");
    Ok(JsonResponse(shop.commit(&id, seen.version, &label, vec![DocumentUpdate::Remove(name)]).await?))
}

/// A small picture of a photo, grey, as the sensor has it.
#[utoipa::path(get, path = "/jobs/{id}/photos/{name}", tag = "jobs",
    params(("id" = String, Path, description = "The job"),
        ("name" = String, Path, description = "`IMG_01.jpg`", pattern = "^[A-Za-z0-9_-]{1,40}\\.(jpg|jpeg|png)$")),
    responses((status = 200, body = Vec<u8>, content_type = "image/jpeg"), Refusals))]
pub async fn photo(
    State(shop): State<SharedShop>,
    Path((id, name)): Path<(String, String)>,
) -> ApiResult<impl IntoResponse> {
    let job = shop.store.job(&id).await?;
    let documents = shop.store.documents(&job.head.id).await?;
    let hash = documents.get(&name).filter(|_| is_photo(&name)).cloned();
    let key = (name, hash.ok_or_else(|| ApiError::missing("such photo of the job"))?);
    let photo = match shop.photos.get(&key) {
        Some(known) => known,
        None => {
            let (store, cache, runtime) = (shop.store.clone(), shop.photos.clone(), Handle::current());
            let work = move |_: &StopSignal| {
                let content = runtime.block_on(store.content(&key.1))?;
                cache.search(key, &content).map_err(|problem| ApiError::of_problem(&problem))
            };
            shop.work.run(Lane::Intake, work).await??
        }
    };
    let headers = [(header::CONTENT_TYPE, "image/jpeg"), (header::CACHE_CONTROL, "private, no-cache")];
    Ok((headers, photo.thumbnail.clone()))
}
