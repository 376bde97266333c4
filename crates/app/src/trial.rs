//! Routes as they would be with some runs changed: nothing is saved.

use geom::Vec3;
use job::routes::{Route, Routes, RunId};
use serde::Deserialize;
use utoipa::ToSchema;

/// A run as a hand has changed it.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ChangedRun {
    /// Which: `primary 1`.
    pub run: String,
    /// Start, intersection points and end, mm.
    #[schema(min_items = 2, max_items = 64)]
    pub points: Vec<[f64; 3]>,
    /// CLR at each intersection point, mm.
    #[schema(max_items = 62)]
    pub radii: Vec<f64>,
    /// Kept as it is when the rest is routed; not given: as it was.
    #[serde(default)]
    pub locked: Option<bool>,
}

/// Why routes can't be changed so.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TrialError {
    /// A run that the routes do not have.
    #[error("the routes have no run `{0}`")]
    NoRun(String),
    /// Points and radii that are no tube.
    #[error("{run}: {why}")]
    NoTube {
        /// The run.
        run: String,
        /// What is wrong.
        why: String,
    },
}

/// `routes` with the `changed` runs in their places.
///
/// # Errors
/// [`TrialError`] for the first that is no run or no tube.
pub fn changed(routes: &Routes, changed: &[ChangedRun]) -> Result<Routes, TrialError> {
    let mut out = routes.clone();
    for change in changed {
        let id: RunId = change.run.parse().map_err(|_| TrialError::NoRun(change.run.clone()))?;
        let place = out.runs.iter().position(|r| r.run == id).ok_or_else(|| TrialError::NoRun(change.run.clone()))?;
        let route: &mut Route = &mut out.runs[place];
        route.points = change.points.iter().map(|p| Vec3::from_array(*p)).collect();
        route.radii = change.radii.clone();
        route.locked = change.locked.unwrap_or(route.locked);
        let tube = route.centreline();
        tube.map_err(|e| TrialError::NoTube { run: change.run.clone(), why: e.to_string() })?;
    }
    Ok(out)
}
