//! A job as the page shows it.

use app::tree::TomlTree;
use app::view::bay::BayView;
use app::view::codes::UnitsCode;
use app::view::plan::PlanView;
use app::view::problem::{ProblemView, problems_placed};
use app::view::quote::QuoteSummary;
use app::view::routes::RoutesView;
use job::model::Units;
use serde::{Deserialize, Serialize};
use store::{JobRecord, Revision};
use utoipa::ToSchema;

use crate::loaded::LoadedRevision;

/// A revision.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RevisionView {
    /// Id of the revision.
    pub id: String,
    /// The revision it was made from; null for the first.
    pub parent: Option<String>,
    /// Counted from 1 within the job.
    pub number: i64,
    /// Label of the change.
    pub label: String,
    /// Name given by a user; may be empty.
    pub name: String,
    /// When it was made, milliseconds since 1970.
    pub made: i64,
    /// Whether it is the job's head.
    pub current: bool,
}

impl RevisionView {
    /// A revision of a job whose head is `head`.
    pub fn new(revision: &Revision, head: &str) -> Self {
        RevisionView {
            id: revision.id.clone(),
            parent: revision.parent.clone(),
            number: revision.number,
            label: revision.label.clone(),
            name: revision.name.clone(),
            made: revision.made,
            current: revision.id == head,
        }
    }
}

/// A job.
#[derive(Debug, Serialize, ToSchema)]
pub struct JobView {
    /// Id of the job.
    pub id: String,
    /// Name of the job.
    pub name: String,
    /// Increases with every change; a client that changes the job sends the version it has.
    pub version: i64,
    /// The current revision.
    pub revision: RevisionView,
    /// Whether it is archived.
    pub archived: bool,
    /// Unit of bare numbers in its documents.
    pub units: UnitsCode,
    /// Whether undo is possible.
    pub can_undo: bool,
    /// Whether redo is possible.
    pub can_redo: bool,
    /// Label of the change that undo would undo.
    pub undo_label: Option<String>,
    /// Label of the change that redo would redo.
    pub redo_label: Option<String>,
    /// job.toml as a tree, keys in the order of the file, texts as written; null when it is not TOML.
    #[schema(value_type = Option<serde_json::Value>)]
    pub document: Option<TomlTree>,
    /// job.toml.
    pub text: String,
    /// Names of the documents.
    pub documents: Vec<String>,
    /// All problems of the documents.
    pub problems: Vec<ProblemView>,
    /// The engine bay; of an earlier revision while job.toml has errors.
    pub bay: Option<BayView>,
    /// Whether the engine bay is that of an earlier revision.
    pub bay_stale: bool,
    /// The routes with their figures.
    pub routes: Option<RoutesView>,
    /// The closest attempt of the last search, kept beside the routes while that search met less than every requirement.
    pub attempt: Option<RoutesView>,
    /// The cut plan.
    pub plan: Option<PlanView>,
    /// Why the plan does not match the routes and the stock; null when it does or there is none.
    pub plan_stale: Option<String>,
    /// Summary of the quote.
    pub quote: Option<QuoteSummary>,
}

/// The unit of a job, also of one that has errors.
fn units(loaded: &LoadedRevision) -> UnitsCode {
    let written = loaded.texts.tree.as_ref().and_then(|t| t.get("units")).and_then(TomlTree::text);
    let written = || written.and_then(|word| word.parse().ok()).unwrap_or_default();
    loaded.texts.opened.as_ref().map_or_else(written, |opened| opened.job.units).into()
}

impl JobView {
    /// The view of a job at its head; `older` is an earlier revision whose engine bay can be shown.
    pub fn new(job: &JobRecord, loaded: &LoadedRevision, older: Option<&LoadedRevision>) -> JobView {
        let own = loaded.bay();
        JobView {
            id: job.id.clone(),
            name: job.name.clone(),
            version: job.version,
            revision: RevisionView::new(&job.head, &job.head.id),
            archived: job.archived,
            units: units(loaded),
            can_undo: job.head.parent.is_some(),
            can_redo: job.redo_label.is_some(),
            undo_label: job.head.parent.as_ref().map(|_| job.head.label.clone()),
            redo_label: job.redo_label.clone(),
            document: loaded.texts.tree.clone(),
            text: loaded.texts.text.clone(),
            documents: loaded.documents.keys().cloned().collect(),
            problems: problems_placed(&loaded.texts.problems(), "job.toml", loaded.texts.parsed.as_ref()),
            bay_stale: own.is_none() && older.is_some_and(|o| o.bay().is_some()),
            bay: own.or_else(|| older?.bay()).cloned(),
            routes: loaded.routes().cloned(),
            attempt: loaded.attempt().cloned(),
            plan: loaded.plan(),
            plan_stale: loaded.texts.stale.clone(),
            quote: loaded.quote().cloned(),
        }
    }
}

/// Figures of a job in the list.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct SummaryFigures {
    state: JobState,
    met: bool,
    unmet_count: usize,
    total: Option<f64>,
    currency: Option<String>,
    runs: usize,
    units: UnitsCode,
}

/// How far a job has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub enum JobState {
    /// It has no routes yet.
    Measured,
    /// It has routes, but no cut plan of them.
    Routed,
    /// It has a cut plan.
    Cut,
    /// Its routes miss a requirement.
    #[serde(rename = "not met")]
    NotMet,
    /// Its documents cannot be read.
    Broken,
}

impl SummaryFigures {
    /// Figures of a job that cannot be read.
    pub fn broken() -> SummaryFigures {
        SummaryFigures {
            state: JobState::Broken,
            met: false,
            unmet_count: 0,
            total: None,
            currency: None,
            runs: 0,
            units: Units::Mm.into(),
        }
    }
}

/// Figures of a job in the list.
pub fn figures(loaded: &LoadedRevision) -> SummaryFigures {
    let routes = loaded.routes();
    let met = routes.is_some_and(|r| r.met);
    let cut = loaded.texts.fresh_plan().is_some();
    let state = match (routes, loaded.texts.routes.is_some(), cut) {
        _ if loaded.is_broken => JobState::Broken,
        (Some(r), ..) if !r.met => JobState::NotMet,
        (_, true, true) => JobState::Cut,
        (_, true, false) => JobState::Routed,
        _ => JobState::Measured,
    };
    let ports = loaded.texts.opened.as_ref().map_or(0, |o| o.job.ports.len());
    SummaryFigures {
        state,
        met,
        unmet_count: routes.map_or(0, |r| r.unmet.len()),
        total: loaded.quote().map(|q| q.total),
        currency: loaded.quote().map(|q| q.currency.clone()),
        runs: loaded.texts.routes.as_ref().map_or(ports, |r| r.runs.len()),
        units: units(loaded),
    }
}

/// A job in the list.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct JobSummary {
    /// Id of the job.
    pub id: String,
    /// Name of the job.
    pub name: String,
    /// How far it has come.
    pub state: JobState,
    /// Whether all requirements are met.
    pub met: bool,
    /// Number of requirements missed.
    pub unmet_count: usize,
    /// Total of the quote, money; null when not priced.
    pub total: Option<f64>,
    /// Currency of the job.
    pub currency: Option<String>,
    /// Number of runs, or of ports while there are no routes.
    pub runs: usize,
    /// Unit of the job.
    pub units: UnitsCode,
    /// When it was last changed, milliseconds since 1970.
    pub updated: i64,
    /// Version of the job.
    pub version: i64,
    /// Whether it is archived.
    pub archived: bool,
}

impl JobSummary {
    /// A job with its figures.
    pub fn new(job: &JobRecord, figures: SummaryFigures) -> JobSummary {
        JobSummary {
            id: job.id.clone(),
            name: job.name.clone(),
            state: figures.state,
            met: figures.met,
            unmet_count: figures.unmet_count,
            total: figures.total,
            currency: figures.currency,
            runs: figures.runs,
            units: figures.units,
            updated: job.updated,
            version: job.version,
            archived: job.archived,
        }
    }
}
