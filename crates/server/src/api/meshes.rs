//! Mesh files of a job: upload, and download in the form that the page draws.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use app::archive::document_name;
use axum::Json as JsonResponse;
use axum::extract::State;
use axum::http::header;
use axum::response::IntoResponse;
use geom::mesh::{MeshFormat, RawMesh, read};
use geom::{Mesh, Solid, Vec3};
use job::mesh_file::UNPLACED;
use serde::{Deserialize, Serialize};
use store::{DocumentUpdate, Hash, hash_of};
use tokio::runtime::Handle;
use utoipa::{IntoParams, ToSchema};

use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Path, Query, Upload};
use crate::job_view::JobView;
use crate::mesh_cache::MeshCache;
use crate::settings::MOST_TRIANGLES;
use crate::shop::{SharedShop, Shop, is_text};
use crate::work::{Lane, StopSignal};

/// The version of the job that a mesh or a photo is added to or removed from.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct AtVersionQuery {
    /// Version of the job that the client has.
    pub version: i64,
}

/// Form of a mesh to download.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct MeshQuery {
    /// As in its file, in the file's unit, instead of placed on the vehicle.
    #[serde(default)]
    raw: bool,
}

/// An uploaded mesh file.
#[derive(Serialize, ToSchema)]
pub struct MeshAdded {
    /// The job with the file among its documents.
    job: JobView,
    /// The mesh.
    mesh: MeshView,
}

/// A mesh.
#[derive(Serialize, ToSchema)]
pub struct MeshView {
    /// Triangles in the file.
    triangles: usize,
    /// Vertices in the file.
    vertices: usize,
    /// Size of the box around it, in the file's unit taken as mm.
    size_mm: [f64; 3],
    /// Faults that were repaired, and notes on the file's unit.
    warnings: Vec<String>,
}

/// A mesh file that has been read and indexed.
pub struct InspectedMesh {
    view: MeshView,
    mesh: Arc<Mesh>,
    hash: Hash,
}

impl InspectedMesh {
    /// Reads and indexes a mesh file; a file on which the reader panics is refused like any bad file.
    ///
    /// # Errors
    /// 413, 422.
    pub fn new(name: &str, bytes: &[u8], cache: &MeshCache) -> ApiResult<InspectedMesh> {
        let _turn = cache.indexing();
        let ending = name.rsplit_once('.').map(|(_, e)| e.to_ascii_lowercase()).unwrap_or_default();
        let format = MeshFormat::from_extension(&ending).ok_or_else(|| ApiError::unprocessable("not a mesh file"))?;
        match catch_unwind(AssertUnwindSafe(|| mesh_view(bytes, format))) {
            Ok(result) => {
                let (view, mesh) = result?;
                Ok(InspectedMesh { view, mesh: Arc::new(mesh), hash: hash_of(bytes) })
            }
            Err(_) => {
                tracing::warn!(name, "a mesh reader panicked on a file");
                let error = ApiError::unprocessable("the file is damaged in an unexpected way");
                Err(error.hint("export it again"))
            }
        }
    }

    /// Caches the mesh, so that the job that is about to use it does not index it again.
    pub fn keep(self, shop: &Shop) -> MeshView {
        shop.meshes.insert((self.hash, UNPLACED.to_string()), self.mesh);
        self.view
    }
}

fn mesh_view(bytes: &[u8], format: MeshFormat) -> ApiResult<(MeshView, Mesh)> {
    let refuse = |e: geom::MeshError| ApiError::unprocessable(e.to_string()).hint("clean the mesh and export it again");
    let raw = read(bytes, format).map_err(refuse)?;
    if raw.triangles.len() > MOST_TRIANGLES {
        let found = raw.triangles.len();
        return Err(ApiError::too_large(format!("the mesh has {found} triangles"))
            .expected(format!("at most {MOST_TRIANGLES}"))
            .hint("reduce it in the scanner's or modeller's program"));
    }
    let (triangles, vertices, mut warnings) = (raw.triangles.len(), raw.vertices.len(), raw.hints.clone());
    let size = raw.bounds().size();
    let mesh = Mesh::new(raw).map_err(refuse)?;
    warnings.extend(mesh.report().notes());
    Ok((MeshView { triangles, vertices, size_mm: [size.x, size.y, size.z], warnings }, mesh))
}

/// Uploads a mesh file; an obstacle in job.toml then names it.
#[utoipa::path(put, path = "/jobs/{id}/meshes/{name}", tag = "jobs",
    params(("id" = String, Path, description = "The job"),
        ("name" = String, Path, description = "`scan.stl`", pattern = "^[A-Za-z0-9_-]{1,40}\\.(stl|obj|ply|glb)$"), AtVersionQuery),
    request_body(content = Vec<u8>, content_type = "application/octet-stream"),
    responses((status = 200, body = MeshAdded), Refusals))]
pub async fn put_mesh(
    State(shop): State<SharedShop>,
    Path((id, name)): Path<(String, String)>,
    Query(seen): Query<AtVersionQuery>,
    upload: Upload,
) -> ApiResult<JsonResponse<MeshAdded>> {
    document_name(&name).map_err(|why| ApiError::unprocessable("not a valid name of a mesh file").expected(why))?;
    if is_text(&name) {
        return Err(ApiError::unprocessable("not a valid name of a mesh file"));
    }
    shop.job_at(&id, seen.version).await?;
    let Upload { bytes, room: _held } = upload;
    let (looked, file, cache) = (bytes.clone(), name.clone(), shop.meshes.clone());
    let mesh = shop.work.run(Lane::Intake, move |_| InspectedMesh::new(&file, &looked, &cache)).await??.keep(&shop);
    let label = format!("Add {name}");
    let job = shop.commit(&id, seen.version, &label, vec![DocumentUpdate::Put(name, bytes.into())]).await?;
    Ok(JsonResponse(MeshAdded { job, mesh }))
}

/// A mesh as the page draws it: the numbers of vertices and triangles (u32), then x, y, z of each vertex (f32), then
/// three vertices of each triangle (u32), all little-endian.
#[utoipa::path(get, path = "/jobs/{id}/meshes/{name}", tag = "jobs",
    params(("id" = String, Path, description = "The job"),
        ("name" = String, Path, description = "`scan.stl`", pattern = "^[A-Za-z0-9_-]{1,40}\\.(stl|obj|ply|glb)$"), MeshQuery),
    responses((status = 200, body = Vec<u8>, content_type = "application/octet-stream"), Refusals))]
pub async fn mesh(
    State(shop): State<SharedShop>,
    Path((id, name)): Path<(String, String)>,
    Query(how): Query<MeshQuery>,
) -> ApiResult<impl IntoResponse> {
    let job = shop.store.job(&id).await?;
    let loaded = shop.loaded(&job).await?;
    let hash = loaded.documents.get(&name).filter(|_| !is_text(&name)).cloned();
    let hash = hash.ok_or_else(|| ApiError::missing("such mesh file in the job"))?;
    let place = loaded.texts.mesh_files().iter().position(|f| f.as_deref() == Some(&name)).filter(|_| !how.raw);
    let placed = place.and_then(|i| match &loaded.texts.shown()?.keepouts.get(i)?.shape {
        Solid::Mesh(mesh) => Some(mesh.clone()),
        _ => None,
    });
    let bytes = match placed {
        Some(mesh) => shop.work.run(Lane::Make, move |_| packed(mesh.vertices(), mesh.triangles())).await?,
        None => {
            let (store, runtime) = (shop.store.clone(), Handle::current());
            let work = move |_: &StopSignal| {
                let content = runtime.block_on(store.content(&hash))?;
                let raw =
                    raw_mesh(&name, &content).ok_or_else(|| ApiError::unprocessable("the mesh cannot be read"))?;
                ApiResult::Ok(packed(&raw.vertices, &raw.triangles))
            };
            shop.work.run(Lane::Intake, work).await??
        }
    };
    Ok(([(header::CONTENT_TYPE, "application/octet-stream"), (header::CACHE_CONTROL, "private, no-cache")], bytes))
}

fn raw_mesh(name: &str, bytes: &[u8]) -> Option<RawMesh> {
    let format = MeshFormat::from_extension(&name.rsplit_once('.')?.1.to_ascii_lowercase())?;
    catch_unwind(AssertUnwindSafe(|| read(bytes, format))).ok()?.ok()
}

fn packed(vertices: &[Vec3], triangles: &[[u32; 3]]) -> Vec<u8> {
    let mut out = Vec::with_capacity(8 + 12 * (vertices.len() + triangles.len()));
    for count in [vertices.len(), triangles.len()] {
        out.extend((count as u32).to_le_bytes());
    }
    for v in vertices {
        [v.x, v.y, v.z].iter().for_each(|c| out.extend((*c as f32).to_le_bytes()));
    }
    for triangle in triangles {
        triangle.iter().for_each(|i| out.extend(i.to_le_bytes()));
    }
    out
}
