//! The gas in the tubes of a job: curves, maps, pressures and sound.

use app::gas_curve::{Change, Fineness, GasBand, GasCurve, GasMap, gas_band, gas_curve, gas_map, usual_values};
use app::gas_model::{Assumed, GasModel, Size, gas_model};
use app::gas_sound::gas_sound;
use app::gas_speeds::{GasProgress, SPEEDS, Speeds};
use app::gas_waves::{GasWaves, gas_waves};
use axum::Json as JsonResponse;
use axum::extract::State;
use axum::http::header;
use axum::response::IntoResponse;
use job::model::Job;
use job::routes::Routes;
use job::{Monitor, Problems};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Json, Path, Query};
use crate::shop::{SharedShop, Shop};
use crate::work::{Lane, StopSignal};

/// Steps of the run-up of a sound.
const RUN_UP: f64 = 12.0;
/// Samples of a band.
const SAMPLES: usize = 16;
/// Seed of the samples.
const SEED: u64 = 1;

/// A band of engine speeds, rpm.
#[derive(Debug, Clone, Copy, Deserialize, Serialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SpeedBand {
    /// First, 500 to 20 000.
    from: f64,
    /// Last.
    to: f64,
    /// Between two.
    step: f64,
}

/// A curve to compute.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CurveRequest {
    /// The speeds; the usual ones when not given.
    speeds: Option<SpeedBand>,
    /// Other sizes than drawn.
    #[serde(default)]
    change: Change,
    /// How finely.
    fineness: Fineness,
}

/// A curve, with what it rests on.
#[derive(Serialize, ToSchema)]
pub struct CurveAnswer {
    /// The curve.
    curve: GasCurve,
    /// The speeds that were asked for.
    speeds: SpeedBand,
    /// Sizes as drawn: mean length of the primaries, their inside diameter, that of the collectors' outlets.
    drawn: DrawnSizes,
    /// Inside diameters of tubes that can be bought, mm.
    diameters_mm: Vec<f64>,
    /// What the job does not give.
    defaults: Vec<Assumed>,
    /// What was simplified.
    notes: Vec<String>,
}

/// Sizes of a header as drawn, mm.
#[derive(Serialize, ToSchema)]
pub struct DrawnSizes {
    /// Mean length of the primaries from the port face.
    length_mm: f64,
    /// Inside diameter of the primaries.
    diameter_mm: f64,
    /// Inside diameter of the collectors' outlets.
    outlet_mm: f64,
}

/// A map to compute.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MapRequest {
    /// The speeds.
    speeds: SpeedBand,
    /// Which size changes.
    size: Size,
}

/// One speed of a header.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WavesRequest {
    /// Engine speed, 500 to 20 000 rpm.
    rpm: f64,
    /// Other sizes than drawn.
    #[serde(default)]
    change: Change,
}

/// Speeds of a band.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BandRequest {
    /// The speeds.
    speeds: SpeedBand,
}

/// The speed of a sound.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct SoundQuery {
    /// Engine speed of its steady part, 1000 to 20 000 rpm.
    rpm: f64,
}

impl SpeedBand {
    fn speeds(self) -> ApiResult<Speeds> {
        let text = format!("{}:{}:{}", self.from, self.to, self.step);
        Speeds::read(&text).map_err(|why| ApiError::unprocessable(why).expected("a band such as 2500 to 7500 by 250"))
    }

    fn of(speeds: Speeds) -> SpeedBand {
        SpeedBand { from: speeds.from, to: speeds.to, step: speeds.step }
    }
}

/// A speed that an engine can have.
fn one_speed(rpm: f64) -> ApiResult<f64> {
    let [least, most] = SPEEDS;
    let error = || ApiError::unprocessable(format!("{rpm} rpm")).expected(format!("{least} to {most} rpm"));
    if (least..=most).contains(&rpm) { Ok(rpm) } else { Err(error()) }
}

/// Computes with the model of a job until its caller leaves.
async fn computed<T: Send + 'static>(
    shop: &Shop,
    id: &str,
    compute: impl FnOnce(&Job, &Routes, &GasModel, &mut Monitor<'_, GasProgress>) -> Result<T, Problems> + Send + 'static,
) -> ApiResult<T> {
    let job = shop.store.job(id).await?;
    let loaded = shop.loaded(&job).await?;
    let work = move |stop: &StopSignal| {
        let texts = &loaded.texts;
        let answer = texts.require_job().and_then(|opened| {
            let routes = texts.require_routes()?;
            let model = gas_model(&opened.job, routes)?;
            compute(&opened.job, routes, &model, &mut Monitor::new(stop.flag(), |_| ()))
        });
        answer.map_err(|problems| ApiError::of_problems("the gas cannot be computed", &problems, &texts.text))
    };
    shop.work.run(Lane::Search, work).await?
}

/// Torque, power and breathing over engine speed, as drawn or with other sizes.
#[utoipa::path(post, path = "/jobs/{id}/gas/curve", tag = "jobs", params(("id" = String, Path, description = "The job")),
    request_body = CurveRequest, responses((status = 200, body = CurveAnswer), Refusals))]
pub async fn curve(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(wanted): Json<CurveRequest>,
) -> ApiResult<JsonResponse<CurveAnswer>> {
    let speeds = wanted.speeds.map(SpeedBand::speeds).transpose()?;
    let answer = computed(&shop, &id, move |job, _, model, monitor| {
        let speeds = speeds.unwrap_or_else(|| Speeds::usual(job));
        let curve = gas_curve(&wanted.change.apply(model)?, &speeds, wanted.fineness, monitor)?;
        let drawn = |size| model.drawn(size);
        Ok(CurveAnswer {
            curve,
            speeds: SpeedBand::of(speeds),
            drawn: DrawnSizes {
                length_mm: drawn(Size::Length),
                diameter_mm: drawn(Size::Diameter),
                outlet_mm: drawn(Size::Outlet),
            },
            diameters_mm: usual_values(job, model, Size::Diameter),
            defaults: model.assumed.clone(),
            notes: model.notes.clone(),
        })
    });
    Ok(JsonResponse(answer.await?))
}

/// Between which torques the curve lies when everything that the job does not give is picked at random.
#[utoipa::path(post, path = "/jobs/{id}/gas/band", tag = "jobs", params(("id" = String, Path, description = "The job")),
    request_body = BandRequest, responses((status = 200, body = GasBand), Refusals))]
pub async fn band(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(wanted): Json<BandRequest>,
) -> ApiResult<JsonResponse<GasBand>> {
    let speeds = wanted.speeds.speeds()?;
    let answer =
        computed(&shop, &id, move |job, routes, _, monitor| gas_band(job, routes, &speeds, (SAMPLES, SEED), monitor));
    Ok(JsonResponse(answer.await?))
}

/// Torque over engine speed and one size.
#[utoipa::path(post, path = "/jobs/{id}/gas/map", tag = "jobs", params(("id" = String, Path, description = "The job")),
    request_body = MapRequest, responses((status = 200, body = GasMap), Refusals))]
pub async fn map(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(wanted): Json<MapRequest>,
) -> ApiResult<JsonResponse<GasMap>> {
    let speeds = wanted.speeds.speeds()?;
    let answer = computed(&shop, &id, move |job, _, model, monitor| {
        gas_map(model, &speeds, wanted.size, &usual_values(job, model, wanted.size), monitor)
    });
    Ok(JsonResponse(answer.await?))
}

/// Pressures at the valves, where reflections come from, and the wave picture, at one speed.
#[utoipa::path(post, path = "/jobs/{id}/gas/waves", tag = "jobs", params(("id" = String, Path, description = "The job")),
    request_body = WavesRequest, responses((status = 200, body = GasWaves), Refusals))]
pub async fn waves(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Json(wanted): Json<WavesRequest>,
) -> ApiResult<JsonResponse<GasWaves>> {
    let rpm = one_speed(wanted.rpm)?;
    let answer =
        computed(&shop, &id, move |_, _, model, monitor| gas_waves(&wanted.change.apply(model)?, rpm, monitor));
    Ok(JsonResponse(answer.await?))
}

/// What the open end would sound like, a WAV file: an impression, not a measurement.
#[utoipa::path(get, path = "/jobs/{id}/gas/sound", tag = "jobs",
    params(("id" = String, Path, description = "The job"), SoundQuery),
    responses((status = 200, body = Vec<u8>, content_type = "audio/wav"), Refusals))]
pub async fn sound(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Query(wanted): Query<SoundQuery>,
) -> ApiResult<impl IntoResponse> {
    let rpm = one_speed(wanted.rpm)?;
    let sound = computed(&shop, &id, move |_, _, model, monitor| {
        let from = (0.4 * rpm).max(SPEEDS[0]);
        let speeds: Vec<f64> = (0..=RUN_UP as usize).map(|i| from + (rpm - from) * i as f64 / RUN_UP).collect();
        gas_sound(model, &speeds, monitor)
    });
    Ok(([(header::CONTENT_TYPE, "audio/wav"), (header::CACHE_CONTROL, "private, no-cache")], sound.await?.wav))
}
