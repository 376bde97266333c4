//! Shop sheets: the PDF and its contents.

use app::papers_job::{PaperSettings, PapersError, PrintedFile, Reader, date as date_of, print_planned};
use app::view::codes::{PaperCode, SheetKindCode, SheetSetCode, UnitsCode};
use axum::Json as JsonResponse;
use axum::extract::State;
use axum::http::header;
use axum::response::IntoResponse;
use job::model::Units;
use papers::{Paper, SheetKind, SheetSet};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

use crate::errors::{ApiError, ApiResult, Refusals};
use crate::extract::{Path, Query};
use crate::shop::SharedShop;
use crate::work::{Lane, StopSignal};

/// Which sheets to make, and how.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct SheetRequest {
    /// Paper size; default A4 for jobs in mm and letter for jobs in inches.
    paper: Option<PaperCode>,
    /// Unit of lengths; default the job's.
    units: Option<UnitsCode>,
    /// Set of sheets for the shop; default short. The quote is in neither.
    set: Option<SheetSetCode>,
    /// Only these kinds, separated by commas: `overview,saw`. The quote goes to the customer and is printed alone.
    #[param(style = Form, explode = false, min_items = 1, value_type = Option<Vec<SheetKindCode>>)]
    only: Option<String>,
    /// The header as it was built and corrected by fit.toml: overview, assembly, jig, inspection.
    #[serde(default)]
    as_built: bool,
    /// Date printed on every page; left blank when omitted.
    #[param(pattern = "^[0-9]{4}-[0-9]{2}-[0-9]{2}$")]
    date: Option<String>,
}

/// A set of sheets.
#[derive(Serialize, ToSchema)]
pub struct SheetList {
    /// The sheets, in order.
    sheets: Vec<SheetView>,
    /// Total number of pages.
    pages: usize,
    /// Hash of routes, cut plan and quote, printed on every page.
    hash: String,
    /// Warnings about the set.
    warnings: Vec<String>,
    /// Every kind of sheet, in order.
    kinds: Vec<SheetKindCode>,
    /// Unit of lengths.
    units: UnitsCode,
}

/// A sheet.
#[derive(Serialize, ToSchema)]
pub struct SheetView {
    /// Kind of the sheet.
    kind: SheetKindCode,
    /// Title of the sheet.
    title: String,
    /// First page, from 1.
    page: usize,
}

impl SheetRequest {
    fn settings(&self, revision: i64) -> ApiResult<PaperSettings> {
        let mut only = Vec::new();
        for word in self.only.iter().flat_map(|o| o.split(',')) {
            let words: Vec<&str> = SheetKind::ALL.iter().map(|k| k.word()).collect();
            let none = || ApiError::unprocessable("no such kind of sheet").expected(words.join(", "));
            only.push(SheetKind::of_word(word).ok_or_else(none)?);
        }
        if only.iter().any(|k| Reader::of(*k) != Reader::of(only[0])) {
            let apart = ApiError::unprocessable("the quote is not printed with the shop's sheets");
            return Err(apart.hint("request the quote alone"));
        }
        let set = self.set.map_or_else(SheetSet::default, SheetSet::from);
        let date = match self.date.as_deref() {
            None => Ok(String::new()),
            Some("") => Err("a date, or no parameter".into()),
            Some(text) => date_of(text),
        };
        let date = date.map_err(|why| ApiError::unprocessable("not a valid date").expected(why))?;
        let (paper, units) = (self.paper.map(Paper::from), self.units.map(Units::from));
        Ok(PaperSettings { paper, units, revision: revision.to_string(), date, set, only, as_built: self.as_built })
    }
}

/// The sheets of a job, for one reader.
struct Printed {
    /// Name of the job.
    name: String,
    units: Units,
    /// `None` when there is nothing to print: no quote of a job that is not priced.
    file: Option<PrintedFile>,
    hash: String,
    warnings: Vec<String>,
}

/// Makes the sheets of a job.
async fn print(shop: &SharedShop, id: &str, request: &SheetRequest) -> ApiResult<Printed> {
    let job = shop.store.job(id).await?;
    let loaded = shop.loaded(&job).await?;
    let settings = request.settings(job.head.number)?;
    let work = move |stop: &StopSignal| {
        let planned = loaded.texts.planned().ok_or_else(ApiError::no_plan)?;
        let units = settings.units.unwrap_or(planned.opened.job.units);
        let refuse = |error: PapersError| match error {
            PapersError::Stopped => ApiError::busy("printing was stopped", 5),
            PapersError::TooMany(_) => ApiError::unprocessable(error.to_string()).hint("request single kinds of sheet"),
            PapersError::NotMeasured | PapersError::NotAsBuilt => ApiError::refused(error.to_string()),
            other => ApiError::fault(&other),
        };
        let set = print_planned(planned, &settings, stop.flag()).map_err(refuse)?;
        ApiResult::Ok((units, set))
    };
    let (units, set) = shop.work.run(Lane::Make, work).await??;
    // Of a set, which has the quote beside it, that for the shop.
    let file = set.files.into_iter().next();
    Ok(Printed { name: job.name, units, file, hash: set.hash, warnings: set.warnings })
}

/// The sheets of a job as one PDF.
#[utoipa::path(get, path = "/jobs/{id}/papers", tag = "papers",
    params(("id" = String, Path, description = "The job"), SheetRequest),
    responses((status = 200, body = Vec<u8>, content_type = "application/pdf"), Refusals))]
pub async fn papers(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Query(request): Query<SheetRequest>,
) -> ApiResult<impl IntoResponse> {
    let Printed { name, file, .. } = print(&shop, &id, &request).await?;
    let file = file.ok_or_else(|| ApiError::refused("the job has no sheets of these kinds"))?;
    let plain: String = name.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
    let headers = [
        (header::CONTENT_TYPE, "application/pdf".to_string()),
        (header::CONTENT_DISPOSITION, format!("inline; filename=\"{plain}-{}\"", file.reader.file())),
    ];
    Ok((headers, file.pdf.bytes))
}

/// Contents of the sheets of a job.
#[utoipa::path(get, path = "/jobs/{id}/papers/sheets", tag = "papers",
    params(("id" = String, Path, description = "The job"), SheetRequest),
    responses((status = 200, body = SheetList), Refusals))]
pub async fn sheets(
    State(shop): State<SharedShop>,
    Path(id): Path<String>,
    Query(request): Query<SheetRequest>,
) -> ApiResult<JsonResponse<SheetList>> {
    let Printed { units, file, hash, warnings, .. } = print(&shop, &id, &request).await?;
    let (sheets, pages) = file.map_or((Vec::new(), 0), |f| (f.sheets, f.pdf.pages));
    let sheet = |s: app::papers_job::SheetLine| SheetView { kind: s.kind.into(), title: s.title, page: s.page };
    Ok(JsonResponse(SheetList {
        sheets: sheets.into_iter().map(sheet).collect(),
        pages,
        hash,
        warnings,
        kinds: SheetKind::ALL.map(SheetKindCode::from).to_vec(),
        units: units.into(),
    }))
}
