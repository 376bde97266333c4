//! Routes as they would be with some runs changed by hand: nothing is saved.

use geom::Vec3;
use job::file::routes_file::{LONGEST_RUN, MOST_BENDS, MOST_BENDS_IN_ALL, are_beyond, is_beyond};
use job::model::Units;
use job::routes::{Routes, RunId};
use job::show::length_with_unit;
use route::edit::{RouteEdit, edit};
use serde::Deserialize;
use utoipa::ToSchema;

use crate::view::Xyz;
use crate::wording;

/// Coordinates beyond this are no bay, mm: 20 m, some times the longest exhaust. Lines are drawn point by point, so
/// that a run of a thousand kilometres would fill the memory.
const FARTHEST: f64 = 20_000.0;

/// A run as a hand has changed it.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ChangedRun {
    /// Which: `primary 1`.
    pub run: String,
    /// Start, intersection points and end, mm.
    #[schema(min_items = 2, max_items = 64)]
    pub points: Vec<Xyz>,
    /// CLR at each intersection point, mm.
    #[schema(max_items = 62)]
    pub radii: Vec<f64>,
    /// Kept as it is when the rest is routed; not given: as it was.
    #[serde(default)]
    pub locked: Option<bool>,
}

/// One movement of a hand on one run; the ends stay where they are. Points are counted from 0, the start; bends by
/// their intersection point, from 1.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum RunEdit {
    /// Moves an intersection point; beside an end it goes to the nearest place on that end's line.
    MovePoint {
        /// The run.
        run: String,
        /// The bend.
        index: usize,
        /// Where to, mm.
        to: Xyz,
    },
    /// Gives a bend another CLR.
    SetClr {
        /// The run.
        run: String,
        /// The bend.
        index: usize,
        /// The CLR, mm.
        clr: f64,
    },
    /// Rolls a bend's plane.
    Roll {
        /// The run.
        run: String,
        /// The bend.
        index: usize,
        /// By how much, right-hand rule along the flow.
        deg: f64,
    },
    /// Adds a bend in the middle of the leg after a point.
    InsertBend {
        /// The run.
        run: String,
        /// The point at the start of the leg.
        after: usize,
        /// Its CLR, mm.
        clr: f64,
    },
    /// Takes a bend out.
    RemoveBend {
        /// The run.
        run: String,
        /// The bend.
        index: usize,
    },
    /// Moves all points as little as possible until the run is that long.
    PullToLength {
        /// The run.
        run: String,
        /// The length.
        length_mm: f64,
    },
}

impl RunEdit {
    /// The run and what is done to it.
    fn parts(&self) -> (&str, RouteEdit) {
        match self {
            RunEdit::MovePoint { run, index, to } => (run, RouteEdit::MovePoint { index: *index, to: Vec3::from(*to) }),
            RunEdit::SetClr { run, index, clr } => (run, RouteEdit::SetClr { index: *index, clr: *clr }),
            RunEdit::Roll { run, index, deg } => (run, RouteEdit::Roll { index: *index, angle: deg.to_radians() }),
            RunEdit::InsertBend { run, after, clr } => (run, RouteEdit::InsertBend { after: *after, clr: *clr }),
            RunEdit::RemoveBend { run, index } => (run, RouteEdit::RemoveBend { index: *index }),
            RunEdit::PullToLength { run, length_mm } => (run, RouteEdit::PullToLength { length: *length_mm }),
        }
    }
}

/// Most runs changed at once: all that a routes file may have.
const MOST_RUNS: usize = 200;

/// Why routes can't be changed so.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TrialError {
    /// More runs than any job has.
    #[error("{0} runs are changed at once; at most {MOST_RUNS} are taken")]
    TooMany(usize),
    /// More bends than any job has.
    #[error("the runs have more than {MOST_BENDS_IN_ALL} bends together")]
    TooManyBends,
    /// A run that the routes do not have.
    #[error("the routes have no run `{0}`")]
    NoRun(String),
    /// What comes out is not a valid tube, or there is no such edit.
    #[error("{run}: {why}")]
    NoTube {
        /// The run.
        run: String,
        /// What is wrong.
        why: String,
    },
}

/// `routes` with the `changed` runs in their places, and then `by_hand` done to one of them.
///
/// # Errors
/// [`TrialError`] for the first that is no run or no tube.
pub fn changed(
    routes: &Routes,
    changed: &[ChangedRun],
    by_hand: Option<&RunEdit>,
    units: Units,
) -> Result<Routes, TrialError> {
    let mut out = routes.clone();
    if changed.len() > MOST_RUNS {
        return Err(TrialError::TooMany(changed.len()));
    }
    for change in changed {
        let place = place(&out, &change.run)?;
        let route = &mut out.runs[place];
        route.points = change.points.iter().map(|p| Vec3::from(*p)).collect();
        route.radii = change.radii.clone();
        route.locked = change.locked.unwrap_or(route.locked);
        sound(&out, place, units)?;
    }
    if let Some(by_hand) = by_hand {
        let (run, what) = by_hand.parts();
        let place = place(&out, run)?;
        let edited = edit(&out.runs[place], what);
        out.runs[place] = edited.map_err(|e| TrialError::NoTube { run: run.into(), why: wording::edit(&e, units) })?;
        sound(&out, place, units)?;
    }
    if are_beyond(&out) { Err(TrialError::TooManyBends) } else { Ok(out) }
}

fn place(routes: &Routes, run: &str) -> Result<usize, TrialError> {
    let none = || TrialError::NoRun(run.to_string());
    let id: RunId = run.parse().map_err(|_| none())?;
    routes.runs.iter().position(|r| r.run == id).ok_or_else(none)
}

/// A tube within a bay.
fn sound(routes: &Routes, place: usize, units: Units) -> Result<(), TrialError> {
    let route = &routes.runs[place];
    let wrong = |why: String| TrialError::NoTube { run: route.run.to_string(), why };
    route.centreline().map_err(|e| wrong(wording::centreline(&e, units)))?;
    if route.points.iter().any(|p| p.abs().max_element() > FARTHEST) {
        let limit = length_with_unit(FARTHEST, units);
        return Err(wrong(format!("a point lies more than {limit} from the origin")));
    }
    if is_beyond(&route.points, &route.radii) {
        let most = length_with_unit(LONGEST_RUN, units);
        return Err(wrong(format!("it is longer than {most}, or has more than {MOST_BENDS} bends")));
    }
    Ok(())
}
